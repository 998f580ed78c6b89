"""What else helps where something stays in a hollow: the smallest of each, proven, least first.

Expected numbers are the tools' own: a blade sinks as deep as it is engraved, a copying insert
follows a wall as its trailing angle (ISO 3002-1) and clearance let it, a bar of diameter d and f
cuts f - d/2 deep and enters a bore of f + d/2.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from turnability.analysis import walk
from turnability.analysis.hollow import hollow_of
from turnability.analysis.stages import judged_once
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.rules.model import Finding
from turnability.shop.load import starter_shop
from turnability.shop.model import Shop

Corners = list[tuple[float, float]]
V: Corners = [(0, 0), (60, 0), (60, 20), (31, 20), (30, 14), (29, 20), (0, 20)]
DOVETAIL: Corners = [(0, 0), (60, 0), (60, 20), (35, 20), (37, 15), (23, 15), (25, 20), (0, 20)]
RECESS: Corners = [
    (0, 8), (20, 8), (20, 15), (30, 15), (30, 8), (60, 8), (60, 22), (0, 22)
]  # fmt: skip


def shop(*names: str) -> Shop:
    own = starter_shop()
    return replace(own, tools=tuple(t for t in own.tools if t.name in names))


OUTSIDE = shop("rough right", "rough left", "copy 35 right", "copy 35 left", "ring groove",
               "groove 2")  # fmt: skip
INSIDE = shop("rough right", "rough left", "drill 15", "bore 8", "bore 12", "ring groove inside")


def report_of(corners: Corners, of: Shop) -> Report:
    return walk(drawn_part(drawn_profile(corners)), of)


@cache
def narrow_v() -> Report:
    return report_of(V, OUTSIDE)


def of_hollows(report: Report) -> list[Finding]:
    return [f for f in report.findings if _stays(f)]


def _stays(finding: Finding) -> bool:
    rules = ("unreached-surface", "recess-behind-small-entry")
    return finding.rule in rules and finding.level == "error"


def is_cut(corners: Corners) -> bool:
    judged = judged_once(drawn_part(drawn_profile(corners)), OUTSIDE, None)
    assert judged is not None
    return not any(map(_stays, judged[0]))


def changes(finding: Finding) -> dict[str, float | None]:
    assert finding.change is not None
    return {one.parameter: one.to for one in (finding.change, *finding.other_changes)}


def test_a_narrow_v_is_shallower_wider_or_more_open() -> None:
    (found,) = of_hollows(narrow_v())
    told = changes(found)
    # as deep as the only blade that its mouth lets in; as steep as the insert follows
    assert list(told) == ["depth_mm", "width_mm", "wall_angle_deg", "split_at_mm"]
    assert told["depth_mm"] == 2.0
    assert told["wall_angle_deg"] == pytest.approx(40.0, abs=1e-6)
    assert all(one.proven for one in (found.change, *found.other_changes) if one)
    for one in found.other_changes:
        assert f"Or {one.text[0].lower()}{one.text[1:]}" in found.message


def v_with(wide: float = 2.0, open_to: float | None = None, deep: float = 6.0) -> Corners:
    """The same V drawn otherwise: its floor longer, one wall more open, or filled up to a floor."""
    half, slope = 1.0, 1.0 / 6.0
    corners = list(V)
    if open_to is not None:
        corners[3] = (30.0 + 6.0 * math.tan(math.radians(open_to)), 20.0)
    elif deep < 6.0:
        at = (6.0 - deep) * slope
        corners[4:5] = [(30.0 + at, 20.0 - deep), (30.0 - at, 20.0 - deep)]
    else:
        more = wide - 2.0 * half
        corners[3:5] = [(31.0 + more, 20.0), (30.0 + more, 14.0), (30.0, 14.0)]
    return corners


def test_each_does_and_two_percent_less_does_not() -> None:
    (found,) = of_hollows(narrow_v())
    told = changes(found)
    depth, width, angle = told["depth_mm"], told["width_mm"], told["wall_angle_deg"]
    assert depth is not None
    assert width is not None
    assert angle is not None
    own = math.degrees(math.atan2(1.0, 6.0))
    for share, helps in ((1.0, True), (0.98, False)):
        for drawn in (
            v_with(deep=6.0 - share * (6.0 - depth)),
            v_with(wide=2.0 + share * (width - 2.0)),
            v_with(open_to=own + share * (angle - own)),
        ):
            assert is_cut(drawn) is helps


def test_what_asks_less_of_the_part_comes_first() -> None:
    (found,) = of_hollows(narrow_v())
    volumes = [
        abs(drawn_profile(drawn).volume_mm3 - drawn_profile(V).volume_mm3)
        for drawn in (
            v_with(deep=changes(found)["depth_mm"] or 0.0),
            v_with(wide=changes(found)["width_mm"] or 0.0),
            v_with(open_to=changes(found)["wall_angle_deg"]),
        )
    ]
    assert volumes == sorted(volumes)


def test_undercut_walls_are_opened_for_both_their_findings() -> None:
    found = of_hollows(report_of(DOVETAIL, OUTSIDE))
    assert len(found) == 2
    for one in found:
        assert one.change is not None
        assert one.change.parameter == "wall_angle_deg"
        assert one.change.from_ == pytest.approx(-math.degrees(math.atan2(2.0, 5.0)))
        assert one.change.to is not None
        assert -5.0 < one.change.to <= 0.0
        assert one.advice not in one.message


def test_a_recess_lists_entry_depth_and_a_split() -> None:
    (found,) = of_hollows(report_of(RECESS, INSIDE))
    told = changes(found)
    assert told["depth_mm"] == 2.0  # f - d/2 of the blade: 8 - 12/2
    assert told["entry_diameter_mm"] == 26.0  # a floor of 30 less two of its depths
    assert (found.change and found.change.parameter, *told)[-1] == "split_at_mm"
    assert told["split_at_mm"] in (20.0, 30.0)


def test_a_groove_that_nothing_less_helps_is_left_out() -> None:
    # no tool of this shop comes from the end, however wide it is, and its walls are thick
    end = [(0.0, 0.0), (8.0, 0.0), (8.0, 12.0), (2.0, 12.0), (2.0, 13.5), (8.0, 13.5),
           (8.0, 20.0), (0.0, 20.0)]  # fmt: skip
    (found,) = of_hollows(report_of(end, OUTSIDE))
    assert found.change is not None
    assert (found.change.parameter, found.change.from_, found.change.to) == ("depth_mm", 6.0, 0.0)
    assert found.message.endswith("Leave the end groove out: nothing less helps.")


def test_a_wider_hollow_is_longer_at_its_floor_alone() -> None:
    profile = drawn_profile(V)
    hollow = hollow_of(profile, ("S4", "S5"))
    assert hollow is not None
    assert (hollow.width_mm, hollow.depth_mm) == (2.0, 6.0)
    made = hollow.wider(1.5, 0)
    assert made is not None
    # a ring from the floor's radius to the lip's, beside the V that stays as it is
    assert profile.volume_mm3 - made.volume_mm3 == pytest.approx(
        math.pi * 1.5 * (20.0**2 - 14.0**2)
    )
    assert hollow.wider(29.0, 0) is None  # no land is left


def test_walls_turn_about_their_feet() -> None:
    hollow = hollow_of(drawn_profile(DOVETAIL), ("S4", "S5", "S6"))
    assert hollow is not None
    made = hollow.opened((0.0, 0.0))
    square = [(0, 0), (60, 0), (60, 20), (37, 20), (37, 15), (23, 15), (23, 20), (0, 20)]
    assert made is not None
    assert made.volume_mm3 == pytest.approx(drawn_profile(square).volume_mm3)
    assert hollow.opened((80.0, 0.0)) is None  # its lip would lie beyond the land


def test_an_entry_is_enlarged_only_from_an_open_end() -> None:
    """A recess at the floor of a blind bore; all within it would be bored through from behind."""
    blind = drawn_profile(
        [(0, 0), (15, 0), (15, 16), (24, 16), (24, 12), (80, 12), (80, 30), (0, 30)]
    )
    of = replace(INSIDE, tools=tuple(t for t in INSIDE.tools if t.access != "inner"))
    bars = starter_shop().tools
    of = replace(
        of, tools=(*of.tools, *(t for t in bars if t.name in ("bore 12", "slot drill 16")))
    )
    for finding in walk(drawn_part(blind), of).findings:
        for change in (finding.change, *finding.other_changes):
            if change is not None and change.parameter == "entry_diameter_mm":
                assert "from the high end" in change.text
                assert change.to is not None
                assert change.to <= 32.0 - 0.25 * 8.0


def test_a_wider_hollow_names_the_wall_that_moves() -> None:
    """An end's groove has its walls named by diameter: outward is another change than inward."""
    (finding,) = of_hollows(narrow_v())
    every = (finding.change, *finding.other_changes)
    (wider,) = (one for one in every if one is not None and one.parameter == "width_mm")
    assert wider.text.endswith(", the wall at z 29 mm moved.") or wider.text.endswith(
        ", the wall at z 31 mm moved."
    )


def test_a_narrow_groove_is_not_opened_to_a_dish() -> None:
    """0.8 wide and 3 deep beside a shop of 1.1 and 2: steeper than 60 degrees only (ours)."""
    narrow = [(0, 0), (60, 0), (60, 20), (30.8, 20), (30.8, 17), (30, 17), (30, 20), (0, 20)]
    of = shop("rough right", "rough left", "groove 2")
    (finding,) = of_hollows(report_of(narrow, of))
    every = (finding.change, *finding.other_changes)
    angles = [one.to for one in every if one is not None and one.parameter == "wall_angle_deg"]
    assert all(to is not None and to <= 60.0 for to in angles)
    assert "width_mm" in changes(finding)
