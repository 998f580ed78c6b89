"""What is read in inches: no bare number of millimetres, none finer than it is meant."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.outputs._making import stock_text
from turnability.outputs.report_page.words import mass
from turnability.outputs.route_sheet import route_text
from turnability.rules import edge_not_stated
from turnability.rules.drawn import PIN, drawn_part, drawn_shop, drawn_view
from turnability.shop.load import starter_shop
from turnability.stock.model import StockPiece
from turnability.units import mass_text

STARTER = starter_shop()


def piece(name: str, across: float, form="bar") -> StockPiece:
    return StockPiece(form, name, across, None, 50.8, None, "")


@pytest.mark.parametrize(
    ("one", "inch", "told"),
    [
        (piece("bright bar 28", 28.0), True, "bright bar 28 (⌀1.1024 in), 2 in a piece"),
        (piece("hexagon 24", 24.0, "hex"), True, "hexagon 24 (0.9449 in), 2 in a piece"),
        (piece("bright bar 1-1/8 in", 28.575), True, "bright bar 1-1/8 in, 2 in a piece"),
        (piece("pipe NPS 1", 33.4, "pipe"), True, "pipe NPS 1, 2 in a piece"),
        (piece("bright bar 28", 28.0), False, "bright bar 28, 50.8 mm a piece"),
    ],
)  # fmt: skip
def test_stock_is_told_with_its_size_in_the_reader_s_unit(one, inch, told):
    assert stock_text(one, inch) == told


@pytest.mark.parametrize(
    ("mass_kg", "told"),
    [
        (0.45359237, "1 lb"), (0.791, "1.74 lb"), (0.4536, "1 lb"), (45.359237, "100 lb"),
        (0.028349523125, "1 oz"), (0.25, "8.8 oz"), (0.01, "0.35 oz"), (0.45, "15.9 oz"),
    ],
)  # fmt: skip
def test_masses_are_told_in_pounds_and_ounces(mass_kg, told):
    """1 lb is 0.45359237 kg and 16 oz, exactly (international agreement of 1959)."""
    assert mass_text(mass_kg, inch=True) == told
    one = replace(piece("bright bar 1-1/8 in", 28.575), mass_kg=mass_kg)
    assert stock_text(one, True).endswith(f"a piece, {told}")
    shown = re.sub("<[^>]+>", "", mass(mass_kg, inch=True))
    assert shown == told


def test_grams_stay_where_the_shop_reads_millimetres():
    assert [mass_text(kg) for kg in (0.0, 2.34e-7, 0.0004, 0.00253, 0.0096)] == [
        "0 g", "0.00023 g", "0.4 g", "2.5 g", "10 g",
    ]  # fmt: skip
    assert [mass_text(kg) for kg in (0.791, 0.9996, 1.0, 6.513)] == [
        "791 g", "1 kg", "1 kg", "6.51 kg",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("inch", "told"),
    [
        (False, "take off 0.2 to 0.5 mm unasked. State edges_mm in"),
        (True, "take off 0.008 to 0.02 in unasked. State edges_in in"),
    ],
)
def test_a_usual_break_is_no_finer_in_inches(inch, told):
    """0.2 mm is 0.00787 in, which nobody means by "about a fifth of a millimetre"."""
    (finding,) = edge_not_stated.check(drawn_view(PIN, shop=drawn_shop(inch=inch)))
    assert told in finding.message


@pytest.mark.parametrize(("inch", "told"), [(False, "about ⌀15 mm"), (True, "about ⌀0.6 in")])
def test_a_pilot_hole_is_told_to_a_tenth(inch, told):
    shop = replace(STARTER, inch=inch)
    report = walk(drawn_part([(0, 22.5), (56, 22.5), (56, 30), (0, 30)]), shop)
    assert f"Centre-drill, then drill {told}, no deeper, before it" in route_text(report, shop)
