"""Colours and layers of faces, from a STEP file's styles and layer assignments.

ISO 10303-46, as the recommended practices for colours and layers of AP203, AP214 and AP242 use
it: a style holds for a face, a shell, a solid or a whole representation, and the narrowest wins.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from turnability.part.reading.names import clean
from turnability.part.reading.records import Records, at, number_in, references, text_in

_STYLED = ("STYLED_ITEM", "OVER_RIDING_STYLED_ITEM")
_SHELLS = ("CLOSED_SHELL", "OPEN_SHELL", "ORIENTED_CLOSED_SHELL")
_COLOURS = ("DRAUGHTING_PRE_DEFINED_COLOUR", "PRE_DEFINED_COLOUR")
_PASSED_THROUGH = ("PRESENTATION_STYLE", "SURFACE_STYLE", "SURFACE_SIDE", "FILL_AREA")
_NAMED = {
    "red": "#ff0000",
    "green": "#00ff00",
    "blue": "#0000ff",
    "yellow": "#ffff00",
    "magenta": "#ff00ff",
    "cyan": "#00ffff",
    "black": "#000000",
    "white": "#ffffff",
}
"""The colours of draughting_pre_defined_colour (ISO 10303-46), as full primaries."""


class Appearance:
    """What a file's styles and layers say of its faces."""

    def __init__(self, records: Records) -> None:
        self._records = records
        self._text = records.text

    def colour(self, face: int) -> str | None:
        """The colour ("#rrggbb", sRGB) that a face (by entity number) is shown in."""
        for level in self._holders(face):
            for item in level:
                if item in self._colour_of_item:
                    return self._colour_of_item[item]
        return None

    def layers(self, face: int) -> tuple[str, ...]:
        """Layers that the face lies on, itself or with what holds it, the narrowest first."""
        if not self._layers_of_item:
            return ()
        found = dict.fromkeys(
            layer
            for level in self._holders(face)
            for item in level
            for layer in self._layers_of_item.get(item, ())
        )
        return tuple(found)

    def _holders(self, face: int) -> Iterable[list[int]]:
        """The face, its shells, its solids, their representations."""
        yield [face]
        yield self._shells_of_face.get(face, [])
        breps = self._text.breps_of_face.get(face, [])
        yield breps
        yield [r for brep in breps for r in self._text.representations_of.get(brep, ())]

    @cached_property
    def _shells_of_face(self) -> Mapping[int, list[int]]:
        found: dict[int, list[int]] = {}
        for keyword in _SHELLS:
            for shell in self._text.by_keyword.get(keyword, ()):
                for face in self._text.references(shell):
                    found.setdefault(face, []).append(shell)
        return found

    @cached_property
    def _colour_of_item(self) -> Mapping[int, str]:
        records = self._records
        styles: dict[int, tuple[int, str]] = {}
        overridden: set[int] = set()
        for styled in records.named(*_STYLED):
            base = records.simple(styled, "STYLED_ITEM")
            values = base or records.simple(styled, "OVER_RIDING_STYLED_ITEM")
            colour = self._colour_in(references(at(values, 1)))
            for item in references(at(values, 2)) if colour else ():
                styles[styled] = (item, colour or "")
            over = records.simple(styled, "OVER_RIDING_STYLED_ITEM")
            if over and styled in styles:
                overridden.update(references(over[-1]))
        items: dict[int, str] = {}
        # One that overrides another stands for its item, whichever comes first in the file.
        for styled, (item, colour) in styles.items():
            if styled not in overridden:
                items[item] = colour
        for item, colour in styles.values():
            items.setdefault(item, colour)
        return items

    def _colour_in(self, styles: Iterable[int]) -> str | None:
        """The first colour of a surface among these styles; curves have their own."""
        records, seen = self._records, set[int]()
        waiting = list(styles)[::-1]
        while waiting:
            number = waiting.pop()
            if number in seen:
                continue
            seen.add(number)
            keywords = records.keywords(number)
            if "COLOUR_RGB" in keywords:
                parts = [number_in(v) for v in records.simple(number, "COLOUR_RGB")[-3:]]
                known = [min(1.0, max(0.0, part)) for part in parts if part is not None]
                if len(known) == 3:
                    return "#" + "".join(f"{round(part * 255):02x}" for part in known)
            elif names := [records.simple(number, k) for k in _COLOURS if k in keywords]:
                name = text_in(at(names[0], 0)).lower()
                if name in _NAMED:
                    return _NAMED[name]
            elif any(k.startswith(_PASSED_THROUGH) for k in keywords):
                waiting.extend(self._text.references(number)[::-1])
        return None

    @cached_property
    def _layers_of_item(self) -> Mapping[int, list[str]]:
        records = self._records
        found: dict[int, list[str]] = {}
        for assignment in records.named("PRESENTATION_LAYER_ASSIGNMENT"):
            values = records.simple(assignment, "PRESENTATION_LAYER_ASSIGNMENT")
            name = clean(text_in(at(values, 0))) or clean(text_in(at(values, 1)))
            for item in references(at(values, 2)) if name else ():
                found.setdefault(item, []).append(name)
                # Some exporters lay the style on the layer instead of what it colours.
                styled = records.simple(item, "STYLED_ITEM")
                for inner in references(at(styled, 2)):
                    found.setdefault(inner, []).append(name)
        return found
