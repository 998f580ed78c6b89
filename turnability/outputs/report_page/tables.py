"""The rest of the report as tables, folded away: regions, features, departures, stock, rules."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from turnability.outputs.report_page.making import left_rows
from turnability.outputs.report_page.words import (
    length,
    mass,
    prose,
    rule_title,
    sentence_case,
    span,
    text,
)
from turnability.part.model import called

Json = dict[str, Any]


def tables_block(report: Json, inch: bool) -> str:
    """Each table under its own heading, opened by whoever wants it."""
    tables = [
        (
            "Left uncut by every tool",
            ("Region", "z", "Volume", "Deepest", "Why", "Nearest tool", "It would need"),
            left_rows(report, inch),
        ),
        (
            "Features of the turned profile",
            ("Feature", "Kind", "z", "⌀", "Sizes", "Standards"),
            "".join(_feature(one, inch) for one in report["features"]),
        ),
        (
            "Not turned",
            ("Departure", "Kind", "z", "Sizes"),
            "".join(_departure(one, inch) for one in report["departures"]),
        ),
        (
            "Stock",
            ("Piece", "Length", "Mass", "Why"),
            "".join(_stock(report["stock"], inch)) if report["stock"] else "",
        ),
        ("Rules", ("Rule", "Said", "Why"), _rules(report["rules"], inch)),
        (
            "Time and money, as an estimate",
            ("What", "Minutes", "For each", "Why"),
            "".join(_effort(report.get("effort"))),
        ),
    ]
    made = "".join(_table(*one) for one in tables if one[2])
    made += _on_paper(report["assumptions"], inch)
    return f'<div class="tables">{made}</div>' if made else ""


def _table(name: str, heads: Sequence[str], rows: str) -> str:
    columns = "".join(f'<th scope="col">{text(head)}</th>' for head in heads)
    return (
        f"<details><summary><h2>{text(name)}</h2></summary>"
        f'<div class="wide"><table><thead><tr>{columns}</tr></thead><tbody>{rows}</tbody></table>'
        "</div></details>"
    )


def _on_paper(assumed: Sequence[Json], inch: bool) -> str:
    """What the head of the page says of an assumption once it is opened, which paper cannot be."""
    if not assumed:
        return ""
    rows = "".join(
        f'<tr><th scope="row">{text(sentence_case(one["what"]))}</th>'
        f"<td>{prose(one['assumed'], inch)}</td><td>{prose(one['why'], inch)}</td>"
        f"<td>{prose(one['how_to_state'], inch)}</td></tr>"
        for one in assumed
    )
    made = _table("Assumed", ("What", "Taken for it", "Why", "To state it"), rows)
    return f'<div class="on-paper">{made}</div>'


def _feature(one: Json, inch: bool) -> str:
    matches = ", ".join(f"{m['designation']} ({m['standard']})" for m in one["matches"])
    return (
        f'<tr><th scope="row"><button type="button" aria-pressed="false" '
        f'data-feature="{text(one["id"])}">{text(one["id"])}</button></th>'
        f"<td>{text(one['kind'])}</td><td>{span(one['z_mm'], inch)}</td>"
        f"<td>{span(one['diameter_mm'], inch)}</td><td>{sizes(one['parameters'], inch)}</td>"
        f"<td>{text(matches or '–')}</td></tr>"
    )


def _departure(one: Json, inch: bool) -> str:
    return (
        f'<tr><th scope="row"><button type="button" aria-pressed="false" '
        f'data-departure="{text(one["id"])}">{text(one["id"])}</button></th>'
        f"<td>{text(called(one['kind'], one['parameters']))}</td>"
        f"<td>{span(one.get('z_mm'), inch)}</td>"
        f"<td>{sizes(one['parameters'], inch)}</td></tr>"
    )


def sizes(parameters: Json, inch: bool) -> str:
    """Parameters as words; their keys carry their units."""
    parts = []
    for key, value in parameters.items():
        if value is None or value is False:
            continue
        name = text(key.removesuffix("_mm").removesuffix("_deg").replace("_", " "))
        parts.append(name if value is True else f"{name} {_value(key, value, inch)}")
    return ", ".join(parts) or "–"


def _value(key: str, value: Any, inch: bool) -> str:
    if isinstance(value, list):
        return " and ".join(_value(key, one, inch) for one in value)
    if isinstance(value, int | float):
        if key.endswith("_mm"):
            return length(value, inch)
        return text(f"{value:g}°" if "_deg" in key else f"{value:g}")
    return text(value)


def _stock(stock: Json, inch: bool) -> Iterable[str]:
    pieces = [{**stock["choice"], "why": "chosen"}] if stock["choice"] else []
    for piece in [*pieces, *stock["alternatives"]]:
        yield (
            f'<tr><th scope="row">{text(piece["name"])}</th>'
            f"<td>{length(piece['length_mm'], inch)}</td><td>{mass(piece['mass_kg'], inch)}</td>"
            f"<td>{prose(piece['why'] or '–', inch)}</td></tr>"
        )


def _rules(rules: Sequence[Json], inch: bool) -> str:
    """What was not judged first, then what was found; what passed, mostly a page of it, at once."""
    by_status: dict[str, list[Json]] = {"crashed": [], "not-judged": [], "found": [], "passed": []}
    for one in rules:
        by_status.setdefault(one["status"], []).append(one)
    passed = ", ".join(text(rule_title(one["rule"])) for one in by_status.pop("passed"))
    rows = "".join(_rule(one, inch) for found in by_status.values() for one in found)
    if passed:
        rows += f'<tr><th scope="row">All others</th><td>passed</td><td>{passed}</td></tr>'
    return rows


def _rule(one: Json, inch: bool) -> str:
    why = prose(one["reason"], inch) if one["reason"] else "–"
    return (
        f'<tr><th scope="row">{text(rule_title(one["rule"]))}</th>'
        f"<td>{text(one['status'].replace('-', ' '))}</td><td>{why}</td></tr>"
    )


def _effort(effort: Json | None) -> Iterable[str]:
    if not effort:
        return
    for one in effort["parts"]:
        yield (
            f'<tr><th scope="row">{text(one["what"])}</th><td>{one["minutes"]:.0f}</td>'
            f"<td>{text(one['per'])}</td><td>{text(one['why'])}</td></tr>"
        )
    yield f'<tr><td colspan="4">{text(effort["basis"])}</td></tr>'
