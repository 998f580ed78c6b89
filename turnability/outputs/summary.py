"""The report for people in a hurry: what to change, where, by how much, on one screen of text."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs._effort import effort_text
from turnability.outputs._findings import finding_text, grouped, likewise_text, place_text
from turnability.outputs._making import (
    no_stock_text,
    setup_text,
    stock_text,
    stub_texts,
    uncut_regions,
    uncut_text,
)
from turnability.outputs._phrases import few, not_turned_text, printable
from turnability.outputs._short import BREVITY, SCREEN, shortened, told
from turnability.outputs._words import (
    RAISED,
    baseline_text,
    is_raised,
    numbers_text,
    project_lines,
    project_verdict,
    standing_words,
)
from turnability.outputs.route_sheet.offset import offset_row
from turnability.outputs.route_sheet.taper_sheets import taper_row
from turnability.units import length_text, number_text
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.intent.model import Intent
    from turnability.part.model import Departure, Part, Source
    from turnability.report import Report
    from turnability.rules.model import Finding, Weight

NAME = "summary"
SUFFIX = ".turnability.txt"
WIDTH = 100
"""Columns where nobody says how wide the reader's screen is."""

VERDICTS = {
    "turnable": ("TURNABLE in this shop", "bold green"),
    "needs-changes": ("NEEDS CHANGES, each of them proven", "bold yellow"),
    "not-turnable": ("NOT TURNABLE in this shop as drawn", "bold red"),
    "not-axisymmetric": ("NOT A TURNED PART", "bold red"),
    "undetermined": ("UNDETERMINED: something could not be judged", "bold magenta"),
}
"""What each verdict is called on a terminal, and in which style."""
_SECTIONS: tuple[tuple[Weight, str], ...] = (
    ("error", "Must change"),
    ("warning", "Better changed"),
    ("note", "Note"),
)
_STYLES = {"error": "bold red", "warning": "yellow", "note": "cyan"}
_PLACES_SHOWN = 3
_NAMELESS = re.compile(
    r"(unnamed|COMPOUND|COMPSOLID|SOLID|SHELL|ASSEMBLY|Open CASCADE STEP translator [\d. ]+)"
    r"(:\d+| \(\d+\))?"
)
"""What stands for the name of a product that nobody named, and what the CAD kernel writes there."""
CAUTION = (
    "no leave to run a machine. Grip, speeds, feeds and the way clear of the jaws are for a "
    "qualified machinist to settle; long work and bar behind the spindle can whip."
)


@dataclass(frozen=True, slots=True)
class Span:
    """Some text and how a terminal shows it (a style of `rich`), None for plain."""

    text: str
    style: str | None = None


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of the summary; as `str` it is plain text."""

    spans: tuple[Span, ...]

    def __str__(self) -> str:
        return "".join(span.text for span in self.spans).rstrip()


def write(report: Report, target: Path) -> bool:
    """Write the summary as plain text."""
    write_whole(target, "".join(f"{line}\n" for line in summary_lines(report)))
    return True


def summary_lines(
    report: Report, width: int = WIDTH, equal: Sequence[int] = (), height: int = SCREEN
) -> tuple[TextLine, ...]:
    """The summary in lines of at most `width` columns, so far as words allow.

    Where they are more than `height`, findings are told in fewer words, notes first and errors
    last; every error keeps its places. `equal`: numbers of the file's solids that are the same
    part, this one among them.
    """
    lines: tuple[TextLine, ...] = ()
    for step in range(len(BREVITY)):
        lines = tuple(_lines(report, max(width, 40), equal, step))
        if len(lines) <= height:
            break
    return lines


def said_lines(report: Report) -> tuple[str, ...]:
    """What the summary says of the part itself, whichever solid of its file it is."""
    part = report.part
    source = replace(part.source, solid=1, solids=1, instances=())
    alone = replace(report, part=replace(part, source=source))
    return tuple(str(line) for line in summary_lines(alone, height=sys.maxsize))


def _lines(report: Report, width: int, equal: Sequence[int], step: int) -> Iterator[TextLine]:
    word, style = VERDICTS[report.verdict]
    source = report.part.source
    solid = f", solid {source.solid} of {source.solids}" if source.solids > 1 else ""
    head = (Span(f"{printable(report.name)}{solid}: ", "bold"), Span(word, style))
    project = project_verdict(report)
    if len(str(TextLine(head))) + len(project) <= width:
        yield TextLine((*head, Span(project)))
    else:
        yield TextLine(head)
        yield from _wrapped(f"But {project.removeprefix('; ')}", width)
    size = size_text(report)
    if not any(size in printable(finding.message) for finding in report.findings):
        yield from _wrapped(size, width)  # why no axis carries it, its finding says
    if places := places_text(source):
        yield from _wrapped(places, width)
    if equal:
        numbers = numbers_text(equal)
        yield from _wrapped(f"{len(equal)} equal solids in this file, told once: {numbers}", width)
    for said in (baseline_text(report), *project_lines(report)):
        if said:
            yield from _wrapped(printable(said), width)
    counting = [finding for finding in report.findings if not finding.may_stay]
    sections = by_weight(counting, _SECTIONS)
    sections.append(("Accepted", [f for f in report.findings if f.may_stay]))
    if report.baseline is not None:
        sections.append(("Fixed", list(report.baseline.fixed)))
    cautions: set[str] = set()
    for title, found in sections:
        if found:
            yield TextLine(())
            yield TextLine((Span(f"{title} ({len(found)})", "bold"),))
        if title == "Fixed":
            yield from _fixed(found, width, report.inch)
            continue
        listed = [f for f in found if told(f, step) == "listed" and not f.may_stay]
        whole = [shortened(f, step, cautions) for f in found if f not in listed]
        yield from _findings(whole, width, report.inch, step)
        yield from _listed([shortened(f, step, cautions) for f in listed], width, report.inch)
    yield from _making(report, width, short=step == len(BREVITY) - 1)
    unjudged = [status for status in report.rules if status.status in ("not-judged", "crashed")]
    if unjudged:
        yield TextLine(())
        yield TextLine((Span("Not judged", "bold"),))
        if step == len(BREVITY) - 1:
            names = ", ".join(status.rule for status in unjudged)
            yield from _wrapped(f"{names}; why, the report says", width, "  ")
            unjudged = []
        for status in unjudged:
            yield from _wrapped(
                f"{status.rule}{' crashed' if status.status == 'crashed' else ''}: "
                f"{printable(status.reason or 'no reason given')}",
                width,
                "  ",
            )
    if report.assumptions:
        yield TextLine(())
        what = ", ".join(assumption.what for assumption in report.assumptions)
        yield from _wrapped(f"Assumed (see the JSON): {what}", width, style="dim")
    if step:
        words = "In short; the report (--out) has it all. Why a rule is: turnability explain RULE"
        yield from _wrapped(words, width, style="dim")
    if report.setups:
        yield from _wrapped(f"Caution: {CAUTION}", width, style="dim")


def by_weight(
    found: Sequence[Finding], titles: Iterable[tuple[Weight, str]]
) -> list[tuple[str, list[Finding]]]:
    """Findings under what they count as; errors by the project alone apart, as the verdict is."""
    sections = []
    for weight, title in titles:
        own = [f for f in found if f.weight == weight]
        sections.append((title, [f for f in own if not is_raised(f)]))
        if weight == "error":
            sections.append((RAISED, [f for f in own if is_raised(f)]))
    return sections


def places_text(source: Source) -> str:
    """Where a solid stands in its file; "" where it is the only part there."""
    found = source.instances
    named = [[name for name in place.path if not _NAMELESS.fullmatch(name)] for place in found]
    if not found or (len(found) == 1 and len(named[0]) < 2):
        return ""
    shown = []
    for place, names in zip(found[:_PLACES_SHOWN], named, strict=False):
        words = [" / ".join(map(printable, names)) or "no named place"]
        words += ["mirrored"] if place.mirrored else []
        words += ["turned end for end"] if place.turned else []
        words += [f"{place.scale:g} times its size"] if place.scale != 1.0 else []
        number = f"{place.solid} " if len(found) > 1 else ""
        shown.append(number + ", ".join(words))
    if len(found) > _PLACES_SHOWN:
        shown.append(f"and {len(found) - _PLACES_SHOWN} more")
    head = f"{len(found)} times in this file, as solid" if len(found) > 1 else "In"
    return f"{head} {'; '.join(shown)}"


def _stated(part: Part) -> str:
    """What the file demands of the part, counted; it stands in the JSON."""
    stated = part.stated
    counted = (
        (len(stated.sizes), "size", "sizes"),
        (len(stated.tolerances), "geometric tolerance", "geometric tolerances"),
    )
    words = [f"{n} {one if n == 1 else many}" for n, one, many in counted if n]
    return f"the file states {' and '.join(words)} (see the JSON)" if words else ""


def _bored(report: Report) -> Iterator[str]:
    """The through bore, else the widest blind one; "solid through" only where nothing is hollow."""
    profile = report.part.profile
    assert profile is not None
    if profile.through_bore_mm is not None:
        yield f"through bore ⌀{number_text(profile.through_bore_mm, report.inch)}"
        return
    # what a slot or a cross hole leaves in the section is no bore: it is told as milled
    blind = [
        f.diameter_mm[1]
        for f in report.features or ()
        if f.kind == "bore" and "left_by" not in f.parameters
    ]
    if blind:
        yield f"blind bore ⌀{number_text(max(blind), report.inch)}"
    elif not any(segment.surface == "inner" for segment in profile.segments):
        yield "solid through"


def size_text(report: Report) -> str:
    """Sizes, bore, departures, material and shop as one clause after the other."""
    part, inch = report.part, report.inch
    if part.profile is None:
        return printable(part.symmetry.reason or "no axis carries it")
    profile = part.profile
    across = number_text(profile.max_diameter_mm, inch)
    words = [
        f"⌀{across} × {length_text(profile.length_mm, inch)}",
        *_bored(report),
    ]
    if part.departures:
        told = ((_called(d, report), d.parameters, d.z_mm) for d in part.departures)
        words.append(f"not turned: {not_turned_text(told, inch)}")
    if stated := _stated(part):
        words.append(stated)
    if report.intent is not None:
        words += _order(report.intent)
    words.append(f"shop: {printable(report.shop_name)}")
    return "; ".join(words)


def _called(departure: Departure, report: Report) -> str:
    """What a departure is called; a helix that was told as a thread is one."""
    wound = any(f.parameters.get("evidence") == "helix" for f in report.features)
    return "thread" if wound and departure.called == "helix" else departure.called


def _order(intent: Intent) -> list[str]:
    """What is made, of what, as the intent has it."""
    words = []
    if intent.material is not None:
        condition = intent.condition
        more = f" {condition}" if condition and condition not in intent.material else ""
        words.append(f"of {printable(intent.material + more)}")
    if intent.quantity is not None:
        words.append("1 piece" if intent.quantity == 1 else f"{intent.quantity} pieces")
    return words


def _findings(found: Sequence[Finding], width: int, inch: bool, step: int) -> Iterator[TextLine]:
    """All findings of a level; of several by one rule the first at length, the others' places."""
    for first, others in grouped(found):
        features = few(first.where.features)
        head = Span(f"  {first.id} {first.rule}", _STYLES[first.level])
        new = Span("  new", "bold") if first.state == "new" else Span("")
        yield TextLine((head, Span(f"  {features}" if features else ""), new))
        if first.may_stay:
            yield from _wrapped(printable("; ".join(standing_words(first))), width, "     ")
            continue
        brief = told(first, step) != "whole"
        yield from _wrapped(finding_text(first, brief), width, "     ")
        if first.accepted or first.weight != first.level:
            yield from _wrapped(printable("; ".join(standing_words(first))), width, "     ", "dim")
        if others:
            yield from _wrapped(likewise_text(first, others, inch), width, "     ")


def _fixed(found: Sequence[Finding], width: int, inch: bool) -> Iterator[TextLine]:
    """Findings that are gone: where they were, without numbers that are no more."""
    for first, others in grouped(found):
        where = replace(first.where, features=())
        place = place_text(replace(first, where=where), inch)
        more = f", and {len(others)} more" if others else ""
        yield from _wrapped(f"{first.rule}  {place}{more}", width, "  ", "green")


def _listed(found: Sequence[Finding], width: int, inch: bool) -> Iterator[TextLine]:
    """Findings by rule and the first one's place; cautions, which are all they still say, whole."""
    words = []
    for first, others in grouped(found):
        new = ", new" if first.state == "new" else ""
        more = f", and {len(others)} more" if others else ""
        words.append(f"{first.id} {first.rule} {place_text(first, inch)}".rstrip() + new + more)
    if words:
        yield from _wrapped("; ".join(words), width, "  ", "dim")
    for caution in (f.message for f in found if f.message):
        yield from _wrapped(printable(caution), width, "     ")


def _making(report: Report, width: int, *, short: bool) -> Iterator[TextLine]:
    """How it would be made: stock, setups, what stays uncut; several set over as one if short."""
    rows = []
    if report.stock is not None and report.stock.choice is not None:
        piece, removed = report.stock.choice, report.stock.removed_fraction
        if removed is None:
            chips = ""
        elif piece.stub_mm:
            stub, gripped = stub_texts(report, piece)
            held = f"{gripped} of it gripped"
            if piece.fed:
                held = f"{stub} of each bar stay in the chuck"
            elif piece.parts > 1:
                held = f"{piece.parts} parts a sawn piece, {gripped} of that gripped"
            chips = f", {held}; {removed:.0%} is waste"
        else:
            chips = f"; {removed:.0%} becomes chips"
        own = next((a for a in report.stock.alternatives if "may stay as drawn" in a.why), None)
        if own is not None and own.name != piece.name:
            chips += f"; or {own.name}, if the bar's own outside may stay (intent)"
        rows.append(("Stock", stock_text(piece, report.inch) + chips))
    elif report.stock is not None and report.setups:
        rows.append(("Stock", no_stock_text(report.stock, report.inch)))
    rows += [(f"Setup {setup.order}", setup_text(setup, report)) for setup in report.setups]
    if report.plan is not None:
        over = list(enumerate(report.plan.set_over, start=len(report.setups) + 1))
        if short and len(over) > 1:
            numbers = numbers_text([n for n, _ in over])
            rows.append((f"Setup {numbers}", "set over; how, the report says"))
        else:
            rows += [(f"Setup {n}", offset_row(one, report.inch)) for n, one in over]
        first = len(report.setups) + len(over) + 1
        tapers = enumerate(report.plan.tapers, start=first)
        rows += [(f"Setup {n}", taper_row(one, report.inch)) for n, one in tapers]
    if report.effort is not None:
        rows.append(("Effort", effort_text(report.effort)))
    if uncut := uncut_regions(report):
        rows.append(("Uncut", uncut_text(uncut, report.inch, report.findings)))
    if rows:
        yield TextLine(())
    for name, text in rows:
        yield from _wrapped(f"{name:7s} {printable(text)}", width, after="        ")


def _wrapped(
    text: str, width: int, indent: str = "", style: str | None = None, after: str | None = None
) -> Iterable[TextLine]:
    lines = textwrap.wrap(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=indent if after is None else after,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [TextLine((Span(line, style),)) for line in lines]
