"""The drawing of a chucking set over: against the solid as the kernel cuts it, and by hand."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET

import cadquery as cq
import pytest
from eccentric_parts import CENTRES, DRAWN, FOUR_JAW, made, over, shaft, shop_of

from turnability.analysis import analyze
from turnability.outputs.drawing.set_over import Drawn, set_over_figure
from turnability.outputs.report_page.making import setups_block
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of


def test_each_tool_is_drawn_where_its_cut_ends() -> None:
    (turned,) = over("shaft", FOUR_JAW)[0].cuts
    # its nose against the shoulder at z 50, on the journal's own radius
    assert turned.ends_at == (pytest.approx((50.0, 12.0), abs=0.25),)
    drilled, bored, wide = over("bush", FOUR_JAW)[0].cuts
    # free end at z 0: the drill of 22 comes out behind z 40, the bars end at the bores' ends
    assert drilled.ends_at[0] is not None
    assert drilled.ends_at[0][0] > 40.0
    assert bored.ends_at[0] == pytest.approx((40.0, 12.0), abs=0.6)
    assert wide.ends_at[0] == pytest.approx((8.0, 15.0), abs=0.15)
    blades = [cut.ends_at for one in over("crank", FOUR_JAW) for cut in one.cuts]
    assert [at and at[0] and at[0][1] for at in blades] == pytest.approx([7.0, 7.0], abs=1e-3)


@pytest.mark.parametrize("name", ["shaft", "bush", "crank", "waist", "pin"])
def test_what_is_drawn_at_last_is_the_part_as_the_kernel_cuts_it(name: str) -> None:
    """All axes of these lie in one plane: the area of the cut there is that of the solid."""
    document = made(name, FOUR_JAW).document()
    drawn = Drawn(document, len(document["plan"]["set_over"]) - 1)
    area = sum(
        (slab.z_mm[1] - slab.z_mm[0]) * (b[1] - b[0] + a[1] - a[0]) / 2.0
        for slab in drawn.slabs
        for a, b in zip(slab.begin, slab.end, strict=True)
    )
    plane = cq.Face.makePlane(500.0, 500.0, (0, 0, 0), (0, 1, 0))
    cut = plane.intersect(DRAWN[name]().val())
    assert area == pytest.approx(cut.Area(), rel=1e-4)


def test_the_drawing_shows_both_axes_jaws_and_dial() -> None:
    report = made("shaft", FOUR_JAW)
    svg = ET.fromstring(set_over_figure(report.document(), 0, "x", lambda mm: f"{mm:g} mm"))
    words = ["".join(one.itertext()) for one in svg.iter("text")]
    assert {"3 mm", "dial reads least", "dial reads 6 mm more", "seen from the high end"} <= {
        *words
    }
    assert words.count("1") == 1
    # the four jaws of the end view; the work's circle lies 3 mm below the journal's
    assert [r.get("class") for r in svg.iter("rect")] == ["over-grip"] * 4
    rounds = {
        one.get("class"): one for one in svg.iter("circle") if "over-work" in one.get("class", "")
    }
    journal, work = rounds["over-cut over-work"], rounds["over-work over-edge"]
    px = float(journal.attrib["r"]) / 12.0
    assert float(work.attrib["r"]) == pytest.approx(20.0 * px, abs=0.1)
    assert float(work.attrib["cy"]) - float(journal.attrib["cy"]) == pytest.approx(
        3.0 * px, abs=0.1
    )
    # sheet and report page have it, the page's lengths to be told anew in inches
    sheet = page(route_of(report, shop_of(FOUR_JAW)), report, shop_of(FOUR_JAW))
    assert sheet.count('<svg class="set-over"') == 1
    block = setups_block(report.document(), inch=False)
    assert '<tspan class="q" data-mm="6">6 mm</tspan> more' in block
    # where the shop has three jaws alone: packing under one of them
    packed = set_over_figure(made("shaft").document(), 0, "x", str)
    assert packed.count('class="over-packing"') == 1
    assert packed.count('class="over-grip"') == 3
    # between centres neither chuck nor jaws are seen at the end, but two centre holes
    centred = set_over_figure(made("slender", FOUR_JAW, CENTRES).document(), 0, "x", str)
    assert centred.count('class="over-hole"') == 2
    assert "<rect" not in centred
    # a report made before this was drawn
    old = json.loads(report.to_json())
    del old["plan"]["set_over"][0]["outlines"]
    assert set_over_figure(old, 0, "x", str) == ""


def test_the_eccentric_opposite_is_drawn_as_it_is_seen_from_either_end() -> None:
    """Half a turn is alike from both; a keyway 90° round changes sides with the end."""
    key = cq.Workplane().box(10.0, 6.0, 20.0).translate((21.0, 0.0, 25.0))
    keyed = shaft().cut(key.rotate((0, 0, 0), (0, 0, 1), 90.0))
    for part, end, side in ((keyed, "high", -1.0), (keyed.mirror("XY"), "low", 1.0)):
        svg = ET.fromstring(
            set_over_figure(analyze(part, shop_of(FOUR_JAW)).document(), 0, "x", str)
        )
        assert f"seen from the {end} end" in ["".join(t.itertext()) for t in svg.iter("text")]
        (name,) = [t for t in svg.iter("text") if t.text and re.fullmatch(r"D\d", t.text)]
        (circle,) = [c for c in svg.iter("circle") if c.get("class") == "over-cut over-work"]
        assert math.copysign(1.0, float(name.attrib["x"]) - float(circle.attrib["cx"])) == side
