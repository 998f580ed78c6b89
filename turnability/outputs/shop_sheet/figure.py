"""One tool drawn to scale: what cuts, what must not touch, its sizes."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from turnability.outputs.drawing.scale import Scale
from turnability.outputs.drawing.sheet import text_width
from turnability.outputs.shop_sheet.window import Window
from turnability.outputs.shop_sheet.words import doubtful, value_text
from turnability.shop.model import Hand, Tool

LEFT_PX, BELOW_PX, EDGE_PX = 58.0, 30.0, 8.0
_TEXT_PX = 12.0
_TICK_PX = 4.0


@dataclass(frozen=True, slots=True)
class Size:
    """A dimension line along z or r between two places in mm, for one of the tool's limits."""

    along: str
    ends: tuple[float, float]
    limit: str
    mark: str = ""


@dataclass(slots=True)
class _Drawing:
    marks: list[str] = field(default_factory=list)

    def path(self, data: str, name: str) -> None:
        self.marks.append(f'<path class="{name}" d="{data}"/>')

    def text(self, x: float, y: float, words: str, name: str, anchor: str = "middle") -> None:
        self.marks.append(
            f'<text class="{name}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">'
            f"{html.escape(words)}</text>"
        )


def sizes_of(tool: Tool) -> tuple[Size, ...]:
    """The dimensions to draw: at most one along z and one along r."""
    limits = tool.limits
    found: list[Size] = []

    def add(along: str, limit: str, ends: tuple[float, float], mark: str = "") -> None:
        if limit in limits and all(size.along != along for size in found):
            found.append(Size(along, ends, limit, mark))

    flip = -1.0 if tool.hand == "left" and tool.access == "outer" else 1.0
    if tool.access == "inner":
        add("z", "overhang_mm", (0.0, limits.get("overhang_mm", 0.0)))
        add("r", "min_bore_mm", (-limits.get("min_bore_mm", 0.0), 0.0))
    elif tool.on_axis:
        add("z", "usable_length_mm", (0.0, limits.get("usable_length_mm", 0.0)))
        for limit in ("diameter_mm", "major_mm", "mouth_diameter_mm"):
            half = limits.get(limit, 0.0) / 2.0
            add("r", limit, (-half, half), "⌀")
    elif tool.access == "end":
        add("z", "depth_mm", (0.0, limits.get("depth_mm", 0.0)))
        add("r", "width_mm", (0.0, limits.get("width_mm", 0.0)))
    else:
        add("z", "width_mm", (0.0, flip * limits.get("width_mm", 0.0)))
        add("z", "f_mm", (0.0, flip * limits.get("f_mm", 0.0)), "f ")
        add("r", "depth_mm", (0.0, limits.get("depth_mm", 0.0)))
    return tuple(found)


def figure(tool: Tool, window: Window, px_per_mm: float, inch: bool, number: int) -> str:
    """An SVG element of the tool; `number` makes its clip path's name its own."""
    width, height = window.width_mm * px_per_mm, window.height_mm * px_per_mm
    sizes = sizes_of(tool)
    left = LEFT_PX if any(s.along == "r" for s in sizes) else EDGE_PX
    below = BELOW_PX if any(s.along == "z" for s in sizes) else EDGE_PX
    scale = Scale(left - window.z[0] * px_per_mm, EDGE_PX + window.r[1] * px_per_mm, px_per_mm)
    drawing = _Drawing()
    clip = f"c{number}"
    drawing.marks.append(
        f'<clipPath id="{clip}"><rect x="{left:.1f}" y="{EDGE_PX:.1f}" '
        f'width="{width:.1f}" height="{height:.1f}"/></clipPath><g clip-path="url(#{clip})">'
    )
    for ring in tool.outlines.body:
        drawing.path(scale.ring_data(ring), "body")
    for ring in tool.outlines.cutting:
        drawing.path(scale.ring_data(ring), "cut")
    _work(drawing, tool, window, scale)
    _feed(drawing, tool, window, scale)
    drawing.marks.append("</g>")
    x, y = scale.place((0.0, 0.0))
    drawing.path(f"M{x - 5:.1f} {y:.1f}h10M{x:.1f} {y - 5:.1f}v10", "point")
    for size in sizes:
        if size.along == "z":
            _across(drawing, tool, size, scale, EDGE_PX + height, inch, left + width)
        else:
            _upright(drawing, tool, size, scale, left, inch)
    w, h = left + width + EDGE_PX, EDGE_PX + height + below
    label = html.escape(f"{tool.name}, drawn to scale", quote=True)
    return (
        f'<svg role="img" aria-label="{label}" viewBox="0 0 {w:.1f} {h:.1f}" '
        f'width="{w:.1f}" height="{h:.1f}">{"".join(drawing.marks)}</svg>'
    )


def _work(drawing: _Drawing, tool: Tool, window: Window, scale: Scale) -> None:
    """The axis of a drill; the walls and the axis of the smallest bore that takes a bar."""
    levels: Sequence[tuple[float, str]] = ()
    if tool.on_axis:
        levels = ((0.0, "axis"),)
    elif tool.access == "inner" and "min_bore_mm" in tool.limits:
        bore = tool.limits["min_bore_mm"]
        levels = ((0.0, "wall"), (-bore, "wall"), (-bore / 2.0, "axis"))
    for r, name in levels:
        x0, y = scale.place((window.z[0], r))
        x1, _ = scale.place((window.z[1], r))
        drawing.path(f"M{x0:.1f} {y:.1f}H{x1:.1f}", name)


def _feed(drawing: _Drawing, tool: Tool, window: Window, scale: Scale) -> None:
    """An arrow on what holds the tool: which way it feeds."""
    if window.holder is None:
        return
    z0, r0, z1, r1 = window.holder
    x, y = scale.place(((z0 + z1) / 2.0, (r0 + r1) / 2.0))
    room = 0.7 * scale.px_per_mm * (r1 - r0 if feed_of(tool) == "in" else z1 - z0)
    half = min(11.0, room / 2.0)
    if half < 4.0:
        return
    dx, dy = {"chuck": (-1, 0), "both": (-1, 0), "away": (1, 0), "in": (0, 1)}[feed_of(tool)]
    ends = [(dx, dy)] if feed_of(tool) != "both" else [(-1, 0), (1, 0)]
    data = f"M{x - half * dx:.1f} {y - half * dy:.1f}L{x + half * dx:.1f} {y + half * dy:.1f}"
    for ux, uy in ends:
        px, py = x + half * ux, y + half * uy
        for side in (-4.0, 4.0):
            data += (
                f"M{px - 5 * ux + side * uy:.1f} {py - 5 * uy + side * ux:.1f}L{px:.1f} {py:.1f}"
            )
    drawing.path(data, "feed")


def feed_of(tool: Tool) -> Literal["chuck", "away", "both", "in"]:
    """Toward the chuck, away from it, both along z, or straight in (blades)."""
    if tool.access != "outer":
        return "chuck"
    if "width_mm" in tool.limits:
        return "in"
    hands: dict[Hand, Literal["chuck", "away", "both"]]
    hands = {"right": "chuck", "left": "away", "neutral": "both"}
    return hands[tool.hand]


def _across(
    drawing: _Drawing, tool: Tool, size: Size, scale: Scale, low_px: float, inch: bool, most: float
) -> None:
    """A dimension along z, below the drawing."""
    (x0, y0), (x1, _) = (scale.place((z, 0.0)) for z in sorted(size.ends))
    y = low_px + 9.0
    for x in (x0, x1):
        drawing.path(f"M{x:.1f} {y0:.1f}V{y + _TICK_PX:.1f}", "thin")
    drawing.path(f"M{x0:.1f} {y:.1f}H{x1:.1f}" + _ticks(x0, y) + _ticks(x1, y), "size")
    words, name = _label(tool, size, inch)
    half = text_width(words, _TEXT_PX) / 2.0
    middle = min(max((x0 + x1) / 2.0, half), max(most - half, half))
    drawing.text(middle, y + 16.0, words, name)


def _upright(
    drawing: _Drawing, tool: Tool, size: Size, scale: Scale, left_px: float, inch: bool
) -> None:
    """A dimension along r, left of the drawing."""
    low, high = sorted(size.ends)
    (x0, y0), (_, y1) = scale.place((0.0, high)), scale.place((0.0, low))
    x = left_px - 6.0
    for y in (y0, y1):
        drawing.path(f"M{x - _TICK_PX:.1f} {y:.1f}H{max(x0, x):.1f}", "thin")
    drawing.path(f"M{x:.1f} {y0:.1f}V{y1:.1f}" + _ticks(x, y0) + _ticks(x, y1), "size")
    words, name = _label(tool, size, inch)
    drawing.text(x - 4.0, (y0 + y1) / 2.0 + 4.0, words, name, "end")


def _label(tool: Tool, size: Size, inch: bool) -> tuple[str, str]:
    doubt = doubtful(tool, size.limit)
    words = value_text(size.limit, tool.limits[size.limit], inch)
    words = words.rsplit(" ", 1)[0]  # the page says the unit
    mark = "" if words.startswith(size.mark or " ") else size.mark
    return f"{mark}{words}{'*' if doubt else ''}", "label doubt" if doubt else "label"


def _ticks(x: float, y: float) -> str:
    return f"M{x - 3:.1f} {y + 3:.1f}L{x + 3:.1f} {y - 3:.1f}"
