"""All rules on one HTML page that needs no other file."""

from __future__ import annotations

import html
from collections.abc import Iterator

from turnability import __version__
from turnability.outputs import _palette as palette
from turnability.outputs.drawing.sheet import clean
from turnability.outputs.rule_page.shown import Shown, examples_of
from turnability.outputs.rule_page.svg_sketch import svg_sketch
from turnability.outputs.shop_sheet.style import STYLE
from turnability.outputs.summary import CAUTION
from turnability.rules.judge import Rule, all_rules
from turnability.units import in_unit

_OWN_STYLE = f"""
main {{ display: block; }}
article.passes {{ border-left: 5px solid var(--cut); }}
article.note {{ border-left: 5px solid {palette.MARKS["note"]}; }}
article.warning {{ border-left: 5px solid {palette.MARKS["warning"]}; }}
article.error {{ border-left: 5px solid {palette.MARKS["error"]}; }}
article {{ max-width: 414px; }}
article p {{ max-width: none; }}
article > svg {{ background: {palette.PAPER}; border-radius: 4px; }}
article svg text {{ fill: {palette.INK}; }}
dl {{ display: grid; grid-template-columns: max-content 1fr; gap: 2px 18px; max-width: 90ch; }}
dt {{ color: var(--faint); }}
dd {{ margin: 0; }}
nav ul {{ columns: 18em auto; padding-left: 18px; }}
nav a {{ display: inline-block; padding: 3px 0; }}
a {{ color: inherit; }}
"""


def page(inch: bool = False) -> str:
    """The page; lengths in mm, or in inch."""
    rules = all_rules()
    numbers = iter(range(10_000))
    contents = "".join(f'<li><a href="#{r.name}">{r.name}</a></li>' for r in rules)
    unit = "inch" if inch else "mm"
    body = [
        "<header><h1>The rules</h1>",
        f"<p>What turnability judges a part by, and on what each rule rests. Lengths in {unit}. "
        "The parts below are each rule's own examples, drawn to show it at work; the shop that "
        "they are judged by is a tiny one.</p></header>",
        f"<nav><ul>{contents}</ul></nav><main>",
        *(_section(rule, inch, numbers) for rule in rules),
        f"</main><footer><p>This page is {_text(CAUTION)}</p>"
        f"<p>turnability {__version__}</p></footer>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>turnability: the rules</title>\n<style>{STYLE}{_OWN_STYLE}</style>\n"
        "</head>\n<body>\n" + "\n".join(body) + "\n</body>\n</html>\n"
    )


def _section(rule: Rule, inch: bool, numbers: Iterator[int]) -> str:
    said = "".join(
        f"<dt>{title}</dt><dd>{_text(in_unit(words, inch))}</dd>"
        for title, words in (("Why", rule.why), ("Limit", rule.limit), ("Basis", rule.basis))
    )
    cards = "".join(_card(shown, next(numbers)) for shown in examples_of(rule, inch))
    return (
        f'<section id="{rule.name}"><h2>{rule.name} <small>{", ".join(rule.levels)}</small></h2>'
        f'<dl>{said}</dl><div class="row">{cards}</div></section>'
    )


def _card(shown: Shown, number: int) -> str:
    kind = shown.verdict.split(", ")[0]
    words = "".join(f"<p>{_text(finding.message)}</p>" for finding in shown.findings)
    return (
        f'<article class="{kind}"><h3>{_text(f"{shown.verdict}: {shown.text}")}</h3>'
        f"{svg_sketch(shown, number)}{words}</article>"
    )


def _text(words: str) -> str:
    return html.escape(clean(words))
