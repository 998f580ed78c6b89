"""The site: text of files stays text, pages follow the run, feeds can be read."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.batch.test_run import SHOP
from tests.outputs.browser import browser, opened
from turnability.batch.compare import Row, counts_of
from turnability.batch.crib import Asked, Crib
from turnability.batch.find import PassedOver
from turnability.batch.memory import Entry, Memory, Run
from turnability.batch.model import Judged, Key, Result
from turnability.batch.run import Outcome, Wish
from turnability.batch.site import page_id, write_site
from turnability.batch.site.index import index_page
from turnability.rules.model import Basis, Finding, Where
from turnability.shop.load import load_shop


class NoHands:
    """Nobody is asked for anything."""

    def each(self, jobs: Iterable[Any], do: object, lost: object) -> Iterator[Any]:
        for job in jobs:
            raise AssertionError(job)
        yield from ()


HANDS = NoHands()
EVIL = '</script><script>alert("1")</script><img src=x onerror=alert(2)>&\'.step'


def finding(message: str) -> Finding:
    return Finding("rule-a", "error", message, Where(), Basis("basis", "geometry"))


def row(path: str, result: int, **more: object) -> Row:
    made = Row(path, result, 1, 1, "team", "turnable", 1, 0, 0, ("rule-a",), (finding(EVIL),), (),
               0, True, False, None, 3.0, None, None)  # fmt: skip
    return replace(made, **more)  # type: ignore[arg-type]


class Tags(HTMLParser):
    """The elements of a page and what would run."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.running: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append(tag)
        self.running += [name for name, _ in attrs if name.startswith("on")]


@pytest.fixture
def memory(tmp_path: Path) -> Memory:
    return Memory(tmp_path / "m.sqlite")


def put(memory: Memory, path: str) -> int:
    report = json.dumps({"source": {"path": "elsewhere.step"}})
    one = Judged(1, 1, "x", "turnable", (finding(EVIL),), document=report, drawing="<svg/>")
    return memory.put(Key(path, "", "", ""), Result((one,), None, 0.1))


def outcome(tmp_path: Path, rows: tuple[Row, ...], **wish: object) -> Outcome:
    (tmp_path / "shop.toml").write_text(SHOP)
    wished = replace(Wish(tmp_path, tmp_path), **wish)  # type: ignore[arg-type]
    shop = load_shop(tmp_path / "shop.toml")
    over = (PassedOver(EVIL, "<b>why</b>"),)
    return Outcome(wished, shop, rows, over, (EVIL,), None, 0.0, 1.0, 1, counts_of(rows))


def test_text_of_files_stays_text(tmp_path: Path, memory: Memory) -> None:
    rows = (row(EVIL, put(memory, "a")), row("plain.step", put(memory, "b"), owner=EVIL))
    run = memory.begin(None, True)
    memory.end(run, [Entry(EVIL, 1, "a", 1, 0)], json.dumps(counts_of(rows)))
    write_site(outcome(tmp_path, rows), memory, HANDS, tmp_path / "site")
    pages = sorted((tmp_path / "site").rglob("*.html"))
    assert len(pages) == 4
    for file in pages:
        tags = Tags(file.read_text(encoding="utf-8"))
        assert tags.found.count("script") == (2 if file.name == "index.html" else 0)
        assert set(tags.running) <= {"onsubmit"}
        assert all("src=x" not in file.name for _ in tags.found)
    text = (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
    data = re.search(r'id="rows">(.*?)</script>', text, re.DOTALL)
    assert data is not None
    assert [one["path"] for one in json.loads(data[1])] == [EVIL, "plain.step"]
    report = json.loads((tmp_path / "site" / "parts" / f"{page_id(rows[0])}.json").read_text())
    assert report["source"]["path"] == EVIL
    feed = json.loads((tmp_path / "site" / "feed.json").read_text())
    assert feed["version"] == "https://jsonfeed.org/version/1.1"
    assert EVIL in feed["items"][0]["content_text"]
    items = ElementTree.fromstring((tmp_path / "site" / "feed.xml").read_text()).findall(".//item")
    assert [EVIL in str(item.findtext("title")) for item in items] == [True]


def test_the_crib_is_sought_once_for_what_it_rests_on(
    tmp_path: Path, memory: Memory, monkeypatch: pytest.MonkeyPatch
) -> None:
    sought: list[Crib] = []

    def seek(self: Asked, weights: object, prove: object) -> Crib:
        first = self._titles[0]
        users = (("bar", 1, first), ("blade", 2, first))
        missed = (("bar", first),)
        sought.append(Crib(("bar", "blade"), users, missed, ("<b>",), 2, tuple(self._titles[:1])))
        return sought[-1]

    monkeypatch.setattr(Asked, "crib", seek)
    told: list[tuple[Crib, bool]] = []

    def write(*rows: Row) -> str:
        write_site(
            outcome(tmp_path, rows), memory, HANDS, tmp_path / "site",
            tell_crib=lambda crib, seconds: told.append((crib, seconds is None)),
        )  # fmt: skip
        return (tmp_path / "site" / "whole.html").read_text(encoding="utf-8")

    a, b = row("a.step", put(memory, "a")), row("b.step", put(memory, "b"))
    first = write(a, b)
    assert write(a, b) == first
    plain = re.sub(r"<[^>]+>", "", first)
    assert "2 tools: with these alone every part's route sheet is carried out" in plain
    assert "Without any one of 1 tool of these some part's sheet is worse. 1 tool was not" in plain
    assert "Spared of what the sheets name: &lt;b&gt;." in first
    assert "blade: 2 parts, one of them a.step" in plain
    assert plain.count("bar: a.step") == 2, "among those to own, and those of a single part"
    assert (len(sought), told) == (1, [(sought[0], False), (sought[0], True)])
    write(a)  # a part is gone
    write(row("moved.step", a.result), b)  # one has another name
    write(a, row("b.step", put(memory, "c")))  # one has another content
    assert [known for _, known in told[2:]] == [False, False, False]
    monkeypatch.setattr("turnability.batch.prove.program_id", lambda: "another program")
    write(a, b)
    assert len(sought) == 5
    memory.forget_unusable()  # for one part could not be proven
    write(a, b)
    assert len(sought) == 6


def test_pages_of_parts_that_are_gone_go_and_the_rest_is_not_written_again(
    tmp_path: Path, memory: Memory
) -> None:
    a, b = row("a.step", put(memory, "a")), row("b.step", put(memory, "b"))
    site = tmp_path / "site"
    write_site(outcome(tmp_path, (a, b)), memory, HANDS, site)
    kept = site / "parts" / f"{page_id(a)}.html"
    stamp = kept.stat().st_mtime_ns
    write_site(outcome(tmp_path, (b,), changed_since="main"), memory, HANDS, site)
    assert kept.is_file(), "a run over some parts takes nothing away"
    write_site(outcome(tmp_path, (a,)), memory, HANDS, site)
    assert kept.stat().st_mtime_ns == stamp
    assert {f.stem for f in (site / "parts").iterdir()} == {page_id(a)}
    write_site(outcome(tmp_path, (replace(a, errors=2),)), memory, HANDS, site)
    assert kept.stat().st_mtime_ns != stamp


def test_ten_thousand_parts_in_a_browser(tmp_path: Path) -> None:
    many = [
        row(f"f{i % 20}/part_{i:05}.step", 1, errors=i % 7, owner="pumps" if i % 2 else "sensors")
        for i in range(9_999)
    ]
    rows = (*many, row(EVIL, 1, verdict="not-turnable", owner=None, rules=()))
    ids = {one.title: page_id(one) for one in rows}
    counts = json.dumps({"errors": 1_234_567, "warnings": 2_345_678})
    runs = [Run(i, None, 0.0, 1.0, counts) for i in range(2)]
    file = tmp_path / "index.html"
    file.write_text(index_page(outcome(tmp_path, rows), runs, ids), encoding="utf-8")
    with browser() as made, opened(made, file) as tab:
        assert tab.inner_text("#count") == "10000 of 10000"
        ends = tab.evaluate(
            "[...document.querySelectorAll('svg text')].map(t => t.getBBox().x + t.getBBox().width)"
        )
        assert max(ends) <= 840.0, "the words beside the trend are not cut off"
        assert tab.locator("tbody tr").count() == 200
        tab.click("#more")
        assert tab.locator("tbody tr").count() == 400
        tab.select_option("#folder", "f3")
        assert tab.inner_text("#count") == "500 of 10000"
        tab.fill("#words", "part_00003")
        assert tab.inner_text("#count") == "1 of 10000"
        assert tab.locator("tbody a").get_attribute("href") == f"parts/{page_id(many[3])}.html"
        tab.fill("#words", "")
        tab.select_option("#folder", "")
        tab.click("th button[data-key=errors]")
        tab.click("th button[data-key=errors]")
        assert tab.inner_text("tbody tr >> nth=0 >> td >> nth=3") == "6"
        tab.select_option("#owner", "sensors")
        tab.select_option("#rule", "rule-a")
        assert tab.inner_text("#count") == "5000 of 10000"
        tab.select_option("#owner", "")
        tab.select_option("#rule", "")
        tab.select_option("#verdict", "not-turnable")
        assert tab.inner_text("tbody a") == EVIL


def test_a_first_run_has_no_earlier_one(tmp_path: Path, memory: Memory) -> None:
    rows = (row("plain.step", put(memory, "a")),)
    first = outcome(tmp_path, rows)
    assert first.since is None
    told = index_page(first, [], {"plain.step": "p"})
    assert "<h1>1 part</h1>\n<p>1 turnable; the first run. <a" in told
    assert "since the earlier run" not in told
    later = index_page(replace(first, since=Run(1, None, 0.0, 1.0, None)), [], {"plain.step": "p"})
    assert "new and 0 fixed findings since the earlier run. " in later


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_what_no_part_has_a_word_for_asks_for_no_column(tmp_path: Path, ground: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    plain = {"owner": None, "new": None, "fixed": None, "rules": ()}
    verdicts = ("turnable", "needs-changes", "not-turnable", "not-axisymmetric", "undetermined")
    rows = tuple(row(f"{v}.step", 1, verdict=v, **plain) for v in verdicts)
    rows += (row("broken.step", 1, verdict=None, minutes=None, failed="is damaged", **plain),)
    ids = {one.title: page_id(one) for one in rows}
    file = tmp_path / "index.html"
    file.write_text(index_page(outcome(tmp_path, rows), [], ids), encoding="utf-8")
    levels = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    with browser() as made, opened(made, file, color_scheme=ground) as tab:
        heads = [one.inner_text() for one in tab.locator("th:visible").all()]
        assert heads == ["Part", "Verdict", "Errors", "Warnings", "Minutes"]
        told = {one.inner_text() for one in tab.locator("tbody td:nth-child(2)").all()}
        assert {words[1:].strip() for words in told} == {
            "unusable", *(v.replace("-", " ") for v in verdicts)
        }  # fmt: skip
        assert len({words[0] for words in told}) == 6, "each verdict has a sign of its own shape"
        damaged = tab.locator("tbody tr", has_text="broken.step").locator("td:visible")
        assert damaged.all_inner_texts()[2:] == ["", "", ""], "nobody knows of any errors"
        assert tab.locator("#owner").is_hidden()
        assert tab.locator("#rule").is_hidden()
        found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": levels}})
        told = [(one["id"], one["nodes"][0]["html"]) for one in found.response["violations"]]
        assert told == []
