"""Tapers: conical surfaces, outside or inside."""

from __future__ import annotations

import math
from typing import Literal

from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_chamfer, near_drill_point
from turnability.features.drawing import fillet
from turnability.features.found import Example, Found
from turnability.features.grooving import near_groove
from turnability.features.model import FeatureKind
from turnability.features.places import cone_form, throat
from turnability.features.sides import Side, is_slanted, slope_deg

KIND: FeatureKind = "taper"
RANK = 53


def find(chain: Chain) -> list[Found]:
    """Cones that finish no corner and belong to no hollow; `larger_end` is where they widen to."""
    found = []
    for side, segment in chain.free():
        curve = segment.curve
        if not is_slanted(side.curve):
            continue
        z, diameter = spread([curve])
        surface: Literal["outer", "inner"] = "inner" if segment.surface == "inner" else "outer"
        widens_high = (curve.end[1] > curve.start[1]) == (curve.end[0] > curve.start[0])
        found.append(
            Found(
                KIND,
                surface,
                z,
                diameter,
                (segment.id,),
                {
                    "half_angle_deg": slope_deg(side.curve),
                    "length_mm": z[1] - z[0],
                    "larger_end": "high" if widens_high else "low",
                    "form": cone_form(chain, side),
                    "throat_diameter_mm": _throat(chain, side),
                },
                alternative=near_groove(chain, side)
                or near_chamfer(chain, side)
                or near_drill_point(side),
            )
        )
    return found


def _throat(chain: Chain, side: Side) -> float | None:
    """The diameter of the throat that an inside cone leads to; None where it leads to none."""
    at = throat(chain, side) if side.surface == "inner" else None
    return None if at is None else at[1]


_TAN_20 = math.tan(math.radians(20.0))

EXAMPLES = (
    Example("a plain pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example("a chamfered pin", ((0, 0), (20, 0), (20, 4), (19, 5), (0, 5))),
    Example(
        "the walls of a V groove",
        ((0, 0), (60, 0), (60, 10), (32, 10), (30, 7), (28, 10), (0, 10)),
    ),
    Example(
        "a slender taper outside",
        ((0, 0), (60, 0), (60, 10), (40, 10), (0, 8)),
        ({"z_mm": (0, 40), "diameter_mm": (16, 20), "half_angle_deg": 2.862405,
          "length_mm": 40.0, "larger_end": "high", "surface": "outer"},),
    ),
    Example(
        "a countersink too large for a chamfer",
        ((0, 10), (6, 4), (40, 4), (40, 15), (0, 15)),
        ({"z_mm": (0, 6), "half_angle_deg": 45.0, "surface": "inner", "larger_end": "low",
          "form": "countersink"},),
    ),
    Example(
        "a nozzle of two cones that meet at its throat",
        ((0, 15), (15, 5), (60, 12), (60, 20), (0, 20)),
        ({"z_mm": (0, 15), "throat_diameter_mm": 10.0, "surface": "inner"},
         {"z_mm": (15, 60), "throat_diameter_mm": 10.0}),
    ),
    Example(
        "a pointed end",
        ((0, 0), (60, 0), (50, 10), (0, 10)),
        ({"z_mm": (50, 60), "half_angle_deg": 45.0, "form": "convex end"},),
    ),
    Example(
        "a coned seat in an end",
        ((0, 0), (45, 0), (60, 8), (60, 15), (0, 15)),
        ({"z_mm": (45, 60), "surface": "inner", "form": "concave end"},),
    ),
    Example(
        "one taper of 20 degrees, its short end beyond a groove",
        ((0, 0), (60, 0), (60, 10), (33, 10), (17, 10 + 16 * _TAN_20), (17, 11),
         (13, 11), (13, 10 + 20 * _TAN_20), (10, 10 + 23 * _TAN_20), (0, 10 + 23 * _TAN_20)),
        ({"z_mm": (10, 13), "half_angle_deg": 20.0}, {"z_mm": (17, 33), "half_angle_deg": 20.0}),
    ),
    Example(
        "one steep taper with a groove in it: what is left beyond is no chamfer",
        ((0, 0), (40, 0), (40, 30), (20, 30), (13, 23), (13, 17), (10, 17), (10, 20), (0, 10)),
        ({"z_mm": (0, 10), "half_angle_deg": 45.0}, {"z_mm": (13, 20), "half_angle_deg": 45.0}),
    ),
    Example(
        "the rounded throat of a nozzle is as wide as its rounding leaves it",
        ((0, 12), *fillet((0, 12), (30, 4), (60, 14), 8.0), (60, 14), (60, 20), (0, 20)),
        ({"larger_end": "low", "throat_diameter_mm": 8.695281},
         {"larger_end": "high", "throat_diameter_mm": 8.695281}),
    ),
    Example(
        "a valley of 90 degrees, wider than a blade plunges: copied, or plunged by a form tool",
        ((0, 0), (60, 0), (60, 20), (36, 20), (30, 14), (24, 20), (0, 20)),
        ({"z_mm": (24, 30), "half_angle_deg": 45.0, "alternative": "groove"},
         {"z_mm": (30, 36), "alternative": "groove"}),
    ),
)  # fmt: skip
