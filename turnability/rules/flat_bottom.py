"""A blind bore with a flat floor, that a drill's point would leave for nothing."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import stated_segments
from turnability.units import length_text, span_text

NAME = "flat-bottom"
LEVELS = ("note",)
WHY = "A drill leaves a cone; a flat floor wants one more tool, one that cuts to the centre."
LIMIT = "blind bores up to 30 mm, as deep as wide or deeper, whose floor is drawn flat"
BASIS = "common practice, no source; 30 mm is about the largest drill of a small shop"
DRILLED_UP_TO_MM = 30.0
_SAME_MM = 1e-3
_CROSSING = ("slot", "keyway", "pocket", "hole")
"""What a mill or a cross drill leaves where it meets the axis is no blind bore."""


def check(view: View) -> Judgement:
    """A note for each; nothing is said where a tolerance or a related surface lies on the floor."""
    if view.features is None:
        return NotJudged("features were not recognised")
    if view.part.profile is None:
        return NotJudged("the part has no profile")
    return [
        _finding(view, bore)
        for bore in view.features
        if bore.kind == "bore"
        and bore.parameters.get("bottom") == "flat"
        and bore.parameters.get("left_by") not in _CROSSING
        and bore.diameter_mm[0] <= min(DRILLED_UP_TO_MM, bore.z_mm[1] - bore.z_mm[0])
        and (floor := _floor(view, bore)) is not None
        and floor not in stated_segments(view)
    ]


def _floor(view: View, bore: Feature) -> str | None:
    """The plane that closes this bore to the axis."""
    profile = view.part.profile
    assert profile is not None
    r = bore.diameter_mm[0] / 2.0
    for segment in profile.segments:
        (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
        plane = segment.surface != "axis" and abs(z0 - z1) <= _SAME_MM
        closes = min(r0, r1) <= _SAME_MM and abs(max(r0, r1) - r) <= _SAME_MM
        if plane and closes and min(abs(z0 - z) for z in bore.z_mm) <= _SAME_MM:
            return segment.id
    return None


def _finding(view: View, bore: Feature) -> Finding:
    inch, d = view.shop.inch, bore.diameter_mm[0]
    floor = _floor(view, bore)
    assert floor is not None
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"The blind bore of ⌀{length_text(d, inch)} at z {span_text(bore.z_mm, inch)} has a "
            f"flat floor. {WHY} Let the floor be the point of its drill (118°), or state what "
            "seats on it."
        ),
        where=Where((*bore.segments, floor), bore.faces, (bore.id,), bore.z_mm, (0.0, d)),
        basis=Basis(BASIS, "common-practice"),
        measured=d,
        limit=DRILLED_UP_TO_MM,
        unit="mm",
    )


def _blind(tip: float, **milled: str) -> View:
    """⌀10 and 20 deep from z 40, its floor a cone of this height."""
    points = [(0, 0), (20 - tip, 0), (20, 5), (40, 5), (40, 12), (0, 12)]
    bottom = "point" if tip else "flat"
    bore = Feature(
        "F1", "bore", "inner", (20.0, 40.0), (10.0, 10.0), ("S3",), (),
        {"depth_mm": 20.0, "through": False, "bottom": bottom, **milled},
    )  # fmt: skip
    return drawn_view(points, features=(bore,))


EXAMPLES = (
    Example("a bore that ends in a drill's point", lambda: _blind(3.0)),
    Example(
        "a screw's slot, which shows as a bore in the section", lambda: _blind(0.0, left_by="slot")
    ),
    Example("a bore with a flat floor", lambda: _blind(0.0), ("note",)),
)
