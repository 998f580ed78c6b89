"""Length units of a STEP file (ISO 10303-41), as its text states them.

The kernel takes a unit it does not know for a metre, and no unit for a millimetre, without a word.
"""

from __future__ import annotations

import re

from turnability.part.reading.step_text import StepText

_LENGTH_UNIT = re.compile(r"\bLENGTH_UNIT\s*\(", re.I)
# ISO 10303-41, si_prefix: one metre with each of them, in mm.
_PREFIX_MM = {
    "EXA": 1e21, "PETA": 1e18, "TERA": 1e15, "GIGA": 1e12, "MEGA": 1e9, "KILO": 1e6, "HECTO": 1e5,
    "DECA": 1e4, "DECI": 100.0, "CENTI": 10.0, "MILLI": 1.0, "MICRO": 1e-3, "NANO": 1e-6,
    "PICO": 1e-9, "FEMTO": 1e-12, "ATTO": 1e-15,
}  # fmt: skip
_LONGEST = 120
"""So much of an unknown unit's text is told."""
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


class UnknownUnit(ValueError):
    """A length unit whose size the file does not say; its text is the argument."""


def unit_of_brep(text: StepText, brep: int | None) -> str | None:
    """Length unit of the representation that holds the solid, None where it states none.

    `brep` None: the first unit that any context of the file assigns. Raises UnknownUnit where
    the unit's size cannot be known.
    """
    if brep is None:
        contexts = list(text.complex_with("GLOBAL_UNIT_ASSIGNED_CONTEXT"))
    else:
        held = (text.references(r)[-1:] for r in text.representations_of.get(brep, ()))
        contexts = [context for last in held for context in last]
    for context in contexts:
        if unit := unit_of_context(text, context):
            return unit
    for context in contexts:
        for assigned in _assigned(text, context):
            if _LENGTH_UNIT.search(text.bare(assigned)):
                raise UnknownUnit(" ".join(text.parameters(assigned).split())[:_LONGEST])
    return None


def unit_of_context(text: StepText, context: int) -> str | None:
    """Length unit that a representation context assigns, if its size is known."""
    for unit in _assigned(text, context):
        if size := _unit_mm(text, unit):
            return unit_name(size)
    return None


def length_units(text: StepText) -> tuple[str, ...]:
    """Length units that contexts assign, each once, in the order of the file."""
    contexts = text.complex_with("GLOBAL_UNIT_ASSIGNED_CONTEXT")
    return tuple(dict.fromkeys(u for c in contexts if (u := unit_of_context(text, c))))


def unit_name(size_mm: float) -> str:
    """Name of a length unit by its size: "mm", "inch", "cm", "m", "foot"... or "<size> mm"."""
    for size, name in _UNIT_NAMES:
        if abs(size_mm - size) <= 1e-6 * size:
            return name
    return f"{size_mm:g} mm"


def unit_size_mm(name: str) -> float | None:
    """Size of a named length unit in mm."""
    return next((size for size, known in _UNIT_NAMES if known == name), None)


def _assigned(text: StepText, context: int) -> list[int]:
    assigns = "GLOBAL_UNIT_ASSIGNED_CONTEXT" in text.parameters(context).upper()
    return text.references(context) if assigns else []


def _unit_mm(text: StepText, unit: int, depth: int = 0) -> float | None:
    """Size of a length unit in mm; None for units of other kinds and of unknown size."""
    words = text.parameters(unit).upper()
    if not _LENGTH_UNIT.search(words) or depth > 4:
        return None
    si = re.search(r"SI_UNIT\s*\(\s*(?:\.(\w+)\.|\$)\s*,\s*\.METRE\.", words)
    if si:
        return _PREFIX_MM.get(si.group(1)) if si.group(1) else 1000.0
    for measure in text.references(unit):
        # LENGTH_MEASURE(25.4), or the bare number that some exporters write
        value = re.search(
            r"\(\s*(?:\w*MEASURE\s*\(\s*)?([-+]?\d[\d.]*(?:E[-+]?\d+)?)\s*[),]",
            text.parameters(measure).upper(),
        )
        for base in text.references(measure) if value else ():
            if value and (size := _unit_mm(text, base, depth + 1)):
                return float(value.group(1)) * size
    return None
