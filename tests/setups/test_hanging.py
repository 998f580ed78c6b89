"""Of two ends to hold a slender part at, by hand: the one that little hangs out of."""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_plans_by_hand import plan

from turnability.analysis.stages import walk
from turnability.intent.model import Intent
from turnability.outputs.route_sheet.route import route_of
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.free import free_diameters
from turnability.setups.holding.jaws import Held, held_by_land, let_in
from turnability.setups.holding.lands import find_lands
from turnability.setups.holding.weak_grips import hanging
from turnability.shop.load import starter_shop

SHOP = starter_shop()
PIN = [(0, 0), (60, 0), (60, 3), (14, 3), (14, 6), (12, 6), (12, 4), (10, 4), (10, 6), (0, 6)]
"""A head of 10 mm that jaws hold, a ring groove, and a stem of 6 mm that collets alone hold."""
MIRRORED = [(60 - z, r) for z, r in PIN]


@pytest.mark.parametrize(("points", "head"), [(PIN, "low"), (MIRRORED, "high")])
def test_a_pin_is_held_by_its_stem_near_its_head(
    points: list[tuple[float, float]], head: str
) -> None:
    """Held by its head 50 mm of it hang free, more than 7 of their mean diameter; by its stem,
    with the rest of that in the spindle, no more than 14 + 2 mm need."""
    report = walk(drawn_part(points), SHOP, intent=Intent())
    first, second = report.setups
    assert (first.toward_chuck, second.toward_chuck == head) == (head, False)
    assert second.grip.diameter_mm == pytest.approx(6.0)
    z = [60.0 - n for n in second.grip.z_mm] if head == "high" else list(second.grip.z_mm)
    assert min(z) == pytest.approx(16.0)
    assert report.part.profile is not None
    assert all(
        free_diameters(report.part.profile, second, n, 14.0, 1.0, [first]) < 4.0
        for n in range(len(second.operations))
    )
    assert all(f.level == "note" for f in report.findings)
    assert report.plan is not None
    assert report.plan.runner_up is not None
    assert report.plan.runner_up.why == "more of it hangs free of the jaws, in diameters of it"


def test_a_collar_goes_into_the_chuck_where_too_much_would_hang_free_before_it() -> None:
    """A shaft of ⌀12 x 200 with a collar ⌀18 in the middle: held beside that, 100 mm of it hang
    free (8 diameters); the jaws of 160 (hole 40) opened over it, they grip 30 mm, 2 mm before the
    end. A collar of ⌀42 does not go in."""
    ends = [(0, 0), (200, 0), (200, 6), (106, 6)]
    small = [*ends, (106, 9), (100, 9), (100, 6), (0, 6)]
    report = walk(drawn_part(small), SHOP, intent=Intent())
    first, second = report.setups
    end = 0.0 if second.toward_chuck == "high" else 200.0
    near, far = sorted(abs(n - end) for n in second.grip.z_mm)
    assert (near, far) == (pytest.approx(2.0), pytest.approx(32.0))
    assert report.part.profile is not None
    assert free_diameters(report.part.profile, second, 0, 20.0, 1.0, [first]) < 1.0
    hold = route_of(report, SHOP).setups[1].hold
    assert "the jaws opened over ⌀18 mm, which goes into the chuck behind them" in hold
    jaws = next(h for h in SHOP.holdings if h.name == "three-jaw 160")
    low, high = second.grip.z_mm
    (land,) = (one for one in find_lands(report.part) if one.z_mm[0] <= low and high <= one.z_mm[1])
    assert let_in(report.part.profile, second.toward_chuck, jaws, land) is not None
    large = drawn_profile([*ends, (106, 21), (100, 21), (100, 6), (0, 6)])
    assert let_in(large, second.toward_chuck, jaws, land) is None


def test_what_hangs_free_is_reckoned_in_whole_diameters_beyond_the_usual_limit() -> None:
    """A rod of 10 mm held over its last 20 of 120: 10 diameters, 6 beyond 4; over 80, none."""
    rod = drawn_profile([(0, 0), (120, 0), (120, 5), (0, 5)])
    (land,) = [
        one
        for one in find_lands(drawn_part([(0, 0), (120, 0), (120, 5), (0, 5)]))
        if one.surface == "outer"
    ]
    jaws = next(h for h in SHOP.holdings if h.kind == "three-jaw")

    def held(mm: float) -> Held:
        return held_by_land(rod, "low", jaws, land, mm)

    assert hanging(rod, held(20.0)) == 6.0
    assert hanging(rod, held(76.0)) == 0.0  # 4.4 diameters are as good as 4
    assert hanging(rod, held(80.0)) == 0.0


POINTED = [
    *((0, 0), (70, 0), (62, 10), (57, 10), (52, 6), (44, 6), (44, 11), (40, 11), (40, 8)),
    *((20, 8), (20, 6), (1, 6), (0, 5)),
]
"""A ball stud's shape, of cones: shank, collar, neck, head with a point that takes no centre."""


@pytest.mark.parametrize("mirrored", [False, True])
def test_what_no_centre_carries_is_begun_from_the_other_end(mirrored: bool) -> None:
    """By hand: 70 mm at a mean of ⌀15 stand out whichever end is cut first, over 4 diameters. With
    the head out nothing carries it; with the shank out a centre does, and the shank then holds it
    short for the head. A shop with a steady would set that, and do it in one chucking."""
    points = [(70 - z, r) for z, r in POINTED] if mirrored else POINTED
    shank, head = ("high", "low") if mirrored else ("low", "high")
    without = replace(SHOP, machines=tuple(replace(m, steady=False) for m in SHOP.machines))
    made = plan(points, without)
    assert [(s.toward_chuck, s.support) for s in made.setups] == [
        (head, "tailstock"),
        (shank, "none"),
    ]
    assert made.setups[1].grip.diameter_mm == pytest.approx(16.0)
    assert made.runner_up.why.startswith("more of it hangs free than a chuck alone carries")
    assert len(plan(points, SHOP).setups) == 1
