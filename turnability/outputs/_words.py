"""How findings stand, and numbers of solids in runs, as words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import PurePath
from typing import TYPE_CHECKING

from turnability.units import counted, mm_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding
    from turnability.standing.model import Accepted


def standing_words(finding: Finding) -> tuple[str, ...]:
    """All that is to be said of how a finding stands; nothing where it just counts."""
    words: list[str] = []
    if finding.state is not None:
        words.append(finding.state)
    if finding.weight == "off":
        words.append(f"turned off by the project ({finding.level} by its rule)")
    elif finding.weight != finding.level:
        words.append(f"counts as {finding.weight} by the project ({finding.level} by its rule)")
    if accepted := finding.accepted:
        until = accepted.until.isoformat()
        if accepted.turned:
            until += " (its place counted from the other end: the part lies turned)"
        words.append(
            f"acceptance by {accepted.by} expired after {until} ({accepted.reason})"
            if accepted.expired
            else f"accepted by {accepted.by} until {until}: {accepted.reason}"
        )
    return tuple(words)


RAISED = "Must change by the project's levels"
"""The heading of what is no error by its rule, and so leaves the verdict alone."""


def is_raised(finding: Finding) -> bool:
    """Whether a project alone makes it an error."""
    return finding.weight == "error" and finding.level != "error"


def project_verdict(report: Report) -> str:
    """What stands beside the verdict where the project sees errors otherwise than the rules do."""
    found = report.findings
    raised = sum(is_raised(f) and not f.may_stay for f in found)
    let = sum(f.level == "error" and (f.may_stay or f.weight != "error") for f in found)
    return beside_verdict(raised, let)


def beside_verdict(raised: int, let: int) -> str:
    """The same from the numbers: errors by the project alone, errors that it lets stay."""
    words = ""
    if raised:
        words += f"; by the project's levels {counted(raised, 'finding')} must change"
    if let:
        words += f"; the project lets {counted(let, 'error')} stay"
    return words


def baseline_text(report: Report) -> str | None:
    """How the findings compare with the earlier report, counted; None without one."""
    baseline = report.baseline
    if baseline is None:
        return None
    new = sum(finding.state == "new" for finding in report.findings)
    same = sum(finding.state == "unchanged" for finding in report.findings)
    text = f"{new} new, {same} unchanged, {len(baseline.fixed)} fixed"
    if baseline.not_judged:
        text += f", {len(baseline.not_judged)} no longer judged"
    text = f"Against {PurePath(baseline.path).name}: {text}"
    return text if baseline.same_shop else f"{text}; it was made with another shop file"


def project_lines(report: Report) -> tuple[str, ...]:
    """What people must know of the project file beside the findings themselves."""
    project = report.project
    if project is None:
        return ()
    name = PurePath(project.path).name
    off: dict[str, int] = {}
    for finding in report.findings:
        if finding.weight == "off":
            off[finding.rule] = off.get(finding.rule, 0) + 1
    lines = [f"Turned off by {name}: {n} of {rule}" for rule, n in off.items()]
    lines += [
        f"{name} line {entry.line}: accepts {entry.rule} where there is none. "
        + _instead(entry, report)
        for entry in project.unused
    ]
    return tuple(lines)


def _instead(entry: Accepted, report: Report) -> str:
    """The nearest finding of the rule, which may have been meant; else to take the entry out."""
    open_ = [f for f in report.findings if f.rule == entry.rule and f.accepted is None]
    asked = (entry.z_mm, entry.diameter_mm)

    def off(finding: Finding) -> float:
        there = (finding.where.z_mm, finding.where.diameter_mm)
        pairs = [(a, b) for a, b in zip(asked, there, strict=True) if a and b]
        return sum(abs(x - y) for a, b in pairs for x, y in zip(a, b, strict=True))

    if not open_:
        return "Take it out"
    near = min(open_, key=off)
    return f"Nearest is {near.id}, {_place_in_keys(near)}: correct it, or take it out"


def _place_in_keys(finding: Finding) -> str:
    """A place as an entry of the project file says it."""
    spans = (("z_mm", finding.where.z_mm), ("diameter_mm", finding.where.diameter_mm))
    return ", ".join(
        f"{key} = [{mm_text(span[0])}, {mm_text(span[1])}]" for key, span in spans if span
    )


def numbers_text(solids: Sequence[int]) -> str:
    """Numbers of solids in order, runs of them as from–to: "1–14, 16"."""
    ordered = sorted(solids)
    begins = [ordered[0], *(b for a, b in pairwise(ordered) if b != a + 1)]
    ends = [*(a for a, b in pairwise(ordered) if b != a + 1), ordered[-1]]
    return ", ".join(
        str(a) if a == b else f"{a}–{b}" if b > a + 1 else f"{a}, {b}"
        for a, b in zip(begins, ends, strict=True)
    )
