"""Names of the surfaces that a setup cuts, beside them in its drawing, none on another."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette

if TYPE_CHECKING:
    from turnability.half_plane.curves import Curve
    from turnability.outputs.drawing.scale import Scale
    from turnability.part.model import Profile
    from turnability.setups.model import Setup

SIZE_PX = 9.0
WIDE_PX, TALL_PX = 5.4, 9.5
"""Of one letter, and of a line."""
APART_PX = 3.0
"""Between two names side by side, which else read as one."""
_OFF_PX = (9.0, 19.0, 29.0, 39.0, 49.0, 59.0, 69.0, 79.0)
_ALONG_PX = (0.0, 14.0, -14.0, 28.0, -28.0, 42.0, -42.0)


_BELOW_NUMBERS_PX = 26.0


@dataclass(frozen=True, slots=True)
class Name:
    """One name: where its middle stands, and the surface's place that it belongs to."""

    text: str
    x: float
    y: float
    at: tuple[float, float]

    def meets(self, other: Name) -> bool:
        """Whether the two would stand on one another."""
        across = WIDE_PX * (len(self.text) + len(other.text)) / 2.0 + APART_PX
        return abs(self.x - other.x) < across and abs(self.y - other.y) < TALL_PX


def names_of(
    scale: Scale, profile: Profile, setup: Setup, mirror: float | None, box: tuple[float, float]
) -> list[Name]:
    """The names of what the setup cuts, in the half above the axis; `mirror` as the part is turned.

    Each stands off its surface on the side without material, as near as the others let it, within
    a box of this width and height. One for which no place is free stands where it is nearest.
    """
    cut = {s for o in setup.operations for s in o.segments}
    placed: list[Name] = []
    for segment in profile.segments:
        if segment.id not in cut or segment.surface == "axis":
            continue
        wishes = list(_places(scale, segment.id, segment.curve, mirror))
        free = [
            one
            for one in wishes
            if WIDE_PX * len(one.text) / 2.0 <= one.x <= box[0] - WIDE_PX * len(one.text) / 2.0
            and _BELOW_NUMBERS_PX <= one.y <= box[1]
            and not any(one.meets(other) for other in placed)
        ]
        placed.append((free or wishes)[0])
    return placed


def crowded(names: list[Name]) -> bool:
    """Whether some stand on one another."""
    return any(a.meets(b) for a, b in combinations(names, 2))


def drawn_names(names: list[Name]) -> Iterator[str]:
    """The names as SVG, those that had to stand farther off with a line to their surface."""
    for one in names:
        x, y = one.at
        if math.dist(one.at, (one.x, one.y)) > 1.5 * _OFF_PX[0]:
            yield (
                f'<path d="M{x:.1f} {y:.1f}L{one.x:.1f} {one.y:.1f}" '
                f'stroke="{palette.FAINT_INK}" stroke-width="0.6" fill="none"/>'
            )
        yield (
            f'<text x="{one.x:.1f}" y="{one.y + 0.35 * SIZE_PX:.1f}" text-anchor="middle" '
            f'font-size="{SIZE_PX:g}" fill="{palette.INK}" stroke="{palette.PAPER}" '
            f'stroke-width="2.5" paint-order="stroke">{one.text}</text>'
        )


def _places(scale: Scale, text: str, curve: Curve, mirror: float | None) -> Iterator[Name]:
    """Where it may stand, the nearest first; material lies on the left of the curve."""
    z, r = curve.at(0.5)
    (z0, r0), (z1, r1) = curve.at(0.45), curve.at(0.55)
    long = math.hypot(z1 - z0, r1 - r0) or 1.0
    dz, dr = (z1 - z0) / long, (r1 - r0) / long
    x, y = scale.place((z, r))
    turned = 1.0 if mirror is None else -1.0
    x = x if mirror is None else mirror - x
    # in the drawing y runs down; out of the material is to the right of the way
    along, out = (turned * dz, -dr), (turned * dr, dz)
    # beside a wall half the name stands on either side of its middle
    wide = abs(out[0]) * (WIDE_PX * len(text) / 2.0 - _OFF_PX[0] + APART_PX)
    for off in _OFF_PX:
        for side in _ALONG_PX:
            far = off + max(wide, 0.0)
            yield Name(
                text, x + out[0] * far + along[0] * side, y + out[1] * far + along[1] * side, (x, y)
            )
