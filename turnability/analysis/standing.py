"""A finished report set against an earlier one, and under a project's decisions."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from turnability.report import Report
from turnability.standing.decide import decide
from turnability.standing.match import match
from turnability.standing.model import Baseline, OldReport, Project


def against(report: Report, old: OldReport) -> Report:
    """The report with each finding new or unchanged, and the earlier ones that are gone."""
    matched = match(report.findings, report.part.profile, report.rules, old)
    baseline = Baseline(
        path=old.path,
        sha256=old.sha256,
        turnability_version=old.turnability_version,
        source_sha256=old.source_sha256,
        same_shop=old.shop_sha256 == report.shop_sha256,
        fixed=matched.fixed,
        not_judged=matched.not_judged,
    )
    return replace(report, findings=matched.findings, baseline=baseline)


def all_new(report: Report) -> Report:
    """The report of a part that has no earlier one."""
    return replace(report, findings=tuple(replace(f, state="new") for f in report.findings))


def by_project(report: Report, project: Project, today: date | None = None) -> Report:
    """The report with what each finding counts as, and which may stay; the verdict as it was."""
    day = date.today() if today is None else today
    part = report.part
    findings, decided = decide(report.findings, part.source, project, day, part.profile)
    return replace(report, findings=findings, project=decided)
