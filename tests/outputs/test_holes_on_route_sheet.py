"""How deep drills go, by hand: a point of 118° is d / 2 / tan 59° long, 0.3004 d."""

from __future__ import annotations

import re

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, StatedThread
from turnability.intent.settle import settled
from turnability.outputs.route_sheet.route import Route, route_of
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material


def route(points: list[tuple[float, float]]) -> Route:
    shop = with_material(starter_shop(), "C45", None)
    return route_of(walk(drawn_part(points), shop), shop)


def drills(found: Route) -> dict[str, tuple[str, str]]:
    return {
        step.tool: (step.where, step.first)
        for setup in found.setups
        for step in setup.steps
        if step.kind == "drill"
    }


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_pointed_drill_stops_before_a_flat_floor(mirrored: bool) -> None:
    """⌀5 × 12 deep, flat: the point 0.3 before the floor, its full diameter 1.502 mm less deep."""
    points = [(0, 0), (0, 10), (30, 10), (30, 2.5), (18, 2.5), (18, 0)]
    full, point, floor = "19.8", "18.3", "18"
    if mirrored:
        points = [(30 - z, r) for z, r in reversed(points)]
        full, point, floor = "10.2", "11.7", "12"
    found = drills(route(points))
    assert found["drill 5"][0].endswith(
        f", its point no deeper than z {point}, full diameter to z {full}"
    )
    assert found["slot drill 5"][0].endswith(f" face z {floor}, no deeper than z {floor}")


def test_a_floor_round_a_deeper_hole_is_squared_down_to_it() -> None:
    """⌀10 × 25 round ⌀7 through: ⌀10 to a flat floor at z 25, and no bar to finish it."""
    found = drills(route([(0, 3.5), (25, 3.5), (25, 5), (50, 5), (50, 15), (0, 15)]))
    assert found["slot drill 10"][0].endswith(", no deeper than z 25")


def test_a_wide_drill_before_a_bar_leaves_the_floor_and_wants_a_small_one_first() -> None:
    """⌀45 × 56 deep: ⌀30 stands 0.3 before z 4; 30 · 0.3004 = 9.01 behind its point."""
    found = drills(route([(0.0, 0.0), *CUP]))
    where, first = found["drill 30"]
    assert where == "for what follows, its point no deeper than z 4.3, full diameter to z 13.31"
    assert first == "Centre-drill, then drill about ⌀15 mm, no deeper, before it"


def test_a_drill_that_finishes_its_floor_and_one_that_goes_through() -> None:
    """A drilled point of 118° is its own floor: ⌀10 to z 20, its point 3.004 deeper."""
    ends = drills(route([(0, 0), (0, 12), (40, 12), (40, 5), (20, 5), (16.9957, 0)]))
    point, full = (float(z) for z in re.findall(r"z ([\d.]+)", ends["drill 10"][0])[-2:])
    assert (point, full) == pytest.approx((16.9957, 20.0), abs=0.01)
    through = drills(route([(0, 5), (0, 12), (40, 12), (40, 5)]))
    # a point alone would leave a cone in the bar: 1 mm out in full, the point 3.004 before that
    assert through["drill 10"][0].endswith(
        ", through, full diameter to z -1, its point to z -4 (in the bar)"
    )


NUT = [(0, 4), (0.6, 3.4), (15.4, 3.4), (16, 4), (16, 7), (8, 7), (8, 14), (0, 14)]


def test_a_tapped_hole_is_countersunk_at_either_end_by_no_larger_drill() -> None:
    """By hand, M8 through a nut: drill 6.8, countersink to ⌀8, tap; then the other mouth, and the
    tap once more. The lead of 4 pitches is 5 mm, its tip at z 0.6 - 5 = -4.4: the drill's full
    diameter goes a pitch further into the bar, to -5.65, its point 2.043 further (118°)."""
    shop = with_material(starter_shop(), "C45", None)
    part = drawn_part(NUT)
    meant = Intent(threads=(StatedThread(Named(diameter_mm=(6.8, 6.8)), "M8"),))
    found = route_of(walk(part, shop, intent=settled(meant, part)), shop)
    first, second = found.setups
    inside = ("drill", "countersink", "bore", "thread")
    mine = [(s.kind, s.tool) for s in first.steps if s.kind in inside]
    assert mine == [
        ("drill", "drill 6.8"),
        ("countersink", "countersink"),
        ("thread", "tap M8x1.25"),
    ]
    assert [(s.kind, s.tool) for s in second.steps if s.kind in inside] == [
        ("countersink", "countersink")
    ]
    where = {s.tool: s.where for s in first.steps}
    assert where["drill 6.8"].endswith(
        ", through, full diameter to z -5.65, its point to z -7.69 (in the bar)"
    )
    assert where["countersink"].endswith(", until its mouth is ⌀8 mm")
    assert second.threads == (
        "then run tap M8x1.25 once more through S2 z 0.6 to 15.4 mm: the chamfer leaves a burr in "
        "it",
    )


@pytest.mark.parametrize(("deep", "told"), [(29.0, False), (45.0, True)])
def test_chips_are_cleared_from_a_hole_over_three_diameters_deep(deep: float, told: bool) -> None:
    """⌀10 from z 60 with its own point: 29 deep with the point are 2.9 diameters, 45 are 4.5."""
    floor = 60.0 - deep
    found = drills(route([(0, 0), (0, 12), (60, 12), (60, 5), (floor + 3.0043, 5), (floor, 0)]))
    first = found["drill 10"][1]
    assert ("Draw it out every 3 diameters and oftener deep down, to clear chips" in first) == told
    assert "Centre-drill before it" in first


def test_a_bored_tapped_hole_goes_on_into_the_bar_as_far_as_the_tap() -> None:
    """M20 bored to 17.3: lead 4 * 2.5 = 10, a pitch more: to -12.5, and the drill too."""
    shop = with_material(starter_shop(), "C45", None)
    part = drawn_part([(0, 8.65), (0, 17), (18, 17), (18, 8.65)])
    meant = Intent(threads=(StatedThread(Named(diameter_mm=(17.3, 17.3)), "M20"),))
    (only,) = route_of(walk(part, shop, intent=settled(meant, part)), shop).setups
    drill, tap = (next(s for s in only.steps if s.kind == kind) for kind in ("drill", "thread"))
    assert ", full diameter to z -12.5, its point to z -17.31 (in the bar)" in drill.where
    assert tap.first == (
        "Through: full thread to z 0, its tip to z -10 in the bar, where the hole goes on as wide "
        "to z -12.5; oil, turn back to break chips"
    )


def test_a_bore_that_bars_enter_has_its_mouth_bored() -> None:
    """⌀20: the bar of 12 that may bore it cuts its chamfer too."""
    kinds = {
        (s.kind, s.tool)
        for one in route([(0, 10), (0, 20), (30, 20), (30, 11), (29, 10)]).setups
        for s in one.steps
    }
    assert not any(kind == "countersink" for kind, _ in kinds)


CUP = [(0.0, 25.0), (60.0, 25.0), (60.0, 22.5), (4.0, 22.5), (4.0, 0.0)]


def test_a_bottom_drawn_with_another_point_says_so_and_asks_for_no_change_to_a_tool() -> None:
    """⌀6.8 with a point of 2 mm: 2 atan(3.4 / 2) = 119.1°, where a drill has 118°."""
    found = route([(0, 3.4), (0, 10), (40, 10), (40, 0), (18, 0), (16, 3.4)])
    (line,) = [line for line in found.left if "drill" in line]
    assert re.search(r": the point of its drill is not the drawn one \(N\d\)$", line)


def test_a_drill_that_comes_out_of_a_sawn_piece_is_kept_off_the_chuck() -> None:
    """By hand: a flange between hubs, ⌀16 through 52 mm, sawn 1 mm longer at the low end. Drill 15
    is 1 mm out in full, its point 7.5 / tan 59° = 4.506 mm farther: so much beyond the piece."""
    hubs = [(0, 8), (52, 8), (52, 15), (30, 15), (30, 40), (20, 40), (20, 15), (0, 15)]
    where, _ = drills(route([(float(z), float(r)) for z, r in hubs]))["drill 15"]
    assert where.endswith(
        "full diameter to z -1, its point to z -5.51 (4.6 mm beyond the piece: set it that far off "
        "the chuck's face or stop, unless the chuck's own hole is wider)"
    )
