"""A hollow inside the material that no tool can enter."""

from __future__ import annotations

from turnability.half_plane.curves import line_ring
from turnability.part.model import Segment
from turnability.part.profile import make_profile
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import place_text, where_of

NAME = "closed-cavity"
LEVELS = ("error",)
WHY = "Material must leave the part somewhere: a hollow without an opening cannot be cut."
LIMIT = "no hollow without an opening to the outside"
BASIS = "geometry of the meridian"


def check(view: View) -> Judgement:
    """One error for each closed hollow of the profile."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    return [_finding(view, loop.segments) for loop in profile.loops if loop.role == "cavity"]


def _finding(view: View, segments: tuple[Segment, ...]) -> Finding:
    where = where_of(view, [s.id for s in segments])
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"Closed hollow at {place_text(where, view.shop.inch)}: no tool can enter it. "
            f"{WHY} Open it to one end, or make the part in two pieces and join them."
        ),
        where=where,
        basis=Basis(BASIS, "geometry"),
    )


def _hollow() -> View:
    cavity = tuple(c.reversed() for c in line_ring([(4, 2), (9, 2), (9, 6), (4, 6)])[::-1])
    solid = line_ring(PIN)
    return drawn_view(make_profile([[(c, ()) for c in solid], [(c, ()) for c in cavity]]))


EXAMPLES = (
    Example("a solid pin", drawn_view),
    Example("a pin with a ring-shaped void inside", _hollow, ("error",)),
)
