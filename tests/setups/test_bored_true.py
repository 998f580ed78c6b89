"""A bore that must run true is bored where a bar gets at it: drills wander (common practice)."""

from __future__ import annotations

from test_plans_by_hand import only, plan

from turnability.analysis.stages import walk
from turnability.half_plane.curves import Point
from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.surfaces.relations import Group, shared_out
from turnability.shop.load import starter_shop

SHOP = starter_shop()


def made(points: list[Point], related: bool) -> Report:
    true = Related(
        "bore and outside",
        (Named(diameter_mm=(40.0, 40.0)), Named(diameter_mm=(14.0, 14.0))),
        0.05,
    )
    return walk(drawn_part(points), SHOP, intent=Intent(related=(true,) if related else ()))


def test_it_is_turned_first_from_the_end_from_which_a_bar_comes() -> None:
    """By hand: the 14 lies 40 to 60 deep behind the 16, where no bar that enters it gets (32 mm).

    From its own end it is bored, with the outside; the 16 is left to the other chucking. Where
    nothing asks for it, one chucking with a drill is enough.
    """
    bush = [(0, 7), (20, 7), (20, 8), (60, 8), (60, 20), (0, 20)]
    report = made(bush, related=True)
    first, second = report.setups
    assert (first.toward_chuck, second.toward_chuck) == ("high", "low")
    (bored,) = [o for o in first.operations if "S1" in o.segments]
    assert (bored.kind, bored.tool) == ("bore", "bore 8")
    assert any("S5" in o.segments for o in first.operations)
    assert report.plan is not None
    (one,) = report.plan.rechucked
    assert (one.setups, one.drilled) == ((1,), ())
    assert report.plan.runner_up is not None
    assert report.plan.runner_up.why == "a bore that must run true is only drilled"
    assert len(made(bush, related=False).setups) == 1


def test_what_no_bar_reaches_from_either_end_is_drilled_and_told() -> None:
    """The 14 lies 40 deep from either end."""
    deep = [(0, 8), (40, 8), (40, 7), (60, 7), (60, 8), (100, 8), (100, 20), (0, 20)]
    report = made(deep, related=True)
    assert report.plan is not None
    (one,) = report.plan.rechucked
    assert one.drilled
    assert any(f.rule == "related-surfaces-split" for f in report.findings)


def test_the_chucking_that_bores_them_finishes_related_surfaces() -> None:
    cut = [frozenset({"A", "B"}), frozenset({"A", "B"})]
    groups = [Group("true", frozenset({"A", "B"}), None)]
    assert shared_out(cut, groups, [(), ()]) == [{"A", "B"}, set()]
    assert shared_out(cut, groups, [(), ()], bored=[(), ("B",)]) == [set(), {"A", "B"}]
    # not where it is held by one of them
    assert shared_out(cut, groups, [(), ("A",)], bored=[(), ("B",)]) == [{"A", "B"}, set()]


def test_a_bore_that_a_bar_ends_from_the_other_end_is_not_true_to_the_first():
    """By hand: ⌀20 H7 goes 36 mm through, and the bar stands out 32. The last 4 mm are bored when
    the part is turned round, 0.10 mm off in those jaws; that a drill of ⌀20 gets through from one
    end is no help, for it bores nothing true."""
    shop = only("rough right", "bore 8")
    seats = (
        Named(diameter_mm=(20.0, 20.0), side="inner"),
        Named(diameter_mm=(70.0, 70.0), side="outer"),
    )
    fit = Tolerance("diameter", seats[0], "H7", fit="H7", nominal_mm=20.0, width_mm=0.021)
    meant = Intent(tolerances=(fit,), related=(Related("true", seats, 0.05),))
    made = plan([(0, 10), (36, 10), (36, 35), (0, 35)], shop, intent=meant)
    (one,) = made.rechucked
    assert (one.setups, one.holds) == ((1, 2), False)
    assert one.mismatch.value == 0.10
