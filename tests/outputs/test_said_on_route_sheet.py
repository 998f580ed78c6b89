"""What is told at the lathe: an unknown material, a pip, whip, how arcs are measured."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import cadquery as cq
import pytest

from turnability.analysis.stages import walk
from turnability.half_plane.curves import Arc, Line
from turnability.intent.model import Intent, Named, NoGrip, Roughness, Tolerance
from turnability.outputs.route_sheet import route_text
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import Route, route_of
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part
from turnability.setups.cutting.whip import critical_rpm
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material
from turnability.shop.materials import find_material

PIN = [(0, 0), (0, 8), (40, 8), (40, 0)]


def sheet_of(
    points: list[tuple[float, float]], material: str = "C45", intent: Intent | None = None
) -> Route:
    shop = with_material(starter_shop(), material, None)
    return route_of(walk(drawn_part(points), shop, intent=intent), shop)


def test_a_material_of_no_table_is_named_with_those_that_are() -> None:
    found = sheet_of(PIN, "CuSn12")
    assert found.material is not None
    assert found.material.startswith(
        "CuSn12, which no table here holds: so no depths, feeds, speeds"
    )
    assert "CuZn39Pb3" in found.material
    assert not any(step.finish for one in found.setups for step in one.steps)
    # and no caution speaks of values that the sheet does not give
    cautions = " ".join([*found.cautions, *(c for one in found.setups for c in one.cautions)])
    assert "values to begin with" not in cautions
    assert "rpm" not in cautions
    assert "Bar behind the spindle can whip suddenly" in cautions
    assert "a qualified machinist decide" in cautions
    known = sheet_of(PIN)
    assert known.material == "C45"
    assert "Speeds and feeds are values to begin with" in known.cautions[0]
    shop = with_material(starter_shop(), "CuSn12", None)
    assert "  Material  CuSn12, which no table" in route_text(walk(drawn_part(PIN), shop), shop)


def test_the_sheet_names_the_material_as_the_intent_does() -> None:
    """4140 (AISI/SAE) is 42CrMo4 (EN ISO 683-2); "steel" is no one material."""
    assert sheet_of(PIN, "4140").material == "4140 (42CrMo4)"
    assert sheet_of(PIN, "steel").material == "steel (taken as C45)"


def test_the_intents_material_counts_where_the_shop_states_no_stock_policy() -> None:
    """The fewest metres a minute of carbide stand in the table beside each material."""
    shop = replace(starter_shop(), stock_policy=None, stock=())
    speeds = {}
    for name in ("Ti-6Al-4V", "C45", "CuSn12", None):
        intent = None if name is None else Intent(material=name)
        report = walk(drawn_part(PIN), shop, intent=intent)
        worked = shop if name is None else with_material(shop, name, None)
        found = route_of(report, worked)
        cuts = [cut for one in found.setups for step in one.steps for cut in step.finish or ()]
        speeds[name] = (report.effort is None, "".join(cuts))
        if name is None:
            assert (
                found.material == "C45, taken since none is named: state material = in the intent"
            )
    assert "40 m/min" in speeds["Ti-6Al-4V"][1]
    assert "120 m/min" in speeds["C45"][1]
    assert speeds[None] == speeds["C45"]
    assert speeds["CuSn12"] == (True, "")


def test_a_parted_face_keeps_its_pip_unless_the_intent_bars_it() -> None:
    """A pin parted off once: its solid face has a pip. Bored through it has a burr alone."""
    (one,) = sheet_of(PIN).setups
    assert one.then is not None
    assert one.then.endswith(
        " stays as the blade leaves it: take off its pip and burr by hand, the spindle at rest"
    )
    (hollow,) = sheet_of([(0, 3), (0, 8), (40, 8), (40, 3)]).setups
    assert hollow.then is not None
    assert "take off its burr by hand" in hollow.then
    # no pip may stay: turned round, and faced
    barred, second = sheet_of(PIN, intent=Intent(parting_pip=())).setups
    assert barred.then == "the pip and burr at z 0 go with the facing in setup 2"
    assert [step.kind for step in second.steps] == ["face"]


def test_a_pip_goes_where_a_later_setup_faces_it() -> None:
    """A nut with a chamfered hole is turned round for its other mouth, and faced then."""
    nut = [(0, 4), (0.6, 3.4), (15.4, 3.4), (16, 4), (16, 7), (8, 7), (8, 14), (0, 14)]
    first, second = sheet_of(nut).setups
    assert first.then == "the burr at z 0 goes with the facing in setup 2"
    assert second.then is None


def test_a_pole_that_the_second_setup_turns_is_left_to_be_turned_there() -> None:
    """A ball on a neck: no plane stands at its pole, so nothing is faced, and no pip stays there.

    It was told to leave 1 mm to face, and that the face stays as the blade leaves it.
    """
    root = (16.0**2 - 7.0**2) ** 0.5
    knob = (
        cq.Workplane("XZ").moveTo(0, 18).lineTo(3.4, 16).lineTo(3.4, 0).lineTo(7, 0)
        .lineTo(7, 28 - root).threePointArc((16, 28), (0, 44)).close()
        .revolve(360, (0, 0, 0), (0, 1, 0))
    )  # fmt: skip
    first, second = route_of(profile_of(knob), starter_shop()).setups
    assert not any(step.kind == "face" for step in second.steps)
    (off,) = [step for step in first.steps if step.kind == "part off"]
    assert off.where == "behind z 44, leaving 1 mm to turn in setup 2"
    assert first.then == "the pip and burr at z 44 go with the turning in setup 2"


def test_an_end_that_no_later_setup_cuts_is_left_nothing() -> None:
    """The same nut as above, of whose second setup the facing is taken away."""
    nut = [(0, 4), (0.6, 3.4), (15.4, 3.4), (16, 4), (16, 7), (8, 7), (8, 14), (0, 14)]
    shop = with_material(starter_shop(), "C45", None)
    report = walk(drawn_part(nut), shop)
    first, second = report.setups
    assert "leaving 1 mm to face in setup 2" in route_text(report, shop)
    kept = tuple(o for o in second.operations if o.kind != "face")
    bare = replace(report, setups=(first, replace(second, operations=kept)))
    assert "leaving 1 mm" not in route_text(bare, shop)


def test_bar_that_is_fed_through_the_spindle_is_told_with_its_whip() -> None:
    """By hand, ⌀20 of steel overhanging 1000 mm: 1.8751² / (2 pi) * root(E / rho) d / 4 / L² =
    0.5596 * 5172 m/s * 0.005 m / 1 m² = 14.47 a second, 868 a minute (beam theory). Half of the
    critical speed at n: L = 1000 root(868 / (2 n))."""
    c45 = find_material("C45")
    assert c45 is not None
    begins = critical_rpm(20.0, 1000.0, "overhanging", e=210000.0, density_kg_per_mm3=7.85e-6)
    assert begins == pytest.approx(868.0, abs=1.0)
    found = sheet_of([(0, 0), (0, 9), (12, 9), (12, 6), (30, 6), (30, 0)])
    told = [line for one in found.setups for line in one.cautions if "behind the spindle" in line]
    ((caution),) = told
    fastest = float(caution.split("At ")[1].split(" rpm")[0])
    out = float(caution.split("no more than ")[1].split(" mm")[0])
    # told to two figures downwards; the length is of the speed before that
    assert out == pytest.approx(1000.0 * (begins / (2.0 * fastest)) ** 0.5, rel=0.03)
    assert "1000 mm begin to whip at about 860 rpm" in caution


def test_an_inch_shop_is_told_of_bar_in_inches() -> None:
    """40 in are 1016 mm: 868 / 1.016² = 841 a minute (see above)."""
    shop = replace(with_material(starter_shop(), "C45", None), inch=True)
    points = [(0, 0), (0, 9), (12, 9), (12, 6), (30, 6), (30, 0)]
    report = replace(walk(drawn_part(points), shop), inch=True)
    (told,) = [
        line
        for one in route_of(report, shop).setups
        for line in one.cautions
        if "behind the spindle" in line
    ]
    assert "; 40 in begin to whip at about 840 rpm" in told
    assert re.search(r"no more than \d+(\.\d)? in of it", told)


def test_a_sawn_piece_has_no_bar_behind_it() -> None:
    found = sheet_of([(0, 0), (0, 38), (30, 38), (30, 0)])
    assert not any("behind the spindle" in c for one in found.setups for c in one.cautions)


def test_slender_work_is_told_where_its_whip_begins() -> None:
    """⌀10 × 300: carried on a centre, and by the jaws alone while it is parted off."""
    shop = with_material(starter_shop(), "C45", None)
    report = walk(drawn_part([(0, 0), (0, 5), (300, 5), (300, 0)]), shop)
    bending = report.setups[0].bending
    assert bending is not None
    assert bending.critical_rpm is not None
    cautions = route_of(report, shop).setups[0].cautions
    (told,) = [c for c in cautions if c.startswith("Slender work can whip")]
    shown = float(told.split("at about ")[1].split(" rpm")[0])
    assert shown == pytest.approx(bending.critical_rpm, rel=0.1)
    unknown = replace(report, setups=(replace(report.setups[0], bending=None),))
    cautions = route_of(unknown, shop).setups[0].cautions
    assert any(c.startswith("Slender work can whip suddenly as speed rises: ") for c in cautions)


def test_short_stiff_work_is_told_that_it_bends_long_before_it_whips() -> None:
    """⌀20 by 100: the jaws alone would let it whip far above any lathe's speed."""
    found = sheet_of([(0, 0), (0, 8), (90, 8), (90, 0)])
    told = [c for one in found.setups for c in one.cautions if c.startswith("Slender work")]
    assert told
    for line in told:
        assert "can bend and leave the jaws" in line
        assert float(line.split("about ")[1].split(" rpm")[0]) > 10000.0


def test_the_head_of_the_sheet_has_what_the_design_states_of_the_whole_part() -> None:
    meant = Intent(
        quantity=5,
        general_tolerance="ISO 2768-m",
        ra_um=3.2,
        edges_mm=(0.2, 0.4),
        no_grip=(NoGrip(Named(diameter_mm=(16.0, 16.0)), "a seal slides over it"),),
    )
    *stated, (word, effort) = sheet_of(PIN, intent=meant).general
    assert word == "Effort"
    assert re.match(r"about \d+ min a piece of 5: once \d+ \(.*\), each \d+ \(", effort)
    assert tuple(stated) == (
        ("Pieces", "5"),
        ("General", "tolerances ISO 2768-m; Ra 3.2 µm; outside edges broken 0.2 to 0.4 mm"),
        ("Spare", "no jaws on ⌀16 (S3): a seal slides over it"),
    )
    assert [word for word, _ in sheet_of(PIN).general] == ["Effort"]
    shop = with_material(starter_shop(), "C45", None)
    report = walk(drawn_part(PIN), shop, intent=meant)
    assert "  Spare     no jaws on ⌀16" in route_text(report, shop)
    assert "<dt>Pieces</dt><dd>5</dd>" in page(route_of(report, shop), report, shop)


def test_what_turning_alone_does_not_make_is_said_beside_its_measure() -> None:
    """Ra 0.4 is polished or ground (careful turning leaves 0.8), IT4 ground, Ra 1.6 turned."""
    places = Named(diameter_mm=(16.0, 16.0))
    for ra, told in ((0.4, ": polish or grind it after turning (N"), (1.6, "")):
        meant = Intent(roughness=(Roughness(places, ra),))
        lines = [m for one in sheet_of(PIN, intent=meant).setups for m in one.measure]
        (line,) = [m for m in lines if m.startswith("Ra ")]
        assert line.startswith(f"Ra {ra} µm on S3{told}")
        assert line.endswith(")") == bool(told)
    close = Tolerance(
        "diameter", places, "0 to -0.005", deviations_mm=(-0.005, 0.0), nominal_mm=16.0
    )
    lines = [m for s in sheet_of(PIN, intent=Intent(tolerances=(close,))).setups for m in s.measure]
    (line,) = [m for m in lines if m.startswith("diameter 16 mm")]
    assert ": turning alone does not make it, stock is to be left for what follows (N" in line


def test_a_drill_into_the_full_is_led_in_by_a_centre_drill() -> None:
    hole = [(0, 0), (0, 12), (40, 12), (40, 3), (20, 3), (18.2, 0)]
    (drill,) = [s for one in sheet_of(hole).setups for s in one.steps if s.kind == "drill"]
    assert "Centre-drill before it" in drill.first
    # long enough for the centre, whose hole is there already; this one is too small to seat it
    rod = [(0, 0), (0, 8), (110, 8), (110, 1.5), (100, 1.5), (99.1, 0)]
    steps = [s for one in sheet_of(rod).setups for s in one.steps]
    assert any("Centre-drill the free end" in s.first for s in steps)
    assert not any("Centre-drill before it" in s.first for s in steps)


def profile_of(work: Any) -> Any:
    from turnability.analysis import analyze

    return analyze(work, shop=starter_shop())


def test_a_ball_and_a_fillet_are_on_the_measuring_list() -> None:
    """Drawn: a ball of R8 about z 8 on a neck of ⌀9, a fillet of R3 at the flange."""
    neck = (64.0 - 4.5**2) ** 0.5
    ball = (
        cq.Workplane("XZ").moveTo(0, 0).threePointArc((8, 8), (4.5, 8 + neck)).lineTo(4.5, 24)
        .threePointArc((7.5 - 3 / 2**0.5, 24 + 3 / 2**0.5), (7.5, 27)).lineTo(12, 27).lineTo(12, 45)
        .lineTo(0, 45).close().revolve(360, (0, 0, 0), (0, 1, 0))
    )  # fmt: skip
    report = profile_of(ball)
    lines = [line for one in route_of(report, starter_shop()).setups for line in one.measure]
    (sphere,) = [line for line in lines if line.startswith("ball")]
    assert sphere.startswith("ball ⌀16 mm, R 8 mm, about z ")
    assert sphere.endswith("by micrometer across it in several directions, and a radius template")
    (fillet,) = [line for line in lines if line.startswith("radius 3 mm (")]
    assert fillet.endswith(": by a radius gauge or template")


def test_a_ball_is_as_wide_as_it_is_and_cut_in_part_from_either_end() -> None:
    """A ball R16 about z 28 on a neck ⌀14: it begins at z 28 - √(16² - 7²) = 13.613. Drilled 16."""
    foot = 28.0 - math.sqrt(16.0**2 - 7.0**2)
    outline = [
        Line((0.0, 3.4), (16.0, 3.4)),
        Line((16.0, 3.4), (18.0, 0.0)),
        Line((18.0, 0.0), (44.0, 0.0)),
        Arc((44.0, 0.0), (foot, 7.0), (28.0, 0.0), 16.0, clockwise=False),
        Line((foot, 7.0), (0.0, 7.0)),
        Line((0.0, 7.0), (0.0, 3.4)),
    ]
    shop = starter_shop()
    part = drawn_part(make_profile([[(c, (i,)) for i, c in enumerate(outline)]]))
    first, second = route_of(walk(part, shop), shop).setups
    ball = "S4 ⌀0–32 z 13.613–44"
    steps = [step.where for sheet in (first, second) for step in sheet.steps if ball in step.where]
    assert f"{ball} (in part, the rest in setup 2)" in steps[0]
    assert all(f"{ball} (what is left of it)" in where for where in steps[1:])
    assert len(steps) >= 2
    # it is measured once it is whole
    assert [sum(line.startswith("ball") for line in one.measure) for one in (first, second)] == [
        0, 1,
    ]  # fmt: skip


def test_the_highest_speed_of_a_lathe_is_no_hindrance_on_thin_work():
    """⌀1.5 at 2500 rpm is cut at 12 m/min, ⌀20 at 157 (common practice, no source)."""
    from turnability.outputs.route_sheet.speeds import speed_text
    from turnability.setups.cutting.speeds import highest_speed

    thin, thick = (speed_text(highest_speed(200.0, d, 2500.0), False) for d in (1.5, 20.0))
    assert thin == "2500 rpm (12 m/min, the lathe's highest: enough on thin work with a sharp edge)"
    assert thick == "2500 rpm (157 m/min, held down by the lathe)"
