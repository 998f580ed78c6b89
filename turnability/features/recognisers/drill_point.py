"""Drill points: the cone that a drill leaves at the end of a blind bore."""

from __future__ import annotations

import math

from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_cone
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind
from turnability.features.places import takes_whole_end
from turnability.features.sides import is_drill_point, slope_deg

KIND: FeatureKind = "drill-point"
RANK = 30


def find(chain: Chain) -> list[Found]:
    """Inner cones that close a bore to the axis with a drill's included angle.

    One that takes the whole end of the part is a hollow end.
    """
    found = []
    for side, segment in chain.free():
        if not is_drill_point(side) or takes_whole_end(chain, side):
            continue
        z, diameter = spread([segment.curve])
        angle = {"angle_deg": 2.0 * slope_deg(side.curve), "length_mm": z[1] - z[0]}
        found.append(
            Found(KIND, "inner", z, diameter, (segment.id,), angle, alternative=near_cone(side))
        )
    return found


_TIP = 5.0 / math.tan(math.radians(59.0))
"""Tip length of a 118 degree drill of 10 mm: 0.3004 d, by geometry."""

EXAMPLES = (
    Example(
        "a cone of 118 degrees that takes the whole end is a hollow end",
        ((0, 0), (40 - 10 / math.tan(math.radians(59)), 0), (40, 10), (0, 10)),
    ),
    Example("a flat-bottomed bore", ((0, 0), (10, 0), (10, 5), (40, 5), (40, 15), (0, 15))),
    Example("a conical end is no bore", ((0, 0), (20, 0), (17, 5), (0, 5))),
    Example(
        "a slender cone is bored, not drilled",
        ((0, 0), (10, 0), (30, 5), (40, 5), (40, 15), (0, 15)),
    ),
    Example(
        "a 118 degree drill of 10 mm",
        ((0, 0), (10 - _TIP, 0), (10, 5), (40, 5), (40, 15), (0, 15)),
        ({"z_mm": (10 - _TIP, 10), "diameter_mm": (0, 10), "angle_deg": 118.0,
          "length_mm": _TIP},),
    ),
)  # fmt: skip
