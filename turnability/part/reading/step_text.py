"""What the text of a STEP file (ISO 10303-21) says, read without the CAD kernel.

Positions are characters of `StepText.text`, which holds one character per byte (latin-1), so that
a changed text written back with the same encoding leaves every other byte as it was.
"""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Literal, NamedTuple

from turnability.errors import PartUnreadable
from turnability.part.reading.step_strings import decode_string

EXPORT_AGAIN = "Export the part again as STEP (AP203, AP214 or AP242) with its solid body"

_SKIP = r"\s|/\*(?s:.*?)\*/"
_BODY = r"(?:[^;'/]++|'[^']*+'|/\*(?s:.*?)\*/|/)*+"
# The last alternatives end the statement at an unclosed string or at the end of a cut file, so
# that the scan never starts over from every later character.
_STATEMENT = re.compile(
    rf"(?:{_SKIP})*+(?:#(\d+)(?:{_SKIP})*+=(?:{_SKIP})*+([A-Z0-9_]*+))?({_BODY})(;|'|\Z)", re.I
)
_STRING_OR_COMMENT = re.compile(r"'[^']*+'|/\*.*?\*/", re.S)
_STRING = re.compile(r"'((?:[^']|'')*+)'")
_REFERENCE = re.compile(r"#(\d+)")
_NUMBER_LIKE = re.compile(
    r"[,(]\s*([-+]?(?:inf(?:inity)?|nan|\d[\d.]*e\+?\d{3,}))\s*[,)]",
    re.I,
)
_LARGE_EXPONENT = (re.compile(r"E\+?\d\d\d"), re.compile(r"e\+?\d\d\d"))
_SHELLS = {"CLOSED_SHELL", "OPEN_SHELL", "ORIENTED_CLOSED_SHELL"}
_BREPS = {"MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS", "FACETED_BREP"}
_FACES = {"ADVANCED_FACE", "FACE_SURFACE"}

_PREFIX_MM = {"MILLI": 1.0, "CENTI": 10.0, "DECI": 100.0, "MICRO": 1e-3, "NANO": 1e-6, "KILO": 1e6}
_UNIT_NAMES = (
    (1.0, "mm"),
    (25.4, "inch"),
    (10.0, "cm"),
    (1000.0, "m"),
    (304.8, "foot"),
    (914.4, "yard"),
    (1609344.0, "mile"),
    (0.0254, "thou"),
    (100.0, "dm"),
    (1e-3, "um"),
    (1e-6, "nm"),
    (1e6, "km"),
)


class Instance(NamedTuple):
    """One entity of the data section: its keyword ("" if complex) and where its text stands."""

    keyword: str
    start: int
    end: int
    place: int


@dataclass(frozen=True)
class StepText:
    """The text of one STEP file and what it says of itself."""

    path: Path
    text: str = field(repr=False)
    sha256: str
    schema: str | None
    originating_system: str | None

    @cached_property
    def instances(self) -> Mapping[int, Instance]:
        """Entities by number; `place` is the 0-based order in the file."""
        found: dict[int, Instance] = {}
        for statement in _STATEMENT.finditer(self.text, self._data_at):
            number, keyword, _, end = statement.groups()
            if number is not None and end == ";":
                place = len(found)
                found[int(number)] = Instance(
                    keyword.upper(), statement.start(3), statement.end(3), place
                )
            if end != ";":
                break
        return found

    @cached_property
    def by_keyword(self) -> Mapping[str, list[int]]:
        """Entity numbers of each keyword, in the order of the file; "" holds complex entities."""
        found: dict[str, list[int]] = {}
        for number, instance in self.instances.items():
            found.setdefault(instance.keyword, []).append(number)
        return found

    @property
    def faces(self) -> list[int]:
        """Numbers of all faces of boundary representations, in the order of the file."""
        return sorted(
            (n for kind in _FACES for n in self.by_keyword.get(kind, ())),
            key=lambda n: self.instances[n].place,
        )

    @property
    def has_placements(self) -> bool:
        """Whether the file puts shapes together (assemblies, mapped items)."""
        return any(
            self.by_keyword.get(k) for k in ("NEXT_ASSEMBLY_USAGE_OCCURRENCE", "MAPPED_ITEM")
        )

    def parameters(self, number: int) -> str:
        """Text of an entity after its keyword, strings and all."""
        instance = self.instances[number]
        return self.text[instance.start : instance.end]

    def references(self, number: int) -> list[int]:
        """Entities that this one refers to, in order; strings and comments don't count."""
        bare = _STRING_OR_COMMENT.sub("", self.parameters(number))
        return [int(n) for n in _REFERENCE.findall(bare) if int(n) in self.instances]

    def strings(self, number: int) -> list[str]:
        """Text values of an entity, decoded, in order."""
        return [decode_string(s) for s in _STRING.findall(self.parameters(number))]

    def complex_with(self, *words: str) -> Iterator[int]:
        """Complex entities that hold all these keywords."""
        for number in self.by_keyword.get("", ()):
            parameters = self.parameters(number).upper()
            if all(re.search(rf"\b{word}\s*\(", parameters) for word in words):
                yield number

    @cached_property
    def breps_of_face(self) -> Mapping[int, list[int]]:
        """The solids (boundary representations) that each face bounds."""
        up: dict[int, list[int]] = {}
        for kind in (*_SHELLS, *_BREPS):
            for number in self.by_keyword.get(kind, ()):
                for child in self.references(number):
                    up.setdefault(child, []).append(number)
        found: dict[int, list[int]] = {}
        for face in self.faces:
            level = up.get(face, [])
            for _ in range(3):  # shell, oriented shell, solid
                found.setdefault(face, []).extend(
                    n for n in level if self.instances[n].keyword in _BREPS
                )
                level = [upper for n in level for upper in up.get(n, ())]
        return found

    @cached_property
    def representations_of(self) -> Mapping[int, list[int]]:
        """The shape representations that list each item."""
        found: dict[int, list[int]] = {}
        for keyword, numbers in self.by_keyword.items():
            if keyword.endswith("SHAPE_REPRESENTATION"):
                for number in numbers:
                    for item in self.references(number):
                        found.setdefault(item, []).append(number)
        return found

    @cached_property
    def product_of_representation(self) -> Mapping[int, str]:
        """Product names by shape representation."""
        found: dict[int, str] = {}
        for number in self.by_keyword.get("SHAPE_DEFINITION_REPRESENTATION", ()):
            references = self.references(number)
            if len(references) == 2 and (name := self._product_name(references[0])):
                found.setdefault(references[1], name)
        links = [
            tuple(self.references(n))
            for n in self.by_keyword.get("SHAPE_REPRESENTATION_RELATIONSHIP", ())
        ]
        for _ in range(2):
            for pair in links:
                for one, other in (pair, pair[::-1]) if len(pair) == 2 else ():
                    if one in found:
                        found.setdefault(other, found[one])
        return found

    @property
    def product_names(self) -> list[str]:
        """Names of all products, in the order of the file."""
        return [
            name
            for n in self.by_keyword.get("PRODUCT", ())
            if (name := _first_said(self.strings(n)))
        ]

    def product_of_brep(self, brep: int) -> str | None:
        """The product whose shape this solid is; the only product if the file links nothing."""
        for representation in self.representations_of.get(brep, ()):
            if name := self.product_of_representation.get(representation):
                return name
        names = self.product_names
        return names[0] if len(names) == 1 else None

    def unit_of_brep(self, brep: int) -> str | None:
        """Length unit of the representation that holds the solid."""
        for representation in self.representations_of.get(brep, ()):
            references = self.references(representation)
            if references and (unit := self.unit_of_context(references[-1])):
                return unit
        units = self.length_units
        return units[0] if units else None

    def unit_of_context(self, context: int) -> str | None:
        """Length unit that a representation context assigns."""
        if "GLOBAL_UNIT_ASSIGNED_CONTEXT" not in self.parameters(context).upper():
            return None
        for unit in self.references(context):
            if size := self._unit_mm(unit):
                return unit_name(size)
        return None

    @cached_property
    def length_units(self) -> tuple[str, ...]:
        """Length units that contexts assign, each once, in the order of the file."""
        contexts = self.complex_with("GLOBAL_UNIT_ASSIGNED_CONTEXT")
        return tuple(dict.fromkeys(u for c in contexts if (u := self.unit_of_context(c))))

    def danger(self) -> str | None:
        """A number in the data that no kernel reads to its end, such as 1.E400 or NaN."""
        # Quick searches first: most files hold nothing like it.
        if not any(word in self.text for word in ("NAN", "NaN", "nan", "INF", "Inf", "inf")) and (
            not any(letter.search(self.text, self._data_at) for letter in _LARGE_EXPONENT)
        ):
            return None
        for hit in _NUMBER_LIKE.finditer(self.text, self._data_at):
            try:
                harmless = math.isfinite(float(hit.group(1)))
            except ValueError:  # two points
                harmless = False
            begin = self.text.rfind(";", 0, hit.start()) + 1
            if not harmless and self.text.count("'", begin, hit.start()) % 2 == 0:
                return hit.group(1)
        return None

    @cached_property
    def _data_at(self) -> int:
        data = re.search(r"\bDATA\s*(?:\([^;]*\))?\s*;", self.text)
        return data.end() if data else len(self.text)

    def _product_name(self, shape: int) -> str | None:
        """From a product definition shape to the product's name."""
        for kind in ("PRODUCT_DEFINITION_SHAPE", "PRODUCT_DEFINITION", "PRODUCT_DEFINITION_FORM"):
            if not self.instances[shape].keyword.startswith(kind):
                return None
            wanted = [
                n for n in self.references(shape) if self.instances[n].keyword.startswith("PRODUCT")
            ]
            if not wanted:
                return None
            shape = wanted[0]
        return (
            _first_said(self.strings(shape)) if self.instances[shape].keyword == "PRODUCT" else None
        )

    def _unit_mm(self, unit: int, depth: int = 0) -> float | None:
        """Size of a length unit in mm; None for units of other kinds."""
        text = self.parameters(unit).upper()
        if not re.search(r"\bLENGTH_UNIT\s*\(", text) or depth > 4:
            return None
        si = re.search(r"SI_UNIT\s*\(\s*(?:\.(\w+)\.|\$)\s*,\s*\.METRE\.", text)
        if si:
            return _PREFIX_MM.get(si.group(1)) if si.group(1) else 1000.0
        for measure in self.references(unit):
            # LENGTH_MEASURE(25.4), or the bare number that some exporters write
            value = re.search(
                r"\(\s*(?:\w*MEASURE\s*\(\s*)?([-+]?\d[\d.]*(?:E[-+]?\d+)?)\s*[),]",
                self.parameters(measure).upper(),
            )
            for base in self.references(measure) if value else ():
                if value and (size := self._unit_mm(base, depth + 1)):
                    return float(value.group(1)) * size
        return None


_BOM = "\xef\xbb\xbf"
"""The mark some editors put before UTF-8 text, read as Latin-1; the kernel does not know it."""


def read_step_text(path: Path) -> StepText:
    """Read the file and check that it is STEP, whole, and holds no impossible numbers.

    Raises PartUnreadable: missing, a folder, unreadable, empty, not STEP, cut off, 1.E400 or NaN.
    """
    what = str(path)
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise PartUnreadable(what, "there is no such file", "Check the name and folder") from None
    except IsADirectoryError:
        raise PartUnreadable(what, "this is a folder", "Name a STEP file in it") from None
    except OSError as error:
        cause = f"the file cannot be opened ({error.strerror or error})"
        raise PartUnreadable(what, cause, "Check its permissions and the disk") from None
    text = data.decode("latin-1").removeprefix(_BOM)
    if not text.strip():
        raise PartUnreadable(what, "the file is empty", EXPORT_AGAIN)
    head = _STRING_OR_COMMENT.sub("", text[:4096]).lstrip()
    if not head.upper().startswith("ISO-10303-21"):
        cause = "this is not a STEP file (it doesn't begin with ISO-10303-21)"
        raise PartUnreadable(what, cause, EXPORT_AGAIN)
    if not head.startswith("ISO-10303-21"):
        cause = "its keywords are not in capitals, as ISO 10303-21 asks"
        raise PartUnreadable(what, cause, EXPORT_AGAIN)
    header = re.match(r"(?s).*?\bENDSEC\s*;", text)
    found = StepText(
        path=path,
        text=text,
        sha256=hashlib.sha256(data).hexdigest(),
        schema=_header_value(header.group(), "FILE_SCHEMA", 0) if header else None,
        originating_system=_header_value(header.group(), "FILE_NAME", -2) if header else None,
    )
    end = _STRING_OR_COMMENT.sub("", text[-4096:]).rstrip()
    if header is None or not re.search(r"END-ISO-10303-21\s*;", end):
        cause = "the file is cut off: its closing line END-ISO-10303-21 is missing"
        raise PartUnreadable(what, cause, "Copy or export it again; it was not written to its end")
    if danger := found.danger():
        cause = f"the file holds an impossible number ({danger})"
        raise PartUnreadable(what, cause, "It is damaged; export the part again")
    return found


def unit_name(size_mm: float) -> str:
    """Name of a length unit by its size: "mm", "inch", "cm", "m", "foot"... or "<size> mm"."""
    for size, name in _UNIT_NAMES:
        if abs(size_mm - size) <= 1e-6 * size:
            return name
    return f"{size_mm:g} mm"


def unit_size_mm(name: str) -> float | None:
    """Size of a named length unit in mm."""
    return next((size for size, known in _UNIT_NAMES if known == name), None)


def _first_said(strings: list[str]) -> str | None:
    """A product's name, else its id: the values stand in the order id, name, description."""
    named = [s.strip() for s in strings[:2]]
    return next((s for s in named[::-1] if s), None)


def _header_value(
    header: str, keyword: Literal["FILE_SCHEMA", "FILE_NAME"], place: int
) -> str | None:
    """One text of a header entity, counted among its texts."""
    bare = re.sub(r"/\*.*?\*/", "", header, flags=re.S)
    entity = re.search(rf"\b{keyword}\s*\(((?:[^;']|'[^']*')*)\)\s*;", bare)
    values = [decode_string(s) for s in _STRING.findall(entity.group(1))] if entity else []
    return (values[place].strip() or None) if len(values) > max(place, -place - 1) else None
