"""A place as people name it, found on the profile: which segments it is, and how near others are.

A surface is met where its diameter and its z agree within WITHIN_MM; of several that agree the
nearest one is meant. Everything else is no match: a place that is guessed at could protect, or
tolerance, the wrong surface.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from turnability.half_plane.curves import Line
from turnability.half_plane.intersect import box
from turnability.intent.model import Named, Span, span_words
from turnability.part.model import Part, Profile, Segment

WITHIN_MM = 0.02
"""How far a stated diameter or z may be off the profile: more than sizes rounded to 0.01 mm or
0.001 in are, less than any step that a drawing shows (common practice)."""
_LEVEL_MM = 1e-3
_SAME_MM = 1e-3
_CHORD_MM = 0.005


class NotFound(Exception):
    """No surface is there: why, and what to do about it."""

    def __init__(self, cause: str, remedy: str) -> None:
        super().__init__(cause, remedy)
        self.cause = cause
        self.remedy = remedy


def find(named: Named, part: Part, inch: bool = False) -> Named:
    """The place with its segments, faces and extent. Raises NotFound, telling the nearest."""
    assert part.profile is not None
    if named.face is not None or named.face_index is not None:
        segments = _by_face(named, part, part.profile)
    elif named.end is not None:
        level = 0.0 if named.end == "low" else part.profile.length_mm
        segments = [s for s in _surfaces(part.profile) if s.surface == "end" and _at(s, level)]
        if not segments:
            raise NotFound(
                f"finds no flat face at the {named.end} end",
                "Name the surface by diameter_mm and z_mm instead",
            )
    else:
        segments = _by_size(named, part.profile)
        if not segments:
            raise _nothing_there(named, part.profile, inch)
    return _placed(named, segments)


def find_corner(named: Named, part: Part, inch: bool = False) -> Named:
    """The corner at one diameter and one z, as the two segments that meet there."""
    assert part.profile is not None
    assert named.z_mm is not None
    assert named.diameter_mm is not None
    z, d = named.z_mm[0], named.diameter_mm[0]
    corners = list(_corners(part.profile))
    near = min(corners, key=lambda c: _off(c[0].curve.end, z, d))
    where = near[0].curve.end
    if abs(where[0] - z) > WITHIN_MM or abs(2.0 * where[1] - d) > WITHIN_MM:
        there = f"⌀{_number(2.0 * where[1], inch)} at z {_number(where[0], inch)}"
        raise NotFound(
            f"finds no edge at {named.text(inch)}; nearest: {there} ({near[0].id} {near[1].id})",
            "Correct diameter_mm or z_mm",
        )
    return replace(
        _placed(named, near),
        on_z_mm=(where[0], where[0]),
        on_diameter_mm=(2.0 * where[1], 2.0 * where[1]),
    )


def find_length(named: Named, part: Part, inch: bool = False) -> Named:
    """The two faces across the axis between which a length lies."""
    assert part.profile is not None
    assert named.z_mm is not None
    faces = [s for s in _surfaces(part.profile) if s.surface == "end"]
    met: list[Segment] = []
    for z in named.z_mm:
        at = [s for s in faces if abs(_z(s)[0] - z) <= WITHIN_MM and _flat(s)]
        if not at:
            near = sorted((s for s in faces if _flat(s)), key=lambda s: abs(_z(s)[0] - z))[:1]
            nearest = "".join(f"; nearest: {describe(s, inch)}" for s in near)
            raise NotFound(
                f"finds no face across the axis at z {_number(z, inch)}{nearest}",
                "Correct z_mm, which holds the z of both faces",
            )
        met += at
    return _placed(named, list(dict.fromkeys(met)))


def describe(segment: Segment, inch: bool = False) -> str:
    """A segment as people find it: "⌀20.4 at z 12–18 (S7)"."""
    z, d = _z(segment), _d(segment)
    side = "inside " if segment.surface == "inner" else ""
    if segment.surface == "end":
        return f"the face at z {span_words(z, inch)}, ⌀{span_words(d, inch)} ({segment.id})"
    return f"{side}⌀{span_words(d, inch)} at z {span_words(z, inch)} ({segment.id})"


def is_cylinder(segment: Segment) -> bool:
    """Whether the segment is a line parallel to the axis, and not on it."""
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return (
        isinstance(segment.curve, Line)
        and segment.surface in ("outer", "inner")
        and abs(r1 - r0) <= _LEVEL_MM
    )


def extent_of(part: Part, segments: Sequence[str]) -> tuple[Span | None, Span | None]:
    """The z range and the range of diameters of these segments; None where there are none."""
    own = [s for s in part.profile.segments if s.id in segments] if part.profile else []
    if not own:
        return None, None
    z, d = [end for s in own for end in _z(s)], [end for s in own for end in _d(s)]
    return (min(z), max(z)), (min(d), max(d))


def _placed(named: Named, segments: Sequence[Segment]) -> Named:
    z = [end for s in segments for end in _z(s)]
    d = [end for s in segments for end in _d(s)]
    extent = (min(z), max(z))
    if named.z_mm is not None and named.z_mm[0] < named.z_mm[1]:
        extent = (max(extent[0], named.z_mm[0]), min(extent[1], named.z_mm[1]))
    faces = {face for s in segments for face in s.faces}
    return replace(
        named,
        segments=tuple(s.id for s in segments),
        faces=tuple(sorted(faces)),
        on_z_mm=extent,
        on_diameter_mm=(min(d), max(d)),
    )


def _by_face(named: Named, part: Part, profile: Profile) -> list[Segment]:
    if named.face is not None:
        indices = {face.index for face in part.faces if face.name == named.face}
        names = sorted({face.name for face in part.faces if face.name})
        if not indices and not names:
            raise NotFound(
                "names a face, but the STEP file names none",
                "Name the place by diameter_mm and z_mm",
            )
        if not indices:
            close = difflib.get_close_matches(named.face, names, n=1, cutoff=0.5)
            few = ", ".join(f'"{name}"' for name in (close or names[:6]))
            which = "nearest" if close else "there are"
            raise NotFound(
                f'finds no face called "{named.face}"; {which}: {few}',
                "Correct face, or name the place by diameter_mm and z_mm",
            )
    else:
        indices = {face.index for face in part.faces if face.index == named.face_index}
        if not indices:
            raise NotFound(
                f"finds no face {named.face_index}; the solid has {len(part.faces)}",
                "Correct face_index, which counts from 1",
            )
    segments = [s for s in _surfaces(profile) if indices & set(s.faces)]
    if not segments:
        roles = sorted({face.role for face in part.faces if face.index in indices})
        raise NotFound(
            f"names {named.text()}, which is no turned surface ({', '.join(roles)})",
            "Only turned surfaces can be named",
        )
    return segments


def _by_size(named: Named, profile: Profile) -> list[Segment]:
    all_of_it = _surfaces(profile)
    sides = [s for s in all_of_it if s.surface != "end"]
    ends = [s for s in all_of_it if s.surface == "end"]
    if named.side is not None:
        sides = [s for s in sides if s.surface == named.side]
        ends = []
    d, z = named.diameter_mm, named.z_mm
    if d is None:
        assert z is not None
        if _single(z):
            return [s for s in ends if _flat(s) and _at(s, z[0])]
        return [s for s in (*sides, *ends) if _over(_z(s), z) or (_flat(s) and _in(_z(s), z))]
    if not _single(d):
        within = [s for s in (*sides, *ends) if _in(_d(s), d) and (z is None or _in(_z(s), z))]
        whole = _reach(within, d, _d) and (z is None or _reach(within, z, _z))
        return within if whole else []
    if z is None:
        met = _nearest_size([s for s in sides if is_cylinder(s)], d[0])
        return [] if len({s.surface for s in met}) > 1 else met
    if _single(z):
        return _through(sides, z[0], d[0])
    met = _nearest_size([s for s in sides if is_cylinder(s) and _over(_z(s), z)], d[0])
    return met if _reach(met, z, _z) else []


def _through(sides: Sequence[Segment], z: float, d: float) -> list[Segment]:
    """The lateral segments through one point; one that merely ends there gives way."""
    met = [s for s in sides if _gap(s, z, d) <= WITHIN_MM]
    inner = [s for s in met if _z(s)[0] + WITHIN_MM < z < _z(s)[1] - WITHIN_MM]
    cylinders = [s for s in met if is_cylinder(s)]
    return inner or cylinders or met


def _nearest_size(cylinders: Sequence[Segment], d: float) -> list[Segment]:
    off = {s.id: abs(_d(s)[1] - d) for s in cylinders}
    least = min(off.values(), default=math.inf)
    return [s for s in cylinders if off[s.id] <= min(least + _SAME_MM, WITHIN_MM)]


def _nothing_there(named: Named, profile: Profile, inch: bool) -> NotFound:
    """Why nothing was found, with what comes nearest."""
    d, z = named.diameter_mm, named.z_mm
    if d is not None and z is None and named.side is None and _single(d):
        met = _nearest_size([s for s in _surfaces(profile) if is_cylinder(s)], d[0])
        if met:
            shown = ", ".join(describe(s, inch) for s in met[:4])
            return NotFound(
                f"names {named.text(inch)}, which is met outside and inside: {shown}",
                'Add z_mm, or side = "outside" or "inside"',
            )
    if named.side is not None:
        other = replace(named, side="inner" if named.side == "outer" else "outer")
        if met := _by_size(other, profile):
            where, wanted = (
                ("inside", "outside") if named.side == "outer" else ("outside", "inside")
            )
            told = "" if where == "inside" else "outside "  # `describe` says inside itself
            shown = ", ".join(f"{told}{describe(s, inch)}" for s in met[:4])
            return NotFound(
                f"finds no surface of {named.text(inch)}; what is there: {shown}",
                f'Say side = "{where}", or correct the place if it is to be {wanted}',
            )
    pool = [
        s
        for s in _surfaces(profile)
        if (named.side in (None, s.surface))
        and ((s.surface == "end") if d is None and z is not None and _single(z) else True)
        and (s.surface != "end" or d is None or not _single(d))
        and (is_cylinder(s) if d is not None and z is not None and not _single(z) else True)
    ]
    near = sorted(pool, key=lambda s: _far(s, d, z))[:1]
    nearest = "".join(f"; nearest: {describe(s, inch)}" for s in near)
    what = "face" if d is None and z is not None and _single(z) else "surface"
    of = named.text(inch)
    return NotFound(
        f"finds no {what} {'at' if d is None else 'of'} {of}{nearest}",
        "Correct " + " or ".join(k for k, v in (("diameter_mm", d), ("z_mm", z)) if v is not None),
    )


def _far(segment: Segment, d: Span | None, z: Span | None) -> float:
    """How far a segment is from a named place, in mm; a range that it leaves uncovered counts."""
    far = 0.0
    if d is not None:
        far += max(abs(a - b) for a, b in zip(_d(segment), d, strict=True))
    if z is not None:
        low, high = _z(segment)
        far += max(0.0, low - z[0], z[0] - high) + max(0.0, low - z[1], z[1] - high)
    return far


def _surfaces(profile: Profile) -> list[Segment]:
    return [s for s in profile.segments if s.surface != "axis"]


def _corners(profile: Profile) -> Iterator[tuple[Segment, Segment]]:
    for loop in profile.loops:
        yield from pairwise((*loop.segments, loop.segments[0]))


def _off(point: tuple[float, float], z: float, d: float) -> float:
    return max(abs(point[0] - z), abs(2.0 * point[1] - d))


def _gap(segment: Segment, z: float, d: float) -> float:
    """How far (z, d) is from the segment, in z or in diameter, whichever is more."""
    points = segment.curve.flatten(_CHORD_MM)
    least = math.inf
    for (z0, r0), (z1, r1) in pairwise(points.tolist()):
        along = min(1.0, max(0.0, (z - z0) / (z1 - z0))) if abs(z1 - z0) > 1e-12 else 0.5
        at = (z0 + along * (z1 - z0), r0 + along * (r1 - r0))
        least = min(least, _off(at, z, d))
    return least


def _z(segment: Segment) -> Span:
    low, _, high, _ = box(segment.curve)
    return (low, high)


def _d(segment: Segment) -> Span:
    _, low, _, high = box(segment.curve)
    return (2.0 * low, 2.0 * high)


def _flat(segment: Segment) -> bool:
    return _z(segment)[1] - _z(segment)[0] <= _LEVEL_MM


def _at(segment: Segment, z: float) -> bool:
    return all(abs(end - z) <= WITHIN_MM for end in _z(segment))


def _in(inner: Span, outer: Span) -> bool:
    return inner[0] >= outer[0] - WITHIN_MM and inner[1] <= outer[1] + WITHIN_MM


def _over(a: Span, b: Span) -> bool:
    return min(a[1], b[1]) - max(a[0], b[0]) > WITHIN_MM


def _reach(segments: Sequence[Segment], span: Span, extent: Callable[[Segment], Span]) -> bool:
    """Whether the segments together reach both ends of the range; gaps between don't matter."""
    if not segments:
        return False
    low, high = min(extent(s)[0] for s in segments), max(extent(s)[1] for s in segments)
    return low <= span[0] + WITHIN_MM and high >= span[1] - WITHIN_MM


def _number(value_mm: float, inch: bool) -> str:
    return span_words((value_mm, value_mm), inch)


def _single(span: Span) -> bool:
    return span[0] == span[1]
