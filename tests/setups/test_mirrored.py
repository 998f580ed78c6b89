"""The same part drawn the other way up has the same plan, the other way up."""

from itertools import pairwise

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.lands import find_lands
from turnability.setups.plan import plan_of
from turnability.shop.load import starter_shop
from turnability.stock.choose import choose_stock

STARTER = starter_shop()


def plan(points):
    part = drawn_part(points)
    reach = reach_of(part.profile, STARTER.tools)
    stock = choose_stock(part.profile, STARTER)
    return part.profile, plan_of(part, reach, find_lands(part), stock, STARTER).plan


def places(profile, names, turned):
    """Where segments lie, the part turned end for end or not."""
    length, found = profile.length_mm, []
    for segment in profile.segments:
        if segment.id in names:
            ends = [segment.curve.start, segment.curve.end]
            found.append(
                tuple(sorted((round(length - z if turned else z, 4), round(r, 4)) for z, r in ends))
            )
    return sorted(found)


def written(profile, setups, turned):
    """Every chucking and its operations, from the low end or from the high one."""
    length = profile.length_mm
    other = {"low": "high", "high": "low"}
    return [
        (
            other[s.toward_chuck] if turned else s.toward_chuck,
            s.grip.kind,
            round(s.grip.diameter_mm, 4),
            tuple(sorted(round(length - z if turned else z, 4) for z in s.grip.z_mm)),
            s.support,
            [
                (o.kind, o.tool, o.support, places(profile, o.segments, turned))
                for o in s.operations
            ],
            sorted((places(profile, x.segments, turned), x.causes) for x in s.left),
        )
        for s in setups
    ]


STEP = st.tuples(st.integers(4, 30), st.sampled_from([5, 8, 10, 15, 20, 30]))
BORE = st.tuples(st.integers(3, 25), st.sampled_from([2, 3, 4]))


@st.composite
def stepped(draw):
    """Two to four steps outside, bored through or not, wider from one end or not."""
    steps = draw(st.lists(STEP, min_size=2, max_size=4))
    assume(all(a[1] != b[1] for a, b in pairwise(steps)) and steps != steps[::-1])
    outside, z = [], 0.0
    for length, r in steps:
        outside += [(z, float(r)), (z + length, float(r))]
        z += length
    bore = [(0.0, 0.0), (z, 0.0)]
    least = min(r for _, r in steps)
    if least > 4 and draw(st.booleans()):
        depth, r = draw(BORE)
        bore = [(0.0, float(r)), (z, float(r))]
        if depth < z - 2.0 and least > 5:
            bore = [
                (0.0, r + 1.0),
                (float(depth), r + 1.0),
                (float(depth), float(r)),
                (z, float(r)),
            ]
    return [*bore, *reversed(outside)]


@settings(max_examples=12, deadline=None)
@given(stepped())
def test_a_mirrored_part_has_the_mirrored_plan(points):
    length = max(z for z, _ in points)
    profile, made = plan(points)
    turned, other = plan([(length - z, r) for z, r in reversed(points)])
    assert written(profile, made.setups, False) == written(turned, other.setups, True)
    assert (made.runner_up and made.runner_up.why) == (other.runner_up and other.runner_up.why)


def test_a_bush_with_a_flange_is_held_at_its_flange_however_it_is_drawn():
    """By hand: the flange to the chuck, all in one chucking, no tool of the other hand."""
    bush = [(0, 6), (25, 6), (25, 9), (4, 9), (4, 14), (0, 14)]
    for points, end in ((bush, "low"), ([(25 - z, r) for z, r in reversed(bush)], "high")):
        _, made = plan(points)
        (only,) = made.setups
        assert only.toward_chuck == end
        assert [o.tool for o in only.operations if o.kind == "turn"] == ["rough right"]
        assert "min more a piece" in made.runner_up.why
