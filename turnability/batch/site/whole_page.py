"""The page of what the parts have in common."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from turnability.batch.crib import Lacking
from turnability.batch.site.page import listed, page, text
from turnability.batch.whole import Stock, Whole

_MOST = 200


def whole_page(whole: Whole, ids: Mapping[str, str]) -> str:
    """The page, each part a link to its own."""

    def parts(names: Iterable[str]) -> str:
        return ", ".join(f'<a href="parts/{ids[name]}.html">{text(name)}</a>' for name in names)

    twins = [
        f"{parts((t.one, t.other))}: {t.what} {t.sizes_mm[0]:g} and {t.sizes_mm[1]:g} mm"
        for t in whole.twins[:_MOST]
    ]
    single = [f"{text(t)}: {parts(p)}" for t, p in whole.used_by.items() if len(p) == 1]
    sizes = [
        f"{text(s.material or 'no material stated')}: {count} sizes "
        f"({', '.join(f'⌀{d:g}' for d in kept)} mm) take {extra / 1000.0:.0f} cm³ more"
        for s in whole.sizes
        for count, kept, extra in s.ways
    ]
    body = "\n".join(
        (
            '<p><a href="index.html">All parts</a></p><h1>What the parts have in common</h1>',
            "<h2>The same part, several times</h2><p>One meridian, whichever way round. Holes and "
            "flats may differ.</p>",
            listed([parts(names) for names in whole.same]),
            "<h2>Could be one</h2><p>Different in a single length or diameter.</p>",
            listed(twins),
            "<h2>Stock, and how to cut it</h2>",
            listed([_stock(s, parts(s.parts)) for s in whole.stock]),
            "<h2>Fewer sizes of round bar</h2><p>Each part takes the next size that holds it.</p>",
            listed(sizes),
            "<h2>The fewest tools</h2><p>By these every surface that the shop reaches is still "
            "reached by some tool. Whether each gets there without another going first is not "
            "proven: judge the parts again with a shop of these tools alone.</p>",
            listed([text(tool) for tool in whole.crib]),
            "<h2>Tools that a single part asks for</h2>",
            listed(single),
            "<h2>What one more tool would have to be</h2>",
            listed([f"{_lacking(one)}: {parts(one.parts)}" for one in whole.lacking[:_MOST]]),
            "<h2>Made in one chucking from the same stock</h2>",
            listed([f"{text(name)}: {parts(names)}" for name, names in whole.families]),
            "<h2>Effort</h2><p>Minutes a piece as estimated, to compare by, and proven changes."
            "</p>",
            listed(
                [
                    f"{parts((name,))}: {minutes:.0f} min, {changes} proven changes"
                    for name, minutes, changes in whole.effort[:_MOST]
                ]
            ),
        )
    )
    return page("What the parts have in common", body)


def _stock(stock: Stock, parts: str) -> str:
    words = f"{text(stock.name)}{f' ({text(stock.material)})' if stock.material else ''}: {parts}; "
    words += f"{stock.length_mm / 1000.0:.2f} m"
    if stock.cutting is None:
        return words + ", bar length not stated" if stock.bar_mm is None else words
    bars = len(stock.cutting.bars)
    gap = stock.cutting.gap
    proof = "the fewest there are" if gap == 0 else f"at most {gap} more than needed"
    return f"{words} from {bars} bars of {(stock.bar_mm or 0.0) / 1000.0:g} m, {proof}"


def _lacking(one: Lacking) -> str:
    words = f"held back by {text(', '.join(one.causes))}"
    if one.tool:
        words += f"; nearest {text(one.tool)}"
    if one.parameter and one.least is not None and one.most is not None:
        span = f"{one.least:g}" if one.least == one.most else f"{one.least:g} to {one.most:g}"
        words += f", with {text(one.parameter)} {span} {text(one.unit or '')}"
    return words
