"""What the design states, as it would be after a proposed change of that alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from turnability.intent.agree import together
from turnability.intent.model import Intent
from turnability.intent.stated import BAR_OUTSIDE
from turnability.part.model import Part
from turnability.rules.model import Change, Finding
from turnability.rules.tighter_than_turning import RA, WIDTH, width_of

Restated = Callable[[Intent, Part], Intent]
"""From what the design states, settled on the part, to what it would state."""
_SAME = 1e-9


def restated(finding: Finding) -> Restated | None:
    """How the finding's change alters what is stated; None where it alters the solid, or nothing.

    A size or roughness is the one of the finding's segments; a roughness of none holds everywhere.
    """
    change, segments = finding.change, frozenset(finding.where.segments)
    if change is None:
        return None
    if change.parameter == BAR_OUTSIDE:
        return lambda intent, part: replace(intent, bar_outside=True)
    if change.to is None or change.from_ is None:
        return None
    if change.parameter == WIDTH:
        return lambda intent, part: _wider(together(intent, part), segments, change)
    if change.parameter == RA and segments:
        return lambda intent, part: _rougher(intent, segments, change)
    if change.parameter == RA:
        return lambda intent, part: replace(intent, ra_um=change.to)
    return None


def _wider(meant: Intent, segments: frozenset[str], change: Change) -> Intent:
    """With this size within that width below its nominal; its fit, if any, holds no more.

    What the file states of it has gone into the intent, which has its way.
    """
    assert change.to is not None
    to = change.to
    return replace(
        meant,
        tolerances=tuple(
            replace(
                t, stated=change.text, fit=None, limits_mm=None, deviations_mm=(-to, 0.0),
                width_mm=to,
            )
            if segments == set(t.place.segments) and _same(width_of(t), change.from_)
            else t
            for t in meant.tolerances
        ),
    )  # fmt: skip


def _rougher(meant: Intent, segments: frozenset[str], change: Change) -> Intent:
    assert change.to is not None
    to = change.to
    return replace(
        meant,
        roughness=tuple(
            replace(r, ra_um=to)
            if segments == set(r.place.segments) and _same(r.ra_um, change.from_)
            else r
            for r in meant.roughness
        ),
    )


def _same(a: float | None, b: float | None) -> bool:
    return a is not None and b is not None and abs(a - b) <= _SAME
