"""Every rule of this package put to one part, and what came of each.

A rule is a module of `turnability.rules` that has a NAME; it is found by being there. It may say
nothing (passed), report findings, or say that it could not judge. One that raises has crashed:
that is shown, never taken for a pass.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import turnability.rules as package
from turnability.rules.assume import assumptions_for
from turnability.rules.drawn import Example
from turnability.rules.model import (
    Finding,
    Judgement,
    Level,
    NotJudged,
    RuleOutcome,
    RuleStatus,
    View,
)
from turnability.units import in_unit

_RANK: dict[Level, int] = {"error": 0, "warning": 1, "note": 2}
FIRST_RULE = "not-axisymmetric"
"""Where this one finds its error nothing else can be said of the part."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule as its module tells it; `why`, `limit` and `basis` are for people to read."""

    name: str
    levels: tuple[Level, ...]
    why: str
    limit: str
    basis: str
    check: Callable[[View], Judgement]
    examples: tuple[Example, ...]


@cache
def all_rules() -> tuple[Rule, ...]:
    """Every rule of the package, by name."""
    rules = []
    for found in pkgutil.iter_modules(package.__path__):
        module = importlib.import_module(f"{package.__name__}.{found.name}")
        if not hasattr(module, "NAME"):
            continue
        rules.append(
            Rule(
                module.NAME,
                tuple(module.LEVELS),
                module.WHY,
                module.LIMIT,
                module.BASIS,
                module.check,
                tuple(module.EXAMPLES),
            )
        )
    return tuple(sorted(rules, key=lambda rule: rule.name))


def judge(view: View, rules: tuple[Rule, ...] | None = None) -> RuleOutcome:
    """Put every rule (or those given) to the part.

    Findings come errors first, then by z, numbered N1 on. For a part that no axis carries the
    outcome is one error and nothing else.
    """
    chosen = all_rules() if rules is None else rules
    if view.part.profile is None:
        first = next(rule for rule in all_rules() if rule.name == FIRST_RULE)
        judged = first.check(view)
        assert not isinstance(judged, NotJudged)
        return RuleOutcome(_numbered(list(judged)), (), ())
    findings: list[Finding] = []
    statuses: list[RuleStatus] = []
    for rule in chosen:
        status, found = _put(rule, view)
        statuses.append(status)
        findings.extend(found)
    return RuleOutcome(_numbered(findings), tuple(statuses), assumptions_for(view))


def levels_of_rules() -> dict[str, tuple[Level, ...]]:
    """Which levels each rule may report."""
    return {rule.name: rule.levels for rule in all_rules()}


def _put(rule: Rule, view: View) -> tuple[RuleStatus, list[Finding]]:
    try:
        judged = rule.check(view)
        if isinstance(judged, NotJudged):
            return RuleStatus(rule.name, "not-judged", judged.reason), []
        found = list(judged)
    except MemoryError:
        raise
    except Exception as error:  # whatever a rule trips over must be shown, not end the run
        return RuleStatus(rule.name, "crashed", f"{type(error).__name__}: {error}"), []
    if view.shop.inch:
        found = [_basis_in_inches(finding) for finding in found]
    return RuleStatus(rule.name, "found" if found else "passed"), found


def _basis_in_inches(finding: Finding) -> Finding:
    """A rule states what it rests on once, in metric units."""
    return replace(
        finding, basis=replace(finding.basis, text=in_unit(finding.basis.text, inch=True))
    )


def _numbered(findings: list[Finding]) -> tuple[Finding, ...]:
    ordered = sorted(findings, key=_place)
    return tuple(replace(finding, id=f"N{n}") for n, finding in enumerate(ordered, start=1))


def _place(finding: Finding) -> tuple[int, float, float, str, str]:
    low, high = finding.where.z_mm or (float("inf"), float("inf"))
    return (_RANK[finding.level], low, high, finding.rule, finding.message)
