"""What the text of a STEP file (ISO 10303-21) says, read without the CAD kernel.

Positions are characters of `StepText.text`, which holds one character per byte (latin-1). They are
those of `StepText.original` too, so that what is changed there and written back with the same
encoding leaves every other byte as it was.
"""

from __future__ import annotations

import errno
import hashlib
import math
import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Literal, NamedTuple

from turnability.errors import PartUnreadable
from turnability.part.reading.step_strings import decode_string

LFS_POINTER = b"version https://git-lfs.github.com/spec/"
"""How a Git-LFS pointer begins (the Git LFS specification, "The Pointer")."""
_ZIPPED = (b"PK\x03\x04", b"\x1f\x8b")
"""How a zip file (APPNOTE, 4.3.7) and a gzip stream (RFC 1952, 2.3.1) begin."""
EXPORT_AGAIN = "Export the part again as STEP (AP203, AP214 or AP242) with its solid body"

_SKIP = r"\s|/\*(?s:.*?)\*/"
_BODY = r"(?:[^;'/]++|'[^']*+'|/\*(?s:.*?)\*/|/)*+"
# The last alternatives end the statement at an unclosed string or at the end of a cut file, so
# that the scan never starts over from every later character.
_STATEMENT = re.compile(
    rf"(?:{_SKIP})*+(?:#(\d+)(?:{_SKIP})*+=(?:{_SKIP})*+([A-Z0-9_]*+))?({_BODY})(;|'|\Z)", re.I
)
_SECTION = re.compile(r"\s*(?:ENDSEC|DATA|SIGNATURE|END-ISO-10303-21)\b(?s:.*)", re.I)
_STRING_OR_COMMENT = re.compile(r"'[^']*+'|/\*.*?\*/", re.S)
_STRING = re.compile(r"'((?:[^']|'')*+)'")
_PRINT_CONTROL = re.compile(r"'[^']*+'|/\*(?s:.*?)\*/|\\[NF]\\")
"""Print control directives (ISO 10303-21): feeds for printers; and what hides them."""
_REFERENCE = re.compile(r"#(\d+)")
_NUMBER_LIKE = re.compile(
    r"[,(]\s*([-+]?(?:inf(?:inity)?|nan|\d[\d.]*e\+?\d{3,}))\s*[,)]",
    re.I,
)
_LARGE_EXPONENT = (re.compile(r"E\+?\d\d\d"), re.compile(r"e\+?\d\d\d"))
_SHELLS = {"CLOSED_SHELL", "OPEN_SHELL", "ORIENTED_CLOSED_SHELL"}
BREPS = {"MANIFOLD_SOLID_BREP", "BREP_WITH_VOIDS", "FACETED_BREP"}
_FACES = {"ADVANCED_FACE", "FACE_SURFACE"}


class Instance(NamedTuple):
    """One entity of the data section: its keyword ("" if complex) and where its text stands."""

    keyword: str
    start: int
    end: int
    place: int


class Statements(NamedTuple):
    """Entities, numbers given again to something else (and where), and what is no entity."""

    instances: Mapping[int, Instance]
    repeated: Mapping[int, int]
    astray: tuple[int, ...]
    entities: int


@dataclass(frozen=True)
class StepText:
    """The text of one STEP file and what it says of itself."""

    path: Path
    text: str = field(repr=False)
    sha256: str
    schema: str | None
    originating_system: str | None
    original: str = field(default="", repr=False)
    """The text as it stands in the file; `text` has spaces in place of print control directives."""
    mark: str = ""
    """The byte order mark before it, if there is one."""

    @property
    def instances(self) -> Mapping[int, Instance]:
        """Entities by number; `place` is the 0-based order in the file."""
        return self.statements.instances

    @cached_property
    def statements(self) -> Statements:
        """What the data is made of, statement by statement, up to the first that has no end."""
        found: dict[int, Instance] = {}
        repeated: dict[int, int] = {}
        astray: list[int] = []
        place = 0
        for statement in _STATEMENT.finditer(self.text, self.data_at):
            number, keyword, body, end = statement.groups()
            start, stop = statement.span(3)
            if end != ";":
                if end or body.strip():
                    astray.append(start)
                break
            if number is not None:
                instance = Instance(keyword.upper(), start, stop, place)
                place += 1
                before = found.get(int(number))
                if before is not None and self._differ(before, instance):
                    repeated.setdefault(int(number), start)
                found[int(number)] = instance
                if not keyword and body[:1] not in ("(", "&", "!"):
                    astray.append(start)
            elif not _SECTION.fullmatch(body):
                astray.append(start)
            elif body.upper().startswith("END-ISO"):
                break
        return Statements(found, repeated, tuple(astray), entities=place)

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

    def bare(self, number: int) -> str:
        """Text of an entity after its keyword, without strings and comments."""
        return _STRING_OR_COMMENT.sub("", self.parameters(number))

    def references(self, number: int) -> list[int]:
        """Entities that this one refers to, in order; strings and comments don't count."""
        return [int(n) for n in _REFERENCE.findall(self.bare(number)) if int(n) in self.instances]

    def line(self, place: int) -> int:
        """The line (1-based) in which a place of the text stands."""
        before = self.text[:place]
        return 1 + max(before.count("\n"), before.count("\r"))

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
        for kind in (*_SHELLS, *BREPS):
            for number in self.by_keyword.get(kind, ()):
                for child in self.references(number):
                    up.setdefault(child, []).append(number)
        found: dict[int, list[int]] = {}
        for face in self.faces:
            level = up.get(face, [])
            for _ in range(3):  # shell, oriented shell, solid
                found.setdefault(face, []).extend(
                    n for n in level if self.instances[n].keyword in BREPS
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

    def danger(self) -> str | None:
        """A number in the data that no kernel reads to its end, such as 1.E400 or NaN."""
        # Quick searches first: most files hold nothing like it.
        if not any(word in self.text for word in ("NAN", "NaN", "nan", "INF", "Inf", "inf")) and (
            not any(letter.search(self.text, self.data_at) for letter in _LARGE_EXPONENT)
        ):
            return None
        for hit in _NUMBER_LIKE.finditer(self.text, self.data_at):
            try:
                harmless = math.isfinite(float(hit.group(1)))
            except ValueError:  # two points
                harmless = False
            begin = self.text.rfind(";", 0, hit.start()) + 1
            if not harmless and self.text.count("'", begin, hit.start()) % 2 == 0:
                return hit.group(1)
        return None

    @cached_property
    def data_at(self) -> int:
        """Where the first data section begins."""
        data = re.search(r"\bDATA\s*(?:\([^;]*\))?\s*;", self.text)
        return data.end() if data else len(self.text)

    def _differ(self, one: Instance, other: Instance) -> bool:
        texts = ("".join(self.text[i.start : i.end].split()) for i in (one, other))
        return one.keyword != other.keyword or next(texts) != next(texts)

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


_BOM = "\xef\xbb\xbf"
"""The mark some editors put before UTF-8 text, read as Latin-1; the kernel does not know it."""


def read_step_text(path: Path) -> StepText:
    """Read the file and check that it is STEP, whole, and holds no impossible numbers.

    Raises PartUnreadable: missing, a folder, unreadable, a name that is no text, empty, not STEP,
    cut off, two files in one, 1.E400 or NaN.
    """
    what = str(path)
    try:
        what.encode()
        if path.exists() and not (path.is_file() or path.is_dir()):
            raise PartUnreadable(what, "this is a device or a pipe, no file", "Name a STEP file")
        data = path.read_bytes()
    except UnicodeEncodeError:
        cause = "its path holds bytes that are no UTF-8, which no report can name"
        raise PartUnreadable(_shown(what), cause, "Rename the file or its folder") from None
    except ValueError:  # the only one that opening a file raises
        cause = "its path holds a NUL character, which no file's name can"
        raise PartUnreadable(_shown(what), cause, "Check the name") from None
    except FileNotFoundError:
        raise PartUnreadable(what, "there is no such file", "Check the name and folder") from None
    except IsADirectoryError:
        raise PartUnreadable(what, "this is a folder", "Name a STEP file in it") from None
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise PartUnreadable(what, "this is a link to itself", "Name the file") from None
        cause = f"the file cannot be opened ({error.strerror or error})"
        raise PartUnreadable(what, cause, "Check its permissions and the disk") from None
    decoded = data.decode("latin-1")
    original = decoded.removeprefix(_BOM)
    text = _without_print_control(original)
    if not text.strip():
        raise PartUnreadable(what, "the file is empty", EXPORT_AGAIN)
    head = _STRING_OR_COMMENT.sub("", text[:4096]).lstrip()
    if not head.upper().startswith("ISO-10303-21"):
        raise PartUnreadable(what, *_what_else(data))
    if not head.startswith("ISO-10303-21"):
        cause = "its keywords are not in capitals, as ISO 10303-21 asks"
        raise PartUnreadable(what, cause, EXPORT_AGAIN)
    if _begins(text) > 1:
        cause = "two STEP files stand in it, one after the other"
        raise PartUnreadable(what, cause, "Copy or export the part again into a file of its own")
    header = re.match(r"(?s).*?\bENDSEC\s*;", text)
    found = StepText(
        path=path,
        text=text,
        sha256=hashlib.sha256(data).hexdigest(),
        schema=_header_value(header.group(), "FILE_SCHEMA", 0) if header else None,
        originating_system=_header_value(header.group(), "FILE_NAME", -2) if header else None,
        original=original,
        mark=decoded[: len(decoded) - len(original)],
    )
    end = _STRING_OR_COMMENT.sub("", text[-4096:]).rstrip()
    if header is None or not re.search(r"END-ISO-10303-21\s*;", end):
        cause = "the file is cut off: its closing line END-ISO-10303-21 is missing"
        raise PartUnreadable(what, cause, "Copy or export it again; it was not written to its end")
    if danger := found.danger():
        cause = f"the file holds an impossible number ({danger})"
        raise PartUnreadable(what, cause, "It is damaged; export the part again")
    return found


def _without_print_control(text: str) -> str:
    """Spaces in the place of directives outside strings, which the kernel takes for faults."""
    if "\\N\\" not in text and "\\F\\" not in text:
        return text
    return _PRINT_CONTROL.sub(lambda hit: "   " if hit.group()[0] == "\\" else hit.group(), text)


def _what_else(data: bytes) -> tuple[str, str]:
    """What stands in a file that does not begin as STEP files do, and the way out."""
    if data.startswith(LFS_POINTER):
        return "it is a Git-LFS pointer, and not the file", "Fetch it with `git lfs pull`"
    if data.startswith(_ZIPPED):
        return (
            "it is zipped, not a STEP file as it stands",
            "Unpack it, or have its folder analysed: `turnability batch` reads .stpz",
        )
    return "this is not a STEP file (it doesn't begin with ISO-10303-21)", EXPORT_AGAIN


def _shown(path: str) -> str:
    """A path with its odd bytes as escapes."""
    return os.fsencode(path).decode("utf-8", "backslashreplace").replace("\0", r"\0")


def _begins(text: str) -> int:
    """How many exchange structures begin in the text."""
    if text.count("ISO-10303-21") <= 2:
        return 1
    # Where the first of them is cut off within a string, apostrophes pair up wrongly: any line
    # that begins like a file counts as well.
    bare = _STRING_OR_COMMENT.sub("", text)
    return max(
        len(re.findall(r"(?<!END-)ISO-10303-21\s*;", bare)),
        len(re.findall(r"^[ \t]*ISO-10303-21\s*;", text, re.M)),
    )


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
