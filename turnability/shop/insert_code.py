"""Indexable inserts by what is engraved on them: ISO 1832, and three-figure inch codes."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.shop.books import Row, cite, rows
from turnability.shop.engraved import Engraved

_FORM = "four letters, then size, thickness and nose radius with two signs each: CNMG 120408"
_LETTERS = (
    ("shape", "insert_shape"),
    ("normal clearance", "insert_clearance"),
    ("tolerance class", "insert_tolerance_class"),
    ("type", "insert_type"),
)
_SIDES = {"triangle": 3, "square": 4, "pentagon": 5, "hexagon": 6, "octagon": 8}


@dataclass(frozen=True, slots=True)
class Insert:
    """One insert. `angles_deg` are its interior angles in order, empty for a round one.

    The inscribed circle is exact (a fraction of an inch, or mm for metric round inserts); the nose
    radius is the nominal one, 0.8 for code 08, which is never smaller than the true 1/32 in.
    """

    designation: str
    shape: str
    clearance: str
    size: str
    angles_deg: tuple[float, ...]
    clearance_deg: float | None
    ic: Cited
    thickness: Cited
    nose: Cited


def parse_insert(text: str, key: str = "insert") -> Insert:
    """Read "CNMG 120408" or "CNMG 432". Raises Fault naming the sign and what it may be."""
    engraved = Engraved(text, key)
    code = re.sub(r"\s+", "", text.upper())
    match = re.fullmatch(
        r"([A-Z])([A-Z])([A-Z])([A-Z])(?:(\d)(\d)(\d)|([A-Z\d]\d)([A-Z\d]\d)([A-Z\d]\d))(\D.*)?",
        code,
    )
    if not match:
        raise engraved.fault(f'"{text}" is no insert designation', f"Write {_FORM}")
    letters = match.group(1, 2, 3, 4)
    shape, clearance, *_ = (
        engraved.letter(place + 1, letter, means)
        for place, (letter, means) in enumerate(zip(letters, _LETTERS, strict=True))
    )
    inch = match[5] is not None
    size, thick, nose = match.group(5, 6, 7) if inch else match.group(8, 9, 10)
    column = "ansi_code" if inch else "metric_code"
    angles = _angles(engraved, shape)
    size_row = _size(engraved, shape, size, inch, metric_round=nose == "M0")
    thick_row = engraved.figures(thick, column, ("thickness", "insert_thickness"))
    ic = cite(size_row, "insert_size_ic", "ic_exact_mm", "mm")
    if angles:
        nose_row = engraved.figures(nose, column, ("nose radius", "insert_nose_radius"))
        nose_value = cite(nose_row, "insert_nose_radius", "r_nominal_mm", "mm")
    else:
        nose_value = replace(ic, value=ic.value / 2.0)
    degrees = clearance["normal_clearance_deg"]
    return Insert(
        designation=f"{''.join(letters)} {size}{thick}{nose}",
        shape=letters[0],
        clearance=letters[1],
        size=size_row["metric_code"],
        angles_deg=angles,
        clearance_deg=float(degrees) if degrees else None,
        ic=ic,
        thickness=cite(thick_row, "insert_thickness", "thickness_mm", "mm"),
        nose=nose_value,
    )


def _size(engraved: Engraved, shape: Row, size: str, inch: bool, metric_round: bool) -> Row:
    letter = shape["letter"]
    own = [r for r in rows("insert_size_ic") if r["shape"] == letter]
    if letter == "R":  # metric round inserts carry M0 in place of a nose radius
        own = [r for r in own if (not r["ansi_ic_code"]) == metric_round]
    if not own:
        raise engraved.fault(
            f'"{engraved.text}" has shape {letter} ({shape["shape"]}), whose sizes are not known',
            'Give this tool as a bare outline, kind = "outline"',
        )
    column = "ansi_ic_code" if inch else "metric_code"
    for entry in own:
        if entry[column] == size:
            return entry
    may = ", ".join(r[column] for r in own if r[column] and " " not in r[column])
    raise engraved.fault(
        f'the size in "{engraved.text}" is {size}', f"For shape {letter} it may be {may}"
    )


def _angles(engraved: Engraved, shape: Row) -> tuple[float, ...]:
    form = shape["shape"]
    if form == "round":
        return ()
    angle = float(shape["included_angle_deg"])
    if form == "rhombus":
        return (angle, 180.0 - angle) * 2
    if form.startswith("trigon"):
        return (angle, 240.0 - angle) * 3
    if form in _SIDES:
        return (angle,) * _SIDES[form]
    raise engraved.fault(
        f'"{engraved.text}" has shape {shape["letter"]} ({form}), whose sides differ',
        'Give this tool as a bare outline, kind = "outline"',
    )
