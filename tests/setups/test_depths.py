"""No pass deeper than what stands, by hand: (blank - finished) / 2 a side."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from turnability.part.profile import drawn_profile
from turnability.rules.drawn import TURNING_TOOL, drawn_shop
from turnability.setups.cutting.depths import passes, stands_mm
from turnability.setups.cutting.forces import Cut
from turnability.setups.cutting.values import values_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.load import starter_shop, tools_of
from turnability.shop.materials import find_material
from turnability.stock.choose import choose_stock

ROUGHING, FINISHING = Cut(2.0, 0.2), Cut(0.5, 0.1)
TUBE = drawn_profile([(0, 7), (40, 7), (40, 15), (0, 15)])
"""⌀30 × 40 with a bore of 14."""
BORE = tuple(s.id for s in TUBE.segments if s.surface == "inner")
SIDE = tuple(s.id for s in TUBE.segments if s.surface == "outer")
FREE = tuple(s.id for s in TUBE.segments if s.surface == "end" and s.curve.start[0] == 40)


@pytest.mark.parametrize(
    ("stands", "rough", "finish"),
    [
        (10.0, 2.0, 0.5),
        # a millimetre behind a face: a half and a half
        (1.0, 0.5, 0.5),
        (0.55, None, 0.5),
        (0.3, None, 0.3),
        (math.inf, 2.0, 0.5),
    ],
)
def test_the_finish_takes_its_depth_and_the_roughing_what_is_left(
    stands: float, rough: float | None, finish: float
) -> None:
    first, last = passes(ROUGHING, FINISHING, stands)
    assert (first and first.depth_mm) == (rough and pytest.approx(rough))
    assert last.depth_mm == pytest.approx(finish)


def test_what_stands_before_a_face_over_an_outside_and_in_a_bore() -> None:
    by_id = {s.id: s for s in TUBE.segments}
    side, bore = ([by_id[s] for s in ids] for ids in (SIDE, BORE))
    assert stands_mm([by_id[s] for s in FREE], "face", 32.0, 0.0, 1.0) == 1.0
    assert stands_mm(side, "turn", 32.0, 0.0, 1.0) == pytest.approx(1.0)
    assert stands_mm(bore, "bore", 32.0, 12.0, 1.0) == pytest.approx(1.0)


def depths(grip: Grip, bar_mm: float, *kinds: str) -> list[tuple[float | None, float]]:
    """Roughing and finishing depth of each operation, on a lathe that limits nothing."""
    drill, bar = (
        tools_of({"kind": "drill", "diameter_mm": 12.0})[0],
        next(t for t in starter_shop().tools if t.name == "bore 8"),
    )
    shop = drawn_shop(tools=(TURNING_TOOL, drill, bar), bars_mm=(bar_mm,))
    shop = replace(shop, holdings=starter_shop().holdings)
    made = {
        "face": Operation("turning tool", FREE, "face"),
        "rough": Operation("turning tool", (), "rough"),
        "turn": Operation("turning tool", SIDE, "turn"),
        "drill": Operation(drill.name, (), "drill"),
        "bore": Operation("bore 8", BORE, "bore"),
    }
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", tuple(made[k] for k in kinds), ())
    found = find_material("6082-T6")
    assert found is not None
    stock = choose_stock(TUBE, shop)
    return [
        (v.rough and v.rough.depth_mm, v.finish.depth_mm)
        for v in values_of(TUBE, setup, stock, shop, found.material, None)
        if v.operation.kind != "drill"
    ]


RAW = Grip("raw bar", "outer", (-30.0, -5.0), 32.0, 25.0)


def test_the_sheet_takes_no_more_than_the_bar_and_the_drill_leave() -> None:
    """⌀32 to 30 is 1 a side; ⌀12 to 14 as much; the face has its millimetre."""
    made = depths(RAW, 32.0, "face", "rough", "turn", "drill", "bore")
    assert made == [pytest.approx((0.5, 0.5))] * 4


def test_light_cuts_on_raw_stock_held_over_less_than_half_its_diameter() -> None:
    """⌀50 to 30 is 10 a side: 2 to rough it, but 1 on a grip of 20 where 25 would be half."""
    thick = replace(RAW, diameter_mm=50.0)
    ((deep, _),) = depths(thick, 50.0, "turn")
    ((light, _),) = depths(replace(thick, length_mm=20.0), 50.0, "turn")
    assert (deep, light) == (2.0, 1.0)


@pytest.mark.parametrize(
    ("gripped_mm", "m_per_min", "limit"),
    [(20.0, 60.0, "short grip"), (25.0, 120.0, "cutting speed")],
)
def test_raw_stock_on_a_short_grip_is_run_at_half_the_usual_speed(
    gripped_mm: float, m_per_min: float, limit: str
) -> None:
    """Common practice, no source: raw ⌀50 wants half its diameter, 25 mm, in the jaws; C45 is
    turned at 120 m/min (low end, from memory), on less of it at 60."""
    grip = Grip("raw bar", "outer", (-5.0 - gripped_mm, -5.0), 50.0, gripped_mm)
    work = (Operation("turning tool", FREE, "face"),)
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", work, ())
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(50.0,))
    steel = find_material("C45")
    assert steel is not None
    stock = choose_stock(TUBE, shop)
    (face,) = values_of(TUBE, setup, stock, shop, steel.material, None)
    assert face.finish.speed.limit == limit
    assert face.finish.speed.cutting_m_per_min == pytest.approx(m_per_min)


def test_a_drill_turns_a_short_grip_as_fast_as_usual_but_no_faster_than_other_tools_do() -> None:
    """It pushes along the axis (common practice, no source). C45 on a short grip is bored at 60
    m/min (half of 120), of ⌀14 that is 1364 rpm, and drilled at the usual 20 m/min: 531 of ⌀12, but
    3183 of ⌀2 (speeds from memory)."""
    steel = find_material("C45")
    assert steel is not None
    hss = steel.material.hss[0].value
    assert steel.material.carbide[0].value == 120.0
    grip = Grip("raw bar", "outer", (-25.0, -5.0), 50.0, 20.0)
    bar = next(t for t in starter_shop().tools if t.name == "bore 8")
    for across, rpm, limit in (
        (12.0, 1000.0 * hss / (math.pi * 12.0), "cutting speed"),
        (2.0, 60_000.0 / (math.pi * 14.0), "short grip"),
    ):
        (drill,) = tools_of({"kind": "drill", "diameter_mm": across})
        shop = drawn_shop(tools=(TURNING_TOOL, drill, bar), bars_mm=(50.0,))
        work = (Operation(drill.name, (), "drill"), Operation("bore 8", BORE, "bore"))
        setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", work, ())
        stock = choose_stock(TUBE, shop)
        drilled, bored = values_of(TUBE, setup, stock, shop, steel.material, None)
        assert bored.finish.speed.limit == "short grip"
        assert drilled.finish.speed.limit == limit
        assert drilled.finish.speed.rpm == pytest.approx(rpm)


def test_lighter_cuts_on_a_short_grip() -> None:
    """A three-jaw wants half of ⌀30, or 10 mm at least: on 6 mm half a millimetre a side."""
    held = Grip("three-jaw 160", "outer", (0.0, 6.0), 30.0, 6.0)
    ((light, _),) = depths(held, 50.0, "turn")
    ((deep, _),) = depths(replace(held, z_mm=(0.0, 20.0), length_mm=20.0), 50.0, "turn")
    assert (light, deep) == (0.5, 2.0)


@pytest.mark.parametrize(("length_mm", "light"), [(20.0, True), (30.0, False)])
def test_bending_reckons_with_the_passes_of_the_sheet(length_mm: float, light: bool) -> None:
    """⌀50 to 20 is 15 a side: on a grip of 20, where 25 would be half, 1 to rough it, else 2."""
    from turnability.rules.drawn import drawn_part
    from turnability.setups.bending.bend import with_bending

    part = drawn_part([(0, 0), (100, 0), (100, 10), (0, 10)])
    assert part.profile is not None
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(50.0,), machines=())
    grip = replace(RAW, diameter_mm=50.0, length_mm=length_mm)
    turned = (Operation("turning tool", ("S3",), "turn"),)
    stock = choose_stock(part.profile, shop)
    bare = Setup(1, "low", grip, Datum(None, "drawn"), "none", turned, ())
    (setup,) = with_bending(part, [bare], stock, shop)
    found = find_material("C45")
    assert setup.bending is not None
    assert setup.bending.roughing is not None
    assert found is not None
    (sheet,) = values_of(part.profile, setup, stock, shop, found.material, None)
    assert sheet.rough is not None
    assert setup.bending.roughing.depth_mm == sheet.rough.depth_mm == (1.0 if light else 2.0)
    assert setup.bending.roughing.feed_mm == sheet.rough.feed_mm
    assert setup.bending.finishing is not None
    assert setup.bending.finishing.depth_mm == sheet.finish.depth_mm


def test_the_finish_goes_by_the_thinnest_of_what_it_turns() -> None:
    """A tenth of a pin of 3 is 0.3, though the 30 beside it would take half a millimetre."""
    pin = drawn_profile([(0, 0), (30, 0), (30, 1.5), (20, 1.5), (20, 15), (0, 15)])
    outside = tuple(s.id for s in pin.segments if s.surface == "outer")
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(32.0,))
    turned = (Operation("turning tool", outside, "turn"),)
    setup = Setup(1, "low", RAW, Datum(None, "drawn"), "none", turned, ())
    found = find_material("C45")
    assert found is not None
    stock = choose_stock(pin, shop)
    (sheet,) = values_of(pin, setup, stock, shop, found.material, None)
    assert sheet.finish.depth_mm == pytest.approx(0.3)


@pytest.mark.parametrize(
    ("length_mm", "flute_mm", "wall", "pilot"),
    [
        # through: the second drill and the bar find its hole of 12
        (40.0, 100.0, False, None),
        # 40 of flute less 1.5 · 12 go 22 deep: what is left is solid, and the 14 wants half of it
        (40.0, 40.0, False, 7.0),
        # a wall between two blind bores
        (40.0, 100.0, True, 7.0),
    ],
)
def test_a_hole_drilled_through_in_an_earlier_setup_is_a_pilot_hole(
    length_mm: float, flute_mm: float, wall: bool, pilot: float | None
) -> None:
    through = [(0, 7.5), (length_mm, 7.5), (length_mm, 15), (0, 15)]
    blind = [(0, 7.5), (15, 7.5), (15, 0), (25, 0), (25, 7.5), (40, 7.5), (40, 15), (0, 15)]
    profile = drawn_profile(blind if wall else through)
    small, large = (
        tools_of({"kind": "drill", "diameter_mm": d, "flute_length_mm": flute})[0]
        for d, flute in ((12.0, flute_mm), (14.0, 100.0))
    )
    bar = next(t for t in starter_shop().tools if t.name == "bore 8")
    shop = drawn_shop(tools=(small, large, bar), bars_mm=(32.0,))
    bores = tuple(s.id for s in profile.segments if s.surface == "inner")
    first = Setup(
        1, "low", RAW, Datum(None, "-"), "none", (Operation(small.name, (), "drill"),), ()
    )
    work = (Operation(large.name, (), "drill"), Operation("bore 8", bores, "bore"))
    second = replace(first, order=2, toward_chuck="high", operations=work)
    found = find_material("C45")
    assert found is not None
    stock = choose_stock(profile, shop)
    drill, bored = values_of(profile, second, stock, shop, found.material, None, None, (first,))
    assert drill.pilot_mm == pilot
    # after the 14 the bar has half a millimetre a side to 15
    assert bored.finish.depth_mm == pytest.approx(0.5)
    alone = replace(second, operations=work[1:])
    (straight,) = values_of(profile, alone, stock, shop, found.material, None, None, (first,))
    # after the 12 alone 1.5 a side: a half to finish, 1 to rough; without a hole as it can
    rough = straight.rough
    assert rough is not None
    assert rough.depth_mm == pytest.approx(1.0 if pilot is None else 2.0)
