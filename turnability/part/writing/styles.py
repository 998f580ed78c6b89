"""Colours and layers for faces of a STEP file, as entities to append.

ISO 10303-46, as the recommended practices for styling and layers of AP203, AP214 and AP242 use it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from turnability.part.reading.step_strings import encode_string
from turnability.part.reading.step_text import StepText
from turnability.part.writing.holders import context_of, shells_of_face
from turnability.part.writing.marks import Colour, Mark

_STYLED = ("STYLED_ITEM", "OVER_RIDING_STYLED_ITEM")


class Painted(NamedTuple):
    """A face or solid (entity number) to be coloured, `over` a styled item that it has already."""

    item: int
    colour: Colour
    opacity: float
    over: int | None
    context: int | None


def styles(text: StepText, marks: Mapping[int, Mark], numbers: Iterator[int]) -> Iterator[str]:
    """One style for each colour, one styled item for each coloured face, one layer for each name.

    `marks` by the faces' entity numbers; new entities take the next of `numbers`.
    """
    before = _Before(text)
    faces = (
        Painted(face, mark.colour, 1.0, before.style_of(face), context_of(text, face))
        for face, mark in marks.items()
        if mark.colour is not None
    )
    yield from paint(faces, numbers)
    layers: dict[str, list[int]] = {}
    for face, mark in marks.items():
        if mark.layer:
            layers.setdefault(mark.layer, []).append(face)
    for layer, on in layers.items():
        name = encode_string(layer)
        yield f"#{next(numbers)}=PRESENTATION_LAYER_ASSIGNMENT({name},'',({listed(on)}));"


def paint(items: Iterable[Painted], numbers: Iterator[int]) -> Iterator[str]:
    """A style for each colour and opacity, a styled item for each item, these in their contexts."""
    made: dict[tuple[Colour, float], int] = {}
    styled: dict[int | None, list[int]] = {}
    for item in items:
        key = (item.colour, item.opacity)
        if key not in made:
            lines, made[key] = _style(*key, numbers)
            yield from lines
        number = next(numbers)
        style = f"(#{made[key]}),#{item.item}"
        if item.over is None:
            yield f"#{number}=STYLED_ITEM('',{style});"
        else:
            yield f"#{number}=OVER_RIDING_STYLED_ITEM('',{style},#{item.over});"
        styled.setdefault(item.context, []).append(number)
    for context, own in styled.items():
        if context is not None:
            yield (
                f"#{next(numbers)}=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',"
                f"({listed(own)}),#{context});"
            )


def listed(numbers: Sequence[int]) -> str:
    """References in lines that stay short."""
    rows = [numbers[i : i + 10] for i in range(0, len(numbers), 10)]
    return ",\n".join(",".join(f"#{n}" for n in row) for row in rows)


def _style(colour: Colour, opacity: float, numbers: Iterator[int]) -> tuple[list[str], int]:
    """Entities from a colour to a style that items can be given, and the style's number."""
    lines: list[str] = []

    def add(entity: str) -> int:
        number = next(numbers)
        lines.append(f"#{number}={entity};")
        return number

    red, green, blue = (f"{min(1.0, max(0.0, c)):.6f}" for c in colour)
    rgb = add(f"COLOUR_RGB('',{red},{green},{blue})")
    fill = add(f"FILL_AREA_STYLE_COLOUR('',#{rgb})")
    fill = add(f"FILL_AREA_STYLE('',(#{fill}))")
    sides = [add(f"SURFACE_STYLE_FILL_AREA(#{fill})")]
    if opacity < 1.0:
        clear = add(f"SURFACE_STYLE_TRANSPARENT({1.0 - opacity:.6f})")
        sides.append(
            add(f"SURFACE_STYLE_RENDERING_WITH_PROPERTIES(.NORMAL_SHADING.,#{rgb},(#{clear}))")
        )
    side = add(f"SURFACE_SIDE_STYLE('',({listed(sides)}))")
    usage = add(f"SURFACE_STYLE_USAGE(.BOTH.,#{side})")
    return lines, add(f"PRESENTATION_STYLE_ASSIGNMENT((#{usage}))")


class _Before:
    """The styles that a file has already."""

    def __init__(self, text: StepText) -> None:
        self._text = text
        self._shells = shells_of_face(text)
        found: dict[int, list[int]] = {}
        overridden: set[int] = set()
        for keyword in _STYLED:
            for styled in text.by_keyword.get(keyword, ()):
                references = text.references(styled)
                if keyword == "OVER_RIDING_STYLED_ITEM" and len(references) > 1:
                    overridden.add(references[-1])
                    references = references[:-1]
                for item in references[-1:]:
                    found.setdefault(item, []).append(styled)
        self._of_item = {
            item: next((s for s in reversed(own) if s not in overridden), own[-1])
            for item, own in found.items()
        }

    def style_of(self, face: int) -> int | None:
        """The styled item that colours a face so far: its own, its shell's, its solid's."""
        holders: Iterable[int] = (
            face,
            *self._shells.get(face, ()),
            *self._text.breps_of_face.get(face, ()),
        )
        return next((self._of_item[item] for item in holders if item in self._of_item), None)
