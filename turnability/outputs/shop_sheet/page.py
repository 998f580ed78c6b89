"""The sheet of a shop as one HTML page, light or dark as the reader's screen is."""

from __future__ import annotations

import html
from collections.abc import Iterator, Sequence
from itertools import groupby

from turnability import __version__
from turnability.outputs.drawing.scale import nice_step
from turnability.outputs.drawing.sheet import clean
from turnability.outputs.shop_sheet.figure import figure
from turnability.outputs.shop_sheet.style import STYLE
from turnability.outputs.shop_sheet.window import Window, window_of
from turnability.outputs.shop_sheet.words import (
    comes,
    holding_text,
    kind_title,
    limit_rows,
    machine_text,
    remarks,
)
from turnability.shop.model import Shop, StockSize, Tool
from turnability.units import MM_PER_INCH, counted, mm_text, number_text

_ROOM_PX = (330.0, 210.0)
_SMALL_ROOM_PX = (250.0, 96.0)
_MANY = 8
"""Above so many tools of a kind they are drawn small."""
_CAUTION = (
    "Overhang, grip, speeds and feeds are for a qualified machinist to settle under the shop's own "
    "rules. What is drawn here is what turnability calculates with; measure a tool before you rely "
    "on it."
)


def page(shop: Shop, source: str) -> str:
    """The page; `source` says where the shop was read from."""
    unit = "inch" if shop.inch else "mm"
    by_kind: dict[str, list[Tool]] = {}
    tools = (*shop.tools, *shop.thread_tools)
    for tool in tools:
        by_kind.setdefault(tool.kind, []).append(tool)
    numbers = iter(range(len(tools)))
    doubted = any(not s.verified for tool in tools for s in tool.sources.values())
    body = [
        f"<header><h1>{_text(shop.name)}</h1>",
        f"<p>{_text(source)}: {counted(len(tools), 'tool')}. Lengths in {unit}, angles in "
        "degrees.</p>",
        _key(doubted),
        "</header><main>",
        *(_section(kind, tools, shop.inch, numbers) for kind, tools in by_kind.items()),
        *_rest(shop),
        f"</main><footer><p>{_CAUTION}</p><p>turnability {__version__}</p></footer>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_text(shop.name)}: tools</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _section(kind: str, tools: Sequence[Tool], inch: bool, numbers: Iterator[int]) -> str:
    """One kind: rows of tools that are drawn at one scale, each row with its bar."""
    small = len(tools) > _MANY
    room = _SMALL_ROOM_PX if small else _ROOM_PX
    drawn = [(window, window.scale(*room), tool) for tool in tools for window in (window_of(tool),)]
    if not small:  # a handful of tools is best compared at one scale, if none becomes too small
        scales = {scale for _, scale, _ in drawn}
        least = min(scales)
        if max(scales) <= 2.0 * least:
            drawn = [(window, least, tool) for window, _, tool in drawn]
    rows = []
    for scale, row in groupby(drawn, key=lambda entry: entry[1]):
        cards = "".join(
            _card(tool, window, scale, inch, next(numbers), small) for window, _, tool in row
        )
        rows.append(f'{_bar(scale, inch)}<div class="row">{cards}</div>')
    count = f"{len(tools)} tools" if len(tools) > 1 else ""
    heading = f"<h2>{_text(kind_title(kind))} <small>{count}</small></h2>"
    return f"<section>{heading}{''.join(rows)}</section>"


def _card(tool: Tool, window: Window, scale: float, inch: bool, number: int, small: bool) -> str:
    limits = "".join(
        f'<tr{_doubt(doubt)}><th scope="row">{_text(words)}</th>'
        f"<td>{_text(value)}{'*' if doubt else ''}</td></tr>"
        for words, value, doubt in limit_rows(tool, inch)
    )
    notes = "".join(f"<p>{_text(note)}</p>" for note in remarks(tool))
    table = f"<table>{limits}</table>" if limits else ""
    said = f'<p class="comes">{_text(comes(tool))}</p>'
    engraved = f"<p>{_text(tool.designation)}</p>" if tool.designation else ""
    more = f"{engraved}{said}{table}{notes}"
    if small:
        more = f"<details><summary>limits</summary>{more}</details>"
    drawn = figure(tool, window, scale, inch, number)
    return f"<article><h3>{_text(tool.name)}</h3>{drawn}{more}</article>"


def _bar(px_per_mm: float, inch: bool) -> str:
    """A scale bar of about 80 px."""
    px = px_per_mm * (MM_PER_INCH if inch else 1.0)
    step = nice_step(1.0, px, 50.0)
    words = f"{mm_text(step, 4)} {'in' if inch else 'mm'}"
    return (
        f'<p class="scale"><svg width="{step * px + 2:.1f}" height="9" aria-hidden="true">'
        f'<path class="size" d="M1 1v7M{step * px + 1:.1f} 1v7M1 4.5H{step * px + 1:.1f}"/></svg>'
        f" {words}</p>"
    )


def _key(doubted: bool) -> str:
    """What the drawing's marks mean."""
    swatch = (
        '<svg width="22" height="12"><rect class="{}" x="1" y="1" width="20" height="10"/></svg>'
    )
    sign = '<svg width="{0}" height="{0}"><path class="{1}" d="{2}"/></svg>'
    frame = "M4 22H24M20 19l4 3-4 3M4 22V2M1 6l3-4 3 4"
    entries = [
        (swatch.format("cut"), "cuts: may touch stock"),
        (swatch.format("body"), "body: may touch nothing; goes on where it is cut off"),
        (sign.format(14, "point", "M2 7h10M7 2v10"), "programmed point"),
        (sign.format(22, "feed", "M20 11H2M7 7l-5 4 5 4"), "feed"),
        (sign.format(22, "wall", "M0 11H22"), "smallest bore"),
        (sign.format(26, "size", frame), "z away from the chuck, r outwards"),
    ]
    if doubted:
        words = (
            "not verified: from memory or common practice. Measure it, and write your own number "
            "in the shop file"
        )
        entries.append(('<span class="doubt">*</span>', words))
    listed = "".join(f"<li>{mark} {_text(words)}</li>" for mark, words in entries)
    return f'<ul class="key">{listed}</ul>'


def _rest(shop: Shop) -> Iterator[str]:
    """What else the file names: holding, lathes, stock."""
    holdings = [(h.name, holding_text(h, shop.inch)) for h in shop.holdings]
    machines = [(m.name, machine_text(m, shop.inch)) for m in shop.machines]
    for title, entries in (("Holding", holdings), ("Lathes", machines), ("Stock", _stock(shop))):
        if entries:
            rows = "".join(
                f'<tr><th scope="row">{_text(name)}</th><td>{_text(words)}</td></tr>'
                for name, words in entries
            )
            yield f'<section><h2>{title}</h2><table class="wide">{rows}</table></section>'


def _stock(shop: Shop) -> list[tuple[str, str]]:
    """Sizes by what they are of, in order."""

    def family(size: StockSize) -> str:
        return size.name.split(" × ")[0].rstrip(" in").rstrip("0123456789.").rstrip() or size.form

    found: dict[str, list[str]] = {}
    for size in shop.stock:
        words = number_text(size.across_mm, shop.inch)
        if size.inner_diameter_mm is not None:
            words += f" × {number_text(size.inner_diameter_mm, shop.inch)}"
        found.setdefault(family(size), []).append(words)
    return [(name, ", ".join(sizes)) for name, sizes in found.items()]


def _doubt(doubt: str | None) -> str:
    return f' class="doubt" title="{html.escape(clean(doubt), quote=True)}"' if doubt else ""


def _text(words: str) -> str:
    return html.escape(clean(words))
