"""A project's decisions laid on the findings of one part."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from turnability.part.model import Source
from turnability.rules.model import Acceptance, Finding
from turnability.standing.model import Accepted, Decided, Project, Range

TOLERANCE_MM = 0.05
"""An acceptance names its place this closely, as the report gives it: it is for one finding."""


def decide(
    findings: Sequence[Finding], source: Source, project: Project, today: date
) -> tuple[tuple[Finding, ...], Decided]:
    """The findings with what they count as and whether they may stay, and what bears on none.

    Levels stay what the rules said. An acceptance past its last day stays beside its finding,
    which counts again. One without any place is for a finding that has none either.
    """
    for_part = [entry for entry in project.accepted if _names(entry, source, project)]
    used: set[int] = set()
    told = []
    for finding in findings:
        fitting = [entry for entry in for_part if _fits(entry, finding)]
        used.update(entry.line for entry in fitting)
        # of several entries for one finding the one that holds longest
        entry = max(fitting, key=lambda e: e.until, default=None)
        told.append(
            replace(
                finding,
                counts_as=project.levels.get(finding.rule),
                accepted=None if entry is None else _accepted(entry, today),
            )
        )
    unused = tuple(entry for entry in for_part if entry.line not in used)
    return tuple(told), Decided(project.path, project.sha256, project.levels, unused)


def _accepted(entry: Accepted, today: date) -> Acceptance:
    return Acceptance(entry.reason, entry.by, entry.until, expired=today > entry.until)


def _names(entry: Accepted, source: Source, project: Project) -> bool:
    """Whether an entry is for this solid: by the file's name, that without ending, or its path."""
    if entry.solid is not None and entry.solid != source.solid:
        return False
    if source.path is None:
        return entry.part == source.product
    path = Path(source.path)
    here = Path(os.path.relpath(path.resolve(), project.folder)).as_posix()
    named = entry.part.replace("\\", "/").removeprefix("./")
    return named in (path.name, path.stem, here, here.removesuffix(path.suffix))


def _fits(entry: Accepted, finding: Finding) -> bool:
    where = finding.where
    if entry.rule != finding.rule:
        return False
    if entry.z_mm is None and entry.diameter_mm is None:
        return where.z_mm is None and where.diameter_mm is None
    return _same(entry.z_mm, where.z_mm) and _same(entry.diameter_mm, where.diameter_mm)


def _same(named: Range | None, found: Range | None) -> bool:
    """Whether a range is as it was named; one that was not named is any."""
    if named is None:
        return True
    if found is None:
        return False
    return max(abs(a - b) for a, b in zip(named, found, strict=True)) <= TOLERANCE_MM
