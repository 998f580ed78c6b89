"""The drawing of one setup: stock, part, what holds it, what is cut there, the datum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs.drawing.scale import Scale
from turnability.setups.slender import mean_outside_mm

if TYPE_CHECKING:
    from turnability.part.model import Profile
    from turnability.setups.model import Setup
    from turnability.stock.model import StockPiece

WIDTH, TALLEST = 680.0, 210.0
JAW_MM, EDGE_PX = 12.0, 10.0
CUT = "#0F7A6C"
"""What is cut in this setup; jaws are grey, stock is dashed."""


def figure(profile: Profile, setup: Setup, piece: StockPiece | None, label: str) -> str:
    """An SVG element, the chuck at the left as at the lathe; jaws and centre are signs."""
    length = profile.length_mm
    flip = setup.toward_chuck == "high"
    across = max(profile.max_diameter_mm, piece.across_mm if piece else 0.0)
    grip = setup.grip
    low, high = (length - grip.z_mm[1], length - grip.z_mm[0]) if flip else grip.z_mm
    outside = grip.surface == "outer"
    jaw = min(JAW_MM, 0.4 * across)
    # signs are as large as suits the work
    begin = min(low, 0.0) - jaw
    end = length + (1.5 * jaw if setup.support != "none" else 0.3 * jaw)
    tall = across + 2.0 * jaw
    px = min((WIDTH - 2 * EDGE_PX) / (end - begin), (TALLEST - 2 * EDGE_PX) / tall)
    scale = Scale(EDGE_PX - begin * px, EDGE_PX + tall / 2.0 * px, px)
    marks = [_stock(scale, length, piece), _axis(scale, begin, end)]
    body = Scale(scale.x, scale.y, px)
    parts: list[str] = []
    done = {s for o in setup.operations for s in o.segments}
    for below in (False, True):
        data = "".join(body.ring_data(loop.ring, below) for loop in profile.loops)
        parts.append(_path(data, fill=palette.MATERIAL, rule="evenodd"))
        for segment in profile.segments:
            if segment.surface == "axis":
                continue
            cut = segment.id in done
            parts.append(
                _path(
                    body.curve_data(segment.curve, below),
                    stroke=CUT if cut else palette.INK,
                    width=3.0 if cut else 1.0,
                )
            )
    drawn = "".join(parts)
    if flip:  # the part turned round: mirrored along the axis
        drawn = f'<g transform="matrix(-1 0 0 1 {2 * scale.x + length * px:.2f} 0)">{drawn}</g>'
    marks.append(drawn)
    marks += _jaws(scale, low, high, grip.diameter_mm / 2.0, jaw, outside)
    if setup.support in ("tailstock", "between-centres"):
        marks.append(_centre(scale, length, jaw, 1.0))
    if setup.support == "between-centres":
        marks.append(_centre(scale, 0.0, jaw, -1.0))
    if setup.steady_z_mm is not None:
        marks += _steady(scale, profile, setup.steady_z_mm, flip, jaw)
    marks.append(_zero(scale, tall / 2.0))
    width, height = (end - begin) * px + 2 * EDGE_PX, tall * px + 2 * EDGE_PX
    return (
        f'<svg role="img" aria-label="{label}" viewBox="0 0 {width:.1f} {height:.1f}" '
        f'width="{width:.0f}" height="{height:.0f}">{"".join(marks)}</svg>'
    )


def _stock(scale: Scale, length: float, piece: StockPiece | None) -> str:
    if piece is None:
        return ""
    spare = max(0.0, piece.length_mm - piece.stub_mm - length) / 4.0
    x0, y0 = scale.place((-spare, piece.across_mm / 2.0))
    x1, y1 = scale.place((length + spare, -piece.across_mm / 2.0))
    return _path(f"M{x0:.1f} {y0:.1f}H{x1:.1f}V{y1:.1f}H{x0:.1f}Z", palette.BEYOND, 1.0, dash="5 3")


def _axis(scale: Scale, begin: float, end: float) -> str:
    x0, y = scale.place((begin, 0.0))
    x1, _ = scale.place((end, 0.0))
    return _path(f"M{x0:.1f} {y:.1f}H{x1:.1f}", palette.FAINT_INK, 0.7, dash="12 3 2 3")


def _jaws(scale: Scale, low: float, high: float, r: float, jaw: float, outside: bool) -> list[str]:
    made = []
    depth = jaw if outside else -min(jaw, 0.6 * r)
    for sign in (1.0, -1.0):
        x0, y0 = scale.place((low, sign * r))
        x1, y1 = scale.place((max(high, low + 0.5), sign * (r + depth)))
        made.append(
            _path(
                f"M{x0:.1f} {y0:.1f}H{x1:.1f}V{y1:.1f}H{x0:.1f}Z",
                palette.INK,
                1.0,
                fill=palette.MARKS["grip"],
            )
        )
    return made


def _steady(
    scale: Scale, profile: Profile, span: tuple[float, float], flip: bool, jaw: float
) -> list[str]:
    """Two pads on the cylinder that a steady runs on."""
    middle = sum(span) / 2.0
    r = mean_outside_mm(profile, span) / 2.0
    at = profile.length_mm - middle if flip else middle
    half = 0.3 * jaw
    return [_pad(scale, at - half, at + half, sign * r, sign * (r + jaw)) for sign in (1.0, -1.0)]


def _pad(scale: Scale, low: float, high: float, inner: float, outer: float) -> str:
    x0, y0 = scale.place((low, inner))
    x1, y1 = scale.place((high, outer))
    return _path(
        f"M{x0:.1f} {y0:.1f}H{x1:.1f}V{y1:.1f}H{x0:.1f}Z",
        palette.INK,
        1.0,
        fill=palette.MARKS["grip"],
    )


def _centre(scale: Scale, z: float, jaw: float, way: float) -> str:
    x0, y0 = scale.place((z, 0.0))
    x1, y1 = scale.place((z + way * 1.2 * jaw, 0.6 * jaw))
    y2 = 2.0 * y0 - y1
    return _path(
        f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}V{y2:.1f}Z",
        palette.INK,
        1.0,
        fill=palette.MARKS["grip"],
    )


def _zero(scale: Scale, r: float) -> str:
    """Where the part meets its stop or chuck: lengths are set from there."""
    x, y = scale.place((0.0, r))
    return _path(f"M{x:.1f} {y:.1f}l-5 -8h10z", palette.INK, 1.0, fill=palette.INK)


def _path(
    data: str,
    stroke: str = "none",
    width: float = 0.0,
    *,
    fill: str = "none",
    dash: str = "",
    rule: str = "",
) -> str:
    more = f' stroke-dasharray="{dash}"' if dash else ""
    more += f' fill-rule="{rule}"' if rule else ""
    return f'<path d="{data}" fill="{fill}" stroke="{stroke}" stroke-width="{width:g}"{more}/>'
