"""What tools are said to cut at most is no less than they cut, and none is left out for it."""

import numpy as np
import pytest

from turnability.half_plane.curves import line_ring
from turnability.part.profile import drawn_profile
from turnability.reach.removal import removed_by
from turnability.setups.surfaces.cuts import covers, samples_of
from turnability.setups.surfaces.shares import CUT_SHARE, Shares
from turnability.shop.load import starter_shop

TOOLS = starter_shop().tools
JAWS = [line_ring([(-60, 0), (-3, 0), (-3, 90), (-60, 90)])]
GROOVED = [
    (0, 6), (20, 6), (20, 10), (40, 10), (40, 18), (30, 18), (30, 14), (26, 14), (26, 20),
    (4, 20), (2, 18), (0, 18),
]  # fmt: skip
WAIST = [(0, 0), (60, 0), (60, 12), (40, 12), (30, 6), (20, 12), (0, 12)]
PARTS = {"grooved": GROOVED, "waist": WAIST}


def shares_of(points, toward="low"):
    profile = drawn_profile([tuple(map(float, p)) for p in points])
    removal = removed_by(profile, TOOLS, (toward,), JAWS if toward == "low" else ())
    return Shares(samples_of(profile), removal)


@pytest.mark.parametrize("toward", ["low", "high"])
@pytest.mark.parametrize("points", PARTS.values(), ids=PARTS)
def test_the_most_is_no_less_than_what_is_cut(points, toward) -> None:
    shares = shares_of(points, toward)
    works = shares.removal.works
    before = [shares.most(work) for work in works]  # before what jaws hide is known of all
    for work, most in zip(works, before, strict=True):
        mine = shares.of(work)
        assert (mine <= most).all()
        assert (mine <= shares.utmost).all()
        for least in (0.25, 0.5, 1.0):
            levels = np.full(len(mine), least)
            assert shares.may_reach(work, levels) >= (mine >= least).sum()
            assert shares.may_exceed(work, levels) or not (mine > least).any()
        if not work.asked.limit().empty:
            bounds, about = work.asked.limit().bounds, work.asked.most_box()
            assert (np.array(about[:2]) <= np.array(bounds[:2]) + 1e-6).all()
            assert (np.array(about[2:]) >= np.array(bounds[2:]) - 1e-6).all()
    # the best of them comes up to what is said of all: nothing hides in the bound
    assert max(shares.of(work).max() for work in works) == shares.utmost.max() == 1.0


@pytest.mark.parametrize("points", PARTS.values(), ids=PARTS)
def test_what_is_cut_is_what_some_tool_cuts(points) -> None:
    """Against asking every tool about every segment."""
    every = shares_of(points)
    cut = np.max([every.of(work) for work in every.removal.works], axis=0) >= CUT_SHARE
    assert cut.sum() > 0
    names = {s for s, one in zip(every.samples.ids, cut, strict=True) if one}
    assert shares_of(points).cut() == names
    some = set(sorted(names)[::2])
    assert shares_of(points).cut(some) == names - some


def test_places_are_told_from_the_box_about_a_region_as_from_its_edges() -> None:
    """By hand: a triangle, and points in it, in its box alone, and beyond."""
    from turnability.half_plane.regions import Region, nothing

    triangle = Region.of([np.array([(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)])])
    points = np.array([(2.0, 2.0), (8.0, 8.0), (4.9, 5.0), (-1.0, 5.0), (20.0, 1.0)])
    assert covers(triangle, points).tolist() == [True, False, True, False, False]
    assert not covers(nothing(), points).any()
