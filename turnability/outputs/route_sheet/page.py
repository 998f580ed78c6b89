"""The route sheet as one page of HTML that prints on A4 or letter."""

from __future__ import annotations

import html
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from turnability import __version__
from turnability.outputs import _palette as palette
from turnability.outputs.drawing.set_over import set_over_figure
from turnability.outputs.drawing.set_over_style import SET_OVER_KEY, TAPER_KEY, set_over_style
from turnability.outputs.drawing.sheet import FONT, clean
from turnability.outputs.drawing.taper_set_over import taper_figure
from turnability.outputs.route_sheet.figure import CUT, figure, is_half
from turnability.outputs.route_sheet.offset import OffsetSheet
from turnability.outputs.route_sheet.route import Route, SetupSheet, Step
from turnability.units import length_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.shop.model import Shop

STYLE = f"""
@page {{ margin: 12mm; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0 auto; padding: 16px; max-width: 186mm; color: {palette.INK};
  background: {palette.PAPER}; font: 12px/1.4 {FONT}; }}
h1 {{ font-size: 20px; margin: 0 0 4px; }}
h2 {{ font-size: 15px; margin: 0 0 4px; }}
svg, tbody, ul, li, .caution, .short, .held {{ break-inside: avoid; }}
h2, h1 {{ break-after: avoid; }}
section {{ border-top: 1px solid {palette.BEYOND}; padding: 10px 0; }}
dl {{ display: grid; grid-template-columns: max-content 1fr; gap: 1px 12px; margin: 4px 0; }}
dt {{ color: {palette.FAINT_INK}; }} dd {{ margin: 0; }}
p {{ margin: 3px 0; }}
svg {{ display: block; max-width: 100%; height: auto; margin: 6px 0; }}
.drawn {{ display: flex; flex-wrap: wrap; column-gap: 16px; align-items: end; }}
.drawn p {{ flex: 1 1 15em; }}
table {{ border-collapse: collapse; width: 100%; margin: 4px 0; }}
th, td {{ text-align: left; vertical-align: top; padding: 3px 8px 3px 0;
  border-bottom: 1px solid {palette.MATERIAL}; }}
@media print {{ body {{ padding: 0; font-size: 11px; }} }}
.first td {{ border-bottom: none; padding-bottom: 0; }}
th:nth-child(2) {{ min-width: 7em; }} th:nth-child(3) {{ min-width: 8em; }}
th:nth-child(4) {{ width: 30%; }} th:nth-child(n+5) {{ width: 20%; }}
th {{ color: {palette.FAINT_INK}; font-weight: normal; }}
td, dd, li {{ overflow-wrap: anywhere; }}
ul {{ list-style: none; margin: 2px 0; padding: 0; columns: 2; }}
li::before {{ content: "☐ "; }}
.caution {{ border-left: 3px solid {palette.MARKS["warning"]}; padding-left: 8px; margin: 4px 0; }}
.key {{ color: {palette.FAINT_INK}; margin: 0; }}
.cut {{ color: {CUT}; font-weight: bold; }}
"""
STYLE += set_over_style(
    palette.INK,
    palette.FAINT_INK,
    palette.PAPER,
    work=palette.MATERIAL,
    cut=CUT,
    grip=palette.MARKS["grip"],
    body="#DCEBF1",
)


def page(route: Route, report: Report, shop: Shop) -> str:
    """The page; every word of the part's file is escaped."""
    facts = [("Stock", line) for line in route.stock[:1]]
    facts += [("", line) for line in route.stock[1:]]
    facts.append(("Material", route.material or "not known"))
    if route.setups or route.lathe is not None:
        facts.append(("Lathe", route.lathe or "not known"))
    facts += [*route.general, ("Shop", shop.name)]
    body = [
        f"<header><h1>{_text(route.name)}</h1><p class=key>Route sheet, verdict: "
        f"{_text(route.verdict)}</p>{_facts(facts)}</header>",
        "".join(_caution(line) for line in route.cautions),
        *(_setup(sheet, report) for sheet in route.setups),
        *_offsets(route, report),
    ]
    if not route.setups:
        body.append(f"<section><p>No plan: {_text(route.no_plan or '')}</p></section>")
    for head, lines in (
        ("Stays uncut", route.left),
        ("Not turned here", route.not_turned),
        ("Lathes of the shop", route.lathes),
        ("Next best", () if route.runner_up is None else (route.runner_up,)),
    ):
        if lines:
            rows = "".join(f"<p>{_text(line)}</p>" for line in lines)
            body.append(f'<section class="short"><h2>{head}</h2>{rows}</section>')
    body.append(f"<footer><p class=key>turnability {__version__}</p></footer>")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_text(route.name)}: route sheet</title>\n<style>{STYLE}</style>\n</head>\n"
        "<body>\n<main>\n" + "\n".join(body) + "\n</main>\n</body>\n</html>\n"
    )


def _setup(sheet: SetupSheet, report: Report) -> str:
    profile = report.part.profile
    assert profile is not None
    piece = report.stock.choice if report.stock is not None else None
    tools = {tool.name: tool for tool in report.tools}
    drawn_of = (profile, sheet.setup, piece)
    tapers = () if report.plan is None else report.plan.tapers
    later = {s for one in tapers for s in one.segments}
    drawn = figure(*drawn_of, tools, _text(f"{sheet.title}, drawn"), later)
    half = " The half above the axis alone is drawn." if is_half(*drawn_of) else ""
    key = (
        '<p class=key><span class="cut">Thick green</span>: finished here. Dashed: stock. Numbers: '
        "where each operation's cut ends, with its cutting edge. S and a number: a surface, as the "
        "table names it. The black mark: the part's low end, from which every z is counted. Grip, "
        "bar and centre are to scale; body and jaws of the chuck follow by usual proportions from "
        f"what it takes.{half}</p>"
    )
    measure = _measure(sheet.measure)
    beside = [("Taper", line) for line in sheet.tapers]
    beside += [("Thread", line) for line in sheet.threads]
    told = _facts(beside) if beside else ""
    then = "" if sheet.then is None else _facts([("Then", sheet.then)])
    return (
        f'<section><div class="held"><h2>{_text(sheet.title)}</h2>'
        f"{_facts([('Hold', sheet.hold), ('Datum', sheet.datum)])}"
        f'<div class="drawn">{drawn}{key}</div></div>'
        f"{_table(sheet.steps)}{told}{measure}{then}"
        f"{''.join(_caution(line) for line in sheet.cautions)}</section>"
    )


def _offsets(route: Route, report: Report) -> Iterator[str]:
    """The chuckings set over, each with its drawing from what the report tells other programs."""
    if not route.offset and not route.tapers:
        return
    document = report.document()
    for sheets, figure_of, key in (
        (route.offset, set_over_figure, SET_OVER_KEY),
        (route.tapers, taper_figure, TAPER_KEY),
    ):
        for n, sheet in enumerate(sheets):
            label = _text(f"{sheet.title}, drawn")
            drawn = figure_of(document, n, label, lambda mm: _text(_told(mm, report.inch)))
            yield _offset(sheet, f"{drawn}<p class=key>{key}</p>" if drawn else "")


def _told(value_mm: float, inch: bool) -> str:
    return length_text(round(value_mm, 3), inch)


def _offset(sheet: OffsetSheet, drawn: str) -> str:
    rows = "".join(
        f"<tr><td>{number}</td><td>{_text(what)}</td><td>{_text(values)}</td></tr>"
        for number, (what, values) in enumerate(sheet.steps, start=1)
    )
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("No.", "Operation", "Run"))
    return (
        f'<section><div class="held"><h2>{_text(sheet.title)}</h2>'
        f"{_facts([('Hold', sheet.hold), ('Datum', sheet.datum)])}{drawn}</div>"
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
        f"{_measure(sheet.measure)}{''.join(_caution(line) for line in sheet.cautions)}</section>"
    )


def _measure(lines: Sequence[str]) -> str:
    if not lines:
        return ""
    items = "".join(f"<li>{_text(line)}</li>" for line in lines)
    return f"<p><b>Measure before unclamping</b></p><ul>{items}</ul>"


def _table(steps: Sequence[Step]) -> str:
    if not steps:
        return "<p>Nothing is finished here.</p>"
    rows = "".join(
        "<tbody>"  # one each, so that no page ends between what goes before a step and the step
        + (
            f'<tr class="first"><td></td><td colspan="5">{_text(step.first)}</td></tr>'
            if step.first
            else ""
        )
        + f"<tr><td>{step.number}</td><td>{_text(step.kind)}</td><td>{_text(step.tool)}</td>"
        f"<td>{_text(step.where)}</td>{_values(step)}</tr></tbody>"
        for step in steps
    )
    heads = "".join(
        f'<th scope="col">{head}</th>'
        for head in ("No.", "Operation", "Tool", "Surfaces", "Rough", "Finish")
    )
    return f"<table><thead><tr>{heads}</tr></thead>{rows}</table>"


def _values(step: Step) -> str:
    """What a drill or a blade runs with stands under neither heading alone."""
    if step.in_one_run:
        return f'<td colspan="2">{_text(step.finish)}</td>'
    return f"<td>{_text(step.rough)}</td><td>{_text(step.finish)}</td>"


def _facts(facts: Sequence[tuple[str, str]]) -> str:
    rows = "".join(f"<dt>{_text(k)}</dt><dd>{_text(v)}</dd>" for k, v in facts)
    return f"<dl>{rows}</dl>"


def _caution(line: str) -> str:
    return f'<p class="caution"><b>Caution:</b> {_text(line)}</p>'


def _text(words: str) -> str:
    return html.escape(clean(words), quote=True)
