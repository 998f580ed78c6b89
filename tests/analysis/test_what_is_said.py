"""What the findings say of whole parts: nothing that a machinist would laugh at.

Common practice, no source: bosses and slots are milled after the envelope is turned, a hexagon's
size is its spanner's, nobody is told to make a part larger than itself.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import pytest

from turnability.analysis import analyze
from turnability.intent.model import Intent
from turnability.report import Report
from turnability.rules.drawn import drawn_left
from turnability.rules.speak import stays_text
from turnability.shop.load import starter_shop
from turnability.shop.model import StockSize


def said(report: Report, rule: str) -> list[tuple[str, str]]:
    return [(f.level, f.message) for f in report.findings if f.rule == rule]


@pytest.fixture(scope="module")
def bossed() -> Report:
    """A flange of 80 with a hub of 30 and a round boss beside it."""
    flange = cq.Workplane().circle(40).extrude(10).faces(">Z").workplane().circle(15).extrude(30)
    return analyze(flange.union(cq.Workplane(origin=(28, 0, 10)).circle(6).extrude(12)))


def test_the_foot_of_a_boss_is_no_inside_corner_of_the_lathe(bossed: Report) -> None:
    assert bossed.reach is not None
    feet = [left for left in bossed.reach.left if left.causes == ("nose-radius",)]
    assert feet, "the turned body has a corner there"
    assert said(bossed, "sharp-inside-corner") == []


def test_a_hub_beside_a_boss_is_a_warning_that_names_the_boss(bossed: Report) -> None:
    ((level, message),) = said(bossed, "unreached-surface")
    assert level == "warning"
    assert "(D1 " in message
    assert "mill it as well" in message
    assert bossed.verdict == "turnable"


def test_a_slot_across_a_head_is_no_hole() -> None:
    """Two slots would cross in a hole as wide as they are; one is the least hole of its union."""
    head = cq.Workplane().circle(10).extrude(40)
    report = analyze(head.cut(cq.Workplane(origin=(0, 0, 38)).box(30, 2.5, 4)))
    assert said(report, "hole-between-drills") == []
    assert {level for level, _ in said(report, "unreached-surface")} <= {"note"}


def hexagon(across_flats: float) -> cq.Workplane:
    body = cq.Workplane().polygon(6, across_flats / math.cos(math.pi / 6)).extrude(10)
    return body.faces(">Z").workplane().circle(across_flats / 3).extrude(25)


def test_nobody_is_told_to_turn_a_hexagon_smaller() -> None:
    report = analyze(hexagon(24.0))  # its corners, 27.71, lie just under a bar of 28
    assert said(report, "outside-near-stock-size") == []
    shop = starter_shop()
    listed = replace(shop, stock=(*shop.stock, StockSize("hex", "hexagon 24", 24.0)))
    ((level, message),) = said(analyze(hexagon(24.0), listed), "outside-near-stock-size")
    assert level == "note"
    assert "24 mm across flats: hexagon 24" in message


@pytest.mark.parametrize(("low", "high"), [(0.0, 8.0), (8.0, 14.0)])
def test_a_closed_hollow_is_told_of_once(low: float, high: float) -> None:
    """On the axis and as a ring round it; no tool reaches it, so none is asked for."""
    void = cq.Workplane(origin=(0, 0, 10)).circle(high).extrude(15)
    if low > 0.0:
        void = void.cut(cq.Workplane(origin=(0, 0, 10)).circle(low).extrude(15))
    report = analyze(cq.Workplane().circle(20).extrude(40).cut(void))
    assert [f.rule for f in report.findings if f.level == "error"] == ["closed-cavity"]


def test_a_drill_larger_than_the_part_is_no_change() -> None:
    report = analyze(cq.Workplane().circle(0.6).extrude(3).faces(">Z").workplane().hole(0.4, 1.5))
    ((_, message),) = said(report, "hole-between-drills")
    assert "Make the hole" not in message
    assert all(finding.change is None for finding in report.findings)


def test_a_part_of_impossible_size_is_an_error_and_undetermined() -> None:
    report = analyze(cq.Workplane().circle(0.02).circle(0.01).extrude(0.05))
    assert [level for level, _ in said(report, "implausible-size")] == ["error"]
    assert report.verdict == "undetermined"
    assert report.reach is None
    assert all(finding.change is None for finding in report.findings)


def test_the_pole_of_a_ball_is_cut() -> None:
    """Within 0.07 mm of its axis a ball of 5 lies less than a micrometre under its end plane."""
    report = analyze(cq.Workplane().sphere(2.55))
    assert said(report, "unreached-surface") == []


@pytest.mark.parametrize("radius", [2.55, 25.0])
def test_a_ball_is_told_how_it_is_held(radius: float) -> None:
    """Common practice, no source: on a neck parted last, or bought; never with a cylinder."""
    report = analyze(cq.Workplane().sphere(radius))
    ((level, message),) = said(report, "no-land-to-grip")
    assert level == "warning"
    assert [o.kind for setup in report.setups for o in setup.operations][-1] == "part off"
    assert "pole as it is parted off: a pip stays there" in message
    assert "turned on a neck that is parted last: draw a stem or a flat at one pole" in message
    assert "ISO 3290" in message
    assert "Draw a straight cylinder" not in message


def test_a_lens_is_no_ball() -> None:
    """Two spheres of 30 that meet at ⌀40: each outside arc has a centre of its own.

    By hand: it is turned from its bar, its back by the blade that parts it off at the pole.
    """
    lens = cq.Workplane().sphere(30).intersect(cq.Workplane(origin=(0, 0, 44.7)).sphere(30))
    report = analyze(lens)
    assert said(report, "no-land-to-grip") == []
    assert [o.kind for setup in report.setups for o in setup.operations][-1] == "part off"


def test_what_stays_is_said_by_its_distance_from_the_cut() -> None:
    """`deepest_mm` is no thickness: where nothing beside is cut, it exceeds the region itself."""
    ring = [(10.0, 4.0), (13.0, 4.0), (13.0, 8.0), (10.0, 8.0)]  # 5 mm from corner to corner
    near = drawn_left(("S1",), ring, ("no-tool",), 4.9)
    far = drawn_left(("S1",), ring, ("no-tool",), 5.1)
    assert "up to 4.9 mm from the nearest cut" in stays_text(near, inch=False)
    assert "nothing beside it is cut" in stays_text(far, inch=False)


def stepped(fillet_mm: float) -> cq.Workplane:
    """A pin of 24 on a flange of 40, the corner between them with a radius, if any."""
    corner = cq.Workplane("XZ").moveTo(0, 0).lineTo(20, 0).lineTo(20, 20)
    if fillet_mm:
        corner = corner.lineTo(12 + fillet_mm, 20).radiusArc((12, 20 + fillet_mm), fillet_mm)
    else:
        corner = corner.lineTo(12, 20)
    return corner.lineTo(12, 50).lineTo(0, 50).close().revolve(360, (0, 0, 0), (0, 1, 0))


def test_a_corner_is_advised_for_the_tool_that_cuts_its_walls_anyway() -> None:
    """Besides the least radius of any tool: drawn with the advised one, no second tool is asked."""
    sharp = analyze(stepped(0.0))
    ((_, message),) = said(sharp, "sharp-inside-corner")
    assert "at least 0.1 mm (0.8 mm, and rough right does it alone), or a relief" in message
    rounded = analyze(stepped(0.8))
    assert said(rounded, "sharp-inside-corner") == []
    assert rounded.setups is not None
    outside = {o.tool for s in rounded.setups for o in s.operations if o.kind in ("turn", "groove")}
    assert outside == {"rough right"}


@pytest.mark.parametrize("bore_mm", [3.2, 4.3, 5.3, 6.4, 8.4])
def test_holes_for_screws_are_no_matter_in_the_starter_shop(bore_mm: float) -> None:
    """ISO 273 fine: clearance holes of M3, M4, M5, M6, M8, in spacers everywhere."""
    spacer = cq.Workplane().circle(10).circle(bore_mm / 2).extrude(12)
    report = analyze(spacer)
    assert (report.verdict, said(report, "hole-between-drills")) == ("turnable", [])


def dished(seat_radius_mm: float) -> cq.Workplane:
    """A foot with a hollow seat, 30 wide at its mouth; bore 8 turns it but for the very middle."""
    deep = seat_radius_mm - math.sqrt(seat_radius_mm**2 - 15.0**2)
    half = math.asin(15.0 / seat_radius_mm) / 2.0
    middle = 20 - deep + seat_radius_mm * (1.0 - math.cos(half))
    outline = cq.Workplane("XZ").moveTo(0, 0).lineTo(20, 0).lineTo(20, 20).lineTo(15, 20)
    outline = outline.threePointArc((seat_radius_mm * math.sin(half), middle), (0, 20 - deep))
    return outline.close().revolve(360, (0, 0, 0), (0, 1, 0))


def test_what_stays_within_general_tolerances_is_no_reason_against_a_part() -> None:
    """ISO 2768-1 medium leaves ±0.1 up to 6 mm and more beyond (from memory).

    The drill of 3 mm stops where its corner touches the seat: what stays on either side is one
    trouble.
    """
    report = analyze(dished(20.0))
    assert len(report.reach.left) == 1
    ((level, message),) = said(report, "unreached-surface")
    assert (level, report.verdict) == ("warning", "turnable")
    assert "⌀0 to 4.5" in message
    assert "0.056 mm from the nearest cut" in message
    assert "let it stay, unless something seats, seals or runs there" in message


def test_what_stays_is_an_error_where_the_design_states_something() -> None:
    """With a roughness for the whole part every surface has to be cut."""
    report = analyze(dished(20.0), intent=Intent(ra_um=1.6))
    found = said(report, "unreached-surface")
    assert {level for level, _ in found} == {"error"}
    assert report.verdict == "not-turnable"
    assert not any("let it stay" in message for _, message in found)
