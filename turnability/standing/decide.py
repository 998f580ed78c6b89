"""A project's decisions laid on the findings of one part."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from turnability.part.model import Profile, Source
from turnability.rules.model import Acceptance, Finding
from turnability.standing.model import Accepted, Decided, Project, Range

TOLERANCE_MM = 0.05
"""An acceptance names its place this closely, as the report gives it: it is for one finding."""
STILL_THERE_MM = 1.0
"""A corner of the part so near to an end of an accepted place is still what was meant (ours)."""


def decide(
    findings: Sequence[Finding],
    source: Source,
    project: Project,
    today: date,
    profile: Profile | None = None,
) -> tuple[tuple[Finding, ...], Decided]:
    """The findings with what they count as and whether they may stay, and what bears on none.

    Levels stay what the rules said. An acceptance past its last day stays beside its finding,
    which counts again. One without any place is for a finding that has none either. Where the part
    was exported turned end for end, its `profile` shows it, and places are counted from the other
    end: see `lies_turned`.
    """
    for_part = [entry for entry in project.accepted if _names(entry, source, project)]
    turned = profile is not None and lies_turned(for_part, findings, profile)
    length = 0.0 if profile is None else profile.length_mm
    used: set[int] = set()
    told = []
    for finding in findings:
        fitting = [e for e in for_part if _fits(_laid(e, length) if turned else e, finding)]
        used.update(entry.line for entry in fitting)
        # of several entries for one finding the one that holds longest
        entry = max(fitting, key=lambda e: e.until, default=None)
        told.append(
            replace(
                finding,
                counts_as=project.levels.get(finding.rule),
                accepted=None if entry is None else _accepted(entry, today, turned),
            )
        )
    unused = tuple(entry for entry in for_part if entry.line not in used)
    return tuple(told), Decided(project.path, project.sha256, project.levels, unused)


def lies_turned(entries: Sequence[Accepted], findings: Sequence[Finding], profile: Profile) -> bool:
    """Whether the part lies the other way round than when its acceptances were written.

    It does where none of them fits as written, nothing of the part is left where they point, and
    one fits when it is counted from the other end. A place that is still there was mended: then its
    twin at the other end of the part is another finding, which nobody accepted.
    """
    placed = [entry for entry in entries if entry.z_mm is not None]
    if any(_fits(entry, finding) for entry in placed for finding in findings):
        return False
    if any(_is_there(entry, profile) for entry in placed):
        return False
    laid = [_laid(entry, profile.length_mm) for entry in placed]
    return any(_fits(entry, finding) for entry in laid for finding in findings)


def _laid(entry: Accepted, length_mm: float) -> Accepted:
    if entry.z_mm is None:
        return entry
    low, high = entry.z_mm
    return replace(entry, z_mm=(length_mm - high, length_mm - low))


def _is_there(entry: Accepted, profile: Profile) -> bool:
    """Whether the part has a corner at an end of the place that an entry names."""
    across = entry.diameter_mm
    corners = [
        segment.curve.start[0]
        for segment in profile.segments
        if across is None
        or across[0] - STILL_THERE_MM <= 2.0 * segment.curve.start[1] <= across[1] + STILL_THERE_MM
    ]
    return any(abs(z - end) <= STILL_THERE_MM for z in corners for end in entry.z_mm or ())


def _accepted(entry: Accepted, today: date, turned: bool) -> Acceptance:
    expired = today > entry.until
    return Acceptance(entry.reason, entry.by, entry.until, expired, turned and bool(entry.z_mm))


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
