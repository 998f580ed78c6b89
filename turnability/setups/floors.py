"""Flat floors of wide bores: bored, and squared at the centre by a slot drill.

The far side of a boring bar meets the opposite wall before its nose comes to the centre; a slot
drill squares what stays there. A blade on a bar, fed across a floor, cuts with its side and
chatters.
"""

from __future__ import annotations

from turnability.half_plane.regions import Region, box
from turnability.reach.removal import Work
from turnability.setups.chucking import Chucking
from turnability.setups.cuts import thick
from turnability.setups.drilling import diameter_of, is_flat
from turnability.setups.roughing import is_blade
from turnability.setups.shares import CUT_SHARE, rank_of
from turnability.setups.sharing import Sharing

_FLOOR_MM = 0.011
_NOOK_MM = 1.0
"""What lies so near to a floor's rim is asked of no tool: every nose leaves its rounding there."""
_MEET_MM = 0.2
"""So far a slot drill's edge goes at least beyond what the bar's nose touches (our choice)."""


def flat_floors(chucking: Chucking, sharing: Sharing) -> None:
    """Such floors from a grooving bar to a boring bar, their centre to the least slot drill."""
    shares, given = chucking.shares, sharing.given
    narrow = frozenset().union(*chucking.wishes.grooves)
    planes = {s.id: s for s in chucking.profile.segments if s.surface == "end"}
    bars = [w for w in shares.removal.works if rank_of(w.tool) == 1]
    flats = [w for w in shares.removal.works if is_flat(w.tool)]
    for name in [n for n in given if is_blade(sharing.works[n].tool)]:
        if sharing.works[name].tool.access != "inner":
            continue
        for floor in sorted(given[name] & planes.keys() - narrow):
            (z, r), (_, other) = planes[floor].curve.start, planes[floor].curve.end
            r = max(r, other) - _NOOK_MM
            up = _FLOOR_MM if chucking.toward == "low" else -_FLOOR_MM
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


def _middle(flat: Work) -> Region:
    """What a slot drill takes but for its rim."""
    z0, _, z1, _ = flat.swept.bounds
    return flat.swept & box(z0, 0.0, z1, diameter_of(flat.tool) / 2.0 - _MEET_MM)
