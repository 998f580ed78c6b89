"""Knurls, by the teeth that the solid lacks round a cylinder."""

from __future__ import annotations

from turnability.features.chain import Chain, spread
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind
from turnability.features.sides import is_parallel
from turnability.part.model import Departure, Parameter

KIND: FeatureKind = "knurl"
RANK = 7


def find(chain: Chain) -> list[Found]:
    """Places where the part's reader found many like teeth; the cylinder's segment is the knurl's
    where it is knurled over most of its length, else the knurl lies within it."""
    found = []
    for departure in chain.departures:
        if departure.parameters.get("form") != "knurl":
            continue
        low, high = departure.z_mm
        holders = []
        for side in chain.zone("outer"):
            if side.segment is None or side.surface != "outer" or not is_parallel(side.curve):
                continue
            z, diameter = spread([side.segment.curve])
            over = min(z[1], high) - max(z[0], low)
            if over > 0.5 * (high - low):
                holders.append((over, side.segment.id, z, diameter))
        if not holders:
            continue
        over, name, z, diameter = max(holders)
        parameters: dict[str, Parameter] = {"length_mm": high - low}
        parameters |= {k: v for k, v in departure.parameters.items() if k != "form"}
        whole = over > 0.5 * (z[1] - z[0])
        owns = (name,) if whole else ()
        found.append(
            Found(
                KIND,
                "outer",
                (max(low, z[0]), min(high, z[1])),
                diameter,
                owns,
                parameters,
                holds=chain.finishing(owns),
                within=None if whole else name,
            )
        )
    return found


_HANDLE = ((0, 0), (60, 0), (60, 10), (0, 10))

EXAMPLES = (
    Example("a smooth handle", _HANDLE),
    Example(
        "one flat is none",
        _HANDLE,
        departures=(Departure("D1", "flat", (), 10.0, (10.0, 30.0), {"across_flats_mm": 18.0}),),
    ),
    Example(
        "ninety teeth over part of a handle",
        _HANDLE,
        ({"z_mm": (10.0, 30.0), "diameter_mm": (20, 20), "count": 90, "length_mm": 20.0},),
        departures=(
            Departure("D1", "other", (), 10.0, (10.0, 30.0), {"form": "knurl", "count": 90}),
        ),
    ),
)
