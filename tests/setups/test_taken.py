"""What an operation takes of all that its tool gets at: what lies over its own surfaces."""

import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.curves import line_ring
from turnability.half_plane.regions import box
from turnability.reach.removal import removed_by
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Operation
from turnability.setups.operations.in_order import in_order
from turnability.setups.surfaces.cuts import samples_of
from turnability.setups.surfaces.fresh import fresh_of
from turnability.setups.surfaces.taken import part_of
from turnability.shop.load import starter_shop

STARTER = starter_shop()
TOOLS = {tool.name: tool for tool in STARTER.tools}
HEAD = [(0, 0), (72, 0), (72, 40), (60, 40), (60, 25), (0.5, 25), (0, 24.5)]
"""A head at the free end, behind it ⌀50 with its edge broken at the chuck (ours)."""


def at_hand(points, name):
    profile = drawn_part(points).profile
    (work,) = removed_by(profile, [TOOLS[name]], ("low",)).works
    return profile, work, samples_of(profile)


def segment(profile, start):
    (found,) = [s.id for s in profile.segments if s.curve.start == start]
    return found


def test_a_blade_takes_its_width_beside_what_it_breaks_and_no_more():
    """By hand: the edge lies at z 0 to 0.5, and the blade is 3 mm wide."""
    profile, work, samples = at_hand(HEAD, "part 3")
    edge = segment(profile, (0.5, 25.0))
    full = box(0.0, 25.0, 60.0, 40.0) | box(0.0, 24.5, 0.5, 25.0)
    taken = part_of(full, Operation("part 3", (edge,), "groove"), work, samples)
    z0, _, z1, r1 = taken.bounds
    assert (z0, z1, r1) == pytest.approx((0.0, 3.5, 40.0), abs=1e-6)


NECK = [(0, 0), (90, 0), (90, 20), (70, 20), (70, 25), (60, 25), (60, 22), (40, 22), (40, 25)]
NECK += [(0, 25)]
"""A neck ⌀44 between lands of ⌀50, a smaller end before them (ours)."""


def test_a_corner_takes_what_is_over_its_land_and_on_the_straight_way_there():
    """By hand: to ⌀50 at z 0 to 40 it comes at r 25, over neck and end; into neither."""
    profile, work, samples = at_hand(NECK, "copy 35 right")
    land = segment(profile, (40.0, 25.0))
    every = box(0.0, 0.0, 90.0, 30.0)
    operation = Operation("copy 35 right", (land,), "turn")
    taken = part_of(every, operation, work, samples)
    beside = 40.0 + 0.5 + 2.0 * work.tool.limits["nose_radius_mm"]
    assert (taken & box(beside, 0.0, 90.0, 24.99)).empty
    assert (box(0.0, 25.0, 90.0, 30.0) - taken).area < 1e-6
    rough = Operation("copy 35 right", (), "rough")
    assert part_of(every, rough, work, samples) is every


def test_what_stands_behind_a_head_is_opened_by_no_blade_that_only_breaks_its_far_edge():
    """By hand: 80° of the left hand squares the head once a slimmer corner has opened the place."""
    profile = drawn_part(HEAD).profile
    edge, wall = segment(profile, (0.5, 25.0)), segment(profile, (60.0, 40.0))
    asked = [Operation("part 3", (edge,), "groove"), Operation("rough left", (wall,), "turn")]
    tools = [TOOLS[name] for name in ("part 3", "rough left", "copy 55 right")]
    bar = line_ring([(-40, 0), (-3, 0), (-3, 45), (-5, 45), (-5, 105), (-40, 105)])
    removal = removed_by(profile, tools, ("low",), (bar,))
    ordered = in_order(asked, removal, samples_of(profile), fresh_of(removal.ground))
    assert [(o.tool, o.kind) for o in ordered] == [
        ("part 3", "groove"),
        ("copy 55 right", "rough"),
        ("rough left", "turn"),
    ]


SHORT_NECK = [(0, 0), (24, 0), (24, 18), (20, 18), (20, 16), (4, 16), (4, 18), (0, 18)]
"""A neck ⌀32 x 16 beside the chuck, where a left-hand holder has no room but at its wall (ours)."""


def test_a_wall_that_a_blade_has_bared_is_no_corner_s_any_more():
    """By hand: the wedge behind the corner that came down is 2 mm high; a blade sunk takes it."""
    part = drawn_part(SHORT_NECK)
    wall = segment(part.profile, (20.0, 18.0))
    (setup,) = walk(part, STARTER).setups
    on_it = [o for o in setup.operations if wall in o.segments]
    assert [o.kind for o in on_it] == ["groove"]
    assert all(o.segments or o.kind in ("rough", "part off") for o in setup.operations)


COUNTERSUNK = [(0, 12), (38, 12), (40, 14), (40, 25), (0, 25)]


def test_the_rim_of_a_bore_is_broken_by_the_bar_in_it():
    """Common practice, no source: an outside tool breaks outside edges."""
    part = drawn_part(COUNTERSUNK)
    rim = segment(part.profile, (38.0, 12.0))
    tools = {o.tool for s in walk(part, STARTER).setups for o in s.operations if rim in o.segments}
    assert tools
    assert all(TOOLS[name].access == "inner" for name in tools)
