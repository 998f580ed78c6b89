"""The report page in headless Chromium: every control used, no complaint, nothing asked for."""

from __future__ import annotations

import copy
import itertools
import json
import math
import re
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from tests.outputs.browser import browser, opened
from tests.outputs.hostile import hostile
from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.analysis.stages import walk
from turnability.outputs.report_page.page import page
from turnability.outputs.route_sheet.page import page as route_page
from turnability.outputs.route_sheet.route import route_of
from turnability.outputs.rule_page import write_page
from turnability.outputs.shop_sheet.page import page as shop_page
from turnability.part.apart.mesh import mesh_of
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop
from turnability.units import length_text, mass_text

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
Json = dict[str, Any]

CHANGED = """() => {
  const {innerHTML: head} = document.querySelector('header');
  const {innerHTML: main} = document.querySelector('main');
  const round = document.activeElement?.closest('#round');
  const now = JSON.stringify([
    head, main, {...document.documentElement.dataset}, window.printed,
    [...document.querySelectorAll('input')].map((i) => [i.checked, i.value]),
    round ? document.querySelector('canvas').toDataURL() : '',
  ]);
  const changed = now !== window.before;
  window.before = now;
  return changed;
}"""


@pytest.fixture(scope="module")
def chrome() -> Iterator[Any]:
    with browser() as made:
        yield made


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory, reports_of: Any) -> tuple[Json, Path]:
    """The demo housing's document and its page with the solid's own mesh."""
    (report,) = reports_of(FIXTURES / "float_housing.step")
    document = json.loads(report.to_json())
    file = tmp_path_factory.mktemp("page") / "float housing ä.html"
    file.write_text(page(document, mesh_of(report.part)), encoding="utf-8")
    return document, file


@pytest.fixture(scope="module")
def spindle(tmp_path_factory: pytest.TempPathFactory, reports_of: Any) -> Path:
    """The page of the demo's long shaft, which has much to say of small places."""
    (report,) = reports_of(FIXTURES / "winch_spindle.step")
    file = tmp_path_factory.mktemp("spindle") / "spindle.html"
    file.write_text(page(json.loads(report.to_json()), mesh_of(report.part)), encoding="utf-8")
    return file


def marked(tab: Any, kind: str) -> set[str]:
    found = tab.locator(f"#section .seg.{kind}").evaluate_all("l => l.map(e => e.dataset.segment)")
    return set(found)


def caption(tab: Any) -> str:
    return str(tab.text_content("#caption"))


def see_round(tab: Any) -> None:
    tab.locator("#view").scroll_into_view_if_needed()
    tab.wait_for_selector("#view[data-ready=yes]")


# Each control in turn, with what makes room for it to do something; those that did nothing.
DEAD = """([selector, before]) => {
  const dead = [];
  for (const control of document.querySelectorAll(selector)) {
    for (const id of before[control.id] || []) document.getElementById(id).click();
    window.changed();
    control.click();
    if (!window.changed()) dead.push(control.outerHTML.slice(0, 200));
  }
  return dead;
}"""


def test_every_control_does_something(chrome: Any, made: tuple[Json, Path]) -> None:
    _, file = made
    with opened(chrome, file) as tab:
        tab.evaluate(f"window.changed = {CHANGED}")
        assert tab.evaluate(DEAD, ["summary", {}]) == []
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        others = (
            "header button, main button:not([id^=view-]), main input[type=checkbox]:not(#view-cut)"
        )
        assert tab.locator(others).count() > 150
        undoing = {"whole": ["closer"], "step-back": ["step-on", "step-on"]}
        assert tab.evaluate(DEAD, [others, undoing]) == []
        assert tab.evaluate(DEAD, ["[value=inch], [value=light], [value=dark]", {}]) == []
        assert tab.locator("header input").count() == 5
        assert tab.evaluate(DEAD, ["[value=mm], [value=auto]", {}]) == []
        see_round(tab)
        tab.focus("#view-left")
        again = {"view-reset": ["view-left", "view-cut"]}
        assert tab.evaluate(DEAD, ["#round button, #round input", again]) == []


def test_a_finding_shows_its_place(chrome: Any, made: tuple[Json, Path]) -> None:
    document, file = made
    with opened(chrome, file) as tab:
        for finding in document["findings"]:
            button = tab.locator(f"button[data-finding={finding['id']}]")
            button.click()
            assert button.get_attribute("aria-pressed") == "true"
            assert marked(tab, "on") == set(finding["where"]["segments"])
            assert finding["message"] in caption(tab)
            assert tab.locator("[aria-pressed=true]").count() == 1
        button.click()
        assert marked(tab, "on") == set()
        # the sign in the drawing does the same
        tab.locator("#section .tag", has_text="N1").first.click()
        assert caption(tab).startswith("N1,")


def test_lengths_in_inch_at_a_click_and_back(chrome: Any, made: tuple[Json, Path]) -> None:
    """25.4 mm to the inch, by definition."""
    document, file = made
    with opened(chrome, file) as tab:
        before = tab.inner_text("body")
        tab.check("[value=inch]")
        size = f"{document['profile']['max_diameter_mm'] / 25.4:.4f}".rstrip("0")
        assert f"⌀{size} in" in tab.inner_text("header dl")
        first = document["findings"][0]
        assert first["rule"] == "recess-behind-small-entry"
        words = tab.locator(".finding").first.inner_text()
        assert f"deep behind an entry of ⌀{44 / 25.4:.4f} in" in words
        assert "mm" not in words
        tab.check("[value=mm]")
        assert tab.inner_text("body") == before


def test_long_bars_in_inch_have_two_decimals(chrome: Any, made: tuple[Json, Path]) -> None:
    """As the other outputs tell it: 3 m are 118.11 in, 10 mm 0.3937 (25.4 mm an inch, exactly)."""
    words = resources.files("turnability.outputs.report_page") / "script" / "1_words.js"
    with opened(chrome, made[1]) as tab:
        then = "inch = true; return [lengthText(3000), lengthText(10)];"
        told = tab.evaluate(f"(() => {{ {words.read_text('utf-8')}; {then} }})()")
    assert told == [length_text(3000.0, True), length_text(10.0, True)]


def test_masses_in_pounds_where_lengths_are_in_inch(chrome: Any, made: tuple[Json, Path]) -> None:
    """1 lb is 0.45359237 kg and 16 oz (international agreement of 1959): as Python tells them."""
    masses = [0.009, 0.0283, 0.2, 0.4535, 0.791, 0.9994, 0.9996, 6.513]
    words = resources.files("turnability.outputs.report_page") / "script" / "1_words.js"
    for inch in (False, True):
        then = f"inch = {str(inch).lower()}; return {masses}.map(massText);"
        with opened(chrome, made[1]) as tab:
            told = tab.evaluate(f"(() => {{ {words.read_text('utf-8')}; {then} }})()")
        assert told == [mass_text(one, inch) for one in masses]


def test_an_inch_shop_reads_inch_first(
    chrome: Any, made: tuple[Json, Path], tmp_path: Path
) -> None:
    document = copy.deepcopy(made[0])
    document["inputs"]["shop"]["units"] = "inch"
    file = tmp_path / "inch.html"
    file.write_text(page(document), encoding="utf-8")
    with opened(chrome, file) as tab:
        assert f"⌀{110 / 25.4:.4f} in" in tab.inner_text("header dl")
        tab.check("[value=mm]")
        assert "⌀110 mm" in tab.inner_text("header dl")


def test_a_tool_shows_what_it_cuts(chrome: Any, made: tuple[Json, Path]) -> None:
    document, file = made
    with opened(chrome, file) as tab:
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        for entry in document["reach"]["tools"][::6]:
            tab.locator(
                f"button[data-tool='{entry['tool']}'][data-toward={entry['toward_chuck']}]"
            ).evaluate("b => b.click()")
            assert marked(tab, "reached") == set(entry["reached_segments"])
            assert f"cuts {len(entry['reached_segments'])} of" in caption(tab)


def part_on_both_sides(document: Json) -> Any:
    """The outline as a polygon, arcs in fine chords: shapely's word against the page's."""
    points: list[tuple[float, float]] = []
    for one in document["profile"]["loops"][0]["segments"]:
        if one["kind"] == "arc":
            cz, cr = one["centre"]
            a0 = math.atan2(one["start"][1] - cr, one["start"][0] - cz)
            a1 = math.atan2(one["end"][1] - cr, one["end"][0] - cz)
            turn = (a1 - a0) % math.tau - (math.tau if one["clockwise"] else 0.0)
            points += [
                (
                    cz + one["radius_mm"] * math.cos(a0 + turn * k / 64),
                    cr + one["radius_mm"] * math.sin(a0 + turn * k / 64),
                )
                for k in range(64)
            ]
        else:
            points.append(tuple(one["start"]))
    half = Polygon(points).buffer(0)
    return unary_union([half, Polygon([(z, -r) for z, r in points]).buffer(0)])


def test_where_a_body_enters_the_part(chrome: Any, made: tuple[Json, Path]) -> None:
    """At many places the page's word agrees with shapely's intersection, but for near touches."""
    document, file = made
    part = part_on_both_sides(document)
    said = {True: 0, False: 0}
    with opened(chrome, file) as tab:
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        for name in ("bore 12", "copy 35 right"):
            (tool,) = [one for one in document["tools"] if one["name"] == name]
            axis = 1 if tool["access"] == "outer" else 0
            top = max(p[axis] for ring in tool["body"] for p in ring)
            rings = [
                Polygon([
                    [v + 2000.0 if c == axis and p[axis] >= top - 1e-6 else v
                     for c, v in enumerate(p)] for p in ring
                ]) for ring in tool["body"]
            ]  # fmt: skip
            tab.click(f"button[data-tool='{name}'][data-toward=low]")
            for z in (-8.0, 3.0, 31.0, 64.5, 97.0, 121.0):
                for diameter in (12.0, 45.0, 62.0, 81.0, 111.5):
                    tab.fill("#tool-z", str(z))
                    tab.fill("#tool-d", str(diameter))
                    body = unary_union([
                        Polygon([(a + z, b + diameter / 2.0) for a, b in ring.exterior.coords])
                        for ring in rings
                    ])  # fmt: skip
                    area = body.intersection(part).area
                    if 0.0 < area < 0.05 or (area == 0.0 and body.distance(part) < 0.02):
                        continue
                    enters = "The body enters the part" in str(tab.text_content("#tool-says"))
                    assert enters == (area > 0.0), (name, z, diameter, area)
                    said[enters] += 1
        # a drill's flutes may be in the work to their end, its shank may not
        (drill,) = [one for one in document["tools"] if one["name"] == "drill 30"]
        flutes, shank = (min(z for z, _ in ring) for ring in drill["body"][:2])
        mouth = part.bounds[2]
        tab.click("button[data-tool='drill 30'][data-toward=low]")
        for z, chips in ((mouth - flutes + 0.5, False), (mouth - flutes - 0.5, True)):
            tab.fill("#tool-z", str(z))
            words = str(tab.text_content("#tool-says"))
            assert ("The end of its flutes is in the part" in words) == chips
            assert "The body is clear of the part." in words
        tab.fill("#tool-z", str(mouth - shank - 0.5))
        assert "The body enters the part" in str(tab.text_content("#tool-says"))
    assert min(said.values()) >= 10


def test_a_region_shows_the_nearest_tool_where_it_would_hit(
    chrome: Any, made: tuple[Json, Path]
) -> None:
    document, file = made
    (left,) = [one for one in document["reach"]["left"] if one["stand"]["hits"]]
    with opened(chrome, file) as tab:
        tab.locator(".tables summary").first.click()
        tab.click(f"button[data-left={left['id']}]")
        z, r = left["stand"]["at"]
        assert float(tab.input_value("#tool-z")) == pytest.approx(z, abs=1e-3)
        assert float(tab.input_value("#tool-d")) == pytest.approx(2 * r, abs=1e-3)
        assert tab.locator("#over > .hit").count() == len(left["stand"]["hits"])
        assert "The body enters the part" in tab.inner_text("#tool-says")
        assert left["stand"]["tool"] in caption(tab)


def test_the_plan_step_by_step(chrome: Any, made: tuple[Json, Path]) -> None:
    document, file = made
    steps = [(s, o) for s in document["setups"] for o in (None, *s["operations"])]
    with opened(chrome, file) as tab:
        tab.check("#show-bending")
        tab.click("#step-back")  # the first is shown already
        for i, (setup, operation) in enumerate(steps):
            if i:
                tab.click("#step-on")
            assert tab.inner_text("#step-says") == f"Step {i + 1} of {len(steps)}"
            turned = tab.get_attribute("#flip", "transform") or ""
            assert ("scale(-1 1)" in turned) == (setup["toward_chuck"] == "high"), (
                "chuck on the left"
            )
            assert tab.locator("#under .chuck").count() == 1
            assert tab.locator("#signs .bend").count() == 1
            curve = tab.get_attribute("#signs .bend", "d")
            assert curve.count("L") + 1 == len(setup["bending"]["curve_mm"])
            drawn = [p for one in setup["held"]["grips"] for p in one]
            low, high = (fn(z for z, _ in drawn) for fn in (min, max))
            box = tab.evaluate("() => {const b = document.querySelector('#under .jaw').getBBox(); "
                               "return [b.x, b.x + b.width, b.y + b.height];}")  # fmt: skip
            assert box == pytest.approx([low, high, max(r for _, r in drawn)], abs=1e-3), "to scale"
            if operation:
                assert marked(tab, "reached") == set(operation["segments"])
                assert operation["tool"] in caption(tab)
                at = [float(tab.input_value(f"#tool-{which}")) for which in "zd"]
                z, r = operation["ends_at"]
                assert at == pytest.approx([z, 2.0 * r], abs=1e-3), "where its cut ends"
                assert tab.inner_text("#tool-says") == "The body is clear of the part."
        for unit in ("inch", "mm"):
            tab.get_by_label(unit, exact=True).check()
            said = f"{caption(tab)} {tab.inner_text('#setups')} {tab.text_content('#signs')}"
            assert not re.search(r"\d\.\d{6}|less than 0 ", said), said
        tab.click("#table")
        tab.press("#table", "Escape")
        assert tab.locator("#under .jaw").count() == 0
        assert tab.get_attribute("#flip", "transform") == ""


def test_another_report_is_compared(chrome: Any, made: tuple[Json, Path], tmp_path: Path) -> None:
    document, file = made
    old = copy.deepcopy(document)
    hostile_rule = "<img src=x onerror=alert(1)>"
    unknown = {**copy.deepcopy(old["findings"][1]), "id": "N9", "rule": hostile_rule}
    passed = next(r["rule"] for r in document["rules"] if r["status"] == "passed")
    gone = {**copy.deepcopy(unknown), "rule": passed}
    old["findings"] = [*old["findings"][1:], gone, unknown]
    old["profile"]["length_mm"] += 5.0
    (tmp_path / "old <b>.json").write_text(json.dumps(old), encoding="utf-8")
    with opened(chrome, file) as tab:
        tab.set_input_files("#earlier", tmp_path / "old <b>.json")
        tab.wait_for_selector("#compared table")
        words = tab.inner_text("#compared")
        same = len(document["findings"]) - 1
        assert f"old <b>.json: 1 new, {same} the same, 1 gone, 1 no longer judged." in words
        assert "<img src=x onerror=alert(1)>" in words
        assert "125 mm" in words
        assert tab.locator("#under .earlier").count() == len(document["profile"]["loops"])
        tab.click("#compared button[data-finding=N1]")
        assert caption(tab).startswith("N1,")
        tab.check("[value=inch]")
        told = tab.inner_text("#compared")
        assert f"{125 / 25.4:.4f} in" in told
        # what was said then is told in inch as well: N2 of "the largest ⌀110 mm" is gone
        assert "110 mm" not in told
        assert f"{110 / 25.4:.4f} in" in told
        tab.check("[value=mm]")
        assert unknown["message"] in tab.inner_text("#compared")


@pytest.mark.parametrize("longer", [0.0, 8.0], ids=["as it was", "longer"])
def test_an_earlier_part_may_lie_turned_or_be_longer(
    chrome: Any, made: tuple[Json, Path], tmp_path: Path, longer: float
) -> None:
    """As the command line's comparison has it: its findings are the same, its outline is laid."""
    document, file = made
    old = copy.deepcopy(document)
    length = old["profile"]["length_mm"] = old["profile"]["length_mm"] + longer

    def z_of(z: float) -> float:  # what stands above 60 was 8 mm farther up; then all is turned
        return length - (z + longer if z > 60.0 else z)

    for loop in old["profile"]["loops"]:
        for one in loop["segments"]:
            ends = {key: [z_of(one[key][0]), one[key][1]] for key in ("start", "end")}
            one["start"], one["end"] = ends["end"], ends["start"]
            if "centre" in one:
                one["centre"] = [z_of(one["centre"][0]), one["centre"][1]]
        loop["segments"].reverse()
    for finding in old["findings"]:
        if finding["where"]["z_mm"]:
            finding["where"]["z_mm"] = [z_of(z) for z in reversed(finding["where"]["z_mm"])]
    (tmp_path / "old.json").write_text(json.dumps(old), encoding="utf-8")
    with opened(chrome, file) as tab:
        tab.set_input_files("#earlier", tmp_path / "old.json")
        tab.wait_for_selector("#compared table")
        words = tab.inner_text("#compared")
        assert f"0 new, {len(document['findings'])} the same, 0 gone. It lay the other way" in words
        box = "s => {const b = document.querySelector(s).getBBox(); return [b.x, b.x + b.width];}"
        low, high = tab.evaluate(box, "#under .earlier")
        assert (low, high) == pytest.approx((0.0, length), abs=1e-3)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "it is no JSON"),
        ("[1, 2]", "it is no report"),
        ("null", "it is no report"),
        ('{"report_version": 99}', "report version 99"),
        ('{"report_version": 1, "findings": [{"rule": 3}]}', "findings are damaged"),
        ('{"report_version": 1, "findings": [], "profile": {"loops": [{}]}}', "profile is damaged"),
        (
            '{"report_version": 1, "findings": [{"rule": "a", "level": "note", "message": "m",'
            ' "where": {"z_mm": [1], "diameter_mm": null}}]}',
            "findings are damaged",
        ),
    ],
)
def test_a_file_that_is_no_report_is_told(
    chrome: Any, made: tuple[Json, Path], tmp_path: Path, content: str, words: str
) -> None:
    (tmp_path / "bad.json").write_text(content)
    with opened(chrome, made[1]) as tab:
        tab.set_input_files("#earlier", tmp_path / "bad.json")
        tab.wait_for_selector("#compared .bad")
        assert words in tab.inner_text("#compared")
        assert "bad.json cannot be compared" in tab.inner_text("#compared")


def test_the_view_in_the_round(chrome: Any, made: tuple[Json, Path]) -> None:
    document, file = made
    with opened(chrome, file) as tab:
        see_round(tab)
        box = tab.locator("#view").bounding_box()
        tab.mouse.click(box["x"] + 0.42 * box["width"], box["y"] + 0.5 * box["height"])
        words = tab.inner_text("#view-says")
        assert words.startswith("Face ")
        number = int(words.split()[1].rstrip(","))
        assert number in {face["index"] for face in document["faces"]}
        (face,) = [one for one in document["faces"] if one["index"] == number]
        assert marked(tab, "on") == set(face["segments"])
        tab.focus("#view")
        for key in ("ArrowLeft", "ArrowUp", "+", "-"):
            tab.evaluate(CHANGED)
            tab.keyboard.press(key)
            assert tab.evaluate(CHANGED), key


def test_a_report_alone_is_turned_from_its_section(
    chrome: Any, made: tuple[Json, Path], tmp_path: Path
) -> None:
    """Made from stored JSON, without the solid."""
    file = tmp_path / "alone.html"
    file.write_text(page(json.loads(json.dumps(made[0]))), encoding="utf-8")
    with opened(chrome, file) as tab:
        see_round(tab)
        assert "The section turned about its axis" in tab.inner_text("#round")
        box = tab.locator("#view").bounding_box()
        tab.mouse.click(box["x"] + 0.42 * box["width"], box["y"] + 0.5 * box["height"])
        assert tab.inner_text("#view-says").startswith("S")


def test_keyboard_alone(chrome: Any, made: tuple[Json, Path]) -> None:
    _, file = made
    with opened(chrome, file) as tab:
        tab.keyboard.press("Tab")
        assert tab.evaluate("document.activeElement.className") == "skip"
        tab.focus("#table")
        seen = set()
        for _ in range(5):
            tab.keyboard.press("ArrowRight")
            seen |= marked(tab, "on")
        assert len(seen) == 5
        wide = tab.get_attribute("#section", "viewBox")
        tab.keyboard.press("+")
        assert tab.get_attribute("#section", "viewBox") != wide
        tab.keyboard.press("Escape")
        assert marked(tab, "on") == set()
        tab.focus("button[data-finding=N1]")
        tab.keyboard.press("Enter")
        assert caption(tab).startswith("N1,")


def test_the_tool_and_the_drawing_can_be_dragged(chrome: Any, made: tuple[Json, Path]) -> None:
    _, file = made
    with opened(chrome, file) as tab:
        tab.click("button[data-tool='bore 12'][data-toward=low]")
        was = float(tab.input_value("#tool-z"))
        box = tab.locator(".tool-layer .tool-cut").first.bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        tab.mouse.move(x, y)
        tab.mouse.down()
        tab.mouse.move(x + 60, y, steps=4)
        tab.mouse.up()
        assert float(tab.input_value("#tool-z")) > was + 5.0
        before = tab.get_attribute("#section", "viewBox")
        box = tab.locator("#section").bounding_box()
        tab.mouse.move(box["x"] + 20, box["y"] + 20)
        tab.mouse.down()
        tab.mouse.move(box["x"] + 90, box["y"] + 40, steps=4)
        tab.mouse.up()
        assert tab.get_attribute("#section", "viewBox") != before


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_no_barrier_that_axe_knows(chrome: Any, made: tuple[Json, Path], ground: str) -> None:
    """Rules of WCAG 2.2 levels A and AA as axe-core tests them, contrast among them."""
    from axe_playwright_python.sync_playwright import Axe

    levels = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    with opened(chrome, made[1], color_scheme=ground) as tab:
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        tab.click("button[data-tool='bore 12'][data-toward=low]")
        found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": levels}})
        told = [
            (one["id"], [node["html"][:160] for node in one["nodes"][:3]])
            for one in found.response["violations"]
        ]
        assert told == []
        assert len(found.response["passes"]) > 15


def test_a_narrow_screen_needs_no_sideways_scrolling(chrome: Any, made: tuple[Json, Path]) -> None:
    with opened(chrome, made[1], viewport={"width": 360, "height": 740}) as tab:
        tab.click("button[data-finding=N1]")
        assert tab.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_paper_shows_what_is_folded_and_folds_it_again(
    chrome: Any, made: tuple[Json, Path], size: str
) -> None:
    document, file = made
    with opened(chrome, file, color_scheme="dark") as tab:
        tab.evaluate("""() => addEventListener('beforeprint', () => {
          window.open_ = document.querySelectorAll('details:not([open])').length; })""")
        folded = tab.locator("details:not([open])").count()
        assert folded > 5
        stay = tab.locator(".finding details:not([data-own]), .assumed details").count()
        printed = tab.pdf(format=size, print_background=True)
        assert printed.startswith(b"%PDF")
        assert tab.evaluate("window.open_") == stay, "said elsewhere on the same paper"
        assert 2 <= printed.count(b"/Type /Page\n") <= 12
        assert tab.locator("details:not([open])").count() == folded
        tab.emulate_media(media="print")
        assert (
            tab.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        )
        tab.evaluate("document.querySelector('div.on-paper details').open = true")
        for one in document["assumptions"]:
            assert one["why"] in tab.inner_text("div.on-paper")


SEEN = """(id) => {
  const copy = document.getElementById(id);
  const { width: w, height: h } = copy;
  const { data } = copy.getContext('2d').getImageData(0, 0, w, h);
  const seen = [w, 0, h, 0];
  for (let i = 3, k = 0; i < data.length; i += 4, k++) if (data[i] > 128) {
    const [x, y] = [k % w, Math.floor(k / w)];
    seen[0] = Math.min(seen[0], x); seen[1] = Math.max(seen[1], x);
    seen[2] = Math.min(seen[2], y); seen[3] = Math.max(seen[3], y);
  }
  return [w, h, ...seen];
}"""


@pytest.mark.parametrize("part", ["housing", "spindle"])
def test_the_view_in_the_round_is_whole_on_paper(
    chrome: Any, made: tuple[Json, Path], spindle: Path, part: str
) -> None:
    """Nobody has scrolled down to it, and the window has another shape than the paper."""
    file = spindle if part == "spindle" else made[1]
    with opened(chrome, file, viewport={"width": 1900, "height": 700}) as tab:
        tab.wait_for_selector("#view[data-ready=yes]", state="attached")
        tab.evaluate("window.dispatchEvent(new Event('beforeprint'))")
        wide, tall, left, right, top, bottom = tab.evaluate(SEEN, "view-copy")
        assert 0 < left < right < wide - 1, "nothing is cut off at the sides"
        assert 0 < top < bottom < tall - 1, "nor above or below"
        assert max((right - left) / wide, (bottom - top) / tall) > 0.6, "nor is it small"
        tab.emulate_media(media="print")
        shown = tab.locator("#view-copy").bounding_box()
        assert tab.locator("#view").is_hidden()
        # whatever the paper's width, circles stay round
        fit = tab.evaluate("getComputedStyle(document.getElementById('view-copy')).objectFit")
        assert fit == "contain"
        assert shown["height"] > 250


@pytest.mark.parametrize("wide", [1280, 700])
@pytest.mark.parametrize("part", ["housing", "spindle"])
def test_no_leader_crosses_another_or_a_sign(
    chrome: Any, made: tuple[Json, Path], spindle: Path, part: str, wide: int
) -> None:
    file = spindle if part == "spindle" else made[1]
    with opened(chrome, file, viewport={"width": wide, "height": 1000}) as tab:
        for controls in ([], ["#show-sizes"], ["#show-sizes", "#show-names"]):
            for control in controls:
                tab.check(control)
            number = len(tab.locator("#signs .tag").all())
            assert number > (15 if "#show-names" in controls else 10)
            paths = tab.locator("#signs .leader").evaluate_all(
                "l => l.map(e => e.getAttribute('d'))"
            )
            assert len(paths) == number
            leaders = [_line(path) for path in paths]
            for one, other in itertools.combinations(leaders, 2):
                assert not one.crosses(other)
            seen = tab.locator("#section").bounding_box()
            signs = tab.locator("#signs .tag path").evaluate_all(
                "l => l.map(e => { const b = e.getBoundingClientRect();"
                " return [b.left, b.top, b.right, b.bottom]; })"
            )
            ends = tab.locator("#signs .leader").evaluate_all(
                """l => l.map(e => { const m = e.getScreenCTM(); return e.getAttribute('d').slice(1)
                  .split('L').map(p => p.split(' ').map(Number))
                  .map(([x, y]) => [m.a * x + m.e, m.d * y + m.f]); })"""
            )
            boxes = [box(*one).buffer(-1.0) for one in signs]
            for i, own in enumerate(boxes):
                assert box(seen["x"], 0, seen["x"] + seen["width"], 9999).covers(own)
                assert not any(own.intersects(b) for k, b in enumerate(boxes) if k != i)
                assert not any(
                    own.intersects(LineString(line)) for k, line in enumerate(ends) if k != i
                )
            sizes = tab.locator("#signs .size.thin").evaluate_all(
                "l => l.map(e => e.getAttribute('d'))"
            )
            for one, other in itertools.combinations([_line(path) for path in sizes], 2):
                assert not one.crosses(other)


def _line(data: str) -> LineString:
    return LineString([tuple(map(float, p.split())) for p in data.removeprefix("M").split("L")])


def test_lengths_on_the_drawing_have_a_unit(chrome: Any, made: tuple[Json, Path]) -> None:
    with opened(chrome, made[1]) as tab:
        told = tab.locator("#signs .ruler text").all_text_contents()
        assert told[0] == "0"
        assert told[-1] == "120 mm"
        tab.check("#show-sizes")
        told = tab.locator("#signs .sizes text").all_text_contents()
        assert "sizes in mm; z from the low end" in told
        assert {"0", "120"} <= set(told), "both ends, whatever else there is room for"
        tab.check("[value=inch]")
        assert "sizes in inch; z from the low end" in tab.text_content("#signs")
        tab.uncheck("#show-sizes")
        assert tab.locator("#signs .ruler text").last.text_content() == "4.7244 in"


def test_what_has_no_room_over_the_section_is_left_out_by_its_rank(
    chrome: Any, made: tuple[Json, Path], tmp_path: Path
) -> None:
    document = copy.deepcopy(made[0])
    error = document["findings"][0]
    note = next(f for f in document["findings"] if f["level"] == "note")
    nose = next(left for left in document["reach"]["left"] if left["causes"] == ["nose-radius"])
    other = next(left for left in document["reach"]["left"] if left["causes"] != ["nose-radius"])
    places = [float(z) for z in range(5, 119)]
    document["findings"] = [error] + [
        {**note, "id": f"N{k}", "where": {**note["where"], "segments": [], "z_mm": [z, z]}}
        for k, z in enumerate(places, 2)
    ]
    document["reach"]["left"] = [other] + [{**nose, "id": f"L{k}"} for k in range(50, 80)]
    file = tmp_path / "crowded.html"
    file.write_text(page(document), encoding="utf-8")
    with opened(chrome, file) as tab:
        told = tab.locator("#signs .tag text").all_text_contents()
        assert {error["id"], "N2", other["id"]} <= set(told), (
            "errors, the first of a rule, the rest"
        )
        assert not [name for name in told if name.startswith("L") and name != other["id"]]
        kept = sorted(int(name[1:]) for name in told if name.startswith("N"))
        assert 20 < len(kept) < 100
        middle = kept[len(kept) // 2]
        assert 40 < middle < 80, "thinned all along the part"


def test_a_sign_of_the_whole_part_points_at_the_part(chrome: Any, tmp_path: Path) -> None:
    corners = [(0, 0), (100, 0), (100, 10), (10, 10), (10, 100), (0, 100)]
    document = json.loads(walk(drawn_part(corners), starter_shop()).to_json())
    nowhere: Json = {"segments": [], "faces": [], "features": []}
    where = nowhere | {"z_mm": [0.0, 100.0], "diameter_mm": [0.0, 200.0]}
    document["findings"] = [document["findings"][0] | {"where": where}]
    document["reach"]["left"] = []
    file = tmp_path / "flange.html"
    file.write_text(page(document), encoding="utf-8")
    with opened(chrome, file) as tab:
        (end,) = tab.locator("#signs .leader-end").evaluate_all(
            "l => l.map((e) => [e.cx.baseVal.value, e.cy.baseVal.value])"
        )
        assert end == pytest.approx([50.0, -10.0], abs=1e-3)


@pytest.mark.parametrize("long", [2.0, 8.0, 12.5, 17.78, 60.0])
def test_numbers_of_the_ruler_do_not_touch(chrome: Any, tmp_path: Path, long: float) -> None:
    file = tmp_path / "disc.html"
    file.write_text(page(json.loads(disc_report(167.64, long).to_json())), encoding="utf-8")
    with opened(chrome, file) as tab:
        tab.click("#whole")
        for unit in ("mm", "inch"):
            tab.check(f"[value={unit}]")
            boxes = tab.locator("#signs .ruler text").evaluate_all(
                "l => l.map((e) => e.getBoundingClientRect()).map((b) => [b.left, b.right])"
            )
            assert boxes
            for (_, before), (after, _) in itertools.pairwise(sorted(boxes)):
                assert before + 2.0 <= after


@pytest.mark.parametrize(
    ("corners", "alone"),
    [
        ([(0, 90), (6, 90), (6, 94), (0, 94)], True),
        ([(0, 20), (60, 20), (60, 30), (0, 30)], False),
        ([(0, 0), (300, 0), (300, 4), (0, 4)], False),
        ([(0, 0), (2, 0), (2, 80), (0, 80)], False),
    ],
    ids=["thin ring", "bush", "needle", "disc"],
)
def test_a_thin_ring_is_shown_by_its_section(
    chrome: Any, tmp_path: Path, corners: list[tuple[float, float]], alone: bool
) -> None:
    """A ring of 188 mm with a section of 6 by 4 mm would be a line of a few pixels."""
    document = walk(drawn_part(corners), starter_shop()).document()
    file = tmp_path / "ring.html"
    file.write_text(page(document), encoding="utf-8")
    radius = max(r for _, r in corners)
    with opened(chrome, file) as tab:
        _, y, _, height = map(float, tab.get_attribute("#section", "viewBox").split())
        assert (y + height < 0.0) is alone, "all of what is seen lies above the axis"
        tab.click("#whole")
        _, y, _, height = map(float, tab.get_attribute("#section", "viewBox").split())
        assert y <= -radius
        assert y + height >= radius


@pytest.mark.parametrize("which", ["housing", "plate", "no reach"])
def test_text_from_files_stays_text(chrome: Any, tmp_path: Path, which: str) -> None:
    """Every text of the report that a stranger could have written, turned into an attack."""
    report = plate_report() if which == "plate" else housing_report()
    document = json.loads(report.to_json())
    if which == "no reach":
        document.update(reach=None, setups=[], stock=None, effort=None)
    hostile(document)
    file = tmp_path / "hostile.html"
    file.write_text(page(document), encoding="utf-8")
    with opened(chrome, file) as tab:
        assert "<script>" in tab.inner_text("h1")
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        for button in tab.locator("main button").all():
            button.evaluate("b => b.click()")
        assert tab.evaluate("window.hacked") is None
        assert tab.locator("img").count() == 0


@pytest.mark.parametrize("which", ["route sheet", "shop sheet", "rules"])
def test_no_barrier_on_the_other_pages(chrome: Any, tmp_path: Path, which: str) -> None:
    """As above, and what axe-core calls best practice: landmarks, headings, heads of tables."""
    from axe_playwright_python.sync_playwright import Axe

    shop = starter_shop()
    file = tmp_path / "page.html"
    if which == "rules":
        write_page(file, inch=False)
    elif which == "shop sheet":
        file.write_text(shop_page(shop, "starter"), encoding="utf-8")
    else:
        report = walk(drawn_part([(0, 6), (30, 6), (30, 20), (0, 20)]), shop)
        file.write_text(route_page(route_of(report, shop), report, shop), encoding="utf-8")
    levels = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    with opened(chrome, file) as tab:
        found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": levels}})
        told = [(one["id"], one["nodes"][0]["html"]) for one in found.response["violations"]]
        assert told == []
