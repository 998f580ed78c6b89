"""Findings and how they stand as plain values for the report's document."""

from __future__ import annotations

from typing import Any, TypeAlias

from turnability.rules.model import Change, Finding
from turnability.standing.model import Accepted, Baseline, Decided

Json: TypeAlias = dict[str, Any]


def baseline_document(baseline: Baseline) -> Json:
    """The earlier report, and what is gone of it."""
    return {
        "path": baseline.path,
        "sha256": baseline.sha256,
        "turnability_version": baseline.turnability_version,
        "source_sha256": baseline.source_sha256,
        "same_shop": baseline.same_shop,
        "fixed": [finding_document(finding) for finding in baseline.fixed],
        "not_judged": [finding_document(finding) for finding in baseline.not_judged],
    }


def decided_document(decided: Decided) -> Json:
    """What the project file decides, and which of its acceptances match nothing."""
    return {
        "path": decided.path,
        "sha256": decided.sha256,
        "levels": dict(decided.levels),
        "unused": [_accepted(entry) for entry in decided.unused],
    }


def _accepted(entry: Accepted) -> Json:
    return {
        "rule": entry.rule,
        "z_mm": entry.z_mm,
        "diameter_mm": entry.diameter_mm,
        "reason": entry.reason,
        "by": entry.by,
        "until": entry.until.isoformat(),
        "line": entry.line,
    }


def finding_document(finding: Finding) -> Json:
    """One finding, with how it stands against an earlier report and by the project."""
    where, change = finding.where, finding.change
    return {
        "id": finding.id,
        "rule": finding.rule,
        "level": finding.level,
        "message": finding.message,
        "where": {
            "segments": where.segments,
            "faces": where.faces,
            "features": where.features,
            "z_mm": where.z_mm,
            "diameter_mm": where.diameter_mm,
        },
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "change": change and _change(change),
        "other_changes": [_change(one) for one in finding.other_changes],
        "basis": {"text": finding.basis.text, "kind": finding.basis.kind},
        "state": finding.state,
        "counts_as": finding.weight,
        "accepted": finding.accepted
        and {
            "reason": finding.accepted.reason,
            "by": finding.accepted.by,
            "until": finding.accepted.until.isoformat(),
            "expired": finding.accepted.expired,
            "turned": finding.accepted.turned,
        },
    }


def _change(change: Change) -> Json:
    return {
        "text": change.text,
        "parameter": change.parameter,
        "from": change.from_,
        "to": change.to,
        "proven": change.proven,
        "also": change.also and dict(zip(("parameter", "from", "to"), change.also, strict=True)),
    }
