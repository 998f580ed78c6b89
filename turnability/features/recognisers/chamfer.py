"""Chamfers: short slanted lines that finish a corner."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_taper
from turnability.features.found import Example, Found, finished
from turnability.features.model import FeatureKind
from turnability.features.sides import slope_deg

KIND: FeatureKind = "chamfer"
RANK = 11


def find(chain: Chain) -> list[Found]:
    """Every chamfer with its axial size and angle, measured between sharp edges."""
    found = []
    for finish in chain.finishes:
        if finish.kind != "chamfer":
            continue
        (low, high), _ = spread([finish.curve])
        size = {"size_mm": high - low, "angle_deg": slope_deg(finish.curve)}
        found.append(replace(finished(finish, size), alternative=near_taper(finish)))
    return found


EXAMPLES = (
    Example("a plain pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example(
        "a short taper between two cylinders finishes no corner",
        ((0, 0), (40, 0), (40, 10), (21, 10), (19, 12), (0, 12)),
    ),
    Example(
        "a blunt point is a taper: too large for its diameter",
        ((0, 0), (20, 0), (20, 1), (17, 4), (0, 4)),
    ),
    Example(
        "a rim bevelled to an edge has no corner left to finish",
        ((0, 0), (20, 0), (20, 5), (12, 5), (12, 20), (10, 22), (8, 20), (8, 5), (0, 5)),
    ),
    Example(
        "the walls of a shallow trapezoidal hollow",
        ((0, 0), (60, 0), (60, 10), (35, 10), (33, 9), (27, 9), (25, 10), (0, 10)),
    ),
    Example(
        "both ends of a pin, one at 30 degrees to the axis",
        ((0, 0), (40, 0), (40, 9), (39, 10), (3, 10), (0, 10 - 3 * 3**-0.5)),
        ({"z_mm": (0, 3), "size_mm": 3.0, "angle_deg": 30.0, "surface": "outer"},
         {"z_mm": (39, 40), "diameter_mm": (18, 20), "size_mm": 1.0, "angle_deg": 45.0,
          "corner": "outside", "corner_z_mm": 40.0, "corner_diameter_mm": 20.0}),
    ),
    Example(
        "a thin ring broken on all four edges: each chamfer longer than the land between",
        ((0.4, 9), (9.6, 9), (10, 9.4), (10, 9.6), (9.6, 10), (0.4, 10), (0, 9.6), (0, 9.4)),
        ({"surface": "inner", "size_mm": 0.4}, {"surface": "outer", "size_mm": 0.4},
         {"surface": "inner", "size_mm": 0.4}, {"surface": "outer", "size_mm": 0.4}),
    ),
    Example(
        "an inside corner filled at 45 degrees",
        ((0, 0), (40, 0), (40, 10), (21, 10), (20, 11), (20, 20), (0, 20)),
        ({"z_mm": (20, 21), "size_mm": 1.0, "corner": "inside"},),
    ),
)  # fmt: skip
