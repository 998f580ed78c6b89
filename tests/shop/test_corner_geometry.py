"""The cutting corner against closed-form geometry."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rings_checks import check_ring

from turnability.half_plane.curves import Arc, Line, Ring, flatten_ring, ring_area
from turnability.shop.corner import Corner
from turnability.shop.insert_code import parse_insert
from turnability.shop.load import tools_of
from turnability.shop.model import Tool
from turnability.shop.rings import hull, mirror_r, mirror_z

SHAPES = {
    "C": (80.0, 100.0) * 2,
    "D": (55.0, 125.0) * 2,
    "V": (35.0, 145.0) * 2,
    "S": (90.0,) * 4,
    "T": (60.0,) * 3,
    "W": (80.0, 160.0) * 3,
}


def tool(**table: Any) -> Tool:
    (made,) = tools_of(table)
    return made


def corner(shape: str, kappa: float, nose: float = 0.8, clearance: float = 2.0) -> Corner:
    return Corner(SHAPES[shape], 12.7, nose, kappa, clearance, neutral=False)


corners = st.builds(
    corner,
    st.sampled_from(sorted(SHAPES)),
    st.sampled_from([60.0, 72.5, 75.0, 87.0]),
    st.sampled_from([0.2, 0.4, 0.8, 1.2, 1.6]),
    st.floats(0.0, 5.0),
).filter(lambda made: (made.trailing_deg or 0.0) > 0.5)  # others are refused, see `turning`


def direction_deg(line: Line) -> float:
    dz, dr = line.direction(0.5)
    return math.degrees(math.atan2(dr, dz)) % 360.0


@given(corners)
def test_nose_arc_is_tangent_to_both_edges(made: Corner) -> None:
    ring = made.ring()
    check_ring(ring)
    arc, trailing, leading = ring[0], ring[1], ring[-1]
    assert isinstance(arc, Arc)
    assert isinstance(trailing, Line)
    assert isinstance(leading, Line)
    assert arc.radius == made.nose_mm
    for at, line in ((1.0, trailing), (0.0, leading)):
        (az, ar), (lz, lr) = arc.direction(at), line.direction(0.5)
        assert math.isclose(az * lz + ar * lr, 1.0, abs_tol=1e-9)
    assert math.isclose(direction_deg(trailing), made.trailing_deg, abs_tol=1e-6)
    assert math.isclose(direction_deg(leading) - 180.0, made.leading_deg, abs_tol=1e-6)


@given(corners)
def test_programmed_point_is_the_imaginary_tip(made: Corner) -> None:
    """Least r of the whole outline is 0; the nose circle touches z = 0 and r = 0."""
    points = flatten_ring(made.ring(), 1e-6)
    assert math.isclose(points[:, 1].min(), 0.0, abs_tol=2e-6)
    arc = made.ring()[0]
    assert isinstance(arc, Arc)
    assert math.isclose(arc.centre[0], made.nose_mm, abs_tol=1e-9)
    assert math.isclose(arc.centre[1], made.nose_mm, abs_tol=1e-9)


@pytest.mark.parametrize("shape", "CDVTW")
def test_over_90_degrees_the_tip_is_foremost(shape: str) -> None:
    """With kappa over 90 degrees nothing of the insert lies ahead of its nose."""
    made = corner(shape, 93.0)
    assert math.isclose(flatten_ring(made.ring(), 1e-6)[:, 0].min(), 0.0, abs_tol=2e-6)


@pytest.mark.parametrize("shape", "CDV")
def test_area_of_a_rhombus(shape: str) -> None:
    """A rhombus about a circle of diameter d has d²/sin eps; each corner rounded by r loses
    r² (1/tan(eps/2) - (pi - eps)/2).
    """
    r, d = 0.4, 12.7
    area = d * d / math.sin(math.radians(SHAPES[shape][0]))
    for angle in SHAPES[shape]:
        half = math.radians(angle / 2.0)
        area -= r * r * (1.0 / math.tan(half) - (math.pi / 2.0 - half))
    made = corner(shape, 93.0, nose=r, clearance=0.0)
    assert math.isclose(ring_area(made.ring()), area, rel_tol=1e-12)


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_every_edge_touches_the_inscribed_circle(shape: str) -> None:
    made = corner(shape, 60.0, nose=0.0, clearance=0.0)
    lines = [curve for curve in made.ring() if isinstance(curve, Line)]
    area, edge = ring_area(made.ring()), sum(line.length() for line in lines)
    assert math.isclose(area, edge * 12.7 / 4.0, rel_tol=1e-12)  # A = rho * s, rho = d/2


@given(corners, st.floats(0.1, 1.0))
def test_the_seat_lies_within_the_insert_by_its_setback(made: Corner, setback: float) -> None:
    """Every corner of the seat stands at least the setback inside every true edge."""
    true = Corner(made.angles_deg, made.ic_mm, made.nose_mm, made.kappa_deg, 0.0, False)
    edges = true.points()
    seat = true.seat(setback)
    for (az, ar), (bz, br) in zip(edges, edges[1:] + edges[:1], strict=True):
        n = math.hypot(bz - az, br - ar)
        for z, r in seat:
            inside = ((bz - az) * (r - ar) - (br - ar) * (z - az)) / n
            assert inside >= setback - 1e-9


def test_left_is_right_mirrored() -> None:
    right = tool(kind="turning", holder="SDJCR 2020K11", insert="DCMT 11T304")
    left = tool(kind="turning", holder="SDJCL 2020K11", insert="DCMT 11T304")
    assert left.hand == "left"
    assert left.outlines == mirror_z(right.outlines)
    by_cause = {r.cause: r.outlines for r in left.relaxations}
    assert by_cause["hand"] == right.outlines


def test_mirrors_undo_themselves() -> None:
    made = tool(kind="turning", holder="PCLNR 2020K12", insert="CNMG 120408").outlines
    assert mirror_z(mirror_z(made)) == made
    assert mirror_r(mirror_r(made)) == made


@pytest.mark.parametrize(
    ("holder", "insert"),
    [
        ("SVVBN 2020K16", "VBMT 160404"),
        ("SDNCN 2020K11", "DCMT 11T304"),
        ("SSDCN 2020K12", "SCMT 120408"),
    ],
)
def test_neutral_holder_is_symmetric(holder: str, insert: str) -> None:
    """Insert and body are their own mirror images, clearance included: it feeds either way."""
    made = tool(kind="turning", holder=holder, insert=insert, trailing_clearance_deg=3.0)
    for ring in (*made.outlines.cutting, *made.outlines.body):
        points = flatten_ring(ring, 1e-5)
        assert math.isclose(points[:, 0].min(), -points[:, 0].max(), abs_tol=1e-4)
        assert math.isclose(_moment(ring), 0.0, abs_tol=1e-2)


def _moment(ring: Ring) -> float:
    p = flatten_ring(ring, 1e-5)
    q = [*p[1:], p[0]]
    return sum((a[0] * b[1] - b[0] * a[1]) * (a[0] + b[0]) / 6.0 for a, b in zip(p, q, strict=True))


@pytest.mark.parametrize("insert", ["CNMG 120408", "CNMG 432"])
def test_metric_and_inch_code_are_one_insert(insert: str) -> None:
    """432: 4/8 in inscribed circle, 3/16 in thick, 2/64 in nose (ANSI B212.4 rule)."""
    made = parse_insert(insert)
    assert (made.ic.value, made.nose.value, made.size) == (12.7, 0.8, "12")
    assert math.isclose(made.thickness.value, 3 * 25.4 / 16, abs_tol=0.005)


@given(st.lists(st.tuples(st.integers(-20, 20), st.integers(-20, 20)), min_size=3, max_size=20))
def test_hull_agrees_with_an_independent_library(points: list[tuple[int, int]]) -> None:
    from shapely import MultiPoint

    reference = MultiPoint(points).convex_hull
    if reference.geom_type != "Polygon":
        return
    mine = hull([(float(z), float(r)) for z, r in points])
    assert {tuple(p) for p in reference.exterior.coords} == set(mine)


@pytest.mark.parametrize(
    ("holder", "insert"),
    [
        ("PCLNR 2020K12", "CNMG 120408"),
        ("SDJCR 1212F11", "DCMT 11T304"),
        ("SVJCR 2525M16", "VCMT 160404"),
        ("SVHCR 2020K16", "VCMT 160408"),
        ("MWLNR 2020K08", "WNMG 080408"),
        ("PSSNR 2525M12", "SNMG 120408"),
        ("STGCR 1616H11", "TCMT 110204"),
        ("SVVBN 2020K16", "VBMT 160404"),
    ],
)
def test_the_head_stands_back_behind_both_edges(holder: str, insert: str) -> None:
    """Seen from the nose, the head keeps within the two edges' lines as far as they go."""
    made = tool(kind="turning", holder=holder, insert=insert)
    head, shank = made.outlines.body
    lead = math.radians(180.0 - made.limits["approach_angle_deg"])
    trail = math.radians(made.limits["trailing_angle_deg"])
    _, flank = made.outlines.cutting[0][:2]
    edge = made.outlines.cutting[0][-1]
    for z, r in flatten_ring(head, 1e-3):
        behind = (r - flank.start[1]) * math.cos(trail) - (z - flank.start[0]) * math.sin(trail)
        assert behind >= 0.5 - 1e-6
        before = (z - edge.end[0]) * math.sin(lead) - (r - edge.end[1]) * math.cos(lead)
        assert before >= 0.5 - 1e-6 or r > edge.start[1] - 0.5
    (low, high) = (f(p[1] for p in flatten_ring(shank, 1e-3)) for f in (min, max))
    assert low >= max(p[1] for p in flatten_ring(head, 1e-3)) - 1e-9
    assert high > low + 100.0


@pytest.mark.parametrize(
    ("bar", "insert"),
    [
        ("S12M-SCLCR 06", "CCMT 060204"),
        ("S20R-SDUCR 11", "DCMT 11T304"),
        ("S25T-SVQCR 16", "VCMT 160404"),
        ("S16Q-STFCR 11", "TCMT 110204"),
    ],
)
def test_nothing_of_a_bar_stands_before_its_edges(bar: str, insert: str) -> None:
    """Head and bar keep behind the leading edge's line, and below the trailing edge's until the
    bar's own near side is reached.
    """
    made = tool(kind="boring", bar=bar, insert=insert)
    flat = mirror_r(made.outlines)
    lead = math.radians(180.0 - made.limits["approach_angle_deg"])
    trail = math.radians(made.limits["trailing_angle_deg"])
    near = made.limits["recess_depth_mm"]
    _, flank = flat.cutting[0][:2]
    edge = flat.cutting[0][-1]
    for ring in flat.body[:2]:
        for z, r in flatten_ring(ring, 1e-3):
            behind = (r - flank.start[1]) * math.cos(trail) - (z - flank.start[0]) * math.sin(trail)
            assert behind >= 0.5 - 1e-6 or r >= near - 1e-6
            before = (z - edge.end[0]) * math.sin(lead) - (r - edge.end[1]) * math.cos(lead)
            assert before >= 0.5 - 1e-6
