"""Threads by their designation, as drawings write them, to form, diameter and pitch in mm."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from turnability.features.standards import rows
from turnability.features.standards.threads import ThreadSize, thread_sizes

_INCH = 25.4
_NUMBER = r"\d+(?:[.,]\d+)?"
_METRIC = re.compile(
    rf"(M|TR)\s*({_NUMBER})(?:\s*X\s*(?:PH\s*({_NUMBER})\s*-?\s*P\s*({_NUMBER})"
    rf"|({_NUMBER})(?:\s*\(?P\s*({_NUMBER})\)?)?))?(.*)"
)
_UNIFIED = re.compile(
    r"(?:(?:#|NO\.?\s*)?(\d+)|(?:(\d+)[\s-]+)?(\d+)/(\d+))\s*-\s*(\d+)\s*(UN[A-Z]*|NPTF?)(.*)"
)
_PIPE = re.compile(r"(G|R|RC|RP|BSPP|BSPT)\s*(?:(\d+)[\s-]+)?(\d+)(?:/(\d+))?(.*)")
_JOINED = re.compile(r"LH|RH|LEFT|LINKS|[123]?[AB]")
_LEFT = re.compile(r"(?:^|[^A-Z])(?:LH|LINKS|LEFT)(?:[^A-Z]|$)")


@dataclass(frozen=True, slots=True)
class Designation:
    """What a designation says; lengths in mm. `pitch_mm` None: the text says none that is known.

    `size`: the standard's size where the tables have it. `taper`: a taper thread of 1:16.
    """

    text: str
    form: str
    major_mm: float
    pitch_mm: float | None
    hand: Literal["right", "left"]
    starts: int
    taper: bool
    size: ThreadSize | None


def parse(text: str) -> Designation | None:
    """Read "M12", "M20x1.5", "M16-LH", "1/4-20 UNC", "G1/2", "Tr20x4", "1/4-18 NPT"; else None."""
    code = " ".join(text.upper().replace("×", "X").split())
    hand: Literal["right", "left"] = (
        "left" if _LEFT.search(f" {code}") or _ends_left(code) else ("right")
    )
    if found := _METRIC.fullmatch(code):
        return _metric(text, found, hand)
    if found := _UNIFIED.fullmatch(code):
        return _unified(text, found, hand)
    if found := _PIPE.fullmatch(code):
        return _pipe(text, found, hand)
    return None


def _ends_left(code: str) -> bool:
    return code.endswith("LH")


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _sizes(series: str, major: float, pitch: float | None) -> list[ThreadSize]:
    sizes = [
        size
        for size in thread_sizes()
        if size.form == series and abs(size.major_mm - major) <= 0.005
    ]
    if pitch is not None:
        return [size for size in sizes if abs(size.pitch_mm - pitch) <= 0.005 * pitch]
    return [size for size in sizes if size.series in ("coarse", "UNC", "G")]


def _metric(text: str, found: re.Match[str], hand: Literal["right", "left"]) -> Designation | None:
    name, size, lead, pitch_of_lead, plain, pitch_in_brackets, rest = found.groups()
    if not _is_tail(rest):
        return None
    form = "metric" if name == "M" else "trapezoidal"
    pitch = None
    starts = 1
    if lead is not None:
        pitch = _number(pitch_of_lead)
        starts = round(_number(lead) / pitch)
    elif plain is not None:
        pitch = _number(plain)
        if pitch_in_brackets is not None:
            starts = round(pitch / _number(pitch_in_brackets))
            pitch = _number(pitch_in_brackets)
    major = _number(size)
    known = _sizes(form, major, pitch)
    if pitch is None and known:
        pitch = known[0].pitch_mm
    if pitch is not None and not 0.0 < pitch < major:
        return None
    return Designation(
        text, form, major, pitch, hand, max(1, starts), False, known[0] if known else None
    )


def _unified(text: str, found: re.Match[str], hand: Literal["right", "left"]) -> Designation | None:
    number, whole, over, under, tpi, series, rest = found.groups()
    if int(tpi) == 0 or (under is not None and int(under) == 0) or not _is_tail(rest):
        return None
    pitch = _INCH / int(tpi)
    pipe = series.startswith("NPT")
    if over is not None:
        inches = float(int(whole or 0) + Fraction(int(over), int(under)))
    elif pipe:
        inches = float(number)
    else:
        # ASME B1.1: number sizes are 0.060 in and 0.013 in more each; 1-8 UNC is one inch, 2-56
        # UNC a number size: the tables decide where no sign does
        inches = 0.060 + 0.013 * int(number)
        signed = "#" in found.string or "NO" in found.string
        if not signed and not _sizes("unified", inches * _INCH, pitch) and int(number) <= 4:
            inches = float(number)
    if pipe:
        label = re.sub(r"\s*(NPT)F?.*", r" \1", found.string)
        for row in rows("thread_pipe_npt"):
            if row["designation"].replace(" ", "").replace("-", "") == (
                label.replace(" ", "").replace("-", "")
            ):
                od = float(row["pipe_od"]) * _INCH
                return Designation(text, "NPT", od, pitch, hand, 1, True, None)
        return None
    known = _sizes("unified", inches * _INCH, pitch)
    return Designation(
        text, "unified", inches * _INCH, pitch, hand, 1, False, known[0] if known else None
    )


def _pipe(text: str, found: re.Match[str], hand: Literal["right", "left"]) -> Designation | None:
    name, whole, over, under, rest = found.groups()
    if (under is not None and int(under) == 0) or not _is_tail(rest):
        return None
    inch = int(whole or 0) + Fraction(int(over), int(under or 1))
    for size in thread_sizes():
        if size.form == "pipe-parallel" and _inches(size.designation) == inch:
            # ISO 7-1 (R, Rc, Rp) shares diameters and pitches with ISO 228-1 at the gauge plane
            taper = name in ("R", "RC", "BSPT")
            form = "pipe-taper" if taper else "pipe-parallel"
            return Designation(
                text, form, size.major_mm, size.pitch_mm, hand, 1, taper, None if taper else size
            )
    return None


def _inches(designation: str) -> Fraction:
    parts = designation[1:].split()
    return sum((Fraction(part) for part in parts), Fraction(0))


def _is_tail(rest: str) -> bool:
    """What may follow: a tolerance class, a hand, a length; joined to the size but a hand or grade.

    "M2O" is a slip for M20, no M2.
    """
    joined = re.match(r"[\dA-Z/]+", rest)
    if joined is not None and not _JOINED.fullmatch(joined[0]):
        return False
    return re.fullmatch(r"[\s-]*(?:[\dA-Z/]+[\s-]*)*", rest) is not None and "X" not in rest
