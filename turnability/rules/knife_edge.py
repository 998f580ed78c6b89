"""An outside edge so thin that it cuts who handles it and breaks off."""

from __future__ import annotations

from turnability.rules.drawn import Example, drawn_view
from turnability.rules.edge_not_stated import USUAL_MM
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.outside_edges import OutsideEdge, unbroken_edges
from turnability.units import length_text, mm_text

NAME = "knife-edge"
LEVELS = ("warning",)
WHY = (
    "So thin an edge bends away from the tool, curls into a burr, cuts hands and breaks off; its "
    "length depends on the last hundredth of either surface."
)
THINNEST_DEG = 45.0
LIMIT = f"outside edges of at least {THINNEST_DEG:g} degrees, unless a break is stated for them"
BASIS = "common practice, no source"
CAUTION = "Caution: break it before it is handled; never wear gloves at a running lathe."


def check(view: View) -> Judgement:
    """A warning for each; a part of which `edges_mm` is stated has none."""
    if view.part.profile is None:
        return NotJudged("the part has no profile")
    inch = view.shop.inch
    return [
        _finding(edge, inch) for edge in unbroken_edges(view) if edge.included_deg < THINNEST_DEG
    ]


def _finding(edge: OutsideEdge, inch: bool) -> Finding:
    (z, r), flat = edge.at, length_text(USUAL_MM[1], inch)
    return Finding(
        rule=NAME,
        level="warning",
        message=(
            f"The edge at z {length_text(z, inch)}, ⌀{length_text(2.0 * r, inch)} is "
            f"{mm_text(edge.included_deg, 1)}° thin. {WHY} End it in a land of {flat}, or state "
            f"its break with [[edge]] in the intent file. {CAUTION}"
        ),
        where=Where(z_mm=(z, z), diameter_mm=(2.0 * r, 2.0 * r)),
        basis=Basis(BASIS, "common-practice"),
        measured=edge.included_deg,
        limit=THINNEST_DEG,
        unit="deg",
    )


def _lip(rise_mm: float) -> View:
    """A cup of 30 mm whose bore opens by 5 mm a side over `rise_mm`, up to its outside."""
    return drawn_view([(0, 0), (10, 0), (30 - rise_mm, 10), (30, 15), (0, 15)])


EXAMPLES = (
    Example("a mouth that opens at 60 degrees to the axis", lambda: _lip(5.0 / 3.0**0.5)),
    Example("one that opens slowly up to the outside", lambda: _lip(15.0), ("warning",)),
)
