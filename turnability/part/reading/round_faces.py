"""Spherical faces that the CAD kernel took for the other side of their rim.

A rim parts a sphere in two, and a face is the side that lies to the left of its rim as seen from
where the face looks. Where a rim runs through the sphere's own poles or seam, the kernel at times
shifts it by a turn and takes the other side; then that face looks the other way than its file
says, set against all others of the solid, or holds what lies to the right of its rim. It is made
anew on a sphere whose poles and seam lie clear of the rim, and doubted where none does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from turnability.part.reading.round_sides import Side, ball_of
from turnability.part.reading.step_text import StepText
from turnability.part.reading.turned_circles import TurnedCircles

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Face, TopoDS_Solid

_NO_SIDE = "has a rim that runs round no side of its sphere, and may be read as the wrong one"
_DOUBT = "read as the other side of the rim than the file says, and could not be made anew"


def with_sides(
    solid: TopoDS_Solid,
    faces: Sequence[Any],
    step_ids: Sequence[int | None],
    text: StepText,
    anew: frozenset[int] = frozenset(),
) -> tuple[TopoDS_Solid, tuple[str, ...], tuple[str, ...]]:
    """The solid with such faces made anew, a remark where there were some, and doubts.

    `faces` in the order of the face map, `step_ids` their entities. The order stays; those `anew`
    are as they should be. A face of
    another kind that looks the other way than its file says, and one that cannot be made anew,
    are doubted by entity.
    """
    from OCP.BRepTools import BRepTools_ReShape
    from OCP.TopoDS import TopoDS

    change, count, doubts = BRepTools_ReShape(), 0, []
    circles = TurnedCircles(text)
    for face, number, astray in _as_the_file_says(solid, faces, step_ids, text):
        if number in anew:
            continue
        ball = ball_of(face)
        if ball is None:
            if astray:
                doubts.append(f"face #{number} looks the other way than the file says")
            continue
        side = Side(face, ball, turned=astray, counted=circles.outward(number))
        held = side.is_held_by(face)
        if held is None:
            doubts.append(f"spherical face #{number} {_NO_SIDE}")
            continue
        right = side.looks_right and not side.strays
        if held and (right or not side.edges):
            continue
        made = side.face()
        if made is None:
            doubts.append(f"spherical face #{number} was {_DOUBT}")
            continue
        change.Replace(face, made)
        count += 1
    if not count:
        return solid, (), tuple(doubts)
    righted = TopoDS.Solid_s(change.Apply(solid))
    which = "1 spherical face was" if count == 1 else f"{count} spherical faces were"
    remark = f"{which} read as the other side of the rim; made anew by what the file says"
    return righted, (f"{remark} of the side",), tuple(doubts)


def _as_the_file_says(
    solid: TopoDS_Solid, faces: Sequence[Any], step_ids: Sequence[int | None], text: StepText
) -> Iterator[tuple[TopoDS_Face, int, bool]]:
    """Each face, its entity, and whether it looks the other way than its file says.

    Set against most faces of its shell, for a mirrored or inside-out one is so altogether, and a
    cavity's.
    """
    from OCP.TopAbs import TopAbs_FACE, TopAbs_FORWARD, TopAbs_SHELL
    from OCP.TopExp import TopExp, TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    if None in step_ids:
        return
    counted, shells = TopTools_IndexedMapOfShape(), TopExp_Explorer(solid, TopAbs_SHELL)
    while shells.More():
        begin = counted.Extent()
        TopExp.MapShapes_s(shells.Current(), TopAbs_FACE, counted)
        shells.Next()
        known: list[tuple[TopoDS_Face, int, bool]] = []
        for i in range(begin, counted.Extent()):
            face, number = TopoDS.Face_s(faces[i]), step_ids[i]
            assert number is not None
            sense = text.parameters(number).rstrip(" )\n\r\t").endswith(".T.")
            known.append((face, number, sense == (face.Orientation() == TopAbs_FORWARD)))
        most = 2 * sum(same for _, _, same in known) >= len(known)
        for face, number, same in known:
            yield face, number, same != most
