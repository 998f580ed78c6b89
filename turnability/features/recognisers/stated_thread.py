"""Threads that the design or the file states on a surface, whatever the solid has there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind, StandardMatch, ThreadStatement
from turnability.features.sides import Side
from turnability.features.standards.designations import Designation, parse
from turnability.features.standards.threads import as_match, within
from turnability.features.thread_room import room
from turnability.part.model import Parameter

KIND: FeatureKind = "thread"
RANK = 4


def find(chain: Chain) -> list[Found]:
    """Stated threads with the designation's sizes; where one is modelled too, that one is told.

    `drawn_mm` is the diameter that the solid has there. What the file says (a face's name) counts
    only where the surface has a diameter of that thread. Of several on one surface the first owns
    it, the others are parts of it.
    """
    found: list[Found] = []
    for statement in chain.statements:
        sides = [
            side
            for side in chain.sides
            if side.segment is not None
            and side.segment.id in statement.segments
            and side.surface in ("outer", "inner")
        ]
        for some in _runs(chain, sides):
            ids = chain.owned(some)
            if not ids or _is_modelled(chain, some):
                continue
            one = _stated(chain, statement, some, ids)
            if one is None:
                continue
            if any(set(ids) & set(other.owns) for other in found):
                one = replace(one, owns=(), holds=frozenset(), within=ids[0])
            found.append(one)
    return found


def _runs(chain: Chain, sides: Sequence[Side]) -> list[list[Side]]:
    """The sides that one thread runs over: no tool comes past what stands beyond the crest, a
    flange outside or a lip inside, and from one side of the wall to the other."""
    runs: list[list[Side]] = []
    before = 0
    for at, side in enumerate(chain.sides):
        if side not in sides:
            continue
        if runs and side.surface == runs[-1][0].surface:
            crest = spread([runs[-1][-1].curve, side.curve])[1]
            between = [s.curve for s in chain.sides[before + 1 : at]]
            low, high = spread(between)[1] if between else crest
            if (
                high <= crest[1] + limits.SAME_MM
                if side.surface == "outer"
                else low >= crest[0] - limits.SAME_MM
            ):
                runs[-1].append(side)
                before = at
                continue
        runs.append([side])
        before = at
    return runs


def _is_modelled(chain: Chain, sides: Sequence[Side]) -> bool:
    (low, high), _ = spread(side.curve for side in sides)
    surface = sides[0].surface
    return any(
        thread.surface == surface and thread.z_mm[0] < high and low < thread.z_mm[1]
        for thread in chain.threads
    )


def _stated(
    chain: Chain, statement: ThreadStatement, sides: Sequence[Side], ids: tuple[str, ...]
) -> Found | None:
    surface: Literal["outer", "inner"] = "outer" if sides[0].surface == "outer" else "inner"
    (low, high), diameter = spread(side.segment.curve for side in sides if side.segment)
    z = (low, high)
    if statement.z_mm is not None:
        z = (max(low, statement.z_mm[0]), min(high, statement.z_mm[1]))
        if z[1] - z[0] <= limits.SAME_MM:
            return None  # this stretch lies beside what is stated
    drawn = diameter[1] if surface == "outer" else diameter[0]
    read = parse(statement.designation)
    match = _match(read, surface, drawn)
    if statement.by == "file" and match is None:
        return None
    major = read.major_mm if read is not None else drawn
    pitch = read.pitch_mm if read is not None else None
    depth = 1.2 * pitch if pitch is not None else 0.0
    minor = drawn if surface == "inner" else major - depth
    parameters: dict[str, Parameter] = {
        "form": read.form if read is not None else None,
        "major_mm": major,
        "pitch_mm": pitch,
        "length_mm": z[1] - z[0],
        "evidence": "stated",
        "hand": read.hand if read is not None else None,
        "starts": read.starts if read is not None else None,
        "designation": statement.designation,
        "stated_by": statement.by,
        "drawn_mm": drawn,
        **room(chain, surface, z, max(major, drawn), minor, pitch, read.form if read else None),
    }
    return Found(
        KIND,
        surface,
        z,
        diameter,
        ids,
        parameters,
        holds=chain.finishing(ids),
        matches=() if match is None else (match,),
    )


def _match(
    read: Designation | None, surface: Literal["outer", "inner"], drawn: float
) -> StandardMatch | None:
    """The standard's size where the drawn diameter is one that its thread is drawn with."""
    if read is None or read.size is None:
        return None
    size = read.size
    off = within(size, surface, drawn)
    return None if off is None else as_match(size, off, read.hand, read.starts)


_STUD = ((0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10))
_BOTH = ((0, 0), (40, 0), (40, 6), (25, 6), (25, 10), (15, 10), (15, 6), (0, 6))
_NECKED = ((0, 0), (40, 0), (40, 6), (25, 6), (25, 4), (22, 4), (22, 6), (12, 6), (12, 10), (0, 10))
_TUBE = ((0, 5.1), (20, 5.1), (20, 12), (0, 12))

EXAMPLES = (
    Example("nothing stated, no thread", _STUD),
    Example(
        "a face's name that its diameter does not bear out",
        _STUD,
        statements=(ThreadStatement(("S3",), "M20", "file"),),
    ),
    Example(
        "by intent, left-hand",
        _STUD,
        ({"z_mm": (12, 40), "major_mm": 12.0, "pitch_mm": 1.5, "hand": "left", "form": "metric",
          "evidence": "stated", "matches": ("M12x1.5-LH",), "shoulder_mm": 0.0,
          "usable_length_mm": 23.5, "drawn_mm": 12.0, "alternative": None},),
        statements=(ThreadStatement(("S3",), "M12x1.5-LH", "intent"),),
    ),
    Example(
        "on both sides of a flange two threads, for none runs through it",
        _BOTH,
        ({"z_mm": (0, 15), "matches": ("M12",)}, {"z_mm": (25, 40), "matches": ("M12",)}),
        statements=(ThreadStatement(("S3", "S7"), "M12", "intent"),),
    ),
    Example(
        "one thread over a neck",
        _NECKED,
        ({"z_mm": (12, 40), "matches": ("M12",)},),
        statements=(ThreadStatement(("S3", "S7"), "M12", "intent"),),
    ),
    Example(
        "on one cylinder two threads, each as long as it is stated",
        _STUD,
        ({"z_mm": (12, 18), "shoulder_mm": 0.0}, {"z_mm": (30, 40), "shoulder_mm": 18.0}),
        statements=(
            ThreadStatement(("S3",), "M12", "intent", (12.0, 18.0)),
            ThreadStatement(("S3",), "M12", "intent", (30.0, 50.0)),
        ),
    ),
    Example(
        "in a bore drawn with its tap drill, by a face's name",
        _TUBE,
        ({"surface": "inner", "major_mm": 12.0, "pitch_mm": 1.75, "matches": ("M12",)},),
        statements=(ThreadStatement(("S1",), "M12-6H", "file"),),
    ),
    Example(
        "what no table knows is told as it is written",
        _STUD,
        ({"form": None, "pitch_mm": None, "designation": "as the sample", "major_mm": 12.0},),
        statements=(ThreadStatement(("S3",), "as the sample", "intent"),),
    ),
)  # fmt: skip
