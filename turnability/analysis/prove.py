"""Proposed changes, proven by walking again with the changed profile.

A change is proven where the changed part no longer has the error it was proposed for and has no
error that the part did not have before. One that was tried and is not is no longer proposed. So
are changes for warnings of bending, and tools that the shop would have to list, after which the
finding must be gone from the place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from turnability.analysis.changed import can_be_tried, changed_profiles
from turnability.analysis.restated import Restated, restated
from turnability.features.model import Feature
from turnability.intent.model import Intent
from turnability.part.model import Part, Place, Profile, StatedSize
from turnability.rules.bends_too_much import TOLERANCE
from turnability.rules.model import Finding, RuleOutcome
from turnability.shop.model import Tool

MOST_PROOFS = 8
"""So many changes of one part are tried; each costs as much as the analysis itself."""

BENT = ("bends-too-much", "thin-wall")
"""Rules whose warnings are proven as well: their changes are reckoned, not only thought of."""
_OVERLAP_MM = 0.01
"""Places that share less than this only touch."""

Judge = Callable[[Part, Restated | None, tuple[Tool, ...]], Iterator[RuleOutcome | None]]
"""Walks a changed part and judges it each time more is known of it, at last how far it bends.

Where told how, what the design states is another then; the shop has those tools as well.

None where a stage of that walk crashed. An error that is found early stays: whoever sees one that
the change must not leave need not walk on.
"""


def with_proofs(
    part: Part,
    features: Sequence[Feature],
    findings: Sequence[Finding],
    judge: Judge,
) -> tuple[Finding, ...]:
    """The findings: changes that help marked proven, changes tried in vain taken back."""
    errors = [finding for finding in findings if finding.level == "error"]
    asked = errors + [f for f in findings if _is_gone_too(f) and f not in errors]
    tried = [f for f in asked if f.change and not f.change.proven]
    told = _restated_together(part, tried, errors, judge)
    tried = [f for f in tried if f.id not in told]
    told |= {
        finding.id: _told(part, features, finding, errors, judge) for finding in tried[:MOST_PROOFS]
    }
    return tuple(told.get(finding.id, finding) for finding in findings)


def _restated_together(
    part: Part, tried: Sequence[Finding], errors: Sequence[Finding], judge: Judge
) -> dict[str, Finding]:
    """Those changes of what is stated that help when all are made at once, by one walk for all.

    A spool of many close lands has more of them than proofs are made; none where they do not all.
    """
    found = {f.id: told for f in tried if _alone(f) and (told := restated(f)) is not None}
    if len(found) < 2:
        return {}

    def all_told(intent: Intent, on: Part) -> Intent:
        for told in found.values():
            intent = told(intent, on)
        return intent

    others = [error for error in errors if error.id not in found]
    for outcome in judge(part, all_told, ()):
        if outcome is None or any(status.status == "crashed" for status in outcome.statuses):
            return {}
        after = [error for error in outcome.findings if error.level == "error"]
        if not all(any(same_error(error, known) for known in others) for error in after):
            return {}
    return {
        f.id: replace(f, change=replace(f.change, proven=True))
        for f in tried
        if f.id in found and f.change is not None
    }


def _alone(finding: Finding) -> bool:
    """Whether it has this one change, after which no error may be left of it."""
    other = finding.instead is not None or finding.otherwise is not None
    return finding.level == "error" and not other and not _is_gone_too(finding)


def _told(
    part: Part,
    features: Sequence[Feature],
    finding: Finding,
    errors: Sequence[Finding],
    judge: Judge,
) -> Finding:
    """The finding with the first of its changes that helps, or without any."""
    others = [error for error in errors if error is not finding]
    last: Finding | None = finding
    while last is not None and last.change is not None:
        helps = _helps(part, features, last, others, judge)
        if helps:
            proven = replace(last.change, proven=True)
            return replace(last, id=finding.id, change=proven, instead=None)
        if helps is None or (last.otherwise is None and last.instead is None):
            return replace(last, id=finding.id, instead=None)
        finding = replace(last, id=finding.id)
        last = last.instead
    if last is not None:
        return replace(last, id=finding.id)
    return replace(finding, change=None, message=finding.otherwise or finding.message)


def _helps(
    part: Part,
    features: Sequence[Feature],
    finding: Finding,
    others: Sequence[Finding],
    judge: Judge,
) -> bool | None:
    """Whether the change removes its error and makes no other; None where it cannot be tried."""
    assert part.profile is not None
    told = restated(finding)
    same = part if told is not None or finding.listed else with_tolerance(part, finding)
    if same is None and not can_be_tried(part.profile, finding, features):
        return None
    crashed = False
    changed = (
        [same]
        if same is not None
        else (changed_part(part, p) for p in changed_profiles(part.profile, finding, features))
    )
    for other in changed:
        for outcome in judge(other, told, finding.listed):
            if outcome is None or any(status.status == "crashed" for status in outcome.statuses):
                crashed = True
                break
            after = [error for error in outcome.findings if error.level == "error"]
            gone = _is_gone_too(finding)
            if gone and any(same_error(f, finding) for f in outcome.findings):
                break
            # as drawn, its surfaces keep their names: one that touches it is not taken for it
            if other is same and any(_is_itself(error, finding) for error in after):
                break
            if not all(any(same_error(error, known) for known in others) for error in after):
                break
        else:
            return True
    return None if crashed else False


def bears_out(
    judge: Judge, part: Part, others: Sequence[Finding], gone: Sequence[Finding] = ()
) -> bool:
    """Whether a changed part has no error but these; no where a stage of its walk crashed.

    One of these that now lies where those were that should be gone has only swallowed them.
    """
    for outcome in judge(part, None, ()):
        if outcome is None or any(status.status == "crashed" for status in outcome.statuses):
            return False
        after = [error for error in outcome.findings if error.level == "error"]
        if not all(any(same_error(error, known) for known in others) for error in after):
            return False
        if any(e.rule == one.rule and still_there(e, one) for e in after for one in gone):
            return False
    return True


def still_there(error: Finding, gone: Finding, begins_mm: float = 0.0) -> bool:
    """Whether two places overlap, more than touch; the first one's z count from another z."""
    if error.where.z_mm is None or gone.where.z_mm is None:
        return False
    (a, b), (c, d) = error.where.z_mm, gone.where.z_mm
    (e, f), (g, h) = (one.where.diameter_mm or (0.0, 0.0) for one in (error, gone))
    along = min(b + begins_mm, d) - max(a + begins_mm, c)
    return along > _OVERLAP_MM and min(f, h) - max(e, g) > _OVERLAP_MM


def _is_itself(error: Finding, finding: Finding) -> bool:
    own = set(finding.where.segments)
    alike = (error.rule, error.unit) == (finding.rule, finding.unit)
    return alike and bool(own) and set(error.where.segments) == own


def _is_gone_too(finding: Finding) -> bool:
    """Whether nothing at all may be left of it, be it no error."""
    return finding.rule in BENT or bool(finding.listed)


def changed_part(part: Part, profile: Profile) -> Part:
    """The part with another profile, its departures as they were."""
    departures = profile.departures_volume_mm3 or sum(d.volume_mm3 or 0.0 for d in part.departures)
    books = replace(
        profile,
        solid_volume_mm3=profile.volume_mm3 - departures,
        departures_volume_mm3=departures,
    )
    return replace(part, profile=books)


def with_tolerance(part: Part, finding: Finding) -> Part | None:
    """The part with the tolerance stated that the finding asks for; None where it asks for none."""
    change = finding.change
    if change is None or change.parameter != TOLERANCE or change.to is None:
        return None
    at = Place(finding.where.faces, finding.where.segments)
    size = StatedSize(None, "diameter", change.text, "mm", None, 0.0, change.to, None, (), at)
    return replace(part, stated=replace(part.stated, sizes=(*part.stated.sizes, size)))


def same_error(a: Finding, b: Finding) -> bool:
    """Whether two errors are one: by the same rule, at places that meet."""
    if a.rule != b.rule:
        return False
    if a.where.z_mm is None or b.where.z_mm is None:
        return a.where.z_mm == b.where.z_mm
    (a0, a1), (b0, b1) = a.where.z_mm, b.where.z_mm
    return a0 <= b1 + 1e-6 and b0 <= a1 + 1e-6
