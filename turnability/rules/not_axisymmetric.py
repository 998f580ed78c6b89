"""No axis carries the part: it is not a turned body."""

from __future__ import annotations

from turnability.rules.drawn import Example, drawn_part, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, View, Where

NAME = "not-axisymmetric"
LEVELS = ("error",)
WHY = "A lathe makes what turns about one axis; other shapes are milled, cast or bent."
LIMIT = "an axis about which the part's surfaces turn and its turned body is nearly filled"
BASIS = "geometry of the solid"


def check(view: View) -> Judgement:
    """One error where the part has no profile, with the reason that its reader gave."""
    if view.part.profile is not None:
        return ()
    reason = view.part.symmetry.reason or "no axis was found about which it turns"
    return (
        Finding(
            rule=NAME,
            level="error",
            message=f"This is not a turned part: {reason.rstrip('.')}. {WHY}",
            where=Where(),
            basis=Basis(BASIS, "geometry"),
            measured=view.part.symmetry.turned_area_fraction,
        ),
    )


EXAMPLES = (
    Example("a stepped pin", drawn_view),
    Example(
        "a plate",
        lambda: drawn_view(part=drawn_part(None, reason="its faces turn about no common axis")),
        ("error",),
    ),
)
