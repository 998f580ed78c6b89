"""Assertions for the tests of a design repository: `assert_turnable(part, shop=…)`.

They take whatever `turnability.analyze` takes: the path of a STEP file, a shape of the CAD kernel,
or an object of a modelling library that wraps one.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

if TYPE_CHECKING:
    from turnability.analysis.intents import IntentLike
    from turnability.report import Report
    from turnability.shop.model import Shop

FailOn: TypeAlias = Literal["error", "warning", "never"]


def assert_turnable(
    part: Any,
    shop: Shop | str | os.PathLike[str] | None = None,
    *,
    intent: IntentLike = None,
    project: str | os.PathLike[str] | None = None,
    solid: int | None = None,
    fail_on: FailOn = "error",
) -> tuple[Report, ...]:
    """Assert that the shop can make each solid of a part, and hand back their reports.

    Fails where a finding counts as `fail_on` or worse ("never": on none), and where the verdict is
    `undetermined`: what is not known is not taken for turnable. `project`: a project file, which
    says what findings count as and which are accepted. Other arguments as `turnability.analyze_all`
    has them, which also raises what is no matter of the design (unreadable files, an unusable
    shop).
    """
    __tracebackhide__ = True  # a test's failure shows the test, not this
    from turnability.analysis import analyze_all
    from turnability.errors import TurnabilityError
    from turnability.report import FAIL_ON

    if fail_on not in FAIL_ON:
        raise ValueError(f"fail_on={fail_on!r}: it may be {', '.join(map(repr, FAIL_ON))}")
    reports = []
    try:
        for result in analyze_all(part, shop, intent=intent, solid=solid):
            if isinstance(result, TurnabilityError):
                raise result
            reports.append(_by(result, project))
    except TurnabilityError as error:
        raise error.with_traceback(None) from None  # it says all; where it arose is our business
    failed = [text for report in reports if (text := why_not(report, fail_on))]
    if failed:
        raise AssertionError("\n\n".join(failed))
    return tuple(reports)


def why_not(report: Report, fail_on: FailOn = "error") -> str | None:
    """Why a solid does not pass, with all that its report says; None where it passes."""
    from turnability.outputs.summary import summary_lines
    from turnability.report import FAIL_ON

    counting = [f for f in report.findings if f.fails(FAIL_ON[fail_on])]
    if counting:
        named = ", ".join(f"{finding.id} {finding.rule}" for finding in counting)
        said = f"{len(counting)} of its findings must be dealt with: {named}"
    elif report.verdict == "undetermined":
        open_ = [s for s in report.rules if s.status in ("not-judged", "crashed")]
        named = ", ".join(f"{status.rule} ({status.reason})" for status in open_)
        said = f"it could not be judged: {named or 'no reason given'}"
    else:
        return None
    summary = "\n".join(f"  {line}".rstrip() for line in summary_lines(report))
    return f"{report.name} is not shown to be turnable; {said}\n{summary}"


def _by(report: Report, project: str | os.PathLike[str] | None) -> Report:
    if project is None:
        return report
    from pathlib import Path

    from turnability.analysis.standing import by_project
    from turnability.standing.project_file import load_project

    return by_project(report, load_project(Path(project)))
