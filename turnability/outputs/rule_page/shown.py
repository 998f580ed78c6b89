"""A rule's examples, each with what the rule finds on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from turnability.rules.judge import Rule
from turnability.rules.model import Finding, Level, NotJudged, View
from turnability.units import in_unit

_RANK: tuple[Level, ...] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Shown:
    """One example as drawn; no findings where the rule passes it."""

    text: str
    view: View
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> str:
        """What a caption begins with: "passes", or the levels of what is found."""
        levels = {finding.level for finding in self.findings}
        return ", ".join(level for level in _RANK if level in levels) or "passes"


def examples_of(rule: Rule, inch: bool = False) -> tuple[Shown, ...]:
    """All examples of a rule, harmless ones first, told in inch where that is wished."""
    shown = []
    for example in rule.examples:
        view = example.view()
        view = replace(view, shop=replace(view.shop, inch=inch))
        judged = rule.check(view)
        findings = () if isinstance(judged, NotJudged) else tuple(judged)
        shown.append(Shown(in_unit(example.text, inch), view, findings))
    return tuple(shown)


def good_and_bad(shown: tuple[Shown, ...]) -> tuple[Shown, ...]:
    """The part that shows best what passes, and the worst that does not.

    Of the harmless ones that which is nearest in shape to the bad one, which is told apart by one
    thing alone; of several the last, for "a pin" comes first and says least.
    """
    good = [one for one in shown if not one.findings]
    bad = [one for one in shown if one.findings]
    worst = min(bad, key=lambda one: min(_RANK.index(f.level) for f in one.findings))
    near = min(reversed(good), key=lambda one: _unlike(one.view, worst.view))
    return near, worst


def _unlike(one: View, other: View) -> float:
    a, b = one.part.profile, other.part.profile
    if a is None or b is None:
        return 0.0 if a is b else 1e9
    sizes = (a.length_mm - b.length_mm, a.max_diameter_mm - b.max_diameter_mm)
    corners = len(a.segments) - len(b.segments)
    return abs(sizes[0]) + abs(sizes[1]) + abs(corners)
