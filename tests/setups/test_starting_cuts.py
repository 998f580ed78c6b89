"""Cuts to begin with, by hand. Their numbers are common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from turnability.intent.model import Intent, Named, Roughness
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import LATHE, TURNING_TOOL, drawn_shop
from turnability.setups.cutting.starting import drill_feed_mm, finish_cut, lathe_for, rough_cut
from turnability.setups.cutting.values import Values, _Limits, values_of
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.limits import stated_ra_um
from turnability.shop.load import tools_of
from turnability.shop.materials import Material, find_material
from turnability.stock.choose import choose_stock


def material(name: str) -> Material:
    found = find_material(name)
    assert found is not None
    return found.material


@pytest.mark.parametrize(("diameter", "depth"), [(20.0, 0.5), (5.0, 0.5), (3.0, 0.3), (0.5, 0.1)])
def test_thin_work_is_finished_by_a_tenth_of_its_diameter(diameter: float, depth: float) -> None:
    cut = finish_cut(material("C45"), None, diameter)
    assert (cut.depth_mm, cut.feed_mm) == pytest.approx((depth, 0.1))
    assert (cut.lead_deg, cut.nose_radius_mm) == (95.0, 0.4)


@pytest.mark.parametrize(
    ("ra", "feed"),
    [
        # f = √(32 r Ra) with r = 0.4: 0.1012, no more than the usual 0.1; 0.0506; 0.0253, too fine
        (0.8, 0.1),
        (0.2, 0.050596),
        (0.05, 0.03),
    ],
)
def test_a_stated_roughness_sets_the_feed(ra: float, feed: float) -> None:
    assert finish_cut(material("C45"), None, 20.0, ra).feed_mm == pytest.approx(feed, abs=1e-6)


def test_the_tools_own_nose_and_angle_are_cut_with() -> None:
    """Ra 0.2 with a nose of 0.8: √(32 · 0.8 · 0.0002) = 0.07155."""
    (tool,) = tools_of({"kind": "turning", "holder": "PCLNR 2020K12", "insert": "CNMG 120408"})
    cut = finish_cut(material("C45"), tool, 20.0, 0.2)
    assert (cut.lead_deg, cut.nose_radius_mm) == (95.0, 0.8)
    assert cut.feed_mm == pytest.approx(0.07155, abs=1e-5)
    (other,) = tools_of({"kind": "turning", "holder": "SVJCR 2020K16", "insert": "VCMT 160404"})
    assert finish_cut(material("C45"), other, 20.0).lead_deg == 93.0


@pytest.mark.parametrize(
    ("power_kw", "depth"),
    [
        # C45 at 2 mm and 0.2: worn edge 1.3 · 2220 · 0.4 · (0.2 sin 85°)^-0.14 is about 1446 N
        (None, 2.0),
        (10.0, 2.0),
        (0.1, 1.0),
    ],
)
def test_a_weak_lathe_roughs_less_deep_but_a_millimetre(
    power_kw: float | None, depth: float
) -> None:
    lathe = replace(LATHE, power_kw=power_kw)
    cut = rough_cut(material("C45"), None, lathe)
    assert (cut.depth_mm, cut.feed_mm) == pytest.approx((depth, 0.2))


def test_a_drill_feeds_a_hundredth_of_its_diameter() -> None:
    """Handbooks: 0.01 to 0.02 of it, from memory; hand and tailstock push no more than 0.015 in."""
    sizes = (1.0, 6.0, 10.0, 13.0, 25.0, 30.0, 50.0)
    feeds = [drill_feed_mm(d) for d in sizes]
    assert feeds == pytest.approx([0.01, 0.06, 0.1, 0.13, 0.25, 0.3, 0.38])


def test_the_first_lathe_that_swings_it_and_is_driven_where_that_is_asked() -> None:
    small = replace(LATHE, name="small", swing_mm=200.0, control="manual")
    large = replace(LATHE, name="large", swing_mm=500.0, control="manual")
    driven = replace(LATHE, name="driven", swing_mm=500.0, control="cnc")
    shop = drawn_shop(machines=(small, large, driven))

    def taken(size_mm: float, cnc: bool = False) -> str | None:
        lathe = lathe_for(shop, size_mm, cnc)
        return lathe and lathe.name

    assert (taken(200.0), taken(201.0), taken(100.0, cnc=True)) == ("small", "large", "driven")
    # what none swings is still told by a lathe: that it is too large is a rule's to say
    assert taken(900.0) == "small"
    assert lathe_for(drawn_shop(machines=()), 10.0) is None


def test_the_finest_stated_roughness_of_a_cut_counts() -> None:
    def on(*segments: str) -> Named:
        return Named(diameter_mm=(10.0, 10.0), segments=segments)

    intent = Intent(roughness=(Roughness(on("S1", "S2"), 0.8), Roughness(on("S2"), 0.4)), ra_um=3.2)
    assert stated_ra_um(["S1"], intent) == 0.8
    assert stated_ra_um(["S1", "S2"], intent) == 0.4
    assert stated_ra_um(["S9"], intent) == 3.2
    assert stated_ra_um(["S1"], None) is None


ROD = drawn_profile([(0, 0), (40, 0), (40, 8), (0, 8)])
"""⌀16 × 40; S2 is its free face, S3 its outside."""


def starting(operation: Operation, **told: Any) -> Values:
    """Values of one operation in C45 from a bar of 20, on a lathe that limits nothing."""
    tools = tools_of({"kind": "drill", "diameter_mm": 8.5}) + tools_of(
        {"kind": "grooving", "name": "groove 2", "width_mm": 2.0}
    )
    shop = drawn_shop(tools=(TURNING_TOOL, *tools), bars_mm=(20.0,))
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 20.0, 15.0)
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", (operation,), ())
    stock = choose_stock(ROD, shop)
    (made,) = values_of(ROD, replace(setup, **told), stock, shop, material("C45"), None)
    return made


def test_each_pass_turns_for_what_runs_past_the_tool() -> None:
    """C45 begins at 120 m/min with carbide and 20 with HSS (from memory); n = 1000 v / (π d)."""
    turned = starting(Operation("turning tool", ("S3",), "turn"))
    assert turned.rough is not None
    # roughed from the bar's 20, finished at the rod's 16
    assert turned.rough.speed.rpm == pytest.approx(1909.9, abs=0.1)
    assert turned.finish.speed.rpm == pytest.approx(2387.3, abs=0.1)
    drilled = starting(Operation("drill 8.5", ("S3",), "drill"))
    assert (drilled.diameter_mm, drilled.rough) == (8.5, None)
    assert drilled.finish.speed.rpm == pytest.approx(749.0, abs=0.1)
    assert (drilled.finish.depth_mm, drilled.finish.feed_mm) == pytest.approx((4.25, 0.085))
    grooved = starting(Operation("groove 2", ("S3",), "groove"))
    # plunged from the bar: nothing beside it is turned
    assert (grooved.diameter_mm, grooved.finish.depth_mm) == (20.0, 2.0)
    assert starting(Operation("groove 2", ("S3",), "part off")).diameter_mm == 20.0


@pytest.mark.parametrize(
    ("support", "while_cut", "rpm"),
    [("none", "none", 450.0), ("tailstock", "tailstock", 450.0), ("tailstock", "none", 300.0)],
)
def test_half_of_the_critical_speed_as_it_is_carried_then(
    support: Any, while_cut: Any, rpm: float
) -> None:
    """Whips at 900 as the setup carries it, at 600 while the centre is away: half of either."""
    bending: Any = SimpleNamespace(critical_rpm=900.0, critical_free_rpm=600.0)
    facing = Operation("turning tool", ("S2",), "face", support=while_cut)
    made = starting(facing, support=support, bending=bending)
    assert (made.finish.speed.rpm, made.finish.speed.limit) == (rpm, "whip")


@pytest.mark.parametrize("power_kw", [0.3, 1.0, 30.0])
def test_a_weak_lathe_drills_slower_and_with_the_same_feed(power_kw: float) -> None:
    """P = kc f v d / 240000 (handbooks, from memory), a worn edge 1.3, 0.8 of it at the spindle.

    Each lip of a point of 118° cuts f sin 59° / 2: for ⌀20 and 0.2 mm 0.08572 mm.
    """
    steel = material("C45")
    weak, strong = (
        _Limits(steel, replace(LATHE, power_kw=kw, max_rpm=3000.0), None, None)
        for kw in (power_kw, None)
    )
    found, free = weak.drilled(20.0), strong.drilled(20.0)
    kc = steel.kc11.value * 0.0857167**-steel.mc.value
    needed = 1.3 * kc * 0.2 * 20.0 * 20.0 / 240_000.0 / 0.8
    assert free.power_kw == pytest.approx(needed, rel=1e-4)
    assert found.feed_mm == free.feed_mm == pytest.approx(0.2)
    share = min(1.0, power_kw / needed)
    assert found.speed.rpm == pytest.approx(share * free.speed.rpm, rel=1e-4)
    assert (found.speed.limit == "power") == (share < 1.0)


def test_a_hole_that_stands_takes_its_share_of_the_power() -> None:
    """⌀20 in ⌀10: the ring's turning moment goes with d² - p², three quarters."""
    limits = _Limits(material("C45"), replace(LATHE, power_kw=None), None, None)
    assert limits.drilled(20.0, 10.0).power_kw == pytest.approx(
        0.75 * limits.drilled(20.0).power_kw
    )


def test_a_large_drill_into_the_solid_wants_a_small_one_first() -> None:
    """Over about 13 mm on a small lathe (common practice, no source), half its diameter."""
    sizes = (13.0, 10.0, 20.0)
    drills = [tools_of({"kind": "drill", "diameter_mm": d})[0] for d in sizes]
    shop = drawn_shop(tools=tuple(drills), bars_mm=(20.0,))
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 20.0, 15.0)

    def pilots(*order: int) -> list[float | None]:
        done = tuple(Operation(drills[n].name, (), "drill") for n in order)
        setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", done, ())
        return [
            v.pilot_mm
            for v in values_of(ROD, setup, choose_stock(ROD, shop), shop, material("C45"), None)
        ]

    assert pilots(0) == [None]
    assert pilots(2, 1) == [10.0, None]
    assert pilots(1, 2) == [None, None]
