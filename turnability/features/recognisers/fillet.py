"""Fillets: tangent arcs that finish an inside or outside corner."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.chain import Chain
from turnability.features.doubts import near_contour
from turnability.features.drawing import ArcTo, fillet
from turnability.features.found import Example, Found, finished
from turnability.features.model import FeatureKind
from turnability.half_plane.curves import Arc

KIND: FeatureKind = "fillet"
RANK = 10


def find(chain: Chain) -> list[Found]:
    """Every fillet with its radius, the sharp corner it finishes, and on which side that is."""
    return [
        replace(
            finished(finish, {"radius_mm": finish.curve.radius}),
            alternative=near_contour(chain, finish),
        )
        for finish in chain.finishes
        if finish.kind == "fillet" and isinstance(finish.curve, Arc)
    ]


EXAMPLES = (
    Example(
        "a half ball on a pin meets the axis and finishes no corner",
        ((0, 0), (20, 0), ArcTo(15, 5, (15, 0), False), (0, 5)),
    ),
    Example(
        "the full round of a groove's floor is the floor",
        ((0, 0), (40, 0), (40, 10), (22, 10), (22, 8), ArcTo(18, 8, (20, 8), True), (18, 10),
         (0, 10)),
    ),
    Example(
        "a long crowned body is a contour, not a finish",
        ((0, 0), (60, 0), (60, 10), ArcTo(0, 10, (30, -90), False)),
    ),
    Example(
        "a shaft's shoulder with an inside radius, and a rounded rim",
        (
            (0, 0), (50, 0), (50, 10),
            *fillet((50, 10), (30, 10), (30, 20), 2.0),
            *fillet((30, 10), (30, 20), (0, 20), 1.0),
            (0, 20),
        ),
        (
            {"z_mm": (29, 30), "diameter_mm": (38, 40), "radius_mm": 1.0, "corner": "outside",
             "corner_z_mm": 30.0, "corner_diameter_mm": 40.0},
            {"z_mm": (30, 32), "diameter_mm": (20, 24), "radius_mm": 2.0, "corner": "inside",
             "corner_z_mm": 30.0, "corner_diameter_mm": 20.0},
        ),
    ),
    Example(
        "a radius as high as its shoulder, and a neck between two of them",
        ((0, 0), (60, 0), (60, 10), (40, 10), ArcTo(38, 8, (38, 10), True), (22, 8),
         ArcTo(20, 10, (22, 10), True), (0, 10)),
        ({"z_mm": (20, 22), "radius_mm": 2.0, "corner": "inside", "corner_z_mm": 20.0,
          "corner_diameter_mm": 16.0},
         {"z_mm": (38, 40), "radius_mm": 2.0, "corner_z_mm": 40.0, "corner_diameter_mm": 16.0}),
    ),
    Example(
        "an edge rounded down to the next land",
        ((0, 0), (60, 0), (60, 10), (32, 10), ArcTo(30, 12, (30, 10), False), (0, 12)),
        ({"z_mm": (30, 32), "radius_mm": 2.0, "corner": "outside", "corner_z_mm": 32.0,
          "corner_diameter_mm": 24.0},),
    ),
    Example(
        "two radii that use up their shoulder",
        ((0, 0), (50, 0), (50, 8), (31, 8), ArcTo(30, 9, (31, 9), True),
         ArcTo(29, 10, (29, 9), False), (0, 10)),
        ({"radius_mm": 1.0, "corner": "outside", "corner_diameter_mm": 20.0},
         {"radius_mm": 1.0, "corner": "inside", "corner_diameter_mm": 16.0}),
    ),
)  # fmt: skip
