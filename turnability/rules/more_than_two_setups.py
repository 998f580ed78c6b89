"""The plan takes more than two chuckings."""

from __future__ import annotations

from dataclasses import replace

from turnability.rules.drawn import CHUCK, HEADS, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.setups.model import Datum, Grip, Plan, SetOver, Setup
from turnability.setups.set_over.tapers import set_over_tapers

NAME = "more-than-two-setups"
LEVELS = ("warning",)
WHY = "Each chucking takes time, and costs run-out between what is cut before and after it."
LIMIT = "two chuckings: most turned parts are done from bar, and turned round once"
BASIS = "common practice, no source"
TWO = 2


def check(view: View) -> Judgement:
    """A warning where it does."""
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    over = () if view.plan is None else view.plan.set_over
    lathe = next((m for m in view.shop.machines if view.plan and m.name == view.plan.lathe), None)
    tapers = set_over_tapers(
        view.part.profile, view.setups, view.features or (), lathe, view.intent
    )
    many = len(view.setups) + len(over) + len(tapers)
    if many <= TWO:
        return ()
    off = f", {len(over)} of them set over for what lies off the axis" if over else ""
    off += f", {len(tapers)} with the tailstock set over for a taper" if tapers else ""
    why = (
        ""
        if view.plan is None or view.plan.runner_up is None
        else (f" With the next best way of holding it, {view.plan.runner_up.why}.")
    )
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The plan takes {many} chuckings{off}. {WHY}{why} Let more be reached from "
                "one end, or give the part a land that is held for all the rest."
            ),
            where=Where(z_mm=(0.0, view.part.profile.length_mm)),
            basis=Basis(BASIS, "common-practice"),
            measured=float(many),
            limit=float(TWO),
            unit="setups",
        ),
    )


def _setups(count: int, over: int = 0) -> View:
    grip = Grip(CHUCK.name, "outer", (0.0, 8.0), 22.0, 8.0)
    made = tuple(
        Setup(n, "low" if n % 2 else "high", grip, Datum("S7", "drawn"), "none", (), ())
        for n in range(1, count + 1)
    )
    one = SetOver(("D1",), 2.0, 4.0, 50.0, ())
    plan = Plan(made, set_over=(one,) * over)
    return replace(drawn_view(HEADS, setups=made), plan=plan)


EXAMPLES = (
    Example("a pin in one setup", drawn_view),
    Example("a neck between heads, turned round once", lambda: _setups(2)),
    Example("the same, turned round twice", lambda: _setups(3), ("warning",)),
    Example(
        "turned round once, and set over for an eccentric", lambda: _setups(2, 1), ("warning",)
    ),
)
