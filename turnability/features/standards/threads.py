"""Threads of the standards by pitch and diameter, within the standards' own tolerances.

An outside thread is told by its major diameter, an inside one by its minor diameter. The widest
usual tolerance classes bound what is matched: ISO 965-1 grade 8 with fundamental deviations H and
g, ASME B1.1 class 1 (its formulas), ISO 228-1's own columns, ISO 2903 grade 4 and 7e.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from turnability.features.model import StandardMatch
from turnability.features.standards import DRAWN_MM, rows

SAME_PITCH = 0.005
"""Pitches this close, as a share, are one pitch."""
FLANK_DEG = 1.0
_INCH = 25.4

Side: TypeAlias = Literal["outer", "inner"]


@dataclass(frozen=True, slots=True)
class ThreadSize:
    """One size: `outer_mm`, `inner_mm` bound the major diameter of a bolt, the minor one of a nut.

    `flank_deg`: half of the thread's angle. Lengths in mm.
    """

    designation: str
    standard: str
    form: str
    series: str
    major_mm: float
    minor_inside_mm: float
    minor_outside_mm: float
    pitch_mm: float
    flank_deg: float
    outer_mm: tuple[float, float]
    inner_mm: tuple[float, float]


@cache
def thread_sizes() -> tuple[ThreadSize, ...]:
    """All sizes of the tables: ISO metric, unified, ISO 228 pipe, ISO trapezoidal."""
    return (*_metric(), *_unified(), *_pipe(), *_trapezoidal())


def matches(
    side: Side,
    major_mm: float,
    minor_mm: float,
    pitch_mm: float,
    flanks_deg: tuple[float, float] | None,
) -> tuple[tuple[ThreadSize, float], ...]:
    """Sizes that a thread agrees with and by how much its diameter is off (mm), the nearest first.

    `flanks_deg` is None where the flanks were not seen.
    """
    found = []
    for size in thread_sizes():
        if abs(pitch_mm - size.pitch_mm) > SAME_PITCH * size.pitch_mm:
            continue
        if flanks_deg is not None and any(
            abs(flank - size.flank_deg) > FLANK_DEG for flank in flanks_deg
        ):
            continue
        low, high = size.outer_mm if side == "outer" else size.inner_mm
        measured = major_mm if side == "outer" else minor_mm
        basic = size.major_mm if side == "outer" else size.minor_inside_mm
        if low - DRAWN_MM <= measured <= high + DRAWN_MM:
            found.append((size, measured - basic))
    return tuple(sorted(found, key=lambda pair: abs(pair[1])))


def within(size: ThreadSize, side: Side, drawn_mm: float) -> float | None:
    """How far a plain cylinder drawn for this size is off it (mm); None where it is not so drawn.

    Outside threads are drawn with their major diameter, inside ones with the minor or the major.
    """
    if side == "outer":
        low, high = size.outer_mm
        return drawn_mm - size.major_mm if low - DRAWN_MM <= drawn_mm <= high + DRAWN_MM else None
    low, high = size.inner_mm
    if low - DRAWN_MM <= drawn_mm <= high + DRAWN_MM:
        return drawn_mm - size.minor_inside_mm
    off = drawn_mm - size.major_mm
    return off if abs(off) <= DRAWN_MM else None


def as_match(size: ThreadSize, residual_mm: float, hand: str, starts: int) -> StandardMatch:
    """The match with hand and starts in the designation.

    Metric threads of several starts are written with lead and pitch (ISO 965-1: M16xPh4P2),
    trapezoidal ones by lead and pitch too (ISO 2902: Tr40x14P7); others with their number.
    """
    text = size.designation
    if starts > 1:
        plain, lead = text.split("x")[0], f"{size.pitch_mm * starts:g}"
        if size.form == "metric":
            text = f"{plain}xPh{lead}P{size.pitch_mm:g}"
        elif size.form == "trapezoidal":
            text = f"{plain}x{lead}P{size.pitch_mm:g}"
        else:
            text = f"{text}, {starts} starts"
    if hand == "left":
        text += "-LH" if size.form != "trapezoidal" else "LH"
    return StandardMatch(size.standard, text, residual_mm)


def as_matches(
    size: ThreadSize, surface: Side, residual_mm: float, hand: str, starts: int
) -> tuple[StandardMatch, ...]:
    """The match, and inside a parallel pipe thread's name by ISO 7-1 too: Rp has the pitch and the
    diameters of G and seals on an R thread."""
    match = as_match(size, residual_mm, hand, starts)
    inch = size.designation.removeprefix("G")
    if surface == "outer" or size.series != "G" or starts > 1:
        return (match,)
    if all(row["designation"] != inch for row in rows("thread_pipe_r")):
        return (match,)
    sealing = f"Rp {inch}" + ("-LH" if hand == "left" else "")
    return (match, StandardMatch("ISO 7-1", sealing, residual_mm))


def _metric() -> Iterator[ThreadSize]:
    for row in rows("thread_metric"):
        p, d = float(row["pitch"]), float(row["major_d"])
        bolt, nut = _iso_bolt(p, 8), _iso_nut(p, 8)
        d1 = float(row["minor_internal_D1"])
        yield ThreadSize(
            row["designation"],
            "ISO 261",
            "metric",
            row["series"],
            d,
            d1,
            float(row["minor_external_d3"]),
            p,
            30.0,
            (d - _iso_g(p) - bolt, d),
            (d1, d1 + nut),
        )


def _iso_g(p: float) -> float:
    """Fundamental deviation g in mm: 15 + 11 P in µm (ISO 965-1; formula from memory)."""
    return (15.0 + 11.0 * p) / 1000.0


def _iso_bolt(p: float, grade: int) -> float:
    """Tolerance of a bolt's major diameter in mm (ISO 965-1; formula from memory).

    Grade 6: 180 P^(2/3) - 3.15 P^(-1/2) in µm; grade 4: 0.63, grade 8: 1.6 times that.
    """
    share = {4: 0.63, 6: 1.0, 8: 1.6}[grade]
    return share * (180.0 * math.pow(p, 2.0 / 3.0) - 3.15 / math.sqrt(p)) / 1000.0


def _iso_nut(p: float, grade: int) -> float:
    """Tolerance of a nut's minor diameter in mm (ISO 965-1; formula from memory).

    Grade 6: 433 P - 190 P^1.22 up to 0.8 mm pitch, 230 P^0.7 above, in µm; grade 8: 1.6 times.
    """
    share = {4: 0.63, 6: 1.0, 8: 1.6}[grade]
    six = 433.0 * p - 190.0 * math.pow(p, 1.22) if p <= 0.8 else 230.0 * math.pow(p, 0.7)
    return share * six / 1000.0


def _unified() -> Iterator[ThreadSize]:
    for row in rows("thread_unified"):
        d, p = float(row["major_d"]) * _INCH, float(row["pitch"]) * _INCH
        d1 = float(row["minor_internal_D1"]) * _INCH
        # ASME B1.1: class 1A major tolerance 0.09 p^(2/3) in inch, allowance 0.3 of a 2A pitch
        # tolerance (at most 0.003 in here); a nut's minor tolerance is below 0.2 p (from memory)
        bolt = 0.09 * (p / _INCH) ** (2.0 / 3.0) * _INCH + 0.003 * _INCH
        yield ThreadSize(
            row["designation"],
            "ASME B1.1",
            "unified",
            row["series"],
            d,
            d1,
            float(row["minor_external_d3"]) * _INCH,
            p,
            30.0,
            (d - bolt, d),
            (d1, d1 + 0.2 * p),
        )


def _pipe() -> Iterator[ThreadSize]:
    for row in rows("thread_pipe_g"):
        d, minor = float(row["major"]), float(row["minor"])
        yield ThreadSize(
            row["designation"],
            "ISO 228-1",
            "pipe-parallel",
            "G",
            d,
            minor,
            minor,
            float(row["pitch"]),
            27.5,
            (d - float(row["tol_external_major"]), d),
            (minor, minor + float(row["tol_internal_minor"])),
        )


def _trapezoidal() -> Iterator[ThreadSize]:
    for row in rows("thread_trapezoidal"):
        d, p = float(row["d"]), float(row["pitch"])
        d1 = float(row["minor_internal_D1"])
        yield ThreadSize(
            row["designation"],
            "ISO 2904",
            "trapezoidal",
            "Tr",
            d,
            d1,
            float(row["minor_external_d3"]),
            p,
            15.0,
            (d - _iso_bolt(p, 4), d),
            (d1, d1 + _iso_nut(p, 4)),
        )
