"""Marks for the faces of STEP files, and whether an annotated file carries them, seen otherwise."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from typing import Any

from step_files import entities_of as plainly
from step_files import mismatch, read_back

from turnability.part.reading.read import ReadSolid
from turnability.part.writing.write import Mark

RED, GREEN, BLUE = (0.8, 0.1, 0.2), (0.2, 0.7, 0.3), (0.1, 0.3, 0.9)


def marks_for(solids: tuple[ReadSolid, ...], every: int = 2) -> list[Mark]:
    """Every second face, each with its number in its name and on a layer of its own."""
    return [
        Mark(
            solid.source.solid,
            index,
            number,
            f"⌀ it's face {number}.",
            (RED, GREEN, BLUE)[(number or index) % 3],
            f"layer of face {number}.",
        )
        for solid in solids
        for index, number in enumerate(solid.step_ids, 1)
        if index % every == 0
    ]


def same_colour(seen: Any, wanted: Any) -> bool:
    return seen is not None and max(abs(a - b) for a, b in zip(seen, wanted, strict=True)) < 2e-3


def check_annotations(out: Path, source: Path, marks: list[Mark], mm: float) -> list[bool]:
    """Assert colours and layers on the faces marked; say for each if its label has the name.

    Which face is which is told by the geometry that the source's text gives the number. A face
    that had a name must keep it.
    """
    seen, entity_names = read_back(out)
    entities = plainly(source)
    by_number = {mark.step_id: mark for mark in marks}
    found = set()
    named = []
    for (face, name, colour, layers), entity_name in zip(seen, entity_names, strict=True):
        on = next((n for layer in layers if (n := re.search(r"face (\d+)\.", layer))), None)
        if on is None:
            continue
        number = int(on.group(1))
        mark = by_number[number]
        found.add(number)
        assert mismatch(face, number, entities, mm) is None, out.name
        assert mark.colour is not None
        assert same_colour(colour, mark.colour), out.name
        had = re.match(r"\s*'((?:[^']|'')*)'", entities[number][1])
        assert had is not None
        if had[1].strip() in ("", "NONE"):
            named.append(name == mark.name)
            assert mark.name.lstrip("⌀ ") in entity_name, out.name
        else:
            assert "it's face" not in entity_name, out.name
    assert found == set(by_number), out.name
    return named


_PIECE = re.compile(rb"(?s)\s*(/\*.*?\*/|(?:[^;'/]|'[^']*'|/\*.*?\*/|/)*;)")


def statements(data: bytes) -> Counter[bytes]:
    """Statements, and comments before them, to the byte."""
    return Counter(_PIECE.findall(data))


_SKIP = rb"(?:\s|/\*(?s:.*?)\*/|\\[NF]\\)*"
_FACE = re.compile(
    rb"(?s)(" + _SKIP + rb"#(\d+)\s*=\s*(?:ADVANCED_FACE|FACE_SURFACE)" + _SKIP + rb"\(" + _SKIP
    + rb")'(?:[^']|'')*'(.*)"
)  # fmt: skip


def check_nothing_lost(source: bytes, out: bytes, marked: set[int]) -> None:
    """Assert that every statement of the source is in the result to the byte.

    Marked faces without a name have one there: of these all else must be the same.
    """
    lost = statements(source) - statements(out)
    now = {
        int(found[2]): (found[1], found[3])
        for piece in statements(out)
        if (found := _FACE.fullmatch(piece))
    }
    for piece in lost:
        was = _FACE.fullmatch(piece)
        assert was is not None, piece[:200]
        number = int(was[2])
        assert number in marked, piece[:200]
        assert now[number] == (was[1], was[3]), piece[:200]
        assert piece[len(was[1]) :].startswith((b"''", b"'NONE'", b"' '")), piece[:200]
