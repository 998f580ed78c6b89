"""Knurls, by the teeth that the solid lacks round a cylinder."""

from __future__ import annotations

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.found import Example, Found
from turnability.features.model import FeatureKind
from turnability.features.sides import Side, is_parallel
from turnability.part.model import Departure, Parameter

KIND: FeatureKind = "knurl"
RANK = 7
_TIP_MM = 0.02
"""How far the tips in the outline may stand off the teeth's diameters (facets, splines)."""


def find(chain: Chain) -> list[Found]:
    """Places where the part's reader found many like teeth.

    The outline's own surfaces between the teeth's diameters are the knurl's (crossed teeth leave
    only their tips, in waves). Where it covers no more than half of a longer cylinder, it lies
    within that.
    """
    found = []
    for departure in chain.departures:
        if departure.parameters.get("form") != "knurl":
            continue
        one = _covering(chain, departure) or _within(chain, departure)
        if one is not None:
            found.append(one)
    return found


def _covering(chain: Chain, departure: Departure) -> Found | None:
    """The knurl on surfaces that lie in it for the greater part."""
    low, high = departure.z_mm
    most, least = (
        departure.parameters.get(f"{side}_diameter_mm") for side in ("outside", "inside")
    )
    own: list[Side] = []
    for side in chain.zone("outer"):
        if side.segment is None or side.surface != "outer":
            continue
        z, diameter = spread([side.segment.curve])
        over = min(z[1], high) - max(z[0], low)
        if over <= 0.5 * (z[1] - z[0]) or over <= limits.SAME_MM:
            continue
        toothed = (
            isinstance(most, float)
            and isinstance(least, float)
            and least - _TIP_MM <= diameter[0]
            and diameter[1] <= most + _TIP_MM
        )
        if toothed or is_parallel(side.curve):
            own.append(side)
    if not own:
        return None
    z, diameter = spread(side.segment.curve for side in own if side.segment is not None)
    ids = tuple(name for side in own for name in side.ids)
    return Found(
        KIND,
        "outer",
        (max(low, z[0]), min(high, z[1])),
        (diameter[1], diameter[1]),
        ids,
        _parameters(departure),
        holds=chain.finishing(ids),
    )


def _within(chain: Chain, departure: Departure) -> Found | None:
    """The knurl on part of a longer cylinder."""
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
        return None
    _, name, z, diameter = max(holders)
    span = (max(low, z[0]), min(high, z[1]))
    return Found(KIND, "outer", span, diameter, (), _parameters(departure), within=name)


def _parameters(departure: Departure) -> dict[str, Parameter]:
    low, high = departure.z_mm
    told = {key: value for key, value in departure.parameters.items() if key != "form"}
    return {"length_mm": high - low, **told}


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
    Example(
        "crossed teeth, whose tips stand in waves",
        ((0, 0), (40, 0), (40, 6), (20, 6), (20, 9.7), (15, 10), (10, 9.7), (5, 10), (0, 9.7)),
        ({"z_mm": (0.0, 20.0), "diameter_mm": (20, 20), "count": 40},),
        departures=(
            Departure("D1", "other", (), 10.0, (0.0, 20.0),
                      {"form": "knurl", "count": 40, "outside_diameter_mm": 20.0,
                       "inside_diameter_mm": 18.8}),
        ),
    ),
)  # fmt: skip
