"""From which stock a part is made, on the route sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.outputs._making import no_stock_text, stock_text, stub_texts
from turnability.shop.usual_stock import hollow_text
from turnability.stock.model import StockPiece
from turnability.stock.own_outside import turns_corners
from turnability.units import counted, length_text

if TYPE_CHECKING:
    from turnability.report import Report


def stock_lines(report: Report) -> Iterator[str]:
    """The stock, what of it is held or stays, and how many parts come from a bar."""
    stock, inch = report.stock, report.inch
    if stock is None or stock.choice is None:
        yield "no stock list is known" if stock is None else no_stock_text(stock, inch)
        return
    piece = stock.choice
    yield stock_text(piece, inch)
    if piece.inner_diameter_mm is not None:
        yield hollow_text(piece.name, piece.across_mm, piece.inner_diameter_mm, inch)
    if report.plan is not None and report.plan.own_end:
        yield "sawn, held on its own end first: nothing is parted off"
    if piece.own_outside:
        yield _stays_text(report)
    if piece.stub_mm:
        yield _held_text(report, piece)
    if piece.per_bar is not None and piece.bar_length_mm is not None:
        bar = length_text(piece.bar_length_mm, inch)
        yield f"{counted(piece.per_bar, 'part')} from a bar of {bar}"


def _stays_text(report: Report) -> str:
    """What of the bar's own outside is not turned."""
    profile = report.part.profile
    if profile is not None and turns_corners(profile, report.part.departures):
        corners = length_text(profile.max_diameter_mm, report.inch)
        return f"its flats stay as they come, its corners are turned to ⌀{corners} in light cuts"
    return "its own outside stays as it comes, and is not turned"


def _held_text(report: Report, piece: StockPiece) -> str:
    """What of the stock the first chucking holds, and of how much that is."""
    stub, gripped = stub_texts(report, piece)
    of_it = "" if stub == gripped else f" ({gripped} of that gripped)"
    if piece.sawn_mm is None:
        return f"fed through the spindle: {stub} of each bar stay in the chuck as its rest{of_it}"
    if piece.parts == 1:
        return f"of that {stub} behind the part for the first chucking{of_it}"
    whole = length_text(round(piece.sawn_mm, 2), report.inch)
    return f"sawn to {whole} for {piece.parts} parts one after another, {stub} behind them{of_it}"
