"""What helps where something stays in a bore, or in a groove of an end that no blade cuts.

Each number is checked by drawing the part by hand with it, and with two hundredths less of the
change, apart from the program: the one leaves nothing there, the other does.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from turnability.analysis import walk
from turnability.analysis.changed import core_and_ring, halves
from turnability.analysis.stages import judged_once
from turnability.half_plane.curves import Arc, Line
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile, make_profile
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.rules.model import Change, Finding
from turnability.shop.load import starter_shop
from turnability.shop.model import Shop

Corners = list[tuple[float, float]]
BORED = ("rough right", "rough left", "drill 18", "slot drill 16", "bore 12", "ring groove")


def shop(*names: str) -> Shop:
    own = starter_shop()
    return replace(own, tools=tuple(t for t in own.tools if t.name in names))


SHOP = shop(*BORED)


def cup(floor: float) -> Corners:
    """A blind bore of ⌀20 from the high end of a part of 100, to that z."""
    return [(0, 0), (floor, 0), (floor, 10), (100, 10), (100, 20), (0, 20)]


def sleeve(bore: float, long: float = 150.0) -> Corners:
    return [(0, 0.5 * bore), (long, 0.5 * bore), (long, 25), (0, 25)]


def ring_groove(top: float = 20.0, hub: float = 12.0) -> Corners:
    """An end's groove of ⌀24 to ⌀30, 4 deep, between a hub and a rim."""
    return [(0, 0), (40, 0), (40, hub), (36, hub), (36, 15), (40, 15), (40, top), (0, top)]


def uncut(report: Report) -> list[Finding]:
    assert all(one.status != "crashed" for one in report.rules)
    return [f for f in report.findings if f.rule == "unreached-surface" and f.level == "error"]


def is_cut(corners: Corners, of: Shop) -> bool:
    judged = judged_once(drawn_part(drawn_profile(corners)), of, None)
    assert judged is not None
    return not any(f.rule == "unreached-surface" and f.level == "error" for f in judged[0])


def told(corners: Corners, of: Shop) -> dict[str, Change]:
    (finding,) = uncut(walk(drawn_part(drawn_profile(corners)), of))
    assert finding.change is not None
    every = (finding.change, *finding.other_changes)
    assert all(one.proven for one in every)
    assert all(one.text.rstrip(".").lower() in finding.message.lower() for one in every)
    return {one.parameter: one for one in every}


@cache
def deep_cup() -> dict[str, Change]:
    return told(cup(20.0), SHOP)


def test_a_blind_bore_is_less_deep() -> None:
    change = deep_cup()["depth_mm"]
    assert change.from_ == 80.0
    assert change.to is not None
    assert change.to >= 0.3 * 80.0
    assert f"z {100.0 - change.to:g} mm (drawn 20 mm)" in change.text
    assert is_cut(cup(100.0 - change.to), SHOP)
    assert not is_cut(cup(100.0 - change.to - 0.02 * (80.0 - change.to)), SHOP)


def test_a_long_bore_is_cut_from_both_ends_of_two_parts() -> None:
    split = told(sleeve(20.0), SHOP)["split_at_mm"]
    assert split.to == 75.0
    assert is_cut(sleeve(20.0, 75.0), SHOP)
    assert not is_cut(sleeve(20.0), SHOP)


def test_a_wider_bore_lets_the_longer_bar_in() -> None:
    of = shop("rough right", "rough left", "drill 18", "bore 12", "bore 20")
    change = told(sleeve(21.0), of)["bore_diameter_mm"]
    assert change.from_ == 21.0
    assert change.to is not None
    assert is_cut([(0, 0.5 * change.to), (150, 0.5 * change.to), (150, 25), (0, 25)], of)
    less = 0.5 * (21.0 + 0.98 * (change.to - 21.0))
    assert not is_cut([(0, less), (150, less), (150, 25), (0, 25)], of)


def test_an_end_groove_runs_out_where_no_blade_sinks_into_the_end() -> None:
    (finding,) = uncut(walk(drawn_part(drawn_profile(ring_groove(top=16.5))), SHOP))
    out = finding.change
    assert out is not None
    assert (out.parameter, out.to, out.proven) == ("run_out_diameter_mm", 30.0, True)
    assert "clear all round ⌀30 mm" in out.text
    assert is_cut([(0, 0), (40, 0), (40, 12), (36, 12), (36, 16.5), (0, 16.5)], SHOP)


def test_a_thick_wall_is_not_taken_away() -> None:
    # its rim is a fifth of the part
    short = [(max(z, 24.0) - 24.0, r) for z, r in ring_groove(top=40.0)]
    (finding,) = uncut(walk(drawn_part(drawn_profile(short)), SHOP))
    assert finding.change is not None
    assert all("all round" not in one.text for one in (finding.change, *finding.other_changes))


def test_what_nothing_else_helps_is_left_out() -> None:
    """Half a round from edge to edge of a ring's end: no land beside it, and no blade sinks in.

    Either half of its walls would be more than a tenth of the ring.
    """
    curves = (
        Line((0, 20), (8, 20)), Line((8, 20), (8, 30)), Line((8, 30), (0, 30)),
        Arc((0, 30), (0, 20), (0, 25), 5.0, clockwise=True),
    )  # fmt: skip
    profile = make_profile([[(curve, ()) for curve in curves]])
    (finding,) = uncut(walk(drawn_part(profile), shop(*BORED, "drill 25", "bore 20")))
    assert finding.change is not None
    assert (finding.change.parameter, finding.change.to) == ("depth_mm", 0.0)
    assert finding.change.from_ == pytest.approx(5.0, abs=1e-3)
    assert "Leave the end groove out" in finding.message


def test_parts_of_a_split_hold_the_whole() -> None:
    profile = drawn_profile(ring_groove())
    for made in (halves(profile, 10.0), core_and_ring(profile, 12.0)):
        assert len(made) == 2
        assert sum(one.volume_mm3 for one, _ in made) == pytest.approx(profile.volume_mm3)
    (core, at), (ring, other) = core_and_ring(profile, 12.0)
    assert (core.max_diameter_mm, at) == (24.0, 0.0)
    assert (ring.through_bore_mm, other) == (24.0, 0.0)
    (_, low), (_, high) = halves(profile, 10.0)
    assert (low, high) == (0.0, 10.0)
    assert halves(profile, 36.0) == (), "hub and rim would be two"


def vee(foot: float) -> Corners:
    """An end's V, 6 deep, its foot at that radius, 4 to either side wide."""
    return [(0, 0), (30, 0), (30, foot - 4), (24, foot), (30, foot + 4), (30, 40), (0, 40)]


def test_a_v_runs_out_from_its_foot() -> None:
    change = told(vee(24.0), SHOP)["run_out_diameter_mm"]
    assert change.to == 48.0
    assert is_cut([(0, 0), (24, 0), (24, 24), (30, 28), (30, 40), (0, 40)], SHOP)
    assert not is_cut(vee(24.0), SHOP)


def pointed(depth: float) -> Corners:
    """A blind hole of ⌀14 with a drill's point of 118 degrees, its tip so deep in a part of 170."""
    tip, point = 170.0 - depth, 7.0 / math.tan(math.radians(59.0))
    return [(0, 0), (tip, 0), (tip + point, 7), (170, 7), (170, 20), (0, 20)]


def test_a_drilled_hole_is_less_deep_with_its_point_as_it_is() -> None:
    """As deep as the drill goes, its flutes less 1.5 diameters (common practice, no source)."""
    of = shop("rough right", "rough left", "drill 14", "bore 12")
    (drill,) = (tool for tool in of.tools if tool.name == "drill 14")
    change = told(pointed(154.0), of)["depth_mm"]
    assert (change.from_, change.to) == (154.0, drill.limits["flute_length_mm"] - 1.5 * 14.0)
    assert "the shape of its floor as it is" in change.text
    assert is_cut(pointed(change.to), of)
    assert not is_cut(pointed(change.to + 0.02 * (154.0 - change.to)), of)


def domed(floor: float, wall: float) -> Profile:
    """A blind bore of ⌀20 in a part of 90, its floor a fillet's round from the wall to a flat."""
    outline = (
        Line((0, 0), (floor, 0)), Arc((floor, 0), (floor + 10, 10), (floor + 10, 0), 10.0, True),
        Line((floor + 10, 10), (90, 10)), Line((90, 10), (90, wall)), Line((90, wall), (0, wall)),
        Line((0, wall), (0, 0)),
    )  # fmt: skip
    return make_profile([[(curve, ()) for curve in outline]])


def test_a_balls_floor_made_flat_is_not_called_a_wider_bore() -> None:
    of = shop("rough right", "rough left", "drill 6", "drill 12", "drill 18", "slot drill 12",
              "slot drill 16", "bore 12")  # fmt: skip
    for finding in uncut(walk(drawn_part(domed(15.0, 25.0)), of)):
        for change in (finding.change, *finding.other_changes):
            assert change is not None
            assert change.parameter != "bore_diameter_mm"
            if change.parameter == "depth_mm":
                assert change.text.startswith("Let the floor of the bore be flat at z ")


def test_a_bore_is_split_at_its_shoulder_or_at_a_round_height() -> None:
    stepped: Corners = [
        (0, 0), (20, 0), (20, 6), (45, 6), (45, 12), (120, 12), (120, 18), (160, 18), (160, 30),
        (0, 30),
    ]  # fmt: skip
    places = {
        change.to
        for finding in uncut(walk(drawn_part(drawn_profile(stepped)), starter_shop()))
        for change in (finding.change, *finding.other_changes)
        if change is not None and change.parameter == "split_at_mm"
    }
    assert places == {20.0, 45.0}
    assert told(sleeve(20.0, 149.0), SHOP)["split_at_mm"].to == 75.0


def venturi(throat: float) -> Corners:
    """Cones of 50 and 70 long down to a throat of that diameter, 20 long, in a part of ⌀70."""
    r = 0.5 * throat
    low, high = 50.0 * (25.0 - r) / 16.0, 140.0 - 70.0 * (22.0 - r) / 13.0
    return [(0, 25), (low, r), (high, r), (140, 22), (140, 35), (0, 35)]


def test_an_error_that_another_swallows_is_not_gone() -> None:
    """A throat so little wider joins what stays at both of its ends: one error, but all of it."""
    of = shop("rough right", "rough left", "drill 18", "bore 12")
    findings = uncut(walk(drawn_part(drawn_profile(venturi(18.0))), of))
    assert len(findings) == 2
    for finding in findings:
        for change in (finding.change, *finding.other_changes):
            if change is not None and change.parameter == "bore_diameter_mm":
                assert change.to is not None
                assert is_cut(venturi(change.to), of)
