"""What drills of many sizes leave of a taper inside: steps, that are one trouble and not many.

Reach lets every drill of the shop go as deep as the part lets it. Where no bar gets in beside a
taper, the corners of all those drills touch it one after another, and what stands between two of
them counts as a region of its own. Nobody drills so: the steps are told together, with that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

from turnability.reach.model import Left, Needed
from turnability.reach.needed import LEAST_MM
from turnability.reach.together import MORE_HELPS
from turnability.rules.model import View
from turnability.rules.speak import segments_by_id

BY_EVERY_DRILL = (
    "That is with every drill that goes in run as deep as it may, one size after another; with "
    "fewer of them more stays."
)
FEW_DRILLS = 2
"""So many drills one after another somebody may well run (our choice)."""
_SAME_MM = 0.01
_LEAST_MM = 0.02


def is_step(left: Left, view: View) -> bool:
    """Whether the region lies beside a taper or a curve inside, and a drill's side bounds it."""
    return bool(_drills_beside(left, view))


def _drills_beside(left: Left, view: View) -> frozenset[float]:
    """Radii of the drills whose sides bound a region beside a taper or a curve inside."""
    known = segments_by_id(view.part)
    beside = [known[s] for s in left.segments if s in known]
    if not any(
        s.surface == "inner" and abs(s.curve.start[1] - s.curve.end[1]) > _SAME_MM for s in beside
    ):
        return frozenset()
    sizes = {
        tool.limits["diameter_mm"] / 2.0
        for tool in view.shop.tools
        if tool.kind == "drill" and "diameter_mm" in tool.limits
    }
    straight = {s.curve.start[1] for s in beside if s.curve.start[1] == s.curve.end[1]}
    ring = left.polygon
    return frozenset(
        r
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
        if abs(a[1] - b[1]) <= _SAME_MM and abs(a[0] - b[0]) >= _LEAST_MM
        for r in sizes
        if abs(a[1] - r) <= _SAME_MM and not any(abs(a[1] - r) <= _SAME_MM for r in straight)
    )


def steps_together(regions: Sequence[Left], view: View) -> list[tuple[Left, bool]]:
    """The regions, steps beside the same surfaces as one, and whether it is such steps.

    It has the place, the volume, the depth and the causes of all, and what one tool would need to
    clear them all, as far as one number says it. Where
    only one or two drills touch the surface, as in the middle of a dish, they part what stays and
    leave no steps.
    """
    beside = {left.id: _drills_beside(left, view) for left in regions}
    parted = {left.segments for left in regions if beside[left.id]}
    told: list[tuple[Left, bool]] = []
    for left in regions:
        own = [one for one in regions if one.segments == left.segments]
        sizes = frozenset(r for one in own for r in beside[one.id])
        steps = len(sizes) > FEW_DRILLS
        if steps:
            own = [one for one in own if beside[one.id]]
        if left.segments not in parted or left not in own:
            told.append((left, False))
        elif left is own[0]:
            told.append((_as_one(own), steps))
    return told


def _as_one(steps: Sequence[Left]) -> Left:
    deepest = max(steps, key=lambda left: left.deepest_mm)
    causes = tuple(dict.fromkeys(cause for left in steps for cause in left.causes))
    return replace(
        deepest,
        causes=causes,
        needed=_needed_for_all(steps),
        area_mm2=sum(left.area_mm2 for left in steps),
        volume_mm3=sum(left.volume_mm3 for left in steps),
        polygon=tuple(chain.from_iterable(left.polygon for left in steps)),
    )


def _needed_for_all(steps: Sequence[Left]) -> Needed | None:
    """The number with which their nearest tool clears them all; None where it is not one."""
    told = [left for left in steps if left.deepest_mm >= LEAST_MM]
    needs = [left.needed for left in told if left.needed is not None]
    alike = len({(left.nearest_tool, left.causes) for left in told}) == 1
    if not alike or not needs or len(needs) < len(told):
        return None
    most = max if needs[0].parameter in MORE_HELPS else min
    return most(needs, key=lambda one: one.value)
