"""The drawing of one chucking set over: a cut in the plane of both axes, and the view of its end.

Made from the JSON document alone, for route sheet and report page alike, whose styles colour it by
class. The work stands as it is at the end of the chucking, the eccentric up; sizes are to scale.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from turnability.half_plane.curves import Point
from turnability.outputs.drawing.set_over_end import EndView, end_view
from turnability.outputs.drawing.set_over_section import Cylinder, Slab, slabs_of, walls_of
from turnability.outputs.drawing.sheet import line_data
from turnability.outputs.report_page.section import curve_of

Json = dict[str, Any]

WIDTH, TALLEST, LEAST, MOST = 680.0, 230.0, 150.0, 230.0
"""Of all, of the cut, and of the square of the end view, px."""
EDGE_PX, NUMBERS_PX, BETWEEN_PX, BESIDE_PX, BELOW_PX = 8.0, 30.0, 84.0, 74.0, 34.0
NUMBER_PX = 17.0
_ROOM = 1.25
"""So many times the circle that the work swings are shown of chuck and jaws."""
_SEEN = 0.1
_CHORD_MM = 0.02
_SAME_MM = 1e-3
_DIAL_MM = 2.5
_DIAL_PX = 7.0


def set_over_figure(document: Json, place: int, label: str, told: Callable[[float], str]) -> str:
    """An SVG element for `plan.set_over[place]`; empty where a report does not hold enough for it.

    `told` gives a length in mm as text; it and `label` are safe for XML.
    """
    over, profile = document["plan"]["set_over"], document["profile"]
    if profile is None or "outlines" not in over[place]:
        return ""
    drawn = Drawn(document, place)
    scale = _scale(drawn)
    top, tall = scale.y - scale.half_px, 2.0 * scale.half_px
    frame = f"0 {top:.1f} {scale.right:.1f} {tall:.1f}"
    body = [
        f'<svg y="{top:.1f}" width="{scale.right:.1f}" height="{tall:.1f}" viewBox="{frame}">',
        *_held(drawn, scale),
        *_work(drawn, scale),
        *_tools(drawn, scale),
        "</svg>",
    ]
    body += [*_axes(drawn, scale), *_dial(drawn, scale), *_numbers(drawn, scale)]
    body += end_view(drawn.end(), scale.square, (scale.square_x, scale.y), told)
    return (
        f'<svg class="set-over" role="img" aria-label="{label}" '
        f'viewBox="0 0 {WIDTH:.0f} {scale.height:.1f}" width="{WIDTH:.0f}" '
        f'height="{scale.height:.0f}">{"".join(body)}</svg>'
    )


@dataclass(frozen=True, slots=True)
class _Scale:
    """Pixels per mm; `x` is where z = 0 stands, `way` whether z runs to the right."""

    px: float
    x: float
    y: float
    way: float
    half_px: float
    right: float
    square: float
    square_x: float

    @property
    def height(self) -> float:
        return self.y + self.half_px + BELOW_PX

    def at(self, point: Sequence[float]) -> Point:
        return (self.x + self.way * point[0] * self.px, self.y - point[1] * self.px)


class Drawn:
    """What the document says of one such chucking."""

    def __init__(self, document: Json, place: int) -> None:
        every = document["plan"]["set_over"]
        self.one: Json = every[place]
        self.known = {d["id"]: d for d in document["departures"]}
        self.profile: Json = document["profile"]
        self.tools = {tool["name"]: tool for tool in document["tools"]}
        self.offset: float = self.one["offset_mm"]
        self.toward = self.one["toward_chuck"] or "low"
        self.held: Json = self.one["outlines"] or {"grips": [], "centres": [], "body": []}
        self.phase = self._phase(self.one["departures"][0])
        self.cylinders = [
            one
            for n, over in enumerate(every[: place + 1])
            if n == place or over["grip"] is not None
            for one in self._cylinders(over, n == place)
        ]
        self.rings: list[list[Point]] = []
        for loop in self.profile["loops"]:
            points: list[Point] = []
            for segment in loop["segments"]:
                flat = curve_of(segment).flatten(_CHORD_MM)[:-1]
                points += [(float(z), float(r)) for z, r in flat]
            self.rings.append(points)
        self.slabs = slabs_of(self.rings, self.cylinders, self.offset)
        low, high = self._seen()
        self.z = (low, high)

    def _outside_mm(self) -> float:
        """The largest diameter about the part's own axis that no eccentric sweeps."""
        off = [tuple(d["z_mm"]) for d in self.known.values() if d["kind"] == "eccentric"]
        kept = [
            max(r0, r1)
            for ring in self.rings
            for (z0, r0), (z1, r1) in pairwise((*ring, ring[0]))
            if abs(z1 - z0) > _SAME_MM
            and not any(low - _SAME_MM < (z0 + z1) / 2.0 < high + _SAME_MM for low, high in off)
        ]
        return 2.0 * max(kept, default=0.0)

    def _phase(self, name: str) -> float:
        return float(self.known[name]["parameters"].get("phase_deg", 0.0))

    def _cylinders(self, over: Json, own: bool) -> Iterator[Cylinder]:
        bored = [(c["departure"], c["z_mm"]) for c in over["cuts"] if c["kind"] != "drill"]
        for cut in over["cuts"]:
            if cut["kind"] != "drill" or (cut["departure"], cut["z_mm"]) not in bored:
                about = self.known[cut["departure"]]["parameters"]
                yield Cylinder(
                    (cut["z_mm"][0], cut["z_mm"][1]),
                    cut["diameter_mm"] / 2.0,
                    over["offset_mm"],
                    self._phase(cut["departure"]) - self.phase,
                    about.get("surface") == "inner",
                    own,
                )

    def _seen(self) -> tuple[float, float]:
        """The range along z that is shown: of chuck and centres no more than a bit."""
        length = self.profile["length_mm"]
        z = [0.0, length]
        z += [p[0] for ring in self.held["grips"] for p in ring]
        span = max(z) - min(z)
        less, more = min(z) - _SEEN * span, max(z) + _SEEN * span
        beyond = [p[0] for key in ("centres", "body") for ring in self.held[key] for p in ring]
        z += [min(max(at, less), more) for at in beyond]
        room = 0.3 * self.half_mm  # for what stands at the free end
        z.append(length + room if self.toward == "low" else -room)
        return (min(z), max(z))

    @property
    def half_mm(self) -> float:
        """How far from the axis that is turned about is shown."""
        return float(_ROOM * self.one["swung_mm"] / 2.0)

    def end(self) -> EndView:
        """What its end view shows."""
        grip = self.one["grip"]
        # all that is turned seen from the free end: of its low end angles run the other way
        sense = 1.0 if self.toward == "low" else -1.0
        marks = [
            (name, sense * (float(d["parameters"]["phase_deg"]) - self.phase))
            for name, d in self.known.items()
            if d["kind"] != "eccentric" and "phase_deg" in d["parameters"]
        ]
        body = [p[1] for ring in self.held["body"] for p in ring]
        centres = bool(self.held["centres"])
        return EndView(
            names=", ".join(self.one["departures"]),
            offset_mm=self.offset,
            half_mm=self.half_mm,
            outside_mm=self._outside_mm(),
            held_mm=self.one.get("packing_on_mm") if grip is None else grip["diameter_mm"],
            chuck_mm=2.0 * max(body) if body else None,
            packed_mm=self.one.get("packing_mm"),
            centres=centres,
            own=tuple(c for c in self.cylinders if c.own),
            others=tuple(self._others()),
            marks=tuple(marks),
            sense=sense,
            free_end="high" if self.toward == "low" else "low",
        )

    def _others(self) -> Iterator[tuple[str, Cylinder]]:
        for name, one in self.known.items():
            about = one["parameters"]
            if one["kind"] != "eccentric" or name in self.one["departures"]:
                continue
            r, off = float(about["diameter_mm"]) / 2.0, float(about["offset_mm"])
            bore = about.get("surface") == "inner"
            span = (one["z_mm"][0], one["z_mm"][1])
            yield name, Cylinder(span, r, off, self._phase(name) - self.phase, bore, False)


def _scale(drawn: Drawn) -> _Scale:
    low, high = drawn.z
    half = drawn.half_mm
    room = WIDTH - 2.0 * EDGE_PX - BETWEEN_PX - BESIDE_PX
    px = min((room - LEAST) / (high - low), TALLEST / (2.0 * half))
    px = min(px, (room - max(LEAST, min(MOST, 2.0 * half * px))) / (high - low))
    square = max(LEAST, min(MOST, 2.0 * half * px))
    way = 1.0 if drawn.toward == "low" else -1.0
    begin = low if way > 0.0 else -high
    right, half_px = EDGE_PX + (high - low) * px, max(half * px, square / 2.0)
    middle = right + BETWEEN_PX + square / 2.0
    x, y = EDGE_PX - begin * px, NUMBERS_PX + half_px
    return _Scale(px, x, y, way, half_px, right, square, middle)


def _held(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    for key, name in (("body", "over-body"), ("grips", "over-grip"), ("centres", "over-grip")):
        for ring in drawn.held[key]:
            yield _path(line_data(scale.at(p) for p in ring) + "Z", name)


def _work(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    quads = "".join(
        line_data(
            scale.at(p)
            for p in (
                (slab.z_mm[0], a[0]),
                (slab.z_mm[1], b[0]),
                (slab.z_mm[1], b[1]),
                (slab.z_mm[0], a[1]),
            )
        )
        + "Z"
        for slab in drawn.slabs
        for a, b in zip(slab.begin, slab.end, strict=True)
    )
    yield _path(quads, "over-work")
    for one in drawn.cylinders:
        if one.own and not one.bore:  # as it was turned before, about the part's own axis
            low, high = one.swept()
            for y0, y1 in ((low, high), (-high, -low)):
                corners = [(z, y) for z in one.z_mm for y in (y0, y1)]
                ring = (corners[0], corners[1], corners[3], corners[2])
                moved = [scale.at((z, y - drawn.offset)) for z, y in ring]
                yield _path(line_data(moved) + "Z", "over-stock")
    plain: list[str] = []
    cut: list[str] = []
    for slab in drawn.slabs:
        for a, b in zip(slab.begin, slab.end, strict=True):
            for side in (0, 1):
                line = line_data(
                    (scale.at((slab.z_mm[0], a[side])), scale.at((slab.z_mm[1], b[side])))
                )
                (cut if _is_own(drawn.cylinders, slab, a[side]) else plain).append(line)
    for (z, y0), (_, y1) in walls_of(drawn.slabs):
        for piece in pairwise(sorted({y0, y1, *(y for y in _rims(drawn, z) if y0 < y < y1)})):
            line = line_data((scale.at((z, piece[0])), scale.at((z, piece[1]))))
            (cut if _is_beside(drawn, z, piece) else plain).append(line)
    yield _path("".join(plain), "over-edge")
    yield _path("".join(cut), "over-cut")


def _is_own(cylinders: Sequence[Cylinder], slab: Slab, y: float) -> bool:
    """Whether a line along the axis is one of what is cut in this chucking."""
    middle = sum(slab.z_mm) / 2.0
    return any(
        one.own
        and one.z_mm[0] < middle < one.z_mm[1]
        and abs(abs(y) - one.radius_mm) <= 2.0 * _SAME_MM
        for one in cylinders
    )


def _rims(drawn: Drawn, z: float) -> Iterator[float]:
    """How far out this chucking cuts a face there."""
    for one in drawn.cylinders:
        if one.own and min(abs(z - end) for end in one.z_mm) <= _SAME_MM:
            r = one.radius_mm
            far = one.swept()[1]
            yield from (-r, r) if one.bore else (-far - drawn.offset, far - drawn.offset)


def _is_beside(drawn: Drawn, z: float, y: tuple[float, float]) -> bool:
    """Whether a wall is a face that this chucking cuts: a bore's floor, a shoulder beside a pin."""
    for one in drawn.cylinders:
        if not one.own or min(abs(z - end) for end in one.z_mm) > _SAME_MM:
            continue
        r = one.radius_mm + 2.0 * _SAME_MM
        inside = -r <= y[0] and y[1] <= r
        swept = one.swept()[1] + 2.0 * _SAME_MM
        near = -swept - drawn.offset <= y[0] and y[1] <= swept - drawn.offset
        if inside if one.bore else near and not inside:
            return True
    return False


def _tools(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    """The cutting outline of each tool where its cut ends."""
    for _, name, at in _ends(drawn):
        tool = drawn.tools.get(name)
        for ring in () if tool is None else tool["cutting"]:
            way = scale.way
            points = [scale.at((at[0] + way * z, at[1] + r)) for z, r in ring]
            yield _path(line_data(points) + "Z", "over-tool")


def _ends(drawn: Drawn) -> Iterator[tuple[int, str, Point]]:
    """Number, tool and place of each cut of which a place is known."""
    for number, cut in enumerate(drawn.one["cuts"], start=1):
        for name, at in zip(cut["tools"], cut.get("ends_at") or (), strict=False):
            if at is not None:
                yield number, name, (at[0], at[1])


def _axes(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    """That which is turned about, and the part's own, with their names at the free end."""
    below = scale.y + drawn.offset * scale.px
    end = scale.right + 6.0
    yield _path(f"M0 {scale.y:.1f}H{end:.1f}", "over-axis over-turned")
    yield _path(f"M0 {below:.1f}H{end:.1f}", "over-axis")
    names = ", ".join(drawn.one["departures"][:2])
    upper, lower = min(scale.y, below - 16.0), below
    yield _text(end + 3.0, upper - 1.0, f"axis of {names},")
    yield _text(end + 3.0, upper + 10.0, "turned about")
    yield _text(end + 3.0, max(lower, upper + 16.0) + 10.0, "the part’s own")


def _dial(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    """A dial on what is gripped, where that stands out of the jaws."""
    grip = drawn.one["grip"]
    if grip is None:
        return
    out = grip["z_mm"][1] + _DIAL_MM if drawn.toward == "low" else grip["z_mm"][0] - _DIAL_MM
    top = grip["diameter_mm"] / 2.0 - drawn.offset
    slab = next((s for s in drawn.slabs if s.z_mm[0] < out < s.z_mm[1]), None)
    if slab is None or abs(slab.begin[-1][1] - top) > 0.01 or abs(slab.end[-1][1] - top) > 0.01:
        return
    x, y = scale.at((out, top))
    high = y - 26.0
    yield _path(f"M{x:.1f} {y:.1f}V{high:.1f}", "over-dial")
    yield f'<circle class="over-dial" cx="{x:.1f}" cy="{high - _DIAL_PX:.1f}" r="{_DIAL_PX:g}"/>'
    yield _path(f"M{x:.1f} {high - _DIAL_PX:.1f}l3.5 -3.5", "over-dial")


def _numbers(drawn: Drawn, scale: _Scale) -> Iterator[str]:
    """The cuts' numbers at the top, each with a line to where its tool ends."""
    first: dict[int, Point] = {}
    for number, _, at in _ends(drawn):
        x, y = scale.at(at)
        first.setdefault(number, (min(max(x, EDGE_PX), scale.right), y))
    places = sorted((x, y, number) for number, (x, y) in first.items())
    before = 0.0
    for x, y, number in places:
        before = max(x, before + NUMBER_PX)
        yield _path(f"M{before:.1f} 18L{x:.1f} {NUMBERS_PX - 2:.1f}V{y:.1f}", "over-leader")
        yield f'<circle class="over-dot" cx="{x:.1f}" cy="{y:.1f}" r="1.8"/>'
        yield _text(before, 14.0, str(number), "over-number")


def _path(data: str, name: str) -> str:
    return f'<path class="{name}" d="{data}"/>' if data else ""


def _text(x: float, y: float, words: str, name: str = "over-word") -> str:
    return f'<text class="{name}" x="{x:.1f}" y="{y:.1f}">{words}</text>'
