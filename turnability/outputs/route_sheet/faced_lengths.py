"""Lengths between faces that look away from one another, and the face that others start from."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from turnability.part.model import Profile, Segment
from turnability.setups.model import Setup
from turnability.setups.surfaces.edges import at_end

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
    first = next((n for n, s in enumerate(segments) if is_plane(s)), None)
    if first is None:
        return
    one = segments[first]
    between: list[Segment] = []
    for s in (*segments[first + 1 :], *segments[: first + 1]):
        if not is_plane(s):
            between.append(s)
            continue
        low, high = sorted((one, s), key=lambda plane: plane.curve.start[0])
        if _spanned(one, between, s) and not (low.id in ends[0] and high.id in ends[1]):
            yield FacedLength((low.id,), (high.id,), high.curve.start[0] - low.curve.start[0])
        one, between = s, []


@dataclass(frozen=True, slots=True)
class Base:
    """From what lengths are measured in one chucking: its name, its faces, z in mm."""

    name: str
    faces: tuple[str, ...]
    z_mm: float


def base_of(
    setup: Setup, profile: Profile, mine: Collection[str], before: Collection[str]
) -> Base | None:
    """The face at the free end, else that end itself, else the first face cut here behind it.

    `mine` are the surfaces cut in this setup, `before` those cut in earlier ones. None where no
    face is cut here, and the end is not cut yet.
    """
    end = setup.free_end
    z = profile.length_mm if end == "high" else 0.0
    stands = {*mine, *before}
    faces = [s for s in profile.segments if s.id in stands and is_plane(s)]
    at = tuple(s.id for s in faces if abs(s.curve.start[0] - z) <= _SAME_MM)
    if at:
        return Base(f"the face {at[0]}", at, z)
    if stands & set(at_end(profile, end)):
        return Base(f"the {end} end", (), z)
    own = [s for s in faces if s.id in mine]
    if not own:
        return None
    first = min(own, key=lambda s: abs(s.curve.start[0] - z))
    return Base(f"the face {first.id}", (first.id,), first.curve.start[0])


def is_plane(segment: Segment) -> bool:
    """Whether it is a flat face square to the axis."""
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
