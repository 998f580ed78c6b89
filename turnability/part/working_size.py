"""Very small solids are worked out enlarged, at a size that all tolerances are made for.

Whatever is compared in this room (ends that meet, a face's distance from its image, the kernel's
own least tolerance of 0.1 µm) is a length, chosen for parts of some ten millimetres; on a part of
half a millimetre it is a tenth of a per cent, and whole pins went unseen. Enlarging by a power of
two changes no digit of any coordinate, so that a part's sizes come back as they were drawn.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.gp import gp_Pnt, gp_Trsf
from OCP.TopAbs import TopAbs_VERTEX
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape

from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline
from turnability.part.model import Departure, HelicalThread, Parameter, Part, Profile, Vector
from turnability.part.reading.topology import faces_of

_SMALL_MM = 8.0
"""A solid no longer than this, whichever way, is enlarged,"""
_WORKED_MM = 16.0
"""to between this and twice as much."""
_POWERS = {"_mm": 1, "_mm2": 2, "_mm3": 3}


def enlarged(shape: TopoDS_Shape) -> tuple[TopoDS_Shape, float]:
    """The solid at its working size, and by what power of two it was enlarged (1 as a rule).

    Its faces keep their order, hence their indices.
    """
    by = _by(shape)
    if by == 1.0:
        return shape, 1.0
    move = gp_Trsf()
    move.SetScale(gp_Pnt(0.0, 0.0, 0.0), by)
    maker = BRepBuilderAPI_Transform(shape, move, True)
    larger = maker.Shape()
    own, made = faces_of(shape), faces_of(larger)
    same_order = len(own) == len(made) and all(
        maker.ModifiedShape(one).IsPartner(other) for one, other in zip(own, made, strict=True)
    )
    return (larger, by) if same_order else (shape, 1.0)


def _by(shape: TopoDS_Shape) -> float:
    if _has_far_corners(shape):
        return 1.0
    bounds = Bnd_Box()
    BRepBndLib.Add_s(shape, bounds, False)
    if bounds.IsVoid():
        return 1.0
    size = math.sqrt(bounds.SquareExtent())
    if not 0.0 < size < _SMALL_MM:
        return 1.0
    return float(2.0 ** math.ceil(math.log2(_WORKED_MM / size)))


def _has_far_corners(shape: TopoDS_Shape) -> bool:
    """Whether some vertex lies so far from the first that the solid is not small; soon told."""
    walk = TopExp_Explorer(shape, TopAbs_VERTEX)
    first: gp_Pnt | None = None
    while walk.More():
        corner = BRep_Tool.Pnt_s(TopoDS.Vertex_s(walk.Current()))
        first = first or corner
        if corner.Distance(first) >= _SMALL_MM:
            return True
        walk.Next()
    return False


def at_true_size(part: Part, by: float) -> Part:
    """The part as it was before its solid was enlarged `by`. Words in it are left as they are."""
    if by == 1.0:
        return part
    k = 1.0 / by
    return replace(
        part,
        axis=part.axis and replace(part.axis, origin_mm=_vector(part.axis.origin_mm, k)),
        profile=part.profile and _profile(part.profile, k),
        departures=tuple(_departure(one, k) for one in part.departures),
        threads=tuple(_thread(one, k) for one in part.threads),
        open_z_mm=part.open_z_mm and (part.open_z_mm[0] * k, part.open_z_mm[1] * k),
    )


def _vector(v: Vector, k: float) -> Vector:
    return (v[0] * k, v[1] * k, v[2] * k)


def _point(p: Point, k: float) -> Point:
    return (p[0] * k, p[1] * k)


def _curve(curve: Curve, k: float) -> Curve:
    if isinstance(curve, Line):
        return Line(_point(curve.start, k), _point(curve.end, k))
    if isinstance(curve, Arc):
        ends = (_point(curve.start, k), _point(curve.end, k))
        return Arc(*ends, _point(curve.centre, k), curve.radius * k, curve.clockwise)
    return Spline(tuple(_point(p, k) for p in curve.points))


def _times(value: float | None, k: float) -> float | None:
    return None if value is None else value * k


def _profile(profile: Profile, k: float) -> Profile:
    return replace(
        profile,
        length_mm=profile.length_mm * k,
        max_diameter_mm=profile.max_diameter_mm * k,
        through_bore_mm=_times(profile.through_bore_mm, k),
        volume_mm3=profile.volume_mm3 * k**3,
        solid_volume_mm3=_times(profile.solid_volume_mm3, k**3),
        departures_volume_mm3=_times(profile.departures_volume_mm3, k**3),
        loops=tuple(
            replace(
                loop, segments=tuple(replace(s, curve=_curve(s.curve, k)) for s in loop.segments)
            )
            for loop in profile.loops
        ),
    )


def _departure(departure: Departure, k: float) -> Departure:
    low, high = departure.z_mm
    return replace(
        departure,
        volume_mm3=_times(departure.volume_mm3, k**3),
        z_mm=(low * k, high * k),
        parameters=_parameters(departure.parameters, k),
    )


def _parameters(parameters: Mapping[str, Parameter], k: float) -> dict[str, Parameter]:
    """By the unit that each key carries."""
    made = {}
    for key, value in parameters.items():
        power = next((n for suffix, n in _POWERS.items() if key.endswith(suffix)), 0)
        made[key] = _sized(value, k**power) if power else value
    return made


def _sized(value: Parameter, k: float) -> Parameter:
    if isinstance(value, tuple):
        return tuple(v * k for v in value)
    if isinstance(value, bool | str) or value is None:
        return value
    return value * k


def _thread(thread: HelicalThread, k: float) -> HelicalThread:
    low, high = thread.z_mm
    return replace(
        thread,
        pitch_mm=thread.pitch_mm * k,
        major_mm=thread.major_mm * k,
        minor_mm=thread.minor_mm * k,
        z_mm=(low * k, high * k),
    )
