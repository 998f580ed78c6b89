"""The report for people in a hurry: what to change, where, by how much, on one screen of text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs._whole import write_whole
from turnability.units import mm_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding
    from turnability.setups.model import Setup
    from turnability.stock.model import StockPiece

NAME = "summary"
SUFFIX = ".turnability.txt"
WIDTH = 100
"""Columns where nobody says how wide the reader's screen is."""

_VERDICTS = {
    "turnable": ("TURNABLE in this shop", "bold green"),
    "needs-changes": ("NEEDS CHANGES, each of them proven", "bold yellow"),
    "not-turnable": ("NOT TURNABLE in this shop as drawn", "bold red"),
    "not-axisymmetric": ("NOT A TURNED PART", "bold red"),
    "undetermined": ("UNDETERMINED: something could not be judged", "bold magenta"),
}
_STYLES = {"error": "bold red", "warning": "yellow", "note": "cyan"}
_SAME_SHOWN = 4
"""So many further findings of one rule are named by their place; the rest are counted."""
CAUTION = (
    "This is geometry and common practice, not leave to run a machine. Grip, speeds, feeds and the "
    "way clear of the jaws are for a qualified machinist to settle under the shop's own rules; "
    "long or thin work and bar behind the spindle can whip."
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


def summary_lines(report: Report, width: int = WIDTH) -> tuple[TextLine, ...]:
    """The summary in lines of at most `width` columns, so far as words allow."""
    return tuple(_lines(report, max(width, 40)))


def _lines(report: Report, width: int) -> Iterator[TextLine]:
    word, style = _VERDICTS[report.verdict]
    source = report.part.source
    solid = f", solid {source.solid} of {source.solids}" if source.solids > 1 else ""
    yield TextLine((Span(f"{_clean(report.name)}{solid}: ", "bold"), Span(word, style)))
    yield from _wrapped(_size(report), width)
    for level, title in (("error", "Must change"), ("warning", "Better changed"), ("note", "Note")):
        found = [finding for finding in report.findings if finding.level == level]
        if found:
            yield TextLine(())
            yield TextLine((Span(f"{title} ({len(found)})", "bold"),))
        yield from _findings(found, width)
    yield from _making(report, width)
    unjudged = [status for status in report.rules if status.status in ("not-judged", "crashed")]
    if unjudged:
        yield TextLine(())
        yield TextLine((Span("Not judged", "bold"),))
        for status in unjudged:
            yield from _wrapped(
                f"{status.rule}{' crashed' if status.status == 'crashed' else ''}: "
                f"{_clean(status.reason or 'no reason given')}",
                width,
                "  ",
            )
    if report.assumptions:
        yield TextLine(())
        what = ", ".join(assumption.what for assumption in report.assumptions)
        yield from _wrapped(
            f"Assumed: {what} (the report says what, and how to state it)", width, style="dim"
        )
    if report.setups:
        yield from _wrapped(f"Caution: {CAUTION}", width, style="dim")


def _size(report: Report) -> str:
    part = report.part
    if part.profile is None:
        return _clean(part.symmetry.reason or "no axis carries it")
    profile = part.profile
    bore = profile.through_bore_mm
    words = [
        f"⌀{mm_text(profile.max_diameter_mm)} × {mm_text(profile.length_mm)} mm",
        "solid through" if bore is None else f"through bore ⌀{mm_text(bore)}",
    ]
    kinds: dict[str, int] = {}
    for departure in part.departures:
        kinds[departure.kind] = kinds.get(departure.kind, 0) + 1
    if kinds:
        counted = ", ".join(f"{n} {kind}" if n > 1 else kind for kind, n in kinds.items())
        words.append(f"not turned: {counted}")
    words.append(f"shop: {_clean(report.shop_name)}")
    return "; ".join(words)


def _findings(found: Sequence[Finding], width: int) -> Iterator[TextLine]:
    """All findings of a level; of several by one rule the first at length."""
    for rule in dict.fromkeys(finding.rule for finding in found):
        first, *others = [finding for finding in found if finding.rule == rule]
        yield _head(first)
        message = _clean(first.message)
        yield from _wrapped(message, width, "     ")
        numbers = measure_text(first)
        if numbers:
            yield from _wrapped(numbers, width, "     ")
        if first.change is not None:
            proof = "proven by analysing the changed part" if first.change.proven else "not proven"
            text = _clean(first.change.text).rstrip(".")
            # Most messages end in the change already.
            said = text in message
            words = f"The change is {proof}." if said else f"Change: {text} ({proof})."
            yield from _wrapped(words, width, "     ", None if said else "bold")
        for finding in others[:_SAME_SHOWN]:
            yield _head(finding)
        if len(others) > _SAME_SHOWN:
            words = f"and {len(others) - _SAME_SHOWN} more of {rule} in the report"
            yield from _wrapped(words, width, "     ")


def _head(finding: Finding) -> TextLine:
    where = place_text(finding)
    return TextLine(
        (
            Span(f"  {finding.id} {finding.rule}", _STYLES[finding.level]),
            Span(f"  {where}" if where else ""),
        )
    )


def place_text(finding: Finding) -> str:
    """Where a finding is, as words: features, z range, diameters."""
    where = finding.where
    words = []
    if where.features:
        words.append(" ".join(where.features))
    if where.z_mm is not None:
        words.append(f"z {_range(where.z_mm)}")
    if where.diameter_mm is not None:
        words.append(f"⌀{_range(where.diameter_mm)}")
    return ", ".join(words)


def measure_text(finding: Finding) -> str:
    """What was measured and what the limit is, as words; empty where there are no numbers."""
    unit = f" {finding.unit}" if finding.unit else ""
    words = [
        f"{name} {mm_text(value)}{unit}"
        for name, value in (("measured", finding.measured), ("limit", finding.limit))
        if value is not None
    ]
    return ", ".join(words)


def _making(report: Report, width: int) -> Iterator[TextLine]:
    """How it would be made: stock, setups, what stays uncut."""
    rows = []
    if report.stock is not None and report.stock.choice is not None:
        removed = report.stock.removed_fraction
        chips = "" if removed is None else f"; {removed:.0%} becomes chips"
        rows.append(("Stock", stock_text(report.stock.choice) + chips))
    rows += [(f"Setup {setup.order}", setup_text(setup)) for setup in report.setups]
    if report.reach is not None and report.reach.left:
        left = [
            f"{region.id} {mm_text(region.volume_mm3, 1)} mm³ ({', '.join(region.causes)})"
            for region in report.reach.left
        ]
        rows.append(("Uncut", "; ".join(left)))
    if rows:
        yield TextLine(())
    for name, text in rows:
        yield from _wrapped(f"{name:8s}{_clean(text)}", width, after="        ")


def stock_text(piece: StockPiece) -> str:
    """A piece of stock as words."""
    mass = "" if piece.mass_kg is None else f", {mm_text(piece.mass_kg)} kg"
    name = piece.name if piece.form in piece.name else f"{piece.form} {piece.name}"
    return f"{name}, {mm_text(piece.length_mm, 1)} mm long{mass}"


def setup_text(setup: Setup) -> str:
    """One setup as words."""
    grip = setup.grip
    tools = ", ".join(dict.fromkeys(operation.tool for operation in setup.operations))
    support = "" if setup.support == "none" else f", {setup.support}"
    left = " ".join(dict.fromkeys(segment for item in setup.left for segment in item.segments))
    return (
        f"{setup.toward_chuck} end to the chuck, {grip.kind} {grip.surface} "
        f"⌀{mm_text(grip.diameter_mm)} over {mm_text(grip.length_mm, 1)} mm{support}; "
        f"{tools or 'nothing cut'}" + (f"; leaves something at {left}" if left else "")
    )


def _range(ends: tuple[float, float]) -> str:
    low, high = (mm_text(end, 2) for end in ends)
    return low if low == high else f"{low}–{high}"


def _clean(text: str) -> str:
    """Text from files without what could move a terminal's cursor or change its colours."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


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
