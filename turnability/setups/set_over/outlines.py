"""What holds work that is set over, as outlines to draw to scale in the plane of both axes.

Jaws stand where the part's own axis is, chuck and centres on the axis that is turned about. Sizes
are those of `holding_outlines`; no judgement rests on them.
"""

from __future__ import annotations

from dataclasses import dataclass

from turnability.half_plane.curves import Point
from turnability.part.model import Profile
from turnability.setups.holding.outlines import Polygon, holding_outlines
from turnability.setups.model import Datum, SetOver, Setup


@dataclass(frozen=True, slots=True)
class SetOverOutlines:
    """Polygons (z, y) in mm: z in the part's frame, y from the axis that is turned about.

    The part's own axis lies at y = -offset. `grips` touch the work (jaws, a dog) on either side of
    that, `centres` carry it, `body` carries the grips.
    """

    grips: tuple[Polygon, ...]
    centres: tuple[Polygon, ...]
    body: tuple[Polygon, ...]


def set_over_outlines(profile: Profile, one: SetOver) -> SetOverOutlines | None:
    """The outlines of one chucking; None where nothing of the shop holds it."""
    if one.grip is None or one.holding is None or one.toward_chuck is None:
        return None
    between = one.holding.kind == "between-centres"
    setup = Setup(
        order=0,
        toward_chuck=one.toward_chuck,
        grip=one.grip,
        datum=Datum(None, ""),
        support="between-centres" if between else "none",
        operations=(),
        left=(),
        holding=one.holding,
    )
    held = holding_outlines(profile, setup, None)
    if held is None:
        return None
    on_work, on_axis = held.grips, held.centres
    if between:  # of a dog and the centre behind it
        on_work, on_axis = held.grips[:1], (*held.grips[1:], *held.centres)
    return SetOverOutlines(
        grips=_both(on_work, one.offset_mm), centres=_both(on_axis), body=_both(held.body)
    )


def _both(some: tuple[Polygon, ...], below_mm: float = 0.0) -> tuple[Polygon, ...]:
    """Each on either side of an axis that lies so far below the one that is turned about."""
    made: list[Polygon] = []
    for one in some:
        for side in (1.0, -1.0):
            moved: list[Point] = [(z, side * r - below_mm) for z, r in one]
            made.append(tuple(moved))
    return tuple(made)
