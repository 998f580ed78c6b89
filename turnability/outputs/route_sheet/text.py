"""The route sheet as lines for a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator

from turnability.errors import printable
from turnability.outputs.route_sheet.offset import OffsetSheet
from turnability.outputs.route_sheet.route import Route, SetupSheet, Step

_LABEL = re.compile(r" *(?:\[ \] |\d+  |\S+ {2,})?")
"""What stands before a line's own words: its room, a box to tick, a number or a heading."""
_MOST_ROOM = 1 / 3
"""No more of a narrow screen than this is left free before what is folded (our choice)."""


def folded(lines: Iterable[str], width: int) -> Iterator[str]:
    """Lines of a sheet in no more than so many columns, what is folded below its own words."""
    for line in lines:
        label = _LABEL.match(line)
        room = label.end() if label is not None else 0
        indent = " " * min(room, int(_MOST_ROOM * width))
        fold = textwrap.wrap(
            line,
            width,
            subsequent_indent=indent or "  ",
            break_long_words=False,
            break_on_hyphens=False,
        )
        yield from fold or [""]


def lines_of(route: Route) -> Iterator[str]:
    """Every line, without what could move a cursor."""
    for line in _lines(route):
        yield printable(line)


def _lines(route: Route) -> Iterator[str]:
    yield f"Route sheet: {route.name} ({route.verdict})"
    yield f"  Stock     {route.stock[0]}"
    for more in route.stock[1:]:
        yield f"            {more}"
    if route.material is not None:
        yield f"  Material  {route.material}"
    for word, text in route.general:
        yield f"  {word:<9} {text}"
    if route.lathe is not None:
        yield f"  Lathe     {route.lathe}"
    if not route.setups:
        yield f"  No plan   {route.no_plan}"
    for setup in route.setups:
        yield ""
        yield from _setup(setup)
    for over in (*route.offset, *route.tapers):
        yield ""
        yield from _offset(over)
    if route.left:
        yield ""
        yield "Stays uncut"
        for line in route.left:
            yield f"  {line}"
    if route.not_turned:
        yield ""
        yield "Not turned here"
        for line in route.not_turned:
            yield f"  {line}"
    if route.lathes:
        yield ""
        yield "Lathes of the shop"
        for line in route.lathes:
            yield f"  {line}"
    if route.runner_up is not None:
        yield ""
        yield f"Next best: {route.runner_up}"
    yield ""
    for line in route.cautions:
        yield f"Caution: {line}"


def _setup(sheet: SetupSheet) -> Iterator[str]:
    yield sheet.title
    yield f"  Hold      {sheet.hold}"
    yield f"  Datum     {sheet.datum}"
    for step in sheet.steps:
        yield from _step(step)
    if not sheet.steps:
        yield "  nothing is finished here"
    for line in sheet.tapers:
        yield f"  Taper     {line}"
    for line in sheet.threads:
        yield f"  Thread    {line}"
    if sheet.measure:
        yield "  Measure before unclamping"
        for line in sheet.measure:
            yield f"    [ ] {line}"
    if sheet.then is not None:
        yield f"  Then      {sheet.then}"
    for line in sheet.cautions:
        yield f"  Caution: {line}"


def _offset(sheet: OffsetSheet) -> Iterator[str]:
    yield sheet.title
    yield f"  Hold      {sheet.hold}"
    yield f"  Datum     {sheet.datum}"
    for number, (what, values) in enumerate(sheet.steps, start=1):
        yield f"  {number:2d}  {what}"
        yield f"        run     {values}"
    yield "  Measure before unclamping"
    for line in sheet.measure:
        yield f"    [ ] {line}"
    for line in sheet.cautions:
        yield f"  Caution: {line}"


def _step(step: Step) -> Iterator[str]:
    if step.first:
        yield f"      ({step.first})"
    where = f": {step.where}" if step.where else ""
    yield f"  {step.number:>2}  {step.kind}, {step.tool}{where}"
    if step.rough:
        yield f"        rough   {step.rough}"
    if step.finish:
        yield f"        {'run   ' if step.in_one_run else 'finish'}  {step.finish}"
