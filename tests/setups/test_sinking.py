"""No corner is sunk into the full behind a collar where a slimmer one comes in along it."""

import math

import numpy as np
import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.regions import inside
from turnability.reach.removal import removed_by
from turnability.rules.drawn import drawn_part
from turnability.setups.cuts import samples_of
from turnability.setups.in_order import in_order
from turnability.setups.model import Operation
from turnability.setups.sinking import sunk_by
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
    ordered = in_order(asked, removal, samples_of(profile), None)
    assert [o.tool for o in ordered] == ["copy 35 right", "rough right"]
    # where nothing opens it, it stays what it is
    alone = in_order(asked[:1], removed_by(profile, tools[:1], ("low",)), samples_of(profile), None)
    assert alone == tuple(asked[:1])
