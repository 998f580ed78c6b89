"""Names that a STEP file gives: texts by strangers, cut to size and cleared of what isn't text."""

from __future__ import annotations

import re

from turnability.part.reading.records import Records, text_in

LONGEST_NAME = 200
"""Characters; a longer name helps nobody and ends in an ellipsis (common practice, no source)."""
_NAMELESS = {"", "NONE", "$", "UNDEFINED", "UNNAMED"}


def clean(text: str) -> str:
    """One line of printable text: no control characters, single spaces, not too long."""
    # Text that runs right to left needs its letters, not the marks that turn lines around.
    printable = "".join(c if c.isprintable() else " " for c in text[: 4 * LONGEST_NAME])
    said = " ".join(printable.split())
    return said if len(said) <= LONGEST_NAME else said[: LONGEST_NAME - 1].rstrip() + "…"


def name_of(records: Records, number: int) -> str | None:
    """An entity's own name (its first text); None where exporters put nothing or its number."""
    keyword = records.text.instances[number].keyword
    values = records.simple(number, keyword)
    said = clean(text_in(values[0])) if values else ""
    if said.upper() in _NAMELESS or re.fullmatch(r"#\d+", said):
        return None
    return said
