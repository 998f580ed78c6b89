"""Each operation gets at the surfaces it names in the work as those before it have left it."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from random_mixes import mixed_part
from random_parts import random_part

from turnability.features.drawing import drawn
from turnability.part.model import Profile
from turnability.reach.compute import reach_of
from turnability.reach.removal import removed_by
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import Operation, Setup
from turnability.setups.plan import plan_of
from turnability.setups.surfaces.cuts import bore_of_tube, samples_of
from turnability.shop.load import starter_shop
from turnability.stock.choose import choose_stock

STARTER = starter_shop()
TOOLS = {tool.name: tool for tool in STARTER.tools}


def planned(profile: Profile) -> tuple[Profile, list[Setup], float | None]:
    """Profile, setups, and the bore of the stock."""
    part = drawn_part(profile)
    stock = choose_stock(part.profile, STARTER)
    reach = reach_of(part.profile, STARTER.tools)
    plan = plan_of(part, reach, find_lands(part), stock, STARTER).plan
    return part.profile, list(plan.setups), stock.choice.inner_diameter_mm if stock.choice else None


def unreached(profile: Profile, setups: list[Setup], bore: float | None) -> Iterator[str]:
    """Operations that do not get at some surface of theirs, tool by tool from the first setup on.

    Asked of one tool at a time, by what reach itself says that it removes; no share of the
    ordering's own reckoning.
    """
    samples, gone = samples_of(profile), bore_of_tube(profile, bore)
    for setup in setups:
        toward, ends = setup.toward_chuck, {}
        whole = removed_by(profile, STARTER.tools, (toward,), setup.kept_clear, gone)
        for work in whole.works:
            ends[work.tool.name] = work
        for operation in setup.operations:
            if operation.kind == "part off":
                continue
            tool = TOOLS[operation.tool]
            now = removed_by(profile, [tool], (toward,), setup.kept_clear, gone)
            at_last = samples.by_id(ends[tool.name].swept)
            mine = samples.by_id(now.works[0].asked.swept_at_last(now.standing))
            for s in operation.segments:
                if mine[s] < at_last[s] - 0.1 - 1e-9:
                    yield f"setup {setup.order}: {operation.kind} {operation.tool} {s}"
            gone = now.standing.gone
        gone = whole.standing.gone


@pytest.mark.parametrize("seed", [*range(4), 7])
def test_every_operation_of_a_random_part_gets_there(seed: int) -> None:
    profile = drawn(random_part(seed).drawing)
    assert list(unreached(*planned(profile))) == []


@pytest.mark.parametrize("seed", range(4))
def test_every_operation_of_a_random_mix_gets_there(seed: int) -> None:
    profile = drawn(mixed_part(seed).drawing)
    assert list(unreached(*planned(profile))) == []


DRILLED_LATE = 34
"""A random part with a narrow hole deeper than its drill's flutes, behind a wide bore."""


def test_what_hides_a_hole_is_cleared_first() -> None:
    """By hand: its mouth is drilled and bored wide before the short narrow drill goes deeper."""
    profile, setups, bore = planned(drawn(random_part(DRILLED_LATE).drawing))
    inside = [o for o in setups[0].operations if o.kind in ("drill", "bore")]
    assert [o.kind for o in inside] == ["drill", "bore", "drill"]
    assert not inside[0].segments
    late: list[Operation] = sorted(setups[0].operations, key=lambda o: o.kind != "drill")
    drilled_first = replace(setups[0], operations=tuple(o for o in late if o.segments))
    assert list(unreached(profile, [drilled_first], bore)) != []


def test_left_hand_tools_take_what_the_others_leave() -> None:
    """Common practice: rough and turn toward the chuck, then the shoulders that face it."""
    waist = [(110, 8), (105, 3), (100, 3), (95, 8)]
    collared = [(0, 0), (120, 0), (120, 8), *waist, (60, 8), (60, 12), (40, 12), (40, 6), (0, 6)]
    _, setups, _ = planned(drawn_part(collared).profile)
    hands = [TOOLS[o.tool].hand for s in setups[:1] for o in s.operations if o.kind == "turn"]
    assert "left" in hands
    assert hands == sorted(hands, key=lambda hand: hand == "left")
