"""Threading inserts against the published profile of ISO metric threads."""

from __future__ import annotations

import math
from typing import Any

import pytest

from turnability.half_plane.curves import Arc, Line, flatten_ring
from turnability.shop.books import rows
from turnability.shop.load import tools_of
from turnability.shop.model import Tool

OUTSIDE = {"kind": "threading"}
INSIDE = {"kind": "internal-threading", "bar_diameter_mm": 20.0, "f_mm": 15.0}


def tool(**table: Any) -> Tool:
    (made,) = tools_of(table)
    return made


@pytest.mark.parametrize("pitch", [0.5, 1.0, 1.5, 2.0, 3.0])
def test_depth_and_root_of_a_full_profile(pitch: float) -> None:
    """ISO 68-1, as DIN 13 prints it: h3 = 0.61343 P, H1 = 0.54127 P, R = 0.14434 P."""
    outside = tool(**OUTSIDE, insert=f"16ER {pitch:g} ISO").limits
    inside = tool(**INSIDE, insert=f"16IR {pitch:g} ISO").limits
    assert outside["thread_depth_mm"] == pytest.approx(0.61343 * pitch, abs=6e-6 * pitch)
    assert inside["thread_depth_mm"] == pytest.approx(0.54127 * pitch, abs=6e-6 * pitch)
    assert outside["nose_radius_mm"] == pytest.approx(0.14434 * pitch, abs=6e-6 * pitch)
    assert outside["least_pitch_mm"] == outside["most_pitch_mm"] == pitch


@pytest.mark.parametrize(
    "table", [OUTSIDE | {"insert": "16ER AG60"}, INSIDE | {"insert": "16IR AG60"}]
)
def test_flanks_stand_at_30_degrees_about_the_point(table: dict[str, Any]) -> None:
    made = tool(**table)
    (ring,) = made.outlines.cutting
    sign = 1.0 if made.access == "outer" else -1.0
    (nose,) = [c for c in ring if isinstance(c, Arc)]
    assert nose.centre[0] == pytest.approx(0.0, abs=1e-12)
    flanks = [c for c in ring if isinstance(c, Line) and abs(c.end[1] - c.start[1]) > 1e-9]
    assert len(flanks) == 2
    for flank in flanks:
        (z0, r0), (z1, r1) = flank.start, flank.end
        assert abs(math.degrees(math.atan((z1 - z0) / (r1 - r0)))) == pytest.approx(30.0)
    points = flatten_ring(ring, 1e-6)
    assert (sign * points[:, 1]).min() == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("entry", rows("threading_inserts"), ids=lambda e: e["side"] + e["size"])
def test_every_row_of_the_table_is_a_tool_from_memory(entry: dict[str, str]) -> None:
    profile = entry["profile"].split()[0]
    if entry["side"] == "external":
        made = tool(**OUTSIDE, insert=f"{entry['size']}ER {profile}")
    else:
        made = tool(**INSIDE, insert=f"{entry['size']}IR {profile}")
    assert made.limits["least_pitch_mm"] == float(entry["pitch_min_mm"])
    assert made.limits["most_pitch_mm"] == float(entry["pitch_max_mm"])
    assert not made.sources["most_pitch_mm"].verified
    assert any("greatest pitch" in note for note in made.notes)


def test_smallest_bore_by_table_by_file_or_by_geometry() -> None:
    bar = {"kind": "internal-threading", "bar_diameter_mm": 9.0, "f_mm": 6.5, "insert": "11IR A60"}
    assert tool(**bar).limits["min_bore_mm"] == 12.0  # the table, from memory
    assert tool(**bar, min_bore_mm=13.0).limits["min_bore_mm"] == 13.0
    wide = bar | {"bar_diameter_mm": 12.0, "f_mm": 9.0}
    assert tool(**wide).limits["min_bore_mm"] == 15.0  # f + d/2: more than the table's


def test_left_is_right_mirrored_and_the_side_stands_toward_the_chuck() -> None:
    right = tool(**OUTSIDE, insert="16ER 1.5 ISO", side_mm=1.2)
    left = tool(**OUTSIDE, insert="16EL 1.5 ISO", side_mm=1.2)
    ends = [flatten_ring(t.outlines.body[-1], 0.01)[:, 0] for t in (right, left)]
    assert (ends[0].min(), ends[1].max()) == pytest.approx((-1.2, 1.2))
    assert (right.hand, left.hand) == ("right", "left")
