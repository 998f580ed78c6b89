"""Grooves and drill points drawn to published sizes are read back with those sizes.

Sources: DIN 471 and DIN 472, normal series (shaft or bore d1, groove d2, width m), rows that two
independent open data sets agree on; static O-ring glands as AS568/ISO 3601-2 style tables give
them (one open data set: largest radial depth, width without back-up ring, largest bottom radius).
Drill tips: the cone's geometry, length d / (2 tan(point / 2)); 0.3004 d and 0.2332 d are the
handbook factors for 118 and 130 degrees.
"""

from __future__ import annotations

import pytest

from turnability.features.drawing import drawn, fillet
from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.model import Profile

DIN_471 = [(3, 2.8, 0.5), (10, 9.6, 1.1), (20, 19, 1.3), (30, 28.6, 1.6), (50, 47, 2.15),
           (80, 76.5, 2.65), (100, 96.5, 3.15)]  # fmt: skip
DIN_472 = [(8, 8.4, 0.9), (12, 12.5, 1.1), (20, 21, 1.1), (30, 31.4, 1.3), (50, 53, 2.15),
           (68, 71, 2.65), (98, 101.5, 3.15)]  # fmt: skip
O_RINGS = [(0.76, 1.52, 0.20), (1.40, 2.41, 0.38), (2.18, 3.56, 0.51), (2.95, 4.57, 0.76),
           (4.47, 7.11, 1.27), (5.97, 9.40, 1.52)]  # fmt: skip


@pytest.mark.parametrize(("d1", "d2", "m"), DIN_471)
def test_ring_groove_on_a_shaft(d1: float, d2: float, m: float) -> None:
    z, length = 2.0 * d1, 3.0 * d1 + m
    profile = drawn(
        [(0, 0), (length, 0), (length, d1 / 2), (z + m, d1 / 2), (z + m, d2 / 2), (z, d2 / 2),
         (z, d1 / 2), (0, d1 / 2)]
    )  # fmt: skip
    groove = only(profile, "groove")
    assert groove.z_mm == pytest.approx((z, z + m))
    assert groove.diameter_mm == pytest.approx((d2, d1))
    assert groove.parameters["width_mm"] == pytest.approx(m)
    assert groove.parameters["depth_mm"] == pytest.approx((d1 - d2) / 2)
    assert kinds(profile) == ["cylinder", "cylinder", "face", "face", "groove"]


@pytest.mark.parametrize(("d1", "d2", "m"), DIN_472)
def test_ring_groove_in_a_bore(d1: float, d2: float, m: float) -> None:
    z, length = 2.0 * d1, 3.0 * d1 + m
    profile = drawn(
        [(0, d1 / 2), (z, d1 / 2), (z, d2 / 2), (z + m, d2 / 2), (z + m, d1 / 2), (length, d1 / 2),
         (length, d1), (0, d1)]
    )  # fmt: skip
    recess = only(profile, "recess")
    assert recess.diameter_mm == pytest.approx((d1, d2))
    assert recess.parameters["width_mm"] == pytest.approx(m)
    assert recess.parameters["entry_diameter_mm"] == pytest.approx(d1)
    bore = only(profile, "bore")
    assert bore.z_mm == pytest.approx((0.0, length))
    assert recess.parent == bore.id


@pytest.mark.parametrize(("depth", "width", "radius"), O_RINGS)
def test_gland_of_a_piston(depth: float, width: float, radius: float) -> None:
    r, z = 40.0, 30.0
    a, b, c, d = (z + width, r), (z + width, r - depth), (z, r - depth), (z, r)
    profile = drawn(
        [(0, 0), (80, 0), (80, r), a, *fillet(a, b, c, radius), *fillet(b, c, d, radius), d, (0, r)]
    )
    groove = only(profile, "groove")
    assert groove.parameters["width_mm"] == pytest.approx(width)
    assert groove.parameters["depth_mm"] == pytest.approx(depth)
    assert groove.parameters["floor_radius_mm"] == pytest.approx(radius)
    fillets = [f for f in recognise(profile) if f.kind == "fillet"]
    assert [f.parent for f in fillets] == [groove.id, groove.id]


@pytest.mark.parametrize(("depth", "width"), [(d, w) for d, w, _ in O_RINGS])
def test_gland_in_a_face(depth: float, width: float) -> None:
    z, r = 20.0 - depth, 15.0
    profile = drawn(
        [(0, 0), (20, 0), (20, r), (z, r), (z, r + width), (20, r + width), (20, 40), (0, 40)]
    )
    groove = only(profile, "end-groove")
    assert groove.z_mm == pytest.approx((z, 20.0))
    assert groove.diameter_mm == pytest.approx((2 * r, 2 * (r + width)))
    assert groove.parameters["depth_mm"] == pytest.approx(depth)


@pytest.mark.parametrize(
    ("point", "factor"), [(118, 0.3004), (130, 0.2332), (135, 0.2071), (140, 0.1820), (90, 0.5)]
)
@pytest.mark.parametrize("d", [3.0, 8.5, 20.0])
def test_tip_of_a_drill(point: float, factor: float, d: float) -> None:
    floor = 10.0
    profile = drawn(
        [(0, 0), (floor, 0), (floor + factor * d, d / 2), (60, d / 2), (60, 2 * d), (0, 2 * d)]
    )
    tip = only(profile, "drill-point")
    assert tip.parameters["angle_deg"] == pytest.approx(point, abs=0.02)  # factors have 4 digits
    bore = only(profile, "bore")
    assert tip.parent == bore.id
    assert bore.parameters["bottom"] == "drill-point"
    assert bore.parameters["depth_mm"] == pytest.approx(50.0 - factor * d)


def only(profile: Profile, kind: str) -> Feature:
    """The one feature of its kind."""
    (feature,) = (f for f in recognise(profile) if f.kind == kind)
    return feature


def kinds(profile: Profile) -> list[str]:
    return sorted(feature.kind for feature in recognise(profile))
