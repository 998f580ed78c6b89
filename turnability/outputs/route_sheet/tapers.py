"""What the route sheet says of tapers that are turned by hand: angle, way, travel, proof."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.setups.set_over.tapers import TaperSetting, flanks_of, tapers_of
from turnability.units import length_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.setups.model import Setup
    from turnability.shop.model import Machine

_PROVEN_BELOW_DEG = 10.0
"""Flatter tapers are set by a dial: a graduated base reads to a quarter of a degree at best."""
_OVER_MM, _TWO_INCHES_MM = 50.0, 50.8


def taper_lines(report: Report, setup: Setup, lathe: Machine | None) -> Iterator[str]:
    """A line for each setting of the topslide, or of the tailstock, that a setup asks for."""
    profile = report.part.profile
    assert profile is not None
    wanted = [s for f in report.features if f.kind == "taper" for s in f.segments]
    wanted += flanks_of(profile, setup)
    chuckings = () if report.plan is None else report.plan.tapers
    first = len(report.setups) + 1 + (0 if report.plan is None else len(report.plan.set_over))
    for one in tapers_of(profile, setup, wanted, lathe, report.intent):
        orders = [
            n
            for n, later in enumerate(chuckings, start=first)
            if later.cut_in == setup.order and later.segments == one.segments
        ]
        later = f" setup {orders[0]}" if orders else " one more chucking"
        yield _line(one, lathe.name if lathe is not None else "", later, report.inch)


def degrees_text(angle_deg: float) -> str:
    """Degrees and whole minutes: 1° 26'."""
    minutes = round(60.0 * angle_deg)
    return f"{minutes // 60}° {minutes % 60:02d}'"


def proof_text(share: float, inch: bool) -> str:
    """What a dial reads along so much of a surface that rises by this share of it."""
    base = _TWO_INCHES_MM if inch else _OVER_MM
    return f"{length_text(round(base * share, 4), inch)} in {length_text(base, inch)}"


def _line(one: TaperSetting, lathe: str, later: str, inch: bool) -> str:
    names = ", ".join(one.segments)
    angle = f"{degrees_text(one.half_angle_deg)} ({one.half_angle_deg:.3f}°)"
    travel = length_text(round(one.travel_mm, 1), inch)
    limit = "" if one.limit_mm is None else length_text(one.limit_mm, inch)
    if one.too_long:
        beyond = f"{names}, half angle {angle}: longer ({travel}) than {lathe}'s topslide ({limit})"
        if one.set_over_mm is None:
            return f"{beyond}; a taper attachment or a driven lathe"
        return f"{beyond}; straight for now, and in{later} between centres, the tailstock set over"
    blade = ""
    if one.by_blade:
        blade = "; the blade sunk square to the floor first, then fed along the flank in light cuts"
    way = "anticlockwise" if one.anticlockwise else "clockwise"
    chuck_end = "toward you" if one.anticlockwise else "away from you"
    room = f"of its {limit}" if limit else "which the shop file does not state (topslide_travel_mm)"
    proof = ""
    if one.half_angle_deg < _PROVEN_BELOW_DEG:
        rise = proof_text(math.sin(math.radians(one.half_angle_deg)), inch)
        proof = f"; prove it by a dial on a parallel bar: {rise} of travel"
    return (
        f"{names}: topslide swivelled by {angle} from parallel to the axis (half the included "
        f"angle), {way} seen from above, its chuck end {chuck_end}; fed by hand over {travel}, "
        f"{room}{blade}; the tool's point at the height of the centres{proof}"
    )
