"""Rings made straight-edged so that what touches in truth touches exactly when flattened."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Curve, Points, Ring, ring_area

CHORD_MM = 5e-4
"""Chords of outlines miss their arcs by at most this, with those of bodies by less than touching.

Straight edges are touched exactly whatever the chords, and where arcs rest on others is put right.
"""
_OF_RADIUS = 2.5e-3
"""And by no more than this share of their radius: what small noses leave is small, too."""
_SAME_RAD = 1e-4
_MANY, _CLOSE_RAD = 100, 5e-3
"""A chord over 5e-3 rad misses an arc of 8 mm by 2.5e-5 mm."""


def chord_for(size_mm: float) -> float:
    """A chord error for a body of a size: coarser for large bodies."""
    return min(max(CHORD_MM / 2.0, 5e-6 * size_mm), CHORD_MM)


def outline_points(ring: Ring, chord_mm: float = CHORD_MM) -> Points:
    """Corners of the flattened ring, anticlockwise, first not repeated, shape (n, 2)."""
    return touching_points(ring, np.zeros(0), chord_mm)


def touching_points(
    ring: Ring, directions: NDArray[np.float64], chord_mm: float = CHORD_MM
) -> Points:
    """Corners of the flattened ring, with a corner wherever an arc faces one of `directions`.

    `directions`: ascending angles (rad, -pi to pi) of outward normals. An edge with the opposite
    normal then touches the flattened arc exactly where it touches the true one.
    """
    return touching_edges(ring, directions, chord_mm)[0]


def touching_edges(
    ring: Ring, directions: NDArray[np.float64], chord_mm: float = CHORD_MM
) -> tuple[Points, NDArray[np.float64]]:
    """The same corners (n, 2), and for the edge after each the radius of its arc (n,).

    The radius is 0 for a line, negative for an arc that runs clockwise.
    """
    if ring_area(ring) < 0.0:
        ring = tuple(curve.reversed() for curve in ring[::-1])
    parts, radii = [], []
    for curve in ring:
        radius = 0.0
        if isinstance(curve, Arc):
            part = _arc_points(curve, directions, chord_mm)
            radius = -curve.radius if curve.clockwise else curve.radius
        else:
            part = curve.flatten(chord_mm)
        parts.append(part[:-1])
        radii.append(np.full(len(part) - 1, radius))
    points, radius_after = np.concatenate(parts), np.concatenate(radii)
    step = np.concatenate((points[1:], points[:1])) - points
    distinct = (np.abs(step) > 1e-9).any(axis=1)
    return points[distinct], radius_after[distinct]


def body_points(curve: Curve, chord_mm: float) -> Points:
    """Corners of a flattened curve with the body on its left, none of which is outside the body.

    Chords of an arc that bulges, edges that touch an arc that is hollow: what fits against the
    curve then fits against its edges, and misses it by no more than `chord_mm`. The first and the
    last edge touch a hollow arc at its ends, the others at their middles. Shape (n, 2).
    """
    if not isinstance(curve, Arc) or not curve.clockwise:
        return curve.flatten(chord_mm)
    sweep, begin = -curve.sweep(), curve.start_angle()
    # corners of two edges that touch at an angle t on either side stand out by 1 / cos t - 1
    share = min(1.0, chord_mm / curve.radius) if curve.radius > 0.0 else 1.0
    step = max(1e-4, min(2.0 * math.acos(1.0 / (1.0 + share)), math.pi / 4.0))
    n = max(1, math.ceil(sweep / step - 1e-9))
    half = 0.5 * sweep / n
    a = begin - half * (2.0 * np.arange(n) + 1.0)
    out = curve.radius / math.cos(half)
    corners = np.column_stack(
        (curve.centre[0] + out * np.cos(a), curve.centre[1] + out * np.sin(a))
    )
    return np.concatenate(([curve.start], corners, [curve.end]))


def distinct_angles(angles: NDArray[np.float64]) -> NDArray[np.float64]:
    """The angles ascending, of those closer than 1e-4 rad only the first.

    Of very many (a curve drawn as a chain of lines) fewer do: they are that close to one another.
    """
    kept = _apart(np.sort(angles), _SAME_RAD)
    return kept if len(kept) <= _MANY else _apart(kept, _CLOSE_RAD)


def _apart(ordered: NDArray[np.float64], least: float) -> NDArray[np.float64]:
    if len(ordered) == 0:
        return ordered
    kept = [float(ordered[0])]
    for angle in ordered[1:].tolist():
        if angle - kept[-1] > least:
            kept.append(angle)
    return np.array(kept)


def _arc_points(arc: Arc, directions: NDArray[np.float64], chord_mm: float) -> Points:
    chord_mm = min(chord_mm, _OF_RADIUS * arc.radius)
    sweep, begin = arc.sweep(), arc.start_angle()
    if arc.clockwise or len(directions) == 0:
        return body_points(arc, chord_mm)
    along = (directions - begin) % math.tau
    facing = np.sort(along[(along > _SAME_RAD) & (along < sweep - _SAME_RAD)])
    share = min(1.0, chord_mm / arc.radius) if arc.radius > 0.0 else 1.0
    step = max(1e-4, min(2.0 * math.acos(1.0 - share), math.pi / 4.0))
    stops = np.concatenate(([0.0], facing, [sweep]))
    pieces = np.maximum(1, np.ceil(np.diff(stops) / step - 1e-9)).astype(int)
    turned = np.concatenate(
        [
            np.linspace(a, b, n, endpoint=False)
            for a, b, n in zip(stops[:-1], stops[1:], pieces, strict=True)
        ]
        + [[sweep]]
    )
    a = begin + turned
    points = np.column_stack(
        (arc.centre[0] + arc.radius * np.cos(a), arc.centre[1] + arc.radius * np.sin(a))
    )
    points[0], points[-1] = arc.start, arc.end
    return points
