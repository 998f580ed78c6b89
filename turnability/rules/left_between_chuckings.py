"""Tools would clear it by cutting from either end in turn, which chuckings do not."""

from __future__ import annotations

from turnability.rules.drawn import HEADS, Example, drawn_left, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.no_land_to_grip import said_otherwise
from turnability.rules.speak import place_text, segments_by_id, where_of
from turnability.setups.model import SetupLeft
from turnability.setups.trials.in_the_way import by_turns_text

NAME = "left-between-chuckings"
LEVELS = ("error",)
WHY = "What one hand leaves from one end stands in its way from the other, however it is held."
LIMIT = "nothing stays that the tools would cut if the part were turned round again and again"
BASIS = "geometry of the shop's tools in each chucking of the plan, with nothing held"


def check(view: View) -> Judgement:
    """An error for what the plan leaves by its turns alone: neither by jaws nor by reach."""
    if view.setups is None or view.part.profile is None or view.reach is None:
        return NotJudged("no plan of setups was made")
    if not view.setups:
        return ()
    said = said_otherwise(view)
    by_reach = {(left.segments, left.causes) for left in view.reach.left}
    found = [
        left
        for left in view.setups[-1].left
        if "jaws" not in left.causes
        and (left.segments, left.causes) not in by_reach
        and not said.issuperset(left.segments)
    ]
    return [_finding(view, left) for left in found]


def _finding(view: View, left: SetupLeft) -> Finding:
    where = where_of(view, left.segments)
    known = segments_by_id(view.part)
    change = by_turns_text(all(known[s].surface != "inner" for s in left.segments if s in known))
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"What lies at {place_text(where, view.shop.inch)} is left by every chucking, though "
            f"not because of the jaws. {change[0].upper()}{change[1:]}."
        ),
        where=where,
        basis=Basis(BASIS, "geometry"),
    )


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a neck between heads, cut by tools of both hands", lambda: drawn_view(HEADS)),
    Example(
        "a pin of which no tool reaches a corner, held or not",
        lambda: drawn_view(
            left=(drawn_left(("S4", "S5"), [(18, 8), (18.2, 8), (18, 8.2)], ("hand",), 0.1),),
            setup_left=(SetupLeft(("S4", "S5"), ("hand",)),),
        ),
    ),
    Example(
        "a neck between heads, of which tools of one hand leave the far corner from either end",
        lambda: drawn_view(HEADS, setup_left=(SetupLeft(("S5", "S6"), ("hand",)),)),
        ("error",),
    ),
)
