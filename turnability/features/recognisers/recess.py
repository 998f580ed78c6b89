"""Recesses: places of a bore wider than the smallest entry through which every tool comes."""

from __future__ import annotations

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.drawing import ArcTo
from turnability.features.found import Example, Found
from turnability.features.groove_measures import alike, in_taper_deg, measures
from turnability.features.grooving import held, recesses
from turnability.features.model import FeatureKind
from turnability.features.places import narrowest_mm
from turnability.part.model import Parameter

KIND: FeatureKind = "recess"
RANK = 22


def find(chain: Chain) -> list[Found]:
    """Every recess, the nested ones too, and every closed cavity (which has no entry)."""
    found = []
    for recess in recesses(chain):
        owns = chain.owned(recess.own)
        if not owns:
            continue
        (z0, _), (z1, _) = recess.hollow.mouth
        z = (min(z0, z1), max(z0, z1))
        entry = _entry(chain, z)
        found.append(
            Found(
                KIND,
                "inner",
                z,
                (-2.0 * recess.hollow.level, -2.0 * recess.floor),
                owns,
                {
                    **measures(chain, recess, reverse=False),
                    **in_taper_deg(chain, recess),
                    **entry,
                },
                held(chain, recess),
                relief=recess.relief,
            )
        )
    return alike(found) + _cavities(chain)


def _entry(chain: Chain, z: tuple[float, float]) -> dict[str, Parameter]:
    """The smallest diameter on the way in by the wider way; "both" if alike, None if closed."""
    low = narrowest_mm(chain, 0.0, z[0])
    high = narrowest_mm(chain, z[1], chain.length_mm)
    if max(low, high) <= 2.0 * limits.SAME_MM:
        return {"entry_diameter_mm": None, "entry_side": None}
    if abs(low - high) <= 2.0 * limits.SAME_MM:
        return {"entry_diameter_mm": max(low, high), "entry_side": "both"}
    if low > high:
        return {"entry_diameter_mm": low, "entry_side": "low"}
    return {"entry_diameter_mm": high, "entry_side": "high"}


def _cavities(chain: Chain) -> list[Found]:
    """Closed hollows that no tool can enter: no entry, no mouth."""
    found = []
    for loop in chain.cavities:
        z, diameter = spread(segment.curve for segment in loop.segments)
        ids = tuple(s.id for s in loop.segments if s.surface != "axis" and s.id not in chain.taken)
        parameters: dict[str, Parameter] = {
            "width_mm": z[1] - z[0],
            "depth_mm": None,
            "floor_radius_mm": None,
            "wall_angles_deg": None,
            "entry_diameter_mm": None,
            "entry_side": None,
        }
        found.append(Found(KIND, "inner", z, diameter, ids, parameters))
    return found


EXAMPLES = (
    Example("a solid pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example(
        "a bore stepped down from both ends has a throat, not a recess",
        ((0, 10), (10, 10), (10, 5), (30, 5), (30, 8), (40, 8), (40, 15), (0, 15)),
    ),
    Example(
        "a nozzle: both cones can be entered",
        ((0, 10), (30, 4), (60, 12), (60, 15), (0, 15)),
    ),
    Example(
        "a groove in a through bore",
        ((0, 10), (20, 10), (20, 11), (23, 11), (23, 10), (40, 10), (40, 16), (0, 16)),
        ({"z_mm": (20, 23), "diameter_mm": (20, 22), "width_mm": 3.0, "depth_mm": 1.0,
          "floor_radius_mm": 0.0, "wall_angles_deg": (0.0, 0.0), "entry_diameter_mm": 20.0,
          "entry_side": "both", "surface": "inner"},),
    ),
    Example(
        "undercut at the bottom of a blind bore that opens high",
        ((0, 0), (10, 0), (10, 12), (14, 12), (14, 10), (40, 10), (40, 16), (0, 16)),
        ({"z_mm": (10, 14), "diameter_mm": (20, 24), "entry_diameter_mm": 20.0,
          "entry_side": "high", "depth_mm": 2.0},),
    ),
    Example(
        "behind the smaller of two steps: the wider way counts",
        ((0, 9), (20, 9), (20, 12), (24, 12), (24, 5), (40, 5), (40, 16), (0, 16)),
        ({"z_mm": (20, 24), "diameter_mm": (18, 24), "entry_diameter_mm": 18.0,
          "entry_side": "low"},),
    ),
    Example(
        "a blind taper that opens inward",
        ((0, 6), (30, 12), (30, 0), (50, 0), (50, 20), (0, 20)),
        ({"z_mm": (0, 30), "diameter_mm": (12, 24), "entry_diameter_mm": 12.0,
          "entry_side": "low", "wall_angles_deg": (78.690068, 0.0)},),
    ),
    Example(
        "one within another",
        ((0, 8), (10, 8), (10, 11), (20, 11), (20, 13), (24, 13), (24, 11), (40, 11), (40, 8),
         (50, 8), (50, 20), (0, 20)),
        ({"z_mm": (10, 40), "diameter_mm": (16, 22), "width_mm": 30.0, "depth_mm": 3.0},
         {"z_mm": (20, 24), "diameter_mm": (22, 26), "width_mm": 4.0, "depth_mm": 2.0,
          "entry_diameter_mm": 16.0}),
    ),
    Example(
        "half round, as a ball race",
        ((0, 10), (18, 10), ArcTo(22, 10, (20, 10), True), (40, 10), (40, 16), (0, 16)),
        ({"z_mm": (18, 22), "diameter_mm": (20, 24), "floor_radius_mm": 2.0},),
    ),
    Example(
        "a closed cavity has no entry",
        ((0, 0), (40, 0), (40, 16), (0, 16)),
        ({"z_mm": (10, 20), "diameter_mm": (8, 16), "entry_diameter_mm": None,
          "entry_side": None},),
        cavities=(((10, 4), (20, 4), (20, 8), (10, 8)),),
    ),
)  # fmt: skip
