"""Broken views: thin rings and discs large enough to read, and true to scale but for the gap."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outputs.sample import housing_report
from turnability.analysis import walk
from turnability.half_plane.curves import Line
from turnability.outputs import _palette as palette
from turnability.outputs.drawing.broken import GAP_PX, TOO_THIN_PX, fitting_scale
from turnability.outputs.meridian_svg import TALLEST, drawing
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import drawn_part, drawn_shop

SVG = "{http://www.w3.org/2000/svg}"
ROOM = 1100.0


def ring(outer, inner, length):
    return drawn_profile([(0, inner), (length, inner), (length, outer), (0, outer)])


def drawn_bodies(report):
    """Corners of the two halves of the section, (n, 2) each, as they stand on the sheet."""
    root = ET.fromstring(drawing(report))
    return [
        np.array([[float(v) for v in p] for p in re.findall(r"[ML]([\d.]+) ([\d.]+)", e.get("d"))])
        for e in root.iter(f"{SVG}path")
        if e.get("fill") == palette.MATERIAL
    ]


def test_a_thin_ring_is_drawn_large_and_its_section_true():
    """200 across, 5 long, walls of 3: unbroken the section would be 11 by 7 pixels."""
    report = walk(drawn_part(ring(100, 97, 5)), drawn_shop((220,)))
    for body in drawn_bodies(report):
        wide, high = np.ptp(body, axis=0)
        assert min(wide, high) >= 40.0
        assert wide / high == pytest.approx(5 / 3, rel=2e-3)
    assert "between the break lines" in drawing(report)


def test_what_is_large_enough_is_not_broken():
    assert "between the break lines" not in drawing(housing_report())


def test_marks_point_beside_the_gap():
    profile = ring(90, 0, 4)
    scale = fitting_scale(profile, [], [], ROOM, TALLEST)
    assert scale.gap_mm is not None
    low, high = scale.gap_mm
    _, y = scale.point_at((0.0, 0.5 * (low + high)))
    assert -y > scale.height(high)
    assert scale.point_at((0.0, 90.0)) == scale.place((0.0, 90.0))


@given(
    st.floats(0.5, 300.0), st.floats(0.0, 0.995), st.floats(0.2, 500.0), st.floats(0.05, 0.95)
)  # fmt: skip
def test_only_plain_radii_are_shortened(outer, bore, length, step):
    """A ring with a step: its edges lie outside the gap, and the drawing fits its room."""
    inner = bore * outer
    low = inner + step * (outer - inner)
    profile = drawn_profile(
        [(0, inner), (length, inner), (length, low), (length / 2, low), (length / 2, outer),
         (0, outer)]
    )  # fmt: skip
    scale = fitting_scale(profile, [], [], ROOM, TALLEST)
    plain = min(ROOM / length, 0.5 * TALLEST / outer)
    assert scale.px_per_mm >= plain * (1.0 - 1e-9)
    assert scale.height(outer) <= 0.5 * TALLEST * (1.0 + 1e-9)
    assert length * scale.px_per_mm <= ROOM * (1.0 + 1e-9)
    if scale.gap_mm is None:
        assert scale.px_per_mm == pytest.approx(plain)
        return
    assert min(length, outer - inner) * plain < TOO_THIN_PX
    assert not any(scale.gap_mm[0] < r < scale.gap_mm[1] for r in (inner, low, outer))
    heights = [scale.height(r) for r in np.linspace(0.0, outer, 40)]
    assert heights == sorted(heights)
    assert scale.height(scale.gap_mm[1]) - scale.height(scale.gap_mm[0]) == pytest.approx(GAP_PX)
    for segment in profile.segments:
        if isinstance(segment.curve, Line) and segment.surface != "end":
            assert not scale.gap_mm[0] < segment.curve.start[1] < scale.gap_mm[1]
    assert math.isclose(
        scale.height(outer), (outer - np.diff(scale.gap_mm)[0]) * scale.px_per_mm + GAP_PX
    )


def test_a_finding_on_a_stretch_of_a_long_surface_is_tagged_there():
    report = housing_report()
    finding = report.findings[0]
    where = replace(finding.where, segments=(report.features[7].segments[0],), z_mm=(12.0, 14.0))
    tagged = replace(report, findings=(replace(finding, where=where),))
    (x,) = (
        float(e.attrib["cx"])
        for e in ET.fromstring(drawing(tagged)).iter(f"{SVG}circle")
        if e.get("fill") == palette.MARKS[finding.level]
    )
    scale = 1100.0 / 112.0  # px per mm: the housing is 112 long, and nothing else limits it
    middle = 620.0 + (13.0 - 56.0) * min(scale, TALLEST / 90.0)
    assert x == pytest.approx(middle, abs=6.0)
