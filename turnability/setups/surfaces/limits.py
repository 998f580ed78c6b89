"""How much a diameter may vary, stated or as ordinary turning holds it, and how rough it may be."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator
from functools import cache
from importlib import resources

from turnability.cited import Cited
from turnability.intent.fits import FitClass, fit_class, fit_limits
from turnability.intent.model import Intent
from turnability.part.model import Stated

DEFAULT_GRADE = 10
"""IT10 where nothing is stated: ordinary turning holds IT8 to IT11 (handbooks, from memory)."""
UNSTATED = "ISO 2768-m"
"""What a drawing without tolerances usually leaves to the shop (common practice)."""


def diameter_limit(
    segments: Collection[str], diameter_mm: float, intent: Intent | None, stated: Stated
) -> tuple[Cited | None, bool]:
    """Width of the tolerance on the diameter of these segments in mm, and whether it is stated.

    The tightest of what the intent and the file say of any of them; else the intent's general
    tolerance; else IT10. None where no table holds the size.
    """
    widths = [*_of_intent(segments, intent), *_of_file(segments, stated)]
    if widths:
        return min(widths, key=lambda width: width.value), True
    general = intent.general_tolerance if intent is not None else None
    if general is not None:
        found = general_width(general, diameter_mm)
        if found is not None:
            return found, True
    width = fit_limits(FitClass("h", DEFAULT_GRADE), diameter_mm).width_mm
    return width, False


def fault_limit(limit: Cited | None, stated: bool, diameter_mm: float) -> Cited | None:
    """Beyond which a diameter is no longer what the drawing asks for: its own limit, if stated.

    Where nothing is, the widest that a drawing without tolerances usually leaves to the shop; None
    where no table holds the size.
    """
    return limit if stated else general_width(UNSTATED, diameter_mm)


def general_width(stated: str, size_mm: float) -> Cited | None:
    """Width in mm of a general tolerance such as "ISO 2768-m" at this size."""
    letter = stated.strip()[-1:].lower()
    for entry in _general():
        if float(entry["over"]) < size_mm <= float(entry["to"]) and entry.get(letter):
            return Cited(
                2.0 * float(entry[letter]),
                "mm",
                "ISO 2768-1",
                f"class {letter}, over {entry['over']} to {entry['to']} mm",
                letter == "m" or (letter in "fc" and float(entry["to"]) <= 30.0),
            )
    return None


def _of_intent(segments: Collection[str], intent: Intent | None) -> Iterator[Cited]:
    for tolerance in intent.tolerances if intent is not None else ():
        if tolerance.of != "diameter" or not set(segments) & set(tolerance.place.segments):
            continue
        width = tolerance.width_mm
        if width is None and tolerance.limits_mm is not None:
            width = tolerance.limits_mm[1] - tolerance.limits_mm[0]
        if width is None and tolerance.deviations_mm is not None:
            width = tolerance.deviations_mm[1] - tolerance.deviations_mm[0]
        if width is not None and width > 0.0:
            yield Cited(width, "mm", "the intent", f"diameter {tolerance.stated}", verified=True)


def _of_file(segments: Collection[str], stated: Stated) -> Iterator[Cited]:
    for size in stated.sizes:
        if size.kind not in ("diameter", "radius") or not set(segments) & set(size.at.segments):
            continue
        width = None
        if size.least is not None and size.largest is not None:
            width = size.largest - size.least
        elif size.fit is not None and size.nominal is not None:
            fit = fit_class(size.fit)
            found = fit_limits(fit, size.nominal).width_mm if fit is not None else None
            width = found.value if found is not None else None
        if width is not None and width > 0.0:
            twice = 2.0 if size.kind == "radius" else 1.0
            yield Cited(twice * width, "mm", "the file's own tolerance", size.what, verified=True)


@cache
def _general() -> tuple[dict[str, str], ...]:
    text = resources.files("turnability.intent") / "tables" / "general_tolerances.csv"
    lines = [line for line in text.read_text("utf-8").splitlines() if not line.startswith("#")]
    return tuple(csv.DictReader(lines))


def stated_ra_um(segments: Collection[str], intent: Intent | None) -> float | None:
    """The finest roughness that the intent states for any of these segments, Ra in µm."""
    if intent is None:
        return None
    own = [r.ra_um for r in intent.roughness if set(segments) & set(r.place.segments)]
    return min(own, default=intent.ra_um)
