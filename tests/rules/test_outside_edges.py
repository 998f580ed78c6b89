"""Edges of the meridian by hand: which are sharp, how sharp, and what is said of them."""

import math

import cadquery as cq
import pytest

from turnability import analyze
from turnability.features.model import Feature
from turnability.intent.model import Intent
from turnability.rules import edge_not_stated, knife_edge
from turnability.rules.drawn import PIN, drawn_view
from turnability.rules.outside_edges import unbroken_edges


def test_the_outside_edges_of_a_stepped_pin_are_three_and_square():
    edges = unbroken_edges(drawn_view(PIN))
    assert sorted(e.at for e in edges) == [(0, 11), (18, 11), (30, 8)]
    assert [e.included_deg for e in edges] == pytest.approx([90.0] * 3)


@pytest.mark.parametrize(
    ("lead_in", "sharp"),
    [((29.5, 7.5), 0), ((28.0, 8 - 2 * math.tan(math.radians(30))), 0), ((29.0, 7.99), 1)],
)
def test_a_chamfer_breaks_an_edge_whatever_its_angle_and_a_nick_does_not(lead_in, sharp):
    """45 and 30 degrees; 0.6 degrees over a millimetre leaves an edge of 90.6."""
    z, r = lead_in
    pin = [(0, 0), (30, 0), (30, r), (z, 8), (0, 8)]
    assert sum(e.at[0] > 20.0 for e in unbroken_edges(drawn_view(pin))) == sharp


def test_the_thinness_of_an_edge_is_measured():
    """A bore that opens by 5 mm over 15 up to the outside leaves atan(5 / 15) = 18.43 degrees."""
    cup = [(0, 0), (10, 0), (15, 10), (30, 15), (0, 15)]
    (found,) = knife_edge.check(drawn_view(cup))
    assert found.measured == pytest.approx(math.degrees(math.atan2(5.0, 15.0)))
    assert (found.where.z_mm, found.where.diameter_mm) == ((30.0, 30.0), (30.0, 30.0))
    assert knife_edge.check(drawn_view(cup, intent=Intent(edges_mm=(0.1, 0.3)))) == []


def test_crests_of_a_thread_are_no_edges_to_break():
    """Four sharp crests of 60 degrees: a thread's, or a part's own."""
    teeth = [(float(z), 10.0 if z % 2 else 9.0) for z in range(20, 10, -1)]
    points = [(0, 0), (30, 0), (30, 8), *[(z, r) for z, r in teeth], (0, 9)]
    bare = drawn_view(points)
    crests = {e.at for e in unbroken_edges(bare)} & {t for t in teeth if t[1] == 10.0}
    assert crests
    ids = tuple(
        s.id for s in bare.part.profile.segments if {s.curve.start, s.curve.end} & set(teeth)
    )
    thread = Feature("F1", "thread", "outer", (10.0, 20.0), (18.0, 20.0), ids, (), {})
    left = {e.at for e in unbroken_edges(drawn_view(points, features=(thread,)))}
    assert not left & crests


def test_the_note_names_the_largest_edges_and_counts_the_rest():
    steps = [(0, 0), (50, 0)]
    for n in range(5):
        steps += [(50 - 10 * n, 5 + n), (40 - 10 * n, 5 + n)]
    (note,) = edge_not_stated.check(drawn_view(steps))
    assert note.measured == 6.0
    assert "6 outside edges are drawn sharp" in note.message
    assert "; z 20 mm, ⌀16 mm; 3 more)" in note.message


def test_a_usual_break_is_told_as_too_much_for_a_wire():
    """0.2 to 0.5 mm of ⌀0.5: nothing would be left of it; of ⌀16 it is a usual break."""
    for radius, told in ((0.25, True), (8.0, False)):
        (note,) = edge_not_stated.check(drawn_view([(0, 0), (5, 0), (5, radius), (0, radius)]))
        assert ("too much for a diameter so small" in note.message) == told


def test_the_mouth_of_a_hole_off_the_axis_is_no_edge_where_it_comes_nearest() -> None:
    """⌀12, 5 mm off the axis of ⌀50: round the axis ⌀2 are open, and nothing has an edge there."""
    whole = cq.Workplane().circle(25.0).extrude(30.0)
    off = whole.faces(">Z").workplane().center(5.0, 0.0).hole(12.0)
    (note,) = (f for f in analyze(off).findings if f.rule == "edge-not-stated")
    assert note.measured == 2.0
    assert "⌀2 mm" not in note.message
