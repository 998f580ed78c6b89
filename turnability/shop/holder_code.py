"""Holders by what is engraved on them: ISO 5608 outside holders, ISO 6261 style boring bars.

In inch (ANSI B212.5 style) square shanks and bars count 1/16 in, inscribed circles 1/8 in:
MCLNR 16-4D is a 1 in shank for an insert of 1/2 in, S12S-SCLCR 3 a bar of 3/4 in for one of 3/8 in.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.shop.books import cite, row
from turnability.shop.engraved import Engraved
from turnability.shop.insert_code import Insert, size_of_inch
from turnability.shop.model import Hand
from turnability.toml_file.keys import Fault
from turnability.units import MM_PER_INCH

_HANDS: dict[str, Hand] = {"R": "right", "L": "left", "N": "neutral"}
_CLAMPING = ("clamping", "holder_clamping")
_OUTSIDE = "ABDEGHJLMNPRSTV"
"""Styles whose edge feeds along the spindle with the shank across it."""
_INSIDE = "FKLPQSUWY"
"""Styles for a bar along the spindle; kappa is measured from the feed along the bar."""
_SIXTEENTH_MM = MM_PER_INCH / 16.0
_OBTUSE = ("B", "K", "R")
"""Styles that hold a C insert by its 100 degree corner (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Holder:
    """What the letters say, alike for outside holders and bars. Lengths in mm.

    `shank_mm` is the shank's width, or the bar's diameter; `length` None for the letter X or -.
    `size` is the metric code of the insert's size; `inch` says that it was engraved in inch.
    """

    designation: str
    shape: str
    style: str
    clearance: str
    hand: Hand
    size: str
    kappa: Cited
    shank_mm: float
    length: Cited | None
    bar: str | None = None
    inch: bool = False


def parse_holder(text: str, key: str = "holder") -> Holder:
    """Read an outside holder such as "PCLNR 2020K12". Raises Fault naming letter and choice."""
    engraved = Engraved(text, key)
    code = re.sub(r"\s+", "", text.upper())
    inch = re.fullmatch(r"([A-Z]{5})-?(\d\d)-?(\d(?:\.\d)?)([A-Z])", code)
    if inch:
        return _inch_holder(engraved, *inch.groups())
    match = re.fullmatch(
        r"([A-Z])([A-Z])([A-Z])([A-Z])([A-Z])(\d\d)(\d\d)([A-Z-])([A-Z\d]\d)", code
    )
    if not match:
        raise engraved.fault(
            f'"{text}" is no holder designation',
            "Write five letters, shank height and width in mm with two figures each, a length "
            "letter and the insert size: PCLNR 2020K12; or in inch the shank in 1/16 in, the "
            "insert's circle in 1/8 in and the length letter: MCLNR 16-4D",
        )
    clamp, shape, style, clearance, hand, _, width, length, size = match.groups()
    engraved.letter(1, clamp, _CLAMPING)
    return Holder(
        designation=f"{code[:5]} {code[5:]}",
        shape=shape,
        style=style,
        clearance=clearance,
        hand=_hand(engraved, 5, hand),
        size=size,
        kappa=_kappa(engraved, 3, style, bar=False),
        shank_mm=_two(engraved, width, "shank width"),
        length=_length(engraved, 8, length),
    )


def parse_bar(text: str, key: str = "bar") -> Holder:
    """Read a boring bar such as "S16Q-SCLCR 09". Raises Fault naming letter and choice."""
    engraved = Engraved(text, key)
    code = re.sub(r"[\s-]+", "", text.upper())
    match = re.fullmatch(
        r"([A-Z])(\d\d)([A-Z])([A-Z])([A-Z])([A-Z])([A-Z])([A-Z])([A-Z\d]\d|\d(?:\.\d)?)", code
    )
    if not match:
        raise engraved.fault(
            f'"{text}" is no boring bar designation',
            "Write the bar's letter, its diameter in mm with two figures, a length letter, five "
            "letters and the insert size: S16Q-SCLCR 09; or in inch the diameter in 1/16 in and "
            "the insert's circle in 1/8 in: S12S-SCLCR 3",
        )
    bar, diameter, length, clamp, shape, style, clearance, hand, size = match.groups()
    inch = len(size) != 2
    engraved.letter(1, bar, ("bar", "boring_bar_type"))
    engraved.letter(3, clamp, _CLAMPING)
    chosen = _hand(engraved, 7, hand)
    if chosen == "neutral":
        raise engraved.fault(f'letter 7 of "{text}" (hand) is N', "A boring bar is R or L")
    return Holder(
        designation=f"{code[:4]}-{code[4:9]} {size}",
        shape=shape,
        style=style,
        clearance=clearance,
        hand=chosen,
        size=size_of_inch(engraved, shape, size) if inch else size,
        kappa=_kappa(engraved, 5, style, bar=True),
        shank_mm=_two(engraved, diameter, "bar diameter") * (_SIXTEENTH_MM if inch else 1.0),
        # the letters' lengths in inch are those in mm, rounded
        length=_length(engraved, 2, length),
        bar=bar,
        inch=inch,
    )


def _inch_holder(engraved: Engraved, letters: str, shank: str, size: str, length: str) -> Holder:
    clamp, shape, style, clearance, hand = tuple(letters)
    engraved.letter(1, clamp, _CLAMPING)
    chosen = _hand(engraved, 5, hand)
    entry = engraved.figures(shank, "shank_code", ("shank", "holder_inch"))
    long = engraved.letter(6, length, ("length", "holder_length_inch"))
    in_inch = cite(long, "holder_length_inch", "length_in", "in")
    return Holder(
        designation=f"{letters} {shank}-{size}{length}",
        shape=shape,
        style=style,
        clearance=clearance,
        hand=chosen,
        size=size_of_inch(engraved, shape, size),
        kappa=_kappa(engraved, 3, style, bar=False),
        shank_mm=float(entry["shank_in"]) * MM_PER_INCH,
        length=replace(in_inch, value=in_inch.value * MM_PER_INCH, unit="mm"),
        inch=True,
    )


def check_insert(holder: Holder, insert: Insert, key: str = "insert") -> None:
    """Raise Fault where the insert does not go into the holder: shape, clearance, size."""
    pairs = (
        ("shape", holder.shape, insert.shape),
        ("normal clearance", holder.clearance, insert.clearance),
        ("size", holder.size, insert.size),
    )
    for name, asked, given in pairs:
        if asked != given:
            raise Fault(
                key,
                f"{insert.designation} has {name} {given}, but {holder.designation} "
                f"holds {name} {asked}",
                "Take an insert that fits, or the holder for this insert",
            )


def working_angles(holder: Holder, insert: Insert) -> tuple[float, ...]:
    """The insert's interior angles from the corner that this holder presents."""
    angles = insert.angles_deg
    if holder.style in _OBTUSE and insert.shape == "C":
        return angles[1:] + angles[:1]
    return angles


def approach_angle(holder: Holder, angles_deg: tuple[float, ...], key: str = "holder") -> float:
    """The approach angle kappa_r in degrees; a neutral holder stands its corner upright.

    Raises Fault where the holder is neutral but its style is not (more than 1 degree apart: the
    standard rounds 62.5 to 63).
    """
    kappa = holder.kappa.value
    if holder.hand != "neutral" or not angles_deg:
        return kappa
    upright = (180.0 - angles_deg[0]) / 2.0
    if abs(upright - kappa) > 1.0:
        raise Fault(
            key,
            f"{holder.designation} is neutral, but style {holder.style} ({kappa:g} degrees) does "
            f"not hold a {angles_deg[0]:g} degree corner upright",
            f"Letter 5 may be R or L; a neutral style for this insert has {upright:g} degrees",
        )
    return upright


def _hand(engraved: Engraved, place: int, letter: str) -> Hand:
    if letter not in _HANDS:
        raise engraved.fault(
            f'letter {place} of "{engraved.text}" (hand) is {letter}', "It may be R, L, N"
        )
    return _HANDS[letter]


def _kappa(engraved: Engraved, place: int, letter: str, bar: bool) -> Cited:
    styles, what = (_INSIDE, "a boring bar") if bar else (_OUTSIDE, "an outside holder")
    entry = row("holder_style_kappa", letter=letter)
    if entry is None or not entry["kappa_r_deg"] or letter not in styles:
        raise engraved.fault(
            f'letter {place} of "{engraved.text}" (style) is {letter}',
            f"For {what} it may be {', '.join(styles)}; give other styles as a bare outline",
        )
    return cite(entry, "holder_style_kappa", "kappa_r_deg", "deg")


def _length(engraved: Engraved, place: int, letter: str) -> Cited | None:
    if letter in "-X":
        return None
    entry = engraved.letter(place, letter, ("length", "holder_length"))
    return cite(entry, "holder_length", "length_mm", "mm")


def _two(engraved: Engraved, figures: str, name: str) -> float:
    value = float(figures)
    if value <= 0.0:
        raise engraved.fault(
            f'the {name} in "{engraved.text}" is {figures}', "Write it in mm: 08, 20, 25"
        )
    return value
