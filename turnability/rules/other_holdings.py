"""What else could hold the work of a setup, by the plan, the part and the shop: only what applies.

No module of this package that gives advice on holding names soft jaws to soft jaws, a collet to a
diameter that none closes on, or a land that is still raw when the setup begins.
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.part.model import Profile, Segment
from turnability.reach.model import ENDS, Toward
from turnability.rules.model import View
from turnability.setups.bending.squeeze import THIN
from turnability.setups.holding.grips import SHORT_GRIP, holding_of, passable
from turnability.setups.holding.on_face import glued_mm, ways_to_screw
from turnability.setups.model import Land, Setup
from turnability.shop.collets import COLLET_SETS, collets_of
from turnability.shop.model import HoldingKind, Shop
from turnability.units import length_text

HARD_JAWS: tuple[HoldingKind, ...] = ("three-jaw", "four-jaw")
DISC = 0.5
"""Nothing longer than this share of its diameter is advised to be glued by a face (our choice)."""
MANDREL_MM = 15.0
MANDREL_PER_BORE = 0.5
"""The least of a bore that a mandrel wants (common practice, no source)."""
COLLET_PER_DIAMETER = 1.0
"""The least that a collet holds, in diameters (common practice, no source)."""
_SAME_MM = 1e-3


def kind_of(shop: Shop, setup: Setup) -> HoldingKind | None:
    """What kind of holding has the work; None where the shop lists none of that name."""
    holding = holding_of(setup, shop)
    return None if holding is None else holding.kind


def softer_holdings(view: View, setup: Setup) -> list[str]:
    """Holdings that squeeze a thin wall less, in place of the setup's own."""
    grip, kind = setup.grip, kind_of(view.shop, setup)
    flats = grip.across_flats_mm is not None
    found = []
    if kind in HARD_JAWS:
        found.append("mill soft jaws to the flats" if flats else "bore soft jaws to the diameter")
    if (
        kind != "collet"
        and grip.surface == "outer"
        and collets_take(grip.held_mm)
        and grip.length_mm >= COLLET_PER_DIAMETER * grip.held_mm - _SAME_MM
    ):
        found.append("use a collet for hexagon" if flats else "use a collet")
    if kind != "mandrel" and bored_before(view, setup) is not None:
        found.append("use a mandrel in the bore")
    if (land := _solid_land(view, setup)) is not None:
        found.append(f"grip {'inside ' if land.surface == 'inner' else ''}where the wall is thick")
    return found


def collets_take(diameter_mm: float) -> bool:
    """Whether a collet of any standard set closes on it (DIN 6499)."""
    spans = [span for name in COLLET_SETS for span in collets_of(name)]
    return any(low - _SAME_MM <= diameter_mm <= high + _SAME_MM for low, high in spans)


def bored_before(view: View, setup: Setup) -> Land | None:
    """The longest bore, cut whole in earlier setups and not in this, that a mandrel could hold."""
    cut = cut_before(view, setup) - {s for o in setup.operations for s in o.segments}
    bores = [
        land
        for land in view.lands or ()
        if land.surface == "inner"
        and cut.issuperset(land.segments)
        and _length(land) >= max(MANDREL_MM, MANDREL_PER_BORE * land.diameter_mm)
    ]
    return max(bores, key=_length, default=None)


def mandrel_way(view: View, profile: Profile) -> str:
    """That a mandrel in a bore may hold what no jaws do, where the shop lists none; else empty.

    In the longest through bore that its first chucking makes whole and the intent lets be held.
    """
    kept = {s for n in (view.intent.no_grip if view.intent else ()) for s in n.place.segments}
    bores = [
        land
        for land in view.lands or ()
        if land.surface == "inner"
        and profile.through_bore_mm is not None
        and not kept.intersection(land.segments)
        and any(passable(profile, land, end) for end in ENDS)
        and _length(land) >= max(MANDREL_MM, MANDREL_PER_BORE * land.diameter_mm)
    ]
    if not bores:
        return ""
    bore = max(bores, key=_length)
    spans = [h.inside_mm for h in view.shop.holdings if h.kind == "mandrel"]
    if any(span is None or span[0] <= bore.diameter_mm <= span[1] for span in spans):
        return ""
    size = length_text(bore.diameter_mm, view.shop.inch)
    return (
        f"Or hold it for the second chucking on a mandrel (expanding, or an arbor turned to it "
        f"with a shoulder and a nut) in its bore of ⌀{size}, once that is bored or reamed whole in "
        "the first: list one as a holding, and what makes that bore from one end, and it is "
        "judged. "
    )


def arbor_ways(view: View, profile: Profile) -> str:
    """That its face holds it on an arbor that the shop does not list: screwed, else glued."""
    inch, listed = view.shop.inch, {holding.kind for holding in view.shop.holdings}
    for end in ENDS if "bolt-arbor" not in listed else ():
        for way in ways_to_screw(profile, view.part.departures, end):
            heads = ", their heads on its flange," if way.heads_z_mm is not None else " (tapped)"
            return (
                f"Or screw it by its holes of ⌀{length_text(way.hole_mm, inch)} on "
                f"⌀{length_text(way.circle_mm, inch)}{heads} to an arbor for the second chucking: "
                "list a bolt-arbor as a holding, and it is judged. "
            )
    disc = profile.length_mm <= DISC * profile.max_diameter_mm
    glued = "glued-arbor" in listed or not any(disc and glued_mm(profile, end) for end in ENDS)
    return (
        ""
        if glued
        else (
            "Last of all, glue may hold its end face for light cuts (list a glued-arbor), if a "
            "qualified machinist dares. "
        )
    )


def cut_before(view: View, setup: Setup) -> set[str]:
    """Segments that setups before this one cut."""
    return {
        s
        for one in view.setups or ()
        if one.order < setup.order
        for o in one.operations
        for s in o.segments
    }


def setup_that_cuts_instead(view: View, setup: Setup, across: Sequence[str]) -> Setup | None:
    """Another setup that gets at these inside surfaces and does not grip the wall round them."""
    profile = view.part.profile
    if profile is None:
        return None
    mine = [s for s in profile.segments if s.id in across]
    for one in view.setups or ():
        free = one.free_end
        if one is setup or not mine or any(_overlaps(s, one.grip.z_mm) for s in mine):
            continue
        if all(_opens(profile, s, free) for s in mine):
            return one
    return None


def _opens(profile: Profile, segment: Segment, toward: Toward) -> bool:
    """Whether nothing narrower lies between an inside surface and that end."""
    z, r = zip(segment.curve.start, segment.curve.end, strict=True)
    land = Land((segment.id,), "inner", (min(z), max(z)), 2.0 * min(r))
    return passable(profile, land, toward)


def _overlaps(segment: Segment, span: tuple[float, float]) -> bool:
    low, high = segment.ends_z_mm
    return low < span[1] - _SAME_MM and high > span[0] + _SAME_MM


def _solid_land(view: View, setup: Setup) -> Land | None:
    """A land that stands finished over a thick wall and hides nothing that this setup turns."""
    profile = view.part.profile
    if profile is None:
        return None
    here = {s for o in setup.operations for s in o.segments}
    lands = [
        land
        for land in view.lands or ()
        if land.surface == "outer"
        and cut_before(view, setup).issuperset(land.segments)
        and not here & set(land.segments)
        and _length(land) >= SHORT_GRIP.value
        and passable(profile, land, setup.toward_chuck)
        and _is_thick(profile, land)
        and not _hides(profile, land, setup, here)
    ]
    return max(lands, key=_length, default=None)


def _is_thick(profile: Profile, land: Land) -> bool:
    """Whether no bore makes a ring that gives of it (`squeeze.THIN`)."""
    inner = [s for s in profile.segments if s.surface == "inner" and _overlaps(s, land.z_mm)]
    bore = max((max(s.curve.start[1], s.curve.end[1]) for s in inner), default=0.0)
    outer = land.diameter_mm / 2.0
    return (outer + bore) / 2.0 < THIN * (outer - bore)


def _hides(profile: Profile, land: Land, setup: Setup, here: set[str]) -> bool:
    """Whether jaws on it would stand before an outside that this setup turns."""
    low, high = land.z_mm
    for s in profile.segments:
        if s.id not in here or s.surface == "inner":
            continue
        least, most = s.ends_z_mm
        if least < high - _SAME_MM if setup.toward_chuck == "low" else most > low + _SAME_MM:
            return True
    return False


def _length(land: Land) -> float:
    return land.z_mm[1] - land.z_mm[0]
