"""Cylinders: outside surfaces parallel to the axis."""

from __future__ import annotations

from turnability.features.candidates import near_thread
from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_step
from turnability.features.found import Example, Found
from turnability.features.grooving import near_groove
from turnability.features.model import FeatureKind
from turnability.features.places import is_neck, is_spigot
from turnability.features.sides import Side, is_parallel

KIND: FeatureKind = "cylinder"
RANK = 51


def find(chain: Chain) -> list[Found]:
    """Every straight land as it is left between the finishes of its edges.

    `over_corners_mm` is its length between its sharp corners, as a drawing would give it.
    """
    found = []
    for side, segment in chain.free():
        if segment.surface != "outer" or not is_parallel(side.curve):
            continue
        z, diameter = spread([segment.curve])
        form = _form(chain, side)
        found.append(
            Found(
                KIND,
                "outer",
                z,
                diameter,
                (segment.id,),
                {
                    "length_mm": z[1] - z[0],
                    "over_corners_mm": abs(side.curve.end[0] - side.curve.start[0]),
                    "form": form,
                },
                alternative=near_groove(chain, side)
                or near_thread(chain, side)
                or near_step(z[1] - z[0], diameter[1], form),
            )
        )
    return found


def _form(chain: Chain, side: Side) -> str | None:
    """Whether it is a spigot or a neck; None for any other land."""
    if is_spigot(chain, side):
        return "spigot"
    return "neck" if is_neck(chain, side) else None


EXAMPLES = (
    Example("a double cone has no land", ((0, 0), (60, 0), (60, 5), (30, 15), (0, 5))),
    Example(
        "the floor of a groove is no land; the bore is none either",
        ((0, 5), (60, 5), (60, 10), (33, 10), (33, 8), (30, 8), (30, 10), (0, 10)),
        ({"z_mm": (0, 30), "diameter_mm": (20, 20), "length_mm": 30.0, "surface": "outer"},
         {"z_mm": (33, 60), "diameter_mm": (20, 20)}),
    ),
    Example(
        "a neck that is nearly a groove says so",
        ((0, 0), (60, 0), (60, 10), (39, 10), (39, 8), (30, 8), (30, 10), (0, 10)),
        ({"z_mm": (0, 30), "alternative": None},
         {"z_mm": (30, 39), "diameter_mm": (16, 16), "alternative": "groove", "form": "neck"},
         {"z_mm": (39, 60)}),
    ),
    Example(
        "a stud's shank with a lead chamfer may be meant for a thread",
        ((0, 0), (30, 0), (30, 5), (29, 6), (10, 6), (10, 13), (0, 13)),
        ({"diameter_mm": (26, 26), "alternative": None},
         {"diameter_mm": (12, 12), "alternative": "thread"}),
    ),
    Example(
        "a spigot inside a wide cup",
        ((0, 0), (30, 0), (30, 4), (10, 4), (10, 50), (40, 50), (40, 60), (0, 60)),
        ({"z_mm": (0, 40), "diameter_mm": (120, 120)}, {"z_mm": (10, 30), "diameter_mm": (8, 8)}),
    ),
    Example(
        "a spigot locates a flange",
        ((0, 0), (20, 0), (20, 12.5), (16, 12.5), (16, 40), (0, 40)),
        ({"diameter_mm": (80, 80), "form": None},
         {"z_mm": (16, 20), "diameter_mm": (25, 25), "form": "spigot"}),
    ),
    Example(
        "a spigot with a seal's groove in it is one on both sides of the groove",
        ((0, 0), (22, 0), (22, 25), (17.8, 25), (17.8, 22.2), (13, 22.2), (13, 25), (10, 25),
         (10, 40), (0, 40)),
        ({"z_mm": (0, 10), "form": None}, {"z_mm": (10, 13), "form": "spigot"},
         {"z_mm": (17.8, 22), "form": "spigot"}),
    ),
)  # fmt: skip
