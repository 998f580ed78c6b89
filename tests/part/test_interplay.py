"""Cuts that run into each other and into the ends: their turned body against their own formulas.

Oracle: the part as a predicate on points (what is turned, less each cutter by its formula). A place
(z, r) is in the turned body where any of many angles is in the part.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cadquery as cq
import numpy as np
import pytest

from turnability.half_plane.curves import flatten_ring
from turnability.half_plane.inside import polygon_distance, polygon_holds
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
FAR = 250.0
CLEAR_MM = 2e-3
Inside = Callable[[np.ndarray], np.ndarray]
"""Points (n, m, 3) to whether each is inside."""


@dataclass
class Body:
    """A solid about x and the predicate that says the same."""

    shape: cq.Shape
    inside: Inside

    def less(self, *tools: Body) -> Body:
        shape, inside = self.shape, self.inside
        for tool in tools:
            shape = shape.cut(tool.shape)
        return Body(shape, lambda p: inside(p) & ~np.any([t.inside(p) for t in tools], axis=0))

    def turned(self, degrees: float) -> Body:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        back = np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
        shape = self.shape.rotate(cq.Vector(), cq.Vector(1, 0, 0), degrees)
        return Body(shape, lambda p: self.inside(p @ back))


def turning(*corners: tuple[float, float]) -> Body:
    wire = cq.Wire.makePolygon([cq.Vector(z, r, 0) for z, r in corners], close=True)
    shape = cq.Solid.revolve(wire, [], 360.0, cq.Vector(), cq.Vector(1, 0, 0))
    polygon = np.array(corners)

    def inside(p: np.ndarray) -> np.ndarray:
        held = polygon_holds(polygon, np.column_stack((p[:, 0, 0], np.hypot(*p[:, 0, 1:].T))))
        return np.broadcast_to(held[:, None], p.shape[:2])

    return Body(shape, inside)


def rod(radius: float, foot: Sequence[float], way: Sequence[float], length: float = FAR) -> Body:
    axis = np.array(way, dtype=float)
    shape = cq.Solid.makeCylinder(radius, length, cq.Vector(*foot), cq.Vector(*way))

    def inside(p: np.ndarray) -> np.ndarray:
        rel = p - np.array(foot)
        along = rel @ axis
        off = np.linalg.norm(rel - along[..., None] * axis, axis=2)
        return (along >= 0.0) & (along <= length) & (off <= radius)

    return Body(shape, inside)


def ball(radius: float, centre: Sequence[float]) -> Body:
    whole = cq.Solid.makeSphere(radius, angleDegrees1=-90, angleDegrees2=90)
    return Body(
        whole.translate(cq.Vector(*centre)),
        lambda p: np.linalg.norm(p - np.array(centre), axis=2) <= radius,
    )


def block(low: Sequence[float], high: Sequence[float]) -> Body:
    size = np.subtract(high, low)
    return Body(
        cq.Solid.makeBox(*size, cq.Vector(*low)),
        lambda p: ((p >= np.array(low)) & (p <= np.array(high))).all(axis=2),
    )


def beyond(normal: Sequence[float], distance: float) -> Body:
    n = np.array(normal) / np.linalg.norm(normal)
    plane = cq.Plane(tuple(distance * n), tuple(np.cross(n, (0.3, 0.5, 0.81))), tuple(n))
    shape = cq.Workplane(plane).rect(4 * FAR, 4 * FAR).extrude(2 * FAR).val()
    return Body(shape, lambda p: p @ n >= distance)


def through(radius: float, z: float, aside: float = 0.0) -> Body:
    return rod(radius, (z, aside, -FAR), (0, 0, 1), 2 * FAR)


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


@pytest.mark.parametrize(
    "draw",
    [
        oblique_end_and_keyway,
        ball_nosed_slot_through_an_oblique_end,
        cross_hole_touched_by_another,
        equal_crossing_holes_off_the_middle,
    ],
)
def test_the_turned_body_is_what_any_angle_holds_and_the_books_close(draw):
    body = draw()
    (solid,) = body.shape.Solids()
    part = part_of(solid.wrapped, SOURCE, ())
    assert part.doubts == ()
    profile = part.profile
    rest = profile.volume_mm3 - profile.departures_volume_mm3
    assert rest == pytest.approx(profile.solid_volume_mm3, rel=1e-6)
    random = np.random.default_rng(0)
    places = random.uniform(0.0, 1.0, (400, 2)) * (profile.length_mm, profile.max_diameter_mm / 2)
    rings = [flatten_ring(loop.ring, 1e-5) for loop in profile.loops]
    places = places[polygon_distance(rings, places) > CLEAR_MM]
    held = sum(polygon_holds(ring, places).astype(int) for ring in rings) % 2 == 1
    turn = np.linspace(0.0, math.tau, 3001)[:-1]
    z = part.axis.origin_mm[0] + part.axis.direction[0] * places[:, 0]
    points = np.stack(
        (
            np.broadcast_to(z[:, None], (len(places), len(turn))),
            places[:, 1:] * np.cos(turn),
            places[:, 1:] * np.sin(turn),
        ),
        axis=2,
    )
    met = body.inside(points).any(axis=1)
    assert not (met & ~held).any(), places[met & ~held][:5]
    if draw is not equal_crossing_holes_off_the_middle:  # voids that cuts alone bound are filled
        assert not (held & ~met).any(), places[held & ~met][:5]
