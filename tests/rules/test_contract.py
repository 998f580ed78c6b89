"""Every rule, found by being there, keeps the same contract; its examples prove it at work."""

import pkgutil

import pytest

import turnability.rules as package
from turnability.rules.judge import all_rules, judge
from turnability.rules.model import Finding, NotJudged
from turnability.rules.speak import segments_by_id

MACHINERY = {
    "as_the_bar", "assume", "bar_arithmetic", "blade_wanted", "corners", "deep_bore", "drawn",
    "drill_steps",
    "elsewhere", "floor_fillets", "followable", "judge", "model", "narrow_throat", "other_holdings",
    "outside_edges", "sawn_end", "speak", "verdict", "why_not_held",
}  # fmt: skip
RULES = {rule.name: rule for rule in all_rules()}
CASES = [
    pytest.param(rule, example, id=f"{rule.name}: {example.text}")
    for rule in all_rules()
    for example in rule.examples
]


def test_every_module_is_a_rule_or_named_machinery():
    modules = {found.name for found in pkgutil.iter_modules(package.__path__)}
    assert modules - MACHINERY == {name.replace("-", "_") for name in RULES}


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_a_rule_explains_itself_and_shows_harmless_parts_first(rule):
    assert rule.name == rule.name.lower()
    assert " " not in rule.name
    assert "_" not in rule.name
    for text in (rule.why, rule.limit, rule.basis):
        assert len(text.split()) > 3
    assert set(rule.levels) <= {"error", "warning", "note"}
    assert rule.examples[0].levels == ()
    shown = {level for example in rule.examples for level in example.levels}
    assert shown == set(rule.levels), "every level a rule may report has its example"


@pytest.mark.parametrize(("rule", "example"), CASES)
def test_an_example_finds_what_it_says(rule, example):
    view = example.view()
    judged = rule.check(view)
    assert not isinstance(judged, NotJudged)
    assert tuple(finding.level for finding in judged) == example.levels
    known = segments_by_id(view.part)
    for finding in judged:
        assert isinstance(finding, Finding)
        assert finding.rule == rule.name
        assert finding.message.rstrip().endswith(".")
        assert finding.basis.text
        assert set(finding.where.segments) <= set(known)
        if finding.where.z_mm and view.part.profile:
            low, high = finding.where.z_mm
            assert 0.0 - 1e-6 <= low <= high <= view.part.profile.length_mm + 1e-6
        if finding.change is not None:
            assert finding.change.proven is False
            assert finding.change.text in finding.message or finding.change.text[:-1] in (
                finding.message
            )


@pytest.mark.parametrize(("rule", "example"), CASES)
def test_other_rules_do_not_crash_on_it(rule, example):
    outcome = judge(example.view())
    assert [s for s in outcome.statuses if s.status == "crashed"] == []


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_inch_shops_read_inches(rule):
    from dataclasses import replace

    for example in rule.examples:
        if not example.levels:
            continue
        view = example.view()
        judged = rule.check(replace(view, shop=replace(view.shop, inch=True)))
        assert not isinstance(judged, NotJudged)
        for finding in judged:
            # texts that speak of rules of thumb and of the file's own unit may keep theirs
            body = finding.message.replace("lengths are in mm", "")
            assert " mm" not in body, body
