"""Accepted findings stay visible but muted, those turned off are not drawn: in every picture."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from tests.outputs.sample import housing_report
from turnability.outputs import _palette as palette
from turnability.outputs._marked import marked_segments
from turnability.outputs.annotated_step import face_marks, remarks
from turnability.outputs.meridian_svg import drawing
from turnability.outputs.report_page.page import page
from turnability.report import Report
from turnability.rules.model import Acceptance

KEPT = Acceptance("is bored elsewhere", "manufacturing lead", date(2027, 6, 30), False)
PAST = replace(KEPT, expired=True)


def with_first(**changes: object) -> Report:
    """The drawn housing, its first finding (an error) changed; nothing beside it."""
    report = housing_report()
    return replace(
        report, findings=(replace(report.findings[0], **changes),), setups=(), reach=None
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "mark", "words"),
    [
        ({}, "error", "N1"),
        ({"accepted": KEPT}, "accepted", "N1 ✓"),
        ({"accepted": PAST}, "error", "N1"),
        ({"counts_as": "note"}, "note", "N1"),
        ({"counts_as": "off"}, None, None),
        ({"counts_as": "off", "accepted": KEPT}, None, None),
    ],
)
def test_colours_follow_how_a_finding_stands(
    changes: dict[str, object], mark: palette.Mark | None, words: str | None
) -> None:
    report = with_first(**changes)
    assert set(marked_segments(report).values()) == ({mark} if mark else set())
    colours = {one.colour for one in face_marks(report)}
    own = palette.rgb(palette.MARKS[mark]) if mark else None
    levels = {palette.rgb(palette.MARKS[m]) for m in ("error", "warning", "note", "accepted")}
    assert colours & levels == ({own} if own else set())
    assert any(r.name == "N1 unreached-surface" for r in remarks(report)), "told all the same"
    told = re.findall(r">(N1[^<]*)</text>", drawing(report))
    assert set(told) == ({words} if words else set())


def test_the_annotated_step_says_who_let_it_stay() -> None:
    (told,) = [r for r in remarks(with_first(accepted=KEPT)) if r.name.startswith("N1")]
    words = "accepted by manufacturing lead until 2027-06-30: is bored elsewhere"
    assert dict(told.attributes)["turnability standing"] == words


def test_the_page_lists_and_counts_them_apart() -> None:
    text = page(with_first(accepted=KEPT).document())
    assert re.search(r"<p>[^<]*\b1 accepted\b", text)
    assert "1 must change" not in text
    group = text.split('<div class="group" data-level="accepted">')[1].split("</div>")[0]
    assert 'data-finding="N1"' in group
    assert 'class="sign error accepted"' in group, "its shape still tells how grave it is"
    assert 'data-level="error"' not in text
    expired = page(with_first(accepted=PAST).document())
    assert "1 must change" in expired
    assert 'data-level="accepted"' not in expired


def test_what_the_project_alone_calls_an_error_does_not_speak_against_the_verdict() -> None:
    """The verdict is the rules' (README); beside it stands what the project makes of it."""
    report = housing_report()
    note = next(f for f in report.findings if f.level == "note")
    raised = replace(report, findings=(replace(note, counts_as="error"),))
    words = "by the project's levels 1 finding must change"
    html = page(raised.document())
    assert f"; {words.replace(chr(39), '&#x27;')}</p>" in html
    assert "<h3>Must change by the project&#x27;s levels</h3>" in html
    assert "<h3>Must change</h3>" not in html
    assert f"; {words}; shop: " in drawing(raised)
    both = page(replace(report, findings=(*report.findings[:1], *raised.findings)).document())
    assert "<h3>Must change</h3>" in both
    assert "<h3>Must change by the project&#x27;s levels</h3>" in both
    assert "the project lets" not in both
    assert "; the project lets 1 error stay</p>" in page(with_first(accepted=KEPT).document())
    assert "the project" not in page(report.document()).split("</header>")[0]
