"""Lengths between faces that look away from one another: the whole part's, and each flange's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from turnability.part.model import Profile, Segment
from turnability.setups.operations import at_end

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class FacedLength:
    """The surfaces at either end, and how far apart they are; `overall` of the whole part."""

    low: tuple[str, ...]
    high: tuple[str, ...]
    length_mm: float
    overall: bool = False


def faced_lengths(profile: Profile) -> Iterator[FacedLength]:
    """The whole part first, then flanges and lips: material that a caliper spans."""
    ends = at_end(profile, "low"), at_end(profile, "high")
    yield FacedLength(*ends, profile.length_mm, overall=True)
    segments = profile.outline.segments
    first = next((n for n, s in enumerate(segments) if _is_plane(s)), None)
    if first is None:
        return
    one = segments[first]
    between: list[Segment] = []
    for s in (*segments[first + 1 :], *segments[: first + 1]):
        if not _is_plane(s):
            between.append(s)
            continue
        low, high = sorted((one, s), key=lambda plane: plane.curve.start[0])
        if _spanned(one, between, s) and not (low.id in ends[0] and high.id in ends[1]):
            yield FacedLength((low.id,), (high.id,), high.curve.start[0] - low.curve.start[0])
        one, between = s, []


def _is_plane(segment: Segment) -> bool:
    (z0, _), (z1, _) = segment.curve.start, segment.curve.end
    return segment.surface == "end" and abs(z0 - z1) <= _SAME_MM


def _spanned(one: Segment, between: list[Segment], other: Segment) -> bool:
    """Whether two planes end in the rim of one flange, or of one lip inside."""
    sides = {s.surface for s in between}
    if sides not in ({"outer"}, {"inner"}):
        return False
    # either plane lies below the rim of a flange, above that of a lip inside
    outer = sides == {"outer"}
    below = one.curve.end[1] > one.curve.start[1], other.curve.start[1] > other.curve.end[1]
    return below == (outer, outer)
