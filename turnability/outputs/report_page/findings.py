"""The findings as a list of buttons: pressing one shows its place on the section and the solid."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from turnability.outputs._phrases import proof_text
from turnability.outputs._words import RAISED
from turnability.outputs.report_page.head import group_of, is_raised, weight_of
from turnability.outputs.report_page.words import place, prose, rule_title, text

Json = dict[str, Any]

_LEVELS = (("error", "Must change"), ("warning", "Better changed"), ("note", "Good to know"))
_LAST = (("accepted", "Accepted by the project"), ("off", "Turned off by the project"))
_SENTENCE_END = re.compile(r"(?<=[.])\s+(?=[A-Z⌀])")
_SIGNS = {
    "error": '<path d="M6 1h10l4 6-4 6H6L2 7z"/>',
    "warning": '<path d="M11 1l9 12H2z"/>',
    "note": '<circle cx="11" cy="7" r="6"/>',
}


def findings_block(report: Json, inch: bool) -> str:
    """All findings, the worst first; those that may stay and those of no weight last."""
    found = report["findings"]
    filters, groups = [], []
    for level, words in (*_LEVELS, *_LAST):
        own = [one for one in found if group_of(one) == level]
        if not own:
            continue
        filters.append(
            f'<label><input type="checkbox" data-filter="{level}" checked> '
            f"{text(words.lower())} ({len(own)})</label>"
        )
        by_rule = [one for one in own if not is_raised(one)] if level == "error" else own
        raised = [one for one in own if one not in by_rule]
        lists = [(words, by_rule), (RAISED, raised)]
        listed = "".join(
            f"<h3>{text(head)}</h3><ol>"
            + "".join(_finding(one, inch, first) for one, first in _with_first_alike(some))
            + "</ol>"
            for head, some in lists
            if some
        )
        groups.append(f'<div class="group" data-level="{level}">{listed}</div>')
    bar = f'<div class="strip" role="group" aria-label="Show">{"".join(filters)}</div>'
    body = bar + "".join(groups) if groups else "<p>Nothing found.</p>"
    return (
        '<section id="findings" aria-labelledby="findings-name"><h2 id="findings-name">Findings'
        f"</h2>{body}</section>"
    )


def sign(level: str) -> str:
    """A level's shape, which tells it without colour."""
    return (
        f'<svg class="sign {text(level)}" width="22" height="14" aria-hidden="true">'
        f"{_SIGNS.get(level.removesuffix(' accepted'), _SIGNS['note'])}</svg>"
    )


def _looks(one: Json) -> str:
    weight = weight_of(one)
    kind = "note" if weight == "off" else weight
    return f"{kind} accepted" if group_of(one) == "accepted" else kind


def _with_first_alike(found: list[Json]) -> Iterator[tuple[Json, str | None]]:
    """Each finding, with the id of the first that says the same of another place."""
    first: dict[tuple[str, ...], str] = {}
    for one in found:
        key = (one["rule"], one["level"], *_standing(one))
        yield one, first.get(key)
        first.setdefault(key, one["id"])


def _finding(one: Json, inch: bool, first: str | None) -> str:
    """At length; what an earlier one says already of another place is folded away, but no error."""
    where = place(one["where"], inch)
    change = one["change"]
    message, rest = one["message"], []
    if change:
        message, asked, more = _parted(message, change["text"])  # said once, in its own line
        proof = proof_text(change["parameter"]) if change["proven"] else "not proven by itself"
        if one.get("other_changes"):
            asked, more, proof = f"{asked} {more}".strip(), "", f"each of them {proof}"
        rest.append(f'<p class="change">{prose(asked, inch)} <small>({proof})</small></p>')
        rest += [f"<p>{prose(more, inch)}</p>"] if more else []
    rest.append(f'<p class="faint">Rests on {prose(one["basis"]["text"], inch)}</p>')
    said = f"<p>{prose(message.strip(), inch)}</p>{''.join(rest)}"
    if first is not None and one["level"] != "error":
        short = f"As {text(first)}"
        short += f": {prose(change['text'], inch)}" if change else ", in its own words"
        said = f"<details{'' if change else ' data-own'}><summary>{short}</summary>{said}</details>"
    badges = "".join(f'<span class="badge">{text(words)}</span>' for words in _standing(one))
    return (
        f'<li class="finding"><button type="button" aria-pressed="false" '
        f'data-finding="{text(one["id"])}">{sign(_looks(one))}<b>{text(one["id"])}</b> '
        f"{text(rule_title(one['rule']))}"
        + (f" <span>{where}</span>" if where else "")
        + f"</button>{badges}{said}</li>"
    )


def _parted(message: str, change: str) -> tuple[str, str, str]:
    """A message before the sentence that asks for the change, that sentence, and what follows."""
    begin = message.find(change.rstrip("."))
    if begin < 0:
        return message, change, ""
    end = _SENTENCE_END.search(message, begin + len(change.rstrip(".")))
    close = len(message) if end is None else end.start()
    return message[:begin], message[begin:close], message[close:].strip()


def _standing(one: Json) -> list[str]:
    words = [one["state"]] if one.get("state") else []
    accepted = one.get("accepted")
    if accepted:
        past = "acceptance expired" if accepted["expired"] else "accepted"
        words.append(f"{past}, until {accepted['until']}, {accepted['by']}: {accepted['reason']}")
        if accepted.get("turned"):
            words.append("its place counted from the other end: the part lies turned")
    if weight_of(one) != one["level"]:
        words.append(f"{one['level']} by its rule")
    return words
