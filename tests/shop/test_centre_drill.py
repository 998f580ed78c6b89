"""Centre drills against closed-form geometry, and in reach."""

from __future__ import annotations

import math
from typing import Any

import pytest

from turnability.half_plane.curves import ring_area
from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.shop.books import rows
from turnability.shop.load import tools_of
from turnability.shop.model import Tool

SIZES = [float(entry["d_mm"]) for entry in rows("centre_hole")]


def centre_drill(**table: Any) -> Tool:
    (made,) = tools_of({"kind": "centre-drill", **table})
    return made


@pytest.mark.parametrize(
    ("form", "d"), [("A", d) for d in SIZES] + [("B", d) for d in SIZES if d >= 1.0]
)
def test_pilot_cone_and_chamfer(form: str, d: float) -> None:
    """Area above the axis: triangle of the point, pilot, and a trapezium for each cone."""
    made = centre_drill(size_mm=d, form=form)
    (ring,) = made.outlines.cutting
    pilot, mouth = made.limits["pilot_length_mm"], made.limits["mouth_diameter_mm"]
    point = d / 2.0 / math.tan(math.radians(60.0))
    area = d / 2.0 * point / 2.0 + d / 2.0 * (pilot - point)
    ends = [mouth] if form == "A" else [_a_mouth(d), mouth]
    r = d / 2.0
    for end, angle in zip(ends, (60.0, 120.0), strict=False):
        area += (end / 2.0 + r) / 2.0 * (end / 2.0 - r) / math.tan(math.radians(angle / 2.0))
        r = end / 2.0
    assert ring_area(ring) == pytest.approx(2.0 * area)
    assert made.on_axis
    assert made.access == "end"


def _a_mouth(d: float) -> float:
    return next(float(e["A_D_mm"]) for e in rows("centre_hole") if float(e["d_mm"]) == d)


def test_the_tables_mouth_lies_within_the_drill_of_its_size() -> None:
    """ISO 6411 form A mouths (from memory): about 2.12 times the pilot, below the shank."""
    for entry in rows("centre_hole"):
        d, mouth = float(entry["d_mm"]), float(entry["A_D_mm"])
        assert mouth == pytest.approx(2.12 * d, rel=0.02)
        assert mouth <= float(entry["drill_shank_mm"])


def test_what_stands_from_memory_is_said() -> None:
    notes = " ".join(centre_drill(size_mm=2.0).notes)
    assert "pilot length 1.8 mm from memory" in notes
    given = centre_drill(size_mm=2.0, pilot_length_mm=2.5, shank_diameter_mm=5.0)
    assert given.notes == ()


@pytest.mark.parametrize(("extra", "left"), [(0.0, False), (0.5, True)])
def test_it_makes_a_centre_hole_of_its_size_and_none_deeper(extra: float, left: bool) -> None:
    """A shaft of ⌀20 × 40 with a hole of form A 2: pilot with its 120° point, cone to ⌀4.25."""
    cone = (4.25 - 2.0) / 2.0 / math.tan(math.radians(30.0))
    point = 1.0 / math.tan(math.radians(60.0))
    floor = 40.0 - cone - 1.8 - extra
    part = drawn_part(
        [(0, 0), (floor, 0), (floor + point, 1), (40 - cone, 1), (40, 2.125), (40, 10), (0, 10)]
    )
    assert part.profile is not None
    reach = reach_of(part.profile, (centre_drill(size_mm=2.0),))
    assert bool(reach.left) == left


def test_it_is_no_drill_for_holes_between_drills() -> None:
    """The rule on hole sizes goes by `diameter_mm`, which a centre drill does not have."""
    assert "diameter_mm" not in centre_drill(size_mm=2.0).limits
