"""The view of the free end of work that is set over: the throw, the jaws, where a dial reads most.

The eccentric stands up from the part's own axis, its own axis in the middle of the chuck.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from turnability.half_plane.curves import Point
from turnability.outputs.drawing.set_over_section import Cylinder

_JAW = 0.2
"""Width of a jaw over the diameter of its chuck, by usual proportion."""


@dataclass(frozen=True, slots=True)
class EndView:
    """What there is to see, sizes in mm; angles of `marks` in degrees from the eccentric's own,
    anticlockwise as it is seen, those of `others` times `sense` too.

    `held_mm` is the diameter in the jaws. Those are four independent ones, or three with so much
    packing (`packed_mm`) under one of them; work on `centres` has none.
    """

    names: str
    offset_mm: float
    half_mm: float
    outside_mm: float
    held_mm: float | None
    chuck_mm: float | None
    packed_mm: float | None
    centres: bool
    own: tuple[Cylinder, ...]
    others: tuple[tuple[str, Cylinder], ...]
    marks: tuple[tuple[str, float], ...]
    sense: float
    free_end: Literal["low", "high"]


def end_view(
    view: EndView, square: float, middle: Point, told: Callable[[float], str]
) -> Iterator[str]:
    """Its SVG in a square of that many px round the axis that is turned about."""
    px = square / (2.0 * view.half_mm)
    x, y = middle
    own_y = y + view.offset_mm * px
    left, top = x - square / 2.0, y - square / 2.0
    yield f'<svg x="{left:.1f}" y="{top:.1f}" width="{square:.1f}" height="{square:.1f}" '
    yield f'viewBox="{left:.1f} {top:.1f} {square:.1f} {square:.1f}">'
    if view.chuck_mm is not None and not view.centres:
        yield _circle(x, y, view.chuck_mm / 2.0 * px, "over-body")
    yield from _jaws(view, px, middle)
    if view.held_mm is not None:
        yield _circle(x, own_y, view.held_mm / 2.0 * px, "over-work over-edge")
    if view.outside_mm:
        yield _circle(x, own_y, view.outside_mm / 2.0 * px, "over-work over-edge")
    if view.held_mm is not None and view.held_mm < view.outside_mm:
        yield _circle(x, own_y, view.held_mm / 2.0 * px, "over-behind")
    for one in view.own:
        if not one.bore:
            yield _circle(x, own_y, one.swept()[1] * px, "over-stock")
    for one in sorted(view.own, key=lambda one: -one.radius_mm):
        yield _circle(
            x, y, one.radius_mm * px, "over-cut over-hollow" if one.bore else "over-cut over-work"
        )
    for name, one in view.others:
        at = _turned(view.sense * one.turned_deg, one.offset_mm * px, (x, own_y))
        yield _circle(*at, one.radius_mm * px, "over-behind")
        yield _text(at[0], at[1] + 3.0, name)
    for name, angle in view.marks:
        r = view.outside_mm / 2.0 * px
        inner, outer = (_turned(angle, r + d, (x, own_y)) for d in (-6.0, 6.0))
        yield _path(f"M{inner[0]:.1f} {inner[1]:.1f}L{outer[0]:.1f} {outer[1]:.1f}", "over-mark")
        at = _turned(angle, r - 14.0, (x, own_y))
        yield _text(at[0], at[1] + 3.0, name)
    if view.centres:
        for at_y in (y, own_y):
            yield _circle(x, at_y, 3.0, "over-hole")
    yield _path(
        f"M{left:.1f} {y:.1f}H{left + square:.1f}M{x:.1f} {top:.1f}v{square:.1f}",
        "over-axis over-turned",
    )
    yield _path(f"M{left:.1f} {own_y:.1f}H{left + square:.1f}", "over-axis")
    yield "</svg>"
    yield from _throw(view, (x + square / 2.0, y, own_y), told)
    yield from _dial(view, px, (x, y, square), told)


def _jaws(view: EndView, px: float, middle: Point) -> Iterator[str]:
    """Flat jaws, one of them at the eccentric: four independent ones, or three and packing."""
    if view.held_mm is None or view.centres:
        return
    r, e = view.held_mm / 2.0, view.offset_mm
    half = min(_JAW * (view.chuck_mm or math.inf), 0.9 * view.held_mm) / 2.0
    far = 2.0 * view.half_mm
    if view.packed_mm is not None:
        shut = r - e + view.packed_mm
        for turned in (0, 120, 240):
            yield _box(px, middle, turned, (-half, shut, half, far), "over-grip")
        yield _box(px, middle, 0, (-half, r - e, half, shut), "over-packing")
        return
    aside = max(e - half, 0.0)  # a jaw that is narrower than the throw touches with its corner
    side = math.sqrt(max(r * r - aside * aside, 0.0))
    for turned, touches in ((0, r - e), (90, side), (180, r + e), (270, side)):
        yield _box(px, middle, turned, (-half, touches, half, far), "over-grip")


def _box(
    px: float,
    middle: Point,
    turned_deg: int,
    box: tuple[float, float, float, float],
    name: str,
) -> str:
    """A rectangle (x, y, x, y in mm, y up from the middle), turned round that anticlockwise."""
    (x, y), (x0, y0, x1, y1) = middle, box
    return (
        f'<rect class="{name}" x="{x + x0 * px:.1f}" y="{y - y1 * px:.1f}" '
        f'width="{(x1 - x0) * px:.1f}" height="{(y1 - y0) * px:.1f}" '
        f'transform="rotate({-turned_deg} {x:.1f} {y:.1f})"/>'
    )


def _throw(
    view: EndView, at: tuple[float, float, float], told: Callable[[float], str]
) -> Iterator[str]:
    """The offset as a size beside the view."""
    x, y, own_y = at
    yield _path(f"M{x:.1f} {y:.1f}h16M{x:.1f} {own_y:.1f}h16", "over-leader")
    size = x + 11.0
    yield _path(f"M{size:.1f} {y - 12.0:.1f}V{own_y + 12.0:.1f}", "over-leader")
    for tip, way in ((y, -1.0), (own_y, 1.0)):
        yield _path(f"M{size:.1f} {tip:.1f}l-2.5 {7.0 * way:g}h5z", "over-dot")
    yield _text(x + 19.0, (y + own_y) / 2.0 + 3.5, told(view.offset_mm), "over-size")


def _dial(
    view: EndView, px: float, at: tuple[float, float, float], told: Callable[[float], str]
) -> Iterator[str]:
    """Where a dial on what is gripped reads least and most, and from which end this is seen."""
    x, y, square = at
    top, bottom = y - square / 2.0, y + square / 2.0
    seen = f"seen from the {view.free_end} end"
    if view.held_mm is None:
        yield _text(x, bottom + 12.0, seen)
        return
    r, e = view.held_mm / 2.0 * px, view.offset_mm * px
    for mark, edge in ((y + e - r, top), (y + e + r, bottom)):
        yield _path(f"M{x:.1f} {mark:.1f}V{edge:.1f}", "over-leader")
        yield f'<circle class="over-dot" cx="{x:.1f}" cy="{mark:.1f}" r="2.4"/>'
    least = "dial reads least" if view.packed_mm is None else f"packing {told(view.packed_mm)}"
    yield _text(x, top - 4.0, least)
    yield _text(x, bottom + 12.0, f"dial reads {told(2.0 * view.offset_mm)} more")
    yield _text(x, bottom + 25.0, seen)


def _turned(angle_deg: float, far: float, about: Point) -> Point:
    """A place so far from another, so far round from straight up, anticlockwise."""
    turned = math.radians(angle_deg)
    return (about[0] - far * math.sin(turned), about[1] - far * math.cos(turned))


def _circle(x: float, y: float, r: float, name: str) -> str:
    return f'<circle class="{name}" cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}"/>'


def _path(data: str, name: str) -> str:
    return f'<path class="{name}" d="{data}"/>'


def _text(x: float, y: float, words: str, name: str = "over-middle") -> str:
    return f'<text class="{name}" x="{x:.1f}" y="{y:.1f}">{words}</text>'
