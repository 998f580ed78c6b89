"""What other machines make of a part, and when: before a chucking that holds by it, or after."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.part.model import CUT_OUT, Departure
from turnability.setups.model import Setup
from turnability.units import number_text, span_text

if TYPE_CHECKING:
    from turnability.report import Report

_SAME_MM = 1e-3
_SQUARE_DEG = 0.5
_SIZES = {
    "diameter_mm": "⌀",
    "across_flats_mm": "across flats ",
    "width_mm": "width ",
}


def not_turned_lines(report: Report) -> Iterator[str]:
    """What is left to other machines once the part is turned; threads have lines of their own."""
    wound = any(f.parameters.get("evidence") == "helix" for f in report.features)
    over = () if report.plan is None else report.plan.set_over
    brought = brought_by_bar(report) | {name for one in over for name in one.departures}
    told = [
        d
        for d in report.part.departures
        if d.id not in brought and not (wound and d.called == "helix")
    ]
    knurled = [d for d in told if d.called == "knurl"]
    screwed = {d.id: s.order for s in report.setups for d in told if _screwed_by(s, d)}
    after = [d for d in told if d.called != "knurl" and d.id not in screwed]
    if after:
        rest = "; ".join(_departure(d, report.inch) for d in after)
        yield f"{rest}: left to mill, drill or broach after turning"
    for one in (d for d in told if d.id in screwed):
        made = "drilled" if one.parameters.get("through", True) else "drilled and tapped"
        yield (
            f"{_departure(one, report.inch)}: {made} before setup {screwed[one.id]}, which is "
            "screwed to its arbor by it"
        )
    for one in knurled:
        yield f"{_departure(one, report.inch)}: pressed in with a knurling tool while it is held"


def _screwed_by(setup: Setup, departure: Departure) -> bool:
    """Whether a setup holds the part on an arbor by this bolt circle."""
    across = departure.parameters.get("circle_diameter_mm")
    return (
        setup.holding is not None
        and setup.holding.kind == "bolt-arbor"
        and departure.kind == "bolt-circle"
        and isinstance(across, int | float)
        and abs(across - setup.grip.diameter_mm) < _SAME_MM
    )


def still_round_text(report: Report, setup: Setup) -> str:
    """That the chuck has a cylinder where a hexagon or a square is milled afterwards."""
    grip, low, high = setup.grip, *setup.grip.z_mm
    if grip.surface != "outer" or grip.across_flats_mm is not None:
        return ""
    on = [
        d.id
        for d in report.part.departures
        if d.kind in ("hex", "square")
        and d.parameters.get("surface", "outer") != "inner"
        and isinstance(across := d.parameters.get("across_flats_mm"), int | float)
        and across < grip.diameter_mm
        and min(high, d.z_mm[1]) > max(low, d.z_mm[0])
    ]
    return f" (round still: {', '.join(on)} is milled after turning)" if on else ""


def brought_by_bar(report: Report) -> frozenset[str]:
    """Departures that a hexagon bar brings with it and that stay as it comes."""
    from turnability.stock.own_outside import is_bars_hexagon

    piece = None if report.stock is None else report.stock.choice
    profile = report.part.profile
    if piece is None or profile is None or piece.form != "hex" or not piece.own_outside:
        return frozenset()
    return frozenset(d.id for d in report.part.departures if is_bars_hexagon(profile, d))


def _departure(departure: Departure, inch: bool) -> str:
    sizes = departure.parameters
    words = []
    hole, circle, count = (
        sizes.get(key) for key in ("hole_diameter_mm", "circle_diameter_mm", "count")
    )
    if isinstance(hole, int | float):
        many = f"{count} × " if isinstance(count, int) else ""
        words.append(f"{many}⌀{number_text(round(hole, 3), inch)}")
        if isinstance(circle, int | float):
            words.append(f"on ⌀{number_text(round(circle, 3), inch)}")
    else:
        if isinstance(count, int) and count > 1:
            words.append(f"{count} ×")
        words += [
            f"{name}{number_text(round(value, 3), inch)}"
            for key, name in _SIZES.items()
            if isinstance(value := sizes.get(key), int | float)
        ][:1]
    reach = sizes.get("r_mm")
    if departure.called == CUT_OUT and isinstance(reach, tuple):
        words.append(
            f"{'at ' if words else ''}⌀{span_text((2.0 * reach[0], 2.0 * reach[1]), inch)}"
        )
    if isinstance(sizes.get("direction"), str) and sizes["direction"] != "axial":
        words.append(_runs_text(str(sizes["direction"]), sizes.get("angle_deg")))
    name = departure.called
    if name != CUT_OUT:
        name = name.replace("-", " ")
    what = " ".join([departure.id, name, *words])
    return f"{what}, z {span_text(departure.z_mm, inch)}"


def _runs_text(direction: str, angle: object) -> str:
    """How what is drilled or milled runs: radial, at an angle to the axis, or beside it."""
    if direction != "other" or not isinstance(angle, int | float):
        return direction if direction != "other" else "beside the axis"
    if abs(angle - 90.0) <= _SQUARE_DEG:
        return "across, beside the axis"
    return f"at {number_text(round(angle, 1), False)}° to the axis"
