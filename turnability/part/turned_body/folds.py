"""Fold curves: where a face's normal has no part around the axis.

Seen in the half plane a face that is not turned covers an area, and that area ends at the
images of the face's edges and of its folds. Planes, spheres, and surfaces of revolution about a
line parallel to the axis fold in the plane through both lines, exactly; cylinders of any other
direction in closed form; all else is traced.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.ElSLib import ElSLib
from OCP.gp import gp_Pnt

from turnability.half_plane.curves import Arc, Curve, Line, Point
from turnability.part.canonical_points import formula_parameters
from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import Array
from turnability.part.turned_body.sampling import Places, curve_through, polyline_at_once
from turnability.part.turned_body.trace import traced_folds
from turnability.part.winding import edge_points

_PARALLEL = 1e-10
_SAMPLES = 24
_ALONG_EDGE = 17
_IN_PLANE_MM = 1e-7
_STEPS = 60
_SETTLED = 1e-13


@dataclass(frozen=True, slots=True)
class Meridional:
    """A run of the surface within the half plane at `angle` (radians; s < 0 lies opposite).

    `place` takes a parameter to (z, s), `where` a place on the run back to its parameter; `whole`
    makes the exact curve between two parameters.
    """

    angle: float
    low: float
    high: float
    place: Callable[[float], Point]
    where: Callable[[Point], float]
    whole: Callable[[float, float], Curve]
    straight: bool


def fold_images(face: KernelFace, z_mm: tuple[float, float], r_mm: float) -> list[Curve]:
    """Images of a face's folds; a little more than the face's own part of them may come.

    `z_mm` and `r_mm` bound the solid in the axis frame.
    """
    runs = _meridional(face, z_mm, r_mm)
    if runs is None:
        return _crossing_cylinder(face) if face.kind == "cylinder" else traced_folds(face)
    return [curve for run in runs for curve in _on_face(face, run)]


def is_traced(face: KernelFace) -> bool:
    """Whether a face's folds have no closed form here."""
    return face.kind != "cylinder" and _meridional(face, (0.0, 1.0), 1.0) is None


def _meridional(
    face: KernelFace, z_mm: tuple[float, float], r_mm: float
) -> list[Meridional] | None:
    """Runs of a face whose folds lie in one plane through the axis; None where they don't."""
    c = face.canonical
    if c is None:
        return None
    if face.kind == "plane":
        return _plane_run(face, z_mm, r_mm)
    p = c.Location()
    offset, angle = math.hypot(p.X(), p.Y()), math.atan2(p.Y(), p.X())
    if face.kind == "sphere":
        return _circle_run(angle, (p.Z(), offset), c.Radius())
    d = c.Axis().Direction()
    if math.hypot(d.X(), d.Y()) > _PARALLEL:
        return None
    if face.kind == "cylinder":
        return [
            _line_run(angle, z_mm, partial(_slanted, offset + side * c.Radius(), 0.0, 0.0))
            for side in (1.0, -1.0)
        ]
    if face.kind == "cone":
        apex, slope = c.Apex().Z(), math.tan(c.SemiAngle())
        return [
            _line_run(angle, z_mm, partial(_slanted, offset, side * slope, apex))
            for side in (1.0, -1.0)
        ]
    if face.kind == "torus":
        return [
            run
            for side in (1.0, -1.0)
            for run in _circle_run(angle, (p.Z(), offset + side * c.MajorRadius()), c.MinorRadius())
        ]
    return None


def _slanted(s: float, slope: float, from_z: float, z: float) -> Point:
    return (z, s + slope * (z - from_z))


def _plane_run(face: KernelFace, z_mm: tuple[float, float], r_mm: float) -> list[Meridional]:
    plane = face.canonical
    n, p = plane.Axis().Direction(), plane.Location()
    across = math.hypot(n.X(), n.Y())
    height = n.X() * p.X() + n.Y() * p.Y() + n.Z() * p.Z()
    angle = math.atan2(n.Y(), n.X())
    if abs(n.Z()) <= across:
        return [_line_run(angle, z_mm, lambda z: (z, (height - n.Z() * z) / across))]
    radii = (-r_mm, r_mm)
    return [_line_run(angle, radii, lambda s: ((height - across * s) / n.Z(), s), by_z=False)]


def _line_run(
    angle: float,
    span: tuple[float, float],
    place: Callable[[float], Point],
    by_z: bool = True,
) -> Meridional:
    """A straight run whose parameter is z, or s."""

    def where(p: Point) -> float:
        return p[0] if by_z else p[1]

    return Meridional(angle, *span, place, where, lambda a, b: Line(place(a), place(b)), True)


def _circle_run(angle: float, centre: Point, radius: float) -> list[Meridional]:
    def place(t: float) -> Point:
        return (centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t))

    def where(p: Point) -> float:
        return math.atan2(p[1] - centre[1], p[0] - centre[0]) % math.tau

    def whole(a: float, b: float) -> Curve:
        return Arc(place(a), place(b), centre, radius, False)

    # two halves: an arc is always less than a whole turn
    return [
        Meridional(angle, 0.0, math.pi, place, where, whole, False),
        Meridional(angle, math.pi, math.tau, place, where, whole, False),
    ]


def _on_face(face: KernelFace, run: Meridional) -> list[Curve]:
    """The part of a run that lies on the face (a sample's step more), folded to r >= 0."""
    step = (run.high - run.low) / _SAMPLES
    low, high = run.low, run.high
    if face.recovered_gap_mm is None:
        hit = np.nonzero(_held(face, run, [run.low + k * step for k in range(_SAMPLES + 1)]))[0]
        if len(hit):
            low = max(run.low, run.low + (int(hit[0]) - 1) * step)
            high = min(run.high, run.low + (int(hit[-1]) + 1) * step)
            # all that a whole face holds of a straight run is one piece
            parted = not (run.straight and face.is_whole)
            for a, b in itertools.pairwise(_crossings(face, run) if parted else ()):
                # a piece between two samples; the longer ones were hit
                if (a < low or b > high) and _held(face, run, [(a + b) / 2.0]).all():
                    low, high = min(low, a), max(high, b)
    curve = run.whole(low, high)
    (z0, s0), (z1, s1) = curve.start, curve.end
    if isinstance(curve, Line):
        if s0 * s1 >= 0.0:
            return [Line((z0, abs(s0)), (z1, abs(s1)))]
        t = s0 / (s0 - s1)
        foot = (z0 + t * (z1 - z0), 0.0)
        return [Line((z0, abs(s0)), foot), Line(foot, (z1, abs(s1)))]
    if not isinstance(curve, Arc):
        return [curve]
    return _arc_folded(curve)


def _arc_folded(arc: Arc) -> list[Curve]:
    """An arc of the whole plane with its part at r < 0 mirrored up."""
    centre, radius = arc.centre, arc.radius
    cuts = [0.0, 1.0]
    if abs(centre[1]) < radius:
        half = math.acos(max(-1.0, min(1.0, -centre[1] / radius)))
        for crossing in (math.pi / 2.0 - half, math.pi / 2.0 + half):
            turn = (crossing - arc.start_angle()) % math.tau
            share = turn / abs(arc.sweep())
            if 1e-9 < share < 1.0 - 1e-9:
                cuts.append(share)
    cuts.sort()
    found: list[Curve] = []
    for a, b in itertools.pairwise(cuts):
        start, end, middle = arc.at(a), arc.at(b), arc.at((a + b) / 2.0)
        if middle[1] >= 0.0:
            found.append(Arc(_up(start), _up(end), centre, radius, False))
        else:
            mirrored = (centre[0], -centre[1])
            found.append(Arc(_up(start), _up(end), mirrored, radius, True))
    return found


def _up(p: Point) -> Point:
    return (p[0], abs(p[1]))


def _held(face: KernelFace, run: Meridional, t: Sequence[float]) -> NDArray[np.bool_]:
    """Which places of a run the face holds, rim and all."""
    z, s = np.array([run.place(one) for one in t]).T
    points = np.column_stack((s * math.cos(run.angle), s * math.sin(run.angle), z))
    if face.kind == "torus" and face.canonical.MajorRadius() < face.canonical.MinorRadius():
        places = (ElSLib.Parameters_s(face.canonical, gp_Pnt(*p)) for p in points.tolist())
        return np.array([face.holds(u, v, with_rim=True) for u, v in places])
    return face.held_at(*formula_parameters(face.formula, points))


def _crossings(face: KernelFace, run: Meridional) -> list[float]:
    """Parameters of a run where edges of the face cross its plane, in order."""
    x, y = math.cos(run.angle), math.sin(run.angle)
    found: list[float] = []
    for edge in face.edges():
        if BRep_Tool.Degenerated_s(edge):
            continue
        seen = edge_points(edge, _ALONG_EDGE)
        sides = seen[:, 1] * x - seen[:, 0] * y
        on = np.abs(sides) <= _IN_PLANE_MM
        cut = np.nonzero((sides[1:] * sides[:-1] < 0.0) & ~on[1:] & ~on[:-1])[0].tolist()
        places = [seen[k] for k in np.nonzero(on)[0].tolist()]
        if cut:
            curve = BRepAdaptor_Curve(edge)

            def aside(t: float, curve: BRepAdaptor_Curve = curve) -> float:
                p = curve.Value(t)
                return float(p.Y() * x - p.X() * y)

            params = np.linspace(curve.FirstParameter(), curve.LastParameter(), _ALONG_EDGE)
            for k in cut:
                p = curve.Value(_zero(aside, float(params[k]), float(params[k + 1])))
                places.append(np.array((p.X(), p.Y(), p.Z())))
        found.extend(run.where((float(p[2]), float(p[0] * x + p[1] * y))) for p in places)
    return sorted(t for t in found if run.low <= t <= run.high)


def _zero(value: Callable[[float], float], a: float, b: float) -> float:
    """Where a function changes its sign between a and b, by false position (Illinois)."""
    at_a, at_b = value(a), value(b)
    least = _SETTLED * (b - a)
    t, side = a, 0
    for _ in range(_STEPS):
        before, t = t, (a * at_b - b * at_a) / (at_b - at_a)
        here = value(t)
        if here == 0.0 or abs(t - before) <= least:
            break
        if (here > 0.0) == (at_b > 0.0):
            b, at_b = t, here
            at_a /= 2.0 if side > 0 else 1.0
            side = 1
        else:
            a, at_a = t, here
            at_b /= 2.0 if side < 0 else 1.0
            side = -1
    return t


def _crossing_cylinder(face: KernelFace) -> list[Curve]:
    """A cylinder whose axis is not parallel to the turning axis.

    With a the cylinder's direction, c the point of its axis next to the turning axis and m the
    normal at angle psi from k = z x a, the condition m . (z x P) = 0 is v |k| cos psi = -beta
    sin psi, beta = (a x k/|k|) . (z x c): rulings where the axes meet (beta = 0), else one curve
    on each side, run by v.
    """
    cylinder = face.canonical
    a, p = cylinder.Axis().Direction(), cylinder.Location()
    k = math.hypot(a.X(), a.Y())
    e1 = (-a.Y() / k, a.X() / k, 0.0)
    e2 = (
        a.Y() * e1[2] - a.Z() * e1[1],
        a.Z() * e1[0] - a.X() * e1[2],
        a.X() * e1[1] - a.Y() * e1[0],
    )
    shift = -(p.X() * a.X() + p.Y() * a.Y()) / (k * k)
    c = (p.X() + shift * a.X(), p.Y() + shift * a.Y(), p.Z() + shift * a.Z())
    beta = e2[0] * -c[1] + e2[1] * c[0]
    low, high = face.bounds[2] - shift, face.bounds[3] - shift
    if face.recovered_gap_mm is not None:  # its bounds are those of another surface
        along = face.even.points.reshape(-1, 3) @ (a.X(), a.Y(), a.Z())
        along -= c[0] * a.X() + c[1] * a.Y() + c[2] * a.Z()
        low, high = float(along.min()), float(along.max())
    radius = cylinder.Radius()

    way = np.array((a.X(), a.Y(), a.Z()))
    along_1, along_2 = radius * np.array(e1), radius * np.array(e2)

    def at(v: Array, psi: Array) -> Array:
        out = np.cos(psi)[:, None] * along_1 + np.sin(psi)[:, None] * along_2
        p = np.array(c) + v[:, None] * way + out
        return np.column_stack((p[:, 2], np.hypot(p[:, 0], p[:, 1])))

    # cut where the surface meets the axis: there the image comes down to it and turns back
    on_axis = math.sqrt(max(radius**2 - c[0] ** 2 - c[1] ** 2, 0.0)) * a.Z() / k
    cuts = sorted({low, *(v for v in (-on_axis, on_axis) if low < v < high), high})
    runs: list[tuple[Places, float, float]] = []
    for half in (0.0, math.pi):
        if abs(beta) <= 1e-9:
            psi = math.pi / 2.0 + half
            for lo, hi in itertools.pairwise(sorted({*cuts, max(low, min(0.0, high))})):
                runs.append((lambda v, psi=psi: at(v, np.full(len(v), psi)), lo, hi))  # type: ignore[misc]
        else:
            for lo, hi in itertools.pairwise(cuts):
                runs.append(
                    (lambda v, half=half: at(v, np.arctan2(-v * k, beta) + half), lo, hi)  # type: ignore[misc]
                )
    if abs(beta) <= 1e-9 and low <= 0.0 <= high:
        # a circle; square to the turning axis its image turns back where it crosses that
        turns = {quarter * math.pi / 2.0 for quarter in range(5)}
        aside = (c[0] * e1[0] + c[1] * e1[1]) / radius
        if abs(a.Z()) <= _PARALLEL and abs(aside) < 1.0:
            turns |= {math.acos(-aside), math.tau - math.acos(-aside)}
        for lo, hi in itertools.pairwise(sorted(turns)):
            runs.append((lambda psi: at(np.zeros(len(psi)), psi), lo, hi))
    found = [curve_through(polyline_at_once(places, lo, hi)) for places, lo, hi in runs]
    return [curve for curve in found if curve is not None]
