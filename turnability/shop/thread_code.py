"""Threads by their designation: metric, unified and trapezoidal, and the depths of their profile.

ISO 68-1 and ASME B1.1 share one basic profile of 60 degrees: sharp height H = P √3/2, minor
diameter of an inside thread d - 1.25 H, of an outside thread d - 17/12 H, root radius up to H/6.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.shop.books import cite, row, rows
from turnability.toml_file.keys import Fault, Key
from turnability.units import MM_PER_INCH

THREAD_KEYS = (
    Key("thread", "text", 'the thread: thread = "M10", "M10x1", "1/4-20 UNC" or "Tr20x4"'),
    Key("major_mm", "length", "major diameter, where no designation says it"),
    Key("pitch_mm", "length", "pitch, where no designation says it"),
)
_METRIC = re.compile(r"(M|TR)\s*(\d+(?:\.\d+)?)(?:\s*[X×]\s*(\d+(?:\.\d+)?))?")
_UNIFIED = re.compile(
    r"(?:(?:#|NO\.?\s*)(\d+)|(?:(\d+)[\s-]+)?(\d+)(?:/([1-9]\d*))?)\s*-\s*(\d+)(?:\s*UN[A-Z]*)?"
)
HEIGHT = math.sqrt(3.0) / 2.0
"""H by the pitch (ISO 68-1)."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread's major diameter and pitch in mm; `source` of the pitch where a table gave it."""

    designation: str
    major_mm: float
    pitch_mm: float
    source: Cited | None = None

    @property
    def sources(self) -> dict[str, Cited]:
        """What the limits of a tool for this thread rest on."""
        return {} if self.source is None else {"pitch_mm": self.source}

    @property
    def minor_inside_mm(self) -> float:
        """Minor diameter of the nut: d - 1.25 H."""
        return self.major_mm - 1.25 * HEIGHT * self.pitch_mm

    @property
    def minor_outside_mm(self) -> float:
        """Minor diameter of the bolt: d - 17/12 H."""
        return self.major_mm - 17.0 / 12.0 * HEIGHT * self.pitch_mm


def thread_of(given: str | None, major: float | None, pitch: float | None) -> Thread:
    """A thread by its designation, or by diameter and pitch. Raises Fault."""
    if given is None:
        if major is None or pitch is None:
            raise Fault(None, "has no thread", 'Add it: thread = "M10", or major_mm and pitch_mm')
        made = Thread(f"⌀{major:g} × {pitch:g}", major, pitch)
    elif major is not None or pitch is not None:
        raise Fault("thread", "is given beside major_mm or pitch_mm", "Keep one of the two")
    else:
        made = parse_thread(given)
    if made.minor_outside_mm <= 0.0:
        told = ("has a pitch of ", made.pitch_mm, " on a diameter of ", made.major_mm)
        raise Fault("thread" if given else "pitch_mm", told, "Correct pitch or diameter")
    return made


def parse_thread(text: str, key: str = "thread") -> Thread:
    """Read "M10", "M10x1", "Tr20x4", "1/4-20 UNC", "#10-24". Raises Fault."""
    code = " ".join(text.upper().split())
    metric, unified = _METRIC.fullmatch(code), _UNIFIED.fullmatch(code)
    if metric:
        form, size, stated = metric.groups()
        source = None
        if stated is None:
            entry = row("thread_coarse", designation=f"{form}{float(size):g}")
            if entry is None:
                known = ", ".join(r["designation"] for r in rows("thread_coarse"))
                raise Fault(
                    key,
                    f'"{text}" has no coarse pitch that is known',
                    f"Write its pitch, as in M10x1; coarse pitches are known of {known}",
                )
            source = cite(entry, "thread_coarse", "pitch_mm", "mm")
            stated = entry["pitch_mm"]
        name = "Tr" if form == "TR" else "M"
        return Thread(
            f"{name}{float(size):g}x{float(stated):g}", float(size), float(stated), source
        )
    if unified:
        number, whole, over, under, tpi = unified.groups()
        if number is not None:  # ASME B1.1: number sizes are 0.060 in and 0.013 in more each
            inches = 0.060 + 0.013 * int(number)
        else:
            inches = int(whole or 0) + int(over) / int(under or 1)
        if inches > 0.0 and int(tpi) > 0:
            return Thread(code, inches * MM_PER_INCH, MM_PER_INCH / int(tpi))
    raise Fault(
        key,
        f'"{text}" is no thread designation that is known',
        "Write M10, M10x1, Tr20x4, 1/4-20 UNC or #10-24, or give major_mm and pitch_mm",
    )
