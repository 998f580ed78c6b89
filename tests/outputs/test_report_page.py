"""The report page as text: whole in itself, every text escaped, lengths marked, drawn true."""

from __future__ import annotations

import copy
import json
import math
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outputs.hostile import ATTACK, hostile
from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.outputs.report_page.page import page
from turnability.outputs.report_page.section import curve_of, section
from turnability.outputs.report_page.words import prose, rule_title
from turnability.report import Report

REPORTS = {"housing": housing_report(), "plate": plate_report(), "disc": disc_report()}
_VOID = ("meta", "br", "wbr", "input", "img", "link")


def document_of(report: Report) -> dict[str, Any]:
    """As a program reads it from the JSON file."""
    made: dict[str, Any] = json.loads(report.to_json())
    return made


class Tags(HTMLParser):
    """Every tag with its attributes' names, in order; checks that they nest."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, tuple[str, ...]]] = []
        self.values: list[tuple[str, str]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_startendtag(tag, attrs)
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if (tag, attrs) != ("wbr", []):  # of which a long name has as many as it likes
            self.seen.append((tag, tuple(name for name, _ in attrs)))
        self.values += [(name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def tags(text: str) -> Tags:
    read = Tags()
    read.feed(text)
    read.close()
    assert read.open == []
    return read


@pytest.mark.parametrize("name", REPORTS)
def test_one_file_that_asks_no_host_for_anything(name: str) -> None:
    document = document_of(REPORTS[name])
    made = page(document)
    read = tags(made)
    fetched = [v for k, v in read.values if k in ("src", "href", "xlink:href", "action", "data")]
    assert set(fetched) <= {"#content"}
    assert set(re.findall(r"url\(([^)]*)\)", made)) <= {
        f"#{kind}{what}"
        for kind, what in [("in-part", "")]
        + [("", f"{n}-hatch") for n in ("cut", "left", "grip", "hit")]
        + [("key-", n) for n in ("left", "grip", "hit")]
    }
    assert "@import" not in made
    assert "default-src 'none'" in made
    assert len(made.encode()) < 2_000_000
    later = {**document, "timings_s": {}}
    assert made == page(later), "the same part gives the same page, however long it took"
    ids = [v for k, v in read.values if k == "id"]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", REPORTS)
def test_text_from_files_stays_text(name: str) -> None:
    """With an attack in every free text there are no other tags or attributes than without."""
    document = document_of(REPORTS[name])
    attacked = copy.deepcopy(document)
    hostile(attacked)
    plain, made = tags(page(document)), tags(page(attacked))
    assert made.seen == plain.seen
    shown = ATTACK.replace("\u2028", "?")
    assert any(shown.split(">")[0] in words for words in made.words)
    data = re.search(r'id="report">(.*?)</script>', page(attacked), re.DOTALL)
    assert data
    attacked.pop("timings_s")
    assert json.loads(data[1]) == attacked, "the page's script reads the very same report"


@pytest.mark.parametrize("name", ["housing", "disc"])
def test_everything_of_the_report_is_there(name: str) -> None:
    document = document_of(REPORTS[name])
    read = tags(page(document))
    words = re.sub(r"\s+", " ", "".join(read.words))
    for finding in document["findings"]:
        assert finding["message"] in words
        assert ("data-finding", finding["id"]) in read.values
    for assumed in document["assumptions"]:
        assert assumed["assumed"] in words
        assert assumed["how_to_state"] in words
    for kind, key in (("feature", "features"), ("departure", "departures")):
        for one in document[key]:
            assert (f"data-{kind}", one["id"]) in read.values
    for entry in (document["reach"] or {"tools": []})["tools"]:
        assert ("data-tool", entry["tool"]) in read.values


def test_what_was_assumed_stands_before_the_findings() -> None:
    document = document_of(housing_report())
    document["assumptions"] = [
        {"what": "edges", "assumed": "broken", "why": "burrs", "how_to_state": "edges_mm"}
    ]
    made = page(document)
    assert made.index('class="verdict') < made.index('class="assumed') < made.index('id="findings"')
    document["assumptions"] = []
    assert "Nothing: all that the rules ask for is stated." in page(document)


@pytest.mark.parametrize("name", ["housing", "disc"])
def test_the_section_is_drawn_in_mm(name: str) -> None:
    """Each segment stands twice, at its own z and r, above the axis and mirrored below it."""
    document = document_of(REPORTS[name])
    root = ET.fromstring(section(document))
    pieces = [s for loop in document["profile"]["loops"] for s in loop["segments"]]
    drawn = [e for e in root.iter("path") if e.get("data-segment")]
    assert len(drawn) == 2 * sum(s["surface"] != "axis" for s in pieces)
    by_id = {s["id"]: s for s in pieces}
    for element in drawn:
        piece = by_id[element.get("data-segment") or ""]
        numbers = [
            float(n) for n in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", element.get("d") or "")
        ]
        assert numbers[:2] == pytest.approx([piece["start"][0], -piece["start"][1]], abs=1e-3)
        assert numbers[-2:] == pytest.approx([piece["end"][0], -piece["end"][1]], abs=1e-3)
    (face,) = [e for e in root.iter("path") if e.get("class") == "cut-face"][:1]
    assert (face.get("d") or "").count("Z") == len(document["profile"]["loops"])


def test_arcs_turn_the_way_they_do_in_the_report() -> None:
    """On the sheet y runs down and r up: an arc that runs clockwise in (z, r) does so there too."""
    for clockwise in (True, False):
        one = {
            "kind": "arc", "start": [0.0, 5.0], "end": [5.0, 10.0] if clockwise else [5.0, 0.0],
            "centre": [5.0, 5.0], "radius_mm": 5.0, "clockwise": clockwise,
        }  # fmt: skip
        z, r = curve_of(one).at(0.5)
        half = 5.0 / math.sqrt(2.0)
        assert z == pytest.approx(5.0 - half)
        assert r == pytest.approx(5.0 + half if clockwise else 5.0 - half)


@pytest.mark.parametrize("share", [0.02, 0.05, 0.1, 0.2, 0.4, 0.6])
@pytest.mark.parametrize("radius", [2.5, 20.0, 400.0])
def test_a_concave_rounding_is_seen_from_outside(radius: float, share: float) -> None:
    """Its chords run outside it, by more than what parts seen from hidden on a large drawing."""
    height, rise = 4.0 * radius, share * radius
    across = math.sqrt(radius**2 - (radius - rise) ** 2)
    profile = {
        "length_mm": 4.0 * radius,
        "max_diameter_mm": 2.0 * (height + rise),
        "loops": [{"role": "outline", "segments": [
            line("S1", (0, 0), (4 * radius, 0), "axis"),
            line("S2", (4 * radius, 0), (4 * radius, height + rise), "end"),
            line("S3", (4 * radius, height + rise), (radius + across, height + rise), "outer"),
            {**line("S4", (radius + across, height + rise), (radius, height), "outer"),
             "kind": "arc", "centre": [radius, height + radius], "radius_mm": radius,
             "clockwise": True},
            line("S5", (radius, height), (0, height), "outer"),
            line("S6", (0, height), (0, 0), "end"),
        ]}],
    }  # fmt: skip
    drawn = section({"profile": profile, "reach": None, "departures": []})
    hidden = re.findall(r'class="seg mirror within" data-segment="(S\d)"', drawn)
    assert hidden == []


def line(name: str, start: tuple[float, float], end: tuple[float, float], surface: str) -> Any:
    return {"id": name, "kind": "line", "start": [*start], "end": [*end], "surface": surface}


def test_without_a_profile_there_is_no_section() -> None:
    assert section(document_of(plate_report())) == ""
    assert "<svg id=" not in page(document_of(plate_report()))


@pytest.mark.parametrize(
    ("words", "marked"),
    [
        ("z 30 to 70 mm, 4 mm deep", [("30,70", "30 to 70 mm"), ("4", "4 mm")]),
        ("⌀110 × 120 mm", [("110,120", "110 × 120 mm")]),
        ("6412 mm³ stays", [("6412", "6412 mm³")]),
        ("hot rolled bar 110, which", []),
        ("0.2 mm/rev", []),
        ("a DIN 509 form", []),
    ],
)
def test_lengths_within_sentences_are_marked(words: str, marked: list[tuple[str, str]]) -> None:
    found = re.findall(
        r'<span class="q" data-mm="([^"]*)"[^>]*>([^<]*)</span>', prose(words, False)
    )
    assert found == marked


def test_inch_sentences_are_marked_in_mm() -> None:
    """25.4 mm to the inch, by definition."""
    assert 'data-mm="12.7"' in prose("deeper than 0.5 in here", True)
    assert "span" not in prose("cut 3 in the part", True)


@given(st.text(max_size=60), st.booleans())
def test_marking_changes_no_word(words: str, inch: bool) -> None:
    read = Tags()
    read.feed(f"<p>{prose(words, inch)}</p>")
    read.close()
    shown = "".join(c if c.isprintable() else "?" for c in words)
    assert "".join(read.words) == shown
    assert {tag for tag, _ in read.seen} <= {"p", "span"}


def test_how_findings_stand_against_an_earlier_report() -> None:
    """The block that a run with a baseline puts into the document."""
    document = document_of(housing_report())
    first, *others = document["findings"]
    first.update(
        state="new",
        accepted={"reason": "for trial only", "by": "lead", "until": "2027-01-31", "expired": True},
    )
    for other in others:
        other["state"] = "unchanged"
    gone = {**copy.deepcopy(first), "id": "N7", "message": "Was too thin.", "state": None}
    document["baseline"] = {
        "path": "old/rev 1.json", "sha256": "0" * 64, "turnability_version": "0.1.0",
        "source_sha256": None, "same_shop": False, "fixed": [gone], "not_judged": [],
    }  # fmt: skip
    words = re.sub(r"\s+", " ", " ".join(tags(page(document)).words))
    assert f": 1 new, {len(others)} unchanged, 1 fixed." in words
    assert "rev 1.json" in words
    assert "It was made with another shop file." in words
    assert "Was too thin." in words
    assert "acceptance expired, until 2027-01-31, lead: for trial only" in words


def test_a_change_is_told_once_in_the_sentence_that_asks_for_it() -> None:
    document = json.loads(housing_report().to_json())
    first = copy.deepcopy(document["findings"][0])
    first["change"]["text"] = "Draw a radius of 2.5 mm."
    first["message"] = "It is sharp. Draw a radius of 2.5 mm, or a relief. So would a cone. Mind."
    html = page({**document, "findings": [first]})
    shown = re.sub(r"<(?!/?p)[^>]*>", "", html)
    assert "<p>It is sharp.</p>" in shown
    assert '<p class="change">Draw a radius of 2.5 mm, or a relief. (' in shown
    assert "<p>So would a cone. Mind.</p>" in shown
    first["message"] = "It is sharp."
    shown = re.sub(r"<(?!/?p)[^>]*>", "", page({**document, "findings": [first]}))
    assert '<p class="change">Draw a radius of 2.5 mm. (' in shown


def test_of_several_changes_each_is_told_as_proven() -> None:
    document = document_of(REPORTS["housing"])
    one = next(f for f in document["findings"] if f["change"] and f["change"]["proven"])
    other = "Or split the part at z 9 mm and join the halves."
    one["message"] = f"{one['message']} {other}"
    told = "".join(tags(page(document)).words)
    assert "each of them proven by" not in told
    one["other_changes"] = [{**one["change"], "text": other.removeprefix("Or ")}]
    told = "".join(tags(page(document)).words)
    assert told.index(other) < told.index("(each of them proven by")


def test_what_another_finding_says_already_is_folded() -> None:
    """Of one rule at several places the first stands at length; each keeps its own words."""
    document = copy.deepcopy(json.loads(housing_report().to_json()))
    first = document["findings"][0] | {"level": "warning", "counts_as": "warning"}
    again = {**copy.deepcopy(first), "id": "N7", "message": "Said of another place."}
    accepted = {"reason": "r", "by": "b", "until": "2027-01-01", "expired": False}
    other = {**copy.deepcopy(first), "id": "N8", "accepted": accepted}
    document["findings"] = [first, again, other]
    items = page(document).split('<li class="finding">')[1:]
    folded = ["<details>" in item.split("</li>")[0] for item in items]
    assert folded == [False, True, False]
    assert f"<summary>As {first['id']}: " in items[1]
    assert "Said of another place." in items[1]
    bare = [first | {"change": None}, again | {"change": None}]
    item = page({**document, "findings": bare}).split('<li class="finding">')[2]
    assert "<details data-own><summary>As N1, in its own words</summary>" in item, "paper opens it"
    errors = [one | {"level": "error", "counts_as": "error"} for one in bare]
    item = page({**document, "findings": errors}).split('<li class="finding">')[2]
    assert "<details" not in item.split("</li>")[0]


def test_a_file_name_breaks_between_its_words() -> None:
    document = copy.deepcopy(json.loads(housing_report().to_json()))
    document["source"]["path"] = "/x/sw_<b>-1..v2.step"
    assert "sw_<wbr>&lt;b&gt;-<wbr>1..<wbr>v2.<wbr>step <small>" in page(document)


def test_rules_that_passed_are_told_at_once_after_all_others() -> None:
    document = copy.deepcopy(json.loads(housing_report().to_json()))
    passed, found, crashed, odd = (
        {"rule": rule, "status": status, "reason": reason}
        for rule, status, reason in (
            ("needs-cnc", "passed", None),
            ("whip", "found", None),
            ("thin-wall", "crashed", "KeyError: 1"),
            ("flat-bottom", "of-tomorrow", None),
        )
    )
    document["rules"] = [passed, found, {**passed, "rule": "deep-hole"}, crashed, odd]
    table = page(document).split("<h2>Rules</h2>")[1].split("</table>")[0]
    rows = [re.sub("<[^>]*>+", "|", row) for row in table.split("<tbody>")[1].split("</tr>")[:-1]]
    assert [re.sub(r"\|+", "|", row) for row in rows] == [
        "|Thin wall|crashed|KeyError: 1|",
        "|Whip|found|–|",
        "|Flat bottom|of tomorrow|–|",
        "|All others|passed|Needs CNC, Deep hole|",
    ]


def test_a_heading_keeps_capitals_that_people_write() -> None:
    assert [rule_title(rule) for rule in ("needs-cnc", "thin-wall")] == ["Needs CNC", "Thin wall"]


@pytest.mark.parametrize(("inch", "least"), [(False, "0.001 mm"), (True, "0.0001 in")])
def test_what_bends_less_than_anybody_tells_is_not_told_as_nothing(inch: bool, least: str) -> None:
    document = copy.deepcopy(json.loads(housing_report().to_json()))
    document["inputs"]["shop"]["units"] = "inch" if inch else "mm"
    values = {"force_n": 63.0, "unsupported_length_mm": 2.0, "length_to_diameter": 0.02}
    values |= {"worst_diametral_error_mm": 0.0007, "at_z_mm": 966.6667}
    document["setups"][0]["bending"] = values
    words = re.sub("<[^>]*>", "", page(document))
    z = "38.0591 in" if inch else "966.7 mm"
    assert f"Bends by less than {least} on diameter at worst, at z {z}: 63 N across" in words
    assert "free, under a tenth of its diameter." in words


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize(("ground", "begin"), [("light", ":root {"), ("dark", "prefers-color")])
def test_lines_of_the_drawing_stand_out_from_the_paper(ground: str, begin: str) -> None:
    """At least 3 to 1, WCAG 2.2 success criterion 1.4.11; relative luminance as defined there."""
    style = page(document_of(housing_report())).split("<style>")[1].split("</style>")[0]
    # the marks' colours stand before, those of the sheet after the query for paper
    values: dict[str, str] = {}
    for block in re.findall(re.escape(begin) + r"[^}]*(?:\{[^}]*\})?", style)[:2]:
        values.update(re.findall(r"--([\w-]+): ([^;]+);", block))
    lines = ["reached", "done", "focus", "jaw-edge", "tool-edge", "tip", "ink", "faint"]
    lines += ["error", "warning-line", "uncut", "note", "accepted"]
    for name in lines:
        colour = values[name]
        if colour.startswith("var("):
            colour = values[colour[6:-1]]
        a, b = (_luminance(one) + 0.05 for one in (colour, values["sheet"]))
        assert max(a, b) / min(a, b) >= 3.0, f"{name} on a {ground} page"
