"""What each tool does, how the part is held, and what changed since an earlier report."""

from __future__ import annotations

from pathlib import PurePath
from typing import Any

from turnability.outputs._making import UNCUT_RULES, told_by
from turnability.outputs.drawing.set_over import set_over_figure
from turnability.outputs.drawing.set_over_style import SET_OVER_KEY, TAPER_KEY
from turnability.outputs.drawing.taper_set_over import taper_figure
from turnability.outputs.report_page.findings import sign
from turnability.outputs.report_page.words import (
    diameter,
    length,
    place,
    prose,
    rule_title,
    span,
    text,
    volume,
)
from turnability.rules.speak import cause_text, nearest_text
from turnability.units import counted

Json = dict[str, Any]

_LEAST_MM = 0.001
_LEAST_TOLD_INCH_MM = 0.00254
_MOST_RPM = 20_000.0
"""No lathe of a workshop runs faster; a critical speed above tells nobody anything."""
_ENDS = {"low": "low end held", "high": "high end held"}


def tools_block(report: Json) -> str:
    """Each tool of the shop with a button for either end that the part is held by."""
    reach = report["reach"]
    if reach is None:
        return (
            '<section aria-labelledby="tools-name"><h2 id="tools-name">Tools</h2>'
            "<p>What the tools reach was not worked out.</p></section>"
        )
    by_name: dict[str, list[Json]] = {}
    for place_, entry in enumerate(reach["tools"]):
        by_name.setdefault(entry["tool"], []).append({**entry, "place": place_})
    about = {tool["name"]: tool for tool in report.get("tools", ())}
    turned = {
        s["id"]
        for loop in report["profile"]["loops"]
        for s in loop["segments"]
        if s["surface"] != "axis"
    }
    used = list(dict.fromkeys(o["tool"] for s in report["setups"] for o in s["operations"]))
    # without a plan those that reach would take
    first = used or list(reach["chosen_tools"])
    others = [name for name in by_name if name not in first]

    def rows(names: list[str]) -> str:
        return "".join(
            _tool(name, by_name[name], about.get(name), len(turned))
            for name in names
            if name in by_name
        )

    heads = (
        '<thead><tr><th scope="col">Tool</th><th scope="col">Described as</th>'
        '<th scope="col">Show it, the part held at</th></tr></thead>'
    )
    more = ""
    if others:
        more = (
            f"<details><summary>{counted(len(others), 'other tool')} of the shop</summary>"
            f'<table class="tools">{heads}<tbody>{rows(others)}</tbody></table></details>'
        )
    return f"""<section id="tools" aria-labelledby="tools-name"><h2 id="tools-name">Tools</h2>
<p class="faint">Pick one to see which surfaces it cuts over their whole length, which it leaves, \
and to move it along the part: where its body enters the part it is hatched. Numbers are surfaces \
cut, of {len(turned)}; no number: none of them whole.</p>
<table class="tools">{heads}<tbody>{rows(first)}</tbody></table>{more}</section>"""


def _tool(name: str, entries: list[Json], about: Json | None, turned: int) -> str:
    buttons = "".join(
        f'<button type="button" aria-pressed="false" data-tool="{text(name)}" '
        f'data-entry="{one["place"]}" data-toward="{text(one["toward_chuck"])}" '
        f'aria-label="{text(name)}, {_ENDS[one["toward_chuck"]]}: '
        f'cuts {len(one["reached_segments"])} of {turned} surfaces">'
        f"{text(one['toward_chuck'])} end{_cuts(one)}</button>"
        for one in entries
    )
    said = "" if about is None else text(about["designation"] or about["kind"])
    return f'<tr><th scope="row">{text(name)}</th><td>{said}</td><td>{buttons}</td></tr>'


def _cuts(entry: Json) -> str:
    """How many surfaces it cuts; nothing of a tool that cuts none over its whole length."""
    many = len(entry["reached_segments"])
    return f" · {many}" if many else ""


def setups_block(report: Json, inch: bool) -> str:
    """The plan, step by step: what is held, then each tool's work."""
    setups = report["setups"]
    if not setups:
        body = "<p>No plan of setups: see the findings and rules for why.</p>"
    else:
        steps = "".join(_setup(setup, report["stock"], inch) for setup in setups)
        over = (report.get("plan") or {}).get("set_over", ())
        steps += "".join(_set_over(report, n, inch) for n in range(len(over)))
        tapers = (report.get("plan") or {}).get("tapers", ())
        steps += "".join(_taper(report, n, inch) for n in range(len(tapers)))
        body = f"""<div class="strip" role="toolbar" aria-label="Steps">
<button type="button" id="step-back">Step back</button>
<button type="button" id="step-on">Step on</button>
<span id="step-says" role="status" aria-live="polite"></span>
<label><input type="checkbox" id="show-bending"> bending over the part</label></div>
<ol class="setups">{steps}</ol>
<p class="faint">Grip, bar, stand-off, centre and tools are drawn to scale, each tool where its
cut ends; the dotted line is what tools were kept out of. Of a chuck the shop file tells no more
than what it takes: body and jaws follow from that by usual proportions. Grip, speed and overhang
can hurt people: they are for qualified machinists and local rules to decide.</p>"""
    return (
        '<section id="setups" aria-labelledby="setups-name"><h2 id="setups-name">Setups</h2>'
        f"{body}</section>"
    )


def _setup(setup: Json, stock: Json | None, inch: bool) -> str:
    grip, order = setup["grip"], setup["order"]
    flats = grip.get("across_flats_mm")
    piece = stock["choice"] if stock is not None else None
    if piece is not None and grip["kind"] in ("raw bar", "raw piece"):
        flats = piece.get("across_flats_mm")
    size = diameter(grip["diameter_mm"], inch) if flats is None else f"hex {length(flats, inch)}"
    held = f"{text(grip['kind'])}, {size} over "
    held += length(grip["length_mm"], inch)
    holding = (setup.get("held") or {}).get("holding")
    held += f" in {text(holding)}" if holding and holding != grip["kind"] else ""
    support = "" if setup["support"] == "none" else f", {text(setup['support'])}"
    operations = "".join(
        f'<li><button type="button" aria-pressed="false" data-step="{order}.{i}">'
        f"{text(o['kind'])} with <b>{text(o['tool'])}</b></button></li>"
        for i, o in enumerate(setup["operations"], 1)
    )
    hidden = [left for left in setup["left"] if "jaws" in left["causes"]]
    stays = f"<p>The grip hides {counted(len(hidden), 'surface')}.</p>" if hidden else ""
    return (
        f'<li><button type="button" aria-pressed="false" data-step="{order}.0">'
        f"<b>Setup {order}</b> {text(setup['toward_chuck'])} end to the chuck: {held}{support}"
        f'</button><p class="faint">{prose(setup["datum"]["why"], inch)}</p>{stays}'
        f"{_bending(setup['bending'], inch)}<ol>{operations}</ol></li>"
    )


def _set_over(report: Json, place: int, inch: bool) -> str:
    """A chucking that turns eccentrics, with a drawing of its own: no half section shows it."""
    one: Json = report["plan"]["set_over"][place]
    order = len(report["setups"]) + place + 1
    what = ", ".join(text(name) for name in one["departures"])
    grip = one["grip"]
    if grip is None:
        held = f"not held in this shop; it takes {text(one['missing'])}"
    else:
        held = (
            f"{text(one['toward_chuck'])} end to the chuck, {text(grip['kind'])}, "
            f"{diameter(grip['diameter_mm'], inch)} over {length(grip['length_mm'], inch)}; a dial "
            f"on it swings by {length(one['dial_mm'], inch)} in a turn"
        )
    cuts = "".join(
        f"<li>{number}. {text(cut['kind'])} {diameter(cut['diameter_mm'], inch)} with "
        f"<b>{text(' and '.join(cut['tools']) or 'no tool of the shop')}</b>, no faster than "
        f"{max(1.0, cut['rpm'] // 10.0 * 10.0):.0f} rpm</li>"
        for number, cut in enumerate(one["cuts"], start=1)
    )
    offset = length(one["offset_mm"], inch)
    drawn = set_over_figure(
        report,
        place,
        f"Setup {order}, set over, drawn",
        lambda mm: _tspan(mm, inch),
    )
    key = f'<p class="faint">{SET_OVER_KEY}</p>' if drawn and place == 0 else ""
    return (
        f"<li><b>Setup {order}</b> {what} set over by {offset}: {held}{drawn}{key}"
        f"<ol>{cuts}</ol></li>"
    )


def _taper(report: Json, place: int, inch: bool) -> str:
    """A taper turned with the tailstock set over, drawn as it is seen from above."""
    plan = report["plan"]
    one: Json = plan["tapers"][place]
    order = len(report["setups"]) + len(plan.get("set_over", ())) + place + 1
    drawn = taper_figure(
        report, place, f"Setup {order}, tailstock set over, drawn", lambda mm: _tspan(mm, inch)
    )
    by = length(round(one["set_over_mm"], 2), inch)
    way = "toward" if one["toward_you"] else "away from"
    tools = "".join(f"<li>turn with <b>{text(tool)}</b></li>" for tool in one["tools"])
    return (
        f"<li><b>Setup {order}</b> {text(one['toward_chuck'])} end to the headstock, between "
        f"centres, the tailstock set over by {by} {way} you "
        f"for the taper {text(', '.join(one['segments']))}, half angle "
        f"{one['half_angle_deg']:.3f}°{drawn}"
        f'<p class="faint">{TAPER_KEY}</p><ol>{tools}</ol></li>'
    )


def _tspan(value_mm: float, inch: bool) -> str:
    """A length in a drawing, that the script tells anew as it does others."""
    return length(round(value_mm, 3), inch).replace("span", "tspan")


def _bending(bending: Json | None, inch: bool) -> str:
    if bending is None:
        return ""
    worst = bending["worst_diametral_error_mm"]
    least = _LEAST_TOLD_INCH_MM if inch else _LEAST_MM
    by = length(worst, inch) if worst >= least else f"less than {length(least, inch)}"
    slender = bending["length_to_diameter"]
    diameters = f"{slender:.1f} diameters" if slender >= 0.1 else "under a tenth of its diameter"
    words = (
        f"Bends by {by} on diameter at worst, at z "
        f"{length(round(bending['at_z_mm'], 1), inch)}: {bending['force_n']:.0f} N across, "
        f"{length(bending['unsupported_length_mm'], inch)} free, {diameters}"
    )
    rpm = bending.get("critical_rpm")
    if rpm is not None and rpm < _MOST_RPM:
        words += f"; first critical speed about {rpm:.0f} rpm"
    return f'<p class="bending">{words}.</p>'


def compare_block(report: Json, inch: bool) -> str:
    """Against the earlier report that the run was given, and any other that is picked here."""
    known = ""
    baseline = report.get("baseline")
    if baseline:
        name = PurePath(str(baseline["path"]).replace("\\", "/")).name
        states = [finding.get("state") for finding in report["findings"]]
        known = (
            f"<p>Against <b>{text(name)}</b>: {states.count('new')} new, "
            f"{states.count('unchanged')} unchanged, {len(baseline['fixed'])} fixed.</p>"
            + ("" if baseline["same_shop"] else "<p>It was made with another shop file.</p>")
            + _earlier("Fixed", baseline["fixed"], inch)
            + _earlier("No longer judged", baseline["not_judged"], inch)
        )
    return f"""<section id="compare" aria-labelledby="compare-name">\
<h2 id="compare-name">Against an earlier report</h2>{known}
<p><label for="earlier">Its JSON file (it stays on this computer)</label>
<input type="file" id="earlier" accept=".json,application/json"></p>
<div id="compared" role="status" aria-live="polite"></div></section>"""


def _earlier(words: str, found: list[Json], inch: bool) -> str:
    if not found:
        return ""
    listed = "".join(
        f"<li>{sign(one['level'])}{text(rule_title(one['rule']))} {place(one['where'], inch)}"
        f"<p>{prose(one['message'], inch)}</p></li>"
        for one in found
    )
    return f"<h3>{text(words)}</h3><ol>{listed}</ol>"


def left_rows(report: Json, inch: bool) -> str:
    """A row for each region that no tool removes."""
    reach = report["reach"]
    if reach is None:
        return ""
    rows = []
    said = [
        (f["id"], f["where"]["segments"], f["message"])
        for f in report["findings"]
        if f["rule"] in UNCUT_RULES
    ]
    for one in reach["left"]:
        causes = one.get("nearest_causes") or one["causes"]
        finding = told_by(causes, one["segments"], said)
        why = f"see {finding}" if finding else cause_text(causes)
        nearest = why if finding else nearest_text(causes, one["nearest_tool"])
        needed = one["needed"]
        asks = "–"
        if needed:
            value = (
                length(needed["value"], inch)
                if needed["unit"] == "mm"
                else text(f"{needed['value']:g} {needed['unit']}")
            )
            asks = f"{text(needed['parameter'].removesuffix('_mm').replace('_', ' '))} {value}"
        zs = [z for z, _ in one["polygon"]]
        rows.append(
            f'<tr data-why="{text(nearest)}">'
            f'<th scope="row"><button type="button" aria-pressed="false" '
            f'data-left="{text(one["id"])}">{text(one["id"])}</button></th>'
            f"<td>{span((min(zs), max(zs)), inch)}</td><td>{volume(one['volume_mm3'], inch)}</td>"
            f"<td>{length(one['deepest_mm'], inch)}</td><td>{text(why)}</td>"
            f"<td>{text(one['nearest_tool'] or '–')}</td><td>{asks}</td></tr>"
        )
    return "".join(rows)
