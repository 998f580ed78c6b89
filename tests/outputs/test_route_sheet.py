"""The route sheet against what stands in the plan, and speeds against the formula by hand."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, NoGrip, Related, Tolerance
from turnability.outputs.route_sheet import SUFFIX, route_text, write_route
from turnability.outputs.route_sheet.beside import CATCH
from turnability.outputs.route_sheet.figure import (
    EDGE_PX,
    NUMBERS_PX,
    TALLEST,
    TALLEST_HALF,
    WIDTH,
    figure,
    is_half,
)
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of
from turnability.outputs.summary import summary_lines
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material

STUB = [(0, 0), (90, 0), (90, 7.5), (75, 7.5), (75, 10), (15, 10), (15, 7.5), (0, 7.5)]
"""Short enough to be parted off: 4.8 diameters."""
SHAFT = [(0, 0), (200, 0), (200, 7.5), (175, 7.5), (175, 10), (25, 10), (25, 7.5), (0, 7.5)]
BOTH = [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)]


def made(points, *, inch=False, intent=None, name=None):
    shop = replace(starter_shop(), inch=inch)
    part = drawn_part(points)
    if name is not None:
        part = replace(part, source=replace(part.source, product=name))
    material = None if intent is None else intent.material
    return walk(part, shop, intent=intent), with_material(shop, material, None)


def test_every_operation_stands_there_once_in_order():
    report, shop = made(BOTH)
    route = route_of(report, shop)
    assert len(route.setups) == len(report.setups) == 2
    for sheet, setup in zip(route.setups, report.setups, strict=True):
        assert [(s.kind, s.tool) for s in sheet.steps] == [
            (o.kind, o.tool) for o in setup.operations
        ]
        for step, operation in zip(sheet.steps, setup.operations, strict=True):
            assert re.findall(r"S\d+", step.where) == list(operation.segments)
        assert setup.grip.kind in sheet.hold
        assert sheet.datum == setup.datum.why
    # on a screen of 60 columns the same words, folded below their own: the datum's after its label
    wide, narrow = (route_text(report, shop, width) for width in (None, 60))
    assert narrow.split() == wide.split()
    assert max(map(len, narrow.splitlines())) <= 60 < max(map(len, wide.splitlines()))
    lines = narrow.splitlines()
    datum = next(n for n, line in enumerate(lines) if line.startswith("  Datum     "))
    assert lines[datum + 1].startswith(" " * 12 + lines[datum + 1].split()[0])


def test_a_plan_begins_from_stock_that_would_do():
    """By hand: ⌀199 of hot rolled bar wants 199 / 0.968 = 205.58 mm (a bar supplier's note); the
    starter shop's largest is 200, so a bar of that size is to be bought, held and swung.

    What becomes chips is that bar, 60 + 2 + 3 long, less the part.
    """
    report, shop = made([(0, 0), (60, 0), (60, 60), (25, 60), (25, 99.5), (0, 99.5)])
    assert report.stock is not None
    assert report.stock.choice is None
    assert report.setups[0].grip.diameter_mm == report.stock.wanted_mm == 205.6
    (stock,) = route_of(report, shop).stock
    assert "no stock of the shop's list holds the part" in stock
    assert "at least ⌀205.6 mm, to be bought" in stock
    assert "stock of ⌀205.6 mm" in " ".join(report.plan.lathes[0].hinders)
    summary = " ".join(span.text for line in summary_lines(report) for span in line.spans)
    assert "to be bought" in " ".join(summary.split())
    assert [f.rule for f in report.findings].count("no-stock-size") == 1
    part = math.pi * (99.5**2 * 25 + 60**2 * 35)
    chips = (math.pi / 4 * 205.6**2 * 65 - part) / 1000
    assert any(f"{chips:.1f} cm³" in one.why for one in report.effort.parts)


def test_stock_to_cut_and_how_many_a_bar_gives():
    """By hand: shaft 200 + 2 + 3; held by half of bar 22 (11) and 2; (3000 - 13) / 205 = 14.6."""
    report, shop = made(SHAFT)
    stock = " ".join(route_of(report, shop).stock)
    assert "bright bar 22" in stock
    assert "205 mm a piece" in stock
    assert "13 mm of each bar stay in the chuck" in stock
    assert "14 parts from a bar of 3000 mm" in stock


def test_speeds_follow_from_cutting_speed_and_diameter():
    """n = 1000 v / (pi d), rounded down (ISO 3002-1's quantities; any shop handbook)."""
    report, shop = made(BOTH)
    seen = 0
    for sheet in route_of(report, shop).setups:
        for step in sheet.steps:
            found = re.search(r"(\d+) rpm \((\d+) m/min\)", step.finish)
            if not found or step.kind != "turn":
                continue
            rpm, speed = (float(word) for word in found.groups())
            exact = 1000.0 * speed / (math.pi * 44.0)
            assert 0.9 * exact - 50.0 <= rpm <= 1.02 * exact
            seen += 1
    assert seen


def test_what_to_measure_before_unclamping():
    seat = Named(diameter_mm=(15.0, 15.0), z_mm=(180.0, 195.0))
    low = Named(diameter_mm=(15.0, 15.0), z_mm=(5.0, 20.0))
    intent = Intent(
        tolerances=(Tolerance("diameter", seat, "h6", fit="h6"),),
        related=(Related("journals", (seat, low), 0.02),),
    )
    report, shop = made(SHAFT, intent=intent)
    lines = route_of(report, shop).setups[0].measure
    assert any("h6" in line and "S3" in line for line in lines)
    # ISO 286: h6 of 15 mm is 0 to -11 um
    assert any("14.989 to 15 mm" in line for line in lines)
    assert any("run-out of journals within 0.02 mm" in line for line in lines)
    assert any("20 mm" in line for line in lines)


def test_a_length_to_a_parted_face_is_measured_once_it_is_parted():
    """Before that the second face does not exist; one between two turned faces can be measured."""
    ring = [(0, 6.5), (8, 6.5), (8, 12), (4, 12), (4, 15), (0, 15)]

    def measured(low):
        place = Named(z_mm=(low, 8.0))
        long = Tolerance(
            "length", place, "-0.05/0", deviations_mm=(-0.05, 0.0), nominal_mm=8.0 - low
        )
        report, shop = made(ring, intent=Intent(tolerances=(long,)))
        (sheet,) = route_of(report, shop).setups
        (off,) = [o for o in sheet.setup.operations if o.kind == "part off"]
        (line,) = [line for line in sheet.measure if line.startswith("length")]
        return off.segments, line

    parted, line = measured(0.0)
    assert parted == ("S6",)
    assert line == (
        "length 8 mm (7.95 to 8 mm) on S2 and S6: once parted off, as the blade leaves it"
    )
    assert measured(4.0)[1] == "length 4 mm (3.95 to 4 mm) on S2, S4"


def test_cautions_stand_where_the_work_can_hurt():
    report, shop = made(STUB)
    (sheet,) = route_of(report, shop).setups
    assert CATCH in sheet.cautions
    assert any(line.startswith("Slender work can bend and leave") for line in sheet.cautions)
    # once, where it is done
    assert [step.kind for step in sheet.steps if "centre away" in step.first] == ["part off"]
    text = route_text(report, shop)
    assert "qualified machinist" in text
    assert "key out of the chuck" in text


def test_inch_shops_read_inches():
    report, shop = made(BOTH, inch=True)
    text = route_text(report, shop)
    assert not re.search(r"\d mm", re.sub(r"^  Stock.*|bar of .*", "", text, flags=re.M))
    assert "ft/min" in text


def test_the_page_is_whole_and_draws_every_setup(tmp_path):
    report, shop = made(BOTH, name='<b>&"bush"')
    target = tmp_path / f"bush{SUFFIX}"
    write_route(report, shop, target)
    text = target.read_text("utf-8")
    assert '<b>&"bush"' not in text
    drawings = re.findall(r"<svg.*?</svg>", text, re.S)
    assert len(drawings) == 2
    for drawing in drawings:
        ET.fromstring(drawing)
    assert "@page" in text
    assert not re.search(r"https?://|<script", text)
    assert page(route_of(report, shop), report, shop) == text


def test_the_second_setup_is_drawn_turned_round():
    report, shop = made(BOTH)
    text = page(route_of(report, shop), report, shop)
    turned = [("matrix(-1" in d) for d in re.findall(r"<svg.*?</svg>", text, re.S)]
    assert turned == [s.toward_chuck == "high" for s in report.setups]
    # every z is counted from the low end: it has the mark, at the right where it stands free
    for setup, drawing in zip(report.setups, re.findall(r"<svg.*?</svg>", text, re.S), strict=True):
        (mark,) = re.findall(r'd="M(\S+) \S+l-5 8h10z"', drawing)
        width = float(re.search(r'viewBox="0 0 (\S+) ', drawing).group(1))
        assert (float(mark) > width / 2.0) == (setup.toward_chuck == "high")
        assert ">z 0</text>" in drawing


def test_every_operation_has_its_number_where_its_cut_ends():
    report, shop = made(SHAFT)
    text = page(route_of(report, shop), report, shop)
    for setup, drawing in zip(report.setups, re.findall(r"<svg.*?</svg>", text, re.S), strict=True):
        told = sorted(int(n) for n in re.findall(r"<text[^>]*>(\d+)</text>", drawing))
        assert told == list(range(1, len(setup.operations) + 1))
        width, height = map(float, re.search(r'viewBox="0 0 (\S+) (\S+)"', drawing).groups())
        for x, y in re.findall(r'<circle cx="(\S+)" cy="(\S+)"', drawing):
            assert 0.0 <= float(x) <= width
            assert 0.0 <= float(y) <= height


def test_a_part_that_no_chuck_takes_says_so():
    report, shop = made([(0, 0), (20, 0), (20, 160), (0, 160)])
    (finding,) = [f for f in report.findings if f.rule == "no-land-to-grip"]
    route = route_of(report, shop)
    assert route.no_plan == f"no holding of the shop takes its stock ({finding.id})"
    assert f"  No plan   {route.no_plan}" in route_text(report, shop)
    assert f"No plan: {route.no_plan}" in page(route, report, shop)
    # no lathe is named for what is not made
    assert "Lathe  " not in route_text(report, shop)
    bare = replace(shop, holdings=())
    assert "[[holding]]" in route_of(replace(report, setups=()), bare).no_plan


@pytest.mark.parametrize("grip", ["", "outside"])
def test_what_stays_uncut_is_told(grip):
    keep = (NoGrip(Named(diameter_mm=(44.0, 44.0))),) if grip else ()
    report, shop = made(BOTH, intent=Intent(no_grip=keep))
    route = route_of(report, shop)
    assert bool(route.left) is bool(report.setups[-1].left)


def test_work_that_nothing_parts_off_is_sawn_off_its_bar():
    """1 mm to face is what the stock has on either end (common practice, no source)."""
    report, shop = made([(0, 20), (6, 20), (6, 50), (0, 50)])
    first, second = route_of(report, shop).setups
    assert "part off" not in [step.kind for step in first.steps]
    behind = 0 if first.setup.toward_chuck == "low" else 6
    assert first.then == f"saw off behind z {behind}, leaving 1 mm to face in setup 2"
    assert second.then is None
    text = route_text(report, shop)
    assert text.index("Measure before") < text.index(f"Then      {first.then}")
    assert text.index(first.then) < text.index("Setup 2")
    assert first.then in page(route_of(report, shop), report, shop)


def test_a_long_shaft_is_sawn_off_at_rest_and_faced_the_other_way_round():
    """200 mm of mean ⌀18.75 are 10.7 diameters, where 6 are the most that is parted off."""
    report, shop = made(SHAFT)
    first, second = route_of(report, shop).setups
    assert "part off" not in [step.kind for step in first.steps]
    assert CATCH not in first.cautions
    assert first.then == (
        "saw off behind z 0, leaving 1 mm to face in setup 2, with the spindle stopped and the "
        "free end held up: 10.7 diameters would hang free if it were parted off, where no centre "
        "may stand"
    )
    assert [step.kind for step in second.steps] == ["face"]


def test_what_a_blade_parts_off_is_not_sawn():
    report, shop = made(STUB)
    for sheet in route_of(report, shop).setups:
        assert "saw" not in (sheet.then or "")
        assert "part off" in [step.kind for step in sheet.steps]


def test_an_end_that_no_second_setup_faces_stays_as_sawn():
    report, shop = made([(0, 20), (6, 20), (6, 50), (0, 50)])
    alone = replace(report, setups=report.setups[:1])
    (sheet,) = route_of(alone, shop).setups
    assert sheet.then is not None
    assert sheet.then.endswith("that face stays as sawn")


def test_a_sawn_piece_on_its_own_end_has_nothing_behind_it():
    report, shop = made([(0, 20), (6, 20), (6, 50), (0, 50)])
    first = report.setups[0]
    piece = replace(first, grip=replace(first.grip, kind="raw piece", z_mm=(-1.0, 3.0)))
    own = replace(report, setups=(piece, *report.setups[1:]))
    assert route_of(own, shop).setups[0].then is None


def test_a_drill_and_a_blade_stand_under_neither_rough_nor_finish():
    report, shop = made([(0, 6), (30, 6), (30, 20), (0, 20)])
    route = route_of(report, shop)
    root = ET.fromstring(
        page(route, report, shop)
        .removeprefix("<!DOCTYPE html>\n")
        .replace('<meta charset="utf-8">', "")
        .replace("<p class=key>", "<p>")
        .replace('<meta name="viewport" content="width=device-width, initial-scale=1">', "")
    )
    spans = {}
    for row in root.iter("tr"):
        cells = row.findall("td")
        if len(cells) > 2:
            spans.setdefault(cells[1].text, []).append(cells[-1].get("colspan"))
    assert set(spans["drill"]) == {"2"}
    assert set(spans["part off"]) == {"2"}
    assert set(spans["face"] + spans["turn"]) == {None}
    text = route_text(report, shop)
    assert re.search(r"drill, [^\n]*\n +run ", text)
    assert re.search(r"turn, [^\n]*\n( +rough [^\n]*\n)? +finish ", text)


@pytest.mark.parametrize(
    ("points", "half"),
    [(SHAFT, False), ([(0, 20), (12, 20), (12, 60), (0, 60)], True)],
    ids=["shaft", "flange"],
)
def test_a_wide_flange_is_drawn_large_by_its_upper_half(points, half):
    """Whole, its diameter would take the 214 px of height: 107 px for the radius."""
    report, _ = made(points)
    piece = report.stock.choice
    tools = {tool.name: tool for tool in report.tools}
    for setup in report.setups:
        assert is_half(report.part.profile, setup, piece) is half
        drawn = ET.fromstring(figure(report.part.profile, setup, piece, tools, "setup"))
        width, height = float(drawn.get("width")), float(drawn.get("height"))
        assert width <= WIDTH
        assert height <= TALLEST_HALF + NUMBERS_PX
        if half:
            radius = (height - NUMBERS_PX - 2 * EDGE_PX) / 1.1  # a tenth of it is seen below
            assert radius > 1.5 * (TALLEST - 2 * EDGE_PX) / 2.0
        lines = [
            one.get("d") for one in drawn.iter() if re.match(r"M[^VA]*L[^L]*V", one.get("d", ""))
        ]
        assert len(lines) == sum(o.ends_at is not None for o in setup.operations)
        starts = [float(d[1:].split()[0]) for d in lines]
        ends = [float(re.search(r"L([\d.]+)", d)[1]) for d in lines]
        assert starts == sorted(starts)
        assert ends == sorted(ends), "no line crosses another"


def test_light_last_passes_are_told_twice_and_what_is_left_to_the_pass_before_them():
    """A bush of 1.5 mm wall roughed to 0.5 mm a side: 0.3 mm at the usual feed, then 0.1 mm twice.

    The bore is 30 mm behind a drill of 28: 1 mm a side, of which 0.5 mm are left to finish too.
    """
    place = Named(diameter_mm=(33.0, 33.0))
    h9 = Tolerance("diameter", place, "h9", width_mm=0.062, nominal_mm=33.0)
    bush = [(0, 15), (40, 15), (40, 16.5), (0, 16.5)]
    report, shop = made(bush, intent=Intent(tolerances=(h9,), material="POM"))
    (sheet,) = route_of(report, shop).setups
    last = [s for s in sheet.steps if "twice" in s.finish]
    assert [s.kind for s in last] == ["bore", "turn"]
    for step in last:
        assert step.rough.startswith("0.3 mm deep, 0.1 mm a turn, ")
        assert step.finish.startswith("0.1 mm deep, 0.05 mm a turn, ")
        assert step.finish.endswith(": twice, for the work would bend under a heavier last pass")
