"""At what speed slender work, or bar behind the spindle, begins to whip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.outputs.route_sheet.speeds import rpm_text
from turnability.setups.cutting.values import Values, bar_behind_mm
from turnability.setups.cutting.whip import critical_rpm
from turnability.setups.holding.free import passes_the_spindle
from turnability.setups.holding.jaws import RAW_BAR
from turnability.setups.model import Setup
from turnability.shop.materials import Material
from turnability.shop.model import Machine
from turnability.stock.model import StockPiece
from turnability.units import MM_PER_INCH, mm_text

WHIP = (
    "Slender work can whip suddenly as speed rises{begins}: support it, begin slowly, keep clear."
)
BENDS = (
    "Slender work can bend and leave the jaws suddenly: support it, begin slowly, keep clear (it "
    "would whip by itself from about {rpm} rpm only)."
)
BAR = (
    "Bar behind the spindle can whip suddenly and hurts whoever stands near{at}: guide the bar "
    "over its whole length, or cut it shorter, and keep clear."
)
BAR_AT = (
    ". At {fastest} rpm, the fastest here, no more than {out} of it may stick out without support; "
    "{long} begin to whip at about {begins} rpm"
)
_FAR_RPM = 10000.0
"""Faster than lathes turn: what threatens then is that the work bends and leaves the jaws."""
_USUAL_OUT_MM, _USUAL_OUT_IN = 1000.0, 40.0
"""What is told of where no length of bar is known (our choice)."""


def whip_text(setup: Setup) -> str:
    """The caution for slender work, with the speed at which it begins as it is carried."""
    bending = setup.bending
    if bending is None or bending.critical_rpm is None:
        return WHIP.format(begins="")
    alone = bending.critical_free_rpm if setup.support != "none" else None
    least = min(bending.critical_rpm, alone or bending.critical_rpm)
    if least > _FAR_RPM:
        return BENDS.format(rpm=rpm_text(least))
    begins = f"; as held here that begins at about {rpm_text(bending.critical_rpm)} rpm"
    if alone is not None:
        begins += f", and at {rpm_text(alone)} rpm while nothing carries its end"
    return WHIP.format(begins=begins)


def bar_lines(
    setup: Setup,
    piece: StockPiece | None,
    values: Sequence[Values | None],
    material: Material | None,
    lathe: Machine | None,
    inch: bool,
) -> Iterator[str]:
    """The caution for a bar that is fed through the spindle, with lengths and speeds if known."""
    if piece is None or not piece.fed or setup.grip.kind != RAW_BAR:
        return
    if not passes_the_spindle(lathe, piece.through_mm):
        return
    passes = [p for v in values if v is not None for p in (v.rough, v.finish) if p is not None]
    fastest = max((p.speed.rpm for p in passes), default=0.0)
    if not fastest or material is None:
        yield BAR.format(at="")
        return
    bore = piece.inner_diameter_mm or 0.0
    out = bar_behind_mm(fastest, piece.across_mm, bore, material)
    usual = _USUAL_OUT_IN * MM_PER_INCH if inch else _USUAL_OUT_MM
    long = min(piece.bar_length_mm or usual, usual)
    begins = critical_rpm(
        piece.across_mm,
        long,
        "overhanging",
        e=material.e.value,
        density_kg_per_mm3=material.density_kg_per_mm3,
        bore_mm=bore,
    )
    at = BAR_AT.format(
        fastest=rpm_text(fastest),
        out=_out_text(out, inch),
        long=_out_text(long, inch),
        begins=rpm_text(begins),
    )
    yield BAR.format(at=at)


def _out_text(length_mm: float, inch: bool) -> str:
    """Downwards to 1 mm or 0.1 in: nobody measures it closer."""
    if inch:
        tenths = int(10.0 * length_mm / MM_PER_INCH + 1e-6)
        return f"{mm_text(tenths / 10.0)} in"
    return f"{int(length_mm + 1e-6)} mm"
