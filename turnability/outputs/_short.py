"""What findings say, cut to what a designer acts on where a screen has no room for all of it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from turnability.rules.model import Finding

STEPS = 5
"""0: all; 1: without why a rule is there; 2, 3: of notes, then of warnings too, the first and the
last sentence, which are what is wrong and what to do; 4: of notes the first alone."""
_CUT = (None, "note", "warning")
SCREEN = 48
"""Lines of a summary, if that can be; errors are told whole all the same."""
_CAUTION = re.compile(r"(?:^|(?<=\s))Caution: .*$", re.DOTALL)
_BETWEEN = re.compile(r"(?<=[.])\s+(?=[A-Z⌀])")


def shortened(finding: Finding, step: int, cautions: set[str]) -> Finding:
    """The finding in fewer words. A caution stays, but once: `cautions` are those told before."""
    found = _CAUTION.search(finding.message)
    body = finding.message if found is None else finding.message[: found.start()].rstrip()
    caution = "" if found is None or found[0] in cautions else found[0]
    cautions.update((caution,) if caution else ())
    if step >= 1 and finding.level != "error":
        why = _why().get(finding.rule)
        if why and body.replace(why, "").strip():
            body = " ".join(body.replace(why, " ").split())
    if finding.level in _CUT[:step]:
        first, *rest = _BETWEEN.split(body)
        keep = rest[-1:] if (finding.level, step) != ("note", 4) else []
        body = " ".join([first, *keep])
    return replace(finding, message=f"{body} {caution}".strip())


@lru_cache(maxsize=1)
def _why() -> dict[str, str]:
    from turnability.rules.judge import all_rules

    return {rule.name: rule.why for rule in all_rules()}
