"""Findings as words: what each says, its place, and those that say the same of other places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from turnability.outputs._phrases import few, printable, proof_text, range_text
from turnability.rules.speak import number_text as named_number

if TYPE_CHECKING:
    from turnability.rules.model import Finding

_SAME_SHOWN = 4
"""So many further findings of one rule, no errors, are named by place; the rest are counted."""


def grouped(found: Sequence[Finding]) -> list[tuple[Finding, list[Finding]]]:
    """Each rule's first finding of a level, with those that say the same of other places."""
    groups: list[list[Finding]] = []
    for finding in found:
        alike = next((group for group in groups if _alike(group, finding)), None)
        if alike is None:
            groups.append([finding])
        else:
            alike.append(finding)
    return [(first, others) for first, *others in groups]


def _alike(group: Sequence[Finding], finding: Finding) -> bool:
    first = group[0]
    same = (first.rule, first.level, first.state, first.accepted) == (
        finding.rule,
        finding.level,
        finding.state,
        finding.accepted,
    )
    # of one place there is nothing to say but in the finding's own words
    return same and (first.where != finding.where or first.message == finding.message)


def finding_text(finding: Finding, brief: bool = False) -> str:
    """What a finding says, its change, and whether that is proven; in `brief` only what is not."""
    message = printable(finding.message)
    if finding.change is None:
        return message
    text = printable(finding.change.text).rstrip(".")
    proof = proof_text(finding.change.parameter) if finding.change.proven else "not proven"
    if (finding.level == "note" or brief) and finding.change.proven:
        proof = "proven"  # how, the report's page says
    if text not in message:
        return f"{message} Change: {text} ({proof})."
    # Most messages end in the change already; nobody asks a note, or a mere warning, for a proof.
    said = finding.change.proven and (finding.level == "note" or brief)
    if not said and (finding.change.proven or finding.level == "error"):
        what = "Each of them" if finding.other_changes else "The change"
        return f"{message} ({what} is {proof}.)"
    return message


def likewise_text(first: Finding, others: Sequence[Finding], inch: bool) -> str:
    """Where the other findings of a rule are: the first few by their places, the rest counted.

    Where the change is to another number than in the first, that is said with the place. Of errors
    all places are named.
    """
    most = len(others) if first.level == "error" else _SAME_SHOWN
    shown = [
        f"{f.id} {place_text(f, inch)}".rstrip() + _other_number(first, f, inch)
        for f in others[:most]
    ]
    if len(others) > most:
        shown.append(f"and {len(others) - most} more")
    return f"Likewise {'; '.join(shown)}."


def _other_number(first: Finding, finding: Finding, inch: bool) -> str:
    own, other = first.change, finding.change
    if own is None or other is None:
        return ""
    if finding.level == "error" and other.parameter != own.parameter:
        return f" ({printable(other.text).rstrip('.')})"  # a change of another kind
    if other.to is None or own.to == other.to:
        return ""
    return f" (change to {named_number(other.parameter, other.to, inch)})"


def place_text(finding: Finding, inch: bool) -> str:
    """Where a finding is, as words: features, z range, diameters."""
    where = finding.where
    words = []
    if where.features:
        words.append(few(where.features))
    if where.z_mm is not None:
        words.append(f"z {range_text(where.z_mm, inch)}")
    if where.diameter_mm is not None:
        words.append(f"⌀{range_text(where.diameter_mm, inch)}")
    return ", ".join(words)
