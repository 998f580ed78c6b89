"""Tolerance classes of ISO 286: the width that a grade gives, and where it lies about the nominal.

What the tables here do not hold stays unknown: grades coarser than IT14, sizes over 500 mm, and
what the standard itself has no position for (t up to 24 mm, j but for a few grades, K9 over 3 mm).
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

from turnability.cited import Cited

_CLASS = re.compile(r"(js|cd|ef|fg|z[abc]|[a-hjkmnpr-vx-z])(01|0|1[0-8]|[1-9])", re.IGNORECASE)
LARGEST_MM = 500.0
"""Up to here the tables go."""
_LETTERS = (
    "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j", "k", "m", "n", "p", "r",
    "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc",
)  # fmt: skip
_CLEAR = _LETTERS[: _LETTERS.index("h")]
_TO_IT8 = ("k", "m", "n")
_TINY_MM, _SMALL_MM = 1.0, 3.0
_M6 = (250.0, 315.0, -9.0)
"""Over, up to and ES in µm of the one hole that the standard takes out of its rule, M6."""


@dataclass(frozen=True, slots=True)
class FitClass:
    """A tolerance class such as h6 (shafts, small letters) or H7 (holes, capitals)."""

    letter: str
    grade: int

    @property
    def hole(self) -> bool:
        """Whether it is for holes."""
        return self.letter.isupper()

    @property
    def grade_text(self) -> str:
        """The grade as the standard writes it; IT01 lies below IT0."""
        return str(self.grade) if self.grade >= 0 else "01"

    def __str__(self) -> str:
        return f"{self.letter}{self.grade_text}"


@dataclass(frozen=True, slots=True)
class FitLimits:
    """Deviations (lower, upper) and width in mm, None where no table here holds them."""

    deviations_mm: tuple[float, float] | None
    width_mm: Cited | None


def fit_class(text: str) -> FitClass | None:
    """The class that a text such as "h6" names; None where it names none."""
    found = _CLASS.fullmatch(text.strip())
    if found is None or not (found[1].islower() or found[1].isupper()):
        return None
    return FitClass(found[1], -1 if found[2] == "01" else int(found[2]))


def fit_limits(fit: FitClass, nominal_mm: float) -> FitLimits:
    """What the standard's tables say of this class at this nominal size.

    By definition h ends and H begins at the nominal, js and JS lie evenly about it; all others by
    the table of fundamental deviations.
    """
    row = _row("it_grades", nominal_mm)
    column = f"IT{fit.grade_text}"
    if row is None or column not in row:
        return FitLimits(None, None)
    grade_um = float(row[column])
    least, most = (1, 14) if row["verified"] == "yes" else (5, 11)
    checked = least <= fit.grade <= most
    width = Cited(
        grade_um / 1000.0,
        "mm",
        "ISO 286-1",
        f"standard tolerance {column} over {row['d_over']} to {row['d_to']} mm",
        checked,
    )
    from_um = _lower_um(fit, nominal_mm, grade_um)
    if from_um is None:
        return FitLimits(None, width)
    return FitLimits((from_um / 1000.0, (from_um + grade_um) / 1000.0), width)


def letters_for(fit: FitClass, nominal_mm: float) -> tuple[str, ...]:
    """The letters that have limits here at this size and grade, of holes where `fit` is one."""
    letters = [letter.upper() if fit.hole else letter for letter in _LETTERS]
    return tuple(
        letter
        for letter in letters
        if fit_limits(FitClass(letter, fit.grade), nominal_mm).deviations_mm is not None
    )


def _lower_um(fit: FitClass, nominal_mm: float, grade_um: float) -> float | None:
    """The lower deviation in micrometres."""
    letter = fit.letter.lower()
    if letter == "js":
        return -0.5 * grade_um
    if letter == "h":
        return 0.0 if fit.hole else -grade_um
    row = _row("fundamental_deviations", nominal_mm)
    if row is None or (letter in ("a", "b") and nominal_mm <= _TINY_MM):
        return None
    found = row.get(f"{fit.letter}{fit.grade}" if letter == "j" else letter)
    if not found:
        return None
    value = float(found)
    if letter in _CLEAR:
        return -value if fit.hole else value - grade_um
    if fit.hole:
        most = value if letter == "j" else _hole_um(fit, nominal_mm, value, grade_um)
        return None if most is None else most - grade_um
    return 0.0 if letter == "k" and not 4 <= fit.grade <= 7 else value


def _hole_um(fit: FitClass, nominal_mm: float, value: float, grade_um: float) -> float | None:
    """ES in micrometres of a hole K to ZC, from the shaft's ei, its `value`."""
    letter, small = fit.letter.lower(), nominal_mm <= _SMALL_MM
    if fit.grade <= (8 if letter in _TO_IT8 else 7):
        if small:
            return -value
        if fit.grade < 3:
            return None
        over, to, special = _M6
        if str(fit) == "M6" and over < nominal_mm <= to:
            return special
        finer = _row("it_grades", nominal_mm)
        assert finer is not None
        return grade_um - float(finer[f"IT{fit.grade - 1}"]) - value
    if letter == "k" or (letter == "n" and nominal_mm <= _TINY_MM):
        return -value if letter == "k" and small else None
    return 0.0 if letter == "n" and not small else -value


def _row(table: str, nominal_mm: float) -> dict[str, str] | None:
    """The band that is over its lower end, up to and including its upper one."""
    if not 0.0 < nominal_mm <= LARGEST_MM:
        return None
    return next(row for row in _rows(table) if nominal_mm <= float(row["d_to"]) + 1e-9)


@cache
def _rows(table: str) -> tuple[dict[str, str], ...]:
    text = (resources.files("turnability.intent") / "tables" / f"{table}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return tuple(csv.DictReader(lines))
