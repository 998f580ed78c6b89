"""How each part stands: its findings against an earlier run and under the project's decisions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from turnability.batch.memory import Entry
from turnability.batch.model import Judged
from turnability.report import FAIL_ON, Verdict
from turnability.rules.model import Finding
from turnability.standing.decide import decide
from turnability.standing.match import match
from turnability.standing.model import Corners, OldReport, Project


@dataclass(frozen=True, slots=True)
class Row:
    """One solid of one file in this run, as lists and feeds show it.

    `new` and `fixed` are messages against the earlier run, None where there was none or it did
    not have this part. `verdict` None: it could not be used, and `failed` says why.
    """

    path: str
    result: int
    solid: int
    solids: int
    owner: str | None
    verdict: Verdict | None
    errors: int
    warnings: int
    notes: int
    rules: tuple[str, ...]
    new: tuple[Finding, ...] | None
    fixed: tuple[Finding, ...] | None
    unchanged: int
    fails: bool
    crashed: bool
    failed: str | None
    minutes: float | None
    stock: str | None
    moved_from: str | None

    @property
    def title(self) -> str:
        """The path, with the solid's number where there are several."""
        return f"{self.path} ({self.solid} of {self.solids})" if self.solids > 1 else self.path


def row_of(
    path: str,
    result: int,
    owner: str | None,
    one: Judged,
    old: Judged | None,
    *,
    project: Project | None = None,
    file: Path | None = None,
    moved_from: str | None = None,
    fail_on: str = "error",
    only_new: bool = False,
    today: date | None = None,
) -> Row:
    """How one solid stands. `old` is the same solid in the earlier run, None where there is none.

    With `only_new`, findings that the earlier run had do not fail a build.
    """
    findings = one.findings
    new: tuple[Finding, ...] | None = None
    fixed: tuple[Finding, ...] | None = None
    if old is not None and one.failed is None and old.failed is None:
        matched = match(findings, one.profile, one.statuses, _as_old(old))
        findings, fixed = matched.findings, matched.fixed
        new = tuple(finding for finding in findings if finding.state == "new")
    if project is not None and one.source is not None:
        source = replace(one.source, path=str(file or path))
        findings, _ = decide(findings, source, project, today or date.today(), one.profile)
    counted = [f if only_new else replace(f, state=None) for f in findings]
    weights = [finding.weight for finding in findings if not finding.may_stay]
    return Row(
        path=path,
        result=result,
        solid=one.solid,
        solids=one.solids,
        owner=owner,
        verdict=one.verdict,
        errors=weights.count("error"),
        warnings=weights.count("warning"),
        notes=weights.count("note"),
        rules=tuple(sorted({f.rule for f in findings if f.weight in ("error", "warning")})),
        new=new,
        fixed=fixed,
        unchanged=0 if new is None else len(findings) - len(new),
        fails=any(finding.fails(FAIL_ON[fail_on]) for finding in counted),
        crashed=one.crashed,
        failed=one.failed,
        minutes=one.minutes,
        stock=None if one.stock is None else one.stock.name,
        moved_from=moved_from,
    )


def earlier_of(
    now: Mapping[str, Entry], before: Mapping[str, Entry]
) -> tuple[dict[str, Entry], dict[str, str], tuple[str, ...]]:
    """Each file's entry in the earlier run, where moved ones came from, and paths that are gone.

    A file is moved where its content was in the earlier run under a path that is no longer there.
    """
    gone = [entry for path, entry in before.items() if path not in now]
    by_content: dict[str, list[Entry]] = {}
    for entry in gone:
        by_content.setdefault(entry.content, []).append(entry)
    earlier: dict[str, Entry] = {}
    moved: dict[str, str] = {}
    for path, entry in now.items():
        if path in before:
            earlier[path] = before[path]
        elif by_content.get(entry.content):
            nearest = _most_alike(path, by_content[entry.content])
            by_content[entry.content].remove(nearest)
            earlier[path], moved[path] = nearest, nearest.path
    left = {entry.path for entries in by_content.values() for entry in entries}
    return earlier, moved, tuple(sorted(left))


def _most_alike(path: str, entries: Sequence[Entry]) -> Entry:
    """Of several copies that are gone the one of the same name, else the first."""
    name = path.rsplit("/", 1)[-1]
    return next((e for e in entries if e.path.rsplit("/", 1)[-1] == name), entries[0])


def counts_of(rows: Iterable[Row]) -> dict[str, int]:
    """Totals of a run, for trends: solids by verdict, findings by level, new and fixed.

    A file that could not be used is no solid; one solid of several is. Both are `unusable`.
    """
    counts: dict[str, int] = {"solids": 0, "unusable": 0, "errors": 0, "warnings": 0, "notes": 0}
    counts |= {"new": 0, "fixed": 0}
    for row in rows:
        counts["solids"] += row.failed is None or row.solids > 1
        counts["unusable"] += row.failed is not None
        counts["errors"] += row.errors
        counts["warnings"] += row.warnings
        counts["notes"] += row.notes
        counts["new"] += len(row.new or ())
        counts["fixed"] += len(row.fixed or ())
        if row.verdict is not None:
            counts[row.verdict] = counts.get(row.verdict, 0) + 1
    return counts


def _as_old(old: Judged) -> OldReport:
    corners = None
    if old.profile is not None:
        points = tuple(segment.curve.start for segment in old.profile.segments)
        corners = Corners(old.profile.length_mm, points)
    return OldReport(
        path=old.name,
        sha256="",
        turnability_version="",
        source_sha256=None,
        shop_sha256=old.shop_sha256,
        solid=old.solid,
        solids=old.solids,
        corners=corners,
        findings=old.findings,
    )
