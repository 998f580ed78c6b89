"""A bore drawn otherwise in which something stays uncut: less deep, wider, or the part split there.

What stays lies somewhere in a bore that opens to an end: behind it a floor may be, and between it
and the mouth all is void round the axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from turnability.analysis.bore_floor import BoreFloor, floor_of, with_floor_raised
from turnability.analysis.changed import halves, with_box, with_patch
from turnability.analysis.least import Clears, Way, asks, least, limits_of
from turnability.half_plane.curves import Line, Points
from turnability.part.model import Profile, Surface
from turnability.rules.model import Change, Where
from turnability.shop.model import Tool
from turnability.units import length_text

_End: TypeAlias = Literal["low", "high", "both"]
MOST_WIDER = 1.25
"""A bore is drawn no wider than this many times: it would be another part (ours)."""
LEAST_DEEP = 0.3
"""Nor shallower than this share of its depth (ours)."""
LEAST_WALL_MM = 0.5
"""So much of the wall stays round a wider bore (ours)."""
_BEYOND_MM = 1.0
_REACH = ("overhang_mm", "flute_length_mm")
"""How deep tools reach."""
_NEAR_SHARE = 0.05
"""A split lies no farther from the middle than this share of what stays."""
_CHORD_MM = 0.01
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class _Bore:
    """From what stays uncut at `z_mm` out to an end, or to both."""

    profile: Profile
    segments: tuple[str, ...]
    z_mm: tuple[float, float]
    end: _End
    inch: bool

    @property
    def far_mm(self) -> float:
        """Where what stays ends, seen from the mouth."""
        return self.z_mm[1] if self.end == "low" else self.z_mm[0]

    def path(self, beyond_mm: float = 0.0) -> tuple[float, float]:
        """All z from its far end to the mouth, and so much beyond it; all of a bore with two."""
        if self.end == "both":
            return -beyond_mm, self.profile.length_mm + beyond_mm
        if self.end == "low":
            return -beyond_mm, self.far_mm
        return self.far_mm, self.profile.length_mm + beyond_mm

    def is_open(self) -> bool:
        """Whether nothing stands on the axis between what stays and the mouth."""
        low, high = self.path()
        if self.end != "both":
            low, high = (low, self.z_mm[0]) if self.end == "low" else (self.z_mm[1], high)
        return not any(
            min(high, b) - max(low, a) > _SAME_MM
            for a, b in (s.ends_z_mm for s in self.profile.segments if s.surface == "axis")
        )

    def least_radius(self, surface: Surface) -> float:
        """The least of such a surface's radii along the path; infinite where it has none there."""
        low, high = self.path()
        found = math.inf
        for segment in self.profile.outline.segments:
            if segment.surface == surface:
                r = _between(segment.curve.flatten(_CHORD_MM), low, high)
                # a floor's point goes down to the axis: it makes no bore narrow
                if len(r) and not (surface == "inner" and r.min() <= _SAME_MM):
                    found = min(found, float(r.min()))
        return found


def _between(run: Points, low: float, high: float) -> Points:
    """r (n,) of a run of points where it lies between two z, its cut ends included."""
    z, r = run[:, 0], run[:, 1]
    if z[0] > z[-1]:
        z, r = z[::-1], r[::-1]
    inside = (z >= low - _SAME_MM) & (z <= high + _SAME_MM)
    ends = np.array([e for e in (low, high) if z[0] < e < z[-1]])
    return np.append(r[inside], np.interp(ends, z, r))


def ways_of_bore(
    profile: Profile, where: Where, inch: bool, clears: Clears, tools: Sequence[Tool]
) -> Iterator[Way]:
    """Every way that clears it, each with its smallest number; not proven yet by a whole walk."""
    if where.z_mm is None:
        return
    known = {s.id: s.surface for s in profile.outline.segments}
    inside = any(known.get(name) == "inner" for name in where.segments)
    ends: tuple[_End, ...] = ("low", "high", "both") if inside else ()
    bores = [_Bore(profile, where.segments, where.z_mm, end, inch) for end in ends]
    wide = False
    for bore in bores:
        if bore.is_open() and not (wide and bore.end == "both"):
            if bore.end != "both":
                yield from _shallower(bore, clears, tools)
            for way in _wider(bore, clears, tools):
                wide = True
                yield way
    yield from _split(profile, where.z_mm, inch, clears)


@dataclass(frozen=True, slots=True)
class _Floor:
    """Where a bore ends: z, the radii that it spans there, and the z at which its wall begins."""

    z_mm: float
    r_mm: tuple[float, float]
    begins_mm: float


def _shallower(bore: _Bore, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    """Its floor, or the shoulder at which it ends, nearer to the mouth."""
    floor = _floor(bore)
    if floor is None:
        return
    deep = floor.begins_mm - floor.z_mm
    shaped = _shaped_floor(bore, floor)

    def filled(by: float) -> Profile | None:
        z_mm = sorted((floor.z_mm, floor.z_mm + math.copysign(by, deep)))
        return with_box(bore.profile, (z_mm[0], z_mm[1]), floor.r_mm, fill=True)

    def raised(by: float) -> Profile | None:
        return None if shaped is None else with_floor_raised(bore.profile, shaped, by)

    mouth = 0.0 if bore.end == "low" else bore.profile.length_mm
    whole = abs(floor.z_mm - mouth)
    reaching = {whole - far for name in _REACH for far in limits_of(tools, name)}
    # a point or a ball is moved as it is; flat it would ask for other tools
    for made in (filled,) if shaped is None else (raised, filled):
        far = abs(deep)
        if made is raised and shaped is not None:
            far = whole - shaped.deep_mm
            reaching |= {by + shaped.deep_mm for by in reaching}
            far = min(far, shaped.room_mm / (1.0 - LEAST_DEEP))
        # counted in millimetres, so that round ones are found
        by = least(made, (0.0, (1.0 - LEAST_DEEP) * far), clears, reaching)
        profile = None if by is None else made(by)
        if by is None or profile is None:
            continue
        at = floor.z_mm + math.copysign(by, deep)
        z, drawn = (length_text(x, bore.inch) for x in (at, floor.z_mm))
        text = f"Let the bore from the {bore.end} end reach no farther than z {z} (drawn {drawn})."
        if made is raised:
            text = f"{text[:-1]}, the shape of its floor as it is."
        elif shaped is not None:
            text = f"Let the floor of the bore be flat at z {z} (drawn down to z {drawn})."
        deep_mm = whole if made is raised else abs(deep)
        change = Change(text, "depth_mm", deep_mm, deep_mm - by, proven=True)
        yield Way(change, (profile,), asks(bore.profile, profile))
        return


def _shaped_floor(bore: _Bore, floor: _Floor) -> BoreFloor | None:
    """The floor that what stays ends at, where that is no flat one."""
    if bore.end == "both" or floor.r_mm[0] >= 0.0:
        return None
    found = floor_of(bore.profile, bore.end)
    same = found is not None and abs(found.tip_mm - floor.z_mm) <= _SAME_MM
    return found if same and found is not None and found.deep_mm > _SAME_MM else None


def _floor(bore: _Bore) -> _Floor | None:
    """The deepest place that what stays touches; None where the bore runs through there."""
    own = [s for s in bore.profile.outline.segments if s.id in bore.segments]
    inner = [s for s in own if s.surface in ("inner", "end")]
    if not inner:
        return None
    points = np.concatenate([s.curve.flatten(_CHORD_MM) for s in inner])
    deepest, nearest = float(points[:, 0].max()), float(points[:, 0].min())
    if bore.end == "high":
        deepest, nearest = nearest, deepest
    if abs(deepest - nearest) <= _SAME_MM:
        return None
    if points[:, 1].min() <= _SAME_MM:
        return _Floor(deepest, (-1.0, float(points[:, 1].max())), nearest)
    for s in inner:
        (z, r), (_, other) = s.curve.start, s.curve.end
        if s.surface == "end" and isinstance(s.curve, Line) and abs(z - deepest) <= _SAME_MM:
            # the shoulder of a smaller bore, which stays open
            return _Floor(z, (min(r, other), max(r, other)), nearest)
    return None


def _wider(bore: _Bore, clears: Clears, tools: Sequence[Tool]) -> Iterator[Way]:
    """Wider from what stays to the mouth: a thicker bar reaches farther, and chips get out."""
    now = 2.0 * bore.least_radius("inner")
    wall = bore.least_radius("outer") - LEAST_WALL_MM
    if not math.isfinite(now) or not math.isfinite(wall):
        return

    shaped = None if bore.end == "both" else floor_of(bore.profile, bore.end)
    if shaped is not None and not (
        shaped.deep_mm > _SAME_MM and abs(shaped.tip_mm - bore.far_mm) <= _SAME_MM
    ):
        shaped = None  # flat, or what stays ends before it
    if shaped is not None and not shaped.is_pointed:
        return  # wider, a ball would be another one

    def made(to: float) -> Profile | None:
        low, high = bore.path(_BEYOND_MM)
        if shaped is None:
            return with_box(bore.profile, (low, high), (-1.0, 0.5 * to), fill=False)
        # a wider drill to the same tip
        deep = shaped.deep_mm * 0.5 * to / shaped.radius_mm
        if bore.end == "high":
            corners = ((low, 0.0), (high, 0.0), (high, 0.5 * to), (low + deep, 0.5 * to))
        else:
            corners = ((low, 0.0), (high, 0.0), (high - deep, 0.5 * to), (low, 0.5 * to))
        return with_patch(bore.profile, corners, fill=False)

    entered = limits_of(tools, "min_bore_mm")
    to = least(made, (now, min(MOST_WIDER * now, 2.0 * wall)), clears, entered)
    profile = None if to is None else made(to)
    if to is not None and profile is not None:
        low, high = (length_text(z, bore.inch) for z in bore.path())
        text = (
            f"Widen the bore at z {low} to {high} from ⌀{length_text(now, bore.inch)} to "
            f"⌀{length_text(to, bore.inch)}"
            f"{'' if shaped is None else ', its point as steep as drawn and its tip where it is'}."
        )
        change = Change(text, "bore_diameter_mm", now, to, proven=True)
        yield Way(change, (profile,), asks(bore.profile, profile))


def _split(
    profile: Profile, z_mm: tuple[float, float], inch: bool, clears: Clears
) -> Iterator[Way]:
    low, high = z_mm
    middle = 0.5 * (low + high)
    shoulders = sorted(
        {s.curve.start[0] for s in profile.segments if _is_within(s.curve.start[0], z_mm)},
        key=lambda z: abs(z - middle),
    )
    for at in dict.fromkeys((*shoulders[:3], _rounded(middle, high - low, inch), high, low)):
        if not _SAME_MM < at < profile.length_mm - _SAME_MM:
            continue
        parts = halves(profile, at)
        if parts and all(clears(one, begins) for one, begins in parts):
            text = f"Split the part at z {length_text(at, inch)} and join the halves."
            change = Change(text, "split_at_mm", None, at, proven=True)
            yield Way(change, tuple(one for one, _ in parts), math.inf)
            return


def _is_within(z: float, z_mm: tuple[float, float]) -> bool:
    return z_mm[0] - _SAME_MM <= z <= z_mm[1] + _SAME_MM


def _rounded(at_mm: float, span_mm: float, inch: bool) -> float:
    """A round number near a place that could as well lie beside it."""
    unit = 25.4 if inch else 1.0
    for digits in (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001):
        near = round(round(at_mm / unit / digits) * digits * unit, 6)
        if abs(near - at_mm) <= _NEAR_SHARE * span_mm:
            return near
    return at_mm
