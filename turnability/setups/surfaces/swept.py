"""What eccentrics sweep about the part's own axis, and which hollows nothing opens there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeAlias

from turnability.part.model import Departure, Profile, Segment
from turnability.setups.model import Operation

_SAME_MM = 1e-3
Step: TypeAlias = tuple[float, tuple[float, float]]
"""A cylinder of an eccentric: its diameter, its z range."""


def swept_segments(profile: Profile, departures: Sequence[Departure]) -> dict[str, str]:
    """Segments that are no surface of the part but what an eccentric sweeps, with its id.

    So are the shoulders between its own steps, what is faced between it and the part's axis (a
    bore's floor, the face beside a pin that stands clear of that), and what it sweeps with others.
    """
    found: dict[str, str] = {}
    every = {face for d in departures for face in d.faces}
    for d in (d for d in departures if d.kind == "eccentric"):
        own = {
            s.id for s in profile.segments if set(s.faces) & set(d.faces) and set(s.faces) <= every
        }
        for before, s, after in _in_turn(profile):
            sides = (before, after) if s.curve.start[1] < s.curve.end[1] else (after, before)
            if s.surface == "end" and ({n.id for n in sides} <= own or _is_floor(sides, own)):
                found[s.id] = d.id
        found |= dict.fromkeys(own, d.id)
    return found


def _is_floor(sides: tuple[Segment, Segment], own: set[str]) -> bool:
    """Whether a face lies between a hollow of those and what is nearer to the axis, or that."""
    nearer, farther = sides
    return farther.id in own and farther.surface == "inner" and nearer.surface in ("axis", "inner")


def _in_turn(profile: Profile) -> Iterator[tuple[Segment, Segment, Segment]]:
    """Each segment of the profile between those before and after it."""
    for loop in profile.loops:
        ring = loop.segments
        yield from zip((ring[-1], *ring), ring, (*ring[1:], ring[0]), strict=False)


def swept_hollows(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Those of hollows, which no chucking on the part's own axis cuts.

    A bore's own, and what a pin clear of the part's axis leaves between that and itself.
    """
    swept = swept_segments(profile, departures)
    if not swept:
        return frozenset()
    bores = {d.id for d in departures if d.kind == "eccentric" and is_eccentric_bore(d)}
    return frozenset(
        s.id
        for before, s, after in _in_turn(profile)
        if s.id in swept
        and (
            swept[s.id] in bores
            or s.surface == "inner"
            or (s.surface == "end" and "inner" in (before.surface, after.surface))
        )
    )


def crossed_bores(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Bores that a slot across the axis leaves in every section, with their floors: no more than
    where its walls come nearest to the axis, and milled with it."""
    walls = {face for d in departures if d.kind == "slot" for face in d.faces}
    found: set[str] = set()
    if not walls:
        return frozenset()
    for before, s, after in _in_turn(profile):
        if s.surface == "inner" and s.faces and set(s.faces) <= walls:
            floors = [n for n in (before, after) if n.surface == "end" and _meets_axis(n)]
            found |= {s.id, *(n.id for n in floors)}
    return frozenset(found)


def _meets_axis(segment: Segment) -> bool:
    return min(segment.curve.start[1], segment.curve.end[1]) <= _SAME_MM


def not_opened(profile: Profile, departures: Sequence[Departure]) -> frozenset[str]:
    """Hollows round the part's own axis that nothing opens there: an eccentric's or a slot's."""
    return swept_hollows(profile, departures) | crossed_bores(profile, departures)


def steps_of(profile: Profile, one: Departure) -> tuple[Step, ...]:
    """Diameter and z of each cylinder of an eccentric, by z; what it sweeps is off by the offset.

    Its largest one alone where none of them can be seen in the profile.
    """
    e, swept = offset_mm(one), swept_segments(profile, [one])
    found = {}
    for s in profile.segments:
        r = s.curve.start[1]
        if s.id in swept and s.surface != "end" and abs(r - s.curve.end[1]) <= _SAME_MM:
            # a pin beside the part's axis sweeps a ring, of which both sides tell its size
            across = 2.0 * (r + e if is_eccentric_bore(one) else abs(r - e))
            low, high = s.ends_z_mm
            found[round(across, 3), round(low, 3)] = (across, (low, high))
    whole = [(number(one, "diameter_mm"), one.z_mm)]
    return tuple(sorted(found.values(), key=lambda step: step[1])) or tuple(whole)


def without_unopened(
    profile: Profile, departures: Sequence[Departure], operations: Sequence[Operation]
) -> tuple[Operation, ...]:
    """The same without what would open a hollow that other work brings."""
    inner = not_opened(profile, departures)
    if not inner:
        return tuple(operations)
    kept = [replace(o, segments=tuple(s for s in o.segments if s not in inner)) for o in operations]
    hollow = any(o.kind in ("drill", "bore") and o.segments for o in kept)
    return tuple(
        one
        for one, o in zip(kept, operations, strict=True)
        if one.segments or (hollow if o.kind == "drill" else not o.segments)
    )


def offset_mm(one: Departure) -> float:
    """How far its axis lies from the part's."""
    return number(one, "offset_mm")


def is_eccentric_bore(one: Departure) -> bool:
    """Whether it is a hollow."""
    return one.parameters.get("surface") == "inner"


def number(one: Departure, key: str) -> float:
    """A size of it; 0 where it has none of this name."""
    value = one.parameters.get(key)
    return float(value) if isinstance(value, int | float) else 0.0
