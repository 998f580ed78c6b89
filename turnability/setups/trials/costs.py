"""What ways to make the part that are equal in all else differ in: lines that show, and minutes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TypeAlias

from turnability.half_plane.curves import Line
from turnability.part.model import Segment
from turnability.setups.effort.estimate import effort_of
from turnability.setups.model import Land, Setup
from turnability.setups.surfaces.cuts import SKIN_MM
from turnability.setups.trials.job import Job
from turnability.setups.trials.trial import Trial
from turnability.setups.trials.why_lost import OF_GRIP
from turnability.setups.trials.written import written
from turnability.stock.model import Stock

Cost: TypeAlias = tuple[int, int, int, float]
"""What a blade copies, lines on tapers, which mate, and on close outsides; minutes a piece."""
NO_COST: Cost = (0, 0, 0, 0.0)
_COPIED = 2.0
"""Slopes and curves longer than so many of its widths a blade would have to copy (our choice)."""


def costs_of(
    tried: Sequence[Trial], lands: Sequence[Land], stock: Stock | None
) -> dict[Trial, Cost]:
    """Of those that are equal in all else the lines that matter, and minutes a piece.

    None where one is alone. A line stands where two tools meet on a surface in one chucking; on an
    outside of which nothing close is stated nobody puts up another tool for it.
    """
    best = min(trial.rank for trial in tried)[:-OF_GRIP]
    equal = [trial for trial in tried if trial.rank[:-OF_GRIP] == best]
    if len(equal) < 2:
        return {}
    return {trial: _cost(trial, lands, stock) for trial in equal}


def _cost(trial: Trial, lands: Sequence[Land], stock: Stock | None) -> Cost:
    job = trial.job
    setups = written(trial, lands, job.lathe, leaves=False)
    effort = effort_of(
        job.part,
        setups,
        stock,
        job.shop,
        reach=job.reach,
        intent=job.intent,
        made_for=job.lathe.name if job.lathe is not None else None,
    )
    outer = {s.id: _is_taper(s) for s in job.profile.segments if s.surface == "outer"}
    lines = [
        s
        for setup in setups
        for s, n in Counter(
            s for o in setup.operations if o.kind in ("turn", "groove") for s in o.segments
        ).items()
        if s in outer and n > 1 and (outer[s] or s in job.wishes.close)
    ]
    minutes = 0.0 if effort is None else round(effort.minutes_per_piece, 1)
    return (_copied(setups, job), sum(outer[s] for s in lines), len(lines), minutes)


def _copied(setups: Sequence[Setup], job: Job) -> int:
    """How many slopes and curves of the outside blades would have to copy."""
    widths = {tool.name: tool.limits.get("width_mm", 0.0) for tool in job.shop.tools}
    curved = {
        s.id: s.curve.length()
        for s in job.profile.segments
        if s.surface == "outer" and (_is_taper(s) or not isinstance(s.curve, Line))
    }
    return sum(
        curved.get(s, 0.0) > _COPIED * widths.get(o.tool, 0.0)
        for setup in setups
        for o in setup.operations
        if o.kind == "groove"
        for s in o.segments
    )


def _is_taper(segment: Segment) -> bool:
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return isinstance(segment.curve, Line) and abs(r0 - r1) > SKIN_MM
