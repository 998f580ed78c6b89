"""Rims put together again: slits, nodes that are one place, one curve sampled twice."""

import itertools
import math

import pytest

from turnability.half_plane.curves import Arc, Line, Spline
from turnability.part.turned_body.sampling import curve_through, on_points_of
from turnability.part.turned_body.smoothing import doubles_back, welded

WITHIN_MM = 1e-5
OWN = frozenset((1,))
CENTRE, RADIUS = (0.0, -90.0), 100.0


def on_arc(z: float, off: float = 0.0) -> tuple[float, float]:
    angle = math.asin(z / RADIUS)
    reach = RADIUS + off
    return (CENTRE[0] + reach * math.sin(angle), CENTRE[1] + reach * math.cos(angle))


def arc(a: float, b: float, off: float = 0.0) -> Arc:
    return Arc(on_arc(a, off), on_arc(b, off), CENTRE, RADIUS + off, clockwise=b > a)


def closed_by(*curves):
    """A loop: the curves, then lines back over the axis."""
    (z0, _), (z1, _) = curves[0].start, curves[-1].end
    back = [Line(curves[-1].end, (z1, 0.0)), Line((z1, 0.0), (z0, 0.0)),
            Line((z0, 0.0), curves[0].start)]  # fmt: skip
    return [(curve, OWN) for curve in (*curves, *back)]


def test_a_rim_that_runs_out_and_back_over_one_arc_doubles_back():
    slit = closed_by(arc(8.0, 2.0), Line(on_arc(2.0), on_arc(2.0, 8e-6)),
                     arc(2.0, 5.0, 8e-6), Line(on_arc(5.0, 8e-6), (5.0, 3.0)))  # fmt: skip
    assert doubles_back(slit, WITHIN_MM)
    assert not doubles_back(closed_by(arc(8.0, 2.0), arc(2.0, -5.0)), WITHIN_MM)


def test_a_feather_edge_between_arcs_that_touch_does_not_double_back():
    tip = on_arc(0.0)
    flat = Line(tip, (6.0, tip[1]))  # the arc's tangent: 0.18 mm away at its end
    rest = [flat.end, (20.0, 10.0), (20.0, 0.0), on_arc(6.0)]
    sides = [Line(a, b) for a, b in itertools.pairwise(rest)]
    loop = [(curve, OWN) for curve in (arc(6.0, 0.0), flat, *sides)]
    assert not doubles_back(loop, WITHIN_MM)


def test_a_line_of_a_hair_between_two_pieces_of_an_arc_goes():
    far, near = on_arc(2.0), on_arc(2.0, 8e-6)
    rest = Arc(near, on_arc(-5.0), CENTRE, RADIUS, clockwise=False)
    loop = closed_by(arc(8.0, 2.0), Line(far, near), rest)
    kept = welded(loop, WITHIN_MM)
    assert len(kept) == len(loop) - 1
    assert kept[1][0].start == kept[0][0].end == far
    assert all(kept[i - 1][0].end == curve.start for i, (curve, _) in enumerate(kept))


def wave(low: float, high: float, count: int, lift: float = 0.0) -> Spline:
    steps = [low + (high - low) * k / count for k in range(count + 1)]
    return Spline(tuple((z, 20.0 + 0.1 * math.sin(z) + lift) for z in steps))


@pytest.mark.parametrize("back", [False, True])
def test_a_part_of_a_sampled_curve_runs_through_the_points_of_the_whole(back):
    whole, part = wave(0.0, 6.0, 200), wave(1.01, 2.0, 17)
    part = part.reversed() if back else part
    again = on_points_of(part, whole)
    assert (again.start, again.end) == (part.start, part.end)
    assert set(again.points[1:-1]) == {p for p in whole.points if 1.01 < p[0] < 2.0}
    assert [p[0] for p in again.points] == sorted((p[0] for p in again.points), reverse=back)


def test_a_curve_beside_another_is_no_part_of_it():
    whole = wave(0.0, 6.0, 200)
    assert on_points_of(wave(1.0, 2.0, 17, lift=1e-3), whole) is None
    assert on_points_of(wave(5.0, 7.0, 40), whole) is None
    assert on_points_of(whole, wave(1.0, 2.0, 17)) is None


def test_a_seen_line_with_the_waves_of_a_spline_is_no_arc() -> None:
    """Waves of 0.3 nm on 12 mm: through ends and middle goes an arc of thousands of km, whose
    angle rounding would take for a whole turn."""
    z = [12.0 * k / 16 for k in range(17)]
    points = [(x, 10.0 + 3e-7 * math.sin(math.tau * x / 12.0) + 1e-12 * (0 < x < 12)) for x in z]
    assert curve_through(points) == Line(points[0], points[-1])
    far = [(5e3 * math.sin(t), 5e3 * (1 - math.cos(t))) for t in (1e-3 * k / 16 for k in range(17))]
    arc = curve_through(far)  # 5 mm long, 0.6 µm high: still an arc
    assert isinstance(arc, Arc)
    assert arc.radius == pytest.approx(5e3, rel=1e-3)
