"""What a blade on a bar leaves to boring bars, as far as they get: flat floors, cones, long bores.

Fed across a floor or along a cone it cuts with its side and chatters. The far side of a boring bar
meets the opposite wall before its nose comes to a floor's centre: a slot drill squares what stays
there.
"""

from __future__ import annotations

from turnability.half_plane.curves import Line
from turnability.half_plane.regions import Region, box
from turnability.part.model import Segment
from turnability.reach.removal import Work
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.cuts import thick
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.shares import BARS, CUT_SHARE, rank_of
from turnability.setups.surfaces.sharing import ALIKE, Sharing
from turnability.shop.told_apart import SIDEWAYS, diameter_of, is_blade, is_flat

FLOOR_MM = 0.011
NOOK_MM = 1.0
"""What lies so near to a floor's rim is asked of no tool: every nose leaves its rounding there."""
_SAME_MM = 1e-3
_SOME = 0.2
"""Less of a cone is no work of a bar (our choice)."""
_MEET_MM = 0.2
"""So far a slot drill's edge goes at least beyond what the bar's nose touches (our choice)."""


def flat_floors(chucking: Chucking, sharing: Sharing) -> None:
    """Such floors from a grooving bar to a boring bar, their centre to the least slot drill."""
    shares, given = chucking.shares, sharing.given
    narrow = frozenset().union(*chucking.wishes.grooves)
    planes = {s.id: s for s in chucking.profile.segments if s.surface == "end"}
    bars = [w for w in shares.removal.works if rank_of(w.tool) == BARS]
    flats = [w for w in shares.removal.works if is_flat(w.tool)]
    for name in _inside_blades(sharing):
        for floor in sorted(given[name] & planes.keys() - narrow):
            (z, r), (_, other) = planes[floor].curve.start, planes[floor].curve.end
            r = max(r, other) - NOOK_MM
            up = FLOOR_MM if chucking.toward == "low" else -FLOOR_MM
            over = sharing.works[name].swept & box(min(z, z + up), 0.0, max(z, z + up), r)
            able = [w for w in bars if shares.reached(w, {floor: CUT_SHARE})]
            pairs = [
                (bar, flat)
                for bar in able
                for flat in flats
                if not thick(over - bar.swept - _middle(flat))
            ]
            if not pairs:
                continue
            bar, flat = min(
                pairs,
                key=lambda pair: (
                    pair[0].tool.name not in given,
                    pair[0].tool.weight,
                    diameter_of(pair[1].tool),
                    pair[0].tool.name,
                ),
            )
            given[name].discard(floor)
            for work in (bar, flat):
                given.setdefault(work.tool.name, set()).add(floor)
                sharing.works[work.tool.name] = work


def bored_far(chucking: Chucking, sharing: Sharing) -> None:
    """Cones and long bores also to the boring bar at hand that gets along most of one.

    The blade cuts the rest. A bore is long where that would go sideways along it too far.
    """
    narrow = frozenset().union(*chucking.wishes.grooves)
    walls = {s.id: s for s in chucking.profile.segments if s.id not in narrow}
    bars = [w for w in chucking.shares.removal.works if rank_of(w.tool) == BARS]
    ids = chucking.shares.samples.ids
    for name in _inside_blades(sharing):
        far_mm = SIDEWAYS.value * sharing.works[name].tool.limits.get("width_mm", 0.0)
        far = {n for n, s in walls.items() if _is_cone(s) or (is_bore(s) and _long(s, far_mm))}
        for cone in sorted(sharing.given[name] & far):
            cut = {id(w): float(chucking.shares.of(w)[ids.index(cone)]) for w in bars}
            least = max(cut.values(), default=0.0) - ALIKE
            able = [w for w in bars if cut[id(w)] >= max(least, _SOME)]
            if able:
                bar = min(
                    able,
                    key=lambda w: (w.tool.name not in sharing.given, w.tool.weight, w.tool.name),
                )
                sharing.given.setdefault(bar.tool.name, set()).add(cone)
                sharing.works[bar.tool.name] = bar


def _inside_blades(sharing: Sharing) -> list[str]:
    tools = {name: sharing.works[name].tool for name in sharing.given}
    return [n for n, tool in tools.items() if is_blade(tool) and tool.access == "inner"]


def _is_cone(segment: Segment) -> bool:
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    sloped = min(abs(z1 - z0), abs(r1 - r0)) > _SAME_MM
    return segment.surface == "inner" and sloped and isinstance(segment.curve, Line)


def _long(segment: Segment, far_mm: float) -> bool:
    return segment.curve.length() > far_mm + _SAME_MM


def _middle(flat: Work) -> Region:
    """What a slot drill takes but for its rim."""
    z0, _, z1, _ = flat.swept.bounds
    return flat.swept & box(z0, 0.0, z1, diameter_of(flat.tool) / 2.0 - _MEET_MM)
