"""One rule explained in text: why, limit, basis, a part that passes and one that does not."""

from __future__ import annotations

import difflib
import textwrap
from collections.abc import Iterator

from turnability.outputs.rule_page.shown import Shown, examples_of, good_and_bad
from turnability.outputs.rule_page.text_sketch import KEY, text_sketch
from turnability.rules.judge import Rule, all_rules
from turnability.units import in_unit

_INDENT = "    "


def rule_named(name: str) -> Rule | None:
    """The rule of that name; dashes, underscores and capitals don't matter."""
    wanted = name.strip().lower().replace("_", "-")
    return next((rule for rule in all_rules() if rule.name == wanted), None)


def nearest_rules(name: str) -> tuple[str, ...]:
    """Names of rules that may have been meant; all of them where none is near."""
    names = [rule.name for rule in all_rules()]
    wanted = name.strip().lower().replace("_", "-")
    held = [known for known in names if len(wanted) > 2 and wanted in known]
    close = difflib.get_close_matches(wanted, names, n=3, cutoff=0.6)
    return tuple(held or close or names)


def explained(rule: Rule, inch: bool, width: int) -> str:
    """The explanation, in lines of at most `width` columns so far as words allow."""
    return "\n".join(_lines(rule, inch, width))


def listed(width: int) -> str:
    """All rules, each with its levels and why it is there."""
    lines = []
    for rule in all_rules():
        lines.append(f"{rule.name} ({', '.join(rule.levels)})")
        lines += _wrapped(rule.why, width, _INDENT)
    return "\n".join([*lines, "", "turnability explain RULE tells more of one."])


def _lines(rule: Rule, inch: bool, width: int) -> Iterator[str]:
    yield f"{rule.name} ({', '.join(rule.levels)})"
    yield ""
    for title, words in (("Why", rule.why), ("Limit", rule.limit), ("Basis", rule.basis)):
        yield from _wrapped(in_unit(words, inch), width, f"{title:7s}", " " * 7)
    for shown in good_and_bad(examples_of(rule, inch)):
        yield ""
        yield from _example(shown, width)
    yield ""
    yield f"({KEY})"


def _example(shown: Shown, width: int) -> Iterator[str]:
    kind = "Bad" if shown.findings else "Good"
    yield from _wrapped(f"{kind}, {shown.verdict}: {shown.text}", width)
    yield from (f"{_INDENT}{line}" for line in text_sketch(shown))
    for finding in shown.findings[:1]:
        yield from _wrapped(finding.message, width, _INDENT)


def _wrapped(words: str, width: int, first: str = "", after: str | None = None) -> list[str]:
    return textwrap.wrap(
        words,
        max(width, 40),
        initial_indent=first,
        subsequent_indent=first if after is None else after,
        break_long_words=False,
        break_on_hyphens=False,
    )
