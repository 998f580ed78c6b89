"""What the route sheet says of threads: operations leave them out, so each is told by itself.

One that a tool of the shop cuts stands among the steps, when its surface and what it runs out in
are cut and before the work is parted off; on a centre, while that still carries it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from turnability.outputs.route_sheet.beside import undrilled_text
from turnability.rules.speak import thread_name
from turnability.setups.threading import tool_for
from turnability.units import length_text, span_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.part.model import Profile
    from turnability.report import Report
    from turnability.setups.model import Operation, Setup
    from turnability.shop.model import Shop

NO_TOOL = "no tool for it in the shop; not planned"
UNCHECKED = "whether it gets there is not checked"
RUN_OUT_PITCHES = 3.0
"""Nearer to a parted end a thread runs out in the blade's cut (DIN 76-1: about 2.5 to 3.2)."""
_CORE = 1.22687
"""d3 = d - 1.22687 P, an outside thread's core (ISO 68-1)."""
_OUTSIDE = ("face", "rough", "turn", "groove")
_INSIDE = ("drill", "bore", "groove")


@dataclass(frozen=True, slots=True)
class ThreadStep:
    """One thread in its place: behind which operation (counted from 1), with what, where, how."""

    after: int
    tool: str
    where: str
    run: str
    first: str = ""


def thread_steps(report: Report, shop: Shop, setup: Setup) -> list[ThreadStep]:
    """The threads whose surfaces this setup finishes and that a tool of the shop cuts, in order."""
    profile = report.part.profile
    assert profile is not None
    made = []
    for feature in _of(report, setup):
        tool = None if _is_doubtful(feature) else tool_for(feature, shop)
        if tool is None:
            continue
        pitch = feature.parameters.get("pitch_mm")
        run = ""
        if isinstance(pitch, int | float):
            passes = "" if tool.kind in ("tap", "die") else ", in passes"
            run = f"{length_text(round(pitch, 3), report.inch)} a turn{passes}"
        made.append(
            ThreadStep(
                _after(feature, setup, profile),
                tool.name,
                f"{_name(feature, report.inch)} on {_where(feature, report.inch)}"
                f"{_hole_first(feature, report)}; {UNCHECKED}",
                run,
                _runs_out(feature, setup, profile, report.inch),
            )
        )
    return sorted(made, key=lambda step: step.after)


def _hole_first(feature: Feature, report: Report) -> str:
    """That its hole is still to be drilled, where no drill of the shop has its size."""
    undrilled = undrilled_text(report, feature.segments)
    return "" if undrilled is None else f", {undrilled}"


def thread_lines(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """A line for each other thread whose surface this setup finishes: why it is no step."""
    for feature in _of(report, setup):
        where = _where(feature, report.inch)
        if _is_doubtful(feature):
            name = feature.matches[0].designation if feature.matches else "a thread"
            yield (
                f"{where} is drawn as if for {name}: if it is one, state it under [[thread]] in "
                "the intent; not planned"
            )
        elif tool_for(feature, shop) is None:
            yield f"cut thread {_name(feature, report.inch)} on {where}: {NO_TOOL}"


def _of(report: Report, setup: Setup) -> Iterator[Feature]:
    for feature in report.features:
        if feature.kind == "thread" and _setup_of(feature, report) is setup:
            yield feature


def _is_doubtful(feature: Feature) -> bool:
    return feature.parameters.get("evidence") == "cosmetic"


def _name(feature: Feature, inch: bool) -> str:
    name, pitch = thread_name(feature, inch), feature.parameters.get("pitch_mm")
    if not feature.matches and isinstance(pitch, int | float):
        return f"{name}, pitch {length_text(round(pitch, 3), inch)},"
    return name


def _where(feature: Feature, inch: bool) -> str:
    on = ", ".join(feature.segments)
    return f"{on or 'the part'} z {span_text(feature.z_mm, inch)}"


def _after(feature: Feature, setup: Setup, profile: Profile) -> int:
    """After the last cut on its side of the wall that is carried as its own surface is."""
    sides = {s.id: s.surface for s in profile.segments}
    kinds = _INSIDE if feature.surface == "inner" else _OUTSIDE

    def is_beside(operation: Operation) -> bool:
        inside = any(sides.get(s) == "inner" for s in operation.segments)
        bores = inside or operation.kind in ("drill", "bore")
        return operation.kind in kinds and bores == (feature.surface == "inner")

    done = [n for n, o in enumerate(setup.operations, start=1) if o.kind != "part off"]
    own = [n for n in done if set(feature.segments) & set(setup.operations[n - 1].segments)]
    support = setup.operations[own[-1] - 1].support if own else None
    beside = [
        n
        for n in done
        if is_beside(setup.operations[n - 1]) and setup.operations[n - 1].support == support
    ]
    return max([*own, *beside], default=max(done, default=0))


def _runs_out(feature: Feature, setup: Setup, profile: Profile, inch: bool) -> str:
    """What is cut first where it ends so near to the bar that it runs out in the parting cut."""
    off: Sequence[Operation] = [o for o in setup.operations if o.kind == "part off"]
    pitch, major = (feature.parameters.get(key) for key in ("pitch_mm", "major_mm"))
    if not off or feature.surface == "inner" or not isinstance(pitch, int | float):
        return ""
    room = feature.z_mm[0]
    if setup.toward_chuck == "high":
        room = profile.length_mm - feature.z_mm[1]
    if room >= RUN_OUT_PITCHES * pitch or not isinstance(major, int | float):
        return ""
    core = math.floor(10.0 * (major - _CORE * pitch)) / 10.0
    return (
        f"Sink {off[-1].tool} to ⌀{length_text(core, inch)} behind the end first: the thread runs "
        "out there"
    )


def _setup_of(feature: Feature, report: Report) -> Setup | None:
    """The last setup that cuts the thread's surface, else the last that cuts anything beside it."""
    known = report.part.profile.segments if report.part.profile is not None else ()
    low, high = feature.z_mm
    beside = {
        s.id
        for s in known
        if s.surface == feature.surface
        and min(s.curve.start[0], s.curve.end[0]) < high
        and max(s.curve.start[0], s.curve.end[0]) > low
    }
    for mine in (set(feature.segments), beside):
        for setup in reversed(report.setups):
            if any(mine & set(operation.segments) for operation in setup.operations):
                return setup
    return report.setups[-1] if report.setups else None
