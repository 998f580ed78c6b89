"""The head of the page: a title block with the verdict, and beside it what was assumed."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

from turnability.outputs._phrases import not_turned_text
from turnability.outputs._words import beside_verdict
from turnability.outputs.report_page.words import (
    diameter,
    length,
    mass,
    prose,
    sentence_case,
    text,
)
from turnability.part.model import called
from turnability.units import counted

Json = dict[str, Any]

VERDICTS = {
    "turnable": ("✓", "Turnable in this shop"),
    "needs-changes": ("△", "Needs changes, each of them proven"),
    "not-turnable": ("✕", "Not turnable in this shop as drawn"),
    "not-axisymmetric": ("✕", "Not a turned part"),
    "undetermined": ("?", "Undetermined: something could not be judged"),
}
_COUNTED = (
    ("error", "must change"),
    ("warning", "better changed"),
    ("note", "good to know"),
    ("accepted", "accepted"),
)


def head_block(report: Json, name: str, inch: bool) -> str:
    """Skip link, controls, title block, assumptions."""
    sign, words = VERDICTS.get(report["verdict"], ("?", report["verdict"]))
    source = report["source"]
    solid = ""
    if source["solids"] > 1:
        solid = f" <small>solid {source['solid']} of {source['solids']}</small>"
    cells = "".join(
        f"<div><dt>{text(what)}</dt><dd>{value}</dd></div>" for what, value in _facts(report, inch)
    )
    return f"""<a class="skip" href="#content">To the findings</a>
<header>
<div class="plate">
<div class="title"><h1>{text(name)}{solid}</h1>
<p class="verdict {text(report["verdict"])}"><span aria-hidden="true">{sign}</span>
{text(words + _beside(report))}</p>
<p>{_counts(report)}</p></div>
<dl>{cells}</dl>
<div class="choices" role="group" aria-label="Page">
<fieldset><legend>Lengths</legend>
<label><input type="radio" name="units" value="mm"{_chosen(not inch)}> mm</label>
<label><input type="radio" name="units" value="inch"{_chosen(inch)}> inch</label></fieldset>
<fieldset><legend>Page</legend>
<label><input type="radio" name="ground" value="auto" checked> as the system</label>
<label><input type="radio" name="ground" value="light"> light</label>
<label><input type="radio" name="ground" value="dark"> dark</label></fieldset>
<button type="button" id="print">Print</button>
</div></div>
{_assumed(report, inch)}
</header>"""


def _chosen(is_it: bool) -> str:
    return " checked" if is_it else ""


def _counts(report: Json) -> str:
    counts = Counter(group_of(finding) for finding in report["findings"])
    parts = [f"{counts[level]} {words}" for level, words in _COUNTED if counts[level]]
    crashed = sum(rule["status"] == "crashed" for rule in report["rules"])
    unjudged = sum(rule["status"] == "not-judged" for rule in report["rules"])
    parts += [f"{counted(unjudged, 'rule')} not judged"] * bool(unjudged)
    parts += [f"{counted(crashed, 'rule')} crashed"] * bool(crashed)
    return text(", ".join(parts) or "nothing found")


def _beside(report: Json) -> str:
    """As `project_verdict` says it of a report."""
    found = report["findings"]
    may_stay = [group_of(one) == "accepted" for one in found]
    raised = sum(is_raised(one) and not stays for one, stays in zip(found, may_stay, strict=True))
    let = sum(
        one["level"] == "error" and (stays or weight_of(one) != "error")
        for one, stays in zip(found, may_stay, strict=True)
    )
    return beside_verdict(raised, let)


def is_raised(finding: Json) -> bool:
    """Whether the project alone makes it an error."""
    return weight_of(finding) == "error" and str(finding["level"]) != "error"


def weight_of(finding: Json) -> str:
    """What a finding counts as: its level, unless a project decided otherwise."""
    return str(finding.get("counts_as") or finding["level"])


def group_of(finding: Json) -> str:
    """Among which findings it is told: those of its weight, or those that may stay."""
    accepted = finding.get("accepted")
    if accepted and not accepted["expired"] and weight_of(finding) != "off":
        return "accepted"
    return weight_of(finding)


def _facts(report: Json, inch: bool) -> list[tuple[str, str]]:
    profile, stock, source = report["profile"], report["stock"], report["source"]
    facts = []
    if profile is not None:
        size = (
            f"{diameter(profile['max_diameter_mm'], inch)} × {length(profile['length_mm'], inch)}"
        )
        facts.append(("Size", size))
        if profile["through_bore_mm"] is not None:
            facts.append(("Through bore", diameter(profile["through_bore_mm"], inch)))
    if stock is not None and stock["choice"] is not None:
        piece = stock["choice"]
        words = [text(piece["name"]), length(piece["length_mm"], inch)]
        words += [] if piece["mass_kg"] is None else [mass(piece["mass_kg"], inch)]
        facts.append(("Stock", ", ".join(words)))
    intent = report["intent"]
    material = (intent or {}).get("material")
    if material:
        facts.append(("Material", text(material)))
    if report["departures"]:
        told = (
            (called(d["kind"], d["parameters"]), d["parameters"], d["z_mm"])
            for d in report["departures"]
        )
        facts.append(("Not turned", text(not_turned_text(told, inch))))
    if report["symmetry"]["reason"]:
        facts.append(("Why", prose(report["symmetry"]["reason"], inch)))
    facts.append(("Shop", text(report["inputs"]["shop"]["name"])))
    effort = report.get("effort")
    if effort:
        minutes = f"{effort['minutes_per_piece']:.0f} min a piece, {effort['quantity']} made"
        facts.append(("Estimate", text(f"{minutes} (to compare versions, no quotation)")))
    if source["path"]:
        file = str(source["path"]).replace("\\", "/").rsplit("/", 1)[-1]
        digest = f" <small>{text(source['sha256'][:12])}</small>" if source["sha256"] else ""
        facts.append(("File", _breakable(file) + digest))
    facts.append(("Made by", text(f"turnability {report['turnability_version']}")))
    return facts


def _breakable(name: str) -> str:
    """A file's name that breaks between its words first, where a line must break in it."""
    return re.sub(r"([_.-]+)(?=[^_.-])", r"\1<wbr>", text(name))


def _assumed(report: Json, inch: bool) -> str:
    assumed = report["assumptions"]
    if not assumed:
        return (
            '<section class="assumed" aria-labelledby="assumed-name"><h2 id="assumed-name">Assumed'
            "</h2><p>Nothing: all that the rules ask for is stated.</p></section>"
            if report["profile"] is not None
            else ""
        )
    rows = "".join(
        f"<details><summary><b>{text(sentence_case(one['what']))}</b> "
        f"{prose(one['assumed'], inch)}</summary><p>Why: {prose(one['why'], inch)}.</p>"
        f"<p>To state it: {prose(one['how_to_state'], inch)}.</p></details>"
        for one in assumed
    )
    return f"""<section class="assumed" aria-labelledby="assumed-name">
<h2 id="assumed-name">Assumed <small>{len(assumed)} that nobody stated</small></h2>
<p class="faint">The verdict rests on these. Open one to see why, and how to state it.</p>
{rows}</section>"""
