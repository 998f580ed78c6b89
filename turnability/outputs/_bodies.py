"""Bodies beside the part that a report tells of: uncut regions, what jaws hold, the stock."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.part.writing.marks import Bodies, Body, Ring
from turnability.units import number_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.stock.model import StockPiece

_SLEEVE_MM = 1.0
_SLEEVE_PER_DIAMETER = 0.05
"""How thick a grip is drawn: it shows where jaws lie, not how deep they are."""
_SEE_THROUGH = 0.35


def bodies_of(report: Report, *, stock: bool = True) -> Bodies | None:
    """The bodies in the part's frame; None where no axis carries the part or there are none.

    Grips are thin sleeves on what is held. What the stock is longer than the part and the stub that
    is held of it is shared between the ends.
    """
    if report.part.axis is None or report.part.profile is None:
        return None
    bodies = (*_uncut(report), *_grips(report), *(_stock(report) if stock else ()))
    if not bodies:
        return None
    axis = report.part.axis
    product = f"{report.name}: turnability"
    return Bodies(product, axis.origin_mm, axis.direction, bodies)


def _uncut(report: Report) -> Iterator[Body]:
    colour = palette.rgb(palette.MARKS["uncut"])
    for left in report.reach.left if report.reach else ():
        yield Body(f"{left.id} uncut", tuple((z, max(0.0, r)) for z, r in left.polygon), colour)


def _grips(report: Report) -> Iterator[Body]:
    colour = palette.rgb(palette.MARKS["grip"])
    for setup in report.setups:
        radius = setup.grip.diameter_mm / 2.0
        thick = max(_SLEEVE_MM, _SLEEVE_PER_DIAMETER * setup.grip.diameter_mm)
        inner = setup.grip.surface == "inner"
        radii = (max(0.0, radius - thick), radius) if inner else (radius, radius + thick)
        ring = _box(setup.grip.z_mm, radii)
        yield Body(f"grip of setup {setup.order}", ring, colour, _SEE_THROUGH)


def _stock(report: Report) -> Iterator[Body]:
    profile, stock = report.part.profile, report.stock
    if profile is None or stock is None or stock.choice is None:
        return
    piece: StockPiece = stock.choice
    held = [setup.grip.z_mm for setup in report.setups if setup.datum.segment is None]
    low = min([0.0, *(grip[0] for grip in held)])
    high = max([profile.length_mm, *(grip[1] for grip in held)])
    beyond = (piece.put_in_mm - (high - low)) / 2.0
    z = (low - beyond, high + beyond)
    inner = (piece.inner_diameter_mm or 0.0) / 2.0
    yield Body(
        f"stock {piece.name}, {number_text(piece.put_in_mm, report.inch)} long",
        _box(z, (inner, piece.across_mm / 2.0)),
        palette.rgb(palette.BEYOND),
        _SEE_THROUGH,
        across_flats_mm=piece.across_mm if piece.form == "hex" else None,
    )


def _box(z: tuple[float, float], r: tuple[float, float]) -> Ring:
    return ((z[0], r[0]), (z[1], r[0]), (z[1], r[1]), (z[0], r[1]))
