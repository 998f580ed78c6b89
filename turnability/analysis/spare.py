"""What proposed changes would spare, by walking again with each of them made alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.analysis.changed import can_be_tried, changed_profiles
from turnability.analysis.prove import changed_part, same_error
from turnability.analysis.stages import judged_once
from turnability.part.model import Part
from turnability.report import Report
from turnability.rules.model import Finding
from turnability.shop.model import Shop

MOST_TRIED = 4
"""So many changes of one part are tried, those of errors first; each costs half an analysis."""
_ORDER = ("error", "warning", "note")


def spared(report: Report, shop: Shop) -> Iterator[tuple[Finding, float]]:
    """The findings whose change does what it should, with the minutes a piece that it spares.

    A change counts where its finding is gone and no error is there that the part did not have
    before; one with which the part takes longer spares less than 0. Of several ways to make a
    change the one that takes the least counts. `shop` is the one that the report was made with.
    """
    part, effort = report.part, report.effort
    if part.profile is None or effort is None:
        return
    errors = [finding for finding in report.findings if finding.level == "error"]
    tried = [
        finding
        for finding in sorted(report.findings, key=lambda one: _ORDER.index(one.level))
        if finding.change is not None
        and (finding.change.proven or finding.level != "error")
        and can_be_tried(part.profile, finding, report.features)
    ]
    for finding in tried[:MOST_TRIED]:
        others = [error for error in errors if error is not finding]
        takes = [
            minutes
            for profile in changed_profiles(part.profile, finding, report.features)
            if (minutes := _minutes(changed_part(part, profile), shop, report, finding, others))
            is not None
        ]
        if takes:
            yield finding, effort.minutes_per_piece - min(takes)


def _minutes(
    part: Part, shop: Shop, report: Report, finding: Finding, others: Sequence[Finding]
) -> float | None:
    """Minutes a piece of the changed part; None where the change does not help or is not known."""
    again = judged_once(part, shop, report.intent)
    if again is None:
        return None
    findings, minutes = again
    if any(same_error(finding, one) for one in findings):
        return None
    after = [one for one in findings if one.level == "error"]
    if not all(any(same_error(one, other) for other in others) for one in after):
        return None
    return minutes
