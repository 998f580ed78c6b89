"""Threading inserts: the point that cuts a thread's groove, by what is engraved on the insert.

The point is drawn for the largest pitch of its range, with the root radius that the least pitch
allows (ISO 68-1: at most H/6, H = P √3/2). Frame as in `corner.py`: an outside tool, the point at
the origin, the two flanks 30 degrees to each side of r. An inside one is mirrored in r.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.half_plane.curves import Ring
from turnability.shop.books import cite, row, rows
from turnability.shop.rings import rounded_ring
from turnability.shop.thread_code import HEIGHT
from turnability.toml_file.keys import Fault, Key
from turnability.units import MM_PER_INCH

POINT_KEYS = (
    Key("insert", "text", 'the insert: insert = "16ER AG60", "16ER 1.5 ISO" or "16IR 20 UN"'),
    Key("pitch_mm", "span", "pitches it cuts, [least, greatest], where no insert says them"),
)
_CODE = re.compile(r"(\d\d)([EI])([RL])\s*(?:([A-Z]+60)|(\d+(?:\.\d+)?)\s*(ISO|UN))")
_SIDES = {"E": "external", "I": "internal"}
_DEPTH = {"E": 17.0 / 24.0, "I": 15.0 / 24.0}
"""Depth of the thread by H, from crest to root: (d - d3)/2 outside, (d - D1)/2 inside."""


@dataclass(frozen=True, slots=True)
class ThreadPoint:
    """Pitches that it cuts, in mm; hand; smallest bore of the usual bar where a table says it."""

    designation: str
    side: str
    hand: str
    pitch_mm: tuple[float, float]
    least: Cited | None = None
    most: Cited | None = None
    min_bore: Cited | None = None

    @property
    def depth_mm(self) -> float:
        """Depth of the deepest thread."""
        return _DEPTH[self.side] * HEIGHT * self.pitch_mm[1]

    @property
    def nose_mm(self) -> float:
        """The root radius of the finest thread: H/6."""
        return HEIGHT * self.pitch_mm[0] / 6.0

    def ring(self) -> Ring:
        """The point, as wide as the deepest thread asks."""
        sharp = self.nose_mm  # the sharp corner lies r/sin 30 - r below the nose
        top = self.depth_mm
        half = (top + sharp) * math.tan(math.radians(30.0))
        return rounded_ring([(0.0, -sharp), (half, top), (-half, top)], [self.nose_mm, 0.0, 0.0])

    def limits(self) -> dict[str, float]:
        """What people see of it."""
        return {
            "least_pitch_mm": self.pitch_mm[0],
            "most_pitch_mm": self.pitch_mm[1],
            "nose_radius_mm": self.nose_mm,
            "thread_depth_mm": self.depth_mm,
        }

    def sources(self) -> dict[str, Cited]:
        """What its pitches rest on, where a table gave them."""
        found = {"least_pitch_mm": self.least, "most_pitch_mm": self.most}
        return {name: value for name, value in found.items() if value is not None}


def thread_point(side: str, insert: str | None, pitch: tuple[float, float] | None) -> ThreadPoint:
    """The point of an insert for a `side`, "E" outside or "I" inside. Raises Fault."""
    if insert is None:
        if pitch is None:
            raise Fault(None, "has no insert", 'Add it: insert = "16ER AG60", or pitch_mm')
        told = f"60° point, pitch {pitch[0]:g} to {pitch[1]:g}"
        return ThreadPoint(told, side, "R", pitch)
    match = _CODE.fullmatch(" ".join(insert.upper().split()))
    if not match:
        raise Fault(
            "insert",
            f'"{insert}" is no threading insert that is known',
            "Write its size, E or I, R or L, and its profile, as in 16ER AG60, 16ER 1.5 ISO or "
            "16IR 20 UN; or give pitch_mm",
        )
    size, at, hand, partial, full, form = match.groups()
    if at != side:
        other = "inside" if at == "I" else "outside"
        raise Fault("insert", f'"{insert}" cuts {other}', f"Letter 3 must be {side} here")
    if full is not None:
        value = float(full)
        each = value if form == "ISO" else MM_PER_INCH / value if value > 0.0 else 0.0
        if not 0.1 <= each <= 25.0:
            raise Fault("insert", f'"{insert}" has no pitch that can be', "Correct its profile")
        if pitch is not None:
            raise Fault("pitch_mm", "is given beside a full profile", "Keep one of the two")
        return ThreadPoint(insert, side, hand, (each, each), None, None, _bore(side, size))
    entry = row("threading_inserts", side=_SIDES[side], size=size, profile=f"{partial} partial")
    if pitch is None and entry is None:
        known = ", ".join(
            f"{r['size']}{side}R {r['profile'].split()[0]}"
            for r in rows("threading_inserts")
            if r["side"] == _SIDES[side]
        )
        raise Fault(
            "insert",
            f'the pitches of "{insert}" are not known',
            f"Add pitch_mm = [least, greatest]; known are {known}",
        )
    if pitch is not None or entry is None:
        return ThreadPoint(insert, side, hand, pitch or (0.0, 0.0), None, None, _bore(side, size))
    least = cite(entry, "threading_inserts", "pitch_min_mm", "mm")
    most = cite(entry, "threading_inserts", "pitch_max_mm", "mm")
    span = (least.value, most.value)
    return ThreadPoint(insert, side, hand, span, least, most, _bore(side, size))


def _bore(side: str, size: str) -> Cited | None:
    entry = row("threading_inserts", side=_SIDES[side], size=size)
    if entry is None or not entry["min_bore_mm"]:
        return None
    return cite(entry, "threading_inserts", "min_bore_mm", "mm")
