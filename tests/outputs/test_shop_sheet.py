"""The sheet of a shop: whole in itself, to scale, in the shop's unit, doubts marked."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from turnability.half_plane.curves import flatten_ring
from turnability.outputs import all_outputs
from turnability.outputs.shop_sheet import SUFFIX, write_sheet
from turnability.outputs.shop_sheet.figure import figure, sizes_of
from turnability.outputs.shop_sheet.page import page
from turnability.outputs.shop_sheet.window import PX_PER_MM, window_of
from turnability.outputs.shop_sheet.words import limit_rows, machine_text, shop_lines
from turnability.rules.drawn import LATHE
from turnability.shop.load import _shop_of, starter_shop
from turnability.shop.model import Shop, Tool
from turnability.shop.tool_kind import kinds

INCH = """
units = "inch"
[[tool]]
name = "<script>x & y</script>"
kind = "grooving"
width_in = 0.125
depth_in = 0.5
[[tool]]
kind = "turning"
holder = "MCLNR 2525M12"
insert = "CNMG 432"
"""


def shop(text: str) -> Shop:
    return _shop_of(text.encode(), "my.toml", "my")


class Tags(HTMLParser):
    """Counts tags, checks that they nest, collects attributes that could fetch something."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.counts: dict[str, int] = {}
        self.fetches: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.counts[tag] = self.counts.get(tag, 0) + 1
        self.fetches += [v or "" for k, v in attrs if k in ("src", "href", "xlink:href")]
        if tag not in ("meta", "rect", "path", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.counts[tag] = self.counts.get(tag, 0) + 1

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def tags(text: str) -> Tags:
    parser = Tags()
    parser.feed(text)
    assert parser.open == [], "every tag is closed"
    return parser


def test_one_file_that_needs_no_other_with_every_tool() -> None:
    made = starter_shop()
    text = page(made, "starter.toml")
    read = tags(text)
    count = len(made.tools) + len(made.thread_tools)
    assert read.counts["article"] == count
    assert read.fetches == []
    assert "@import" not in text
    assert set(re.findall(r"url\(([^)]*)\)", text)) <= {f"#c{i}" for i in range(count)}
    assert "prefers-color-scheme: dark" in text
    assert text == page(made, "starter.toml"), "the same shop gives the same sheet"
    for name in (*(t.name for t in made.tools), *(m.name for m in made.machines)):
        assert name in text


def numbers(path: str) -> tuple[list[float], list[float]]:
    """x and y of a path of M, L and A commands."""
    points = re.findall(r"(?:[ML]|A\S+ \S+ 0 \d \d )(-?[\d.]+) (-?[\d.]+)", path)
    return [float(x) for x, _ in points], [float(y) for _, y in points]


@pytest.mark.parametrize("tool", starter_shop().tools, ids=lambda t: t.name)
def test_each_tool_is_drawn_to_scale(tool: Tool) -> None:
    """Extents of the cutting outline on the sheet are those in mm, times the scale."""
    window = window_of(tool)
    scale = window.scale(330.0, 210.0)
    assert scale in PX_PER_MM
    drawn = ET.fromstring(figure(tool, window, scale, False, 0))
    paths = [e.get("d") or "" for e in drawn.iter("path") if e.get("class") == "cut"]
    assert len(paths) == len(tool.outlines.cutting)
    for path, ring in zip(paths, tool.outlines.cutting, strict=True):
        xs, ys = numbers(path)
        corners = [curve.start for curve in ring]
        for px, mm in ((xs, [z for z, _ in corners]), (ys, [r for _, r in corners])):
            assert max(px) - min(px) == pytest.approx((max(mm) - min(mm)) * scale, abs=0.01)
    points = [flatten_ring(ring, 0.01) for ring in tool.outlines.cutting]
    assert all(p[:, 0].min() >= window.z[0] and p[:, 1].max() <= window.r[1] for p in points)
    assert window.width_mm * scale <= 330.0
    assert window.height_mm * scale <= 210.0


def test_sizes_stand_where_their_limits_say() -> None:
    by_name = {tool.name: tool for tool in starter_shop().tools}
    bar = by_name["bore 12"]
    assert {(s.along, s.limit, s.ends) for s in sizes_of(bar)} == {
        ("z", "overhang_mm", (0.0, bar.limits["overhang_mm"])),
        ("r", "min_bore_mm", (-bar.limits["min_bore_mm"], 0.0)),
    }
    left, right = by_name["rough left"], by_name["rough right"]
    assert [s.ends for s in sizes_of(left)] == [(0.0, -25.0)]
    assert [s.ends for s in sizes_of(right)] == [(0.0, 25.0)]


def test_unverified_values_are_marked_and_only_they() -> None:
    by_name = {tool.name: tool for tool in starter_shop().tools}
    rough = {words: doubt for words, _, doubt in limit_rows(by_name["rough right"], False)}
    assert rough["f"] == "from memory (ISO 5610:1998 series), unverified"
    assert rough["nose radius"] is None
    sound = [t for t in starter_shop().tools if all(s.verified for s in t.sources.values())]
    assert sound
    assert not any(doubt for tool in sound for _, _, doubt in limit_rows(tool, False))
    card = page(starter_shop(), "x").split("<h3>rough right</h3>")[1].split("</article>")[0]
    assert card.count('class="doubt"') == 1
    assert ">f 25*</text>" in card


def test_inch_shops_see_inch_and_text_from_files_is_data() -> None:
    text = page(shop(INCH), "my.toml")
    tags(text)
    assert "<script>" not in text
    assert "&lt;script&gt;x &amp; y&lt;/script&gt;" in text
    assert "Lengths in inch" in text
    body = text.split("<body>")[1]
    assert "0.125 in" in body
    assert not re.search(r"[\d.] mm\b", body)


def test_every_kind_of_tool_can_be_drawn() -> None:
    """All harmless examples of the whole family, whatever stands in them."""
    from turnability.shop.load import tools_of

    for kind in kinds().values():
        for example in kind.EXAMPLES:
            if example.fault is None:
                for tool in tools_of(example.table):
                    window = window_of(tool)
                    ET.fromstring(figure(tool, window, window.scale(330.0, 210.0), True, 1))
                    assert all(value for _, value, _ in limit_rows(tool, True))


def test_it_is_written_whole_and_is_no_output_of_reports(tmp_path: Path) -> None:
    target = tmp_path / "sub" / f"my{SUFFIX}"
    write_sheet(shop(INCH), target, "my.toml")
    assert target.read_text(encoding="utf-8") == page(shop(INCH), "my.toml")
    assert all(output.SUFFIX != SUFFIX for output in all_outputs())


def test_a_sound_shop_in_a_few_lines() -> None:
    lines = "\n".join(shop_lines(starter_shop(), "starter.toml"))
    assert 'starter.toml: usable. Shop "starter"' in lines
    assert "90 tools" in lines
    assert "lathes: bench, turning centre" in lines
    bare = "\n".join(shop_lines(shop(INCH), "my.toml"))
    for missing in ("no chucks and collets", "no lathes", "no stock sizes"):
        assert missing in bare


def test_a_lathe_is_told_by_what_the_file_says_and_no_more():
    told = replace(
        LATHE, control="cnc", swing_mm=254.0, swing_over_cross_slide_mm=None,
        between_centres_mm=508.0, spindle_bore_mm=50.8, bar_capacity_mm=None, max_rpm=3000.0,
        power_kw=5.5, tailstock=True, steady=False,
    )  # fmt: skip
    assert machine_text(told, inch=False) == (
        "CNC, swing 254 mm, between centres 508 mm, spindle bore 50.8 mm, 3000 rpm, 5.5 kW, "
        "tailstock"
    )
    assert machine_text(replace(told, power_kw=None, max_rpm=None), inch=True) == (
        "CNC, swing 10 in, between centres 20 in, spindle bore 2 in, tailstock"
    )
