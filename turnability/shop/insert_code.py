"""Indexable inserts by what is engraved on them: ISO 1832, and the inch codes of ANSI B212.4.

Inch codes count the inscribed circle in 1/8 in, the thickness in 1/16 in and the nose in 1/64 in,
each a figure or one with a tenth: CCMT 32.51 is 3/8, 2.5/16 and 1/64 in.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.shop.books import Row, cite, rows
from turnability.shop.engraved import Engraved

_FORM = (
    "four letters, then size, thickness and nose radius with two signs each (CNMG 120408), or in "
    "inch with a figure each (CNMG 432, CCMT 32.51)"
)
_CODE = re.compile(
    r"([A-Z])([A-Z])([A-Z])([A-Z])"
    r"(?:([A-Z\d]\d)([A-Z\d]\d)([A-Z\d]\d)|(\d(?:\.\d)?)(\d(?:\.\d)?)(0?\.\d|\d)?)"
    r"([^\d.].*)?"
)
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
    """Read "CNMG 120408" or "CNMG 432". Raises Fault naming the sign and what it may be.

    Round inserts in inch have no nose radius: RCMT 32.
    """
    engraved = Engraved(text, key)
    code = re.sub(r"\s+", "", text.upper())
    match = _CODE.fullmatch(code)
    if not match or (match[8] and match[10] is None and match[1] != "R"):
        raise engraved.fault(f'"{text}" is no insert designation', f"Write {_FORM}")
    letters = match.group(1, 2, 3, 4)
    shape, clearance, *_ = (
        engraved.letter(place + 1, letter, means)
        for place, (letter, means) in enumerate(zip(letters, _LETTERS, strict=True))
    )
    inch = match[8] is not None
    size, thick, nose = match.group(8, 9, 10) if inch else match.group(5, 6, 7)
    column = "ansi_code" if inch else "metric_code"
    angles = _angles(engraved, shape)
    size_row = _size(engraved, shape, size, inch, metric_round=nose == "M0")
    thick_row = engraved.figures(thick, column, ("thickness", "insert_thickness"))
    ic = cite(size_row, "insert_size_ic", "ic_exact_mm", "mm")
    if angles:
        nose = "0" + nose if nose.startswith(".") else nose
        nose_row = engraved.figures(nose, column, ("nose radius", "insert_nose_radius"))
        nose_value = cite(nose_row, "insert_nose_radius", "r_nominal_mm", "mm")
    else:
        nose_value = replace(ic, value=ic.value / 2.0)
    degrees = clearance["normal_clearance_deg"]
    return Insert(
        designation=f"{''.join(letters)} {size}{thick}{match[10] or '' if inch else nose}",
        shape=letters[0],
        clearance=letters[1],
        size=size_row["metric_code"],
        angles_deg=angles,
        clearance_deg=float(degrees) if degrees else None,
        ic=ic,
        thickness=cite(thick_row, "insert_thickness", "thickness_mm", "mm"),
        nose=nose_value,
    )


def size_of_inch(engraved: Engraved, shape: str, size: str) -> str:
    """The metric code of a size in 1/8 in, as a holder is engraved with it. Raises Fault."""
    known = engraved.letter(2, shape, ("shape", "insert_shape"))
    return _size(engraved, known, size, inch=True, metric_round=False)["metric_code"]


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
    codes = [(r, _inch_code(r) if inch else r["metric_code"]) for r in own]
    for entry, code in codes:
        if code == size:
            return entry
    may = ", ".join(code for _, code in codes if code)
    raise engraved.fault(
        f'the size in "{engraved.text}" is {size}', f"For shape {letter} it may be {may}"
    )


def _inch_code(size: Row) -> str:
    """The size in 1/8 in; the older form, in 1/32 in below 1/4 in, is not read."""
    return next((c for c in size["ansi_ic_code"].split("; ") if "(" not in c), "")


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
