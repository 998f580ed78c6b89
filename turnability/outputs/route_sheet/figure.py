"""The drawing of one setup to scale: stock, part, what holds it, where each tool's cut ends."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import chain
from typing import TYPE_CHECKING

from turnability.half_plane.curves import Point, flatten_ring
from turnability.outputs import _palette as palette
from turnability.outputs.drawing.scale import Scale
from turnability.outputs.route_sheet.names import crowded, drawn_names, names_of
from turnability.setups.holding.outlines import HoldingOutlines, Polygon, holding_outlines
from turnability.shop.told_apart import is_reamer
from turnability.shop.tools.reamer import led

if TYPE_CHECKING:
    from turnability.part.model import Profile
    from turnability.setups.model import Setup
    from turnability.shop.model import Tool
    from turnability.stock.model import StockPiece

WIDTH, TALLEST, TALLEST_HALF = 680.0, 230.0, 290.0
EDGE_PX, NUMBER_PX = 8.0, 17.0
NUMBERS_PX = 44.0
"""The row of numbers, and below it room in which their lines run aslant."""
HEADROOM_PX = (0.0, 25.0, 50.0, 75.0)
"""What there may be below them besides."""
CUT = "#0F7A6C"
"""What is cut in this setup, and the edges that cut it; stock is dashed."""
_CHORD_MM = 0.02
_SEEN = 0.1
"""Of chuck and tailstock so much of the length is shown; the rest runs out of the frame."""
_ROOM, _ROOM_ACROSS = 0.08, 0.3
"""At the free end: shares of the part's length and of the work's radius, the larger of the two."""
_BELOW = 0.1
"""Of a half view so much of the radius is shown beyond the axis."""
_GAIN = 1.5
"""Where a half view would be so much larger, the other half is left away."""
_TALL = 1.5
"""Jaws are shown up to so many radii of the work."""


def figure(
    profile: Profile,
    setup: Setup,
    piece: StockPiece | None,
    tools: Mapping[str, Tool],
    label: str,
    later: Collection[str] = (),
) -> str:
    """An SVG element, the chuck at the left as at the lathe.

    Numbers are those of the operations and stand where each tool's cut ends; names are those of the
    surfaces that they cut, `later` those of them that a chucking after all setups finishes. Of what
    is wide and short the half above the axis is drawn, which so has twice the scale.
    """
    flip = setup.toward_chuck == "high"
    held = holding_outlines(profile, setup, piece)
    low, high, radius = _frame(profile, setup, held)
    begin = profile.length_mm - high if flip else low
    px, below = _fit(high - low, radius)
    x, width = EDGE_PX - begin * px, (high - low) * px + 2 * EDGE_PX
    middle = 2 * x + profile.length_mm * px
    mirror = middle if flip else None
    for more in HEADROOM_PX:  # as much as the names want that crowd on slender work
        y, height = more + NUMBERS_PX + EDGE_PX + radius * px, more + NUMBERS_PX + 2 * EDGE_PX
        scale, height = Scale(x, y, px), height + (radius + below) * px
        placed = names_of(scale, profile, setup, mirror, (width, height))
        if not crowded(placed):
            break
    drawn = (
        _holding(scale, held),
        _part(scale, profile, setup, later),
        _edges(scale, setup, tools),
    )
    body = "".join(chain(*drawn))
    if flip:  # the part turned round: mirrored along the axis
        body = f'<g transform="matrix(-1 0 0 1 {middle:.2f} 0)">{body}</g>'
    numbers = "".join(_numbers(scale, setup, mirror, width))
    names = "".join(drawn_names(placed))
    return (
        f'<svg role="img" aria-label="{label}" viewBox="0 0 {width:.1f} {height:.1f}" '
        f'width="{width:.0f}" height="{height:.0f}">{body}{_axis(scale, width)}{names}{numbers}'
        f"{_zero(scale, below, mirror)}</svg>"
    )


def is_half(profile: Profile, setup: Setup, piece: StockPiece | None) -> bool:
    """Whether its figure shows the half above the axis alone."""
    low, high, radius = _frame(profile, setup, holding_outlines(profile, setup, piece))
    return _fit(high - low, radius)[1] < radius


def _fit(long: float, radius: float) -> tuple[float, float]:
    """Pixels per mm, and the radius that is shown below the axis."""
    room = (WIDTH - 2 * EDGE_PX) / long
    whole = min(room, (TALLEST - 2 * EDGE_PX) / (2.0 * radius))
    below = _BELOW * radius
    half = min(room, (TALLEST_HALF - 2 * EDGE_PX) / (radius + below))
    return (half, below) if half > _GAIN * whole else (whole, radius)


def _frame(
    profile: Profile, setup: Setup, held: HoldingOutlines | None
) -> tuple[float, float, float]:
    """Least and greatest z, and the radius, of what is shown."""
    length, r = profile.length_mm, max(profile.max_diameter_mm, setup.grip.diameter_mm) / 2.0
    room = max(_ROOM * length, _ROOM_ACROSS * r)  # for what stands at the free end
    z = [0.0, length, *setup.grip.z_mm]
    z.append(length + room if setup.toward_chuck == "low" else -room)
    if held is None:
        return (min(z), max(z), 1.1 * r)
    z += [p[0] for p in chain(*held.grips, *held.stock)]
    span = max(z) - min(z)
    less, more = min(z) - _SEEN * span, max(z) + _SEEN * span
    z += [min(max(p[0], less), more) for p in chain(*held.centres, *held.body)]
    tallest = max(p[1] for p in chain(*held.grips, *held.steady))
    return (min(z), max(z), min(max(1.1 * r, tallest), _TALL * r))


def _holding(scale: Scale, held: HoldingOutlines | None) -> Iterator[str]:
    if held is None:
        return
    for some, fill, dash in (
        (held.body, "#DCEBF1", ""),
        (held.stock, "none", "5 3"),
        (held.grips, palette.MARKS["grip"], ""),
        (held.centres, palette.MARKS["grip"], ""),
        (held.steady, palette.MARKS["grip"], ""),
    ):
        for one in some:
            line = palette.FAINT_INK if dash else palette.INK
            yield _path(_both(scale, one), line, 0.9, fill=fill, dash=dash)


def _part(scale: Scale, profile: Profile, setup: Setup, later: Collection[str]) -> Iterator[str]:
    done = {s for o in setup.operations for s in o.segments}.difference(later)
    for below in (False, True):
        data = "".join(scale.ring_data(loop.ring, below) for loop in profile.loops)
        yield _path(data, fill=palette.MATERIAL, rule="evenodd")
        for segment in profile.segments:
            if segment.surface != "axis":
                cut = segment.id in done
                yield _path(
                    scale.curve_data(segment.curve, below),
                    stroke=CUT if cut else palette.INK,
                    width=2.6 if cut else 1.0,
                )


def _edges(scale: Scale, setup: Setup, tools: Mapping[str, Tool]) -> Iterator[str]:
    """The cutting outline of each tool where its cut ends."""
    for operation in setup.operations:
        tool, at = tools.get(operation.tool), operation.ends_at
        if tool is None or at is None:
            continue
        sign = 1.0 if setup.toward_chuck == "low" else -1.0
        drawn = led(tool) if is_reamer(tool) else tool.outlines
        for ring in drawn.cutting:
            points = flatten_ring(ring, _CHORD_MM)
            moved = [(at[0] + sign * float(z), at[1] + float(r)) for z, r in points]
            yield _path(scale.polygon_data(moved), CUT, 0.8, fill=CUT, opacity=0.3)


def _numbers(scale: Scale, setup: Setup, mirror: float | None, width: float) -> Iterator[str]:
    """The operations' numbers in a row at the top, each with a line to where its cut ends."""
    placed = []
    for number, operation in enumerate(setup.operations, start=1):
        if operation.ends_at is not None:
            x, y = scale.place(operation.ends_at)
            placed.append((x if mirror is None else mirror - x, y, number))
    placed.sort()
    half = NUMBER_PX / 2.0
    for (x, y, number), at in zip(placed, _spread([p[0] for p in placed], width), strict=True):
        top, knee = EDGE_PX + half, min(y, NUMBERS_PX + EDGE_PX - 4.0)
        line = f"M{at:.1f} {top + half:.1f}L{x:.1f} {knee:.1f}V{y:.1f}"
        yield _path(line, palette.FAINT_INK, 0.7)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.8" fill="{palette.INK}"/>'
        yield (
            f'<text x="{at:.1f}" y="{top + 4:.1f}" text-anchor="middle" font-size="11" '
            f'font-weight="bold" fill="{palette.INK}" stroke="{palette.PAPER}" '
            f'stroke-width="2.5" paint-order="stroke">{number}</text>'
        )


def _spread(wishes: Sequence[float], width: float) -> list[float]:
    """Places in ascending order at least a number's width apart, as near as one sweep gets."""
    places: list[float] = []
    for wish in wishes:
        places.append(max(wish, places[-1] + NUMBER_PX if places else NUMBER_PX))
    edge = width - NUMBER_PX
    for i in range(len(places) - 1, -1, -1):
        places[i] = min(places[i], edge)
        edge = places[i] - NUMBER_PX
    return places


def _axis(scale: Scale, width: float) -> str:
    data = f"M0 {scale.y:.1f}H{width:.1f}"
    return _path(data, palette.FAINT_INK, 0.7, dash="12 3 2 3")


def _zero(scale: Scale, radius: float, mirror: float | None) -> str:
    """The part's low end, from which every z is counted, at the chuck or at the free end."""
    x, y = scale.place((0.0, -radius))
    x = x if mirror is None else mirror - x
    beside, anchor = (x + 8.0, "start") if mirror is None else (x - 8.0, "end")
    return (
        f"{_path(f'M{x:.1f} {y - 2:.1f}l-5 8h10z', palette.INK, 1.0, fill=palette.INK)}"
        f'<text x="{beside:.1f}" y="{y + 6:.1f}" text-anchor="{anchor}" font-size="10" '
        f'fill="{palette.INK}" stroke="{palette.PAPER}" stroke-width="2.5" paint-order="stroke">'
        "z 0</text>"
    )


def _both(scale: Scale, polygon: Polygon) -> str:
    mirrored: list[Point] = [(z, -r) for z, r in polygon]
    return scale.polygon_data(polygon) + scale.polygon_data(mirrored)


def _path(
    data: str,
    stroke: str = "none",
    width: float = 0.0,
    *,
    fill: str = "none",
    dash: str = "",
    rule: str = "",
    opacity: float = 1.0,
) -> str:
    more = f' stroke-dasharray="{dash}"' if dash else ""
    more += f' fill-rule="{rule}"' if rule else ""
    more += f' fill-opacity="{opacity:g}"' if opacity < 1.0 else ""
    return f'<path d="{data}" fill="{fill}" stroke="{stroke}" stroke-width="{width:g}"{more}/>'
