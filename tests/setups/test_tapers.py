"""Tapers on a lathe moved by hand: half the included angle, the way, the travel, the set-over.

tan α = (D - d) / 2 l and set-over = (D - d) / 2 · L / l are every handbook's; the angles of
standard tapers are those of ISO 296 (Morse) and ISO 7388-1 (7/24), as recalled.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace

import jsonschema
import pytest

from turnability.analysis.stages import walk
from turnability.outputs.drawing.taper_set_over import TaperDrawn
from turnability.outputs.json_document import schema_text
from turnability.outputs.report_page.making import setups_block
from turnability.outputs.route_sheet import route_text
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of
from turnability.outputs.route_sheet.tapers import degrees_text
from turnability.outputs.summary import summary_lines
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import drawn_part
from turnability.setups.effort.lathes import lathes_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.set_over.tapers import tapers_of
from turnability.shop.load import starter_shop

BENCH = starter_shop().machines[0]
# Morse 3: 1:19.922, 23.825 at the gauge plane, 75 long
SMALL = 23.825 - 75.0 / 19.922
MORSE_3 = [(0, 0), (100, 0), (100, 16), (75, 16), (75, 23.825 / 2), (0, SMALL / 2)]
# 20 to 26 over 200, then 40 of 32
LONG = [(0, 0), (240, 0), (240, 16), (200, 16), (200, 13), (0, 10)]


def setup_of(profile: Profile, toward: str = "high", kind: str = "turn") -> Setup:
    grip = Grip("raw bar", "outer", (profile.length_mm, profile.length_mm + 20), 35.0, 20.0)
    ids = tuple(s.id for s in profile.segments)
    done = (Operation("tool", ids, kind),)
    return Setup(1, "high" if toward == "high" else "low", grip, Datum(None, "-"), "none", done, ())


def slanted(profile: Profile) -> list[str]:
    return [
        s.id
        for s in profile.segments
        if s.curve.start[0] != s.curve.end[0] and s.curve.start[1] != s.curve.end[1]
    ]


def test_half_angles_of_standard_tapers() -> None:
    # Morse 3 is printed 1° 26' 16", 7/24 8° 17' 50"
    profile = drawn_profile(MORSE_3)
    (one,) = tapers_of(profile, setup_of(profile), slanted(profile), BENCH)
    assert one.half_angle_deg == pytest.approx(1.0 + 26.0 / 60.0 + 16.0 / 3600.0, abs=0.5 / 3600.0)
    assert degrees_text(one.half_angle_deg) == "1° 26'"
    steep = drawn_profile([(0, 0), (60, 0), (60, 30), (48, 30), (48, 16), (0, 9)])
    (one,) = tapers_of(steep, setup_of(steep), slanted(steep), BENCH)
    assert one.half_angle_deg == pytest.approx(8.0 + 17.0 / 60.0 + 50.0 / 3600.0, abs=0.5 / 3600.0)
    assert degrees_text(one.half_angle_deg) == "8° 18'"
    assert degrees_text(29.995) == "30° 00'"


@pytest.mark.parametrize(
    ("corners", "toward"),
    [
        (MORSE_3, "high"),
        (MORSE_3, "low"),
        ([(0, 6), (40, 4), (60, 4), (60, 15), (0, 15)], "high"),
        ([(0, 6), (40, 4), (60, 4), (60, 15), (0, 15)], "low"),
    ],
)
def test_the_slide_lies_along_the_surface_in_front(
    corners: list[tuple[float, float]], toward: str
) -> None:
    """Seen from above: chuck left, x to the right, whoever turns it below, the tool in front."""
    profile = drawn_profile(corners)
    (name,) = slanted(profile)
    kind = "turn" if corners is MORSE_3 else "bore"
    (one,) = tapers_of(profile, setup_of(profile, toward, kind), [name], BENCH)
    curve = next(s.curve for s in profile.segments if s.id == name)
    mirror = 1.0 if toward == "low" else -1.0
    ends = [(mirror * z, -r) for z, r in (curve.start, curve.end)]
    (x0, y0), (x1, y1) = sorted(ends)
    surface = math.degrees(math.atan2(y1 - y0, x1 - x0))
    slide = one.half_angle_deg if one.anticlockwise else -one.half_angle_deg
    assert slide == pytest.approx(surface)


def test_the_travel_is_the_slant_and_a_run_in() -> None:
    profile = drawn_profile(MORSE_3)
    (one,) = tapers_of(profile, setup_of(profile), slanted(profile), BENCH)
    slant = math.hypot(75.0, (23.825 - SMALL) / 2.0)
    assert one.travel_mm == pytest.approx(slant + 2.0)
    assert (one.limit_mm, one.too_long) == (80.0, False)
    (one,) = tapers_of(
        profile, setup_of(profile), slanted(profile), replace(BENCH, topslide_travel_mm=77.0)
    )
    assert one.too_long  # 77.02


def test_a_long_slender_one_by_the_tailstock_set_over() -> None:
    profile = drawn_profile(LONG)
    (one,) = tapers_of(profile, setup_of(profile), slanted(profile), BENCH)
    # (26 - 20) / 2 · 240 / 200
    assert one.set_over_mm == pytest.approx(3.6)
    assert one.too_long
    assert one.toward_you  # it narrows to the tailstock: that end of the work comes to the tool
    # a fiftieth of the length is 4.8: a taper of 28 to 20 would want 4.8, of 29 5.4
    for larger, able in ((27.99, True), (29.0, False)):
        wide = drawn_profile([*LONG[:4], (200, larger / 2.0), (0, 10)])
        (one,) = tapers_of(wide, setup_of(wide), slanted(wide), BENCH)
        assert (one.set_over_mm is not None) is able
    # a taper over its whole length leaves no place for a dog
    bare = drawn_profile([(0, 0), (200, 0), (200, 13), (0, 10)])
    (one,) = tapers_of(bare, setup_of(bare), slanted(bare), BENCH)
    assert one.set_over_mm is None
    hollow = drawn_profile([(0, 3), (240, 3), *LONG[2:5], (0, 10)])
    (one,) = tapers_of(hollow, setup_of(hollow), slanted(hollow), BENCH)
    assert one.set_over_mm is not None  # 60° centres sit in its bores
    (one,) = tapers_of(
        profile, setup_of(profile), slanted(profile), replace(BENCH, tailstock=False)
    )
    assert one.set_over_mm is None


def test_what_neither_makes_hinders_that_lathe() -> None:
    wide = drawn_profile([*LONG[:4], (200, 14.5), (0, 10)])
    shop = starter_shop()
    bench, driven = lathes_of(wide, None, (setup_of(wide),), shop)
    # √(200² + 4.5²) + 2
    assert [h for h in bench.hinders if h.startswith("topslide")] == [
        "topslide: taper S5 takes 202.1 mm of travel, 80 mm at most"
    ]
    assert not any(h.startswith("topslide") for h in driven.hinders)


def test_the_sheet_tells_it_where_a_manual_lathe_turns_it_alone() -> None:
    shop = starter_shop()
    report = walk(drawn_part(MORSE_3), shop)
    (line,) = [one for one in route_text(report, shop).splitlines() if "  Taper" in one]
    assert "topslide swivelled by 1° 26' (1.438°) from parallel to the axis" in line
    assert "over 77 mm, of its 80 mm" in line
    # 50 · sin 1.4377° = 1.2545
    assert "1.2545 mm in 50 mm of travel" in line or "1.254 mm in 50 mm of travel" in line
    # a standard one is measured by its own gauge: 23.825 less 75 / 19.922 is 20.06
    ring = "taper Morse 3, ⌀20.06 to 23.825 mm over 75 mm, half angle 1° 26' (S5): by its ring"
    assert f"{ring} gauge, blued" in route_text(report, shop)
    driven = replace(shop, machines=shop.machines[1:])
    assert "  Taper" not in route_text(walk(drawn_part(MORSE_3), driven), driven)
    # sawn off and turned round it is drawn in to be faced, which asks for a spindle of 40
    bench = replace(shop.machines[0], spindle_bore_mm=40.0, bar_capacity_mm=38.0)
    wide = replace(shop, machines=(bench,))
    report = walk(drawn_part(LONG), wide)
    text = route_text(report, wide)
    assert "the tailstock set over by 3.6 mm toward you" in text
    # it is turned after all else: left straight before, and measured where it is turned
    before, sheet = text.split("between centres, the tailstock set over by")
    assert "(straight to ⌀26 mm: its taper in setup" in before
    assert "taper ⌀20 to 26 mm" not in before
    assert "taper ⌀20 to 26 mm over 200 mm, half angle 0° 52' (S5)" in sheet
    # 50 mm times 3 / 200; the dog on the 32 at its thick end, z 200 to 240
    assert "0.75 mm in 50 mm" in sheet
    assert "the high end to the headstock; dog on ⌀32 mm, z 232 to 240 mm" in sheet
    document = report.document()
    (told,) = document["plan"]["tapers"]
    assert (told["segments"], told["set_over_mm"]) == (["S5"], pytest.approx(3.6))
    assert (told["toward_chuck"], told["toward_you"], told["dog_z_mm"]) == (
        "high",
        True,
        [232, 240],
    )
    schema = jsonschema.Draft202012Validator(json.loads(schema_text()))
    assert not [e for e in schema.iter_errors(document) if "plan" in e.path]
    assert "tailstock set over by 3.6 mm toward you" in "\n".join(map(str, summary_lines(report)))
    # drawn from above the taper's front, whoever turns it standing below, lies along the ways
    drawn = TaperDrawn(document, 0)
    (taper,) = [s for s in report.part.profile.segments if s.id == "S5"]
    ends = [drawn.on_work(z, -r) for z, r in (taper.curve.start, taper.curve.end)]
    assert ends[0][1] == pytest.approx(ends[1][1])
    assert drawn.on_work(0.0, 0.0)[1] - drawn.on_work(240.0, 0.0)[1] == pytest.approx(
        3.6 * drawn.px, rel=1e-3
    )
    for html in (page(route_of(report, wide), report, wide), setups_block(document, inch=False)):
        assert html.count("seen from above") == 1
    # it is a chucking of its own, and counted as one: 15 to make ready, 15 to set over and back
    assert report.effort is not None
    parts = {(p.what, p.per): p.minutes for p in report.effort.parts}
    assert parts["tailstock set over", "order"] == pytest.approx(30.0)
    assert parts["tailstock set over", "piece"] == pytest.approx(2.0)
    (many,) = [f for f in report.findings if f.rule == "more-than-two-setups"]
    assert many.measured == len(report.setups) + 1 == 3


def test_a_taper_is_held_so_that_one_tool_turns_all_of_it() -> None:
    """By hand: Morse 3, a collar of 32, a shank of 25. Held at the taper's own end, a right-hand
    tool gets at it but for the collar's back, where a left-hand one leaves its line; held at the
    shank all of it lies open."""
    ends = [(95, 16), (75, 16), (75, 23.825 / 2), (0, SMALL / 2)]
    shop = starter_shop()
    report = walk(drawn_part([(0, 0), (135, 0), (135, 12.5), (95, 12.5), *ends]), shop)
    (setup,) = report.setups
    assert setup.toward_chuck == "high"
    assert [o.tool for o in setup.operations if "S7" in o.segments] == ["rough right"]
    assert report.plan is not None
    assert report.plan.runner_up is not None
    assert report.plan.runner_up.why == "two tools share a taper, which leaves a line"


def test_the_flanks_of_a_v_groove_say_the_slide_that_a_square_blade_wants() -> None:
    """By hand: a groove of 34 degrees included, 9 deep, 8 wide at its floor: flanks that lean 17
    degrees from square, so the topslide stands at 73 from the axis, one way and the other."""
    run = 9.0 * math.tan(math.radians(17.0))
    a, b = 20.0, 28.0
    groove = [(b + run, 40), (b, 31), (a, 31), (a - run, 40)]
    sheave = [(0, 0), (50, 0), (50, 40), *groove, (10, 40), (10, 14), (0, 14)]
    shop = starter_shop()
    report = walk(drawn_part(sheave), shop)
    cut = [o for s in report.setups for o in s.operations if {"S4", "S6"} & set(o.segments)]
    assert [o.kind for o in cut] == ["groove"]
    lines = [one for one in route_text(report, shop).splitlines() if "  Taper" in one]
    assert ["S4" in one for one in lines] == [True, False]
    assert ["S6" in one for one in lines] == [False, True]
    assert all("swivelled by 73° 00' (73.000°)" in one for one in lines)
    assert all("the blade sunk square to the floor first" in one for one in lines)
    assert sorted("anticlockwise" in one for one in lines) == [False, True]
    driven = replace(shop, machines=shop.machines[1:])
    assert "  Taper" not in route_text(walk(drawn_part(sheave), driven), driven)
