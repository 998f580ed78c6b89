"""Shoulders: flat surfaces between two diameters, outside or in a bore."""

from __future__ import annotations

from turnability.features.chain import Chain, facing, spread
from turnability.features.found import Example, Found
from turnability.features.grooving import near_groove
from turnability.features.model import FeatureKind
from turnability.features.places import end_recess_mm
from turnability.features.sides import is_radial

KIND: FeatureKind = "shoulder"
RANK = 52


def find(chain: Chain) -> list[Found]:
    """Radial surfaces that are neither an end face nor a hollow's wall.

    The floor of a ring sunk into an end that is too wide for a groove has the form "end recess".
    """
    found = []
    for side, segment in chain.free():
        if not is_radial(side.curve):
            continue
        z, diameter = spread([segment.curve])
        sunk = end_recess_mm(chain, side)
        found.append(
            Found(
                KIND,
                "end",
                z,
                diameter,
                (segment.id,),
                {
                    "height_mm": 0.5 * (diameter[1] - diameter[0]),
                    "facing": facing(side),
                    "inside": side.zone == "inner",
                    **({} if sunk is None else {"form": "end recess", "depth_mm": sunk}),
                },
                alternative=near_groove(chain, side),
            )
        )
    return found


EXAMPLES = (
    Example("a plain pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example(
        "the walls of a groove",
        ((0, 0), (40, 0), (40, 10), (23, 10), (23, 8), (20, 8), (20, 10), (0, 10)),
    ),
    Example(
        "a stepped shaft",
        ((0, 0), (60, 0), (60, 8), (40, 8), (40, 12), (20, 12), (20, 9), (0, 9)),
        ({"z_mm": (20, 20), "diameter_mm": (18, 24), "height_mm": 3.0, "facing": "low"},
         {"z_mm": (40, 40), "diameter_mm": (16, 24), "height_mm": 4.0, "facing": "high",
          "inside": False}),
    ),
    Example(
        "the floor of a wide ring between a hub and a rim",
        ((0, 0), (20, 0), (20, 5), (18, 5), (18, 25), (20, 25), (20, 30), (0, 30)),
        ({"z_mm": (18, 18), "form": "end recess", "depth_mm": 2.0},),
    ),
    Example(
        "the seat of a counterbore and the floor of a blind bore",
        ((0, 0), (10, 0), (10, 5), (20, 5), (20, 8), (40, 8), (40, 16), (0, 16)),
        ({"z_mm": (10, 10), "diameter_mm": (0, 10), "inside": True, "facing": "high"},
         {"z_mm": (20, 20), "diameter_mm": (10, 16), "inside": True}),
    ),
)  # fmt: skip
