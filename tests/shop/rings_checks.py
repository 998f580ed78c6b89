"""What every outline of a tool must hold to."""

from __future__ import annotations

import math

from shapely import Polygon

from turnability.half_plane.curves import Arc, Ring, flatten_ring, ring_area
from turnability.shop.model import Outlines


def check_ring(ring: Ring) -> None:
    """Closed, anticlockwise, simple; every arc's ends lie on its circle."""
    assert len(ring) >= 2
    for curve, following in zip(ring, ring[1:] + ring[:1], strict=True):
        assert math.dist(curve.end, following.start) < 1e-9
        assert curve.length() > 1e-9
        if isinstance(curve, Arc):
            assert math.isclose(math.dist(curve.start, curve.centre), curve.radius, rel_tol=1e-9)
            assert math.isclose(math.dist(curve.end, curve.centre), curve.radius, rel_tol=1e-9)
    assert ring_area(ring) > 1e-6
    assert Polygon(flatten_ring(ring, 0.01)).is_valid


def check_outlines(outlines: Outlines) -> None:
    assert outlines.cutting
    for ring in (*outlines.cutting, *outlines.body):
        check_ring(ring)
