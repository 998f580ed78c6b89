"""What is measured before unclamping: all that was cut, each where it can be, none twice.

Sizes are those drawn; the lists were written by hand from the drawings.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.outputs.route_sheet.faced_lengths import Base, base_of
from turnability.outputs.route_sheet.route import route_of
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Datum, Grip, Setup
from turnability.shop.load import starter_shop

SHOP = starter_shop()
FIXTURES = Path(__file__).parents[2] / "fixtures"
# two retaining-ring grooves of 1.3 in 20, a wider one in 30, an undercut of 22 behind the 25
GROOVED = [
    (0, 0), (95, 0), (95, 12.5), (73, 12.5), (73, 11), (70, 11), (70, 15), (53.6, 15),
    (53.6, 12.6), (50, 12.6), (50, 15), (40, 15), (40, 10), (31.3, 10), (31.3, 9.5), (30, 9.5),
    (30, 10), (16.3, 10), (16.3, 9.5), (15, 9.5), (15, 10), (0, 10),
]  # fmt: skip


def lists_of(report: Report) -> list[tuple[str, ...]]:
    return [sheet.measure for sheet in route_of(report, SHOP).setups]


def test_grooves_are_measured_at_floor_and_width_and_lengths_from_the_faced_end() -> None:
    report = walk(drawn_part(GROOVED), SHOP)
    (lines,) = lists_of(report)
    told = "\n".join(lines)
    assert "groove floor ⌀19 mm, width 1.3 mm (" in told
    assert "F3 15 mm, F5 30 mm from the face S22)" in told
    assert sum("⌀19 mm" in line for line in lines) == 1, "alike ones stand together"
    assert "groove floor ⌀25.2 mm, width 3.6 mm (" in told
    assert "groove floor ⌀22 mm, width 3 mm (" in told
    (diameters,) = [line for line in lines if line.startswith("⌀20 mm")]
    assert diameters.count("S") == 3, "20 is cut in three pieces, and measured as one size"
    (lengths,) = [line for line in lines if line.startswith("shoulders")]
    # its high end is held: from z 0 to either shoulder of the 30
    assert lengths.startswith("shoulders from the face S22: 40 mm (S12), 70 mm (S6)")
    assert len(set(lines)) == len(lines)
    # the blade leaves the far face: the whole, and the flange that ends in it, come only then
    assert lines[-1] == (
        "once parted off, as the blade leaves it: overall length 95 mm (S22 to S2), "
        "length 22 mm (S4 to S2)"
    )


def test_lengths_start_from_the_free_end_be_it_a_face_or_a_tip() -> None:
    """A cone's tip at z 40, shoulders at 20 and 10, the sawn end at 0."""
    pin = drawn_profile([(0, 0), (40, 0), (30, 6), (20, 6), (20, 10), (10, 10), (10, 15), (0, 15)])
    at = {(s.surface, s.curve.start[0]): s.id for s in pin.segments if s.surface == "end"}
    shoulder, last, sawn = at["end", 20.0], at["end", 10.0], at["end", 0.0]
    (cone,) = (
        s.id
        for s in pin.segments
        if 40.0 in (s.curve.start[0], s.curve.end[0]) and s.surface == "outer"
    )
    held = Setup(
        1, "low", Grip("raw bar", "outer", (-30, -5), 32, 25), Datum(None, ""), "none", (), ()
    )
    assert base_of(held, pin, {cone, shoulder, last}, ()) == Base("the high end", (), 40.0)
    assert base_of(held, pin, {last}, {cone}) == Base("the high end", (), 40.0)
    # the tip is not cut yet: from the face before the other
    first = Base(f"the face {shoulder}", (shoulder,), 20.0)
    assert base_of(held, pin, {shoulder, last}, ()) == first
    assert base_of(held, pin, (), ()) is None
    turned_round = replace(held, toward_chuck="high")
    assert base_of(turned_round, pin, {sawn}, ()) == Base(f"the face {sawn}", (sawn,), 0.0)
    # faced in a chucking before, it is still what is measured from
    assert base_of(turned_round, pin, {last}, {sawn}) == Base(f"the face {sawn}", (sawn,), 0.0)


def test_a_taper_is_measured() -> None:
    (lines,) = lists_of(walk(drawn_part([(0, 0), (60, 0), (60, 10), (40, 10), (0, 8)]), SHOP))
    # (20 - 16) / 2 / 40: 2° 51' 45"
    (line,) = [one for one in lines if one.startswith("taper")]
    assert line.startswith("taper ⌀16 to 20 mm over 40 mm, half angle 2° 52' (S")


def test_stated_sizes_of_a_groove_are_not_told_again_plainly() -> None:
    floor = Tolerance(
        "diameter", Named(diameter_mm=(25.2, 25.2)), "-0.1/0", None, None, (-0.1, 0.0), 0.1, 25.2
    )
    width = Tolerance("length", Named(z_mm=(50.0, 53.6)), "0/0.1", None, None, (0.0, 0.1), 0.1, 3.6)
    for stated, rest in (
        ((floor,), "groove width 3.6 mm ("),
        ((width,), "groove floor ⌀25.2 mm ("),
        ((floor, width), None),
    ):
        (lines,) = lists_of(walk(drawn_part(GROOVED), SHOP, intent=Intent(tolerances=stated)))
        about = [line for line in lines if "25.2" in line or "3.6 mm" in line]
        assert len(about) == len(stated) + (rest is not None)
        assert rest is None or any(line.startswith(rest) for line in about)


def test_a_length_over_both_setups_is_told_once_where_its_last_face_is_cut() -> None:
    flange = [(0, 0), (60, 0), (60, 12), (20, 12), (20, 55), (0, 55)]
    whole = Tolerance(
        "length", Named(z_mm=(0.0, 60.0)), "±0.05", None, None, (-0.05, 0.05), 0.1, 60
    )
    report = walk(drawn_part(flange), SHOP, intent=Intent(tolerances=(whole,)))
    lists = lists_of(report)
    assert len(lists) == 2
    told = [[line for line in lines if line.startswith("length 60 mm")] for lines in lists]
    assert [len(some) for some in told] == [0, 1]
    assert "59.95 to 60.05 mm" in told[1][0]


@pytest.mark.parametrize("setups", [1, 2])
def test_a_run_out_is_told_while_its_surfaces_stand_true(setups: int) -> None:
    points = [(0, 0), (60, 0), (60, 12), (20, 12), (20, 55), (0, 55)]
    other = Named(z_mm=(20.0, 20.0)) if setups == 1 else Named(z_mm=(0.0, 0.0))
    true = Related("spigot and face", (Named(diameter_mm=(24.0, 24.0)), other), 0.02)
    lists = lists_of(walk(drawn_part(points), SHOP, intent=Intent(related=(true,))))
    told = [[line for line in lines if line.startswith("run-out")] for lines in lists]
    assert sum(map(len, told)) == 1
    (line,) = [line for some in told for line in some]
    assert "within 0.02 mm" in line
    if setups == 2 and told[-1]:
        assert (" against S" in line and "cut before" in line) or line.count("S") == 2


def test_a_roughness_is_looked_at_while_it_can_be_cut_again() -> None:
    fine = Roughness(Named(diameter_mm=(25.0, 25.0)), 0.8)
    (lines,) = lists_of(walk(drawn_part(GROOVED), SHOP, intent=Intent(roughness=(fine,))))
    assert "Ra 0.8 µm on S3" in lines


def test_the_end_cap_by_hand(reports_of: Any) -> None:
    """From its drawing: spigot f7, groove, its width, the seat square to the spigot, bore, rim."""
    first = lists_of(*reports_of(FIXTURES / "end_cap.step"))[0]
    assert [line.split(" on ")[0].split(" (S")[0] for line in first] == [
        "diameter 44 mm f7 (43.95 to 43.975 mm)",  # ISO 286: f7 of 44 is -25 to -50 µm
        "diameter 38.2 mm (38.15 to 38.2 mm)",
        "length 4.8 mm (4.8 to 4.9 mm)",
        "Ra 1.6 µm",
        "run-out of spigot and seat within 0.05 mm,",
        "bore ⌀16 mm",
        "⌀110 mm",
        "shoulders from the face S4: 14 mm",
    ]


def test_a_taper_too_short_for_a_sine_bar_is_measured_as_a_chamfer() -> None:
    """⌀16 to 20 over 2 mm between two cylinders, and the same over 10."""
    for long, how in ((2.0, "as a chamfer, by caliper"), (10.0, "by gauge or sine bar")):
        ring = [(0, 0), (60, 0), (60, 8), (30 + long, 8), (30, 10), (0, 10)]
        lines = [line for one in lists_of(walk(drawn_part(ring), SHOP)) for line in one]
        (taper,) = [line for line in lines if line.startswith("taper")]
        assert taper.endswith(how)


# by hand: faced and turned from z 24, then turned round on its neck and faced at z 0
FLANGE = [(0, 0), (0, 50), (12, 50), (12, 20), (24, 20), (24, 0)]


def test_what_two_chuckings_face_is_measured_once_its_second_face_stands() -> None:
    """A flange of 12 on a part of 24: neither length stands before z 0 is faced."""
    report = walk(drawn_part(FLANGE), SHOP)
    first, second = lists_of(report)
    assert [s.toward_chuck for s in report.setups] == ["low", "high"]
    assert not any("length" in line for line in first)
    (face,) = report.setups[1].operations[0].segments
    planes = {s.curve.start[0]: s.id for s in report.part.profile.segments if s.surface == "end"}
    assert face == planes[0.0]
    assert second[-2:] == (
        f"overall length 24 mm ({planes[0.0]} to {planes[24.0]})",
        f"length 12 mm ({planes[0.0]} to {planes[12.0]})",
    )


def test_a_stated_length_is_not_told_again_plainly_when_its_second_face_stands() -> None:
    whole = Tolerance(
        "length",
        Named(z_mm=(0.0, 24.0)),
        "-0.1/0",
        deviations_mm=(-0.1, 0.0),
        nominal_mm=24.0,
    )
    _, lines = lists_of(walk(drawn_part(FLANGE), SHOP, intent=Intent(tolerances=(whole,))))
    told = [line for line in lines if "24 mm" in line]
    assert told == ["length 24 mm (23.9 to 24 mm) on S2, S6"]


def test_a_recess_that_stays_uncut_is_neither_measured_nor_said_to_be_cut_whole() -> None:
    """A cup of ⌀52 behind an entry of ⌀40 with a cone for floor: no bar comes to the wall."""
    cup = [(8, 0), (0, 0), (0, 30), (70, 30), (70, 20), (60, 20), (60, 26), (15, 26)]
    report = walk(drawn_part(cup), SHOP)
    left = {s for one in report.setups[-1].left for s in one.segments}
    (wall,) = [
        s.id for s in report.part.profile.segments if s.curve.start[1] == 26.0 == s.curve.end[1]
    ]
    (cone,) = [
        s.id
        for s in report.part.profile.segments
        if 8.0 in (s.curve.start[0], s.curve.end[0]) and s.surface == "inner"
    ]
    assert {wall, cone} <= left
    route = route_of(report, SHOP)
    lines = [line for one in route.setups for line in one.measure]
    assert not any("52" in line for line in lines)
    steps = [step.where for one in route.setups for step in one.steps if cone in step.where]
    assert steps
    assert all(f"{cone} ⌀0–52 z 8–15 (as far as it gets, the rest stays uncut)" in s for s in steps)
    assert all("stays uncut" not in s.where for s in route.setups[1].steps), "faced whole"
