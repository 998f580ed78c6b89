"""All faces of a solid: what each is, its area, and the volume that they close.

B-splines and swept surfaces that are really planes, cylinders, cones, spheres or tori are
recognised within `RECOVER_MM`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.part.kernel_faces import KernelFace, give_rims
from turnability.part.moments import are_quick, moments_of
from turnability.part.recovered import recover
from turnability.part.surface_points import Array
from turnability.part.whole_faces import whole_moments

RECOVER_MM = 1e-4
"""A free-form surface this close to a canonical one is taken as that one."""
_AREA_EPS = 1e-4
"""What comes out is nearer: 2e-8 on modelled threads."""

_KINDS = {
    GeomAbs_SurfaceType.GeomAbs_Plane: "plane",
    GeomAbs_SurfaceType.GeomAbs_Cylinder: "cylinder",
    GeomAbs_SurfaceType.GeomAbs_Cone: "cone",
    GeomAbs_SurfaceType.GeomAbs_Sphere: "sphere",
    GeomAbs_SurfaceType.GeomAbs_Torus: "torus",
    GeomAbs_SurfaceType.GeomAbs_SurfaceOfRevolution: "revolution",
}


def kernel_faces(shape: TopoDS_Shape) -> list[KernelFace]:
    """All faces in the order of the face map (1-based index)."""
    order = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, order)
    faces = [_kernel_face(i, TopoDS.Face_s(order.FindKey(i))) for i in range(1, order.Extent() + 1)]
    if faces:
        about = np.mean([_somewhere(face) for face in faces], axis=0)
        for face in faces:
            face.about = about
        whole = [face for face in faces if face.has_formula and face.is_whole]
        for face, known in zip(whole, whole_moments(whole, about), strict=True):
            face.area_mm2, face.cone_mm3 = known
        told = [f for f in faces if f.cone_mm3 is None and (f.has_formula or f.kind == "free")]
        for face, found in zip(told, _moments(told, faces), strict=True):
            if found is not None:
                face.area_mm2, face.cone_mm3 = found
        for face in faces:
            if face.cone_mm3 is None:
                face.area_mm2 = _area_by_kernel(face)
    return faces


def give_cones(faces: Sequence[KernelFace], *, however_dear: bool = False) -> None:
    """Give all faces of a solid the volumes of their cones, where those can be had soon."""
    bare = [face for face in faces if face.cone_mm3 is None]
    quick = however_dear or are_quick(bare)
    if any(face.kind == "free" for face in bare) or not quick:
        return  # the kernel must be asked for the whole
    for face, found in zip(bare, _moments(bare, faces, however_dear), strict=True):
        face.cone_mm3 = None if found is None else found[1]


def _moments(
    some: Sequence[KernelFace], faces: Sequence[KernelFace], however_dear: bool = False
) -> list[tuple[float, float] | None]:
    """Areas and cones of some faces of a solid."""
    about = some[0].about if some else None
    if about is None:
        return []
    give_rims(some)
    reach = max(float(np.linalg.norm(_somewhere(face) - about)) for face in faces)
    total = math.fsum(face.area_mm2 for face in faces)
    reach += math.sqrt(total)
    return moments_of(some, about, reach, total, however_dear=however_dear)


def _somewhere(face: KernelFace) -> Array:
    u0, u1, v0, v1 = face.bounds
    p = face.surface.Value((u0 + u1) / 2.0, (v0 + v1) / 2.0)
    return np.array([p.X(), p.Y(), p.Z()])


def _area_by_kernel(face: KernelFace) -> float:
    props = GProp_GProps()
    if face.kind == "free":  # the plain quadrature goes by the knots and is dear on these
        BRepGProp.SurfaceProperties_s(face.face, props, _AREA_EPS, False)
    else:
        BRepGProp.SurfaceProperties_s(face.face, props)
    return abs(float(props.Mass()))


def _kernel_face(index: int, face: TopoDS_Face) -> KernelFace:
    # what has a formula is not asked to keep within its bounds, which are dear to know twice
    surface = BRepAdaptor_Surface(face, False)
    bounds = BRepTools.UVBounds_s(face)
    kind = _KINDS.get(surface.GetType(), "free")
    canonical = None
    if kind in ("revolution", "free"):
        surface = BRepAdaptor_Surface(face, True)
    else:
        canonical = getattr(surface, kind.capitalize())()
    made = KernelFace(index, face, surface, kind, canonical, None, bounds)
    if canonical is None:
        found = recover(made.few, made.points, bounds, RECOVER_MM)
        if found is not None:
            made.kind, made.canonical = found.kind, found.surface
            made.recovered_gap_mm = found.gap_mm
    return made
