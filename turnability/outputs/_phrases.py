"""Small words that several outputs say: names, units, ranges; text from files made harmless."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from turnability.part.model import CUT_OUT
from turnability.units import number_text

_MANY = {
    "hex": "hexes", "other": "other", "splines": "splines", "teeth": "teeth", "bosses": "bosses",
    "helix": "helices",
}  # fmt: skip

_MOST_CUT_OUTS = 2
"""So many of them are told with their places."""

_LISTED = ("reamer_diameter_mm", "drill_diameter_mm")
_BY_REACH = ("fillet_radius_mm", "relief_width_mm")


def proof_text(parameter: str) -> str:
    """How a change of this parameter was proven: of the part, or of what the shop lists.

    Of corners what the tools leave is asked again, but not how the part is held.
    """
    if parameter in _LISTED:
        return "proven by analysing the part again with that listed"
    if parameter in _BY_REACH:
        return "proven by moving the tools round the changed profile"
    return "proven by analysing the changed part"


def few(names: Sequence[str]) -> str:
    """The first few names, and a sign that there are more."""
    return " ".join(names[:3]) + (" …" if len(names) > 3 else "")


def kinds_text(kinds: Iterable[str]) -> str:
    """Kinds of departures with their numbers, in the order of their first: "2 holes, flat"."""
    words = []
    for kind, number in Counter(kinds).items():
        name = kind.replace("-", " ")
        words.append(f"{number} {_MANY.get(name, f'{name}s')}" if number > 1 else name)
    return ", ".join(words)


def not_turned_text(
    found: Iterable[tuple[str, Mapping[str, object], Sequence[float]]], inch: bool
) -> str:
    """Departures (what each is called, its parameters, its z) counted; cut-outs with their place.

    "other" says nothing to whoever designed it: where it is and how many of them does.
    """
    told = list(found)
    shapeless = [one for one in told if one[0] == CUT_OUT]
    words = [kinds_text(name for name, *_ in told if name != CUT_OUT)] if told else []
    for _, sizes, (low, high) in shapeless[:_MOST_CUT_OUTS]:
        count, r = sizes.get("count"), sizes.get("r_mm")
        many = f"{count} cut-outs" if isinstance(count, int) and count > 1 else CUT_OUT
        at = f" at z {range_text((low, high), inch)}"
        if isinstance(r, list | tuple) and len(r) == 2:
            at += f", ⌀{range_text((2.0 * r[0], 2.0 * r[1]), inch)}"
        words.append(many + at)
    if len(shapeless) > _MOST_CUT_OUTS:
        words.append(f"{len(shapeless) - _MOST_CUT_OUTS} more cut-outs")
    return ", ".join(word for word in words if word)


def unit(inch: bool) -> str:
    """The unit of lengths as people read it."""
    return "in" if inch else "mm"


def range_text(ends: tuple[float, float], inch: bool) -> str:
    """Two lengths in mm as a range of the reader's unit; one where they are alike."""
    low, high = (number_text(end, inch, 2) for end in ends)
    return low if low == high else f"{low}–{high}"


def printable(text: str) -> str:
    """Text from files without what could move a terminal's cursor or change its colours."""
    return "".join(letter if letter.isprintable() else " " for letter in text)
