"""STEP files whose faces carry colours, names and layers, geometry and units unchanged.

A file is annotated in its own text: styles are appended that refer to its faces (ISO 10303-46,
as the AP203, AP214 and AP242 recommended practices for colours use them), and the faces get
names; every other byte stays. This needs no CAD kernel. Shapes from memory are written by the
kernel (`turnability.part.writing.write_shapes`).
"""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Callable, Iterator, Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.errors import OutputUnwritable
from turnability.part.reading.step_strings import decode_string, encode_string
from turnability.part.reading.step_text import StepText, read_step_text
from turnability.part.writing.marks import Colour, Mark

if TYPE_CHECKING:
    from turnability.part.reading.read import ReadSolid

__all__ = ["Colour", "Mark", "annotated_text", "is_annotated", "write_annotated"]

_OURS = "/* colours and names of faces by turnability */"
_TAIL_BYTES = 1 << 16
"""The comment stands before the end of the data, and so near the end of the file."""

_NAME = re.compile(r"\s*\(\s*'((?:[^']|'')*+)'")
_NAMELESS = {"", "NONE"}
_files = count()


def write_annotated(
    source: Path | Sequence[ReadSolid], out: Path, marks: Sequence[Mark]
) -> tuple[Mark, ...]:
    """Write the source again with the marks on its faces; hand back the marks that found no face.

    `source` is the STEP file, or solids from memory. Marks of faces that repeated solids share are
    merged: all names, the first colour. `out` is there whole or not at all, never the source.
    Raises PartUnreadable (source) and OutputUnwritable.
    """
    if not isinstance(source, Path):
        from turnability.part.writing.write_shapes import write_shapes

        solids = source
        left: list[Mark] = []
        _whole(out, lambda beside: left.extend(write_shapes(solids, beside, marks)))
        return tuple(left)
    if out.exists() and out.samefile(source):
        cause = "it is the part's own file, which is never overwritten"
        raise OutputUnwritable(str(out), cause, "Name another file or folder")
    text = read_step_text(source)
    by_face, left_out = _by_face(text, marks)
    data = annotated_text(text, by_face).encode("latin-1")
    _whole(out, lambda beside: _write_bytes(beside, data))
    return tuple(left_out)


def annotated_text(text: StepText, marks: dict[int, Mark]) -> str:
    """The file's text with one mark for each of these faces (by entity number)."""
    pieces: list[str] = []
    at = 0
    for face in sorted(marks, key=lambda face: text.instances[face].start):
        start = text.instances[face].start
        name = _NAME.match(text.text, start)
        if not marks[face].name or name is None:
            continue
        # Apostrophes and all: what stood there stays in front.
        was = decode_string(name.group(1)).strip()
        new = marks[face].name if was in _NAMELESS else f"{was}; {marks[face].name}"
        pieces += [text.text[at : name.start(1) - 1], encode_string(new)]
        at = name.end(1) + 1
    end = _end_of_data(text)
    newline = "\r\n" if "\r\n" in text.text[:4096] else "\n"
    added = newline.join([*_styles(text, marks), _OURS])
    pieces += [text.text[at:end], added, newline, text.text[end:]]
    return "".join(pieces)


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


def _by_face(text: StepText, marks: Sequence[Mark]) -> tuple[dict[int, Mark], list[Mark]]:
    faces = set(text.faces)
    found: dict[int, Mark] = {}
    left_out = []
    for mark in marks:
        number = mark.step_id
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
    return found, left_out


def _styles(text: StepText, marks: dict[int, Mark]) -> Iterator[str]:
    """Entities to append: one style for each colour, one styled item for each face."""
    numbers = count(max(text.instances, default=0) + 1)
    styles: dict[Colour, int] = {}
    styled_before = _styled_before(text)
    items: dict[int | None, list[int]] = {}
    layers: dict[str, list[int]] = {}
    for face, mark in marks.items():
        if mark.layer:
            layers.setdefault(mark.layer, []).append(face)
        if mark.colour is None:
            continue
        if mark.colour not in styles:
            first = next(numbers)
            yield from _style(first, mark.colour)
            for _ in range(6):
                styles[mark.colour] = next(numbers)
        number = next(numbers)
        style = f"(#{styles[mark.colour]}),#{face}"
        if face in styled_before:
            yield f"#{number}=OVER_RIDING_STYLED_ITEM('',{style},#{styled_before[face]});"
        else:
            yield f"#{number}=STYLED_ITEM('',{style});"
        items.setdefault(_context(text, face), []).append(number)
    for context, styled in items.items():
        if context is not None:
            yield (
                f"#{next(numbers)}=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',"
                f"({_listed(styled)}),#{context});"
            )
    for layer, faces in layers.items():
        name = encode_string(layer)
        yield f"#{next(numbers)}=PRESENTATION_LAYER_ASSIGNMENT({name},'',({_listed(faces)}));"


def _style(first: int, colour: Colour) -> Iterator[str]:
    """Seven entities from a colour to a style that items can be given, numbered from `first`."""
    red, green, blue = (f"{min(1.0, max(0.0, c)):.6f}" for c in colour)
    yield f"#{first}=COLOUR_RGB('',{red},{green},{blue});"
    yield f"#{first + 1}=FILL_AREA_STYLE_COLOUR('',#{first});"
    yield f"#{first + 2}=FILL_AREA_STYLE('',(#{first + 1}));"
    yield f"#{first + 3}=SURFACE_STYLE_FILL_AREA(#{first + 2});"
    yield f"#{first + 4}=SURFACE_SIDE_STYLE('',(#{first + 3}));"
    yield f"#{first + 5}=SURFACE_STYLE_USAGE(.BOTH.,#{first + 4});"
    yield f"#{first + 6}=PRESENTATION_STYLE_ASSIGNMENT((#{first + 5}));"


def _styled_before(text: StepText) -> dict[int, int]:
    """The styled item that colours a face already, by face."""
    faces = set(text.faces)
    found: dict[int, int] = {}
    for keyword in ("STYLED_ITEM", "OVER_RIDING_STYLED_ITEM"):
        for item in text.by_keyword.get(keyword, ()):
            for reference in text.references(item):
                if reference in faces:
                    found[reference] = item
    return found


def _context(text: StepText, face: int) -> int | None:
    """The representation context that the face's solid stands in."""
    for brep in text.breps_of_face.get(face, ()):
        for representation in text.representations_of.get(brep, ()):
            references = text.references(representation)
            if references and "CONTEXT" in text.parameters(references[-1]).upper():
                return references[-1]
    return next(text.complex_with("GEOMETRIC_REPRESENTATION_CONTEXT"), None)


def _listed(numbers: Sequence[int]) -> str:
    """References in lines that stay short."""
    rows = [numbers[i : i + 10] for i in range(0, len(numbers), 10)]
    return ",\n".join(",".join(f"#{n}" for n in row) for row in rows)


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


def _whole(out: Path, write: Callable[[Path], object]) -> None:
    """Write beside `out`, then put it in its place: nobody reads half a file."""
    beside = out.parent / f".turnability-{os.getpid()}-step-{next(_files)}.part"
    try:
        try:
            out.parent.mkdir(parents=True, exist_ok=True)
            write(beside)
            beside.replace(out)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as fault:
        full = fault.errno in (errno.ENOSPC, errno.EDQUOT)
        raise OutputUnwritable(
            str(out),
            f"it cannot be written ({fault.strerror or fault})",
            "Free some space and run it again" if full else "Choose a folder you may write to",
        ) from fault
