"""The drawing of a taper turned between centres, the tailstock set over, to scale from above.

Made from the JSON document alone, in the classes of `set_over_style`. Who turns it stands below.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from turnability.half_plane.curves import Point
from turnability.outputs.drawing.sheet import line_data
from turnability.outputs.report_page.section import curve_of

Json = dict[str, Any]

WIDTH, TALLEST = 680.0, 210.0
EDGE_PX, ABOVE_PX, BELOW_PX, BESIDE_PX = 8.0, 10.0, 34.0, 118.0
_CENTRES = 0.09
"""Of the work's length so much is shown of the centre at either end."""
_CHORD_MM = 0.02
_SHANK_MM = 12.0
"""Radius of a centre's shank at most: Morse taper 3, 23.8 mm (ISO 296)."""


def taper_figure(document: Json, place: int, label: str, told: Callable[[float], str]) -> str:
    """An SVG element for `plan.tapers[place]`; `told` gives a length in mm as text safe for XML."""
    drawn = TaperDrawn(document, place)
    body = "".join((*drawn.work(), *drawn.held(), *drawn.axes(told)))
    return (
        f'<svg class="set-over" role="img" aria-label="{label}" '
        f'viewBox="0 0 {WIDTH:.0f} {drawn.height:.1f}" width="{WIDTH:.0f}" '
        f'height="{drawn.height:.0f}">{body}</svg>'
    )


class TaperDrawn:
    """x along the lathe from the headstock's centre, y away from whoever turns it, mm."""

    def __init__(self, document: Json, place: int) -> None:
        self.one: Json = document["plan"]["tapers"][place]
        self.profile: Json = document["profile"]
        self.length: float = self.profile["length_mm"]
        self.low = self.one["toward_chuck"] == "low"
        self.side = -1.0 if self.one["toward_you"] else 1.0
        self.tilt = math.atan2(self.side * self.one["set_over_mm"], self.length)
        radius = self.profile["max_diameter_mm"] / 2.0
        self.half = 1.7 * radius + 6.0
        self.beyond = _CENTRES * self.length + 0.5 * radius
        room = WIDTH - 2.0 * EDGE_PX - BESIDE_PX
        self.px = min(room / (self.length + 2.0 * self.beyond), TALLEST / (2.0 * self.half))
        self.x0 = EDGE_PX + self.beyond * self.px
        self.y0 = ABOVE_PX + self.half * self.px
        self.height = self.y0 + self.half * self.px + BELOW_PX

    def on_work(self, z: float, y: float) -> Point:
        """A place of the work in px: z along its own axis in the part's frame, y beside that."""
        along = z if self.low else self.length - z
        sine, cosine = math.sin(self.tilt), math.cos(self.tilt)
        return self.at(along * cosine - y * sine, along * sine + y * cosine)

    def at(self, x: float, y: float) -> Point:
        """A place of the lathe in px."""
        return (self.x0 + x * self.px, self.y0 - y * self.px)

    def work(self) -> Iterator[str]:
        """The part as it is at the end, its taper's front thick."""
        fill: list[str] = []
        plain: list[str] = []
        cut: list[str] = []
        for loop in self.profile["loops"]:
            for way in (1.0, -1.0):
                ring: list[Point] = []
                for segment in loop["segments"]:
                    points = [(float(z), way * float(r)) for z, r in self._flat(segment)]
                    placed = [self.on_work(z, y) for z, y in points]
                    ring += placed[:-1]
                    if segment["surface"] != "axis":
                        own = segment["id"] in self.one["segments"]
                        (cut if own and way < 0.0 else plain).append(line_data(placed))
                fill.append(line_data(ring) + "Z")
        yield _path("".join(fill), "over-work")
        yield _path("".join(plain), "over-edge")
        yield _path("".join(cut), "over-cut")

    def _flat(self, segment: Json) -> Any:
        return curve_of(segment).flatten(_CHORD_MM)

    def held(self) -> Iterator[str]:
        """Both centres along the lathe, and the dog on the work."""
        tail = self._end_of_work()
        for x, y, way in ((0.0, 0.0, -1.0), (*tail, 1.0)):
            shank = min(_SHANK_MM, 0.8 * self.beyond)
            hole = 0.25 * min(self._end_radius(way), shank)
            tip = x - way * hole * math.sqrt(3.0)
            foot, back = tip + way * shank * math.sqrt(3.0), x + way * self.beyond
            corners = [(tip, 0.0), (foot, shank), (back, shank), (back, -shank), (foot, -shank)]
            yield _path(line_data(self.at(a, y + b) for a, b in corners) + "Z", "over-grip")
        if self.one["dog_z_mm"] is not None:
            (low, high), r = self.one["dog_z_mm"], self.one["dog_diameter_mm"] / 2.0
            for way in (1.0, -1.0):
                box = [(low, r), (high, r), (high, 1.6 * r + 6.0), (low, 1.6 * r + 6.0)]
                yield _path(line_data(self.on_work(z, way * y) for z, y in box) + "Z", "over-grip")

    def _end_of_work(self) -> Point:
        return (self.length * math.cos(self.tilt), self.length * math.sin(self.tilt))

    def _end_radius(self, way: float) -> float:
        """Of the face at that end of the work."""
        at = self.length if (way > 0.0) == self.low else 0.0
        radii = [
            p[1]
            for loop in self.profile["loops"]
            for s in loop["segments"]
            for p in (s["start"], s["end"])
            if abs(p[0] - at) < 1e-3
        ]
        return float(max(radii, default=_SHANK_MM))

    def axes(self, told: Callable[[float], str]) -> Iterator[str]:
        """The line of the spindle, the work's own axis, the set-over between them, the feed."""
        x, y = self._end_of_work()
        right = self.at(x + self.beyond, 0.0)[0]
        (hx, hy), (tx, ty) = self.at(0.0, 0.0), self.at(x, y)
        yield _path(f"M0 {hy:.1f}H{right + 24.0:.1f}", "over-axis over-turned")
        yield _path(f"M{hx:.1f} {hy:.1f}L{tx:.1f} {ty:.1f}", "over-axis")
        yield _path(f"M{tx:.1f} {ty:.1f}H{right + 24.0:.1f}", "over-leader")
        size = right + 14.0
        upper, lower = min(hy, ty), max(hy, ty)
        yield _path(f"M{size:.1f} {upper - 12.0:.1f}V{lower + 12.0:.1f}", "over-leader")
        for tip, way in ((upper, -1.0), (lower, 1.0)):
            yield _path(f"M{size:.1f} {tip:.1f}l-2.5 {7.0 * way:g}h5z", "over-dot")
        words = "toward you" if self.one["toward_you"] else "away from you"
        yield _text(
            right + 28.0, (upper + lower) / 2.0 - 2.0, told(round(self.one["set_over_mm"], 2))
        )
        yield _text(right + 28.0, (upper + lower) / 2.0 + 10.0, words)
        yield from self._feed()
        middle, below = self.at(self.length / 2.0, 0.0)[0], self.height - 6.0
        yield _text(middle, below, "seen from above, whoever turns it stands here", "over-middle")

    def _feed(self) -> Iterator[str]:
        """An arrow along the taper's front, toward the headstock."""
        spots = [
            self.on_work(float(z), -float(r))
            for loop in self.profile["loops"]
            for s in loop["segments"]
            if s["id"] in self.one["segments"]
            for z, r in (s["start"], s["end"])
        ]
        begin, end = max(p[0] for p in spots), min(p[0] for p in spots)
        y = max(p[1] for p in spots) + 9.0
        yield _path(f"M{begin:.1f} {y:.1f}H{end + 6.0:.1f}", "over-feed")
        yield _path(f"M{end:.1f} {y:.1f}l8 -3v6z", "over-feed-tip")


def _path(data: str, name: str) -> str:
    return f'<path class="{name}" d="{data}"/>' if data else ""


def _text(x: float, y: float, words: str, name: str = "over-word") -> str:
    return f'<text class="{name}" x="{x:.1f}" y="{y:.1f}">{words}</text>'
