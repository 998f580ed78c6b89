"""Spherical faces that the CAD kernel took for the other side of their rim.

A rim parts a sphere in two, and a face is the side that lies to the left of its rim as seen from
outside. Where a rim runs through the sphere's own poles, the kernel at times shifts it by a turn
and takes the other side; then that face alone looks the other way than its file says, set against
all others of the solid. It is made anew on a sphere whose poles lie clear of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from turnability.part.reading.step_text import StepText

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from OCP.TopoDS import TopoDS_Face, TopoDS_Solid

_PLACES = 2000
"""Places spread over a sphere, to tell a face's side."""
_CLEAR = 0.05
"""Radians by which poles and seam of the new sphere keep clear of the face."""
_TRACE_MM = 1e-9
"""How near its edges' traces on the new sphere run."""


def with_sides(
    solid: TopoDS_Solid,
    faces: Sequence[Any],
    step_ids: Sequence[int | None],
    text: StepText,
) -> tuple[TopoDS_Solid, tuple[str, ...]]:
    """The solid with such faces made anew, and a remark where there were some.

    `faces` in the order of the face map, `step_ids` their entities. The order stays.
    """
    from OCP.BRepTools import BRepTools_ReShape
    from OCP.TopoDS import TopoDS

    wrong = list(_astray(faces, step_ids, text))
    if not wrong:
        return solid, ()
    change = BRepTools_ReShape()
    for face in wrong:
        made = _other_side(face)
        if made is None:
            return solid, ()
        change.Replace(face, made)
    righted = TopoDS.Solid_s(change.Apply(solid))
    count = "1 spherical face was" if len(wrong) == 1 else f"{len(wrong)} spherical faces were"
    return righted, (
        f"{count} read as the other side of the rim; made anew by what the file says of the side",
    )


def _astray(
    faces: Sequence[Any], step_ids: Sequence[int | None], text: StepText
) -> Iterator[TopoDS_Face]:
    """Spherical faces that look the other way than their file says, unlike most of the solid."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.TopAbs import TopAbs_FORWARD
    from OCP.TopoDS import TopoDS

    if not any(text.by_keyword.get("SPHERICAL_SURFACE", ())):
        return
    agrees: list[bool] = []
    for face, number in zip(faces, step_ids, strict=True):
        if number is None:
            return
        sense = text.parameters(number).rstrip(" )\n\r\t").endswith(".T.")
        agrees.append(sense == (face.Orientation() == TopAbs_FORWARD))
    most = 2 * sum(agrees) > len(agrees)
    for face, same in zip(faces, agrees, strict=True):
        if same != most:
            one = TopoDS.Face_s(face)
            if BRepAdaptor_Surface(one).GetType() == GeomAbs_SurfaceType.GeomAbs_Sphere:
                yield one


def _other_side(face: TopoDS_Face) -> TopoDS_Face | None:
    """A face of the same edges on what its sphere has besides it; None where none is clear."""
    from OCP.BRep import BRep_Builder, BRep_Tool
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.Geom import Geom_SphericalSurface
    from OCP.GeomProjLib import GeomProjLib
    from OCP.gp import gp_Ax3, gp_Dir
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FORWARD, TopAbs_WIRE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Wire

    sphere = BRepAdaptor_Surface(face).Sphere()
    axes = _clear_axes(face)
    if axes is None:
        return None
    pole, away = axes
    frame = gp_Ax3(sphere.Location(), gp_Dir(*pole), gp_Dir(*away))
    surface = Geom_SphericalSurface(frame, sphere.Radius())
    build, made = BRep_Builder(), TopoDS_Face()
    build.MakeFace(made, surface, BRep_Tool.Tolerance_s(face))
    plain = TopoDS.Face_s(face.Oriented(TopAbs_FORWARD))
    wires = TopExp_Explorer(plain, TopAbs_WIRE)
    while wires.More():
        wire, empty = TopoDS_Wire(), True
        build.MakeWire(wire)
        edges = TopExp_Explorer(wires.Current(), TopAbs_EDGE)
        while edges.More():
            edge = TopoDS.Edge_s(edges.Current())
            edges.Next()
            if BRep_Tool.Degenerated_s(edge) or BRep_Tool.IsClosed_s(edge, plain):
                continue  # poles and seams of the old sphere
            edge = TopoDS.Edge_s(edge.Reversed())
            first, last = BRep_Tool.Range_s(edge)
            curve = BRep_Tool.Curve_s(edge, first, last)
            trace = GeomProjLib.Curve2d_s(curve, first, last, surface, _TRACE_MM)
            build.UpdateEdge(edge, trace, surface, TopLoc_Location(), BRep_Tool.Tolerance_s(edge))
            empty = False
            build.Add(wire, edge)
        wires.Next()
        if not empty:
            wire.Closed(True)
            build.Add(made, wire)
    return TopoDS.Face_s(made if face.Orientation() != TopAbs_FORWARD else made.Reversed())


def _clear_axes(
    face: TopoDS_Face,
) -> tuple[tuple[float, float, float], tuple[float, float, float]] | None:
    """A pole and the seam's direction that keep clear of what the sphere has besides the face."""
    import numpy as np
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepTopAdaptor import BRepTopAdaptor_FClass2d
    from OCP.ElSLib import ElSLib
    from OCP.gp import gp_Pnt, gp_Pnt2d
    from OCP.TopAbs import TopAbs_OUT

    sphere = BRepAdaptor_Surface(face).Sphere()
    centre = np.array([sphere.Location().X(), sphere.Location().Y(), sphere.Location().Z()])
    classifier = BRepTopAdaptor_FClass2d(face, 1e-9)
    ways = _spread()
    besides = []
    for way in ways:
        u, v = ElSLib.Parameters_s(sphere, gp_Pnt(*(centre + sphere.Radius() * way)))
        if classifier.Perform(gp_Pnt2d(u, v)) == TopAbs_OUT:
            besides.append(way)
    if not besides:
        return None
    held = np.array(besides)
    middle = held.mean(axis=0)
    size = float(np.linalg.norm(middle))
    if size < 1e-3:
        return None
    middle /= size
    across = np.cross(ways, middle)
    poles = across[np.linalg.norm(across, axis=1) > 0.1]
    poles /= np.linalg.norm(poles, axis=1)[:, None]
    nearness = np.abs(poles @ held.T).max(axis=1)
    best = poles[int(nearness.argmin())]
    if nearness.min() > np.cos(_CLEAR):
        return None
    if not _clear_of_seam(held, best, -middle):
        return None
    return _three(best), _three(-middle)


def _clear_of_seam(held: NDArray[np.float64], pole: Any, seam: Any) -> bool:
    import numpy as np

    side = np.cross(pole, seam)
    turn = np.arctan2(held @ side, held @ seam)
    return bool(np.abs(turn).min() > _CLEAR)


def _spread() -> NDArray[np.float64]:
    """Unit vectors spread evenly over the sphere, shape (n, 3)."""
    import numpy as np

    k = np.arange(_PLACES) + 0.5
    z, turn = 1.0 - 2.0 * k / _PLACES, np.pi * (1.0 + 5.0**0.5) * k
    r = np.sqrt(1.0 - z * z)
    return np.column_stack((r * np.cos(turn), r * np.sin(turn), z))


def _three(way: Any) -> tuple[float, float, float]:
    return (float(way[0]), float(way[1]), float(way[2]))
