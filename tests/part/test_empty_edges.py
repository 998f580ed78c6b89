"""Edges without length in a file: left out, whatever curve they name.

Each file is a sound one with such an edge written into it, where two faces meet in an edge already,
so that the solid stays the one that was drawn.
"""

import math
import re

import cadquery as cq
import pytest
from random_solids import resurfaced, split, write_step
from step_files import stepped_pin, volume

from turnability.part.reading.empty_edges import without_empty_edges
from turnability.part.reading.read import read_solids
from turnability.part.reading.step_text import read_step_text
from turnability.part.turned import part_of

REMARK = "2 faces list edges without length (one vertex, an open curve); they were left out"
OUTLINE = ((0, 0), (0, 10), (12, 10), (12, 6), (24, 6), (24, 0))
CURVES = {
    "line": ("LINE('',#900002,#900003)", "VECTOR('',#900004,1.)"),
    "spline": (
        "B_SPLINE_CURVE_WITH_KNOTS('',1,(#900002,#900005),.UNSPECIFIED.,.F.,.F.,"
        "(2,2),(0.,1.),.UNSPECIFIED.)",
        "VECTOR('',#900004,1.)",
    ),
    "rational": (
        "( BOUNDED_CURVE() B_SPLINE_CURVE(2,(#900002,#900005,#900006),.UNSPECIFIED.,.F.,.F.)"
        " B_SPLINE_CURVE_WITH_KNOTS((3,3),(0.,1.),.UNSPECIFIED.) CURVE()"
        " GEOMETRIC_REPRESENTATION_ITEM() RATIONAL_B_SPLINE_CURVE((1.,0.5,1.))"
        " REPRESENTATION_ITEM('') )",
        "VECTOR('',#900004,1.)",
    ),
}


def with_empty_edge(path, curve):
    """Write a pin of half cylinders, and into two faces an edge from a vertex to itself."""
    places = [cq.Vector(x, y, 0) for x, y in OUTLINE]
    edges = [cq.Edge.makeLine(a, b) for a, b in zip(places, places[1:] + places[:1], strict=True)]
    write_step(resurfaced(split(edges, 2), "nurbs"), path, "MM")
    text = read_step_text(path)
    # an edge with two ends that two faces use, and the vertex that it ends at
    uses = {}
    for use in text.by_keyword["ORIENTED_EDGE"]:
        uses.setdefault(text.references(use)[-1], []).append(use)
    for edge, (one, other) in uses.items():
        begin, end, _ = text.references(edge)
        loops = [n for n in text.by_keyword["EDGE_LOOP"] if {one, other} & {*text.references(n)}]
        if begin != end and len(loops) == 2:
            break
    sense = {n: ".T." in text.parameters(n) for n in (one, other)}
    assert sense[one] != sense[other]
    data = path.read_text()
    for use in (one, other):
        new = "#900010" if sense[use] else "#900011"
        pair = f"#{use},{new}" if sense[use] else f"{new},#{use}"
        data, count = re.subn(rf"(EDGE_LOOP\('',\([^)]*)#{use}\b", rf"\g<1>{pair}", data)
        assert count == 1
    drawn, way = CURVES[curve]
    at = text.parameters(text.references(end)[0]).strip()
    more = f"""
#900001=EDGE_CURVE('',#{end},#{end},#900007,.T.);
#900002=CARTESIAN_POINT{at};
#900003={way};
#900004=DIRECTION('',(0.,0.,1.));
#900005=CARTESIAN_POINT('',(3.,4.,5.));
#900006=CARTESIAN_POINT('',(9.,1.,5.));
#900007={drawn};
#900010=ORIENTED_EDGE('',*,*,#900001,.T.);
#900011=ORIENTED_EDGE('',*,*,#900001,.F.);
ENDSEC;
END-ISO"""
    path.write_text(re.sub(r"\s*ENDSEC;\s*END-ISO", more, data))
    return path


@pytest.mark.parametrize("curve", CURVES)
def test_an_edge_without_length_is_left_out(curve, tmp_path):
    """Volume of two cylinders on one another; without the edge's loss the whole curve is read."""
    (read,) = read_solids(with_empty_edge(tmp_path / "part.step", curve))
    assert read.remarks == (REMARK,)
    assert read.doubts == ()
    drawn = math.pi * 12.0 * (10.0**2 + 6.0**2)
    assert volume(read.shape) == pytest.approx(drawn, rel=1e-8)
    part = part_of(read.shape, read.source, read.step_ids, read.remarks)
    assert part.profile is not None
    assert part.profile.volume_mm3 == pytest.approx(drawn, rel=1e-8)


def test_every_entity_keeps_its_place(tmp_path):
    text = read_step_text(with_empty_edge(tmp_path / "part.step", "spline"))
    told, faces = without_empty_edges(text)
    assert told.instances == text.instances
    assert len(faces) == 2
    assert text.text.count("#900010") == 2  # in its loop and by itself
    assert told.text.count("#900010") == told.text.count("#900011") == 1


@pytest.mark.parametrize("how", ["plain", "nurbs", "revolution"])
def test_closed_edges_stay(how, tmp_path):
    """Rims and seams begin and end in one vertex too, on circles and closed splines."""
    path = tmp_path / "part.step"
    write_step(resurfaced(stepped_pin().val().wrapped, how), path, "INCH")
    text = read_step_text(path)
    assert re.search(r"EDGE_CURVE\('',(#\d+),\1,", text.text)
    told, faces = without_empty_edges(text)
    assert told is text
    assert not faces


def test_an_edge_that_is_a_whole_loop_stays(tmp_path):
    """Without it the face would have no bound, or another face; left to the kernel."""
    path = tmp_path / "part.step"
    write_step(stepped_pin().val().wrapped, path, "MM")
    data = path.read_text()
    data = re.sub(
        r"(EDGE_CURVE\('',(#\d+),\2,)#\d+(?=,)", r"\g<1>#900007", data
    )  # every rim, a line
    more = "#900007=LINE('',$,$);\nENDSEC;\nEND-ISO"
    path.write_text(re.sub(r"ENDSEC;\s*END-ISO", more, data))
    text = read_step_text(path)
    told, _ = without_empty_edges(text)
    lone = [n for n in text.by_keyword["EDGE_LOOP"] if len(text.references(n)) == 1]
    assert lone
    assert all(told.parameters(n) == text.parameters(n) for n in lone)
