"""Which tools a part's findings ask for beyond the shop as it is."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.batch.model import Want
from turnability.features.model import Feature
from turnability.reach.model import Left
from turnability.report import Report
from turnability.rules import (
    centre_drill_missing,
    drilled_where_finer,
    hole_between_drills,
    no_thread_tool,
    recess_behind_small_entry,
    sharp_inside_corner,
    unreached_surface,
)
from turnability.rules.hole_between_drills import wants_flat
from turnability.rules.model import Finding
from turnability.rules.speak import cause_text, nearest_text, thread_name
from turnability.rules.unreached_surface import reason_of
from turnability.shop.model import Tool
from turnability.units import length_text

_UNCUT = (unreached_surface.NAME, recess_behind_small_entry.NAME, sharp_inside_corner.NAME)


def wants_of(report: Report) -> Iterator[Want]:
    """One for each place that a warning or an error says stays uncut, and for each hole, thread or
    centre hole that nothing of the shop makes.

    A corner that is drawn sharp asks for no tool: none has a nose of nothing.
    """
    told = [f for f in report.findings if f.level != "note"]
    for left in report.reach.left if report.reach is not None else ():
        about = [f for f in told if f.rule in _UNCUT and set(f.where.segments) & set(left.segments)]
        if about and (left.needed is None or left.needed.value > 0.0):
            yield _of_left(left, about)
    features = {feature.id: feature for feature in report.features}
    for finding in told:
        what = _of_finding(finding, features, report.inch)
        if what is not None:
            yield Want(what)


def _of_left(left: Left, about: list[Finding]) -> Want:
    """Reach's own number, unless a finding knows better what is asked for."""
    bars = [recess_behind_small_entry.bar_of(f.message) for f in about]
    bar = next((bar for bar in bars if bar is not None), None)
    if bar is not None:
        return Want(f"no {bar}")
    why = cause_text(left.own_causes)
    reasons = [reason for f in about if (reason := reason_of(f.message)) is not None]
    better = next((reason for reason in reasons if why not in reason), None)
    if better is not None:
        return Want(better)
    need = left.needed
    what = nearest_text(left.own_causes, left.nearest_tool)
    return Want(what) if need is None else Want(what, need.parameter, need.unit, need.value)


def _missing(tool: Tool, inch: bool) -> str:
    """A reamer with its fit, or the drill before one."""
    size = length_text(round(tool.limits["diameter_mm"], 3), inch)
    fit = f" {tool.fit}" if tool.fit else ""
    return f"no {tool.kind} of ⌀{size}{fit}"


def _of_finding(finding: Finding, features: dict[str, Feature], inch: bool) -> str | None:
    if finding.rule == hole_between_drills.NAME and finding.measured is not None:
        drill = "flat-ended drill" if wants_flat(finding) else "drill"
        return f"no {drill} of ⌀{length_text(round(finding.measured, 3), inch)}"
    if finding.rule == no_thread_tool.NAME:
        names = [thread_name(features[n], inch) for n in finding.where.features if n in features]
        inside = any(
            features[n].surface == "inner" for n in finding.where.features if n in features
        )
        whole = "tap" if inside else "die"
        return f"no {whole} nor point for {' and '.join(names)}" if names else None
    if finding.rule == drilled_where_finer.NAME and finding.listed:
        return " and ".join(_missing(tool, inch) for tool in finding.listed)
    if finding.rule == centre_drill_missing.NAME:
        return f"no centre drill for it: {finding.message.partition('. ')[0]}"
    return None
