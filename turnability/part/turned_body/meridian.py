"""The turned body's meridian: the union of the solid's half sections over every angle.

Generatrices of turned faces, edges and folds of the others cut the half plane into cells; within
a cell either every circle round the axis meets the solid or none does, so one point of each cell
decides it. What is in is the turned body; its rim is the meridian, exact because every piece is
a piece of a face's own generatrix (or of an edge or fold). See `half_plane.arrangement`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.TopoDS import TopoDS_Edge, TopoDS_Shape

from turnability.half_plane.arrangement import Arrangement, arrange
from turnability.half_plane.curves import Curve, Line, Point, Spline, ring_area
from turnability.half_plane.intersect import box
from turnability.half_plane.pieces import Drawn, Origins
from turnability.part.kernel_faces import KernelFace, give_rims
from turnability.part.pockets import pockets_aside
from turnability.part.profile import Piece, merge_neighbours
from turnability.part.turned_body.cells import CellJudge
from turnability.part.turned_body.edge_images import edge_image
from turnability.part.turned_body.folds import fold_images, is_traced
from turnability.part.turned_body.generatrix import generatrix, possible_caps
from turnability.part.turned_body.sampling import on_points_of, one_image
from turnability.part.turned_body.smoothing import (
    calmed,
    crests,
    doubles_back,
    joined_splines,
    welded,
)
from turnability.part.turned_body.solid_side import UNKNOWN, solid_side, told_side
from turnability.part.turned_body.touches import lies_on_fold, touching_points

FINEST_MM = 1e-5
_LARGE_MM = 500.0
"""On parts larger than this rounding makes gaps that grow with them."""
STANDS_OUT_MM = 1e-3
"""A point of the solid this far outside the body, or five tolerances, is no rounding."""
SLIVER_MM = 1e-6
"""Loops thinner than this are rounding."""
COARSEST_MM = 0.1
"""Gaps between faces are bridged from the finest to the coarsest, never beyond."""
_AFTER_SLIT = 3
"""So many tolerances are tried in all where a sound rim runs out and back."""


@dataclass(frozen=True, slots=True)
class Image:
    """A curve of the half plane and the faces it comes from; folds are not `certain`.

    `solid`: on which side of the curve the solid lies.
    """

    curve: Curve
    faces: tuple[int, ...]
    certain: bool
    turned: bool
    solid: int = UNKNOWN


@dataclass(frozen=True, slots=True)
class Meridian:
    """Loops of the turned body in the axis frame, and how wide a gap had to be bridged.

    `touches`: places where the image of an edge touches that of a fold. `stands_out_mm`: how far
    the solid is seen to stand out of the body; 0 where it does not. `pockets`: what pockets hold
    (mm3) that lie within it anyhow, by the indices of their faces.
    """

    loops: tuple[tuple[Piece, ...], ...]
    turned_faces: frozenset[int]
    turned_curves: tuple[Curve, ...]
    touches: tuple[Point, ...]
    bridged_mm: float
    sound: bool
    stands_out_mm: float = 0.0
    pockets: Mapping[frozenset[int], float] = field(default_factory=dict)


def meridian(
    shape: TopoDS_Shape,
    faces: Sequence[KernelFace],
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
) -> Meridian:
    """The meridian of a solid that lies in its axis frame."""
    z_mm, r_mm = _bounds(shape)
    size = max(z_mm[1] - z_mm[0], 2.0 * r_mm)
    images: list[Image] = []
    turned: set[int] = set()
    for face in faces:
        curves = generatrix(face, size)
        if curves is not None:
            turned.add(face.index)
            images.extend(
                Image(curve, (face.index,), True, True, solid_side(face, curve)) for curve in curves
            )
            images.extend(
                Image(curve, (face.index,), False, held) for curve, held in possible_caps(face)
            )
    z_mm, r_mm = _holding(z_mm, r_mm, images)
    others = [face for face in faces if face.index not in turned]
    give_rims(face for face in others if not face.is_whole)
    by_index = {face.index: face for face in faces}
    pockets = pockets_aside(faces, edges, turned, size)
    silent = turned.union(*pockets)
    touches: list[Point] = []
    for edge, owners in edges:
        if silent.intersection(owners):
            continue
        if len(set(owners)) < 2:
            seamed = by_index[owners[0]]
            if is_traced(seamed) and lies_on_fold(edge, seamed):
                images.extend(Image(c, owners[:1], False, False) for c in edge_image(edge))
            continue
        if _smooth(owners, by_index):
            continue
        images.extend(Image(curve, owners, True, False) for curve in edge_image(edge))
        for owner in set(owners):
            touches.extend(touching_points(edge, by_index[owner]))
    for face in (face for face in others if face.index not in silent):
        images.extend(
            Image(curve, (face.index,), False, False) for curve in fold_images(face, z_mm, r_mm)
        )
    images.append(Image(Line((z_mm[0], 0.0), (z_mm[1], 0.0)), (), False, False))
    swept = frozenset(face.index for face in faces if not face.has_formula)
    unique = _sampled_alike(_once(images), swept)
    judge = CellJudge(shape, others)
    free_faces = frozenset(face.index for face in others if face.kind == "free")
    finest = max(1e-7, min(FINEST_MM * max(1.0, size / _LARGE_MM), size * 1e-7))
    best: Meridian | None = None
    clean, within = False, finest
    since = 0
    while within <= min(COARSEST_MM, size * 1e-2) and not clean and since < _AFTER_SLIT:
        found, whole = _attempt(
            unique, touches, judge, frozenset(turned), within, free_faces, finest
        )
        if found is not None and (best is None or (found.sound and (whole or not best.sound))):
            best, clean = found, found.sound and whole
        since += best is not None and best.sound
        within *= 10.0
    if best is None:
        return Meridian((), frozenset(turned), (), (), within, sound=False)
    return replace(best, pockets=pockets)


def _attempt(
    images: list[Image],
    touches: list[Point],
    judge: CellJudge,
    turned: frozenset[int],
    within_mm: float,
    free_faces: frozenset[int],
    finest_mm: float,
) -> tuple[Meridian | None, bool]:
    """The meridian at one tolerance, and whether its rim nowhere runs out and back."""
    drawn = ((image.curve, frozenset((i,))) for i, image in enumerate(images))
    plane = arrange(drawn, within_mm, touches)
    is_in = judge.decide(
        plane,
        within_mm,
        lambda o: not any(images[i].turned or not images[i].faces for i in o),
        [_side(images, curve, o, 20.0 * within_mm) for curve, o in plane.pieces],
    )
    sound = plane.planar and all(
        is_in[plane.cell_of_side[2 * i]] or is_in[plane.cell_of_side[2 * i + 1]]
        for i, (curve, origins) in enumerate(plane.pieces)
        if any(images[o].turned for o in origins) and curve.length() > 20.0 * within_mm
    )
    _fill(plane, images, is_in)
    loops = [
        loop
        for loop in plane.boundary(is_in)
        if abs(ring_area(tuple(curve for curve, _ in loop))) > SLIVER_MM * _perimeter(loop)
    ]
    if not loops:
        return None, False
    out = judge.stands_out_mm([tuple(curve for curve, _ in loop) for loop in loops])
    if out <= max(STANDS_OUT_MM, 5.0 * within_mm):
        out = 0.0
    same = min(1e-5, 2.0 * finest_mm)

    def free(i: int) -> bool:
        return bool(images[i].faces) and all(f in free_faces for f in images[i].faces)

    made = []
    for loop in loops:
        pieces = joined_splines(welded(loop, within_mm), [image.curve for image in images])
        calm = calmed(pieces, lambda o: any(images[i].turned for i in o))
        calm = crests(calm, lambda o: all(free(i) for i in o))
        named = [(curve, _faces(images, o)) for curve, o in calm]
        made.append(tuple(merge_neighbours(named, same)))
    found = Meridian(
        tuple(made),
        turned,
        tuple(image.curve for image in images if image.turned),
        tuple(touches),
        within_mm if within_mm > finest_mm else 0.0,
        sound and not out,
        out,
    )
    return found, not any(doubles_back(loop, within_mm) for loop in loops)


def _side(images: Sequence[Image], piece: Curve, origins: Origins, least_mm: float) -> int:
    """On which side of a piece the solid lies, where turned faces tell and it is long enough."""
    turned = [images[i] for i in origins if images[i].turned]
    if not turned or piece.length() <= least_mm or any(i.solid == UNKNOWN for i in turned):
        return UNKNOWN
    return told_side(piece, [(image.curve, image.solid) for image in turned])


def _perimeter(loop: Sequence[Drawn]) -> float:
    return math.fsum(curve.length() for curve, _ in loop)


def _fill(plane: Arrangement, images: list[Image], is_in: list[bool]) -> None:
    """Fill voids that only departures bound: a cross hole leaves a ball round the axis empty.

    Such a void is no cavity of the turned body: it is turned solid and drilled afterwards.
    """
    parent = list(range(len(plane.cells)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    rims: list[tuple[int, bool]] = []
    for i, (_, origins) in enumerate(plane.pieces):
        left, right = plane.cell_of_side[2 * i], plane.cell_of_side[2 * i + 1]
        if is_in[left] and is_in[right]:
            continue
        if is_in[left] or is_in[right]:
            turned = any(images[o].turned for o in origins)
            rims.append((right if is_in[left] else left, turned))
        elif all(images[o].faces for o in origins):  # the axis joins nothing
            parent[root(left)] = root(right)
    kept = {root(0)} | {root(cell) for cell, turned in rims if turned}
    for cell in range(len(plane.cells)):
        if not is_in[cell] and root(cell) not in kept:
            is_in[cell] = True


def _faces(images: list[Image], origins: frozenset[int]) -> tuple[int, ...]:
    certain = {f for o in origins if images[o].certain for f in images[o].faces}
    folds = {f for o in origins for f in images[o].faces}
    return tuple(sorted(certain or folds))


def _bounds(shape: TopoDS_Shape) -> tuple[tuple[float, float], float]:
    box = Bnd_Box()
    BRepBndLib.Add_s(shape, box, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    r = math.hypot(max(abs(x0), abs(x1)), max(abs(y0), abs(y1)))
    pad = 1e-3 * max(r, z1 - z0)
    return (z0 - pad, z1 + pad), r + pad


def _holding(
    z_mm: tuple[float, float], r_mm: float, images: Sequence[Image]
) -> tuple[tuple[float, float], float]:
    """Bounds widened to hold these images too: the kernel's leave poles of spline spheres out."""
    boxes = [box(image.curve) for image in images]
    z = [end for z0, _, z1, _ in boxes for end in (z0, z1)]
    return (min([z_mm[0], *z]), max([z_mm[1], *z])), max([r_mm, *(r1 for *_, r1 in boxes)])


def _smooth(owners: tuple[int, ...], by_index: dict[int, KernelFace]) -> bool:
    """An edge between two parts of one canonical surface is no edge of the shape."""
    a, b = by_index[owners[0]], by_index[owners[1]]
    if a.kind != b.kind or a.canonical is None or b.canonical is None:
        return False
    if a.kind == "cylinder":
        p, q = a.canonical, b.canonical
        return bool(
            abs(p.Radius() - q.Radius()) <= 1e-7 and p.Axis().IsCoaxial(q.Axis(), 1e-9, 1e-7)
        )
    return False


def _once(images: list[Image]) -> list[Image]:
    """Equal curves become one: a bolt circle's holes all look alike in the half plane."""
    known: dict[tuple[object, ...], Image] = {}
    for image in images:
        curve = image.curve
        middle = curve.at(0.5)
        ends = sorted([curve.start, curve.end])
        # the axis stays itself: a fold on it would join what lies on both its sides
        key = (bool(image.faces), type(curve), *(round(x, 7) for p in (*ends, middle) for x in p))
        old = known.get(key)
        if old is None:
            known[key] = image
        else:
            faces = tuple(sorted({*old.faces, *image.faces}))
            if old.certain == image.certain:
                turned = old.turned or image.turned
                known[key] = Image(old.curve, faces, old.certain, turned, _common(old, image))
            else:
                known[key] = old if old.certain else image
    return _sampled_once(list(known.values()))


def _common(old: Image, image: Image) -> int:
    """The side of the old one's curve on which all that turn have the solid."""
    if not (old.turned and image.turned):
        return old.solid if old.turned else UNKNOWN
    told = [(one.curve, one.solid) for one in (old, image)]
    return UNKNOWN if UNKNOWN in (old.solid, image.solid) else told_side(old.curve, told)


def _sampled_once(images: list[Image]) -> list[Image]:
    """Splines that are one curve sampled twice become one."""
    kept: list[Image] = []
    for image in images:
        curve = image.curve
        for k, other in enumerate(kept):
            if (
                isinstance(curve, Spline)
                and isinstance(other.curve, Spline)
                and (image.certain, image.turned) == (other.certain, other.turned)
                and one_image(curve, other.curve)
            ):
                faces = tuple(sorted({*other.faces, *image.faces}))
                kept[k] = Image(
                    other.curve, faces, other.certain, other.turned, _common(other, image)
                )
                break
        else:
            kept.append(image)
    return kept


def _sampled_alike(images: list[Image], free: frozenset[int]) -> list[Image]:
    """Curves of turned free-form faces that are parts of longer ones run through their points."""
    known: list[Spline] = []
    found = list(images)
    turned = [k for k, image in enumerate(images) if image.turned and free.issuperset(image.faces)]
    for k in sorted(turned, key=lambda k: -images[k].curve.length()):
        curve = found[k].curve
        alike = (on_points_of(curve, other) for other in known)
        again = next((c for c in alike if c is not None), None)
        if again is not None:
            found[k] = replace(found[k], curve=again)
        elif isinstance(curve, Spline):
            known.append(curve)
    return found
