"""Cuts that run into each other and into the ends: their turned body against their own formulas.

Oracle: the part as a level function of points (`level_bodies`): what is turned, less each cutter by
its formula. A place (z, r) is in the turned body where the part is met at any angle.
"""

from __future__ import annotations

import random

import numpy as np
import pytest
from level_bodies import (
    FAR,
    Body,
    ball,
    beyond,
    block,
    drawn,
    highest,
    outline_errors,
    ring,
    rod,
    through,
    turning,
)
from random_solids import moved, random_move

from turnability.half_plane.curves import flatten_ring
from turnability.half_plane.inside import polygon_distance, polygon_holds
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
CLEAR_MM = 2e-3


def oblique_end_and_keyway() -> Body:
    """Only a short piece of the oblique plane's fold is left beside the bore."""
    body = turning((0, 3.63), (18.6, 3.63), (18.6, 15.23), (0, 15.23))
    end = beyond((1, -0.39880886, 0), 15.81332).turned(90)
    return body.less(end, block((9.6, -3.433, 11.9), (20, 3.433, FAR)).turned(66.4))


def ball_nosed_slot_through_an_oblique_end() -> Body:
    """The slot's seam lies a hair beside the fold of the end."""
    body = turning((0, 3.370592027668799), (15.161394324160646, 3.370592027668799),
                   (17.183749540761927, 0), (58.501583657907595, 0),
                   (58.501583657907595, 17.13824770502878),
                   (55.659419938136345, 17.13824770502878),
                   (55.659419938136345, 28.861153127025435),
                   (29.612820536858052, 28.861153127025435),
                   (29.612820536858052, 15.635551001538092),
                   (7.839828051239143, 15.635551001538092),
                   (7.839828051239143, 15.084381174556615), (0, 15.084381174556615))  # fmt: skip
    r = 4.544662818372065
    foot = (28.40713113959196, 0.0, 13.017876725301821)
    tip = (48.084243129696304, 0.0, 13.017876725301821)
    slot = [rod(r, foot, (1, 0, 0), 19.677111990104347), ball(r, foot), ball(r, tip)]
    end = beyond((1, 0.3092041726930963, 0), 49.72634610922145).turned(215.31060116845768)
    return body.less(*(tool.turned(124.06268387991726) for tool in slot), end)


def cross_hole_touched_by_another() -> Body:
    """The image of the edge between the two touches the larger one's own round."""
    body = turning((0, 4.955958603454151), (27.407087260256183, 4.955958603454151),
                   (27.407087260256183, 1.1427969429214218),
                   (37.8796404453921, 1.1092045600192295), (37.8796404453921, 15.995998576003673),
                   (20.940417106230097, 15.995998576003673),
                   (20.940417106230097, 12.837677069524624), (0, 12.837677069524624))  # fmt: skip
    return body.less(
        through(11.916549234939582, 35.60809023786495).turned(90),
        through(4.6978927699366615, 38.59822050705214, 8.668995457050352).turned(85.01864568266623),
    )


def equal_crossing_holes_off_the_middle() -> Body:
    body = turning((0, 0), (60, 0), (60, 15), (0, 15))
    return body.less(through(3, 30), through(3, 30).turned(90), through(2, 33).turned(40))


def hole_that_breaks_out_of_an_oblique_end() -> Body:
    """The edge between the two touches the folds of both; the end comes nearest beside a corner."""
    body = turning((20, 1.5), (45.747, 1.5), (45.747, 18), (20, 18))
    return body.less(
        beyond((1, 0.3054433, 0), 42.466957).turned(356.343767),
        through(2.7194857, 43.4160469).turned(108.340579),
    )


def two_flats_and_an_oblique_end_of_an_eccentric_journal() -> Body:
    """A short way of an edge lies between the rows at which the angle jumps on its two faces."""
    body = turning((-0.7, 5.35), (16.24, 5.35), (16.24, 17.2), (-0.7, 17.2))
    flat = block((8.884, -FAR, 11.28982), (21.35, FAR, FAR))
    collar = rod(51.8, (7.3517, 0, 0), (1, 0, 0), 20).less(
        rod(11.2928132, (6.3517, 0.9883778, 0), (1, 0, 0), 25)
    )
    return body.less(
        flat.turned(100.184390),
        flat.turned(280.184390),
        beyond((1, 0.023873018, 0), 12.937801).turned(195.470340),
        rod(0.784318, (0.2692, 10.6543713, 0), (1, 0, 0), 22.92).turned(78.774573),
        collar.turned(100.701340),
    )


def keyway_and_an_oblique_round_groove() -> Body:
    """The groove's fold is looked for where its normal has no part around the axis at both ends."""
    body = turning((0, 8.5), (15.8, 8.5), (15.8, 21.8), (0, 21.8))
    groove = ring(15.3195213, 1.69961207, (12.5863973, 2.7885135, 0), (1, 0.19624678, 0.1710602))
    return body.less(
        block((13.8696622, -3.2767357, 17.6689094), (18.16, 3.2767357, FAR)).turned(209.829266),
        groove.turned(187.853727),
    )


def oblique_end_beside_a_conical_bore() -> Body:
    """All edges of the oblique face begin on one row of its parameters."""
    body = turning((20, 5.5833), (50.6641, 5.5776), (50.6641, 24.0717), (20, 24.0717))
    return body.less(beyond((1, -0.3503247803, 0), 49.5653442785).turned(312.316809))


def cross_hole_that_meets_the_axis_beside_a_hollow() -> Body:
    """The image of the hole's fold comes down to the axis, steeply, and turns back there."""
    body = turning((0, 3.4265), (8.2691, 3.4265), (8.2691, 0), (24.3208, 0),
                   (24.3208, 12.5183), (0, 12.5183))  # fmt: skip
    return body.less(through(9.5236, -0.2546, 3.2), ball(7.4658, (16.427, 0, 2.4575)))


def leaning_ring_that_meets_the_axis() -> Body:
    """The same of a fold that is traced."""
    body = turning((0, 5), (12, 5), (12, 0), (40, 0), (40, 15), (0, 15))
    return body.less(ring(12, 4, (18, 0, 6), (-0.7, 0.2, 1)))


def leaning_flat_bottomed_hole_over_the_axis() -> Body:
    """Wall and floor both meet the axis; their rim passes rows at which the angle jumps."""
    body = turning((0, 0), (40, 0), (40, 15), (0, 15))
    return body.less(rod(7, (16, 0, 2), (-0.7, 0.2, 1)))


VOIDS_FILLED = (equal_crossing_holes_off_the_middle, cross_hole_that_meets_the_axis_beside_a_hollow)
"""Voids that cuts alone bound are filled."""


@pytest.mark.parametrize(
    "draw",
    [
        cross_hole_that_meets_the_axis_beside_a_hollow,
        leaning_ring_that_meets_the_axis,
        leaning_flat_bottomed_hole_over_the_axis,
        oblique_end_and_keyway,
        ball_nosed_slot_through_an_oblique_end,
        cross_hole_touched_by_another,
        equal_crossing_holes_off_the_middle,
        hole_that_breaks_out_of_an_oblique_end,
        two_flats_and_an_oblique_end_of_an_eccentric_journal,
        keyway_and_an_oblique_round_groove,
        oblique_end_beside_a_conical_bore,
    ],
)
def test_the_turned_body_is_what_any_angle_holds_and_the_books_close(draw):
    body = draw()
    (solid,) = body.shape.Solids()
    part = part_of(solid.wrapped, SOURCE, ())
    assert part.doubts == ()
    assert not outline_errors(body, part)
    profile = part.profile
    rest = profile.volume_mm3 - profile.departures_volume_mm3
    assert rest == pytest.approx(profile.solid_volume_mm3, rel=1e-6)
    drawn_at = np.random.default_rng(0)
    places = drawn_at.uniform(0.0, 1.0, (200, 2)) * (profile.length_mm, profile.max_diameter_mm / 2)
    rings = [flatten_ring(loop.ring, 1e-5) for loop in profile.loops]
    places = places[polygon_distance(rings, places) > CLEAR_MM]
    held = sum(polygon_holds(ring, places).astype(int) for ring in rings) % 2 == 1
    met = highest(body, drawn(part, places)) > 0.0
    assert not (met & ~held).any(), places[met & ~held][:5]
    if draw not in VOIDS_FILLED:
        assert not (held & ~met).any(), places[held & ~met][:5]


def test_a_solid_that_meets_itself_along_an_edge_is_doubted():
    """Two pockets that touch corner to corner; a hair apart they are two sound pockets."""
    for apart, doubted in ((0.0, True), (0.01, False)):
        body = turning((0, 0), (60, 0), (60, 20), (0, 20))
        cut = body.less(block((20, 0, 5), (30, 10, FAR)), block((30 + apart, -10, 5), (40, 0, FAR)))
        part = part_of(cut.shape.Solids()[0].wrapped, SOURCE, ())
        assert any("more than two of its faces share" in doubt for doubt in part.doubts) == doubted


@pytest.mark.parametrize("scale", [1.0, 60.0])
@pytest.mark.parametrize(("first", "second"), [(2.0, 2.0), (1.2, 1.5), (2.0, 1.7)])
def test_holes_that_meet_on_the_axis_leave_no_void_there(first, second, scale):
    """A blind cross hole and one at 45° that ends on its wall, the axis through both.

    Edges pass the axis for a short way only; on a part of metres they miss it by rounding.
    """
    bar = turning((0, 0), (45, 0), (45, 14), (16, 14), (4, 6), (0, 6))
    z, far = 26.3, 140.0
    holes = (
        rod(first, (z, 0, -FAR), (0, 0, 1), FAR),
        rod(second, (z - far, 0, far), (1, 0, -1), 200),
    )
    body = bar.less(*holes)
    (solid,) = body.shape.Solids()
    if scale == 1.0:
        part = part_of(solid.wrapped, SOURCE, ())
        assert not outline_errors(body, part)
    else:
        move = random_move(random.Random(1), 2000.0)
        part = part_of(moved(solid.scale(scale).wrapped, move), SOURCE, ())
    assert part.doubts == ()
    profile = part.profile
    assert len(profile.segments) == 6
    rest = profile.volume_mm3 - profile.departures_volume_mm3
    assert rest == pytest.approx(profile.solid_volume_mm3, rel=1e-6)
