"""Bars and drills against published figures and what geometry demands of the tables."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from turnability.half_plane.curves import flatten_ring
from turnability.setups.bending.boring_bar import is_carbide
from turnability.shop.books import rows
from turnability.shop.load import tools_of
from turnability.shop.model import Tool


def tool(**table: Any) -> Tool:
    (made,) = tools_of(table)
    return made


def test_every_bar_fits_its_smallest_bore() -> None:
    """Geometry: nose and bar together are f + d/2 wide. The series is from memory (ISO 5609)."""
    for entry in rows("boring_bar_dimensions"):
        d, f = float(entry["d_mm"]), float(entry["f_mm"])
        assert f + d / 2.0 <= float(entry["min_bore_mm"])
        assert f > d / 2.0
        assert entry["verified"] == "memory"


@pytest.mark.parametrize("d", ["12", "16", "20", "25"])
def test_steel_bars_stand_out_no_more_than_four_diameters(d: str) -> None:
    """Steel up to 4 × d, carbide above: small-hole boring bar guide (publisher withheld)."""
    steel = tool(kind="boring", bar=f"S{d}T-SCLCR 09", insert="CCMT 09T304")
    assert steel.limits["overhang_mm"] == pytest.approx(4.0 * float(d))
    carbide = tool(kind="boring", bar=f"C{d}T-SCLCR 09", insert="CCMT 09T304")
    assert carbide.limits["overhang_mm"] > steel.limits["overhang_mm"]


@pytest.mark.parametrize(
    ("letter", "carbide"),
    [("S", False), ("A", False), ("B", False), ("D", False), ("C", True), ("E", True), ("F", True)],
)
def test_the_first_letter_of_a_bar_names_its_shank(letter: str, carbide: bool) -> None:
    """ISO 6261, letters on an ISO holder designation page (publisher withheld); B, D, C: memory.

    How far a bar gives and how far it may stand out follow from the same letter.
    """
    assert is_carbide(f"{letter}16Q-SCLCR 09") is carbide
    assert is_carbide(None) is False
    made = tool(kind="boring", bar=f"{letter}16Q-SCLCR 09", insert="CCMT 09T304")
    steel = tool(kind="boring", bar="S16Q-SCLCR 09", insert="CCMT 09T304")
    longer = made.limits["overhang_mm"] > steel.limits["overhang_mm"]
    assert longer is (carbide or letter in "BD")  # damped steel stands out further too


def test_jobber_drill_of_9_mm() -> None:
    """Flute 81 mm of 125 mm overall: a product page of a DIN 338 drill (publisher withheld)."""
    made = tool(kind="drill", diameter_mm=9.0)
    assert made.limits["flute_length_mm"] == 81.0
    (entry,) = [r for r in rows("drill_lengths") if r["flute_mm"] == "81"]
    assert float(entry["overall_mm"]) == 125.0


def test_a_jobber_drill_has_a_point_of_118_degrees() -> None:
    """DIN 1414-1, type N: 118°; a drill is taken for one unless the shop says otherwise."""
    assert tool(kind="drill", diameter_mm=9.0).limits["point_angle_deg"] == 118.0


def test_a_drills_chuck_is_as_wide_as_it_is_stated_and_ends_the_way_in() -> None:
    """DIN 338: 10 mm is 133 overall; what stands in the chuck is practice, its width stated."""
    made = tool(kind="drill", diameter_mm=10.0, chuck_diameter_mm=50.0)
    chuck = flatten_ring(made.outlines.body[-1], 1e-5)
    assert (chuck[:, 1].min(), chuck[:, 1].max()) == pytest.approx((-25.0, 25.0))
    held = next(
        float(r["value"]) for r in rows("outline_practice") if r["item"] == "drill_in_chuck"
    )
    assert chuck[:, 0].min() == pytest.approx(133.0 - held * 10.0)


def test_drill_steps_grow() -> None:
    """The steps are from memory (DIN 338, DIN 345): they must at least be in order."""
    steps = [
        tuple(float(r[c]) for c in ("diameter_to_mm", "flute_mm", "overall_mm"))
        for r in rows("drill_lengths")
    ]
    for (d0, flute0, overall0), (d1, flute1, overall1) in pairwise(steps):
        assert d0 < d1
        assert flute0 <= flute1 < overall1
        assert overall0 <= overall1


@pytest.mark.parametrize(
    ("angle", "tip_over_d"), [(118.0, 0.3004), (130.0, 0.2332), (135.0, 0.2071), (140.0, 0.182)]
)
def test_drill_tip_length(angle: float, tip_over_d: float) -> None:
    """Tip length by diameter, handbook geometry: 0.5 / tan(angle / 2)."""
    made = tool(kind="drill", diameter_mm=10.0, point_angle_deg=angle)
    ring = made.outlines.cutting[0]
    (z, _), *_ = sorted(p for p in (c.start for c in ring) if abs(p[1]) > 1e-9)
    assert z / 10.0 == pytest.approx(tip_over_d, abs=5e-5)


def test_blades_deeper_than_eight_widths_are_remarked() -> None:
    """8 × width in steel: parting and grooving page of a tool catalogue (publisher withheld)."""
    deep = tool(kind="parting", width_mm=3.0, max_diameter_mm=50.0)
    usual = tool(kind="parting", width_mm=3.0, max_diameter_mm=48.0)
    assert any("8 ×" in note for note in deep.notes)
    assert not any("8 ×" in note for note in usual.notes)
