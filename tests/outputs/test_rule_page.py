"""Rules explained: in text, and all on one page, from the rules themselves."""

from __future__ import annotations

import re
import runpy
import sys
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from turnability.errors import OutputUnwritable
from turnability.half_plane.curves import flatten_ring
from turnability.outputs import all_outputs
from turnability.outputs.rule_page import write_page
from turnability.outputs.rule_page.explain import explained, listed, nearest_rules, rule_named
from turnability.outputs.rule_page.page import page
from turnability.outputs.rule_page.shown import Shown, examples_of, good_and_bad
from turnability.outputs.rule_page.svg_sketch import svg_sketch
from turnability.outputs.rule_page.text_sketch import COLUMNS, MATERIAL, UNCUT, text_sketch
from turnability.rules.drawn import PIN, drawn_left, drawn_view
from turnability.rules.judge import Rule, all_rules, judge

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "document_rules"
METRIC = re.compile(r"\d (mm|m|k?g)(?![\w/])")


class Reader(HTMLParser):
    """Headings, words and what could fetch something; checks that tags nest."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        self.links += [given[name] for name in ("href", "src", "xlink:href") if name in given]
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.words += data


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    assert reader.open == []
    return reader


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.name)
class TestEveryRule:
    def test_explains_itself_in_lines_that_fit(self, rule: Rule) -> None:
        text = explained(rule, inch=False, width=80)
        one_line = " ".join(text.split())
        for words in (rule.name, rule.why, rule.limit, rule.basis, *rule.levels):
            assert " ".join(words.split()) in one_line
        assert max(map(len, text.splitlines())) <= 80
        good, bad = text.split("\nGood, passes: ")[1].split("\nBad, ")
        assert MATERIAL in good
        _, worst = good_and_bad(examples_of(rule))
        assert " ".join(worst.findings[0].message.split()) in " ".join(bad.split())

    def test_has_a_part_that_passes_and_the_worst_that_does_not(self, rule: Rule) -> None:
        good, bad = good_and_bad(examples_of(rule))
        assert good.verdict == "passes"
        assert rule.levels[0] in bad.verdict

    def test_a_part_that_passes_stands_for_itself(self, rule: Rule) -> None:
        """It is told first, alone, and says more than "a pin" where another says it better."""
        examples = examples_of(rule)
        good, _ = good_and_bad(examples)
        assert not good.text.startswith(("the same", "it "))
        alike = [one for one in examples if not one.findings and same_shape(one, good)]
        assert good.text == alike[-1].text

    def test_speaks_inch_in_an_inch_shop(self, rule: Rule) -> None:
        """All that people read of it: messages, changes, their basis, what is said without one."""
        for shown in examples_of(rule, inch=True):
            for finding in judge(shown.view, (rule,)).findings:
                change = "" if finding.change is None else finding.change.text
                basis = finding.basis.text
                for words in (finding.message, change, finding.otherwise or "", basis):
                    assert not METRIC.search(words), words
        text = explained(rule, inch=True, width=100)
        assert not METRIC.search(text)


def same_shape(one: Shown, other: Shown) -> bool:
    a, b = one.view.part.profile, other.view.part.profile
    return a == b


def rows_and_profile(shown: Shown) -> tuple[list[str], float]:
    lines = text_sketch(shown)
    axis = next(i for i, line in enumerate(lines) if line.startswith("- "))
    profile = shown.view.part.profile
    assert profile is not None
    rings = [flatten_ring(loop.ring, 0.01) for loop in profile.loops]
    area = sum(_area(ring) for ring in rings)
    return lines[:axis], area / (profile.length_mm * 0.5 * profile.max_diameter_mm)


def _area(ring: np.ndarray) -> float:
    """By the shoelace formula; cavities run clockwise and count against."""
    (x, y), (u, v) = ring.T, np.roll(ring, -1, axis=0).T
    return float(0.5 * np.sum(x * v - u * y))


@pytest.mark.parametrize(
    "shown",
    [shown for rule in all_rules() for shown in examples_of(rule) if shown.view.part.profile],
    ids=lambda shown: shown.text,
)
def test_letters_fill_what_the_part_fills(shown: Shown) -> None:
    """The share of cells against the section's area, to the width of a cell along its border."""
    rows, share = rows_and_profile(shown)
    columns = max(map(len, rows))
    assert columns <= COLUMNS
    filled = sum(row.count(MATERIAL) for row in rows) / (columns * len(rows))
    assert filled == pytest.approx(share, abs=0.12)


def test_what_is_left_and_where_is_shown() -> None:
    # PIN: a shoulder at z 18 of 30, ⌀16 to ⌀22; a region in its corner, smaller than a letter
    left = drawn_left(("S4",), [(18.0, 8.0), (18.2, 8.0), (18.0, 8.2)], ("nose-radius",), 0.1)
    lines = text_sketch(Shown("x", drawn_view(PIN, left=(left,)), ()))
    (row,) = [line for line in lines if UNCUT in line]
    columns = len(max(lines[:-1], key=len))
    assert row.index(UNCUT) / columns == pytest.approx(18.0 / 30.0, abs=1.0 / columns)


def test_the_list_names_every_rule() -> None:
    text = listed(80)
    assert [line.split(" ")[0] for line in text.splitlines() if line[:1].strip()][:-1] == [
        rule.name for rule in all_rules()
    ]


def test_names_may_be_typed_loosely() -> None:
    rule = rule_named(" Sharp_Inside_Corner ")
    assert rule is not None
    assert rule.name == "sharp-inside-corner"
    assert rule_named("x") is None
    assert nearest_rules("recess") == ("recess-behind-small-entry",)
    assert nearest_rules("no_land_to_gripp")[0] == "no-land-to-grip"
    assert len(nearest_rules("zzz")) == len(all_rules())


@pytest.mark.parametrize("inch", [False, True])
def test_the_page_holds_every_rule_and_needs_nothing_else(inch: bool) -> None:
    text = page(inch)
    reader = read(text)
    rules = all_rules()
    assert {rule.name for rule in rules} <= set(reader.ids)
    assert len(set(reader.ids)) == len(reader.ids)
    assert reader.links == [f"#{rule.name}" for rule in rules]
    assert "@import" not in text
    assert set(re.findall(r"url\(([^)]*)\)", text)) <= {f"#{name}" for name in reader.ids}
    assert text == page(inch)
    assert text.count("<svg ") == sum(len(rule.examples) for rule in rules)
    if inch:
        assert not METRIC.search(reader.words)
    for rule in () if inch else rules:
        assert rule.why in reader.words
        assert rule.limit in reader.words
        for shown in examples_of(rule):
            assert all(finding.message in reader.words for finding in shown.findings)


def test_a_sketch_is_true_to_scale() -> None:
    """The pin is 30 long and 22 across."""
    root = ET.fromstring(svg_sketch(Shown("pin", drawn_view(PIN), ()), 0))
    body = root.findall("{http://www.w3.org/2000/svg}path")[0].get("d") or ""
    points = np.array(re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", body), dtype=float)
    width, half = np.ptp(points, axis=0)
    assert width / half == pytest.approx(30.0 / 11.0, rel=1e-3)


def test_it_is_written_whole_and_is_no_output_of_reports(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "new" / "rules.html"
    monkeypatch.setattr(sys, "argv", [str(SCRIPT), str(target)])
    with pytest.raises(SystemExit) as left:
        runpy.run_path(str(SCRIPT), run_name="__main__")
    assert left.value.code == 0
    assert f"wrote {target}" in capsys.readouterr().out
    assert target.read_text("utf-8") == page()
    assert all(not str(target).endswith(output.SUFFIX) for output in all_outputs())
    monkeypatch.setattr(sys, "argv", [str(SCRIPT), str(target / "below.html")])
    with pytest.raises(SystemExit) as left:
        runpy.run_path(str(SCRIPT), run_name="__main__")
    assert left.value.code == 3
    with pytest.raises(OutputUnwritable):
        write_page(target / "below.html")
