"""Circles round the axis and the faces they meet."""

import cadquery as cq
import numpy as np
import pytest
from random_solids import resurfaced

from turnability.part.departures.circles import meetings, walled
from turnability.part.faces_of_solid import kernel_faces


@pytest.mark.parametrize("how", ["nurbs", "revolution"])
def test_circles_meet_a_ring_without_a_formula_as_often_as_the_ring_itself(how):
    """Beside its folds two meetings lie close together; the kernel finds those of the ring."""
    pick = np.random.default_rng(1)
    way, at = pick.normal(size=3), pick.uniform(-4, 4, 3)
    radius, thick = pick.uniform(4, 9), pick.uniform(1, 3.5)
    drawn = cq.Solid.makeTorus(radius, thick, cq.Vector(), cq.Vector(*way.tolist()))
    drawn = drawn.translate(cq.Vector(*at.tolist())).wrapped
    plain, other = (
        [walled(face, 0) for face in kernel_faces(shape)]
        for shape in (drawn, resurfaced(drawn, how))
    )
    for _ in range(900):
        z, r = pick.uniform(-9, 9), pick.uniform(0.02, 12)
        own, same = meetings(plain, z, r), meetings(other, z, r)
        assert own is not None
        assert same is not None
        assert [m.leaves for m in own] == [m.leaves for m in same]
        assert [m.angle for m in own] == pytest.approx([m.angle for m in same], abs=1e-6)
