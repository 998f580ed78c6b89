"""End grooves: narrow rings sunk along the axis into an end or a shoulder."""

from __future__ import annotations

from turnability.features import limits
from turnability.features.chain import Chain
from turnability.features.doubts import confidence
from turnability.features.found import Example, Found
from turnability.features.groove_measures import measures
from turnability.features.grooving import Cut, grooves, held, recesses, widest_groove_mm
from turnability.features.model import Alternative, FeatureKind
from turnability.features.sides import is_radial

KIND: FeatureKind = "end-groove"
RANK = 20


def find(chain: Chain) -> list[Found]:
    """Every end groove. Its wall angles too count from the radial plane, the inner wall first:

    90 where a wall is parallel to the axis, less where the groove opens, more where it is undercut.
    """
    found = []
    feet: list[set[int]] | None = None
    for side, hollows in (("high", chain.from_high), ("low", chain.from_low)):
        sign = 1.0 if side == "high" else -1.0
        for groove in grooves(chain, hollows):
            owns = chain.owned(groove.own)
            (_, r0), (_, r1) = groove.hollow.mouth
            if not owns:
                continue
            feet = _feet(chain) if feet is None else feet
            own = {id(side) for side in groove.own}
            if any(own <= foot for foot in feet):
                continue
            floor, level = sign * groove.floor, sign * groove.hollow.level
            parameters = measures(chain, groove, reverse=r0 > r1)
            slopes = groove.hollow.slopes_deg
            inner, outer = slopes[::-1] if r0 > r1 else slopes
            parameters["wall_angles_deg"] = (90.0 - inner, 90.0 - outer)
            found.append(
                Found(
                    KIND,
                    "end",
                    (min(floor, level), max(floor, level)),
                    (2.0 * min(r0, r1), 2.0 * max(r0, r1)),
                    owns,
                    {**parameters, "facing": side},
                    held(chain, groove),
                    alternative=_other(chain, groove),
                )
            )
    return found


def _feet(chain: Chain) -> list[set[int]]:
    """Sides of each groove and narrow recess: no tool comes along the axis into the foot of one
    that is wider there than at its mouth."""
    narrow = [
        cut
        for cut in recesses(chain)
        if cut.hollow.width_mm <= widest_groove_mm(cut.depth_mm) + limits.SAME_MM
    ]
    return [{id(s) for s in cut.hollow.sides} for cut in (*grooves(chain, chain.outside), *narrow)]


def _other(chain: Chain, groove: Cut) -> Alternative | None:
    """A hollow end face, or a ring that is nearly too wide to plunge."""
    places = [i for i, side in enumerate(chain.sides) for own in groove.own if side is own]
    beside = [chain.sides[min(places) - 1], chain.sides[(max(places) + 1) % len(chain.sides)]]
    if places and not any(is_radial(side.curve) for side in beside):
        return Alternative(
            "contour",
            "it takes the whole wall, no face is left beside it: a hollow end rather than a groove",
            "either",
        )
    width, limit = groove.hollow.width_mm, widest_groove_mm(groove.depth_mm)
    if limits.GROOVE_WIDTH.value < width < (1.0 - limits.DOUBT) * limit:
        return Alternative(
            "bore",
            f"{width:.4g} mm wide and {groove.depth_mm:.4g} mm deep is more than a blade plunges at"
            " once: a bore with a boss in it",
            "either",
        )
    if width < (1.0 - limits.DOUBT) * limit:
        return None
    return Alternative(
        "shoulder",
        f"{width:.4g} mm wide and {groove.depth_mm:.4g} mm deep is nearly turned down between a hub"
        f" and a rim, which begins over {limit:.4g} mm",
        confidence(width, limit),
    )


EXAMPLES = (
    Example("a plain ring", ((0, 5), (20, 5), (20, 15), (0, 15))),
    Example(
        "a dovetailed groove of the outside is none",
        ((0, 0), (60, 0), (60, 10), (32, 10), (33, 7), (27, 7), (28, 10), (0, 10)),
    ),
    Example(
        "a stepped blind bore is none",
        ((0, 0), (20, 0), (20, 5), (30, 5), (30, 8), (40, 8), (40, 15), (0, 15)),
    ),
    Example(
        "a wide shallow ring round a boss is turned, not plunged",
        ((0, 0), (20, 0), (20, 5), (18, 5), (18, 25), (20, 25), (20, 30), (0, 30)),
    ),
    Example(
        "for a seal in the high end",
        ((0, 0), (20, 0), (20, 10), (17.5, 10), (17.5, 13), (20, 13), (20, 30), (0, 30)),
        ({"z_mm": (17.5, 20), "diameter_mm": (20, 26), "width_mm": 3.0, "depth_mm": 2.5,
          "wall_angles_deg": (90.0, 90.0), "facing": "high", "surface": "end"},),
    ),
    Example(
        "in a shoulder that looks low, round a journal",
        ((0, 0), (60, 0), (60, 20), (40, 20), (40, 12), (43, 12), (43, 8), (40, 8), (40, 6),
         (0, 6)),
        ({"z_mm": (40, 43), "diameter_mm": (16, 24), "width_mm": 4.0, "facing": "low"},),
    ),
)  # fmt: skip
