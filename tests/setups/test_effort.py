"""Effort: trade facts as check values (all of them common practice, no source), and its sums."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from turnability.analysis import analyze, walk
from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Curve, Line, Spline
from turnability.intent.model import Intent, Named, Tolerance
from turnability.part.profile import make_profile
from turnability.reach.model import Reach
from turnability.rules.drawn import PIN, drawn_part, drawn_shop
from turnability.setups.cutting.values import bar_behind_mm, values_of
from turnability.setups.effort.estimate import effort_of
from turnability.setups.effort.model import Effort
from turnability.setups.effort.rates import thread_minutes, tolerance_minutes
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.load import starter_shop
from turnability.shop.materials import find_material
from turnability.shop.model import Holding, Machine, Rates, Shop
from turnability.stock.choose import choose_stock

RAW = Grip("raw bar", "outer", (-17.5, -5.0), 25.0, 12.5)
WORK = (
    Operation("turning tool", ("S2",), "face"),
    Operation("turning tool", ("S3", "S4", "S5"), "turn"),
)
ONE = (Setup(1, "low", RAW, Datum(None, "drawn"), "none", WORK, ()),)
LAND = Grip("three-jaw chuck", "outer", (18.0, 30.0), 16.0, 12.0)
TURNED = Setup(
    2, "high", LAND, Datum("S2", "drawn"), "none", (Operation("turning tool", ("S6",), "face"),), ()
)
CNC = Machine("driven", "cnc", 550.0, 350.0, 600.0, 65.0, 52.0, 4500.0, 15.0, True, False)
PART = drawn_part(PIN)
assert PART.profile is not None
PROFILE = PART.profile


def effort(
    setups: tuple[Setup, ...] = ONE,
    shop: Shop | None = None,
    features: tuple[Feature, ...] = (),
    **intent: object,
) -> Effort:
    stands = shop or drawn_shop()
    found = effort_of(
        PART,
        setups,
        choose_stock(PROFILE, stands),
        stands,
        features,
        Reach((), (), (), ()),
        Intent(**intent),  # type: ignore[arg-type]
    )
    assert found is not None
    return found


def minutes(found: Effort, what: str) -> float:
    return sum(p.minutes for p in found.parts if p.what == what)


def test_what_two_operations_share_is_travelled_once():
    """By hand: a cylinder turned on either side of a steady, or by two hands, is no longer."""
    face, turned = WORK
    twice = (face, turned, replace(turned, segments=("S5",), support="steady"))
    shared = effort((replace(ONE[0], operations=twice),))
    alone = effort((replace(ONE[0], operations=(face, turned)),))
    assert minutes(shared, "cutting") == pytest.approx(minutes(alone, "cutting"), rel=0.02)


def test_going_from_five_to_three_thousandths_more_than_doubles_the_time() -> None:
    assert tolerance_minutes(0.003 * 25.4) > 2.0 * tolerance_minutes(0.005 * 25.4)


@pytest.mark.parametrize("nominal", [8.0, 16.0, 25.0, 50.0])
def test_that_holds_of_the_minutes_that_are_told(nominal: float) -> None:
    """Three thousandths cost time on every size to 50, and over twice what five do, if those do."""
    place = Named(diameter_mm=(16.0, 16.0), segments=("S3",))

    def told(width: float) -> float:
        one = Tolerance("diameter", place, "drawn", width_mm=width, nominal_mm=nominal)
        return minutes(effort(tolerances=(one,)), "tolerances")

    five, three = told(0.127), told(0.0762)
    assert three > 0.1
    assert three > 2.0 * five


def test_tapping_is_easier_than_cutting_an_outside_thread() -> None:
    assert thread_minutes(inside=True, diameter_mm=10.0) < thread_minutes(False, 10.0)
    # only below about M16
    assert thread_minutes(inside=True, diameter_mm=30.0) > thread_minutes(True, 10.0)


def test_programming_is_the_larger_share_of_a_one_off_on_a_driven_lathe() -> None:
    driven = effort(shop=drawn_shop(machines=(CNC,)))
    others = driven.minutes_once - minutes(driven, "programming") + driven.minutes_each
    assert minutes(driven, "programming") > others
    manual = effort()
    assert minutes(manual, "programming") == 0.0
    assert manual.minutes_per_piece < driven.minutes_per_piece


def test_what_is_done_once_by_hand() -> None:
    """Rates of common practice, no source: 15 a chucking, 4 a tool; 10 to read the drawing for
    manual work. A program 20, 10 a chucking, 3 a tool in it, 1 a straight surface.
    """
    manual, driven = effort((*ONE, TURNED)), effort(shop=drawn_shop(machines=(CNC,)))
    assert (minutes(manual, "setups"), minutes(manual, "tools")) == (30.0, 4.0)
    assert minutes(manual, "preparing") == 10.0
    other = replace(ONE[0], operations=(*WORK, Operation("parting blade", ("S6",), "part off")))
    assert minutes(effort((other,)), "tools") == 8.0
    # a face; two cylinders and the shoulder between them
    assert minutes(driven, "programming") == 20.0 + 10.0 + 3.0 + 4 * 1.0
    twice = effort((*ONE, TURNED), shop=drawn_shop(machines=(CNC,)))
    assert minutes(twice, "programming") == 20.0 + 2 * 10.0 + 2 * 3.0 + 5 * 1.0


def domed(curve: Curve) -> float:
    """Minutes of the program of a pin of ⌀22 whose free end is this curve."""
    outline = [
        Line((0.0, 0.0), (26.0, 0.0)), curve, Line((22.0, 11.0), (0.0, 11.0)),
        Line((0.0, 11.0), (0.0, 0.0)),
    ]  # fmt: skip
    if isinstance(curve, Line):
        outline[0] = Line((0.0, 0.0), curve.start)
    part = drawn_part(make_profile([[(c, (i,)) for i, c in enumerate(outline)]]))
    assert part.profile is not None
    turned = tuple(s.id for s in part.profile.outline.segments if s.surface != "axis")
    operations = (Operation("turning tool", turned, "turn"),)
    setups = (Setup(1, "low", RAW, Datum(None, "drawn"), "none", operations, ()),)
    shop = drawn_shop(machines=(CNC,))
    reach = Reach((), (), (), ("S2",))
    found = effort_of(part, setups, choose_stock(part.profile, shop), shop, (), reach, Intent())
    assert found is not None
    return minutes(found, "programming")


def test_a_curve_costs_its_points_and_a_dome_no_more_than_an_arc() -> None:
    """A plain end, a taper, a dome and a free curve in its place: 1, 1.5, 2 and 5 min more."""
    radius = (11.0**2 + 4.0**2) / (2 * 4.0)
    dome = Arc((26.0, 0.0), (22.0, 11.0), (26.0 - radius, 0.0), radius, clockwise=False)
    cone = Line((26.0, 0.0), (22.0, 11.0))
    free = Spline(((26.0, 0.0), (26.0, 6.0), (24.0, 11.0), (22.0, 11.0)))
    plain = domed(Line((22.0, 0.0), (22.0, 11.0)))
    assert [domed(c) - plain for c in (cone, dome, free)] == [0.5, 1.0, 4.0]


def test_a_series_shares_what_is_done_once() -> None:
    one, many = effort(quantity=1), effort(quantity=20)
    assert many.minutes_once == one.minutes_once
    assert many.minutes_per_piece == pytest.approx(many.minutes_once / 20 + many.minutes_each)
    assert many.minutes_per_piece < one.minutes_per_piece


def test_its_parts_add_up() -> None:
    found = effort()
    assert found.minutes_once == pytest.approx(
        sum(p.minutes for p in found.parts if p.per == "order")
    )
    assert found.minutes_each == pytest.approx(
        sum(p.minutes for p in found.parts if p.per == "piece")
    )
    assert all(p.minutes > 0.0 for p in found.parts)


def test_a_second_setup_costs_more() -> None:
    assert effort((*ONE, TURNED)).minutes_per_piece > effort().minutes_per_piece + 10.0


def test_a_tight_size_and_a_thread_cost_their_time() -> None:
    place = Named(diameter_mm=(16.0, 16.0), segments=("S3",))

    def toleranced(stated: str, width: float) -> Effort:
        one = Tolerance("diameter", place, stated, width_mm=width, nominal_mm=16.0)
        return effort(tolerances=(one,))

    # ISO 286-1, over 10 to 18 mm: IT6 is 0.011, IT9 0.043, IT11 0.110
    tight = toleranced("h6", 0.011)
    first = 0.5 * ((0.127 / 0.011) ** 1.5 - (0.127 / 0.110) ** 1.5)
    assert minutes(tight, "tolerances") == pytest.approx(first)
    once, each = (p.minutes for p in tight.parts if p.what == "tolerances")
    assert (once, each) == (pytest.approx(0.75 * first), pytest.approx(0.25 * first))
    # what turning holds anyhow costs nothing, however many are made
    for stated, width in (("h11", 0.110), ("±0.2", 0.4)):
        assert minutes(toleranced(stated, width), "tolerances") == 0.0
    assert 0.0 < minutes(toleranced("h9", 0.043), "tolerances") < 0.5 * first
    thread = Feature("T1", "thread", "outer", (18.0, 30.0), (13.5, 16.0), ("S3",), ())
    assert minutes(effort(features=(thread,)), "threads") == thread_minutes(False, 16.0)


def worked(material: str) -> Shop:
    shop = drawn_shop()
    assert shop.stock_policy is not None
    return replace(shop, stock_policy=replace(shop.stock_policy, material=material))


def test_what_machines_badly_takes_longer_in_the_cut() -> None:
    cut = {m: minutes(effort(shop=worked(m)), "cutting") for m in ("6082-T6", "C45", "Ti-6Al-4V")}
    assert cut["6082-T6"] < cut["C45"] < cut["Ti-6Al-4V"]


def test_money_is_told_only_by_the_shops_own_rates() -> None:
    assert effort().money is None
    rates = Rates("EUR", 60.0, 120.0, 2.0)
    found = effort(shop=replace(drawn_shop(), rates=rates))
    assert found.money is not None
    prepared = minutes(found, "preparing")
    # 1 EUR a minute at the lathe, 2 while preparing
    assert found.money.work == pytest.approx(found.minutes_per_piece + prepared)
    stock = choose_stock(PROFILE, drawn_shop())
    assert stock is not None
    assert stock.choice is not None
    assert found.money.material == pytest.approx(2.0 * (stock.choice.mass_kg or 0.0))
    dear = tuple(replace(size, price_per_kg=3.0) for size in drawn_shop().stock)
    found = effort(shop=replace(drawn_shop(), rates=rates, stock=dear))
    assert found.money is not None
    assert found.money.material == pytest.approx(3.0 * (stock.choice.mass_kg or 0.0))


def test_no_plan_or_an_unknown_material_has_no_effort() -> None:
    shop = drawn_shop()
    assert effort_of(PART, (), None, shop) is None
    assert effort_of(PART, None, None, shop) is None
    assert effort_of(PART, ONE, None, worked("unheard-of 9")) is None


def test_starting_values_keep_to_what_lathe_and_chuck_allow() -> None:
    chosen = find_material("6082-T6")
    assert chosen is not None
    slow = Holding("slow", "three-jaw", (3.0, 160.0), None, 10.0, 0.5, 2.0, max_rpm=900.0)
    shop = drawn_shop(holdings=(slow,))
    setup = replace(ONE[0], grip=replace(LAND, kind="slow"))
    lathe = shop.machines[0]
    for values in values_of(PROFILE, setup, None, shop, chosen.material, lathe):
        for one in (values.rough, values.finish):
            assert one is not None
            assert one.speed.rpm <= 900.0
            assert lathe.power_kw is not None
            assert one.power_kw <= lathe.power_kw * (1.0 + 1e-9)
    (face, _) = values_of(PROFILE, setup, None, shop, chosen.material, lathe)
    assert face.finish.speed.limit == "chuck"


def test_bar_behind_the_spindle_runs_at_half_its_critical_speed() -> None:
    """Beam vibration theory: a ⌀25 bar of 1 m overhanging whips from 1085 turns a minute."""
    chosen = find_material("C45")
    assert chosen is not None
    assert bar_behind_mm(1085.0 / 2.0, 25.0, 0.0, chosen.material) == pytest.approx(1000.0, abs=1.0)


def minutes_of_points(points: list[tuple[float, float]], shop: Shop) -> tuple[float, float]:
    """What a drawn part takes a piece, and the cutting of it."""
    found = walk(drawn_part(points), shop).effort
    assert found is not None
    return found.minutes_per_piece, minutes(found, "cutting")


def test_cutting_grows_with_what_is_cut_away() -> None:
    """The same shaft with its journal of ⌀20 out of ⌀40 over 20, 40 and 80 mm: what is turned away
    grows by 20, 40 mm of the same ring, and so does the time, but for what the ends take."""
    shop = starter_shop()
    times = [
        minutes_of_points([(0, 0), (20 + n, 0), (20 + n, 10), (20, 10), (20, 20), (0, 20)], shop)[1]
        for n in (20, 40, 80)
    ]
    first, second = times[1] - times[0], times[2] - times[1]
    assert first > 0.0
    assert second == pytest.approx(2.0 * first, rel=0.1)


def test_of_two_versions_the_plainer_one_takes_less() -> None:
    """The same shaft with and without a groove."""
    shop = starter_shop()
    plain = [(0, 0), (50, 0), (50, 10), (30, 10), (30, 15), (0, 15)]
    grooved = [(0, 0), (50, 0), (50, 10), (42, 10), (42, 8), (38, 8), (38, 10), (30, 10), (30, 15),
               (0, 15)]  # fmt: skip
    assert minutes_of_points(plain, shop)[0] < minutes_of_points(grooved, shop)[0]


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", ["bearing_support_ring", "servo_hub", "dock_pin_bullet_nose"])
def test_of_a_one_off_on_a_driven_lathe_the_program_is_the_largest_item(
    name: str, shared_parts: Path
) -> None:
    """A trade fact (common practice, no source), where little is cut away."""
    stands = starter_shop()
    driven = replace(stands, machines=tuple(m for m in stands.machines if m.control == "cnc"))
    report = analyze(shared_parts / f"{name}.step", driven)
    assert report.effort is not None
    parts = {p.what: minutes(report.effort, p.what) for p in report.effort.parts}
    assert max(parts, key=lambda what: parts[what]) == "programming"
    assert 1.0 / 3.0 < parts["programming"] / report.effort.minutes_per_piece < 2.0 / 3.0


def test_what_the_plan_leaves_uncut_costs_no_time() -> None:
    """⌀60 × 400 with a bore of ⌀54 that no bar gets through: nothing inside is begun, so the core,
    pi/4 54² 400 = 916 cm³, is no chips."""
    tube = walk(drawn_part([(0, 27), (400, 27), (400, 30), (0, 30)]), starter_shop())
    rod = walk(drawn_part([(0, 0), (400, 0), (400, 30), (0, 30)]), starter_shop())
    assert not [o for s in tube.setups for o in s.operations if o.kind in ("drill", "bore")]
    cutting = [next(p.minutes for p in r.effort.parts if p.what == "cutting") for r in (tube, rod)]
    assert cutting[0] == pytest.approx(cutting[1], rel=0.1)
