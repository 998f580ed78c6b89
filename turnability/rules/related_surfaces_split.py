"""Surfaces that must run true to one another: finished in different chuckings, or only drilled."""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.rules.bar_arithmetic import bar_wanted
from turnability.rules.bore_from_both_ends import stepped
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.other_holdings import HARD_JAWS, kind_of
from turnability.rules.speak import run_out_text, segments_by_id, set_true_text, where_of
from turnability.setups.model import Plan, Rechucked
from turnability.units import length_text

NAME = "related-surfaces-split"
LEVELS = ("warning", "note")
WHY = "What is chucked again runs no truer than its holding brings it back."
LIMIT = (
    "the run-out that is stated; where none is, that they are finished in one setup, and no bore "
    "of them by a drill"
)
BASIS = "run-out of a part chucked again, by the shop file or common practice for each holding"
DRILLED = Cited(
    0.2,
    "mm",
    "common practice",
    "run-out of a bore as a twist drill leaves it, more where it is deep, from memory",
    verified=False,
)
WANDERS = "A drill wanders off the axis, even in one chucking, and a reamer follows the hole."


def check(view: View) -> Judgement:
    """A warning where chucking again, or a drill, is expected to cost more than is stated.

    A note where no run-out is. Bores from both ends are told by `bore-from-both-ends`.
    """
    if view.plan is None:
        return NotJudged("no plan of setups was made")
    related = view.plan.rechucked
    split = [_finding(view, one) for one in related if not one.holds and not stepped(view, one)]
    return [*split, *(_wandering(view, one) for one in related if _is_too_coarse(one))]


def told_of_drills(view: View) -> frozenset[str]:
    """Bores of which this rule says that a drill leaves them less true than they are to be."""
    related = () if view.plan is None else view.plan.rechucked
    return frozenset(s for one in related if _is_too_coarse(one) for s in one.drilled)


def _is_too_coarse(one: Rechucked) -> bool:
    return bool(one.drilled) and (one.limit_mm is None or one.limit_mm < DRILLED.value)


def _finding(view: View, one: Rechucked) -> Finding:
    inch = view.shop.inch
    setups = " and ".join(str(n) for n in one.setups)
    return Finding(
        rule=NAME,
        level="note" if one.limit_mm is None else "warning",
        message=(
            f'"{one.name}": its surfaces are finished in setups {setups}; '
            f"{run_out_text(one, inch)}. {WHY} Let tools reach them all from one end, "
            f"{set_true_text(view.shop, 'on a surface that belongs to them')}, "
            f"{_soft_jaws(view, one)}or state a wider run-out."
        ),
        where=where_of(view, one.segments),
        basis=Basis(BASIS, "common-practice"),
        measured=None if one.mismatch is None else one.mismatch.value,
        limit=one.limit_mm,
        unit="mm",
    )


def _soft_jaws(view: View, one: Rechucked) -> str:
    """That soft jaws would hold it truer, where hard ones hold it round in a later setup."""
    later = [s for s in view.setups or () if s.order in one.setups[1:]]
    if later and all(s.grip.across_flats_mm is not None for s in later):
        return ""
    hard = [s for s in later if kind_of(view.shop, s) in HARD_JAWS]
    return "bore soft jaws in place, " if hard or not later else ""


def _wandering(view: View, one: Rechucked) -> Finding:
    """That a bore which must run true is only drilled, and what a boring bar would want."""
    inch = view.shop.inch
    known = segments_by_id(view.part)
    bores = [known[s].curve for s in one.drilled]
    narrow = 2.0 * min(bore.start[1] for bore in bores)
    ends = [point[0] for bore in bores for point in (bore.start, bore.end)]
    bar = bar_wanted(view.shop, narrow, max(ends) - min(ends), "true")
    stated = (
        "true to one another with no run-out stated"
        if one.limit_mm is None
        else f"true within {length_text(one.limit_mm, inch)}"
    )
    return Finding(
        rule=NAME,
        level="note" if one.limit_mm is None else "warning",
        message=(
            f'"{one.name}" is to be {stated}, but no boring bar finishes its bore of '
            f"⌀{length_text(narrow, inch)}: it is {_by_drill(view, one)}. {WANDERS} Expect "
            f"{length_text(DRILLED.value, inch)} of run-out, and more where it is deep (common "
            f"practice, from memory). {bar}, ream it "
            "only once it is bored, turn the other surfaces on a mandrel in the finished bore, or "
            "state a wider run-out."
        ),
        where=where_of(view, one.drilled),
        basis=Basis("what a drill leaves of run-out, from memory", "common-practice"),
        measured=DRILLED.value,
        limit=one.limit_mm,
        unit="mm",
    )


def _by_drill(view: View, one: Rechucked) -> str:
    """What is done to these bores, in words."""
    done = {s for setup in view.setups or () for o in setup.operations if o.kind == "ream"
            for s in o.segments}  # fmt: skip
    reamed = [s in done for s in one.drilled]
    if all(reamed):
        return "drilled and reamed"
    return "left as drilled, or drilled and reamed" if any(reamed) else "left as drilled"


def _view(setups: tuple[int, ...], limit: float | None) -> View:
    off = Cited(0.1, "mm", "common practice", "three-jaw, hard jaws", verified=False)
    one = Rechucked("seats", ("S3", "S5"), setups, off if len(setups) > 1 else None, limit)
    return replace(drawn_view(), plan=Plan((), (one,)))


def _drilled(limit: float | None) -> View:
    """A bush of ⌀8 bore, true to its outside, that no bar enters."""
    one = Rechucked("seat and bore", ("S1", "S3"), (1,), None, limit, ("S1",))
    view = drawn_view([(0, 4), (20, 4), (20, 11), (0, 11)])
    return replace(view, plan=Plan((), (one,)))


EXAMPLES = (
    Example("in one setup", lambda: _view((1,), 0.02)),
    Example("in two, where that is true enough", lambda: _view((1, 2), 0.2)),
    Example("in two, nothing stated", lambda: _view((1, 2), None), ("note",)),
    Example("in two, finer than the jaws are", lambda: _view((1, 2), 0.02), ("warning",)),
    Example("in one, drilled where that will do", lambda: _drilled(0.3)),
    Example("in one, drilled, nothing stated", lambda: _drilled(None), ("note",)),
    Example("in one, drilled where it must be true", lambda: _drilled(0.05), ("warning",)),
)
