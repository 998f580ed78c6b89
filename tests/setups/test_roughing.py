"""The bulk of the outside is taken by a sturdy corner, a pointed one finishes (common practice)."""

from dataclasses import replace

import pytest

from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.setups.cutting.values import values_of
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import ROUGH
from turnability.setups.plan import plan_of
from turnability.shop.load import starter_shop
from turnability.shop.materials import find_material
from turnability.shop.model import StockSize
from turnability.shop.told_apart import is_pointed
from turnability.stock.choose import choose_stock

STARTER = starter_shop()
POINTED = replace(STARTER, tools=tuple(t for t in STARTER.tools if "35" in t.name))


def waist(depth: float) -> list[tuple[float, float]]:
    """A bar of 30 with a waist that falls and rises by 30 degrees: no 80 degree corner follows."""
    run = depth * 3.0**0.5
    mid = 40.0 + run
    return [
        (0, 0), (100, 0), (100, 15), (mid + run, 15), (mid, 15 - depth), (mid - run, 15), (0, 15),
    ]  # fmt: skip


def first_setup(points: list[tuple[float, float]], shop=STARTER):
    part = drawn_part(points)
    reach = reach_of(part.profile, shop.tools)
    found = plan_of(part, reach, find_lands(part), choose_stock(part.profile, shop), shop).plan
    return part, found.setups[0]


def test_a_sturdy_corner_roughs_and_faces_before_a_pointed_one_finishes() -> None:
    """By hand: the waist is 8 deep, so the 80 degree corner takes what it gets at, and the face."""
    part, setup = first_setup(waist(8.0))
    kinds = [(o.kind, o.tool) for o in setup.operations]
    assert kinds[:2] == [("face", "rough right"), (ROUGH, "rough right")]
    turning = [o for o in setup.operations if o.kind == "turn"]
    assert turning
    tools = {tool.name: tool for tool in STARTER.tools}
    assert any(is_pointed(tools[o.tool]) for o in turning)
    assert setup.operations[1].segments == ()
    # nothing is given twice, nothing lost
    given = [s for o in setup.operations if o.kind != "part off" for s in o.segments]
    assert len(given) == len(set(given))
    outside = {s.id for s in part.profile.segments if s.surface == "outer"}
    assert outside <= set(given)


def test_what_is_thin_or_what_no_sturdy_corner_gets_at_is_the_pointed_ones_own() -> None:
    """Where the shop has pointed corners alone they rough; so they do on skins of the stock."""
    _, setup = first_setup(waist(8.0), POINTED)
    assert ROUGH not in {o.kind for o in setup.operations}
    bare = first_setup([(0, 0), (100, 0), (100, 15), (0, 15)])[1]
    assert ROUGH not in {o.kind for o in bare.operations}


def passes_of_the_pointed(points: list[tuple[float, float]]):
    """What the pointed corners of the first setup are given to take."""
    part, setup = first_setup(points)
    chosen = find_material("C45")
    assert chosen is not None
    tools = {tool.name: tool for tool in STARTER.tools}
    values = values_of(part.profile, setup, None, STARTER, chosen.material, STARTER.machines[0])
    pointed = [v for v in values if is_pointed(tools[v.operation.tool])]
    assert pointed
    assert ROUGH in {o.kind for o in setup.operations}
    return pointed


def test_a_pointed_corner_is_given_no_roughing_pass_where_little_is_left_to_it() -> None:
    """2 mm at most for a pointed corner (common practice): a waist of 1.5 is its finishing pass."""
    shallow = waist(1.5)
    for one in passes_of_the_pointed([*shallow[:2], (100, 10), (80, 10), (80, 15), *shallow[3:]]):
        assert one.rough is None
        assert one.finish.depth_mm <= 2.0


def test_a_pointed_corner_roughs_in_small_cuts_what_no_sturdy_one_gets_at() -> None:
    """By hand: an 80 degree corner gets by no more than 5 degrees into a waist that falls by 30:
    of its 8 mm the pointed one takes nearly all, a millimetre at a time (common practice)."""
    (one,) = [v for v in passes_of_the_pointed(waist(8.0)) if v.operation.kind == "turn"]
    assert one.rough is not None
    assert one.rough.depth_mm <= 1.0


@pytest.mark.parametrize(("bar_mm", "roughed"), [(32.0, False), (36.0, True)])
def test_what_the_bar_has_beyond_the_part_counts_among_what_a_pointed_corner_takes(
    bar_mm: float, roughed: bool
) -> None:
    """By hand: 1 and 3 mm a side over the part's 30, of which a pointed corner takes 2.

    The waist is 1.5 deep: what stands over it is too narrow for a disc of 2 mm under the bar of 32.
    """
    part = drawn_part(waist(1.5))
    shop = replace(STARTER, stock=(StockSize("bar", f"bar {bar_mm:g}", bar_mm),))
    stock = choose_stock(part.profile, shop)
    assert stock is not None
    assert stock.choice is not None
    assert stock.choice.across_mm == bar_mm
    reach = reach_of(part.profile, STARTER.tools)
    setup = plan_of(part, reach, find_lands(part), stock, shop).plan.setups[0]
    pointed = {tool.name for tool in STARTER.tools if is_pointed(tool)}
    outside = [o for o in setup.operations if o.kind in ("turn", ROUGH)]
    assert pointed & {o.tool for o in outside}
    assert (outside[0].tool not in pointed) == roughed
