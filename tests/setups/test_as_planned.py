"""Law: a plan carried out as it is written, tool by tool, leaves nothing that it does not tell.

Each operation's tool alone is let remove what it gets at, in the plan's order, with what holds the
part in its way. What then stands beyond what reach leaves is beside surfaces that are told as left.
"""

import numpy as np
import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.curves import Arc, line_ring
from turnability.half_plane.regions import inside
from turnability.part.profile import make_profile
from turnability.reach.all_asked import all_asked
from turnability.reach.ground import ground_of
from turnability.reach.removal import fixed_point
from turnability.reach.stock import at_first
from turnability.rules.drawn import drawn_part
from turnability.setups.surfaces.cuts import hidden, in_a_nook, left_anyway, nooks_of
from turnability.shop.load import starter_shop

STARTER = starter_shop()
THICK_MM = 0.1
"""Twice what counts: a surface counts as cut by a tool though a nose rounds off its end."""
BESIDE_MM = 0.4


def left_standing(report):
    """Pieces of stock that nobody counts as left to the tools, once all operations are done."""
    profile, gone = report.part.profile, None
    tools = {tool.name: tool for tool in STARTER.tools}
    for setup in report.setups:
        ground = ground_of(profile, setup.kept_clear)
        standing = at_first(ground, gone)
        for operation in setup.operations:
            if operation.kind == "part off":
                continue
            asked = all_asked(ground, [tools[operation.tool]], (setup.toward_chuck,))
            standing, _, _ = fixed_point([one for _, _, one in asked], standing)
        gone = standing.gone
    nooks = nooks_of(profile)
    return [
        piece
        for piece in hidden(standing.stock, left_anyway(report.reach.left))
        if not piece.grown(-THICK_MM / 2.0).empty and not in_a_nook(piece, nooks)
    ]


def beside_of(profile, piece):
    """Segments that come so near to a piece."""
    near = piece.grown(BESIDE_MM)
    places = {s.id: [s.curve.at(n / 400.0) for n in range(401)] for s in profile.segments}
    return {s for s, points in places.items() if inside(near, np.array(points)).any()}


def ball():
    """A ball of ⌀20 on a neck of ⌀10 whose back one hand alone does not reach."""
    deep = 75.0**0.5
    centre = 55.0 + deep
    lines = line_ring([(0, 0), (centre + 10, 0), (55, 5), (40, 5), (40, 8), (0, 8)])
    top = Arc((centre + 10.0, 0.0), (55.0, 5.0), (centre, 0.0), 10.0, False)
    curves = [lines[0], top, *lines[2:]]
    faces = [(n,) if c.start[1] or c.end[1] else () for n, c in enumerate(curves, start=1)]
    return make_profile([list(zip(curves, faces, strict=True))])


PARTS = {
    "an edge between two cones": [(0, 14), (30, 3), (60, 9), (60, 20), (0, 20)],
    "a throat too far for its drill": [(0, 15), (20, 2.75), (30, 2.75), (90, 10), (90, 18),
        (0, 18)],
    "a venturi between flanges": [(0, 12), (15, 12), (35, 6), (45, 6), (95, 12), (110, 12),
        (110, 25), (100, 25), (100, 17), (10, 17), (10, 25), (0, 25)],
    "a bore too long for the bars": [(0, 20), (178, 20), (178, 30), (0, 30)],
    "a bore of which both ends do": [(0, 30), (100, 30), (100, 45), (0, 45)],
    "a long neck at the chuck": [(0, 0), (110, 0), (110, 5), (98, 5), (98, 8), (95, 8), (95, 6),
        (45, 6), (45, 12), (30, 12), (30, 6), (0, 6)],
    "a pulley": [(0, 10), (32, 10), (32, 18), (28, 18), (28, 40), (24, 40), (19, 28), (13, 28),
        (8, 40), (4, 40), (4, 18), (0, 18)],
    "a flange between hubs": [(0, 10), (60, 10), (60, 25), (40, 25), (40, 60), (25, 60), (25, 30),
        (0, 30)],
    "a sleeve": [(0, 24), (50, 24), (50, 25), (0, 25)],
    "a ball on a neck": ball(),
}  # fmt: skip


@pytest.mark.parametrize("name", PARTS)
def test_what_is_not_told_as_left_is_cut_by_the_plan_as_written(name):
    report = walk(drawn_part(PARTS[name]), STARTER)
    profile = report.part.profile
    told = {s for left in report.setups[-1].left for s in left.segments}
    for piece in left_standing(report):
        beside = beside_of(profile, piece)
        assert beside, "a piece stands in the middle of what is to be cut away"
        assert beside & told, (beside, piece.bounds)
        if profile.through_bore_mm is not None:
            thick = piece.grown(-THICK_MM / 2.0)
            assert thick.bounds[1] > 1.0, "what is bored through stays closed"
