"""What is measured before a chucking is let go: all that it cut, for nothing is cut again after.

Stated sizes and run-outs stand first, each where it can be measured: a length once both its faces
stand, a run-out while two of its surfaces stand in the chucking that cut them, or once the last
does. Sizes of which nothing is stated come after them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from turnability.intent.agree import together
from turnability.intent.ground import as_turned
from turnability.outputs.route_sheet.beside import stays_uncut
from turnability.outputs.route_sheet.faced_lengths import base_of, faced_lengths, is_plane
from turnability.outputs.route_sheet.rounds import round_lines
from turnability.outputs.route_sheet.tapers import degrees_text
from turnability.outputs.route_sheet.thread_gauges import thread_gauge_text
from turnability.rules import tighter_than_turning
from turnability.setups.holding.grinding import drilled_mm
from turnability.setups.operations.threading import threads_of
from turnability.setups.surfaces.meeting import tools_meeting
from turnability.setups.surfaces.swept import swept_segments
from turnability.units import length_text, number_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.intent.model import Related, Tolerance
    from turnability.part.model import Segment
    from turnability.report import Report
    from turnability.setups.model import Setup

_MOST_SIZES = 8
_SAME_MM = 1e-3
_TOOL_TAPERS = ("ISO 296", "ISO 297")
"""Of these there are gauges to be had."""
_SHORT_TAPER_MM = 3.0
"""No sine bar stands on less (our choice)."""
_HOLLOWS = {"groove": "floor", "recess": "inside", "end-groove": "outside"}
"""Hollows, and what their diameter on the list is of."""


def measure_lines(report: Report, setup: Setup, known: Mapping[str, Segment]) -> Iterator[str]:
    """Stated sizes, threads, what must run true, then grooves, tapers, diameters, lengths."""
    here = _Here(report, setup, known)
    yield from _stated(here)
    yield from _threads(here)
    yield from _run_outs(here)
    yield from _hollows(here)
    yield from _tapers(here)
    yield from round_lines(here.setup, here.known, here.told | here.after, here.base, here.inch)
    yield from _diameters(here)
    across = list(_across_setups(here))
    yield from _lengths(here)
    yield from across


class _Here:
    """What one chucking cuts, what was cut before, and what the list has told already."""

    def __init__(self, report: Report, setup: Setup, known: Mapping[str, Segment]) -> None:
        self.report, self.setup, self.known, self.inch = report, setup, known, report.inch
        self.mine = _cut([setup])
        self.before = _cut(report.setups[: setup.order - 1])
        self.after = _cut(report.setups[setup.order :])
        self.parted = {s for o in setup.operations if o.kind == "part off" for s in o.segments}
        part, intent = as_turned(report.part, report.intent)
        self.meant = together(intent, part)
        profile = report.part.profile
        swept = {} if profile is None else swept_segments(profile, report.part.departures)
        # what an eccentric sweeps has no size of its own
        self.told: set[str] = set(swept)
        if report.plan is not None:  # these are left straight, and measured when they are turned
            self.told |= {s for one in report.plan.tapers for s in one.segments}
        self.swept = frozenset(swept)
        self.stays = stays_uncut(report)
        self.between: list[frozenset[str]] = []
        """Pairs of faces whose distance is told."""
        self.spanned: set[str] = set()
        """Faces of flanges and lips whose thickness is told."""
        self.base = None if profile is None else base_of(setup, profile, self.mine, self.before)

    def left_to_grind(self, faces: set[str]) -> str:
        """That a length to these faces has stock for the wheel on it, where it has."""
        on = {s for one in self.meant.ground if one.surface == "end" for s in one.place.segments}
        return " and what is left for grinding" if on & faces else ""

    def size(self, value_mm: float) -> str:
        return length_text(round(value_mm, 3), self.inch)


def _cut(setups: Iterable[Setup]) -> set[str]:
    return {s for one in setups for o in one.operations if o.kind != "part off" for s in o.segments}


def _stated(here: _Here) -> Iterator[str]:
    for tolerance in here.meant.tolerances:
        places = set(tolerance.place.segments)
        on = here.mine & places
        if tolerance.of == "length":
            # it is told once, where the last of its faces is cut
            if not on or here.after & places:
                continue
            on = places - here.parted
            here.between.append(frozenset(places))
        elif tolerance.of == "diameter":
            on -= here.swept  # measured where it is set over
            here.told |= on
        if on:
            yield _tolerance_text(here, tolerance, on) + _beyond_text(here, on, "mm")
    for one in here.meant.ground:
        on = here.mine & set(one.place.segments)
        if one.turned_mm is None and one.leave_mm is not None and on:
            here.told |= on
            low, high = one.leave_mm
            leave = f"{number_text(low, here.inch)} to {length_text(high, here.inch)}"
            where = "" if one.surface == "end" else " on the diameter"
            yield f"{leave} left{where} for {one.by} on {_names(on)}"
    for rough in here.meant.roughness:
        if any(rough.place == one.place for one in here.meant.ground):
            continue  # nobody measures what the wheel takes away
        if on := here.mine & set(rough.place.segments):
            yield f"Ra {rough.ra_um:g} µm on {_names(on)}{_beyond_text(here, on, 'µm')}"


def _beyond_text(here: _Here, on: set[str], unit: str) -> str:
    """By which finding turning alone does not leave it so: whoever measures it must not wonder."""
    told = [
        f
        for f in here.report.findings
        if f.rule == tighter_than_turning.NAME and f.unit == unit and on & set(f.where.segments)
    ]
    if not told:
        return ""
    ids = ", ".join(f.id for f in told)
    if any(f.level == "error" for f in told):
        return f": turning alone does not make it, stock is to be left for what follows ({ids})"
    how = "polish or grind it after turning" if unit == "µm" else "only with care, else grind it"
    return f": {how} ({ids})"


def _tolerance_text(here: _Here, tolerance: Tolerance, on: set[str]) -> str:
    nominal = tolerance.nominal_mm
    for one in here.meant.ground:
        if one.turned_mm is not None and tolerance.place == one.place:
            low, high = one.turned_mm
            drilled = drilled_mm(one, here.report.setups, here.report.tools)
            if drilled is not None and drilled[1] < low:
                as_drilled = length_text(drilled[1], here.inch)
                return f"⌀{as_drilled} as drilled on {_names(on)}, stock for {one.by}"
            limits = f"{number_text(low, here.inch)} to {length_text(high, here.inch)}"
            return f"diameter {limits} on {_names(on)}, stock for {one.by}"
    size = "" if nominal is None else f" {length_text(nominal, here.inch)}"
    limits = ""
    if nominal is not None and tolerance.deviations_mm is not None:
        low, high = (nominal + d for d in tolerance.deviations_mm)
        limits = f" ({number_text(low, here.inch)} to {length_text(high, here.inch)})"
    stated = tolerance.fit or ("" if limits else tolerance.stated)
    reamed = {s for o in here.setup.operations if o.kind == "ream" for s in o.segments}
    plug = ", by plug gauge" if tolerance.of == "diameter" and on & reamed else ""
    # the other face stands only when the blade is through
    blade = _names(here.parted & set(tolerance.place.segments))
    then = f" and {blade}: once parted off, as the blade leaves it" if blade else ""
    line = _line_text(here, on) if tolerance.of in ("diameter", "surface") else ""
    words = f"{tolerance.of}{size} {stated}{limits} on {_names(on)}{then}{plug}{line}"
    return " ".join(words.split())


def _line_text(here: _Here, on: set[str]) -> str:
    """Which tools meet on a surface that must be of one size: none gets at all of it as held."""
    _, tools = tools_meeting(here.report.setups[: here.setup.order], sorted(on))
    if not tools:
        return ""
    meet = " and ".join(tools) if len(tools) > 1 else f"{tools[0]} from either end"
    return f"; a line stays where {meet} meet: measure on either side of it"


def _threads(here: _Here) -> Iterator[str]:
    """Each thread that is finished here: its crest, turned or bored before it is cut, its gauge."""
    profile = here.report.part.profile
    assert profile is not None
    for one in threads_of(here.report.features, here.report.setups, here.setup, profile):
        if one.only_drawn:
            continue
        yield thread_gauge_text(one, here.inch)
        here.told |= here.mine & set(one.segments)


def _run_outs(here: _Here) -> Iterator[str]:
    """Those that two surfaces cut here show, or the last one against those cut before."""
    for related in here.meant.related:
        on = {s for place in related.places for s in place.segments}
        if not here.mine & on:
            continue
        together_here = sum(bool(here.mine & set(p.segments)) for p in related.places) > 1
        earlier = (here.before & on) - here.mine
        if together_here or earlier or len(related.places) < 2:
            yield _run_out_text(here, related, here.mine & on, earlier)


def _run_out_text(here: _Here, related: Related, on: set[str], earlier: set[str]) -> str:
    limit = related.run_out_mm
    within = "" if limit is None else f" within {length_text(limit, here.inch)}"
    to = f" against {_names(earlier)}, cut before" if earlier else ""
    line = _line_text(here, on)
    return f"run-out of {related.name}{within}, on {_names(on)}{to}{line}"


def _hollows(here: _Here) -> Iterator[str]:
    """Grooves and recesses that are finished here: the floor's diameter and the width."""
    alike: dict[str, list[str]] = {}
    for one in here.report.features:
        cut = here.mine & set(one.segments)
        if one.kind not in _HOLLOWS or not cut or set(one.segments) <= here.told:
            continue
        if (here.after | here.stays) & set(one.segments):
            continue
        words = list(_sizes_of(here, one))
        here.told |= cut
        if words:
            name = one.kind.replace("-", " ")
            at = one.id
            if one.kind != "end-groove" and here.base is not None:
                away = min(abs(z - here.base.z_mm) for z in one.z_mm)
                at = f"{one.id} {here.size(away)}"
            alike.setdefault(f"{name} {', '.join(words)}", []).append(at)
    for text, names in alike.items():
        lies = "" if here.base is None or "end groove" in text else f" from {here.base.name}"
        yield f"{text} ({', '.join(names)}{lies})"


def _sizes_of(here: _Here, one: Feature) -> Iterator[str]:
    floor = [
        s
        for s in (here.known[n] for n in one.segments if n in here.known)
        if s.surface in ("outer", "inner") and _level(s)
    ]
    across = one.diameter_mm[0] if one.kind == "groove" and one.surface == "outer" else None
    across = one.diameter_mm[1] if across is None else across
    stated = {s.id for s in floor if abs(2.0 * s.curve.start[1] - across) <= _SAME_MM}
    if not stated & here.told:
        yield f"{_HOLLOWS[one.kind]} ⌀{here.size(across)}"
    width, deep = one.number("width_mm"), one.number("depth_mm")
    walls = set(one.segments)
    if width is not None and not any(pair <= walls for pair in here.between):
        yield f"width {here.size(width)}"
    if one.kind == "end-groove" and deep is not None:
        yield f"depth {here.size(deep)}"


def _tapers(here: _Here) -> Iterator[str]:
    turned = {
        s for o in here.setup.operations if o.kind in ("turn", "bore", "groove") for s in o.segments
    } - here.told
    for one in here.report.features:
        on = turned & set(one.segments)
        angle = one.number("half_angle_deg")
        if one.kind != "taper" or not on or angle is None:
            continue
        here.told |= on
        if on & here.stays:
            half = f"half angle {degrees_text(angle)}"
            yield f"taper, {half} ({_names(on)}): by sine bar, as far as it is cut"
            continue
        small, large = one.diameter_mm
        least = number_text(round(small, 3), here.inch)
        long = here.size(one.z_mm[1] - one.z_mm[0])
        short = one.z_mm[1] - one.z_mm[0] < _SHORT_TAPER_MM
        how = "as a chamfer, by caliper" if short else "by gauge or sine bar"
        named = next((m.designation for m in one.matches if m.standard in _TOOL_TAPERS), "")
        if named:
            how = f"by its {'plug' if one.surface == 'inner' else 'ring'} gauge, blued"
        yield (
            f"taper {named and f'{named}, '}⌀{least} to {here.size(large)} over {long}, "
            f"half angle {degrees_text(angle)} ({_names(on)}): {how}"
        )


def _diameters(here: _Here) -> Iterator[str]:
    """Plain cylinders, the longest first, those of one size together."""
    plain = [
        s
        for s in here.known.values()
        if s.id in here.mine - here.told and s.surface in ("outer", "inner") and _level(s)
    ]
    plain.sort(key=lambda s: -s.curve.length())
    alike: dict[str, list[str]] = {}
    for segment in plain:
        side = "bore " if segment.surface == "inner" else ""
        size = f"{side}⌀{here.size(2.0 * segment.curve.start[1])}"
        alike.setdefault(size, []).append(segment.id)
    for size, names in list(alike.items())[:_MOST_SIZES]:
        yield f"{size} ({', '.join(names)})"


def _lengths(here: _Here) -> Iterator[str]:
    """Plane shoulders by their distance from the face of this chucking's free end, in one line."""
    base = here.base
    if base is None:
        return
    found: dict[float, list[str]] = {}
    for one in here.known.values():
        if one.id not in here.mine - here.told or not is_plane(one) or one.id in base.faces:
            continue
        stated = any({one.id, face} <= pair for face in base.faces for pair in here.between)
        away = round(abs(one.curve.start[0] - base.z_mm), 3)
        # a flange is spanned rather than measured from an end that has no face
        if not stated and away and (base.faces or one.id not in here.spanned):
            found.setdefault(away, []).append(one.id)
    if found:
        words = [
            f"{here.size(d)}{here.left_to_grind({*n, *base.faces})} ({', '.join(n)})"
            for d, n in sorted(found.items())
        ]
        yield f"shoulders from {base.name}: {', '.join(words[:_MOST_SIZES])}"


def _across_setups(here: _Here) -> Iterator[str]:
    """Lengths that stand only once another chucking, or the blade, has cut their second face."""
    profile = here.report.part.profile
    assert profile is not None
    done = here.before | here.mine
    parted = here.parted - here.after
    by_blade = []
    for one in faced_lengths(profile):
        low, high = (set(end) & (done | parted) for end in (one.low, one.high))
        ends = low | high
        blade = bool(ends & parted)
        if not low or not high or not (blade or ends & here.mine) or ends & here.after:
            continue
        # what one chucking cuts stands among its shoulders
        if not one.overall and ends <= here.mine:
            continue
        if any(low & pair and high & pair for pair in here.between):
            continue
        what = "overall length" if one.overall else "length"
        size = f"{here.size(one.length_mm)}{here.left_to_grind(ends)}"
        text = f"{what} {size} ({_names(low)} to {_names(high)})"
        here.spanned |= ends
        if blade:
            by_blade.append(text)
        else:
            yield text
    if by_blade:
        yield f"once parted off, as the blade leaves it: {', '.join(by_blade)}"


def _level(segment: Segment) -> bool:
    return abs(segment.curve.start[1] - segment.curve.end[1]) <= _SAME_MM


def _names(segments: Iterable[str]) -> str:
    return ", ".join(sorted(segments))
