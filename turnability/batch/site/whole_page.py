"""The page of what the parts have in common."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from turnability.batch.crib import Crib, Lacking
from turnability.batch.model import Saving
from turnability.batch.site.page import listed, page, text
from turnability.batch.whole import Spared, Stock, Whole
from turnability.units import counted

_MOST = 200
_NAMED = 12
"""So many parts are named in one line; the index finds the others."""


def whole_page(whole: Whole, ids: Mapping[str, str]) -> str:
    """The page, each part a link to its own."""

    def parts(names: Sequence[str], of: int | None = None) -> str:
        told = ", ".join(
            f'<a href="parts/{ids[name]}.html">{text(name)}</a>' for name in names[:_NAMED]
        )
        more = (of or len(names)) - min(len(names), _NAMED)
        return f"{told} and {more} more" if more else told

    twins = [f"{parts(t.parts)}: {t.what} {_sizes(t.sizes_mm)}" for t in whole.twins[:_MOST]]
    missed = dict(whole.crib.missed)
    owned = [
        f"{text(tool)}: {_users(count, parts((missed.get(tool, first),)))}"
        for tool, count, first in whole.crib.users
    ]
    single = [
        f"{text(tool)}: {parts((first,))}{'' if tool in missed else ', not tried without it'}"
        for tool, count, first in whole.crib.users
        if count == 1
    ]
    sizes = [
        f"{text(s.material or 'no material stated')}: {counted(count, 'size')} "
        f"({', '.join(f'⌀{d:g}' for d in kept)} mm) instead of {len(s.ways)} "
        f"{'takes' if count == 1 else 'take'} {extra / 1000.0:.0f} cm³ more"
        for s in whole.sizes
        for count, kept, extra in s.ways[:-1]
    ]
    body = "\n".join(
        (
            '<p><a href="index.html">All parts</a></p><h1>What the parts have in common</h1>',
            "<h2>The same part, several times</h2><p>One meridian, whichever way round. Holes and "
            "flats may differ.</p>",
            listed([parts(names) for names in whole.same[:_MOST]]),
            "<h2>Could be one</h2><p>Different in a single length or diameter.</p>",
            listed(twins),
            "<h2>Stock, and how to cut it</h2>",
            listed([_stock(s, parts(s.parts)) for s in whole.stock]),
            "<h2>Fewer sizes of round bar</h2><p>Each part takes the next size that holds it.</p>",
            listed(sizes),
            f"<h2>The tools to own</h2>{_crib(whole.crib, parts)}",
            listed(owned),
            "<h2>Tools that a single part asks for</h2>",
            listed(single),
            "<h2>What one more tool would have to be</h2>",
            "<p>Beyond the shop as it is, by what warnings and errors ask for; first what clears "
            "the most parts of them.</p>",
            listed([_lacking(one, parts) for one in whole.lacking[:_MOST]]),
            "<h2>Made in one chucking from the same stock</h2>",
            listed([f"{text(name)}: {parts(names)}" for name, names in whole.families]),
            "<h2>What changes spare</h2><p>Each change made alone and the part analysed anew; the "
            "parts that spare the most for each change come first. Minutes a piece are estimates, "
            "to compare by.</p>",
            listed([_spared(one, parts) for one in whole.spared]),
            "<h2>Effort</h2><p>The parts that take longest, in minutes a piece as estimated.</p>",
            listed([f"{parts((name,))}: {minutes:.0f} min" for name, minutes in whole.effort]),
        )
    )
    return page("What the parts have in common", body)


def _stock(stock: Stock, parts: str) -> str:
    words = f"{text(stock.name)}{f' ({text(stock.material)})' if stock.material else ''}: {parts}; "
    words += f"{counted(stock.pieces, 'piece')}, {stock.length_mm / 1000.0:.2f} m"
    if stock.fed:
        words += " fed through the spindle"
    if stock.cutting is None:
        return words + ", bar length not stated" if stock.bar_mm is None else words
    bars = len(stock.cutting.bars)
    gap = stock.cutting.gap
    proof = "" if bars == 1 else ", and fewer do not suffice"
    if gap:
        proof = f", at most {gap} more than needed"
    of = f"{'bar' if bars == 1 else 'bars'} of {(stock.bar_mm or 0.0) / 1000.0:g} m"
    return f"{words}, cut from {bars} {of}{proof}"


Parts = Callable[[Sequence[str]], str]


def _users(count: int, first: str) -> str:
    """On how many sheets a tool is, and the part that misses it or is the first to need it."""
    return first if count == 1 else f"{count} parts, one of them {first}"


def _crib(crib: Crib, parts: Parts) -> str:
    if not crib.tools:
        return ""
    words = (
        f"{counted(len(crib.tools), 'tool')}: with these alone every part's route sheet is carried "
        "out, threads, parting and centre drilling too. "
    )
    if crib.again:
        words += (
            f"{counted(crib.again, 'part was', 'parts were')} planned anew without one tool or "
            "another: what is spared so makes no verdict worse, leaves nothing more uncut and no "
            "corner larger than on the sheet, no error, no chucking more, gives a blade, a "
            "pointed corner or a flat drill no work that was "
            "another tool's, and takes no more than a tenth longer. "
        )
    if crib.checked > len(crib.worse):
        words += (
            f"At the end {counted(crib.checked - len(crib.worse), 'part was', 'parts were')} "
            "analysed with just these tools and found so. In inside corners the analysis with the "
            "whole shop may leave less, by finer noses that no sheet uses. "
        )
    if crib.worse:
        words += f"With just these worse than with the whole shop: {parts(crib.worse)}. "
    if crib.checked and crib.unchecked:
        more = counted(crib.unchecked, "part was", "parts were")
        words += f"With just these {more} not analysed. "
    if crib.spared:
        words += f"Spared of what the sheets name: {text(', '.join(crib.spared))}. "
    if crib.missed:
        words += (
            f"Without any one of {counted(len(crib.missed), 'tool')} of these some part's sheet is "
            "worse. "
        )
    untried = len(crib.tools) - len(crib.missed)
    if untried:
        words += (
            f"{counted(untried, 'tool was', 'tools were')} not tried without, for enough parts had "
            "been planned anew, those of tools on the fewest sheets first, or one could not be. "
        )
    if crib.unproven:
        words += f"Not planned anew could be {parts(crib.unproven)}. "
    return f"<p>{words}</p>"


def _sizes(sizes: Sequence[float]) -> str:
    told = ", ".join(f"{size:.4g}" for size in sizes[:_NAMED])
    return f"{told}, … {sizes[-1]:.4g} mm" if len(sizes) > _NAMED else f"{told} mm"


def _spared(one: Spared, parts: Parts) -> str:
    each = "; ".join(
        f"{text(saving.change)} ({_minutes(saving)})"
        for saving in sorted(one.savings, key=lambda saving: -saving.minutes)
    )
    return f"{parts((one.title,))}: {one.minutes:.1f} min for each change. {each}"


def _minutes(saving: Saving) -> str:
    minutes = saving.minutes
    words = f"spares {minutes:.1f} min" if minutes >= 0.0 else f"takes {-minutes:.1f} min more"
    return words + (" and removes an error" if saving.removes_error else "")


def _lacking(one: Lacking, parts: Callable[[Sequence[str], int], str]) -> str:
    words = text(one.what)
    if one.parameter and one.least is not None and one.most is not None:
        least, most = f"{one.least:.4g}", f"{one.most:.4g}"
        span = least if least == most else f"{least} to {most}"
        named = text(one.parameter.removesuffix("_mm").replace("_", " "))
        words += f", with {named} {span} {text(one.unit or '')}"
    clears = f"clears {one.whole} wholly, of" if one.whole else "concerns, beside other places,"
    return f"{words}: {clears} {parts(one.parts, one.count)}"
