"""JUnit XML, Markdown and CSV: readable by their readers, with words that stay words."""

from __future__ import annotations

import csv as csv_module
import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt  # rich brings it

from tests.outputs.sample import disc_report, housing_report, plate_report
from tests.outputs.test_sarif import standing_report
from turnability.outputs.formats import csv, junit, markdown
from turnability.report import Report
from turnability.rules.model import RuleStatus

REPORTS = [housing_report(), plate_report(), disc_report(), standing_report()]
# The Jenkins project's schema of JUnit XML (xunit-plugin, junit-10.xsd): children and attributes
# of each element; * marks those that must be there.
JUNIT = {
    "testsuites": ({"testsuite"}, {"name", "time", "tests", "failures", "errors"}),
    "testsuite": (
        {"testsuite", "properties", "testcase", "system-out", "system-err"},
        {
            "name*", "tests*", "failures*", "errors*", "group", "time", "skipped", "timestamp",
            "hostname", "id", "package", "file", "log", "url",
        },
    ),
    "properties": ({"property"}, set()),
    "property": (set(), {"name*", "value*"}),
    "testcase": (
        {"skipped", "error", "failure", "system-out", "system-err"},
        {"name*", "time", "classname", "group"},
    ),
    "failure": (set(), {"type", "message"}),
    "error": (set(), {"type", "message"}),
    "skipped": (set(), {"type", "message"}),
    "system-out": (set(), set()),
}  # fmt: skip
HOSTILE = '=cmd|"/C calc"!A0 <script>alert(1)</script> @here #12 |x| [a](http://evil.example) `b`'


def junit_of(report: Report, folder: Path) -> ET.Element:
    junit.write(report, folder / "x.xml")
    return ET.fromstring((folder / "x.xml").read_text("utf-8"))


def hostile(report: Report, words: str) -> Report:
    """The report with such words wherever a file may put words."""
    source = replace(report.part.source, path=f"{words.replace('/', '-')}.step")
    part = replace(report.part, source=source)
    findings = tuple(replace(f, message=words) for f in report.findings)
    return replace(report, part=part, findings=findings, shop_name=words)


@pytest.mark.parametrize("report", REPORTS)
def test_junit_keeps_to_the_schema(report: Report, tmp_path: Path) -> None:
    root = junit_of(report, tmp_path)
    assert root.tag == "testsuites"
    for element in root.iter():
        children, attributes = JUNIT[element.tag]
        assert {child.tag for child in element} <= children
        assert set(element.attrib) <= {name.rstrip("*") for name in attributes}
        assert {name.rstrip("*") for name in attributes if name.endswith("*")} <= set(
            element.attrib
        )
    for suite in root.iter("testsuite"):
        assert int(suite.get("tests", "")) == len(suite.findall("testcase"))
        for key, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
            assert int(suite.get(key, "")) == len(suite.findall(f"testcase/{tag}"))
    names = [(case.get("classname"), case.get("name")) for case in root.iter("testcase")]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(("fail_on", "failures"), [("error", 1), ("warning", 2), ("never", 0)])
def test_junit_fails_as_the_command_line_does(fail_on: str, failures: int, tmp_path: Path) -> None:
    report = replace(housing_report(), options={"fail_on": fail_on})
    root = junit_of(report, tmp_path)
    assert len(root.findall(".//failure")) == failures
    assert report.fails is (failures > 0)


@pytest.mark.parametrize(("solids", "name"), [(1, "float_housing"), (3, "float_housing.2")])
def test_junit_names_the_solid_where_there_are_several(
    solids: int, name: str, tmp_path: Path
) -> None:
    report = housing_report()
    source = replace(report.part.source, solid=2 if solids > 1 else 1, solids=solids)
    root = junit_of(replace(report, part=replace(report.part, source=source)), tmp_path)
    (suite,) = root.findall("testsuite")
    assert suite.get("name") == name


def test_junit_tells_what_was_not_judged_crashed_or_accepted(tmp_path: Path) -> None:
    root = junit_of(standing_report(), tmp_path)
    assert [e.get("message") for e in root.findall(".//skipped")] == ["the shop states no machine"]
    assert [e.get("message") for e in root.findall(".//error")] == ["KeyError: {0}"]
    assert not root.findall(".//failure")
    said = [element.text or "" for element in root.findall(".//system-out")]
    assert "accepted by lead until 2027-06-30: by hand" in said[0]
    assert "turned off by the project" in said[1]
    assert "expired after 2027-06-30" in said[2]


def test_junit_names_stay_when_features_and_findings_are_numbered_anew(tmp_path: Path) -> None:
    report = housing_report()
    anew = tuple(
        replace(f, id=f"N{i + 40}", where=replace(f.where, features=("F99",)))
        for i, f in enumerate(report.findings)
    )
    names = [case.get("name") for case in junit_of(report, tmp_path).iter("testcase")]
    again = junit_of(replace(report, findings=anew), tmp_path).iter("testcase")
    assert [case.get("name") for case in again] == names


def test_junit_holds_any_words(tmp_path: Path) -> None:
    root = junit_of(hostile(housing_report(), HOSTILE + " ]]> & \x00\x1b\ud800"), tmp_path)
    failure = root.find(".//failure")
    assert failure is not None
    assert "<script>alert(1)</script>" in (failure.get("message") or "")


class _Text(HTMLParser):
    """Text and tags of a rendered page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert tag != "a"

    def handle_data(self, data: str) -> None:
        self.text += data


def rendered(text: str) -> _Text:
    """As a reader shows it (markdown-it-py: CommonMark with tables and strikethrough)."""
    page = _Text()
    page.feed(MarkdownIt("gfm-like", {"linkify": False}).render(text))
    page.close()
    return page


@pytest.mark.parametrize("report", REPORTS)
def test_markdown_is_headings_tables_and_plain_words(report: Report, tmp_path: Path) -> None:
    markdown.write(report, tmp_path / "x.md")
    page = rendered((tmp_path / "x.md").read_text("utf-8"))
    allowed = {"h3", "p", "strong", "table", "thead", "tbody", "tr", "th", "td", "br", "ul", "li"}
    assert set(page.tags) <= allowed
    shown = page.text.replace("\u2060", "")
    for finding in report.findings:
        assert finding.rule in shown
    assert ("table" in page.tags) is bool(report.findings)
    # what was not judged or crashed is never left out: nothing unknown passes for passed
    open_ = [s for s in report.rules if s.status in ("not-judged", "crashed")]
    assert ("Not judged" in shown) is bool(open_)
    for status in open_:
        assert f"{status.rule} ({status.status}): {status.reason}" in shown
    assert ("Caution" in shown) is bool(report.setups)


def test_markdown_tells_baseline_and_decisions(tmp_path: Path) -> None:
    markdown.write(standing_report(), tmp_path / "x.md")
    text = rendered((tmp_path / "x.md").read_text("utf-8")).text
    assert "Against old.json: 2 new, 1 unchanged, 1 fixed, 1 no longer judged" in text
    for title in ("Accepted (1)", "Turned off (1)", "Better changed (1)", "Fixed (1)"):
        assert title in text


@given(st.text(max_size=40))
@example(HOSTILE)
@example("1. x")
@example("- x")
@example("+ x")
@example("12) x")
@example("www.evil.example a@evil.example http://evil.example :smile: GH-12 #1 @x ~~y~~ $z$")
@example("a\nb\r\nc\x0bd\x85e")
@example("\\| \\\\| &lt; &amp;")
@example("---")
@example("===")
def test_any_words_stay_words_in_markdown(words: str) -> None:
    """Rendered alone and within a table cell they show just themselves, and no tag is made."""
    shown = " ".join(
        re.sub("[^\t\n\r\x20-\ud7ff\ue000-\U0010ffff]|[\ufffe\uffff]", "\ufffd", words).split()
    )
    for text, tags in (
        (markdown.escaped(words), {"p", "br"}),
        (f"|a|b|\n|---|---|\n|{markdown.escaped(words)} |c|", set()),
    ):
        page = rendered(text)
        if tags:
            assert set(page.tags) <= tags
            told = page.text
        else:
            assert page.tags[:8] == ["table", "thead", "tr", "th", "th", "tbody", "tr", "td"]
            assert page.tags[-1] == "td"
            assert set(page.tags[8:-1]) <= {"br"}
            assert page.tags.count("tr") == 2
            told = page.text.partition("b\n")[2].rpartition("c")[0]
        assert "".join(told.replace("\u2060", "").split()) == "".join(
            shown.replace("\u2060", "").split()
        )


@pytest.mark.parametrize("call", ["@team", "#12", "!3", "www.example.org", "GH-7", ":smile:"])
def test_nothing_is_called_in_markdown(call: str) -> None:
    """No reader finds a name, a reference or an address in the text that it renders."""
    assert call not in rendered(markdown.escaped(f"a {call} b")).text


def rows_of(report: Report, folder: Path) -> list[dict[str, str]]:
    csv.write(report, folder / "x.csv")
    text = (folder / "x.csv").read_bytes().decode("utf-8")
    assert text.count("\r\n") == text.count("\n") or '"' in text
    return list(csv_module.DictReader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("report", REPORTS)
def test_csv_has_a_row_for_each_finding(report: Report, tmp_path: Path) -> None:
    rows = rows_of(report, tmp_path)
    fixed = list(report.baseline.fixed) if report.baseline else []
    assert [row["id"] for row in rows] == [f.id for f in (*report.findings, *fixed)]
    for row, finding in zip(rows, report.findings, strict=False):
        assert row["rule"] == finding.rule
        assert row["message"] == finding.message
        if finding.where.z_mm is not None:
            assert float(row["z_low_mm"]) == pytest.approx(finding.where.z_mm[0], abs=1e-6)
        assert (row["measured"] == "") is (finding.measured is None)
    assert [row["state"] for row in rows][len(report.findings) :] == ["fixed"] * len(fixed)


@given(st.text(max_size=20))
@example("=1+1")
@example(" =1+1")
@example("+1")
@example("-1")
@example("@SUM(A1)")
@example("\t=1")
@example("\r=1")
@example("＝1")
@example('"=1')
@example("")
def test_no_words_are_a_formula(words: str) -> None:
    """Whatever words a file brings, no cell of the row begins as a formula does (OWASP's list)."""
    report = housing_report()
    finding = replace(report.findings[0], message=words, change=None, unit=words or None)
    text = io.StringIO(newline="")
    row = csv._cells(csv._row(replace(report, findings=(finding,)), finding, None, "f"))
    csv_module.writer(text).writerow(row)
    (back,) = csv_module.reader(io.StringIO(text.getvalue(), newline=""))
    assert back == row
    for cell in back:
        assert cell[:1] not in tuple("=+-@\t\r\n＝＋－＠")
        assert cell.lstrip()[:1] not in tuple("=+-@＝＋－＠")
    assert words == "" or csv.clean(words) in back[csv.COLUMNS.index("message")]


def test_a_rule_that_could_not_judge_is_no_pass_in_junit(tmp_path: Path) -> None:
    report = replace(disc_report(), rules=(RuleStatus("long-slender", "not-judged", "no plan"),))
    (case,) = junit_of(report, tmp_path).iter("testcase")
    assert case.find("skipped") is not None
