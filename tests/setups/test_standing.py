"""Which diameter a speed is taken from, by hand: n = 1000 v / (π d)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import drawn_profile, make_profile
from turnability.rules.drawn import TURNING_TOOL, drawn_shop
from turnability.setups.cutting.standing import largest_mm
from turnability.setups.cutting.values import values_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.load import tools_of
from turnability.shop.materials import find_material
from turnability.stock.choose import choose_stock

FLANGE = drawn_profile([(0, 12.5), (0, 60), (12, 60), (12, 22), (41, 22), (41, 12.5)])
"""⌀120 × 12 with a hub ⌀44 to z 41, from a bar of 130; bored ⌀25."""
IDS = {
    (s.surface, *(round(v) for p in sorted((s.curve.start, s.curve.end)) for v in p)): s.id
    for s in FLANGE.segments
}
HUB_FACE = IDS["end", 41, 12, 41, 22]
HUB, RIM = IDS["outer", 12, 22, 41, 22], IDS["outer", 0, 60, 12, 60]
SHOULDER, FOOT = IDS["end", 12, 22, 12, 60], IDS["end", 0, 12, 0, 60]
FACING = Operation("turning tool", (HUB_FACE,), "face")
TURNING = Operation("turning tool", (HUB, SHOULDER, RIM), "turn")


def finishing_mm(operations: tuple[Operation, ...], before: tuple[Setup, ...] = ()) -> list[float]:
    """The diameter that each finishing pass is reckoned at, from its rpm and m/min."""
    blade = tools_of({"kind": "grooving", "name": "groove 2", "width_mm": 2.0})
    shop = drawn_shop(tools=(TURNING_TOOL, *blade), bars_mm=(130.0,))
    found = find_material("6082-T6")
    assert found is not None
    setup = Setup(
        len(before) + 1,
        "low",
        Grip("raw bar", "outer", (-20.0, -5.0), 130.0, 15.0),
        Datum(None, "drawn"),
        "none",
        operations,
        (),
    )
    values = values_of(
        FLANGE, setup, choose_stock(FLANGE, shop), shop, found.material, None, before=before
    )
    return [
        1000.0 * v.finish.speed.cutting_m_per_min / (math.pi * v.finish.speed.rpm) for v in values
    ]


def first(*operations: Operation) -> Setup:
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 130.0, 15.0)
    return Setup(1, "low", grip, Datum(None, "drawn"), "none", operations, ())


def test_a_face_is_cut_while_the_blank_stands_round_it() -> None:
    """The hub is ⌀44 when it is done, but ⌀130 runs past the tool as it is faced first."""
    assert finishing_mm((FACING, TURNING)) == pytest.approx([130.0, 120.0])
    # faced after its outside, only the hub runs past
    assert finishing_mm((TURNING, FACING)) == pytest.approx([120.0, 44.0])


def test_the_speed_at_the_rim_is_never_more_than_the_materials() -> None:
    """250 m/min (6082-T6, low end, from memory) at ⌀130: 1000 · 250 / (π · 130) = 612 rpm.

    The bar is held over half its diameter; a shorter grip would halve that.
    """
    shop = drawn_shop(tools=(TURNING_TOOL,), bars_mm=(130.0,))
    found = find_material("6082-T6")
    assert found is not None
    stock = choose_stock(FLANGE, shop)
    setup = first(FACING)
    (face,) = values_of(FLANGE, held_over(setup, 65.0), stock, shop, found.material, None)
    assert face.finish.speed.cutting_m_per_min == pytest.approx(250.0)
    assert face.finish.speed.rpm == pytest.approx(612.1, abs=0.1)
    (short,) = values_of(FLANGE, held_over(setup, 64.0), stock, shop, found.material, None)
    assert short.finish.speed.cutting_m_per_min == pytest.approx(125.0)


def held_over(setup: Setup, length_mm: float) -> Setup:
    return replace(setup, grip=replace(setup.grip, length_mm=length_mm))


def test_what_is_left_behind_the_other_end_is_still_the_blank() -> None:
    """The rim was turned in setup 1 to the part's end; the millimetre beyond is nobody's."""
    assert finishing_mm(
        (replace(FACING, segments=(FOOT,)),), (first(FACING, TURNING),)
    ) == pytest.approx([130.0])


def test_a_shoulder_whose_rim_waits_runs_past_as_the_blank() -> None:
    shoulder = replace(TURNING, segments=(HUB, SHOULDER))
    rim = replace(TURNING, segments=(RIM,))
    assert finishing_mm((shoulder, rim)) == pytest.approx([130.0, 120.0])
    assert finishing_mm((rim, shoulder)) == pytest.approx([120.0, 120.0])
    assert finishing_mm((shoulder,), (first(rim),)) == pytest.approx([120.0])


def test_a_groove_is_cut_from_what_stands_beside_it() -> None:
    """Down to ⌀44 between the shoulder and the free end: no outside is turned beside that end."""
    assert finishing_mm((Operation("groove 2", (HUB,), "groove"),)) == pytest.approx([130.0])


def test_a_ball_is_as_large_as_between_its_poles() -> None:
    """Half a circle of radius 25 begins and ends on the axis, and is ⌀50 between."""
    arc = Arc((50.0, 0.0), (0.0, 0.0), (25.0, 0.0), 25.0, False)
    ball = make_profile([[(arc, (1,)), (Line((0.0, 0.0), (50.0, 0.0)), ())]])
    assert largest_mm([s for s in ball.segments if s.surface == "outer"]) == pytest.approx(
        50.0, abs=2e-3
    )
