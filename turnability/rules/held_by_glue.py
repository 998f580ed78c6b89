"""A chucking that nothing but glue holds."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.half_plane.curves import Point
from turnability.rules.drawn import CHUCK, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.holding.grips import holding_of
from turnability.setups.holding.on_face import LEAST_FACE, least_face_mm
from turnability.setups.model import Datum, Grip, Setup
from turnability.setups.surfaces.edges import end_face
from turnability.shop.model import Holding
from turnability.units import length_text

NAME = "held-by-glue"
LEVELS = ("warning",)
WHY = "Glue lets go with heat and shock, and then the part flies."
LIMIT = (
    "no chucking on a glued arbor; one is planned only where nothing else does, on a face of at "
    f"least {LEAST_FACE.value:.0%} of the largest diameter and of the length"
)
BASIS = "common practice: glue last, for light cuts, behind a guard"


def check(view: View) -> Judgement:
    """A warning for each setup on a glued arbor."""
    if not view.shop.holdings:
        return NotJudged("the shop file names no holding")
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    found = []
    for setup in view.setups:
        holding = holding_of(setup, view.shop)
        if holding is not None and holding.kind == "glued-arbor":
            found.append(_finding(view, setup))
    return found


def _finding(view: View, setup: Setup) -> Finding:
    assert view.part.profile is not None
    across = setup.grip.diameter_mm
    return Finding(
        rule=NAME,
        level="warning",
        message=(
            f"Setup {setup.order} has nothing but glue to hold the part, on its end face of "
            f"⌀{length_text(across, view.shop.inch)}. {WHY} Give it a straight cylinder that jaws "
            "can hold, tapped holes in that face for screws from behind, or a bore for a mandrel; "
            "else light cuts, coolant and a guard, and a qualified machinist decides whether at "
            "all."
        ),
        where=where_of(view, end_face(view.part.profile, setup.toward_chuck)),
        basis=Basis(BASIS, "common-practice"),
        measured=across,
        limit=least_face_mm(view.part.profile),
        unit="mm",
    )


_GLUE = Holding("glue plate", "glued-arbor", None, None, 0.0, 0.0, 2.0)
_DISH: Sequence[Point] = ((0, 0), (0, 30), (2, 31), (4, 30), (4, 0))


def _glued() -> View:
    raw = Grip("raw bar", "outer", (-15.0, -5.0), 65.0, 10.0)
    face = Grip(_GLUE.name, "inner", (4.0, 4.0), 60.0, 0.0)
    setups = (
        Setup(1, "low", raw, Datum(None, "raw bar"), "none", (), ()),
        Setup(2, "high", face, Datum(None, "its face"), "none", (), (), holding=_GLUE),
    )
    return drawn_view(_DISH[::-1], shop=drawn_shop(holdings=(CHUCK, _GLUE)), setups=setups)


EXAMPLES = (
    Example("a pin held in jaws", drawn_view),
    Example("a dished disc faced on a glued arbor", _glued, ("warning",)),
)
