"""What stops the nearest tool is told apart from what stops others that come near."""

from __future__ import annotations

from turnability.part.profile import drawn_profile
from turnability.reach.compute import reach_of
from turnability.rules.speak import nearest_text
from turnability.shop.load import starter_shop

GROOVE = drawn_profile(
    [(0, 0), (60, 0), (60, 20), (31.5, 20), (31.5, 12), (30, 12), (30, 20), (0, 20)]
)
"""1.5 mm wide and 8 mm deep: too narrow for a blade of 2 mm, too deep for one that sinks 2 mm."""


def test_a_groove_is_too_deep_for_one_blade_and_too_narrow_for_another() -> None:
    (left,) = reach_of(GROOVE, starter_shop().tools, numbers=False).left
    assert left.nearest_tool == "ring groove"
    # 1.1 mm wide, 2 mm deep: neither its width nor a flank keeps it out
    assert left.nearest_causes == ("blade-depth", "holder")
    assert set(left.causes) > set(left.nearest_causes)
    assert {"blade-width", "trailing-edge"} <= set(left.causes)
    said = nearest_text(left.own_causes, left.nearest_tool)
    assert said == (
        "ring groove comes nearest, but the blade is not deep enough and the holder meets the part"
    )


def test_with_one_tool_all_causes_are_its_own() -> None:
    tools = [tool for tool in starter_shop().tools if tool.name == "ring groove"]
    (left,) = reach_of(GROOVE, tools, numbers=False).left
    assert left.causes == left.nearest_causes == ("blade-depth", "holder")
