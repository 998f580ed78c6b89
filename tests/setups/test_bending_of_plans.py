"""How plans bend: closed forms of beams on a bed, and what machinists know of order and support."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnability.cited import Cited
from turnability.half_plane.curves import Point
from turnability.intent.model import Intent, Named, Roughness, Tolerance
from turnability.part.model import Stated
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import LATHE, TURNING_TOOL, drawn_part, drawn_shop
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.held import CENTRE, grip_stiffness
from turnability.setups.bending_model import Bending
from turnability.setups.cutting.forces import passive_force_n
from turnability.setups.cutting.starting import finish_cut
from turnability.setups.cutting.whip import Ends, critical_rpm
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.limits import diameter_limit, general_width
from turnability.shop.materials import find_material
from turnability.shop.model import Shop, Tool
from turnability.stock.choose import choose_stock

STEEL = find_material("C45")
assert STEEL is not None
E, NU = STEEL.material.e.value, STEEL.material.poisson


def turn(*segments: str, kind: str = "turn") -> Operation:
    return Operation("turning tool", segments, kind)


def bent(
    points: list[Point],
    *operations: Operation,
    support: str = "none",
    grip_mm: float = 60.0,
    bar_mm: float | None = None,
    shop: Shop | None = None,
    intent: Intent | None = None,
    gap_mm: float = 0.0,
) -> Bending:
    """One setup from bar, the grip beginning `gap_mm` behind the part."""
    part = drawn_part(points)
    assert part.profile is not None
    size = bar_mm or part.profile.max_diameter_mm + 2.0
    stands = shop or drawn_shop(bars_mm=(size,))
    grip = Grip("raw bar", "outer", (-gap_mm - grip_mm, -gap_mm), size, grip_mm)
    on = tuple(replace(o, support=support) for o in operations)  # type: ignore[arg-type]
    setup = Setup(1, "low", grip, Datum(None, "drawn"), support, on, ())  # type: ignore[arg-type]
    stock = choose_stock(part.profile, stands)
    (made,) = with_bending(part, (setup,), stock, stands, intent)
    assert made.bending is not None
    return made.bending


def rod(d: float, length: float) -> list[Point]:
    return [(0, 0), (length, 0), (length, d / 2), (0, d / 2)]


ROD = ("S2", "S3")
"""The rod's free face and its outside."""


def give_of_a_bed(k: float, ei: float, shear: float, length: float) -> tuple[float, float]:
    """Deflection and tilt at the end of a half-infinite beam with shear on Winkler's bed.

    Under 1 N and the moment of its lever: Q' = k y, M' = -Q, φ' = M / (E I), y' = φ + Q / S, of
    which the two solutions that die out meet Q = 1, M = L at the end. Without shear they are
    Hetényi's closed forms (beams on elastic foundation), which is checked here too.
    """

    def solved(stiff: float) -> tuple[float, float]:
        system = np.array(
            [[0.0, 1.0, 0.0, 1.0 / stiff], [0.0, 0.0, 1.0 / ei, 0.0], [0, 0, 0, -1.0], [k, 0, 0, 0]]
        )
        roots, vectors = np.linalg.eig(system)
        dying = vectors[:, roots.real > 0.0]
        share = np.linalg.solve(dying[2:], np.array([length, 1.0]))
        y, tilt = (dying[:2] @ share).real
        return float(y), float(tilt)

    beta = (k / (4.0 * ei)) ** 0.25
    y, tilt = solved(1e15)
    assert y == pytest.approx(2.0 * beta * (1.0 + beta * length) / k, rel=1e-4)
    assert tilt == pytest.approx(2.0 * beta**2 * (1.0 + 2.0 * beta * length) / k, rel=1e-4)
    return solved(shear)


def test_a_rod_in_a_long_grip_bends_as_a_beam_on_a_bed() -> None:
    """A cantilever with its shear, on what a half-infinite bed gives at its end."""
    d, length, bar = 24.0, 120.0, 25.27
    bending = bent(rod(d, length), turn(*ROD), bar_mm=bar, grip_mm=120.0)
    assert STEEL is not None
    cut = finish_cut(STEEL.material, TURNING_TOOL, d)
    force = passive_force_n(STEEL.material, cut)
    kappa = 6.0 * (1.0 + NU) / (7.0 + 6.0 * NU)  # Cowper, solid circle

    def stiff(diameter: float) -> tuple[float, float]:
        shear = kappa * E / (2.0 * (1.0 + NU)) * math.pi / 4.0 * diameter**2
        return E * math.pi / 64.0 * diameter**4, shear

    y, tilt = give_of_a_bed(grip_stiffness(E), *stiff(bar), length)
    ei, shear = stiff(d + 2.0 * cut.depth_mm)  # the stock ahead, with the pass's depth on it
    free = force * (y + tilt * length + length**3 / (3.0 * ei) + length / shear)
    error = 2.0 * free / (1.0 + free / cut.depth_mm)
    assert dict(bending.curve)[length] == pytest.approx(error, rel=2e-3)
    assert bending.force_n == pytest.approx(force)
    assert bending.unsupported_length_mm == pytest.approx(length)
    assert bending.length_to_diameter == pytest.approx(length / d)
    assert bending.at_z_mm == pytest.approx(length)


def test_what_is_the_same_all_along_is_measured_out() -> None:
    bending = bent(rod(24.0, 100.0), turn(*ROD))
    errors = [error for _, error in bending.curve]
    assert errors == sorted(errors)
    assert bending.worst_diametral_error_mm == pytest.approx(errors[-1] - errors[0])
    assert errors[0] > 0.0


def test_a_slender_rod_never_gives_way_by_more_than_the_depth() -> None:
    bending = bent(rod(4.0, 200.0), turn(*ROD), bar_mm=8.0)
    assert bending.finishing is not None
    assert max(error for _, error in bending.curve) < 2.0 * bending.finishing.depth_mm


PLAIN: list[Point] = [(0, 0), (80, 0), (80, 8), (45, 8), (45, 3), (40, 3), (40, 8), (0, 8)]
"""⌀16 with a neck of ⌀6 between z 40 and 45: S2 face, S3 end land, S4-S6 neck, S7 near land."""


def test_a_neck_cut_first_bends_the_rest_more() -> None:
    """Common practice, no source: necks last."""
    neck = turn("S4", "S5", "S6", kind="groove")
    last = bent(PLAIN, turn("S2", "S3", "S7"), neck)
    first = bent(PLAIN, neck, turn("S2", "S3", "S7"))
    assert dict(first.curve)[80.0] > 2.0 * dict(last.curve)[80.0]
    without = bent(rod(16.0, 80.0), turn(*ROD))
    assert dict(last.curve)[80.0] == pytest.approx(dict(without.curve)[80.0], rel=0.01)


def test_the_lands_beside_a_neck_are_turned_at_one_setting() -> None:
    bending = bent(PLAIN, turn("S2", "S3", "S7"))
    assert [land.segments for land in bending.lands] == [("S3", "S7")]
    assert bending.lands[0].z_mm == (0.0, 80.0)


@settings(max_examples=30)
@given(st.floats(6.0, 40.0), st.floats(20.0, 300.0))
def test_a_tailstock_helps_and_a_longer_grip_never_hurts(d: float, length: float) -> None:
    points = rod(d, length)
    free = bent(points, turn(*ROD), grip_mm=15.0)
    helped = bent(points, turn(*ROD), grip_mm=15.0, support="tailstock")
    longer = bent(points, turn(*ROD), grip_mm=30.0)
    for (z, error), (_, by_centre), (_, by_grip) in zip(
        free.curve, helped.curve, longer.curve, strict=True
    ):
        assert by_centre <= error * (1.0 + 1e-6), z
        assert by_grip <= error * (1.0 + 1e-3), z
    assert free.critical_rpm is not None
    assert helped.critical_rpm is not None
    assert helped.critical_rpm > free.critical_rpm


@pytest.mark.parametrize(
    ("d", "length", "grip_mm"), [(25.0, 400.0, 60.0), (20.0, 500.0, 80.0), (40.0, 600.0, 120.0)]
)
@pytest.mark.parametrize(
    ("support", "ends"), [("none", "overhanging"), ("tailstock", "chuck and centre")]
)
def test_a_long_rod_whips_a_little_below_the_closed_form(
    d: float, length: float, grip_mm: float, support: str, ends: Ends
) -> None:
    """Beam vibration theory holds the ends rigidly; jaws and centre give, which lowers the speed.

    By how much is from memory (the stiffnesses are): at most 15 % for rods of 15 diameters.
    """
    rpm = bent(rod(d, length), turn(*ROD), grip_mm=grip_mm, support=support).critical_rpm
    rigid = critical_rpm(
        d, length, ends, e=E, density_kg_per_mm3=STEEL.material.density.value / 1e9
    )
    assert rpm is not None
    assert 0.85 * rigid < rpm < rigid


def test_a_stiff_rod_between_centres_gives_at_its_ends_what_the_centres_give() -> None:
    """Statics: over one centre the force is that centre's, F / k."""
    bending = bent(rod(60.0, 100.0), turn(*ROD), support="between-centres")
    free = bending.force_n / CENTRE.value
    assert bending.finishing is not None
    at_end = 2.0 * free / (1.0 + free / bending.finishing.depth_mm)
    assert bending.curve[0][1] == pytest.approx(at_end, rel=1e-3)
    assert bending.curve[-1][1] == pytest.approx(at_end, rel=1e-3)
    assert min(error for _, error in bending.curve) < 0.8 * at_end


def test_the_same_from_the_other_end() -> None:
    """Mirror the part and hold it at its other end: the same errors, mirrored."""
    points: list[Point] = [(0, 0), (70, 0), (70, 6), (30, 6), (30, 10), (0, 10)]
    part = drawn_part(points)
    turned = drawn_part([(70 - z, r) for z, r in points])
    shop = drawn_shop(bars_mm=(25,))
    assert part.profile is not None
    assert turned.profile is not None
    grip = Grip("raw bar", "outer", (-25.0, -5.0), 25.0, 20.0)
    far = Grip("raw bar", "outer", (75.0, 95.0), 25.0, 20.0)
    outside = [
        turn(*(s.id for s in p.profile.segments if s.surface == "outer"))
        for p in (part, turned)
        if p.profile is not None
    ]
    datum = Datum(None, "drawn")
    low = Setup(1, "low", grip, datum, "none", (outside[0],), ())
    high = Setup(1, "high", far, datum, "none", (outside[1],), ())
    (a,) = with_bending(part, (low,), choose_stock(part.profile, shop), shop)
    (b,) = with_bending(turned, (high,), choose_stock(turned.profile, shop), shop)
    assert a.bending is not None
    assert b.bending is not None
    mirrored = sorted((70.0 - z, error) for z, error in b.bending.curve)
    assert [z for z, _ in a.bending.curve] == pytest.approx([z for z, _ in mirrored])
    assert [e for _, e in a.bending.curve] == pytest.approx([e for _, e in mirrored], rel=1e-9)


TUBE: list[Point] = [(0, 17), (60, 17), (60, 20), (0, 20)]


def test_a_bore_of_an_earlier_setup_makes_the_work_weaker() -> None:
    part, shop = drawn_part(TUBE), drawn_shop(bars_mm=(45,))
    assert part.profile is not None
    names = {s.surface: s.id for s in part.profile.segments if s.surface != "end"}
    outside, bore = turn(names["outer"]), turn(names["inner"], kind="bore")
    raw = Grip("raw bar", "outer", (-25.0, -5.0), 45.0, 20.0)
    land = Grip("three-jaw chuck", "outer", (0.0, 20.0), 40.0, 20.0)
    datum = Datum(None, "drawn")

    def outer_error(*setups: Setup) -> float:
        made = with_bending(part, setups, choose_stock(part.profile, shop), shop)  # type: ignore[arg-type]
        last = made[-1].bending
        assert last is not None
        return next(e for z, e in last.curve if z == 60.0)

    bored_before = outer_error(
        Setup(1, "high", replace(raw, z_mm=(65.0, 85.0)), datum, "none", (bore,), ()),
        Setup(2, "low", land, datum, "none", (outside,), ()),
    )
    solid = outer_error(Setup(1, "low", land, datum, "none", (outside,), ()))
    assert bored_before > 1.3 * solid


def test_nothing_is_made_up_for_a_material_of_no_table() -> None:
    shop = drawn_shop()
    assert shop.stock_policy is not None
    odd = replace(shop, stock_policy=replace(shop.stock_policy, material="unheard-of 9"))
    part = drawn_part(rod(20.0, 50.0))
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 25.0, 15.0)
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", (turn(*ROD),), ())
    assert with_bending(part, (setup,), None, odd)[0].bending is None


def test_a_setup_that_only_faces_has_no_bending() -> None:
    part = drawn_part(rod(20.0, 50.0))
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 25.0, 15.0)
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", (turn("S2", kind="face"),), ())
    assert with_bending(part, (setup,), None, drawn_shop())[0].bending is None


def test_softer_material_gives_more() -> None:
    shop = drawn_shop()
    assert shop.stock_policy is not None

    def error(material: str) -> float:
        assert shop.stock_policy is not None
        worked = replace(shop, stock_policy=replace(shop.stock_policy, material=material))
        bending = bent(rod(16.0, 60.0), turn(*ROD), shop=worked)
        return bending.worst_diametral_error_mm / bending.force_n

    assert error("6082-T6") == pytest.approx(3.0 * error("C45"), rel=0.1)  # E 70 against 210


def test_the_feed_follows_a_stated_roughness() -> None:
    place = Named(diameter_mm=(16.0, 16.0), segments=("S3",))
    fine = Intent(roughness=(Roughness(place, 0.2),))
    assert STEEL is not None
    tool: Tool = TURNING_TOOL
    bending = bent(rod(16.0, 60.0), turn(*ROD), intent=fine)
    assert bending.finishing is not None
    # f²/(32 r) with r 0.4: Ra 0.2 wants 0.0506 mm
    assert bending.finishing.feed_mm == pytest.approx(math.sqrt(0.0002 * 32 * 0.4))
    assert bending.finishing.feed_mm < finish_cut(STEEL.material, tool, 16.0).feed_mm


def test_a_diameters_limit_is_what_is_stated_else_it10() -> None:
    """ISO 286-1: IT10 at 20 is 0.084; ISO 2768-m at 20 is ±0.2."""
    place = Named(diameter_mm=(20.0, 20.0), segments=("S3",))
    stated = Intent(
        general_tolerance="ISO 2768-m",
        tolerances=(Tolerance("diameter", place, "h6", fit="h6", width_mm=0.013),),
    )

    def width(segments: tuple[str, ...], intent: Intent | None) -> tuple[float, bool]:
        limit, told = diameter_limit(segments, 20.0, intent, Stated())
        assert isinstance(limit, Cited)
        return limit.value, told

    assert width(("S3", "S5"), stated) == (0.013, True)
    assert width(("S9",), stated) == (pytest.approx(0.4), True)
    assert width(("S3",), None) == (pytest.approx(0.084), False)
    assert general_width("ISO 2768-f", 50.0) is not None
    assert diameter_limit(("S1",), 900.0, None, Stated()) == (None, False)


def test_the_profile_of_the_tests_is_numbered_as_they_say() -> None:
    ids = {s.id: s.surface for s in drawn_profile(PLAIN).segments}
    assert [ids[f"S{n}"] for n in range(2, 8)] == ["end", "outer", "end", "outer", "end", "outer"]


def test_bending_is_reckoned_on_the_lathe_of_the_plan():
    """By hand: 0.2 kW take no 2 mm a side of steel at any speed of carbide, 15 kW do."""
    part = drawn_part([(0, 0), (60, 0), (60, 10), (0, 10)])
    weak, strong = (replace(LATHE, name=name, power_kw=p) for name, p in (("a", 0.2), ("b", 15.0)))
    shop = drawn_shop(bars_mm=(25,), machines=(weak, strong))
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 25.0, 15.0)
    turned = Operation("turning tool", ("S3",), "turn")
    setup = Setup(1, "low", grip, Datum(None, "drawn"), "none", (turned,), ())
    stock = choose_stock(part.profile, shop)
    depths = {}
    for lathe in (None, "a", "b"):
        (made,) = with_bending(part, (setup,), stock, shop, lathe=lathe)
        depths[lathe] = made.bending.roughing.depth_mm
    assert depths == {None: 1.0, "a": 1.0, "b": 2.0}
