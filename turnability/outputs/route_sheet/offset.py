"""Chuckings set over from the part's axis, in words: what holds it, the dial, cuts, measures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from turnability.intent.fits import fit_class, fit_limits
from turnability.outputs.route_sheet.beside import HARDLY_HELD, SHORT
from turnability.setups.holding.grips import holds_hardly, is_short
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT
from turnability.setups.set_over.eccentrics import missing_text
from turnability.setups.set_over.offset_cuts import to_size
from turnability.setups.surfaces.swept import number, swept_segments
from turnability.units import MM_PER_INCH, length_text, mm_text, number_text, span_text

if TYPE_CHECKING:
    from turnability.part.model import Departure
    from turnability.report import Report
    from turnability.setups.model import OffsetCut, SetOver
    from turnability.shop.model import Machine

UNBALANCED = (
    "Work set over is out of balance, and its jaws or a dog stand out on one side: turn it once "
    "round by hand, clear of slide and tool; begin slowly, no faster than given and slower if the "
    "lathe shakes; a counterweight, and whether at all, is for a qualified machinist to settle."
)
_SAME_SIZE_MM = 0.5
_DIAL_MM = 10.0
"""What a usual dial indicator travels (common practice, no source)."""
INTERRUPTED = "It cuts on one side only at first: light passes, a tough edge."


@dataclass(frozen=True, slots=True)
class OffsetSheet:
    """One such chucking; each of its steps is what is done and with which values."""

    title: str
    hold: str
    datum: str
    steps: tuple[tuple[str, str], ...]
    measure: tuple[str, ...]
    cautions: tuple[str, ...]


def offset_sheets(report: Report, lathe: Machine | None) -> Iterator[OffsetSheet]:
    """One for each chucking that turns eccentrics, numbered after those of the plan."""
    known = {d.id: d for d in report.part.departures}
    over = () if report.plan is None else report.plan.set_over
    for order, one in enumerate(over, start=len(report.setups) + 1):
        yield OffsetSheet(
            title=_title(one, order, report.inch),
            hold=_hold(one, report.inch),
            datum=_datum(one, known, report.inch),
            steps=tuple(_step(cut, cut in to_size(one.cuts), report.inch) for cut in one.cuts),
            measure=tuple(_measure(report, one, known)),
            cautions=tuple(_cautions(one, lathe, report.inch)),
        )


def offset_row(one: SetOver, inch: bool) -> str:
    """One such chucking in a line, for the summary."""
    what = ", ".join(dict.fromkeys(f"{c.departure} ⌀{_size(c, inch)}" for c in to_size(one.cuts)))
    e = length_text(round(one.offset_mm, 3), inch)
    if one.grip is None:
        return f"{what} set over by {e}: not held in this shop (eccentric-not-held)"
    tools = ", ".join(dict.fromkeys(t for cut in one.cuts for t in cut.tools))
    return (
        f"{one.toward_chuck} end to the chuck, {one.grip.kind} ⌀"
        f"{number_text(one.grip.diameter_mm, inch)} set over by {e} for {what}: "
        f"{tools or 'no tool of the shop'}"
    )


def _title(one: SetOver, order: int, inch: bool) -> str:
    e = length_text(round(one.offset_mm, 3), inch)
    names = ", ".join(one.departures)
    if one.toward_chuck is None:
        return f"Setup {order}: {names} set over by {e}, not held in this shop"
    return f"Setup {order}: {one.toward_chuck} end to the chuck, set over by {e} for {names}"


def _hold(one: SetOver, inch: bool) -> str:
    if one.grip is None:
        return f"it takes {missing_text(one, inch)}"
    grip, on = one.grip, ", ".join(one.segments)
    size = f"⌀{length_text(round(grip.diameter_mm, 3), inch)}"
    at = f"z {span_text(grip.z_mm, inch)}"
    if one.holding is not None and one.holding.kind == "between-centres":
        return (
            f"{grip.kind}, on a second pair of centre holes that lie off the axis by the offset, "
            f"in line with one another; dog on {on} {size}, {at}"
        )
    over = length_text(round(grip.length_mm, 2), inch)
    return f"{grip.kind}, on {on} {size} over {over}, {at}; copper or brass under the jaws"


def _datum(one: SetOver, known: dict[str, Departure], inch: bool) -> str:
    on = f"⌀{number_text(one.grip.diameter_mm, inch)}" if one.grip else "what runs true to the axis"
    reads = length_text(round(one.dial_mm, 3), inch)
    first = known[one.departures[0]]
    others = [d for d in known.values() if d.kind == "eccentric" and d.id not in one.departures]
    phase = ""
    if others and "phase_deg" in first.parameters:
        phase = f"; {_phase(first, others[0])}"
    milled = [
        f"{d.id} ({d.called}) {_phase(d, first)}"
        for d in known.values()
        if d.kind != "eccentric" and "phase_deg" in d.parameters and "phase_deg" in first.parameters
    ]
    if milled:
        phase += f"; {'; '.join(milled)}: mill it so, or where it stands already set this over so"
    far = ""
    if one.dial_mm > _DIAL_MM:
        far = "; few dials travel so far: read the cross slide's collar where it touches instead"
    return (
        f"a dial on {on} swings by {reads} in a turn (twice the offset), alike at both ends of "
        f"it{far}{phase}"
    )


def _phase(one: Departure, other: Departure) -> str:
    """How far round one stands from another, and which way where that is not alike."""
    turned = (number(one, "phase_deg") - number(other, "phase_deg")) % 360.0
    by = mm_text(min(turned, 360.0 - turned), 2)
    if by == "0":
        return f"in line with {other.id}"
    way = "" if by == "180" else f", {'anti' * (turned < 180.0)}clockwise seen from the high end"
    return f"{by}° round from {other.id}{way}"


def _step(cut: OffsetCut, last: bool, inch: bool) -> tuple[str, str]:
    tools = " and ".join(cut.tools) or "no tool of the shop is known to do it"
    where = f"{cut.departure} ⌀{_size(cut, inch)} z {_z(cut, inch)}"
    if cut.kind == "drill":
        where = f"to its size, {where}" if last else f"for {cut.departure} z {_z(cut, inch)}"
        where += ", centre-drilled first" * cut.solid
    elif cut.over_mm > 0.0:
        where += f", at most {length_text(round(cut.over_mm, 3), inch)} a side to take"
    feed = cut.feed_mm / MM_PER_INCH if inch else cut.feed_mm
    fed = f"{mm_text(feed, 4 if inch else 3)} {'in' if inch else 'mm'} a turn"
    depth = "" if cut.kind == "drill" else f"{length_text(round(cut.depth_mm, 3), inch)} deep, "
    why = "out of balance" if cut.limit == "balance" else cut.limit
    return (
        f"{cut.kind}, {tools}: {where}",
        f"{depth}{fed}, no faster than {_slow(cut.rpm)} rpm ({why})",
    )


def _z(cut: OffsetCut, inch: bool) -> str:
    return span_text(cut.z_mm, inch)


def _measure(report: Report, one: SetOver, known: dict[str, Departure]) -> Iterator[str]:
    inch = report.inch
    reads = length_text(round(one.dial_mm, 3), inch)
    told: set[str] = set()
    for cut in to_size(one.cuts):
        departure = known[cut.departure]
        bore = departure.parameters.get("surface") == "inner"
        size = f"{'bore ' if bore else ''}⌀{_size(cut, inch, unit=True)} "
        long = length_text(round(cut.z_mm[1] - cut.z_mm[0], 3), inch)
        size += f"{_limits(report, cut, departure)}({cut.departure}), {long} long"
        if size not in told:
            yield size
        told.add(size)
        if cut.departure in told:
            continue
        told.add(cut.departure)
        what = "thickest less thinnest wall round" if bore else "largest less least step down to"
        yield f"{what} {cut.departure}: {reads} (twice the offset)"


def _limits(report: Report, cut: OffsetCut, departure: Departure) -> str:
    """What the intent or the file states of this cylinder's diameter, for its own size."""
    profile = report.part.profile
    swept = {} if profile is None else swept_segments(profile, report.part.departures)
    by_id = {} if profile is None else {s.id: s.ends_z_mm for s in profile.segments}
    for tolerance in () if report.intent is None else report.intent.tolerances:
        here = [s for s in tolerance.place.segments if swept.get(s) == departure.id]
        if tolerance.of != "diameter" or not any(_within(by_id[s], cut.z_mm) for s in here):
            continue
        fit = fit_class(tolerance.fit or "")
        off = tolerance.deviations_mm
        if fit is not None:
            off = fit_limits(fit, cut.diameter_mm).deviations_mm
        named = f"{tolerance.fit} " if tolerance.fit else ""
        return named if off is None else f"{named}({_span(cut.diameter_mm, off, report.inch)}) "
    for size in report.part.stated.sizes:
        times = {"diameter": 1.0, "radius": 2.0}.get(size.kind)
        mine = bool(size.at.faces) and set(size.at.faces) <= set(departure.faces)
        if not mine or times is None or size.nominal is None:
            continue
        if abs(times * size.nominal - cut.diameter_mm) > _SAME_SIZE_MM:
            continue
        if size.least is not None and size.largest is not None:
            off = (times * (size.least - size.nominal), times * (size.largest - size.nominal))
            return f"({_span(times * size.nominal, off, report.inch)}) "
        return f"{size.fit} " if size.fit else ""
    return ""


def _span(nominal_mm: float, off: tuple[float, float], inch: bool) -> str:
    low, high = (nominal_mm + o for o in off)
    return f"{number_text(low, inch)} to {length_text(high, inch)}"


def _within(span: tuple[float, float], z_mm: tuple[float, float]) -> bool:
    return min(span[1], z_mm[1]) > max(span[0], z_mm[0])


def _cautions(one: SetOver, lathe: Machine | None, inch: bool) -> Iterator[str]:
    round_first = any(cut.kind == "drill" for cut in one.cuts)
    yield UNBALANCED if round_first else f"{UNBALANCED} {INTERRUPTED}"
    if lathe is not None:
        limits = {
            "the bed": lathe.swing_mm,
            "the cross slide": lathe.swing_over_cross_slide_mm,
        }
        low = [name for name, most in limits.items() if most is not None and most < one.swung_mm]
        if low:
            yield (
                f"Set over it swings ⌀{length_text(round(one.swung_mm, 2), inch)}, more than "
                f"{lathe.name} clears over {' or '.join(low)}."
            )
    if one.grip is not None and one.holding is not None and is_short(one.grip, one.holding):
        yield HARDLY_HELD if holds_hardly(one.grip) else SHORT
    if one.free > CHUCK_ONLY_LIMIT.value:
        yield (
            f"{mm_text(one.free, 1)} diameters stand out of the jaws, where "
            f"{CHUCK_ONLY_LIMIT.value:.0f} are the usual limit: a centre in a hole that lies off "
            "the axis by the offset, or a shorter part."
        )


def _size(cut: OffsetCut, inch: bool, unit: bool = False) -> str:
    value = round(cut.diameter_mm, 3)
    return length_text(value, inch) if unit else number_text(value, inch)


def _slow(rpm: float) -> str:
    """To two figures, downwards."""
    step = 10.0 if rpm < 1000.0 else 50.0
    return f"{max(10.0, rpm // step * step):.0f}"
