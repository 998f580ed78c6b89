"""The verdict's truth table, and how the judge treats rules that raise or cannot judge."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.rules.drawn import drawn_part, drawn_shop, drawn_view
from turnability.rules.judge import Rule, judge
from turnability.rules.model import Basis, Change, Finding, NotJudged, RuleStatus, Where
from turnability.rules.verdict import verdict_of
from turnability.shop.material import COMMON_POLICY

PART = drawn_part([(0, 0), (10, 0), (10, 5), (0, 5)])
LEVELS = {"hard": ("error", "warning"), "soft": ("warning", "note")}


def finding(level, proven=None, rule="hard", z=None, message="It is so."):
    change = None if proven is None else Change("do it", "d_mm", 1.0, 2.0, proven)
    return Finding(
        rule, level, message, Where(z_mm=z), Basis("geometry", "geometry"), change=change
    )


def rule(name, check, levels=("error",)):
    return Rule(name, levels, "why", "limit", "basis", check, ())


@pytest.mark.parametrize(
    ("findings", "statuses", "expected"),
    [
        ([], ["passed"], "turnable"),
        (["warning"], ["found"], "turnable"),
        ([True], ["found"], "needs-changes"),
        ([False], ["found"], "not-turnable"),
        ([None], ["found"], "not-turnable"),
        ([True, None], ["found"], "not-turnable"),
        ([True, True, "warning"], ["found"], "needs-changes"),
        ([], ["not-judged"], "undetermined"),
        ([], ["crashed"], "undetermined"),
        ([None], ["found", "crashed"], "undetermined"),
    ],
)
def test_the_contracts_verdicts(findings, statuses, expected):
    found = [finding("warning") if f == "warning" else finding("error", f) for f in findings]
    fates = [RuleStatus("hard", s) for s in statuses]
    assert verdict_of(PART, found, fates, LEVELS) == expected


def test_a_rule_that_only_warns_may_stay_unjudged():
    assert verdict_of(PART, [], [RuleStatus("soft", "not-judged")], LEVELS) == "turnable"
    assert verdict_of(PART, [], [RuleStatus("soft", "crashed")], LEVELS) == "turnable"


def test_an_unknown_stage_counts_as_grave():
    assert verdict_of(PART, [], [RuleStatus("stage-reach", "crashed")], LEVELS) == "undetermined"


def test_without_a_profile_nothing_else_matters():
    assert verdict_of(drawn_part(None), [], [RuleStatus("hard", "crashed")], LEVELS) == (
        "not-axisymmetric"
    )


@given(
    st.lists(st.sampled_from([True, False, None]), max_size=4),
    st.lists(st.sampled_from(["passed", "found", "not-judged", "crashed"]), max_size=4),
)
def test_more_trouble_never_makes_a_better_verdict(changes, statuses):
    rank = ["turnable", "needs-changes", "not-turnable", "undetermined"]
    found = [finding("error", c) for c in changes]
    fates = [RuleStatus("hard", s) for s in statuses]
    before = verdict_of(PART, found, fates, LEVELS)
    for more in (True, None):
        after = verdict_of(PART, [*found, finding("error", more)], fates, LEVELS)
        assert rank.index(after) >= rank.index(before)
    after = verdict_of(PART, found, [*fates, RuleStatus("hard", "crashed")], LEVELS)
    assert after == "undetermined"


def test_a_rule_that_raises_has_crashed_and_the_others_go_on():
    def broken(view):
        raise ZeroDivisionError("one over nothing")

    outcome = judge(
        drawn_view(),
        (
            rule("broken", broken),
            rule("blind", lambda view: NotJudged("nothing to see")),
            rule("fine", lambda view: ()),
            rule("loud", lambda view: [finding("error", rule="loud")]),
        ),
    )
    fates = {s.rule: (s.status, s.reason) for s in outcome.statuses}
    assert fates == {
        "broken": ("crashed", "ZeroDivisionError: one over nothing"),
        "blind": ("not-judged", "nothing to see"),
        "fine": ("passed", None),
        "loud": ("found", None),
    }
    assert [f.rule for f in outcome.findings] == ["loud"]


def test_findings_come_gravest_first_then_along_z():
    def many(view):
        return [
            finding("note", z=(0, 1)),
            finding("error", z=(9, 10)),
            finding("warning"),
            finding("error", z=(2, 3)),
            finding("warning", z=(5, 6)),
        ]

    outcome = judge(drawn_view(), (rule("many", many),))
    assert [(f.id, f.level, f.where.z_mm) for f in outcome.findings] == [
        ("N1", "error", (2, 3)),
        ("N2", "error", (9, 10)),
        ("N3", "warning", (5, 6)),
        ("N4", "warning", None),
        ("N5", "note", (0, 1)),
    ]


def test_a_part_without_axis_gets_one_error_and_nothing_else():
    outcome = judge(drawn_view(part=drawn_part(None, reason="62 % turns about no common axis")))
    (only,) = outcome.findings
    assert (only.id, only.rule, only.level) == ("N1", "not-axisymmetric", "error")
    assert "62 % turns about no common axis" in only.message
    assert outcome.statuses == ()
    assert outcome.assumptions == ()


def test_a_shop_of_bare_outlines_leaves_the_verdict_open():
    """Only reach is judged then: what needs holdings, machines or stock is not."""
    shop = replace(drawn_shop(), holdings=(), machines=(), stock=(), stock_policy=None)
    view = replace(drawn_view(shop=shop), setups=None)
    outcome = judge(view)
    open_ = {s.rule for s in outcome.statuses if s.status == "not-judged"}
    assert {"beyond-machine", "no-land-to-grip", "outside-near-stock-size"} <= open_
    fates = {s.rule: s.status for s in outcome.statuses}
    assert fates["unreached-surface"] == "passed"
    assert verdict_of(view.part, outcome.findings, outcome.statuses) == "undetermined"


def test_a_stage_that_gave_up_is_not_a_pass():
    view = replace(drawn_view(), reach=None, stock=None, setups=None, lands=None, features=None)
    fates = {s.rule: s.status for s in judge(view).statuses}
    for name in ("unreached-surface", "sharp-inside-corner", "recess-behind-small-entry"):
        assert fates[name] == "not-judged"
    assert "crashed" not in fates.values()


def test_assumptions_say_what_is_missing_and_how_to_state_it():
    told = judge(drawn_view()).assumptions
    by_name = {a.what: a for a in told}
    assert by_name["material"].assumed == "steel"
    for name in ("condition", "quantity", "tolerances", "surface finish", "edges", "centre holes"):
        assert by_name[name].how_to_state
    bare = replace(drawn_shop(), stock_policy=None)
    by_name = {a.what: a for a in judge(drawn_view(shop=bare)).assumptions}
    allowance = by_name["stock allowance"]
    assert allowance.assumed == (
        "1.27 mm on diameter for bright bar, 1 mm at either end, 3 mm for parting (common practice)"
    )
    assert by_name["density"].assumed.startswith("none")
    ends = replace(COMMON_POLICY, end_allowance_mm=2.0, unstated=frozenset({"diameter_allowance"}))
    inch = replace(drawn_shop(inch=True), stock_policy=ends)
    by_name = {a.what: a for a in judge(drawn_view(shop=inch)).assumptions}
    allowance = by_name["stock allowance"]
    assert allowance.assumed == "0.05 in on diameter for bright bar (common practice)"
    assert allowance.how_to_state == "diameter_allowance_in under [stock_policy] in the shop file"
    stated = replace(drawn_shop(), stock_policy=replace(COMMON_POLICY, unstated=frozenset()))
    assert "stock allowance" not in {a.what for a in judge(drawn_view(shop=stated)).assumptions}
