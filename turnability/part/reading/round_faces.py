"""Spherical faces that the CAD kernel took for the other side of their rim.

A rim parts a sphere in two, and a face is the side that lies to the left of its rim as seen from
where the face looks. Where a rim runs through the sphere's own poles or seam, the kernel at times
shifts it by a turn and takes the other side; then that face looks the other way than its file
says, set against all others of the solid, or holds what lies to the right of its rim. It is made
anew on a sphere whose poles and seam lie clear of the rim, and doubted where none does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from turnability.part.reading.round_sides import Side
from turnability.part.reading.spheres import Ball, ball_of
from turnability.part.reading.step_text import StepText
from turnability.part.reading.topology import faces_of, is_closed
from turnability.part.reading.turned_circles import TurnedCircles

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Face, TopoDS_Solid

_COVERED = 1.1
"""Of a ball; shares are told within some percent."""
_NO_SIDE = "has a rim that runs round no side of its sphere, and may be read as the wrong one"
_DOUBT = "read as the other side of the rim than the file says, and could not be made anew"


def with_sides(
    solid: TopoDS_Solid,
    faces: Sequence[Any],
    step_ids: Sequence[int | None],
    text: StepText,
    senses: Mapping[int, bool],
) -> tuple[TopoDS_Solid, tuple[str, ...], tuple[str, ...]]:
    """The solid with such faces made anew, a remark where there were some, and doubts.

    `faces` in the order of the face map, `step_ids` their entities. The order stays. `senses`:
    of faces that the kernel was told otherwise than the file has them, whether they look as the
    surfaces do that it was told. A face of another kind that looks the other way than its file
    says, and one that cannot be made anew, are doubted by entity.
    """
    from OCP.BRepTools import BRepTools_ReShape
    from OCP.TopoDS import TopoDS

    change, count, changed = BRepTools_ReShape(), 0, False
    doubts: list[str] = []
    over: list[int] = []
    circles = TurnedCircles(text)
    told = list(_as_the_file_says(solid, faces, step_ids, text, circles, senses))
    sides = {t.number: _side(t) for t in told}
    # Of a cavity of such faces alone the kernel at times turns all rims round.
    shells = {t.shell for t in told if t.alone and _is_outside(sides[t.number], circles, t.number)}
    shells |= _doubly_covered(told, sides)
    for face, number, astray, _, shell, _ in told:
        side = sides[number]
        if side is None:
            if astray:
                doubts.append(f"face #{number} looks the other way than the file says")
            continue
        if shell in shells:
            side = side.with_the_rim_turned()
            over.append(number)
        held = side.is_held_by(face)
        if held is None:
            doubts.append(f"spherical face #{number} {_NO_SIDE}")
            continue
        # of what it was told anew the kernel draws the traces astray, and bridges them at ends
        right = side.looks_right and not (number in senses or side.strays or side.laps)
        if held and (right or not side.edges):
            continue
        made = side.face()
        if made is None:
            doubts.append(f"spherical face #{number} was {_DOUBT}")
            continue
        change.Replace(face, made)
        count += number not in senses
        changed = True
    if not changed:
        return solid, (), tuple(doubts)
    righted = TopoDS.Solid_s(change.Apply(solid))
    if over and not is_closed([TopoDS.Face_s(face) for face in faces_of(righted)]):
        doubts += [f"spherical face #{number} {_NO_SIDE}" for number in over]
        return solid, (), tuple(doubts)
    which = "1 spherical face was" if count == 1 else f"{count} spherical faces were"
    remark = f"{which} read as the other side of the rim; made anew by what the file says"
    return righted, (f"{remark} of the side",) if count else (), tuple(doubts)


class _Told(NamedTuple):
    """A face, its entity, whether it looks astray, how it counts, its shell, and of what that is.

    `counted`: what `TurnedCircles` tells, None where that does not matter. `alone`: its shell has
    nothing but such faces.
    """

    face: TopoDS_Face
    number: int
    astray: bool
    counted: bool | None
    shell: int
    alone: bool


def _side(told: _Told) -> Side | None:
    ball = ball_of(told.face)
    return None if ball is None else Side(told.face, ball, turned=told.astray, counted=told.counted)


def _is_outside(side: Side | None, circles: TurnedCircles, number: int) -> bool:
    """Whether what the file says is within a face lies beyond its rim."""
    if side is None:
        return False
    inner = circles.within(number, side.ball.centre, side.ball.radius)
    held = side.rim.holds(inner) if len(inner) else None
    return held is not None and not held.any()


def _doubly_covered(told: Sequence[_Told], sides: Mapping[int, Side | None]) -> set[int]:
    """The shells of such faces alone whose sides cover more of one ball than there is of it."""
    shares: dict[int, list[tuple[Ball, float]]] = {}
    for one in told:
        side = sides[one.number]
        share = side.rim.share if one.alone and side is not None else None
        if side is not None and share is not None:
            shares.setdefault(one.shell, []).append((side.ball, share))
    return {
        shell
        for shell, all_of in shares.items()
        if any(sum(s for b, s in all_of if b.is_like(ball)) > _COVERED for ball, _ in all_of)
    }


def _as_the_file_says(
    solid: TopoDS_Solid,
    faces: Sequence[Any],
    step_ids: Sequence[int | None],
    text: StepText,
    circles: TurnedCircles,
    senses: Mapping[int, bool],
) -> Iterator[_Told]:
    """Each face, its entity, whether it looks the other way than its file says, and how it counts.

    Set against most faces of its shell, for a mirrored or inside-out one is so altogether, and a
    cavity's. For the same reason a shell of nothing but turned circles looks as the kernel has it.
    """
    from OCP.TopAbs import TopAbs_FACE, TopAbs_FORWARD, TopAbs_SHELL
    from OCP.TopExp import TopExp, TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_IndexedMapOfShape

    if None in step_ids:
        return
    outer: bool | None = None
    counted, shells = TopTools_IndexedMapOfShape(), TopExp_Explorer(solid, TopAbs_SHELL)
    while shells.More():
        begin = counted.Extent()
        TopExp.MapShapes_s(shells.Current(), TopAbs_FACE, counted)
        shells.Next()
        known: list[tuple[TopoDS_Face, int, bool]] = []
        for i in range(begin, counted.Extent()):
            face, number = TopoDS.Face_s(faces[i]), step_ids[i]
            assert number is not None
            sense = senses.get(number, _looks_as_its_surface(text, number))
            known.append((face, number, sense == (face.Orientation() == TopAbs_FORWARD)))
        like = 2 * sum(same for _, _, same in known) - len(known)
        # Of two halves of a cavity neither outvotes the other: as the file says of the shell.
        most = like >= 0
        if not like and outer is not None:
            most = outer != _is_turned_over(text, known[0][1])
        outer = most if outer is None else outer
        counted_as = {n: None if n in senses else circles.outward(n) for _, n, _ in known}
        alone = like != 0 and None not in counted_as.values()
        for face, number, same in known:
            counts = None if alone else counted_as[number]
            yield _Told(face, number, same != most, counts, begin, alone)


def _is_turned_over(text: StepText, face: int) -> bool:
    """Whether the shell that lists a face is that of a cavity, used the other way round."""
    for use in text.by_keyword.get("ORIENTED_CLOSED_SHELL", ()):
        for shell in text.references(use):
            if face in text.references(shell):
                return text.parameters(use).rstrip(" )\n\r\t").endswith(".F.")
    return False


def _looks_as_its_surface(text: StepText, face: int) -> bool:
    """The sense of a face of the file: whether its normal is its surface's."""
    return text.parameters(face).rstrip(" )\n\r\t").endswith(".T.")
