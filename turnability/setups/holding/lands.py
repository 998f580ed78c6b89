"""Straight, unbroken cylinders that jaws could hold.

Only a line parallel to the axis is a land: never a taper, a curve or a thread. Holes, flats, slots,
keyways and hexagons in the outside are drilled and milled once all is turned, so that jaws find a
whole cylinder there; where the bar is a hexagon itself, three jaws close on its flats (common
practice, no source). Any other departure breaks the land where it cuts into it, and what is left on
either side counts by itself; so do all where nobody knows what the part is cut from. Where a
departure's own numbers do not say that it keeps clear of the surface, it is taken to break it: a
grip promised on a broken surface could let the part go. What the intent keeps from jaws is no land.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Literal

from turnability.half_plane.curves import Line
from turnability.intent.model import Named
from turnability.part.model import Departure, Part, Segment
from turnability.setups.model import Land
from turnability.stock.model import StockPiece
from turnability.stock.own_outside import is_bars_hexagon

STRAIGHT_MM = 1e-3
"""A line whose ends differ by no more than this in r is a cylinder (the profile's own accuracy)."""

THREAD_MM = 0.05
"""A modelled thread's crests stand this near to the cylinder that it is cut into."""

_LATE = ("hex", "square", "flat", "hole", "bolt-circle", "keyway", "slot", "pocket")

Span = tuple[float, float]


def find_lands(
    part: Part, ungripped: Sequence[Named] = (), piece: StockPiece | None = None
) -> tuple[Land, ...]:
    """Lands of the outline by z, outside before inside; empty for a part without a profile.

    `ungripped`: settled places of the intent that no jaw may hold. `piece` is what the part is cut
    from; without it nobody knows what an outside hexagon is when jaws come.
    """
    if part.profile is None:
        return ()
    six = [d for d in part.departures if is_bars_hexagon(part.profile, d)]
    comes = piece is not None and piece.form == "hex" and piece.own_outside
    across = piece.across_mm if piece is not None and comes else None
    late = [d for d in part.departures if piece is not None and _is_round_first(d)]
    whole = [d for d in part.departures if d in (six if comes else late)]
    breaking = [d for d in part.departures if d not in whole]
    threaded = {face.index for face in part.faces if face.role == "thread"}
    lands: list[Land] = []
    for run in _runs(part.profile.outline.segments, threaded):
        z = [p[0] for s in run for p in (s.curve.start, s.curve.end)]
        radius = max(abs(p[1]) for s in run for p in (s.curve.start, s.curve.end))
        surface: Literal["outer", "inner"] = "outer" if run[0].surface == "outer" else "inner"
        broken = [d.z_mm for d in breaking if breaks(d, surface, radius)]
        broken += [s.ends_z_mm for s in run if any(set(s.faces) & set(d.faces) for d in breaking)]
        broken += [
            thread.z_mm
            for thread in part.threads
            if thread.surface == surface
            and thread.minor_mm / 2.0 - STRAIGHT_MM <= radius <= thread.major_mm / 2.0 + THREAD_MM
        ]
        broken += [
            place.on_z_mm
            for place in ungripped
            if place.on_z_mm is not None and {s.id for s in run}.intersection(place.segments)
        ]
        for span in _without((min(z), max(z)), broken):
            ids = tuple(s.id for s in run if _overlap(s.ends_z_mm, span))
            flats = across if surface == "outer" and _on(six, span, radius, across) else None
            lands.append(Land(ids, surface, span, 2.0 * radius, flats))
    return tuple(sorted(lands, key=lambda land: (land.surface != "outer", land.z_mm)))


def _is_round_first(departure: Departure) -> bool:
    """Whether it is milled or drilled into what is turned whole before, by what it is called."""
    outside = departure.parameters.get("surface", "outer") != "inner"
    return departure.kind in _LATE and outside


def _on(six: Sequence[Departure], span: Span, radius_mm: float, across_mm: float | None) -> bool:
    """Whether the bar's hexagon is what stands there."""
    return (
        across_mm is not None
        and 2.0 * radius_mm > across_mm + STRAIGHT_MM
        and any(_overlap(departure.z_mm, span) for departure in six)
    )


def breaks(departure: Departure, surface: Literal["outer", "inner"], radius_mm: float) -> bool:
    """Whether the departure may cut into a cylinder of this radius within its z range.

    Its radial range decides where the part's reader gives one (`r_mm`). A bolt circle or an axial
    hole on a known circle cuts only the cylinders that its holes cross; flats, squares and
    hexagons cut no outside smaller than across flats. All else is taken to cut.
    """
    numbers = departure.parameters
    extent = numbers.get("r_mm")
    if isinstance(extent, tuple) and len(extent) == 2:
        return extent[0] < radius_mm + STRAIGHT_MM and extent[1] > radius_mm - STRAIGHT_MM
    circle, hole = numbers.get("circle_diameter_mm"), numbers.get("hole_diameter_mm")
    if hole is None:
        hole = numbers.get("diameter_mm")
    if departure.kind in ("bolt-circle", "hole") and numbers.get("direction", "axial") == "axial":
        if isinstance(circle, (int, float)) and isinstance(hole, (int, float)):
            return abs(circle / 2.0 - radius_mm) < hole / 2.0 + STRAIGHT_MM
        # an axial hole stays inside the outside it is drilled within, but may open the bore
        return departure.kind == "bolt-circle" or surface == "inner"
    if departure.kind == "eccentric":
        return surface == "inner"
    across = numbers.get("across_flats_mm")
    if departure.kind in ("flat", "hex", "square") and isinstance(across, (int, float)):
        return surface == "inner" or across < 2.0 * radius_mm - STRAIGHT_MM
    return True


def _runs(segments: tuple[Segment, ...], threaded: set[int]) -> list[list[Segment]]:
    """Cylindrical segments, neighbours on one line together."""
    runs: list[list[Segment]] = []
    for before, segment in pairwise((None, *segments)):
        assert segment is not None
        if not _is_cylinder(segment, threaded):
            continue
        joined = (
            bool(runs)
            and runs[-1][-1] is before
            and before is not None
            and before.surface == segment.surface
            and abs(before.curve.start[1] - segment.curve.start[1]) <= STRAIGHT_MM
        )
        if joined:
            runs[-1].append(segment)
        else:
            runs.append([segment])
    return runs


def _is_cylinder(segment: Segment, threaded: set[int]) -> bool:
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    return (
        segment.surface in ("outer", "inner")
        and isinstance(segment.curve, Line)
        and abs(r1 - r0) <= STRAIGHT_MM
        and abs(z1 - z0) > STRAIGHT_MM
        and not threaded.intersection(segment.faces)
    )


def _overlap(a: Span, b: Span) -> bool:
    return min(a[1], b[1]) - max(a[0], b[0]) > STRAIGHT_MM


def _without(whole: Span, holes: Iterable[Span]) -> list[Span]:
    """What is left of `whole` when every span of `holes` is taken away."""
    left = [whole]
    for low, high in holes:
        left = [
            piece
            for a, b in left
            for piece in (
                ((a, min(b, low)), (max(a, high), b)) if low < b and high > a else ((a, b),)
            )
            if piece[1] - piece[0] > STRAIGHT_MM
        ]
    return left
