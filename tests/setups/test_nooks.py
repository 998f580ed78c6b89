"""What a nose leaves in a corner that is drawn sharp is no matter of holding."""

import math

import numpy as np
import pytest

from turnability.half_plane.regions import Region, box
from turnability.rules.drawn import drawn_part
from turnability.setups.plan import plan_of
from turnability.setups.surfaces.cuts import in_a_nook, nooks_of
from turnability.setups.surfaces.wishes import wishes_of
from turnability.shop.load import starter_shop

PIN = [(0, 0), (30, 0), (30, 6), (12, 6), (12, 10), (0, 10)]
SHOULDER = (12.0, 6.0)


def fillet(radius, corner=SHOULDER):
    """What a nose of this radius leaves in a corner of 90° that opens to +z and +r."""
    z, r = corner
    angles = np.linspace(math.pi, 1.5 * math.pi, 24)
    arc = [(z + radius + radius * math.cos(a), r + radius + radius * math.sin(a)) for a in angles]
    return Region.of([np.array([(z, r), *reversed(arc)])])


def test_only_the_shoulder_is_a_nook():
    (nook,) = nooks_of(drawn_part(PIN).profile)
    assert nook.at == SHOULDER
    # a nose of 0.8 touches both walls of a corner of 90° 0.8 off it
    assert nook.reach_mm == pytest.approx(0.8)
    assert nook.centre == pytest.approx((12.8, 6.8))


@pytest.mark.parametrize("radius", [0.2, 0.4, 0.8])
def test_what_a_usual_nose_leaves_lies_in_it(radius):
    nooks = nooks_of(drawn_part(PIN).profile)
    piece = fillet(radius)
    # (1 - pi/4) R² of R by R
    assert piece.area == pytest.approx((1.0 - math.pi / 4.0) * radius**2, rel=0.01)
    assert in_a_nook(piece, nooks)


def test_stock_is_not_lost_in_it():
    nooks = nooks_of(drawn_part(PIN).profile)
    # 0.5 by 0.5 mm in the corner: every usual nose cuts some of it
    assert not in_a_nook(box(12.0, 6.0, 12.5, 6.5), nooks)
    assert not in_a_nook(fillet(1.2), nooks)
    assert not in_a_nook(fillet(0.4, (20.0, 6.0)), nooks)


def test_a_sharp_relief_beside_the_chuck_takes_no_second_chucking():
    """By hand: a spindle with a thread's relief at either end is turned from bar in one chucking.

    In the relief by the chuck only the blade of 2 mm gets down, whose corners leave 0.2 where the
    narrow one leaves 0.1 in the other: nobody chucks it again for that.
    """
    from turnability.reach.compute import reach_of
    from turnability.setups.holding.lands import find_lands
    from turnability.stock.choose import choose_stock

    points = [
        (0, 0), (150, 0), (150, 5), (149, 6), (130, 6), (130, 5), (127, 5), (127, 9), (23, 9),
        (23, 5), (20, 5), (20, 6), (1, 6), (0, 5),
    ]  # fmt: skip
    part, shop = drawn_part(points), starter_shop()
    made = plan_of(
        part,
        reach_of(part.profile, shop.tools),
        find_lands(part),
        choose_stock(part.profile, shop),
        shop,
    ).plan
    # the second one only faces the end at which it is sawn off, and breaks its edge: 10 diameters
    # would hang free
    later = [(o.kind, o.segments) for setup in made.setups[1:] for o in setup.operations]
    assert later in (
        [("face", ("S2",)), ("turn", ("S3",))],
        [("face", ("S14",)), ("turn", ("S13",))],
    )
    assert made.in_the_way is None
    assert not any("jaws" in left.causes for left in made.setups[-1].left)


def test_a_shallow_groove_wants_a_nose_that_leaves_its_walls_upright():
    """DIN 471 for a shaft of 15 mm: a groove of 1.1 by 0.35 mm, whose walls the ring leans on. Of
    0.35 mm a nose of 0.3 leaves 0.05 upright, one of 0.2 enough (0.14 are asked for). A groove of
    3 mm depth may have what any corner may."""
    points = [
        (0, 0),
        (40, 0),
        (40, 7.5),
        (28.1, 7.5),
        (28.1, 7.15),
        (27, 7.15),
        (27, 7.5),
        (0, 7.5),
    ]
    part = drawn_part(points)
    shallow = wishes_of(part, part.profile, None, ()).grooves
    assert len(shallow) == 1
    nooks, plain = nooks_of(part.profile, shallow), nooks_of(part.profile)
    at = (27.0, 7.15)
    assert in_a_nook(fillet(0.2, at), nooks)
    assert not in_a_nook(fillet(0.3, at), nooks)
    assert in_a_nook(fillet(0.3, at), plain)
    deep = drawn_part([(z, r - 2.65 if r == 7.15 else r) for z, r in points])
    narrow = wishes_of(deep, deep.profile, None, ()).grooves
    assert in_a_nook(fillet(0.5, (27.0, 4.5)), nooks_of(deep.profile, narrow))
