"""Findings of two reports of one part matched by rule and place, whatever the numbers are called.

Faces, segments and findings are numbered anew with every export, and the part may lie the other
way round or be longer. So the earlier part is first laid on the present one by the corners of
their profiles, and then places are compared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath

from turnability.part.model import Profile
from turnability.rules.model import Finding, Level, RuleStatus
from turnability.standing.model import Corners, OldReport

TOLERANCE_MM = 0.2
"""Places whose z and diameters differ by no more are one place (our choice)."""
WORSE = 0.05
"""A finding that misses its limit by so much of the limit more than before is a new one (ours)."""
_CORNER_MM = 0.01
_VOTES = 3
_SAME_PART = 0.5
"""A part keeps at least so many of its corners from one state to the next (our choice)."""
_RANK: dict[Level, int] = {"note": 0, "warning": 1, "error": 2}


@dataclass(frozen=True, slots=True)
class Matched:
    """The present findings with their state; earlier ones that are gone, or can't be told of."""

    findings: tuple[Finding, ...]
    fixed: tuple[Finding, ...]
    not_judged: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Laying:
    """How an earlier part lies on the present one: turned end for end or not, then shifted.

    Where a length changed, what stands on either side of it is shifted differently.
    """

    length_mm: float
    turned: bool
    shifts_mm: tuple[float, ...]

    def of(self, z_mm: tuple[float, float]) -> tuple[float, float]:
        """A z range of the earlier part, before it is shifted."""
        low, high = z_mm
        return (self.length_mm - high, self.length_mm - low) if self.turned else z_mm


def match(
    findings: Sequence[Finding],
    profile: Profile | None,
    statuses: Iterable[RuleStatus],
    old: OldReport,
) -> Matched:
    """Say of each finding whether it is new, and of each earlier one whether it is gone.

    A finding is unchanged where the same rule found it at the same place, at least as severe and
    not notably less far from its limit. Each earlier one stands for one present one at most.
    """
    laying = _laying(profile, old.corners)
    pairs = []
    for i, new in enumerate(findings):
        for k, earlier in enumerate(old.findings):
            apart = _apart(new, earlier, laying)
            if apart is not None:
                pairs.append((round(apart, 3), new.message != earlier.message, i, k))
    taken_new: set[int] = set()
    taken_old: set[int] = set()
    for _, _, i, k in sorted(pairs):
        if i not in taken_new and k not in taken_old:
            taken_new.add(i)
            taken_old.add(k)
    told = tuple(
        replace(finding, state="unchanged" if i in taken_new else "new")
        for i, finding in enumerate(findings)
    )
    judged = {s.rule for s in statuses if s.status in ("passed", "found")}
    judged |= {finding.rule for finding in findings}
    gone = [finding for k, finding in enumerate(old.findings) if k not in taken_old]
    return Matched(
        told,
        tuple(finding for finding in gone if _judged(finding, judged, profile)),
        tuple(finding for finding in gone if not _judged(finding, judged, profile)),
    )


def _judged(earlier: Finding, judged: set[str], profile: Profile | None) -> bool:
    """Whether the rule had its say this time. A part with an axis has answered the first rule."""
    return earlier.rule in judged or (earlier.rule == "not-axisymmetric" and profile is not None)


def _apart(new: Finding, old: Finding, laying: Laying) -> float | None:
    """How far apart two findings of one rule lie (mm); None where they are two."""
    if new.rule != old.rule or _RANK[new.level] > _RANK[old.level] or _worse(new, old):
        return None
    a, b = new.where, old.where
    if (a.z_mm is None) != (b.z_mm is None) or (a.diameter_mm is None) != (b.diameter_mm is None):
        return None
    worst = 0.0
    if a.diameter_mm is not None and b.diameter_mm is not None:
        worst = max(abs(x - y) for x, y in zip(a.diameter_mm, b.diameter_mm, strict=True))
    if a.z_mm is not None and b.z_mm is not None:
        # Each end by itself: where the length in between has changed it is still this place.
        for x, y in zip(a.z_mm, laying.of(b.z_mm), strict=True):
            worst = max(worst, min(abs(x - y - shift) for shift in laying.shifts_mm))
    return worst if worst <= TOLERANCE_MM else None


def _worse(new: Finding, old: Finding) -> bool:
    if None in (new.measured, new.limit, old.measured, old.limit) or new.unit != old.unit:
        return False
    assert new.measured is not None
    assert new.limit is not None
    assert old.measured is not None
    assert old.limit is not None
    before, now = abs(old.measured - old.limit), abs(new.measured - new.limit)
    return now > before + WORSE * abs(new.limit)


def seems_another(profile: Profile | None, part: str | None, old: OldReport) -> bool:
    """Whether the earlier report is of a file of another name and a part of another shape.

    So where fewer than `_SAME_PART` of its corners off the axis have one of `part`'s on them.
    """
    if profile is None or old.corners is None or part is None or old.part is None:
        return False
    if _stem(part) == _stem(old.part):
        return False
    laying = _laying(profile, old.corners)
    new = [segment.curve.start for segment in profile.segments]
    corners = [(laying.of((z, z))[0], r) for z, r in old.corners.points if r > _CORNER_MM]
    fall = sum(
        any(
            abs(z1 - z0 - s) <= 2.0 * _CORNER_MM and abs(r1 - r0) <= _CORNER_MM
            for s in laying.shifts_mm
            for z1, r1 in new
        )
        for z0, r0 in corners
    )
    return fall < _SAME_PART * len(corners)


def _stem(path: str) -> str:
    return PurePath(path.replace("\\", "/")).stem.casefold()


def _laying(profile: Profile | None, old: Corners | None) -> Laying:
    """How the earlier part's corners fall on most of the present ones."""
    if profile is None or old is None:
        return Laying(0.0, False, (0.0,))
    new = [segment.curve.start for segment in profile.segments]
    grown = profile.length_mm - old.length_mm
    best: tuple[int, Laying] | None = None
    for turned in (False, True):
        there = [(old.length_mm - z if turned else z, r) for z, r in old.points]
        votes = Counter(
            round(z1 - z0, 2)
            for z0, r0 in there
            for z1, r1 in new
            if abs(r1 - r0) <= _CORNER_MM and r0 > _CORNER_MM
        )
        middle = [s for s, n in votes.most_common(1) if n >= max(_VOTES, len(there) // 3)]
        shifts = tuple(dict.fromkeys((0.0, grown, *middle)))
        fall = sum(
            any(
                abs(z1 - z0 - s) <= 2.0 * _CORNER_MM and abs(r1 - r0) <= _CORNER_MM
                for s in shifts
                for z1, r1 in new
            )
            for z0, r0 in there
        )
        if best is None or fall > best[0]:
            best = (fall, Laying(old.length_mm, turned, shifts))
    assert best is not None
    return best[1]
