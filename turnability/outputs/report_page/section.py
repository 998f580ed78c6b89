"""The part as a turner's drawing: upper half cut, lower half seen from outside, in mm.

User units are millimetres, x is z, y is -r; strokes keep their width at any scale. What is shown
on demand (sizes, tools, jaws) the page's script adds to it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from turnability.half_plane.curves import Arc, Curve, Line, Point, Points, Spline
from turnability.outputs.report_page.words import text

WIDTH_PX = 1100.0
TALLEST_PX = 420.0
MARGIN_PX = 90.0
_BESIDE_PX = 220.0
_BESIDE_MM = 1e-4
_SEEN_MM = 2e-3
_SMOOTH_RAD = 0.02
_CHORD_PX = 0.1

Json = dict[str, Any]


def section(document: Json) -> str:
    """The drawing as SVG for the page; empty where the part has no profile."""
    profile = document["profile"]
    if profile is None:
        return ""
    length, radius = profile["length_mm"], profile["max_diameter_mm"] / 2.0
    unit = max(length / (WIDTH_PX - 2 * MARGIN_PX), 2.0 * radius / TALLEST_PX)
    margin = MARGIN_PX * unit
    width, height = length + 2.0 * margin, 2.0 * (radius + 0.6 * margin)
    # a slender part leaves room for the lists below
    tall = min(2.0 * radius / unit + _BESIDE_PX, TALLEST_PX + 30.0)
    loops = [[curve_of(one) for one in loop["segments"]] for loop in profile["loops"]]
    pieces = [one for loop in profile["loops"] for one in loop["segments"]]
    chord = _CHORD_PX * unit
    cut = "".join(f"{_data(loop, chord)}Z" for loop in loops)
    outside = "".join(_outside(loops[0], chord))
    box = f"{-margin:.6g} {-radius - 0.6 * margin:.6g} {width:.6g} {height:.6g}"
    parts = [
        f'<svg id="section" viewBox="{box}" role="img" aria-labelledby="section-name" '
        f'style="--tall:{tall:.0f}px">',
        '<title id="section-name">Section of the part along its axis, upper half cut, lower half '
        "seen from outside</title>",
        "<defs>"
        + _hatch("cut-hatch", 8.0 * unit, 45)
        + _hatch("left-hatch", 5.0 * unit, -45)
        + _hatch("grip-hatch", 6.0 * unit, 0)
        + _hatch("hit-hatch", 4.0 * unit, 0)
        + f'<clipPath id="in-part"><path d="{cut}" clip-rule="evenodd"/>'
        f'<path d="{cut}" clip-rule="evenodd" transform="scale(1 -1)"/></clipPath></defs>',
        '<g id="flip">',
        '<g id="under"></g>',
        f'<path class="cut-face" fill-rule="evenodd" d="{cut}"/>',
        f'<g id="lower-cut" hidden=""><path class="cut-face" fill-rule="evenodd" d="{cut}" '
        'transform="scale(1 -1)"/></g>',
        f'<g id="lower-outside"><path class="outside" d="{outside}" transform="scale(1 -1)"/>'
        f'<path class="edge" d="{"".join(_edges(pieces, loops[0], chord))}"/>'
        f'<path class="rim" d="{"".join(_rims(loops[0], length))}"/></g>',
        f'<path class="edge" d="{"".join(_bores(pieces))}"/>',
        *_regions(document),
        *_departures(document, radius),
        *_segments(pieces, loops[0], chord),
        f'<path class="axis" d="M{-0.5 * margin:.6g} 0H{length + 0.5 * margin:.6g}"/>',
        '<g id="over"></g></g><g id="signs"></g></svg>',
    ]
    return "".join(parts)


def curve_of(segment: Json) -> Curve:
    """The curve of a segment of the document."""
    start, end = _point(segment["start"]), _point(segment["end"])
    if segment["kind"] == "arc":
        centre = _point(segment["centre"])
        return Arc(start, end, centre, segment["radius_mm"], segment["clockwise"])
    if segment["kind"] == "spline":
        return Spline(tuple(_point(p) for p in segment["points"]))
    return Line(start, end)


def _point(pair: Sequence[float]) -> Point:
    return (float(pair[0]), float(pair[1]))


def _data(curves: Sequence[Curve], chord: float) -> str:
    z, r = curves[0].start
    made = [f"M{z:.6g} {-r:.6g}"]
    for curve in curves:
        z, r = curve.end
        if isinstance(curve, Arc):
            large = int(abs(curve.sweep()) > math.pi)
            turn = int(curve.clockwise)  # y runs down and so does -r
            made.append(f"A{curve.radius:.6g} {curve.radius:.6g} 0 {large} {turn} {z:.6g} {-r:.6g}")
        elif isinstance(curve, Spline):
            points = curve.flatten(chord)[1:]
            made.append("".join(f"L{a:.6g} {-b:.6g}" for a, b in points))
        else:
            made.append(f"L{z:.6g} {-r:.6g}")
    return "".join(made)


def _outside(ring: Sequence[Curve], chord: float) -> Iterator[str]:
    """What is seen from outside: all that lies between any piece and the axis."""
    for curve in ring:
        points = sorted((float(z), float(r)) for z, r in curve.flatten(chord))
        if abs(points[0][0] - points[-1][0]) > 1e-9:
            under = "".join(f"L{z:.6g} {-r:.6g}" for z, r in points)
            yield f"M{points[0][0]:.6g} 0{under}L{points[-1][0]:.6g} 0Z"


def _lines(ring: Sequence[Curve], chord: float) -> tuple[Points, Points]:
    """Starts and ends (n, 2) of an outline's chords, near enough to tell what is seen of it."""
    fine = min(chord, 0.25 * _SEEN_MM)
    flat = [np.asarray(curve.flatten(fine)) for curve in ring]
    return np.concatenate([f[:-1] for f in flat]), np.concatenate([f[1:] for f in flat])


def _is_seen(lines: tuple[Points, Points], z: float, r: float) -> bool:
    """Whether a place of the outline is seen from outside, on either side of a step."""
    beside = (_highest(*lines, z - _BESIDE_MM), _highest(*lines, z + _BESIDE_MM))
    return r >= min(beside) - _SEEN_MM


def _edges(pieces: Sequence[Json], ring: Sequence[Curve], chord: float) -> Iterator[str]:
    """Circles in which surfaces meet outside, seen as lines across the lower half."""
    lines = _lines(ring, chord)
    for (one, curve), (_, after) in pairwise(
        [*zip(pieces, ring, strict=False), (pieces[0], ring[0])]
    ):
        z, r = curve.end
        if one["surface"] == "axis" or r <= 0.0 or _is_smooth(curve, after):
            continue
        if _is_seen(lines, z, r):
            yield f"M{z:.6g} 0V{r:.6g}"


def _rims(ring: Sequence[Curve], length: float) -> Iterator[str]:
    """Ends of the silhouette, in so far as a bore leaves no surface there."""
    for z in (0.0, length):
        radii = [
            p[1] for curve in ring for p in (curve.start, curve.end) if abs(p[0] - z) < _SEEN_MM
        ]
        if radii:
            yield f"M{z:.6g} 0V{min(radii):.6g}"


def _highest(starts: Points, ends: Points, z: float) -> float:
    """Greatest r of an outline's lines (n, 2) at a z; 0 beside it."""
    (a, ra), (b, rb) = starts.T, ends.T
    over = (np.minimum(a, b) <= z) & (np.maximum(a, b) >= z) & (a != b)
    if not over.any():
        return 0.0
    a, ra, b, rb = a[over], ra[over], b[over], rb[over]
    return float((ra + (z - a) / (b - a) * (rb - ra)).max())


def _is_smooth(curve: Curve, after: Curve) -> bool:
    (a, b), (c, d) = curve.direction(1.0), after.direction(0.0)
    return abs(math.atan2(a * d - b * c, a * c + b * d)) < _SMOOTH_RAD


def _bores(pieces: Sequence[Json]) -> Iterator[str]:
    """Circles inside, seen behind the cut as lines from the wall to the axis."""
    for one, after in pairwise([*pieces, pieces[0]]):
        if "inner" in (one["surface"], after["surface"]) and one["end"] == after["start"]:
            z, r = one["end"]
            if not _is_smooth(curve_of(one), curve_of(after)):
                yield f"M{z:.6g} {-r:.6g}V0"


def _segments(pieces: Sequence[Json], ring: Sequence[Curve], chord: float) -> Iterator[str]:
    lines = _lines(ring, chord)
    for one in pieces:
        if one["surface"] == "axis":
            continue
        curve = curve_of(one)
        data = _data([curve], chord)
        z, r = curve.at(0.5)
        if one["surface"] == "end":
            r = max(curve.start[1], curve.end[1])
        within = "" if one["surface"] != "inner" and _is_seen(lines, z, r) else " within"
        name = text(one["id"])
        yield (
            f'<path class="seg" data-segment="{name}" d="{data}"/>'
            f'<path class="seg mirror{within}" data-segment="{name}" d="{data}" '
            'transform="scale(1 -1)"/>'
        )


def _regions(document: Json) -> Iterator[str]:
    for left in document["reach"]["left"] if document["reach"] else ():
        corners = "".join(f"L{z:.6g} {-r:.6g}" for z, r in left["polygon"])
        yield f'<path class="region" data-left="{text(left["id"])}" d="M{corners[1:]}Z"/>'


def _departures(document: Json, radius: float) -> Iterator[str]:
    for one in document["departures"]:
        extent = _radial(one["parameters"])
        if extent is None or one.get("z_mm") is None:
            continue
        (z0, z1), (r0, r1) = one["z_mm"], extent
        r1 = min(r1, 1.02 * radius)
        yield (
            f'<rect class="departure" data-departure="{text(one["id"])}" x="{z0:.6g}" '
            f'y="{-r1:.6g}" width="{max(z1 - z0, 0.0):.6g}" height="{max(r1 - r0, 0.0):.6g}"/>'
        )


def _radial(numbers: Json) -> tuple[float, float] | None:
    extent = numbers.get("r_mm")
    if isinstance(extent, list) and len(extent) == 2:
        return (float(extent[0]), float(extent[1]))
    circle, hole = numbers.get("circle_diameter_mm"), numbers.get("hole_diameter_mm")
    if isinstance(circle, int | float) and isinstance(hole, int | float):
        return ((circle - hole) / 2.0, (circle + hole) / 2.0)
    return None


def _hatch(name: str, step: float, angle: int) -> str:
    return (
        f'<pattern id="{name}" class="hatch" data-step="{step:.6g}" width="1" height="1" '
        f'patternUnits="userSpaceOnUse" patternTransform="scale({step:.6g}) rotate({angle})" '
        f'data-angle="{angle}"><rect width="1" height="1"/><path d="M0 .5H1"/></pattern>'
    )
