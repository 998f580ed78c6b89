"""A solid's faces after it was moved, and its edges with the faces that they bound."""

from __future__ import annotations

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.gp import gp_Trsf
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from turnability.part.kernel_faces import Inner, KernelFace, Lattice
from turnability.part.surface_points import moved_patch


def moved_faces(moved: TopoDS_Shape, faces: list[KernelFace], move: gp_Trsf) -> list[KernelFace]:
    """The same faces of the solid after a rigid move; areas and recovered surfaces are kept."""
    order = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(moved, TopAbs_FACE, order)
    turn = np.array([[move.Value(i, k) for k in (1, 2, 3)] for i in (1, 2, 3)])
    shift = np.array([move.Value(i, 4) for i in (1, 2, 3)])
    made = []
    for old in faces:
        face = TopoDS.Face_s(order.FindKey(old.index))
        surface = BRepAdaptor_Surface(face, not old.has_formula)
        if old.canonical is None:
            canonical = None
        elif old.recovered_gap_mm is not None:
            canonical = old.canonical.Transformed(move)
        else:
            canonical = getattr(surface, old.kind.capitalize())()
        new = KernelFace(
            old.index,
            face,
            surface,
            old.kind,
            canonical,
            old.recovered_gap_mm,
            old.bounds,
            old.area_mm2,
            None if old.about is None else turn @ old.about + shift,
            old.cone_mm3,
            old.rim,
        )
        if not old.has_formula and old.patch is not None:
            new._patch, new._patch_known = moved_patch(old.patch, turn, shift), True
        new._whole = old._whole
        new._chords, new._chords_asked = old._chords, old._chords_asked
        if old._even is not None:
            e = old._even
            new._even = Lattice(
                e.u, e.v, e.points @ turn.T + shift, e.along_u @ turn.T, e.along_v @ turn.T
            )
        if old._inner is not None:
            i = old._inner
            p, su, sv = i.points @ turn.T + shift, i.along_u @ turn.T, i.along_v @ turn.T
            new._inner = Inner(i.uv, p, su, sv)
        new._inner_held = old._inner_held
        made.append(new)
    return made


def edges_with_faces(
    shape: TopoDS_Shape, faces: list[KernelFace]
) -> list[tuple[TopoDS_Edge, tuple[int, ...]]]:
    """Every edge with the indices of the faces that it bounds (a seam names its face twice)."""
    order = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_EDGE, order)
    owners: list[list[int]] = [[] for _ in range(order.Extent())]
    for face in faces:
        for edge in face.edges():
            owners[order.FindIndex(edge) - 1].append(face.index)
    edges = (TopoDS.Edge_s(order.FindKey(i)) for i in range(1, order.Extent() + 1))
    return [
        (edge, tuple(own))
        for edge, own in zip(edges, owners, strict=True)
        if not BRep_Tool.Degenerated_s(edge)
    ]
