"""Text for the page: escaped, its lengths marked so that the page can tell them in mm or inch."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape
from typing import Any

from turnability.errors import printable
from turnability.units import MM_PER_INCH, length_text, mass_text, mm_text

_NUMBER = r"\d+(?:\.\d+)?"
_MM = re.compile(rf"(?<![\w.])({_NUMBER})(?:( to | × )({_NUMBER}))? mm([³²]?)(?![\w/])")
_INCH = re.compile(rf"(?<![\w.])(\d+\.\d+)(?:( to | × )({_NUMBER}))? in(?![\w/])")
"""A whole number before "in" may be followed by "in the part": only decimals are sure."""
_POWERS = {"": 1, "²": 2, "³": 3}


def text(value: object) -> str:
    """Any text from files, safe between tags and in attributes."""
    return escape(printable(str(value)), quote=True)


def prose(words: str, inch: bool) -> str:
    """A sentence of the report with each of its lengths marked."""
    pattern = _INCH if inch else _MM
    made, last = [], 0
    for found in pattern.finditer(words):
        made.append(text(words[last : found.start()]))
        last = found.end()
        power = 1 if inch else _POWERS[found[4]]
        scale = MM_PER_INCH if inch else 1.0
        values = [float(n) * scale for n in (found[1], found[3]) if n is not None]
        made.append(_quantity(values, power, found[2] or "", found[0]))
    return "".join([*made, text(words[last:])])


def length(value_mm: float | None, inch: bool) -> str:
    """One length with its unit; a dash where it is not known."""
    if value_mm is None:
        return "–"
    return _quantity([value_mm], 1, "", length_text(value_mm, inch))


def diameter(value_mm: float | None, inch: bool) -> str:
    """One diameter with its sign."""
    return "–" if value_mm is None else f"⌀{length(value_mm, inch)}"


def span(ends_mm: Iterable[float] | None, inch: bool) -> str:
    """A range of lengths, or the one length that both ends are."""
    if ends_mm is None:
        return "–"
    low, high = ends_mm
    if abs(high - low) < 1e-6:
        return length(low, inch)
    scale, digits, unit = (MM_PER_INCH, 4, "in") if inch else (1.0, 3, "mm")
    shown = f"{mm_text(low / scale, digits)} to {mm_text(high / scale, digits)} {unit}"
    return _quantity([low, high], 1, " to ", shown)


def volume(value_mm3: float | None, inch: bool) -> str:
    """A volume in mm³ or in³."""
    if value_mm3 is None:
        return "–"
    shown = f"{value_mm3:.4g} mm³"
    if inch:
        shown = f"{value_mm3 / MM_PER_INCH**3:.4g} in³"
    return _quantity([value_mm3], 3, "", shown)


def mass(value_kg: float | None, inch: bool) -> str:
    """One mass with its unit, told anew by the script as lengths are; a dash where not known."""
    if value_kg is None:
        return "–"
    return f'<span class="q" data-kg="{value_kg:.9g}">{text(mass_text(value_kg, inch))}</span>'


def _quantity(values: list[float], power: int, between: str, shown: str) -> str:
    """The script tells it anew in the unit that is wished, from `data-mm`."""
    numbers = ",".join(f"{value:.9g}" for value in values)
    more = f' data-power="{power}"' if power != 1 else ""
    more += f' data-between="{escape(between)}"' if between else ""
    return f'<span class="q" data-mm="{numbers}"{more}>{text(shown)}</span>'


def sentence_case(words: str) -> str:
    """Names such as "recess-behind-small-entry" as people write them."""
    spaced = words.replace("-", " ").replace("_", " ")
    return spaced[:1].upper() + spaced[1:]


def rule_title(rule: str) -> str:
    """A rule's name as a heading: "Needs CNC"."""
    return re.sub(r"\bcnc\b", "CNC", sentence_case(rule))


def place(where: dict[str, Any], inch: bool) -> str:
    """Where a finding is, in few words; empty where it is about the whole part."""
    parts = []
    if where["z_mm"] is not None:
        parts.append(f"z {span(where['z_mm'], inch)}")
    if where["diameter_mm"] is not None:
        parts.append(f"⌀{span(where['diameter_mm'], inch)}")
    return ", ".join(parts)
