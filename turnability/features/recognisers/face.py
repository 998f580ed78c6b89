"""Faces: the flat surfaces that end the part."""

from __future__ import annotations

from turnability.features import limits
from turnability.features.chain import Chain, facing, spread
from turnability.features.drawing import ArcTo
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind
from turnability.features.sides import is_radial

KIND: FeatureKind = "face"
RANK = 40


def find(chain: Chain) -> list[Found]:
    """Flat surfaces at z = 0 and z = length; an end groove leaves two in one plane."""
    found = []
    for side, segment in chain.free():
        if side.zone != "end" or not is_radial(side.curve):
            continue
        z, diameter = spread([segment.curve])
        ends = (0.0, chain.length_mm)
        if min(abs(z[0] - end) for end in ends) <= limits.SAME_MM:
            found.append(Found(KIND, "end", z, diameter, (segment.id,), {"facing": facing(side)}))
    return found


EXAMPLES = (
    Example(
        "a spindle between two points has no face",
        ((0, 0), (60, 0), (50, 10), (10, 10)),
    ),
    Example(
        "a tube with a rounded end and a face",
        ((0, 8), (20, 8), ArcTo(20, 10, (20, 9), False), (0, 10)),
        ({"z_mm": (0, 0), "diameter_mm": (16, 20), "facing": "low"},),
    ),
    Example(
        "both ends of a chamfered pin",
        ((0, 0), (20, 0), (20, 4), (19, 5), (0, 5)),
        ({"z_mm": (0, 0), "diameter_mm": (0, 10), "facing": "low", "surface": "end"},
         {"z_mm": (20, 20), "diameter_mm": (0, 8), "facing": "high"}),
    ),
)  # fmt: skip
