"""The blade that parts the work off its bar.

Nothing may carry the free end meanwhile: a centre presses the cut shut on the blade and throws the
work. So what hangs far out of the chuck is not parted off: it is sawn off at rest, drawn in or
turned round, and faced in a chucking after.
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.cited import Cited
from turnability.half_plane.regions import Region, box
from turnability.intent.model import Intent, Tolerance
from turnability.part.model import Profile
from turnability.reach.model import ENDS, Toward
from turnability.reach.removal import Removal, Work
from turnability.setups.holding.jaws import Held
from turnability.setups.holding.weak_grips import hangs_free
from turnability.setups.surfaces.cuts import thick
from turnability.setups.surfaces.edges import at_end, end_face
from turnability.setups.surfaces.relations import Group
from turnability.shop.model import Tool
from turnability.shop.told_apart import is_blade

_SKIN_MM = 0.01
_LEAST_CUT_MM = 0.5
"""So much of the bar is cut through behind an end that has no face (our choice)."""


def parting_blade(profile: Profile, parting_mm: float, held: Held, removal: Removal) -> Tool | None:
    """A blade, a parting one if there is one, that sweeps the plane behind the part.

    None where too many diameters of the part would hang free of the chuck.
    """
    if hangs_free(profile, held):
        return None
    end = 0.0 if held.toward == "low" else profile.length_mm
    names = at_end(profile, held.toward)
    radii = [
        p[1]
        for s in profile.outline.segments
        if s.id in names
        for p in (s.curve.start, s.curve.end)
        if abs(p[0] - end) <= _SKIN_MM
    ]
    if not radii:
        return None
    # a dome or a lip leaves but a point or an edge to be cut through
    inner, outer = min(radii), max(*radii, min(radii) + _LEAST_CUT_MM)
    depth = min(0.05, 0.5 * parting_mm)
    z = -depth if held.toward == "low" else profile.length_mm
    strip = box(z + 0.2 * depth, inner, z + 0.8 * depth, outer)
    widths = [(work, _width(work.tool)) for work in removal.works if work.tool.access == "outer"]
    narrow = [pair for pair in widths if pair[1] <= parting_mm + 2.0 * _SKIN_MM]

    def wish(pair: tuple[Work, float]) -> tuple[bool, bool, float, str]:
        tool, width = pair[0].tool, pair[1]
        return "part" not in tool.kind, not is_blade(tool), width, tool.name

    able = (work.tool for work, _ in sorted(narrow, key=wish) if _parts(work, strip, removal))
    return next(able, None)


def no_pip_ends(intent: Intent | None) -> frozenset[Toward]:
    """Ends at which the intent lets no pip stay; none where it says nothing of it."""
    if intent is None or intent.parting_pip is None:
        return frozenset()
    return frozenset(end for end in ENDS if end not in intent.parting_pip)


BLADE_RA_UM = Cited(
    3.2,
    "µm",
    "common practice",
    "the best that a parting blade leaves, from memory",
    verified=False,
)
BLADE_LENGTH_MM = Cited(
    0.1,
    "mm",
    "common practice",
    "width of a length to a parted face, held no closer: the blade runs out of square, from memory",
    verified=False,
)


def clean_ends(profile: Profile, intent: Intent | None) -> frozenset[Toward]:
    """Ends of whose face more is stated than a blade leaves: smoother, truer, closer to length."""
    if intent is None:
        return frozenset()
    places = [r.place for r in intent.roughness if r.ra_um < BLADE_RA_UM.value]
    places += [t.place for t in intent.tolerances if t.of == "surface" or _is_close(t)]
    stated = {s for place in places for s in place.segments}
    return frozenset(end for end in ENDS if stated & set(end_face(profile, end)))


def _is_close(tolerance: Tolerance) -> bool:
    width = length_width_mm(tolerance)
    return width is not None and width <= BLADE_LENGTH_MM.value + 1e-9


def length_width_mm(tolerance: Tolerance) -> float | None:
    """Width of a length's tolerance in mm; None of all else, and where none is known."""
    if tolerance.of != "length":
        return None
    if tolerance.width_mm is not None:
        return tolerance.width_mm
    span = tolerance.limits_mm or tolerance.deviations_mm
    return None if span is None else round(span[1] - span[0], 6)


def true_ends(profile: Profile, groups: Sequence[Group]) -> frozenset[Toward]:
    """Ends whose face must run true to something."""
    related = {s for group in groups for s in group.segments}
    return frozenset(end for end in ENDS if related & set(end_face(profile, end)))


def _parts(work: Work, strip: Region, removal: Removal) -> bool:
    asked = work.asked
    # elsewhere it need not be told what it sweeps
    swept = asked.swept(asked.touching(removal.standing, strip.bounds))
    return not thick((strip - swept).grown(0.5 * _SKIN_MM, "mitre"))


def _width(tool: Tool) -> float:
    z = [p[0] for ring in tool.outlines.cutting for c in ring for p in (c.start, c.end)]
    return max(z) - min(z) if z else 0.0
