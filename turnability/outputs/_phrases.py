"""Small words that several outputs say: names, units, ranges; text from files made harmless."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from turnability.units import number_text

_MANY = {
    "hex": "hexes", "other": "other", "splines": "splines", "teeth": "teeth", "bosses": "bosses",
    "helix": "helices",
}  # fmt: skip


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
