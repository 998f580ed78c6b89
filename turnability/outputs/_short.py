"""What findings say, cut to what a designer acts on where a screen has no room for all of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from turnability.rules.model import Finding

Told: TypeAlias = Literal["whole", "without why", "gist", "first", "listed"]
"""All; without why the rule is there; what is wrong and what to do; what is wrong; its place."""

BREVITY: tuple[tuple[Told, Told, Told], ...] = (
    ("whole", "whole", "whole"),
    ("whole", "without why", "without why"),
    ("whole", "without why", "gist"),
    ("whole", "gist", "gist"),
    ("whole", "gist", "first"),
    ("whole", "gist", "listed"),
    ("without why", "gist", "listed"),
    ("gist", "gist", "listed"),
    ("gist", "first", "listed"),
    ("gist", "listed", "listed"),
)
"""How errors, warnings and notes are told, step by step until the summary fits."""
_LEVELS = ("error", "warning", "note")
SCREEN = 48
"""Lines of a summary, if that can be."""
_CAUTION = re.compile(r"(?:^|(?<=\s))Caution: .*$", re.DOTALL)
_BETWEEN = re.compile(r"(?<=[.])\s+(?=[A-Z⌀])")


def told(finding: Finding, step: int) -> Told:
    """How much is told of a finding at a step."""
    return BREVITY[step][_LEVELS.index(finding.level)]


def shortened(finding: Finding, step: int, cautions: set[str]) -> Finding:
    """The finding in fewer words. A caution stays, but once: `cautions` are those told before."""
    body, caution = _parted(finding)
    caution = "" if caution in cautions else caution
    cautions.update((caution,) if caution else ())
    how = told(finding, step)
    if how != "whole":
        why = _why().get(finding.rule)
        if why and body.replace(why, "").strip():
            body = " ".join(body.replace(why, " ").split())
    if how in ("gist", "first"):
        # of an error the second sentence too: it mostly says how far it is from being possible
        begin = 2 if finding.level == "error" else 1
        sentences = _BETWEEN.split(body)
        keep = _asked(sentences[begin:], finding) if how == "gist" else []
        body = " ".join([*sentences[:begin], *keep])
    elif how == "listed":
        body = ""
    return replace(finding, message=f"{body} {caution}".strip())


def _asked(sentences: Sequence[str], finding: Finding) -> list[str]:
    """The sentence that asks for the change and, where the next begins with "Or", that too."""
    change = None if finding.change is None else finding.change.text.rstrip(".")
    at = [k for k, one in enumerate(sentences) if change is not None and one.startswith(change)]
    first = at[0] if at else len(sentences) - 1
    while not at and first > 0 and sentences[first].startswith("Or "):
        first -= 1
    last = first + 1
    while last < len(sentences) and sentences[last].startswith("Or "):
        last += 1
    return list(sentences[max(first, 0) : last])


def _parted(finding: Finding) -> tuple[str, str]:
    """What a finding says, and its caution."""
    found = _CAUTION.search(finding.message)
    if found is None:
        return finding.message, ""
    return finding.message[: found.start()].rstrip(), found[0]


@lru_cache(maxsize=1)
def _why() -> dict[str, str]:
    from turnability.rules.judge import all_rules

    return {rule.name: rule.why for rule in all_rules()}
