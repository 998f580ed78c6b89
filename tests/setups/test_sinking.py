"""No corner is sunk into the full behind a collar where a slimmer one comes in along it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.curves import line_ring
from turnability.half_plane.regions import box, inside
from turnability.outputs.route_sheet.route import route_of
from turnability.reach.removal import removed_by
from turnability.reach.stock import at_first
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Operation
from turnability.setups.operations.in_order import in_order
from turnability.setups.surfaces.cuts import samples_of
from turnability.setups.surfaces.fresh import fresh_of
from turnability.setups.surfaces.sinking import sunk_by, sunk_in
from turnability.shop.load import starter_shop

STARTER = starter_shop()
TOOLS = {tool.name: tool for tool in STARTER.tools}
COLLAR = [
    *[(0, 15), (30, 15), (30, 18), (50, 18), (50, 15), (70, 15), (70, 20), (80, 20), (80, 40)],
    *[(60, 40), (60, 35), (24.8, 35), (24.8, 31.8), (20, 31.8), (20, 35), (14.8, 35)],
    *[(14.8, 31.8), (10, 31.8), (10, 35), (0, 35)],
]
"""⌀80 at the free end, ⌀70 with two ring grooves behind it (ours)."""


def at(profile, z, r):
    """The id of the cylinder there."""
    (found,) = [
        s.id
        for s in profile.segments
        if s.curve.start[1] == s.curve.end[1] == r
        and min(s.curve.start[0], s.curve.end[0]) < z < max(s.curve.start[0], s.curve.end[0])
    ]
    return found


def test_behind_a_collar_a_corner_comes_down_no_steeper_than_its_trailing_edge():
    """By hand: 95° approach and an 80° corner leave 5°, of which 2° stay free; 40 mm on r 37.90."""
    profile = drawn_part(COLLAR).profile
    work = removed_by(profile, [TOOLS["rough right"]], ("low",)).works[0]
    assert work.tool.limits["trailing_angle_deg"] == pytest.approx(3.0)
    line = 40.0 - 40.0 * math.tan(math.radians(3.0))
    places = np.array([[20.0, line - 0.05], [20.0, line + 0.05], [79.0, 39.9], [20.0, 1.0]])
    assert inside(sunk_by(work), places).tolist() == [True, False, True, True]


def test_the_land_between_the_grooves_goes_to_the_tool_that_opens_the_place():
    """By hand: ⌀70 at z 14.8 to 20 lies below 37.9, where the 95° tool ends behind the collar."""
    part = drawn_part(COLLAR)
    (setup,) = walk(part, STARTER).setups
    assert setup.toward_chuck == "low"
    of = {s: o.tool for o in setup.operations for s in o.segments if o.kind == "turn"}
    assert of[at(part.profile, 70.0, 40.0)] == "rough right"
    for z in (17.0, 5.0):
        assert of[at(part.profile, z, 35.0)] == "copy 35 right"


def test_a_land_that_it_would_be_sunk_to_waits_until_the_place_is_open():
    profile = drawn_part(COLLAR).profile
    land, along = at(profile, 17.0, 35.0), at(profile, 40.0, 35.0)
    asked = [
        Operation("rough right", (land,), "turn"),
        Operation("copy 35 right", (along,), "turn"),
    ]
    tools = [TOOLS[o.tool] for o in asked]
    removal = removed_by(profile, tools, ("low",))
    ordered = in_order(asked, removal, samples_of(profile), fresh_of(removal.ground))
    assert [o.tool for o in ordered] == ["copy 35 right", "rough right"]
    # where nothing opens it, it stays what it is
    one = removed_by(profile, tools[:1], ("low",))
    alone = in_order(asked[:1], one, samples_of(profile), fresh_of(one.ground))
    assert alone == tuple(asked[:1])


def area_apart(one, other):
    return (one - other).area + (other - one).area


def test_a_left_hand_corner_is_the_mirror_image_of_a_right_hand_one():
    """Law: with nothing held, mirrored part and tool give the mirrored place."""
    mirrored = [(80 - z, r) for z, r in reversed(COLLAR)]
    one, other = (
        sunk_by(removed_by(drawn_part(points).profile, [TOOLS[name]], ("low",)).works[0])
        for points, name in ((COLLAR, "rough right"), (mirrored, "rough left"))
    )
    clip = box(0.0, 0.0, 80.0, 40.0)
    assert (one & clip).area > 100.0
    assert area_apart(one.mirrored_z(40.0) & clip, other & clip) < 1e-6


def test_a_left_hand_corner_is_seen_past_the_bar_too():
    """By hand: the bar of r 45 ends 3 mm behind the part: 3° down from there over 23 mm at z 20."""
    bar = line_ring([(-40, 0), (-3, 0), (-3, 45), (-40, 45)])
    plain = [(0, 0), (80, 0), (80, 40), (0, 40)]
    work = removed_by(drawn_part(plain).profile, [TOOLS["rough left"]], ("low",), (bar,)).works[0]
    line = 45.0 - 23.0 * math.tan(math.radians(3.0))
    places = np.array([[20.0, line - 0.05], [20.0, line + 0.05]])
    assert inside(sunk_by(work), places).tolist() == [True, False]


ENTRY = [(0, 12), (20, 12), (20, 15), (40, 15), (40, 12), (60, 12), (60, 22), (0, 22)]
"""Bored ⌀24 with a recess ⌀30 x 20 in the middle (ours)."""


def test_a_boring_bar_goes_out_behind_an_entry_no_steeper_than_its_trailing_edge():
    """By hand: 80° and 95° leave 5°, of which 3° stay free: 15 mm behind z 40 it is out to
    12 + 15 tan 3° = 12.79."""
    work = removed_by(drawn_part(ENTRY).profile, [TOOLS["bore 12"]], ("low",)).works[0]
    line = 12.0 + 15.0 * math.tan(math.radians(3.0))
    places = np.array([[25.0, line + 0.05], [25.0, line - 0.05], [50.0, 11.9]])
    assert inside(sunk_by(work), places).tolist() == [True, False, False]


def test_a_boring_bar_waits_until_a_blade_has_opened_the_recess():
    """By hand: drilled 22, the recess opened by the blade, its far wall then squared by the bar."""
    profile = drawn_part(ENTRY).profile
    wall = next(s.id for s in profile.segments if s.curve.start == (20.0, 12.0))
    floor = at(profile, 30.0, 15.0)
    bore = Operation("bore 12", (wall,), "bore")
    asked = [
        Operation("drill 22", (), "drill"),
        bore,
        Operation("groove inside 3", (floor,), "groove"),
    ]
    removal = removed_by(profile, [TOOLS[o.tool] for o in asked], ("low",))
    ordered = in_order(asked, removal, samples_of(profile), fresh_of(removal.ground))
    assert [o.tool for o in ordered] == ["drill 22", "groove inside 3", "bore 12"]
    assert not any(o.sinks for o in ordered)
    two = removed_by(profile, [TOOLS["drill 22"], TOOLS["bore 12"]], ("low",))
    alone = in_order(asked[:2], two, samples_of(profile), fresh_of(two.ground))
    assert alone[-1].sinks == (wall,)


NECK = [(0, 0), (90, 0), (90, 25), (60, 25), (60, 18), (30, 18), (30, 25), (0, 25)]
"""A neck ⌀36 x 30 between collars of ⌀50 (ours)."""


def of_shop(*names):
    return replace(STARTER, tools=tuple(t for t in STARTER.tools if t.name in names))


def test_a_blade_opens_a_neck_before_corners_of_80_degrees_square_it():
    """By hand: neither hand of 80° gets 7 mm down; the blade does, then either has room."""
    shop = of_shop("rough right", "rough left", "groove 3", "part 3")
    (setup,) = walk(drawn_part(NECK), shop).setups
    neck = [o for o in setup.operations if {"S4", "S5", "S6"} & set(o.segments)]
    assert neck[0].tool == "groove 3"
    assert {o.tool for o in neck[1:]} == {"rough right", "rough left"}
    assert not any(o.sinks for o in setup.operations)


def test_what_no_tool_of_the_shop_opens_is_said_to_be_sunk_into():
    shop = of_shop("rough right", "rough left")
    report = walk(drawn_part(NECK), shop)
    sinks = {s for setup in report.setups for o in setup.operations for s in o.sinks}
    assert sinks == {"S4", "S6"}
    cautions = [line for sheet in route_of(report, shop).setups for line in sheet.cautions]
    assert "rough right gets at S6 only straight in" in " ".join(cautions)


def test_once_it_is_open_an_80_degree_corner_finishes_in_there():
    """By hand: after the blade nothing stands in the neck but its corners; before it all does."""
    profile = drawn_part(NECK).profile
    names = ("groove 3", "rough left")
    removal = removed_by(profile, [TOOLS[name] for name in names], ("low",))
    blade, corner = removal.works
    full = at_first(removal.ground)
    middle = box(40.0, 18.5, 50.0, 24.0)
    assert (sunk_in(corner, full) & middle).area == pytest.approx(middle.area, rel=0.01)
    opened = full.without(blade.swept & box(30.0, 0.0, 57.0, 25.0))
    assert (sunk_in(corner, opened) & box(57.5, 18.9, 59.5, 24.5)).area < 0.05
