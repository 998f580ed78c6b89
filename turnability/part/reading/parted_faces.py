"""Spherical faces that the CAD kernel parted into several, joined again.

Where a sphere is stored as a turned arc or as a B-spline and its face has several rims, the kernel
at times takes each rim for that of a face of its own, the other side of it, and turns neighbours
to suit. Such faces have no entity any more. Their rims are the neighbours' edges, and the side that
the face is, and which way the neighbours look, is what the file says (see `round_faces`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from turnability.part.reading.round_sides import Side
from turnability.part.reading.spheres import Ball, ball_of
from turnability.part.reading.step_text import StepText
from turnability.part.reading.topology import faces_of
from turnability.part.reading.turned_circles import TurnedCircles

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Solid


class Joined(NamedTuple):
    """A solid, its faces in the order of the face map, their entities, and what was done.

    `anew`: entities of faces that were made anew, on surfaces of other senses than the file's.
    """

    solid: TopoDS_Solid
    faces: list[Any]
    step_ids: tuple[int | None, ...]
    anew: frozenset[int] = frozenset()
    remarks: tuple[str, ...] = ()


def joined_again(
    solid: TopoDS_Solid,
    faces: Sequence[Any],
    step_ids: Sequence[int | None],
    text: StepText,
    brep: int | None,
) -> Joined:
    """The solid with such faces made anew; as it was where there are none, or it will not close.

    `faces` in the order of the face map, `step_ids` their entities; `brep`: the solid's own.
    """
    from OCP.TopoDS import TopoDS

    as_it_was = Joined(solid, list(faces), tuple(step_ids))
    if None not in step_ids:
        return as_it_was
    of_solid = [face for face in text.faces if brep in text.breps_of_face.get(face, ())]
    missed = [face for face in of_solid if face not in step_ids]
    own = [TopoDS.Face_s(face) for face in faces]
    groups = _groups(own, step_ids)
    if not missed or groups is None or len(groups) != len(missed):
        return as_it_was
    sides = _Sides(own, step_ids, text)
    drawn = {face: _edge_curves(text, face) for face in of_solid}
    new: dict[int, TopoDS_Face | None] = {}
    ids = list(step_ids)
    for members in groups:
        rim, around = sides.rim_of(members)
        beside = {ids[i] for i in around}
        named = [n for n in missed if _beside(drawn, n) - set(missed) == beside]
        made = sides.made(members, named[0], rim) if len(named) == 1 else None
        if made is None:
            return as_it_was
        new.update(dict.fromkeys(members))
        new[members[0]], ids[members[0]] = made, named[0]
        new.update({i: sides.other_way(i) for i in around if sides.is_astray(i)})
    kept = [i for i in range(len(faces)) if new.get(i, faces[i]) is not None]
    whole = _solid(solid, own, new)
    made_of = [TopoDS.Face_s(face) for face in faces_of(whole)]
    if not is_closed(made_of):
        return as_it_was
    which = "1 spherical face was" if len(groups) == 1 else f"{len(groups)} spherical faces were"
    remark = f"{which} read as several; made anew by the rims and the sides that the file says"
    return Joined(whole, made_of, tuple(ids[i] for i in kept), frozenset(missed), (remark,))


def _groups(faces: Sequence[TopoDS_Face], step_ids: Sequence[int | None]) -> list[list[int]] | None:
    """Places of faces without an entity, by their spheres; None where one lies on none."""
    groups: list[tuple[Ball, list[int]]] = []
    for i, number in enumerate(step_ids):
        if number is not None:
            continue
        ball = ball_of(faces[i])
        if ball is None:
            return None
        for other, members in groups:
            if ball.is_like(other):
                members.append(i)
                break
        else:
            groups.append((ball, [i]))
    return [members for _, members in groups]


class _Sides:
    """The faces of a solid, the edges that they share, and which look as the file says."""

    def __init__(
        self, faces: Sequence[TopoDS_Face], step_ids: Sequence[int | None], text: StepText
    ) -> None:
        from OCP.TopAbs import TopAbs_FORWARD

        self._faces, self._ids, self._text = faces, step_ids, text
        self._circles = TurnedCircles(text)
        self._forward = [bool(face.Orientation() == TopAbs_FORWARD) for face in faces]
        same = [self._sense(n) == f for n, f in zip(step_ids, self._forward, strict=True) if n]
        self._most = 2 * sum(same) >= len(same)
        self._uses = list(_uses(faces))

    def _sense(self, number: int) -> bool:
        return self._text.parameters(number).rstrip(" )\n\r\t").endswith(".T.")

    def is_astray(self, i: int) -> bool:
        """Whether a face that has an entity looks the other way than the file says."""
        number = self._ids[i]
        return number is not None and self._looks_astray(i, number)

    def _looks_astray(self, i: int, number: int) -> bool:
        return bool((self._sense(number) == self._forward[i]) != self._most)

    def other_way(self, i: int) -> TopoDS_Face:
        from OCP.TopoDS import TopoDS

        return TopoDS.Face_s(self._faces[i].Reversed())

    def rim_of(self, members: Sequence[int]) -> tuple[list[TopoDS_Edge], set[int]]:
        """Edges that faces share with others, to run along for them, and those others' places."""
        from OCP.TopoDS import TopoDS

        rim, around = [], set()
        for uses in self._uses:
            others = [(i, edge) for i, edge in uses if i not in members]
            if len(others) == 1 and len(uses) == 2:
                ((other, edge),) = others
                around.add(other)
                rim.append(edge if self.is_astray(other) else TopoDS.Edge_s(edge.Reversed()))
        return rim, around

    def made(
        self, members: Sequence[int], number: int, rim: Sequence[TopoDS_Edge]
    ) -> TopoDS_Face | None:
        """The one face that some are parts of, by its entity and rim; None where none fits."""
        first = self._faces[members[0]]
        ball = ball_of(first)
        if ball is None:
            return None
        astray = self._looks_astray(members[0], number)
        outward = self._circles.outward(number)
        return Side(first, ball, turned=astray, counted=outward, rim=rim).face()


def _uses(faces: Sequence[TopoDS_Face]) -> Iterator[list[tuple[int, TopoDS_Edge]]]:
    """For each edge the places of the faces that it bounds, and as it runs along each."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    order = TopTools_IndexedMapOfShape()
    uses: list[list[tuple[int, TopoDS_Edge]]] = []
    for i, face in enumerate(faces):
        explorer = TopExp_Explorer(face, TopAbs_EDGE)
        while explorer.More():
            edge = TopoDS.Edge_s(explorer.Current())
            explorer.Next()
            if BRep_Tool.Degenerated_s(edge):
                continue
            place = order.Add(edge)
            if place > len(uses):
                uses.append([])
            uses[place - 1].append((i, edge))
    yield from uses


def _edge_curves(text: StepText, face: int) -> set[int]:
    """The edges that bound a face of the file."""
    level = [face]
    for _ in range(4):  # bound, loop, oriented edge, edge
        level = [child for one in level for child in text.references(one)]
    return {one for one in level if text.instances[one].keyword == "EDGE_CURVE"}


def _beside(drawn: Mapping[int, set[int]], face: int) -> set[int]:
    return {other for other, edges in drawn.items() if other != face and edges & drawn[face]}


def _solid(
    solid: TopoDS_Solid, faces: Sequence[TopoDS_Face], new: Mapping[int, TopoDS_Face | None]
) -> TopoDS_Solid:
    """A solid with other faces in the places of some, or none, in its own order."""
    from OCP.BRep import BRep_Builder
    from OCP.TopAbs import TopAbs_FACE, TopAbs_SHELL
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

    build, made = BRep_Builder(), TopoDS_Solid()
    build.MakeSolid(made)
    place = 0
    shells = TopExp_Explorer(solid, TopAbs_SHELL)
    while shells.More():
        shell = TopoDS_Shell()
        build.MakeShell(shell)
        own = TopExp_Explorer(shells.Current(), TopAbs_FACE)
        while own.More():
            face = new.get(place, faces[place])
            if face is not None:
                build.Add(shell, face)
            place += 1
            own.Next()
        shell.Closed(True)
        build.Add(made, shell)
        shells.Next()
    return made


def is_closed(faces: Sequence[TopoDS_Face]) -> bool:
    """Whether each edge is run along twice, to and fro."""
    return all(
        len(uses) == 2 and uses[0][1].Orientation() != uses[1][1].Orientation()
        for uses in _uses(faces)
    )
