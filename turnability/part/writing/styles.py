"""Colours and layers for faces of a STEP file, as entities to append.

ISO 10303-46, as the recommended practices for styling and layers of AP203, AP214 and AP242 use it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from turnability.part.reading.step_strings import encode_string
from turnability.part.reading.step_text import StepText
from turnability.part.writing.holders import context_of, shells_of_face
from turnability.part.writing.marks import Colour, Mark

_STYLED = ("STYLED_ITEM", "OVER_RIDING_STYLED_ITEM")


def styles(text: StepText, marks: Mapping[int, Mark], numbers: Iterator[int]) -> Iterator[str]:
    """One style for each colour, one styled item for each coloured face, one layer for each name.

    `marks` by the faces' entity numbers; new entities take the next of `numbers`.
    """
    made: dict[Colour, int] = {}
    before = _Before(text)
    items: dict[int | None, list[int]] = {}
    for face, mark in marks.items():
        if mark.colour is None:
            continue
        if mark.colour not in made:
            lines, made[mark.colour] = _style(mark.colour, numbers)
            yield from lines
        number = next(numbers)
        style = f"(#{made[mark.colour]}),#{face}"
        over = before.style_of(face)
        if over is None:
            yield f"#{number}=STYLED_ITEM('',{style});"
        else:
            yield f"#{number}=OVER_RIDING_STYLED_ITEM('',{style},#{over});"
        items.setdefault(context_of(text, face), []).append(number)
    for context, styled in items.items():
        if context is not None:
            yield (
                f"#{next(numbers)}=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',"
                f"({listed(styled)}),#{context});"
            )
    layers: dict[str, list[int]] = {}
    for face, mark in marks.items():
        if mark.layer:
            layers.setdefault(mark.layer, []).append(face)
    for layer, faces in layers.items():
        name = encode_string(layer)
        yield f"#{next(numbers)}=PRESENTATION_LAYER_ASSIGNMENT({name},'',({listed(faces)}));"


def listed(numbers: Sequence[int]) -> str:
    """References in lines that stay short."""
    rows = [numbers[i : i + 10] for i in range(0, len(numbers), 10)]
    return ",\n".join(",".join(f"#{n}" for n in row) for row in rows)


def _style(colour: Colour, numbers: Iterator[int]) -> tuple[list[str], int]:
    """Seven entities from a colour to a style that items can be given, and the style's number."""
    red, green, blue = (f"{min(1.0, max(0.0, c)):.6f}" for c in colour)
    chain = (
        f"COLOUR_RGB('',{red},{green},{blue});",
        "FILL_AREA_STYLE_COLOUR('',#{});",
        "FILL_AREA_STYLE('',(#{}));",
        "SURFACE_STYLE_FILL_AREA(#{});",
        "SURFACE_SIDE_STYLE('',(#{}));",
        "SURFACE_STYLE_USAGE(.BOTH.,#{});",
        "PRESENTATION_STYLE_ASSIGNMENT((#{}));",
    )
    taken = [next(numbers) for _ in chain]
    below = [0, *taken]
    lines = [
        f"#{number}={entity.format(last)}"
        for number, entity, (last, _) in zip(taken, chain, pairwise(below), strict=True)
    ]
    return lines, taken[-1]


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
