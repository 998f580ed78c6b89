"""Laws: the image of an edge reaches its turning points wherever the edge begins.

A round pin whose own axis meets the turning axis ends in a disc. Every point of the disc's rim is
as far from where the axes meet: seen as (z, r) the rim runs to and fro on one arc about that
place, between the places where it turns back.
"""

import math

import cadquery as cq
import numpy as np
import pytest

from turnability.half_plane.curves import Arc, flatten_ring
from turnability.half_plane.inside import polygon_distance, polygon_holds
from turnability.part.model import Source
from turnability.part.turned import part_of
from turnability.part.turned_body import meridian
from turnability.part.turned_body.turning_back import image_curves

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
FOOT_Z, LONG, RADIUS, LEAN_DEG = 20.0, 25.0, 4.0, 15.0
COARSE = math.tau / 32.0
"""The angle between two samples of a whole rim."""


def pinned(turned_rad):
    """A body with a pin that rises by `LEAN_DEG`, its seam turned out of the plane of the axis."""
    pin = cq.Workplane().circle(RADIUS).extrude(LONG)
    pin = pin.rotate((0, 0, 0), (0, 0, 1), math.degrees(turned_rad))
    pin = pin.rotate((0, 0, 0), (0, 1, 0), 90.0 - LEAN_DEG).translate((0, 0, FOOT_Z))
    (solid,) = cq.Workplane().circle(12).extrude(40).union(pin).solids().vals()
    return part_of(solid.wrapped, SOURCE, ())


def rim():
    lean = math.radians(LEAN_DEG)
    t = np.linspace(0.0, math.tau, 4001)
    x = LONG * math.cos(lean) - RADIUS * np.cos(t) * math.sin(lean)
    z = FOOT_Z + LONG * math.sin(lean) + RADIUS * np.cos(t) * math.cos(lean)
    return np.column_stack((z, np.hypot(x, RADIUS * np.sin(t))))


@pytest.mark.parametrize("end", [0.0, math.pi])
@pytest.mark.parametrize("share", [0.0, 0.01, 0.07, 0.3, 0.49, 0.51, 0.9, 1.0, 5.0])
def test_a_rim_that_begins_beside_a_turn_is_seen_to_it(share, end):
    part = pinned(end + share * COARSE)
    points = rim()
    ring = part.profile.loops[0].ring
    off = polygon_distance([flatten_ring(ring, 1e-5)], points)
    assert off.max() <= 1e-3, "the rim bounds the body all along"
    (arc,) = (c for c in ring if isinstance(c, Arc))
    assert arc.centre == pytest.approx((FOOT_Z, 0.0), abs=1e-5)
    assert arc.radius == pytest.approx(math.hypot(LONG, RADIUS), abs=1e-6)
    assert part.doubts == ()
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("low", [-0.1, -0.01, 0.0, 0.01, 0.1, 1.0])
def test_a_run_to_and_fro_is_cut_where_it_turns(low):
    """Once round on a straight line between z = -1 and 1."""
    found = image_curves(lambda t: (math.cos(t), 5.0), low, low + math.tau)
    longest = max(found, key=lambda curve: curve.length())
    ends = sorted((longest.start[0], longest.end[0]))
    assert ends == pytest.approx([-1.0, 1.0], abs=1e-9)
    assert len(found) == 1, "the short run lies on the long one"


def test_what_stands_out_of_the_profile_is_told(monkeypatch):
    """The books close even so: they count what stands out as a departure less than nothing."""
    monkeypatch.setattr(meridian, "edge_image", lambda edge: [])
    part = pinned(1.0)
    points = rim()
    ring = flatten_ring(part.profile.loops[0].ring, 1e-5)
    assert not polygon_holds(ring, points).all()
    (doubt,) = part.doubts
    assert "the solid stands out of the profile by" in doubt
    told = float(doubt.split(" by ")[1].split(" mm")[0])
    assert 0.1 < told <= polygon_distance([ring], points).max() + 0.01
