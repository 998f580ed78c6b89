"""Hexagons in a chuck: the bar's own held by its flats, a milled one round until it is milled.

That three jaws close on a hexagon's flats, and neither four jaws nor a round collet do, is common
practice, no source.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, NoGrip, Related
from turnability.outputs.report_page.making import setups_block
from turnability.outputs.route_sheet.beside import SHORT, SHORT_FLATS, caution_lines
from turnability.outputs.route_sheet.route import route_of
from turnability.part.model import Departure
from turnability.report import Report
from turnability.rules import short_grip
from turnability.rules.drawn import CHUCK, drawn_part
from turnability.rules.other_holdings import softer_holdings
from turnability.setups.cutting.passes import passes_of
from turnability.setups.holding.grips import grips_for
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import Land, Operation
from turnability.shop.load import starter_shop
from turnability.shop.materials import material_of
from turnability.shop.model import HoldingKind, StockSize
from turnability.stock.model import StockPiece
from turnability.stock.own_outside import hexagon_mm, own_segments

FLATS = 24.0
CORNERS = FLATS / math.cos(math.pi / 6.0)
R = CORNERS / 2.0
BODY = (
    (0, 4), (45, 4), (45, 2.5), (60, 2.5), (60, 7), (40, 7), (40, R), (25, R), (25, 9), (0, 9),
)  # fmt: skip
"""A nipple of 60: spigots of 18 and 14, a hexagon of 24 from z 25 to 40, a bore of 8 from z 0."""
HEX = Departure("D1", "hex", (), None, (25.0, 40.0), {"across_flats_mm": FLATS})
SQUARE = replace(HEX, kind="square")


def piece(form: str, own: bool) -> StockPiece:
    return StockPiece(form, form, FLATS if own else 30.0, None, 79.0, None, "", own_outside=own)  # type: ignore[arg-type]


def on_hexagon(stock: StockPiece | None, departure: Departure = HEX) -> list[Land]:
    lands = find_lands(drawn_part(BODY, departures=(departure,)), (), stock)
    return [land for land in lands if land.z_mm == (25.0, 40.0)]


def test_a_hexagon_is_round_until_it_is_milled() -> None:
    for departure in (HEX, SQUARE):
        (land,) = on_hexagon(piece("bar", own=False), departure)
        assert land.diameter_mm == pytest.approx(CORNERS)
        assert land.across_flats_mm is None


def test_a_land_is_whole_until_it_is_slotted_or_drilled() -> None:
    """A cap's bayonet slots and cross holes come once all is turned; a rib is no cut at all."""
    radial = {"width_mm": 6.0, "diameter_mm": 6.0, "direction": "radial"}
    for kind, whole in (("slot", True), ("hole", True), ("keyway", True), ("other", False)):
        cut = Departure("D1", kind, (), None, (30.0, 40.0), radial)
        lands = find_lands(drawn_part(BODY, departures=(cut,)), (), piece("bar", own=False))
        spans = [land.z_mm for land in lands if land.diameter_mm == pytest.approx(CORNERS)]
        assert spans == [(25.0, 40.0 if whole else 30.0)]


def test_a_hexagon_bars_own_flats_are_held_as_such() -> None:
    (land,) = on_hexagon(piece("hex", own=True))
    assert (land.across_flats_mm, land.held_mm) == (FLATS, FLATS)


def test_what_stands_there_is_not_known_without_stock_nor_in_a_bore() -> None:
    assert on_hexagon(None) == []
    socket = replace(HEX, parameters={"across_flats_mm": 8.5, "surface": "inner"}, z_mm=(0.0, 8.0))
    lands = find_lands(drawn_part(BODY, departures=(socket,)), (), piece("bar", own=False))
    assert min(land.z_mm[0] for land in lands if land.surface == "inner") == 8.0


@pytest.mark.parametrize(
    ("kind", "holds"),
    [("three-jaw", True), ("four-jaw", False), ("soft-jaws", False), ("collet", False)],
)
def test_three_hard_jaws_alone_hold_a_hexagon(kind: HoldingKind, holds: bool) -> None:
    shop = replace(starter_shop(), holdings=(replace(CHUCK, kind=kind, name=kind),))
    (land,) = on_hexagon(piece("hex", own=True))
    (grip,) = grips_for([land], shop)
    assert (grip.obstacle is None) is holds
    assert grip.least_mm == pytest.approx(FLATS / 2.0)
    (cylinder,) = on_hexagon(piece("bar", own=False))
    assert all(one.obstacle is None for one in grips_for([cylinder], shop))


def walked(*, listed: bool) -> Report:
    shop = starter_shop()
    if listed:
        shop = replace(shop, stock=(StockSize("hex", "hex 24", FLATS), *shop.stock))
    ends = tuple(Named(diameter_mm=(d, d)) for d in (18.0, 14.0))
    intent = Intent(
        bar_outside=True,
        no_grip=tuple(NoGrip(end) for end in ends),
        related=(Related("faces", (Named(end="low"), Named(end="high")), 0.2),),
    )
    return walk(drawn_part(BODY, departures=(HEX,)), shop, intent=intent)


def test_the_plan_turns_it_round_on_the_flats_and_says_how_true_that_is() -> None:
    report = walked(listed=True)
    last = report.setups[-1]
    assert (last.grip.kind, last.grip.across_flats_mm) == ("three-jaw 160", FLATS)
    assert "true only to the bar" in last.datum.why
    assert not [f for f in report.findings if f.rule == "short-grip"]  # 13 mm, half of 24 wanted
    sheet = route_of(report, starter_shop())
    assert "hex 24 mm over 13 mm" in sheet.setups[-1].hold
    assert "round still" not in sheet.setups[-1].hold
    page = re.sub("<[^>]+>", "", setups_block(report.document(), inch=False))
    assert "three-jaw 160, hex 24 mm over 13 mm" in page
    assert "raw bar, hex 24 mm over" in page
    assert report.plan is not None
    (faces,) = report.plan.rechucked
    assert faces.setups == (1, 2)
    assert faces.mismatch is not None
    assert faces.mismatch.value == pytest.approx(0.3)  # of a turned cylinder 0.1
    assert [f.rule for f in report.findings if f.rule == "related-surfaces-split"]


def test_without_such_a_bar_it_is_held_round_and_milled_after() -> None:
    report = walked(listed=False)
    last = report.setups[-1]
    assert last.grip.across_flats_mm is None
    assert last.grip.diameter_mm == pytest.approx(CORNERS)
    sheet = route_of(report, starter_shop())
    assert "(round still: D1 is milled after turning)" in sheet.setups[-1].hold
    told = [f.message for f in report.findings if f.rule == "bar-outside"]
    assert len(told) == 1
    assert "hexagon of 24 mm across flats" in told[0]
    assert "List that hexagon" in told[0]


DOWN = 27.0
"""Corners of 24 / cos 30° = 27.71 turned down to this."""


def turned_down(across: float = DOWN, flange: float = 18.0) -> tuple[tuple[float, float], ...]:
    r, f = across / 2.0, flange / 2.0
    ends = ((60, 7), (40, 7), (40, r), (25, r), (25, f), (0, f))
    return ((0, 4), (45, 4), (45, 2.5), (60, 2.5), *ends)


def test_a_hexagon_whose_corners_are_turned_down_is_the_bars_too() -> None:
    """Corners of a hexagon lie on its flats over cos 30°, 1.1547 of them; less is turned.

    What is turned beside it must clean up on flats that come to h11, 24 − 0.13 (ISO 286-2).
    """
    inner = replace(HEX, parameters={"across_flats_mm": FLATS, "surface": "inner"})
    for points, departure, flats in (
        (turned_down(), HEX, FLATS),
        (turned_down(CORNERS), HEX, FLATS),
        (turned_down(CORNERS + 0.5), HEX, None),  # no hexagon of 24 is so wide
        (turned_down(FLATS), HEX, None),  # nothing of the hexagon is left
        (turned_down(flange=23.8), HEX, FLATS),
        (turned_down(flange=23.9), HEX, None),
        (turned_down(flange=26.0), HEX, None),  # which no bar of 24 has
        (turned_down(), inner, None),
        (turned_down(), SQUARE, None),
    ):
        profile = drawn_part(points).profile
        assert profile is not None
        found = hexagon_mm(profile, (departure,))
        assert found == (None if flats is None else pytest.approx(flats)), points
    profile = drawn_part(turned_down()).profile
    assert profile is not None
    assert len(own_segments(profile)) == 1
    assert own_segments(profile, (HEX,)) == frozenset()


@pytest.mark.parametrize("stays", [True, None])
def test_corners_are_turned_on_a_hexagon_bar(stays: bool | None) -> None:
    shop = starter_shop()
    shop = replace(shop, stock=(StockSize("hex", "hex 24", FLATS), *shop.stock))
    part = drawn_part(turned_down(), departures=(HEX,))
    report = walk(part, shop, intent=Intent(bar_outside=stays))
    assert part.profile is not None
    assert report.stock is not None
    assert report.stock.choice is not None
    (corners,) = own_segments(part.profile)
    turned = {s for one in report.setups for o in one.operations for s in o.segments}
    assert corners in turned
    sheet, told = route_of(report, shop), [f for f in report.findings if "hexagon" in f.message]
    if stays is None:
        # nobody says that the flats may stay: it is offered
        assert report.stock.choice.form == "bar"
        assert "hex 24" in [one.name for one in report.stock.alternatives]
        (finding,) = told
        assert finding.rule == "outside-near-stock-size"
        assert "turned down to of a hexagon of 24 mm across flats: hex 24 has it" in finding.message
        assert "Let the flats stay as hex 24 comes" in finding.message
        assert any("D1 hex across flats 24" in line for line in sheet.not_turned)
        return
    assert (report.stock.choice.name, report.stock.choice.own_outside) == ("hex 24", True)
    assert not told
    assert not any("D1" in line for line in sheet.not_turned)
    assert "its flats stay as they come, its corners are turned to ⌀27 mm in light cuts" in (
        sheet.stock
    )
    # over them stand (27.71 - 27) / 2 = 0.36 mm, which is no roughing
    chosen = material_of(shop)
    assert chosen is not None
    tool = next(o.tool for one in report.setups for o in one.operations if corners in o.segments)
    alone = replace(report.setups[0], operations=(Operation(tool, (corners,), "turn"),))
    (passes,) = passes_of(part.profile, alone, report.stock, shop, chosen.material, None)
    assert passes.rough is None
    assert passes.finish.depth_mm == pytest.approx((CORNERS - DOWN) / 2.0)


def test_a_short_grip_on_flats_asks_for_no_bored_jaws() -> None:
    """Jaws are bored to what is round; for flats they are milled, or a hexagon's collet taken."""
    held = next(one for one in short_grip.EXAMPLES if "flats" in one.text)
    for inch, size in ((False, "19"), (True, "0.748")):
        view = held.view()
        view = replace(view, shop=replace(view.shop, inch=inch))
        (found,) = short_grip.check(view)
        unit = "in" if inch else "mm"
        assert f"of a hexagon of {size} {unit} across flats (z" in found.message
        assert (
            f"Take a collet for hexagon {size}, or soft jaws milled to the flats" in found.message
        )
        assert "ore soft jaws" not in found.message
        assert softer_holdings(view, view.setups[0])[0] == "mill soft jaws to the flats"
        report = replace(walk(view.part, view.shop), setups=view.setups)
        cautions = list(caution_lines(report, view.shop, view.setups[0]))
        assert SHORT_FLATS in cautions
        assert SHORT not in cautions
