"""Which bodies stand beside the part, and where."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.outputs.sample import housing_report, plate_report
from turnability.outputs._bodies import bodies_of


def test_uncut_regions_grips_and_stock_stand_in_the_parts_frame() -> None:
    report = housing_report()
    bodies = bodies_of(report)
    assert bodies is not None
    assert (bodies.origin_mm, bodies.direction) == ((1.0, 2.0, 0.0), (0.0, 0.0, 1.0))
    by_name = {body.name: body for body in bodies.bodies}
    assert by_name["L1 uncut"].ring == ((60, 24.5), (62, 26), (60, 26))
    ring = by_name["grip of setup 2"].ring
    assert {z for z, _ in ring} == {94.0, 112.0}
    assert {r for _, r in ring} == {30.0, 33.0}  # 5 % of the diameter thick
    raw = by_name["grip of setup 1"].ring
    assert {z for z, _ in raw} == {-20.0, 0.0}


def test_the_stock_reaches_as_far_beyond_the_stub_as_beyond_the_part() -> None:
    report = housing_report()
    assert report.stock is not None
    assert report.stock.choice is not None
    piece = replace(report.stock.choice, length_mm=134.0)
    bodies = bodies_of(replace(report, stock=replace(report.stock, choice=piece)))
    assert bodies is not None
    ring = bodies.bodies[-1].ring
    assert (min(z for z, _ in ring), max(z for z, _ in ring)) == pytest.approx((-21.0, 113.0))
    assert {r for _, r in ring} == {0.0, 47.5}


def test_hexagons_keep_their_flats_and_tubes_their_bore() -> None:
    report = housing_report()
    assert report.stock is not None
    tube, hexagon = report.stock.alternatives
    for piece, bore, flats in ((tube, 17.5, None), (hexagon, 0.0, 100.0)):
        bodies = bodies_of(replace(report, stock=replace(report.stock, choice=piece)))
        assert bodies is not None
        assert min(r for _, r in bodies.bodies[-1].ring) == bore
        assert bodies.bodies[-1].across_flats_mm == flats


def test_a_part_without_axis_has_none() -> None:
    assert bodies_of(plate_report()) is None
