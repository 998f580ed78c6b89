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
from turnability.outputs.route_sheet.speeds import speed_text
from turnability.outputs.route_sheet.tapped import tapped_text
from turnability.outputs.route_sheet.thread_ends import ends_text, thread_ends, with_room
from turnability.outputs.route_sheet.thread_gauges import crest_text
from turnability.rules.speak import thread_name
from turnability.setups.cutting.threads import (
    Carried,
    ThreadRun,
    half_width_mm,
    point_depth_mm,
    thread_run,
)
from turnability.setups.operations.threading import threads_of, tool_for
from turnability.units import MM_PER_INCH, length_text, span_text

if TYPE_CHECKING:
    from turnability.features.model import Feature
    from turnability.part.model import Profile
    from turnability.report import Report
    from turnability.setups.model import Operation, Setup
    from turnability.shop.materials import Material
    from turnability.shop.model import Machine, Shop, Tool

NO_TOOL = "no tool for it in the shop; not planned"
UNCHECKED = "whether it gets there is not checked"
RUN_OUT_PITCHES = 3.0
"""Nearer to a parted end a thread runs out in the blade's cut (DIN 76-1: about 2.5 to 3.2)."""
_CORE = 1.22687
"""d3 = d - 1.22687 P, an outside thread's core (ISO 68-1)."""
_SAME_MM = 1e-3
_GEARED = 2e-4
"""As a share: how far the tables' three places are off whole threads to the inch."""
_HALVES_UP_TO = 20.0
"""Half threads to the inch are usual on coarse ones alone: 4 1/2 and 11 1/2."""
_OUTSIDE = ("face", "rough", "turn", "groove")
_INSIDE = ("drill", "bore", "ream", "groove")


@dataclass(frozen=True, slots=True)
class ThreadStep:
    """One thread in its place: behind which operation (counted from 1), with what, where, how."""

    after: int
    tool: str
    where: str
    run: str
    first: str = ""


def thread_steps(
    report: Report,
    shop: Shop,
    setup: Setup,
    material: Material | None = None,
    lathe: Machine | None = None,
    carried: Sequence[Carried] = (),
) -> list[ThreadStep]:
    """The threads whose surfaces this setup finishes and that a tool of the shop cuts, in order.

    `carried` is what holds the spindle down in each operation of the setup.
    """
    profile = report.part.profile
    assert profile is not None
    made = []
    for feature in threads_of(report.features, report.setups, setup, profile):
        tool = None if feature.only_drawn else tool_for(feature, shop)
        if tool is None:
            continue
        after = _after(feature, setup, profile)
        held = carried[after - 1] if 0 < after <= len(carried) else Carried()
        run, first = _run_and_first(report, feature, setup, profile, tool, material, lathe, held)
        made.append(
            ThreadStep(
                after,
                tool.name,
                f"{_name(feature, report.inch)} on {_where(feature, report.inch)}"
                f"{crest_text(feature, report.inch, _is_cut(feature, report))}"
                f"{_hole_first(feature, report)}; {UNCHECKED}",
                run,
                first,
            )
        )
    return sorted(made, key=lambda step: step.after)


def _run_and_first(
    report: Report,
    feature: Feature,
    setup: Setup,
    profile: Profile,
    tool: Tool,
    material: Material | None,
    lathe: Machine | None,
    carried: Carried,
) -> tuple[str, str]:
    """What to run it with; and before it: the blade's cut, where it starts and ends."""
    inch = report.inch
    pitch, major = feature.number("pitch_mm"), feature.number("major_mm")
    if pitch is None or major is None:
        return "", ""
    whole = tool.kind in ("tap", "die")
    root = math.inf if whole else major - 2.0 * point_depth_mm(tool, pitch, "outer")
    sunk = _runs_out(feature, setup, profile, root, inch)
    starts = feature.parameters.get("starts")
    lead = pitch * (starts if isinstance(starts, int) and starts > 1 else 1)
    if whole:
        how = tapped_text(feature, setup, profile, tool, inch)
        run = None
        if material is not None:
            run = thread_run(tool, feature.surface, major, pitch, None, material, lathe, carried)
        return _run_text(lead, run, inch), _before(sunk, "runs out", how)
    blade = next((o for o in setup.operations if o.kind == "part off"), None)
    width = None
    if sunk and blade is not None:
        width = next((t.limits.get("width_mm") for t in report.tools if t.name == blade.tool), None)
    deep = major if feature.surface == "inner" else root
    later = _cut_later(report, setup)
    ends = with_room(thread_ends(feature, setup, profile, pitch, deep, width, later), pitch)
    run = None
    seconds = None
    if material is not None:
        room = ends.stop_room_mm
        run = thread_run(tool, feature.surface, major, lead, room, material, lathe, carried)
        if run.opened_by_hand:
            clear = max(0.0, (room or 0.0) - half_width_mm(tool, pitch, feature.surface))
            seconds = 60.0 * clear / lead / run.speed.rpm
    limit = feature.parameters.get("run_out_limit_mm")
    how = ends_text(ends, pitch, seconds, limit if isinstance(limit, int | float) else None, inch)
    does = "runs out" if ends.toward_chuck else "starts"
    return _run_text(lead, run, inch), _before(sunk, does, how)


def _before(sunk: str, does: str, how: str) -> str:
    """The blade's cut and what the thread does in it, then its way."""
    return ". ".join(w for w in (f"{sunk}: the thread {does} there" if sunk else "", how) if w)


def lead_text(lead: float, inch: bool) -> str:
    """As change gears are set, whatever the sheet's unit: whole threads to the inch, or mm."""
    to_the_inch = round(2.0 * MM_PER_INCH / lead) / 2.0
    whole = to_the_inch < _HALVES_UP_TO or to_the_inch.is_integer()
    if whole and abs(lead * to_the_inch / MM_PER_INCH - 1.0) < _GEARED:
        told = length_text(round(lead, 4), inch)
        return f"{told} a turn ({to_the_inch:g} to the inch)"
    if inch:
        return f"{length_text(round(lead, 4), False)} a turn ({length_text(lead, True)})"
    return f"{length_text(round(lead, 4), False)} a turn"


def _run_text(lead: float, run: ThreadRun | None, inch: bool) -> str:
    """Lead, speed, depth and passes."""
    words = [lead_text(lead, inch)]
    if run is not None:
        words.append(speed_text(run.speed, inch))
        if run.depth_mm is not None and run.passes is not None and run.first_mm is not None:
            deep = length_text(round(run.depth_mm, 2), inch)
            first = length_text(round(run.first_mm, 2), inch)
            words.append(
                f"to {deep} a side in about {run.passes} passes: {first} first, then less each "
                "time, the last without infeed; finish by the gauge"
            )
    return ", ".join(words)


def _hole_first(feature: Feature, report: Report) -> str:
    """That its hole is still to be drilled, where no drill of the shop has its size."""
    undrilled = undrilled_text(report, feature.segments)
    return "" if undrilled is None else f", {undrilled}"


def thread_lines(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """A line for each other thread whose surface this setup finishes: why it is no step."""
    profile = report.part.profile
    assert profile is not None
    for feature in threads_of(report.features, report.setups, setup, profile):
        where = _where(feature, report.inch)
        if feature.only_drawn:
            name = feature.matches[0].designation if feature.matches else "a thread"
            yield (
                f"{where} is drawn as if for {name}: if it is one, state it under [[thread]] in "
                "the intent; not planned"
            )
        elif tool_for(feature, shop) is None:
            yield f"cut thread {_name(feature, report.inch)} on {where}: {NO_TOOL}"
    yield from _again(report, shop, setup)


def _again(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """Threads cut before whose other mouth is chamfered here: that pushes a burr into them."""
    profile = report.part.profile
    assert profile is not None
    cut = {s for o in setup.operations if o.kind != "part off" for s in o.segments}
    rims = [
        p[0]
        for s in profile.segments
        if s.id in cut and s.surface == "inner" and s.curve.start[1] != s.curve.end[1]
        for p in (s.curve.start, s.curve.end)
    ]
    for one in report.setups[: setup.order - 1]:
        for feature in threads_of(report.features, report.setups, one, profile):
            tool = None if feature.only_drawn else tool_for(feature, shop)
            if tool is None or feature.surface != "inner" or set(feature.segments) & cut:
                continue
            if any(abs(z - end) <= _SAME_MM for z in rims for end in feature.z_mm):
                yield (
                    f"then run {tool.name} once more through {_where(feature, report.inch)}: the "
                    "chamfer leaves a burr in it"
                )


def _name(feature: Feature, inch: bool) -> str:
    name, pitch = thread_name(feature, inch), feature.number("pitch_mm")
    if not feature.matches and pitch is not None:
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
        bores = inside or operation.kind in ("drill", "bore", "ream")
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


def _runs_out(feature: Feature, setup: Setup, profile: Profile, root: float, inch: bool) -> str:
    """What is cut first where it ends so near to the bar that it runs out in the parting cut.

    `root` is the diameter to which its point goes, infinite where none does.
    """
    blades: Sequence[Operation] = [o for o in setup.operations if o.kind in ("part off", "groove")]
    pitch, major = feature.number("pitch_mm"), feature.number("major_mm")
    from turnability.setups.holding.jaws import RAW_BAR

    if setup.grip.kind != RAW_BAR or feature.surface == "inner" or pitch is None:
        return ""
    room = feature.z_mm[0]
    if setup.toward_chuck == "high":
        room = profile.length_mm - feature.z_mm[1]
    if room >= RUN_OUT_PITCHES * pitch or not isinstance(major, int | float):
        return ""
    core = math.floor(10.0 * min(major - _CORE * pitch, root)) / 10.0
    blade = blades[-1].tool if blades else "a blade"
    where = f"to ⌀{length_text(core, inch)} behind the end first"
    return f"Sink {blade} {where}"


def _cut_later(report: Report, setup: Setup) -> set[str]:
    """Surfaces that no operation has cut by the end of this setup, but one of a later setup does.

    What the blade parts off lies at the part's end, where the bar is in the way anyway.
    """
    by_now = {s for n in report.setups[: setup.order] for o in n.operations for s in o.segments}
    after = {s for n in report.setups[setup.order :] for o in n.operations for s in o.segments}
    return after - by_now


def _is_cut(feature: Feature, report: Report) -> bool:
    """Whether any operation of the plan cuts its surface; else that stays as the bar comes."""
    mine = set(feature.segments)
    cut = (mine & set(o.segments) for setup in report.setups for o in setup.operations)
    return not mine or any(cut)
