"""Threads only drawn for: a thread's diameter with a lead chamfer and a relief to DIN 76-1.

One of the two alone leaves the cylinder or bore what it is, with the thread as its other reading.
"""

from __future__ import annotations

from typing import Literal

from turnability.features.candidates import candidate
from turnability.features.chain import Chain, spread
from turnability.features.found import Example, Found
from turnability.features.model import Alternative, FeatureKind
from turnability.features.standards.threads import as_matches
from turnability.features.thread_room import room
from turnability.part.model import Parameter

KIND: FeatureKind = "thread"
RANK = 25


def find(chain: Chain) -> list[Found]:
    """Cylinders and bores between a lead chamfer and a relief; hand and starts are not known."""
    found = []
    for side, segment in chain.free():
        one = candidate(chain, side)
        if one is None or not (one.lead and one.relief):
            continue
        surface: Literal["outer", "inner"] = "outer" if side.surface == "outer" else "inner"
        z, diameter = spread([segment.curve])
        size = one.size
        minor = size.minor_outside_mm if surface == "outer" else diameter[0]
        parameters: dict[str, Parameter] = {
            "form": size.form,
            "major_mm": size.major_mm,
            "minor_mm": minor,
            "pitch_mm": size.pitch_mm,
            "length_mm": z[1] - z[0],
            "evidence": "cosmetic",
            "hand": None,
            **room(chain, surface, z, size.major_mm, minor, size.pitch_mm, size.form),
        }
        plain: FeatureKind = "cylinder" if surface == "outer" else "bore"
        why = "nothing in the solid winds: a plain surface that its ends make look like a thread"
        found.append(
            Found(
                KIND,
                surface,
                z,
                diameter,
                (segment.id,),
                parameters,
                holds=chain.finishing([segment.id]),
                matches=as_matches(size, surface, one.off_mm, "right", 1),
                alternative=Alternative(plain, why),
            )
        )
    return found


EXAMPLES = (
    Example("a shaft of a thread's diameter", ((0, 0), (60, 0), (60, 10), (0, 10))),
    Example(
        "with a lead chamfer alone it stays a cylinder",
        ((0, 0), (30, 0), (30, 5), (29, 6), (10, 6), (10, 12), (0, 12)),
    ),
    Example(
        "with a relief alone too",
        ((0, 0), (30, 0), (30, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12)),
    ),
    Example(
        "M12 stud: chamfered to the root, relief of 9.4 to the shoulder",
        ((0, 0), (36, 0), (36, 5), (35, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12)),
        ({"z_mm": (16, 35), "major_mm": 12.0, "pitch_mm": 1.75, "evidence": "cosmetic",
          "hand": None, "matches": ("M12",), "alternative": "cylinder", "relieved": True,
          "usable_length_mm": 19.0, "shoulder_mm": 6.0},),
    ),
    Example(
        "M20 in a blind hole: countersunk, relief of 20.5 at the bottom",
        ((0, 0), (10, 0), (10, 10.25), (21, 10.25), (22.603, 8.647), (48.5, 8.647),
         (50.353, 10.5), (50.353, 20), (0, 20)),
        ({"surface": "inner", "major_mm": 20.0, "pitch_mm": 2.5, "evidence": "cosmetic",
          "alternative": "bore", "bottom_clearance_mm": 12.603, "shoulder_mm": None},),
    ),
)  # fmt: skip
