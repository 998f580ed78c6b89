"""Surfaces that must run true to one another are finished in different chuckings."""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.model import Plan, Rechucked
from turnability.units import length_text

NAME = "related-surfaces-split"
LEVELS = ("warning", "note")
WHY = "What is chucked again runs no truer than its holding brings it back."
LIMIT = "the run-out that is stated; where none is, that they are finished in one setup"
BASIS = "run-out of a part chucked again, by the shop file or common practice for each holding"


def check(view: View) -> Judgement:
    """A warning where chucking again is expected to cost more than is stated, else a note."""
    if view.plan is None:
        return NotJudged("no plan of setups was made")
    return [_finding(view, one) for one in view.plan.rechucked if not one.holds]


def _finding(view: View, one: Rechucked) -> Finding:
    inch = view.shop.inch
    setups = " and ".join(str(n) for n in one.setups)
    off = one.mismatch
    expected = (
        "how far that brings them off is not stated for its holding"
        if off is None
        else f"expect {length_text(off.value, inch)} of run-out ({off.source})"
    )
    against = (
        "no run-out is stated for them"
        if one.limit_mm is None
        else f"{length_text(one.limit_mm, inch)} are stated"
    )
    return Finding(
        rule=NAME,
        level="note" if one.limit_mm is None else "warning",
        message=(
            f'"{one.name}": its surfaces are finished in setups {setups}; {expected}, and '
            f"{against}. {WHY} Let tools reach them all from one end, set the part true by an "
            "indicator on a surface that belongs to them, bore soft jaws in place, or state a "
            "wider run-out."
        ),
        where=where_of(view, one.segments),
        basis=Basis(BASIS, "common-practice"),
        measured=None if off is None else off.value,
        limit=one.limit_mm,
        unit="mm",
    )


def _view(setups: tuple[int, ...], limit: float | None) -> View:
    off = Cited(0.1, "mm", "common practice", "three-jaw, hard jaws", verified=False)
    one = Rechucked("seats", ("S3", "S5"), setups, off if len(setups) > 1 else None, limit)
    return replace(drawn_view(), plan=Plan((), (one,)))


EXAMPLES = (
    Example("in one setup", lambda: _view((1,), 0.02)),
    Example("in two, where that is true enough", lambda: _view((1, 2), 0.2)),
    Example("in two, nothing stated", lambda: _view((1, 2), None), ("note",)),
    Example("in two, finer than the jaws are", lambda: _view((1, 2), 0.02), ("warning",)),
)
