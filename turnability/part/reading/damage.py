"""Where the text of a STEP file is damaged, named by entity and line.

ISO 10303-21 asks that every entity has a number of its own and that every reference finds its
entity. Files that were cut, edited or badly copied break both, and the kernel then dies, leaves
faces out without a word, or takes one entity for another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from turnability.errors import PartUnreadable
from turnability.part.reading.step_text import BREPS, StepText

COPY_AGAIN = "Copy it again from where it was whole, or export the part again"
_REFERENCE = re.compile(r"#(\d+)")
_EXTERNAL = re.compile(r"#(\d+)\s*=\s*<")
_HIDDEN = re.compile(r"'[^']*+'|/\*.*?\*/", re.S)
_NO_TEXT = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
_DEEPEST = 100
"""Lists of the standard's entities lie three deep; a kernel that recurses dies of thousands."""
PARAMETERS = {
    "ADVANCED_FACE": 4, "AXIS1_PLACEMENT": 3, "AXIS2_PLACEMENT_3D": 4,
    "B_SPLINE_CURVE_WITH_KNOTS": 9, "B_SPLINE_SURFACE_WITH_KNOTS": 13, "CARTESIAN_POINT": 2,
    "CIRCLE": 3, "CLOSED_SHELL": 2, "CONICAL_SURFACE": 4, "CYLINDRICAL_SURFACE": 3,
    "DIRECTION": 2, "EDGE_CURVE": 5, "EDGE_LOOP": 2, "ELLIPSE": 4, "FACE_BOUND": 3,
    "FACE_OUTER_BOUND": 3, "LINE": 3, "MANIFOLD_SOLID_BREP": 2, "ORIENTED_EDGE": 5, "PLANE": 2,
    "SPHERICAL_SURFACE": 3, "SURFACE_OF_LINEAR_EXTRUSION": 3, "SURFACE_OF_REVOLUTION": 3,
    "TOROIDAL_SURFACE": 4, "VECTOR": 3, "VERTEX_LOOP": 2, "VERTEX_POINT": 2,
}  # fmt: skip
"""How many parameters an entity has, with those it inherits (ISO 10303-42)."""


def broken_geometry(text: StepText) -> str | None:
    """What is wrong with the entities that solids are made of; None for whole ones.

    Quick for whole files. Damage elsewhere (colours, properties) is passed over.
    """
    missing, repeated = _missing(text), text.statements.repeated
    if not missing and not repeated:
        return None
    reached: set[int] = set()
    ahead = [*text.faces, *(n for kind in BREPS for n in text.by_keyword.get(kind, ()))]
    ahead += [r for n in ahead for r in text.representations_of.get(n, ())]
    while ahead:
        number = ahead.pop()
        if number in reached:
            continue
        reached.add(number)
        if number in repeated:
            return _twice(text, number)
        for other in map(int, _REFERENCE.findall(text.bare(number))):
            if other in missing:
                return _lost(text, number, other)
            if other not in reached:
                ahead.append(other)
    return None


def damage_of(text: StepText) -> str | None:
    """The first place where the data of a file is damaged, as words; None if it is whole."""
    found: list[tuple[int, str]] = list(_unreadable(text))
    if text.statements.astray:
        place = text.statements.astray[0]
        begin = re.compile(r"\s*").match(text.text, place)
        place = begin.end() if begin else place
        found.append((place, f"line {text.line(place)} is no entity"))
    missing = _missing(text)
    for number, instance in text.instances.items():
        bare = text.bare(number)
        if bare.count("(") != bare.count(")"):
            line = text.line(instance.start)
            found.append((instance.start, f"the brackets of #{number} (line {line}) don't match"))
        elif odd := _odd_list(instance.keyword, bare):
            line = text.line(instance.start)
            found.append((instance.start, f"#{number} (line {line}) {odd}"))
        if missing:
            for other in map(int, _REFERENCE.findall(bare)):
                if other in missing:
                    found.append((instance.start, _lost(text, number, other)))
    if not found and (circle := _in_a_circle(text)) is not None:
        place = text.instances[circle].start
        found.append((place, f"#{circle} (line {text.line(place)}) refers to itself in a circle"))
    found += [(place, _twice(text, number)) for number, place in text.statements.repeated.items()]
    return min(found)[1] if found else None


def _unreadable(text: StepText) -> Iterator[tuple[int, str]]:
    """What keeps a kernel from reading the text at all, with its places."""
    header, data = text.text[: text.data_at], text.text[text.data_at :]
    if not data:
        yield 0, "it has no data section"
    elif not re.search(r"\bENDSEC\s*;", _HIDDEN.sub("", header)):
        yield 0, "its header has no end (ENDSEC)"
    blanked = _HIDDEN.sub(lambda hidden: " " * len(hidden.group()), text.text)
    if (begun := blanked.find("/*")) >= 0:
        yield begun, f"the comment that begins in line {text.line(begun)} has no end"
    if hit := _NO_TEXT.search(text.text):
        yield hit.start(), f"line {text.line(hit.start())} holds what is no text"


def _odd_list(keyword: str, bare: str) -> str | None:
    """What no entity of its kind looks like, as words; `bare` without strings."""
    depth = deepest = commas = 0
    for mark in re.findall(r"[(),]", bare):
        depth += (mark == "(") - (mark == ")")
        deepest = max(deepest, depth)
        commas += mark == "," and depth == 1
    if deepest > _DEEPEST:
        return f"nests its lists {deepest} deep"
    known = PARAMETERS.get(keyword)
    if known is not None and commas + 1 != known:
        return f"is a {keyword} of {commas + 1} parameters, where ISO 10303-42 gives it {known}"
    return None


def as_damage(error: PartUnreadable, text: StepText, faults: Sequence[str]) -> PartUnreadable:
    """The error with the file's damage as its cause; as it was for a whole file.

    `faults` tell what the kernel could not read or convert. A face that was lost with the file's
    text is no gap in the model, and nobody should search for one.
    """
    said = damage_of(text) or "; ".join(faults)
    if not said:
        return error
    return PartUnreadable(error.what, f"the file is damaged: {said}; so {error.cause}", COPY_AGAIN)


def _in_a_circle(text: StepText) -> int | None:
    """An entity that refers to itself, by way of others or not; a sound file has none."""
    whole: set[int] = set()
    for first in text.instances:
        if first in whole:
            continue
        above, path = {first}, [(first, iter(text.references(first)))]
        while path:
            number, ahead = path[-1]
            for other in ahead:
                if other in above:
                    return other
                if other not in whole:
                    above.add(other)
                    path.append((other, iter(text.references(other))))
                    break
            else:
                path.pop()
                above.discard(number)
                whole.add(number)
    return None


def _missing(text: StepText) -> set[int]:
    """Numbers that something refers to (or that stand in some text) and no entity has."""
    known = text.instances
    referred = set(_REFERENCE.findall(text.text, text.data_at))
    missing = {number for word in referred if (number := int(word)) not in known}
    if missing:  # entities of other files, by the third edition of the standard
        missing -= set(map(int, _EXTERNAL.findall(text.text, 0, text.data_at)))
    return missing


def _lost(text: StepText, number: int, other: int) -> str:
    line = text.line(text.instances[number].start)
    return f"#{number} (line {line}) refers to #{other}, which is not in it"


def _twice(text: StepText, number: int) -> str:
    line = text.line(text.statements.repeated[number])
    return f"#{number} stands in it twice (again in line {line})"
