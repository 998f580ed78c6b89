"""The findings for code scanning: SARIF 2.1.0 (OASIS standard, with errata 01).

The artifact is the STEP file, a finding's region the lines of its face's entity in it, its
logical location the feature. Paragraph numbers below are those of the standard.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import quote

from turnability.outputs._findings import finding_text
from turnability.outputs._fingerprint import fingerprints
from turnability.outputs._step_lines import Lines, step_lines
from turnability.outputs._words import standing_words
from turnability.outputs.drawing.sheet import clean
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.judge import Rule
    from turnability.rules.model import Finding

NAME = "SARIF"
SUFFIX = ".turnability.sarif"
SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
FINGERPRINT = "ruleAndPlace/v2"
_BASE = "RUNFOLDER"
_LINK = re.compile(r"\[([^\[\]]*)\](?=\()")
Json: TypeAlias = dict[str, Any]


def write(report: Report, target: Path) -> bool:
    """Write one log with one run."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(report)]}
    text = json.dumps(log, indent=2, ensure_ascii=False, allow_nan=False)
    write_whole(target, text + "\n")
    return True


def _run(report: Report) -> Json:
    from turnability.rules.judge import all_rules

    rules = all_rules()
    numbers = {rule.name: n for n, rule in enumerate(rules)}
    faces = {face.index: face.step_id for face in report.part.faces}
    lines = step_lines(
        report.part.source, (faces.get(i) for f in report.findings for i in f.where.faces)
    )
    prints = fingerprints(report)
    results = [
        _result(report, finding, numbers, {i: lines.get(n or 0) for i, n in faces.items()})
        | {"partialFingerprints": {FINGERPRINT: prints[finding.id]}}
        for finding in report.findings
    ]
    if report.baseline is not None:
        results += [
            _result(report, finding, numbers, {}) | {"baselineState": "absent"}
            for finding in report.baseline.fixed
        ]
    run: Json = {
        "tool": {
            "driver": {
                "name": "turnability",
                "semanticVersion": report.turnability_version,
                "rules": [_rule(rule) for rule in rules],
            }
        },
        "invocations": [
            {
                "executionSuccessful": not report.crashed,
                "toolExecutionNotifications": _notifications(report, numbers),
            }
        ],
        "columnKind": "unicodeCodePoints",
        "results": results,
        "properties": {"verdict": report.verdict, "shop": clean(report.shop_name)},
    }
    artifact = _artifact(report)
    if artifact is not None:
        run["artifacts"] = [artifact]
        if "uriBaseId" in artifact["location"]:
            what = "the folder that turnability was run in"
            run["originalUriBaseIds"] = {_BASE: {"description": {"text": what}}}
    return run


def _artifact(report: Report) -> Json | None:
    source = report.part.source
    if source.path is None:
        return None
    artifact: Json = {
        "location": _location(source.path),
        "roles": ["analysisTarget"],
        "mimeType": "model/step",  # as registered with IANA (from memory)
    }
    if source.sha256 is not None:
        artifact["hashes"] = {"sha-256": source.sha256}
    return artifact


def _location(path: str) -> Json:
    """A URI below the folder of the run where the file lies there, else an absolute one (3.4)."""
    whole = Path(os.path.abspath(path))  # noqa: PTH100 (links stay as they were named)
    if whole.is_relative_to(Path.cwd()):
        near = whole.relative_to(Path.cwd())
        return {"uri": quote(near.as_posix()), "uriBaseId": _BASE}
    return {"uri": whole.as_uri()}


def _rule(rule: Rule) -> Json:
    """What the rule says of itself (3.49)."""
    return {
        "id": rule.name,
        "shortDescription": {"text": rule.why},
        "fullDescription": {"text": f"{rule.why} Limit: {rule.limit}."},
        "help": {"text": f"{rule.why}\nLimit: {rule.limit}.\nBasis: {rule.basis}."},
        "defaultConfiguration": {"level": rule.levels[0]},
    }


def _result(
    report: Report,
    finding: Finding,
    numbers: Mapping[str, int],
    lines: Mapping[int, Lines | None],
) -> Json:
    words = finding_text(finding)
    result: Json = {
        "ruleId": finding.rule,
        "kind": "fail",
        "level": finding.level if finding.weight == "off" else finding.weight,
        "message": {"text": _message(words)},
        "properties": {
            "id": finding.id,
            "basis": finding.basis.text,
            "standing": [clean(word) for word in standing_words(finding)],
        },
    }
    if finding.rule in numbers:
        result["ruleIndex"] = numbers[finding.rule]
    if finding.state is not None:
        result["baselineState"] = finding.state
    if suppressions := _suppressions(finding):
        result["suppressions"] = suppressions
    places = _places(report, finding, lines)
    if places:
        result["locations"] = places[:1]
    if len(places) > 1:
        result["relatedLocations"] = places[1:]
    return result


def _suppressions(finding: Finding) -> list[Json]:
    """Acceptances (3.35); one that has expired no longer hides its result."""
    found = []
    if finding.weight == "off":
        found.append(
            {"kind": "external", "status": "accepted", "justification": "turned off by the project"}
        )
    if accepted := finding.accepted:
        words = f"{accepted.by}, until {accepted.until.isoformat()}: {accepted.reason}"
        status = "underReview" if accepted.expired else "accepted"
        found.append({"kind": "external", "status": status, "justification": clean(words)})
    return found


def _places(report: Report, finding: Finding, lines: Mapping[int, Lines | None]) -> list[Json]:
    """One location for each face; the first one also names the features."""
    artifact = _artifact(report)
    places: list[Json] = []
    if artifact is not None:
        regions = dict.fromkeys(lines[i] for i in finding.where.faces if lines.get(i))
        physical = {"artifactLocation": {**artifact["location"], "index": 0}}
        places = [
            {"physicalLocation": {**physical, "region": {"startLine": r[0], "endLine": r[1]}}}
            for r in regions
            if r is not None
        ] or [{"physicalLocation": physical}]
    logical = [
        {
            "name": feature.id,
            "fullyQualifiedName": clean(f"{report.name}/{feature.id} {feature.kind}"),
            "kind": feature.kind,
        }
        for feature in report.features
        if feature.id in finding.where.features
    ]
    if logical:
        places = places or [{}]
        places[0]["logicalLocations"] = logical
    return places


def _notifications(report: Report, numbers: Mapping[str, int]) -> list[Json]:
    """What was not judged, and what crashed (3.58)."""
    found = []
    for status in report.rules:
        if status.status in ("not-judged", "crashed"):
            crashed = status.status == "crashed"
            words = f"{status.rule} {'crashed' if crashed else 'was not judged'}: {status.reason}"
            note: Json = {
                "level": "error" if crashed else "note",
                "message": {"text": _message(words)},
            }
            if status.rule in numbers:
                note["associatedRule"] = {"id": status.rule, "index": numbers[status.rule]}
            found.append(note)
    return found


def _message(words: str) -> str:
    """Words that hold neither placeholders nor links (3.11.5, 3.11.6)."""
    words = clean(words).replace("{", "{{").replace("}", "}}")
    return _LINK.sub(r"\\[\1\\]", words)
