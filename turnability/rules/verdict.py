"""The one word said of a part, from what the rules found and what they could not judge."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal, TypeAlias

from turnability.part.model import Part
from turnability.rules.model import Finding, Level, RuleStatus

Verdict: TypeAlias = Literal[
    "turnable", "needs-changes", "not-turnable", "not-axisymmetric", "undetermined"
]


def verdict_of(
    part: Part,
    findings: Iterable[Finding],
    statuses: Iterable[RuleStatus],
    levels: Mapping[str, Sequence[Level]] | None = None,
) -> Verdict:
    """Say the report contract's verdict.

    `levels` says which levels each rule may report (by default as the rules themselves say); a
    rule it does not know counts as error-level. A rule that could report an error and was not
    judged, or crashed, leaves the part `undetermined` whatever else was found.
    """
    if part.profile is None:
        return "not-axisymmetric"
    if levels is None:
        from turnability.rules.judge import levels_of_rules

        levels = levels_of_rules()
    for status in statuses:
        open_ = status.status in ("not-judged", "crashed")
        if open_ and "error" in levels.get(status.rule, ("error",)):
            return "undetermined"
    errors = [finding for finding in findings if finding.level == "error"]
    if not errors:
        return "turnable"
    if all(finding.change is not None and finding.change.proven for finding in errors):
        return "needs-changes"
    return "not-turnable"
