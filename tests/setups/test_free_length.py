"""Blanks that stand far out alone, by hand: lengths along the axis, n = 1000 v / (π d)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.outputs.route_sheet.first import caution_free, first_texts
from turnability.outputs.route_sheet.route import route_of
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import LATHE, TURNING_TOOL, drawn_part, drawn_shop
from turnability.setups.cutting.values import values_of
from turnability.setups.holding.free import drawn_in, free_diameters, speed_share, stands_free
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material
from turnability.shop.materials import find_material
from turnability.stock.choose import choose_stock

PIN = drawn_profile([(0, 0), (120, 0), (120, 4), (0, 4)])
FACE = next(s.id for s in PIN.segments if s.surface == "end" and s.curve.start[0] == 120)
SIDE = next(s.id for s in PIN.segments if s.surface == "outer")
FACING = Operation("turning tool", (FACE,), "face")
TURNING = Operation("turning tool", (SIDE,), "turn", support="tailstock")
SETUP = Setup(
    1,
    "low",
    Grip("raw bar", "outer", (-30.0, -5.0), 14.0, 25.0),
    Datum(None, "drawn"),
    "tailstock",
    (FACING, TURNING),
    (),
)


def test_the_blank_stands_free_from_the_jaws_to_its_allowance() -> None:
    """5 mm behind the part, 120 of it, 1 before it: 126 / 14 = 9 diameters."""
    assert free_diameters(PIN, SETUP, 0, 14.0, 1.0) == pytest.approx(9.0)
    assert free_diameters(PIN, SETUP, 1, 14.0, 1.0) == 0.0
    # once it is turned to ⌀8, with its centre away: 126 / 8
    alone = replace(SETUP, operations=(TURNING, FACING))
    assert free_diameters(PIN, alone, 1, 14.0, 1.0) == pytest.approx(15.75)
    mirrored = replace(SETUP, toward_chuck="high", grip=replace(SETUP.grip, z_mm=(125.0, 150.0)))
    assert free_diameters(PIN, mirrored, 0, 14.0, 1.0) == pytest.approx(9.0)


def test_what_is_not_turned_yet_stands_free_as_the_blank_that_it_is() -> None:
    """A pin ⌀8 x 60 before ⌀12 x 60 of ⌀14: when the pin alone is turned, the mean of 8 and 14."""
    drawn = drawn_profile([(0, 0), (120, 0), (120, 4), (60, 4), (60, 6), (0, 6)])
    pin, thick = (
        next(s.id for s in drawn.segments if s.surface == "outer" and s.curve.start[1] == r)
        for r in (4, 6)
    )
    part_off = Operation("parting tool", (), "part off")
    first = replace(TURNING, segments=(pin,))
    setup = replace(SETUP, operations=(first, part_off))
    assert free_diameters(drawn, setup, 1, 14.0, 1.0) == pytest.approx(126.0 / 11.0)
    # roughed by an operation of its own: as near to size as if it were turned
    clearing = replace(TURNING, segments=(), kind="rough")
    setup = replace(SETUP, operations=(clearing, part_off, first))
    assert free_diameters(drawn, setup, 1, 14.0, 1.0) == pytest.approx(126.0 / 11.0)
    both = replace(TURNING, segments=(pin, thick))
    setup = replace(SETUP, operations=(both, part_off))
    assert free_diameters(drawn, setup, 1, 14.0, 1.0) == pytest.approx(12.6)


def test_speed_falls_with_the_square_beyond_four_diameters() -> None:
    assert [speed_share(n) for n in (1.0, 4.0, 8.0, 100.0)] == pytest.approx([1, 1, 0.25, 0.1])


def test_long_free_work_is_faced_slowly_and_turned_on_its_centre_as_usual() -> None:
    """C45, 120 m/min (low end, from memory), (4 / 9)² = 0.1975 of it at ⌀14: 539 rpm."""
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(14.0,))
    found = find_material("C45")
    assert found is not None
    stock = choose_stock(PIN, shop)
    face, turn = values_of(PIN, SETUP, stock, shop, found.material, None)
    assert face.finish.speed.limit == "free length"
    assert face.finish.speed.rpm == pytest.approx(1000.0 * 120.0 * (4 / 9) ** 2 / (3.14159265 * 14))
    assert turn.finish.speed.limit == "cutting speed"


def test_a_bar_that_passes_the_spindle_is_drawn_in_and_another_carried_or_cut_lightly() -> None:
    free = (9.0, 0.0)
    drawn = drawn_in(SETUP, free, replace(LATHE, spindle_bore_mm=26.0), 14.0)
    assert drawn == {0}
    assert first_texts(SETUP, free, drawn, False) == (
        "Let no more than 4 diameters stand out to face and centre-drill it",
        "Centre-drill the free end, draw it out to length and bring the centre up",
    )
    assert stands_free(free, drawn) == [4.0, 0.0]
    drawn = drawn_in(SETUP, free, replace(LATHE, spindle_bore_mm=13.0), 14.0)
    assert drawn == frozenset()
    thick = first_texts(SETUP, free, drawn, False)
    assert thick[0].startswith("9 diameters stand free: set a steady near the end")
    assert "draw it out" not in thick[1]
    assert first_texts(SETUP, (4.0, 0.0), drawn, False)[0] == ""


def test_what_comes_after_it_is_drawn_out_stands_free_again() -> None:
    """Faced and drilled drawn in; the drill after the turning finds it drawn out."""
    hole = Operation("drill", (), "drill")
    work = (FACING, hole, replace(TURNING, support="none"), hole)
    lathe = replace(LATHE, spindle_bore_mm=26.0)
    assert drawn_in(replace(SETUP, operations=work), (9.0,) * 4, lathe, 14.0) == {0, 1}
    land = replace(SETUP, grip=replace(SETUP.grip, kind="three-jaw"), operations=work)
    assert drawn_in(land, (9.0,) * 4, lathe, 14.0) == frozenset()


def test_drawn_in_it_is_faced_as_fast_as_a_short_one() -> None:
    """C45, 120 m/min (low end, from memory) at ⌀14: 2728 rpm, as nothing else stands out."""
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(14.0,))
    lathe = replace(LATHE, spindle_bore_mm=26.0, max_rpm=4000.0)
    found = find_material("C45")
    assert found is not None
    stock = choose_stock(PIN, shop)
    face, _ = values_of(PIN, SETUP, stock, shop, found.material, lathe)
    assert face.finish.speed.limit == "cutting speed"
    assert face.finish.speed.rpm == pytest.approx(1000.0 * 120.0 / (3.14159265 * 14))


def test_a_caution_names_the_steps_done_alone() -> None:
    said = caution_free((9.0, 0.0, 4.0))
    assert said is not None
    assert said.startswith("9 diameters stand free without support (step 1), where 4 are")
    both = caution_free((9.0, 0.0, 15.75, 9.0))
    assert both is not None
    # as many as the note beside each step tells, and not the most of all for each
    assert both.startswith(
        "9 diameters stand free without support (steps 1, 4) and 15.8 (step 3), where 4 are"
    )
    assert caution_free((4.0, 0.0)) is None
    over = caution_free((4.04, 0.0))
    assert over is not None
    assert over.startswith("4.1 diameters"), "what is over 4 does not read as 4"


def test_the_route_sheet_of_a_long_pin_draws_it_in_and_warns_of_what_is_done_drawn_out() -> None:
    shop = with_material(starter_shop(), "C45", None)
    report = walk(drawn_part([(0, 0), (120, 0), (120, 4), (0, 4)]), shop)
    (sheet, *_) = route_of(report, shop).setups
    face = sheet.steps[0]
    assert face.kind == "face"
    assert face.first.startswith("Let no more than 4 diameters stand out")
    assert "free length" not in face.finish
    assert sheet.then is not None
    assert sheet.then.startswith("saw off behind z 0, leaving 1 mm to face in setup 2, with the ")
    assert not any("stand free without support" in c for c in sheet.cautions)


def test_how_far_a_bored_end_stands_out_is_in_the_report() -> None:
    """⌀20 bored ⌀10, 120 long, of ⌀22: 4 · 22 = 88 mm while it is drilled, then on its centre."""
    shop = with_material(starter_shop(), "C45", None)
    report = walk(drawn_part([(0, 5), (120, 5), (120, 10), (0, 10)]), shop)
    operations = report.document()["setups"][0]["operations"]
    told = [(o["kind"], o["support"], o["out_mm"], o["one_pass"]) for o in operations]
    assert told[:3] == [
        ("face", "none", 88.0, False),
        ("drill", "none", 88.0, False),
        ("turn", "tailstock", None, False),
    ]


def test_work_that_hangs_free_is_parted_off_slowly_up_to_six_diameters() -> None:
    """6 diameters is common practice, from memory; up to 4 no more is said of it."""
    shop = with_material(starter_shop(), "C45", None)
    for length, parted in ((47.0, True), (49.0, False)):  # ⌀8: 5.9 and 6.1
        report = walk(drawn_part([(0, 0), (length, 0), (length, 4), (0, 4)]), shop)
        sheet, *more = route_of(report, shop).setups
        assert ("part off" in [step.kind for step in sheet.steps]) == parted
        assert bool(more) != parted
        if parted:
            off = len(sheet.steps)
            assert "held down by the free length" in sheet.steps[-1].finish
            assert any(f"stand free without support (step {off})" in c for c in sheet.cautions)


def test_a_small_pin_is_parted_off_however_slender() -> None:
    """⌀1.5 × 12 (8 diameters, 21 mm³, 0.2 g) neither sags nor whips; ⌀8 × 64 weighs 25 g."""
    for d, length, parted in ((1.5, 12.0, True), (8.0, 64.0, False)):
        pin = [(0, 0), (length, 0), (length, d / 2.0), (0, d / 2.0)]
        report = walk(drawn_part(pin), with_material(starter_shop(), "C45", None))
        assert (report.setups[0].operations[-1].kind == "part off") == parted
        assert len(report.setups) == (1 if parted else 2)


def test_what_is_turned_round_anyway_is_sawn_off_from_four_diameters() -> None:
    """Counterbored in both ends it is chucked twice: nothing is saved by parting it off."""
    for length, parted in ((78.0, True), (82.0, False)):  # ⌀20: 3.9 and 4.1
        tube = [(0, 7), (10, 7), (10, 5), (length - 10, 5), (length - 10, 7), (length, 7)]
        report = walk(drawn_part([*tube, (length, 10), (0, 10)]), starter_shop())
        first, _ = report.setups
        assert (first.operations[-1].kind == "part off") == parted
