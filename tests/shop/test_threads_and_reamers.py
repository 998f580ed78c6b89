"""Thread designations against published basic sizes; taps, dies and reamers in closed form."""

from __future__ import annotations

from typing import Any

import pytest

from turnability.half_plane.curves import flatten_ring, ring_area
from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.shop.load import _shop_of, tools_of
from turnability.shop.model import Tool
from turnability.shop.thread_code import parse_thread
from turnability.toml_file.keys import Fault


def tool(**table: Any) -> Tool:
    (made,) = tools_of(table)
    return made


@pytest.mark.parametrize(
    ("code", "major", "pitch", "inside", "outside"),
    [
        ("M3", 3.0, 0.5, 2.459, 2.387),
        ("M6", 6.0, 1.0, 4.917, 4.773),
        ("M10", 10.0, 1.5, 8.376, 8.160),
        ("M12", 12.0, 1.75, 10.106, 9.853),
        ("M20", 20.0, 2.5, 17.294, 16.933),
    ],
)
def test_coarse_metric_threads(
    code: str, major: float, pitch: float, inside: float, outside: float
) -> None:
    """ISO 261 coarse pitches; minor diameters D1 and d3 of ISO 724, printed to 0.001."""
    made = parse_thread(code)
    assert (made.major_mm, made.pitch_mm) == (major, pitch)
    assert made.minor_inside_mm == pytest.approx(inside, abs=6e-4)
    assert made.minor_outside_mm == pytest.approx(outside, abs=6e-4)


@pytest.mark.parametrize(
    ("code", "major_in", "tpi", "inside_in"),
    [
        ("1/4-20 UNC", 0.2500, 20, 0.1959),
        ("1/2-13", 0.5000, 13, 0.4167),
        ("#10-24 UNC", 0.1900, 24, 0.1449),
        ("No. 6-32", 0.1380, 32, 0.1042),
        ("1 1/8-7 UNC", 1.1250, 7, 0.9704),
        ("1-8", 1.0000, 8, 0.8647),
    ],
)
def test_unified_threads(code: str, major_in: float, tpi: int, inside_in: float) -> None:
    """ASME B1.1: basic major and internal minor diameters, printed to 0.0001 in."""
    made = parse_thread(code)
    assert made.major_mm / 25.4 == pytest.approx(major_in, abs=1e-9)
    assert made.pitch_mm == pytest.approx(25.4 / tpi)
    assert made.minor_inside_mm / 25.4 == pytest.approx(inside_in, abs=1.01e-4)


@pytest.mark.parametrize(
    ("code", "major", "pitch"),
    [("M10x1", 10, 1), ("m10 × 1.25", 10, 1.25), ("Tr20x4", 20, 4), ("M33x2", 33, 2)],
)
def test_stated_pitches(code: str, major: float, pitch: float) -> None:
    made = parse_thread(code)
    assert (made.major_mm, made.pitch_mm) == (major, pitch)


@pytest.mark.parametrize("code", ["", "M", "M10.3", "Tr20", "1/0-20", "0-0", "0/4-20", "G1/4", "x"])
def test_what_is_no_thread_is_told(code: str) -> None:
    with pytest.raises(Fault):
        parse_thread(code)


def test_tools_for_threads_are_kept_from_those_that_make_surfaces() -> None:
    """A tap is no drill: the profile of a tapped hole is its minor bore."""
    shop = _shop_of(
        b'[[tool]]\nkind = "tap"\nthread = "M10"\nthread_length_mm = 24\n'
        b'[[tool]]\nkind = "die"\nthread = "M10"\noutside_diameter_mm = 30\nthickness_mm = 11\n'
        b'[[tool]]\nkind = "drill"\ndiameter_mm = 8.5\n',
        "my.toml",
        "my",
    )
    assert [t.name for t in shop.tools] == ["drill 8.5"]
    assert [t.name for t in shop.thread_tools] == ["tap M10x1.5", "die M10x1.5"]


def test_tap_stands_between_minor_and_major_diameter() -> None:
    """Each flank's area: (major - minor)/2 × (length - lead/2)."""
    made = tool(kind="tap", thread="M10", thread_length_mm=24.0, lead_pitches=4.0)
    depth = (10.0 - parse_thread("M10").minor_inside_mm) / 2.0
    for ring in made.outlines.cutting:
        assert ring_area(ring) == pytest.approx(depth * (24.0 - 6.0 / 2.0))
    assert made.limits["tap_drill_mm"] == 8.5  # d - P, common practice
    assert made.limits["lead_mm"] == 6.0


def test_die_leaves_the_bolt_free() -> None:
    made = tool(kind="die", thread="M10", outside_diameter_mm=30.0, thickness_mm=11.0)
    assert made.outlines.body
    for ring in made.outlines.body:
        assert abs(flatten_ring(ring, 0.01)[:, 1]).min() == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("drill", "allowance", "left"),
    [(9.8, 0.2, False), (9.8, 0.3, False), (9.5, 0.3, True), (9.8, 0.15, True), (None, 0.3, True)],
)
def test_a_reamer_follows_a_drill_within_its_allowance(
    drill: float | None, allowance: float, left: bool
) -> None:
    """A bush ⌀20 × 15 with a bore of ⌀10: only a hole of at least d less allowance lets it in."""
    part = drawn_part([(0, 5), (15, 5), (15, 10), (0, 10)])
    assert part.profile is not None
    tools = [tool(kind="reamer", diameter_mm=10, cutting_length_mm=38, allowance_mm=allowance)]
    if drill is not None:
        tools.append(tool(kind="drill", diameter_mm=drill))
    assert bool(reach_of(part.profile, tools).left) == left


def test_a_reamer_makes_no_hole_deeper_than_its_flutes() -> None:
    part = drawn_part([(0, 5), (30, 5), (30, 10), (0, 10)])
    assert part.profile is not None
    tools = [tool(kind="drill", diameter_mm=9.8, flute_length_mm=120)]
    short = tool(kind="reamer", diameter_mm=10, cutting_length_mm=14)
    (left,) = reach_of(part.profile, (*tools, short)).left
    assert left.area_mm2 == pytest.approx(2.0 * 0.1, rel=0.02)  # 14 mm from either end, of 30
    long = tool(kind="reamer", diameter_mm=10, cutting_length_mm=15.5)
    assert reach_of(part.profile, (*tools, long)).left == ()


@pytest.mark.parametrize(
    ("stated", "deep", "left"),
    [
        # by hand: 2.5 diameters of the shank in the chuck (common practice), 60 - 25 = 35 deep
        ({"overall_length_mm": 60}, 35.0, False),
        ({"overall_length_mm": 60, "shank_diameter_mm": 10}, 35.0, False),
        # of a shank of 12 the flutes alone go in, 14 from either end of 30
        ({"overall_length_mm": 60, "shank_diameter_mm": 12}, 14.0, True),
        # one as long as its shank is held goes in as far as its flutes
        ({"overall_length_mm": 39}, 14.0, True),
        # a neck with nothing said of its length: one diameter of it stands out of the chuck
        ({"shank_diameter_mm": 8}, 24.0, False),
    ],
)
def test_a_reamer_goes_in_beyond_its_flutes_where_its_shank_is_no_wider(
    stated: dict[str, float], deep: float, left: bool
) -> None:
    part = drawn_part([(0, 5), (30, 5), (30, 10), (0, 10)])
    assert part.profile is not None
    tools = [tool(kind="drill", diameter_mm=9.8, flute_length_mm=120)]
    long = tool(kind="reamer", diameter_mm=10, cutting_length_mm=14, **stated)
    assert long.limits["usable_length_mm"] == deep
    assert bool(reach_of(part.profile, (*tools, long)).left) == left
