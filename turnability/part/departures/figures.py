"""Letters and marks: small figures let into a face of the part, or standing out of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.TopoDS import TopoDS_Face, TopoDS_Iterator

from turnability.half_plane.rings import ring_measure
from turnability.part.departures.cut import Cut, same
from turnability.part.departures.rings import alike
from turnability.part.departures.vectors import SAME_DIRECTION, SAME_MM, Z, dot, square, square_to
from turnability.part.departures.walls import Wall, walls_of
from turnability.part.surface_points import Array
from turnability.part.winding import edge_points

_DEEPEST_MM = 1.0
_DEEPEST_SHARE = 0.2
"""Depth over the figure's size; deeper ones are pockets and pads."""
_MANY_SIDES = 7
_CONVEX = 0.9
"""Share of its hull that a pocket's or pad's floor fills; letters have arms, bays or islands."""
_WORD_GAP = 1.0
"""Figures of one text stand nearer to each other than their own size."""
_ALONG_EDGE = 9


@dataclass(frozen=True, eq=False)
class Figure:
    """One closed figure that stands round on `ground`, `depth_mm` into it or out of it.

    `level`: its floor, or its top where it is raised, alone. `walls`: the cut's, which it may share
    with figures beside it whose floors lie in one plane.
    """

    ground: Wall
    walls: tuple[Wall, ...]
    level: tuple[Wall, ...]
    depth_mm: float

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Least and greatest x, y, z of its level."""
        ends = np.array([_box_of(wall) for wall in self.level])
        return ends[:, 0].min(axis=0), ends[:, 1].max(axis=0)

    @property
    def size_mm(self) -> float:
        """Diagonal of its box."""
        return math.dist(*self.box)

    @property
    def is_shallow(self) -> bool:
        """Whether it is no deeper than what is engraved."""
        return self.depth_mm <= min(_DEEPEST_MM, _DEEPEST_SHARE * self.size_mm)

    @property
    def is_letter(self) -> bool:
        """Whether it has many sides, and arms, bays or islands between them."""
        edges = sum(len(face.edges()) for wall in self.level for face in wall.faces)
        if edges < _MANY_SIDES:
            return False
        area = math.fsum(wall.area_mm2 for wall in self.level)
        return area < _CONVEX * hull_mm2(self.level, self.ground)

    @property
    def heading(self) -> str:
        """From where it is cut: "axial", "radial" or "other"."""
        if self.ground.kind != "plane":
            return "radial"
        if self.ground.coaxial:
            return "axial"
        return "radial" if square(self.ground.direction, Z) else "other"


def let_in(cuts: Sequence[Cut]) -> list[Figure]:
    """Shallow figures of one floor level, let into the turned body or into another wall."""
    found = [(cut, cut.walls, None) for cut in cuts]
    pieces = [*found, *_islands(cuts)]
    return [figure for piece in pieces if (figure := _figure(*piece, raised=False)) is not None]


def standing_out(cuts: Sequence[Cut]) -> list[Figure]:
    """Shallow figures that stand out of another wall."""
    pieces = _islands(cuts)
    return [figure for piece in pieces if (figure := _figure(*piece, raised=True)) is not None]


def texts(figures: Sequence[Figure]) -> list[list[Figure]]:
    """Figures of one depth in one ground that stand beside each other, letters among them."""
    lots = alike(
        figures,
        lambda one: (one.depth_mm, *_level(one.ground)),
        lambda one: (one.ground.kind, one.ground.hollow),
    )
    return [
        text for lot in lots for text in _beside(lot) if any(figure.is_letter for figure in text)
    ]


def _islands(cuts: Sequence[Cut]) -> Iterable[tuple[Cut, tuple[Wall, ...], Wall]]:
    """What hangs together in a cut when one wall with islands in it is taken for ground.

    The cut, the walls of the faces that hang together, by themselves, and the ground.
    """
    for cut in cuts:
        grounds = [wall for wall in cut.walls if _has_islands(wall)] if len(cut.walls) > 2 else []
        for ground in grounds:
            faces = {f.index: f for wall in cut.walls if wall is not ground for f in wall.faces}
            while faces:
                todo = [next(iter(faces))]
                piece = [faces.pop(todo[0])]
                while todo:
                    for i in sorted(cut.neighbours.get(todo.pop(), frozenset()) & faces.keys()):
                        piece.append(faces.pop(i))
                        todo.append(i)
                yield cut, walls_of(piece), ground


def _has_islands(wall: Wall) -> bool:
    return wall.kind in ("plane", "cylinder") and any(_rims(face.face) > 1 for face in wall.faces)


def _rims(face: TopoDS_Face) -> int:
    count, at = 0, TopoDS_Iterator(face)
    while at.More():
        count += 1
        at.Next()
    return count


def _figure(cut: Cut, walls: Sequence[Wall], ground: Wall | None, *, raised: bool) -> Figure | None:
    """Walls as one figure in a ground, which without one of their own is the turned body."""
    standing: list[Wall] = []
    level: list[Wall] = []
    grounds = [] if ground is None else [ground]
    for wall in walls:
        beside = {k for i in wall.indices for k in cut.neighbours.get(i, frozenset())}
        if ground is None:
            rims = [cut.on_body[i] for i in sorted(beside & cut.on_body.keys())]
            grounds.extend(rims)
            stands = bool(rims)
        else:
            stands = not beside.isdisjoint(ground.indices)
        (standing if stands else level).append(wall)
    if not standing or not level or not all(_one(grounds[0], other) for other in grounds[1:]):
        return None
    depth = _depth(grounds[0], level)
    if depth is None or (depth < 0.0) != raised or abs(depth) <= SAME_MM:
        return None
    indices = {i for wall in walls for i in wall.indices}
    own = tuple(wall for wall in cut.walls if not wall.indices.isdisjoint(indices))
    figure = Figure(grounds[0], own, tuple(level), abs(depth))
    return figure if figure.is_shallow else None


def _one(a: Wall, b: Wall) -> bool:
    """Whether two grounds are one surface that carries letters."""
    if a.kind != b.kind or a.hollow != b.hollow:
        return False
    return all(same(x, y) for x, y in zip(_level(a), _level(b), strict=True))


def _level(ground: Wall) -> tuple[float, ...]:
    if ground.kind == "plane":
        return (ground.offset_mm, *ground.direction)
    return (ground.radius_mm, ground.half_angle, *ground.point[: 3 if ground.kind == "cone" else 2])


def _depth(ground: Wall, level: Sequence[Wall]) -> float | None:
    """How deep walls lie under their ground, all alike; negative above it."""
    depths = [_depth_of(ground, wall) for wall in level]
    first = depths[0]
    if first is None or not all(depth is not None and same(depth, first) for depth in depths):
        return None
    return first


def _depth_of(ground: Wall, wall: Wall) -> float | None:
    if ground.kind == "plane":
        along = wall.kind == "plane" and dot(wall.direction, ground.direction) > 0.0
        level = along and wall.is_along(ground.direction)
        return ground.offset_mm - wall.offset_mm if level else None
    if not ground.coaxial:
        return None
    out = -1.0 if ground.hollow else 1.0
    if ground.kind == "cylinder" and wall.kind == "plane" and square(wall.direction, Z):
        return out * ground.radius_mm - wall.offset_mm if out * wall.offset_mm > 0.0 else None
    if wall.kind != ground.kind or not wall.coaxial or wall.hollow != ground.hollow:
        return None
    if ground.kind == "cylinder":
        return out * (ground.radius_mm - wall.radius_mm)
    if ground.kind == "cone" and abs(wall.half_angle - ground.half_angle) <= SAME_DIRECTION:
        apart = abs(wall.point[2] - ground.point[2]) * math.sin(ground.half_angle)
        narrower = (wall.r_mm[0] + wall.r_mm[1]) / 2.0 < _radius_at(ground, wall)
        return out * (apart if narrower else -apart)
    return None


def _radius_at(cone: Wall, beside: Wall) -> float:
    """A cone's radius half-way up another wall."""
    middle = (beside.z_mm[0] + beside.z_mm[1]) / 2.0
    return abs(middle - cone.point[2]) * math.tan(cone.half_angle)


def hull_mm2(level: Sequence[Wall], ground: Wall) -> float:
    """Area of the convex hull of walls, laid flat along the ground."""
    points = np.concatenate([_rim_points(wall) for wall in level])
    if ground.kind == "plane":
        flat = points @ np.array(square_to(ground.direction)).T
    else:
        turns = np.arctan2(points[:, 1], points[:, 0])
        middle = math.atan2(float(np.sin(turns).sum()), float(np.cos(turns).sum()))
        around = (turns - middle + math.pi) % math.tau - math.pi
        r = np.hypot(points[:, 0], points[:, 1]).mean()
        steep = math.cos(ground.half_angle)
        flat = np.column_stack((r * around, points[:, 2] / steep))
    corners = sorted((float(x), float(y)) for x, y in flat)
    ring = [*_below(corners), *_below(corners[::-1])]
    return ring_measure(np.array(ring))


def _below(corners: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The convex run of corners below all others, from the first to before the last."""
    run: list[tuple[float, float]] = []
    for x, y in corners:
        while len(run) > 1:
            (ax, ay), (bx, by) = run[-2:]
            if (bx - ax) * (y - by) > (by - ay) * (x - bx):
                break
            run.pop()
        run.append((x, y))
    return run[:-1]


def _rim_points(wall: Wall) -> Array:
    return np.concatenate(
        [
            edge_points(edge, _ALONG_EDGE)
            for face in wall.faces
            for edge in face.edges()
            if not BRep_Tool.Degenerated_s(edge)
        ]
    )


def _box_of(wall: Wall) -> tuple[Array, Array]:
    points = _rim_points(wall)
    return points.min(axis=0), points.max(axis=0)


def _beside(figures: Sequence[Figure]) -> list[list[Figure]]:
    """Figures parted where they stand farther from each other than the largest of them is long."""
    reach = _WORD_GAP * max(figure.size_mm for figure in figures)
    lots: list[list[Figure]] = []
    for figure in figures:
        near = [lot for lot in lots if any(_apart(figure, other) <= reach for other in lot)]
        lots = [lot for lot in lots if lot not in near]
        lots.append([figure, *(one for lot in near for one in lot)])
    return lots


def _apart(a: Figure, b: Figure) -> float:
    (low, high), (other_low, other_high) = a.box, b.box
    return float(np.linalg.norm(np.maximum(0.0, np.maximum(other_low - high, low - other_high))))
