"""STEP files whose faces carry colours, names and layers, geometry and units unchanged.

A file is annotated in its own text: entities are appended that refer to its faces (`styles`,
`attributes`), and faces without a name get one; every other byte stays. This needs no CAD kernel.
Shapes from memory are first written by the kernel (`write_shapes`), as are bodies (`bodies`), in
the child process where the part is a file.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.errors import OutputUnwritable
from turnability.part.reading.step_strings import decode_string, encode_string
from turnability.part.reading.step_text import StepText, read_step_text
from turnability.part.writing.attributes import attributes
from turnability.part.writing.marks import Bodies, Body, Colour, Mark, Remark
from turnability.part.writing.styles import styles
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.part.reading.read import ReadSolid

__all__ = [
    "Bodies",
    "Body",
    "Colour",
    "Mark",
    "Remark",
    "annotated_text",
    "is_annotated",
    "write_annotated",
]

_OURS = "/* colours and names of faces by turnability */"
_TAIL_BYTES = 1 << 16
"""The comment stands before the end of the data, and so near the end of the file."""

_NAME = re.compile(r"(?:\s|/\*(?s:.*?)\*/)*+\((?:\s|/\*(?s:.*?)\*/)*+'((?:[^']|'')*+)'")
_NAMELESS = {"", "NONE"}


def write_annotated(
    source: Path | Sequence[ReadSolid],
    out: Path,
    marks: Sequence[Mark],
    remarks: Sequence[Remark] = (),
    bodies: Bodies | None = None,
    unit: str = "mm",
) -> tuple[Mark, ...]:
    """Write the source again with what is said of its faces; hand back marks that found no face.

    `source` is the STEP file, or solids from memory. Marks of faces that repeated solids share are
    merged: all names, the first colour. The faces of `remarks` are found by those of the marks.
    `bodies` are added in a product of their own, in the length unit `unit`. `out` is there whole or
    not at all, never the source. Raises PartUnreadable (source) and OutputUnwritable.
    """
    left: list[Mark] = []

    def write(beside: Path) -> None:
        if isinstance(source, Path):
            text, own = read, {(m.solid, m.face): m.step_id for m in marks}
        else:
            from turnability.part.writing.write_shapes import write_shapes

            own = dict(write_shapes(source, beside))
            text = read_step_text(beside)
            beside.unlink()
        by_face = _by_face(text, marks, own, left)
        said = [
            (
                remark,
                tuple(dict.fromkeys(f for n in remark.faces if (f := own.get((remark.solid, n))))),
            )
            for remark in remarks
        ]
        kernels = () if bodies is None else _bodies(text, bodies, unit, out, source)
        _write_bytes(beside, annotated_text(text, by_face, said, kernels).encode("latin-1"))

    if isinstance(source, Path):
        if out.exists() and out.samefile(source):
            cause = "it is the part's own file, which is never overwritten"
            raise OutputUnwritable(str(out), cause, "Name another file or folder")
        read = read_step_text(source)
    write_whole(out, write)
    return tuple(left)


def annotated_text(
    text: StepText,
    marks: Mapping[int, Mark],
    remarks: Sequence[tuple[Remark, tuple[int, ...]]] = (),
    more: Callable[[Iterator[int]], Iterable[str]] | tuple[()] = (),
) -> str:
    """The file's text with one mark for each of these faces (by entity number).

    `remarks` come with the entity numbers of their faces; `more` makes further entities, given the
    numbers that are free.
    """
    whole = text.original or text.text
    pieces: list[str] = [text.mark]
    at = 0
    for face in sorted(marks, key=lambda face: text.instances[face].start):
        # Places are the same in both texts; only this one is free of print control directives.
        name = _NAME.match(text.text, text.instances[face].start)
        # What has a name keeps it to the byte.
        if not marks[face].name or name is None:
            continue
        if decode_string(name.group(1)).strip() in _NAMELESS:
            pieces += [whole[at : name.start(1) - 1], encode_string(marks[face].name)]
            at = name.end(1) + 1
    end = _end_of_data(text)
    numbers = count(max(text.instances, default=0) + 1)
    lines = [*styles(text, marks, numbers), *attributes(text, remarks, numbers)]
    if callable(more):
        lines += more(numbers)
    newline = _newline(whole)
    added = newline.join(line.replace("\n", newline) for line in (*lines, _OURS))
    pieces += [whole[at:end], added, newline, whole[end:]]
    return "".join(pieces)


def _bodies(
    text: StepText, bodies: Bodies, unit: str, out: Path, source: Path | Sequence[ReadSolid]
) -> Callable[[Iterator[int]], Iterable[str]] | tuple[()]:
    """What adds the bodies; for a file the kernel makes them where its death is survived."""
    from turnability.part.writing.bodies import bodies_text, body_entities

    schema = (text.schema or "").upper()
    if isinstance(source, Path):
        from turnability.part.apart.bodies import bodies_text_apart

        written = bodies_text_apart(bodies, unit, schema, out)
    else:
        written = bodies_text(bodies, unit, schema)
    if written is None:
        return ()
    made = written
    return lambda numbers: body_entities(made, bodies, next(numbers))


def _newline(text: str) -> str:
    """How lines end in the file, by its first one."""
    end = re.search(r"\r\n|\n|\r", text)
    return end.group() if end else "\n"


def is_annotated(path: Path) -> bool:
    """Whether a file was written by `write_annotated`, and not saved by another program since."""
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            file.seek(max(0, path.stat().st_size - _TAIL_BYTES))
            return _OURS.encode() in file.read()
    except (OSError, ValueError):
        return False


def _by_face(
    text: StepText,
    marks: Sequence[Mark],
    numbers: Mapping[tuple[int, int], int | None],
    left_out: list[Mark],
) -> dict[int, Mark]:
    """One mark for each face, by entity number; those without a face go to `left_out`."""
    faces = set(text.faces)
    found: dict[int, Mark] = {}
    left_out.clear()
    for mark in marks:
        number = mark.step_id or numbers.get((mark.solid, mark.face))
        if number is None or number not in faces:
            left_out.append(mark)
            continue
        first = found.setdefault(number, mark)
        if first is not mark:
            names = dict.fromkeys([*first.name.split("; "), *mark.name.split("; ")])
            found[number] = Mark(
                first.solid,
                first.face,
                number,
                "; ".join(filter(None, names)),
                first.colour or mark.colour,
                first.layer or mark.layer,
            )
    return found


def _end_of_data(text: StepText) -> int:
    """Where the data section with the last entity ends."""
    last = max((instance.end for instance in text.instances.values()), default=0)
    end = re.compile(r"\bENDSEC\s*;").search(text.text, last)
    return end.start() if end else len(text.text)


def _write_bytes(path: Path, data: bytes) -> None:
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
