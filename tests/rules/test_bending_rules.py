"""What the rules on bending, thin walls and whip promise holds when it is tried."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from turnability.intent.model import Intent, Named, Tolerance
from turnability.rules import bends_too_much, long_slender, thin_wall, whip
from turnability.rules.assume import assumptions_for
from turnability.rules.model import Finding, NotJudged, View
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.ring import squeezed
from turnability.setups.bending.squeeze import gripped_walls
from turnability.setups.cutting.forces import WEAR, clamping_force_n
from turnability.shop.materials import find_material


def example(module: object, text: str) -> View:
    return next(e.view() for e in module.EXAMPLES if e.text == text)  # type: ignore[attr-defined]


def only(judged: object) -> Finding:
    assert not isinstance(judged, NotJudged)
    (finding,) = judged  # type: ignore[misc]
    assert isinstance(finding, Finding)
    return finding


def supported(view: View, support: str) -> View:
    assert view.setups is not None
    setups = [
        replace(
            s,
            support=support,  # type: ignore[arg-type]
            operations=tuple(replace(o, support=support) for o in s.operations),  # type: ignore[arg-type]
        )
        for s in view.setups
    ]
    return replace(view, setups=with_bending(view.part, setups, view.stock, view.shop, view.intent))


ROD = "a rod of 10 diameters"


def test_why_no_centre_stands_where_one_would_do_is_told() -> None:
    view = example(bends_too_much, ROD)
    lathes = view.shop.machines
    bare = replace(view.shop, machines=tuple(replace(m, tailstock=False) for m in lathes))
    kept_off = Intent(centre_holes=frozenset())
    for other, why in (
        (replace(view, shop=bare), f"{lathes[0].name} has no tailstock"),
        (replace(view, intent=kept_off), "the drawing lets no centre hole stay there"),
    ):
        told = only(bends_too_much.check(other)).message
        assert re.search(rf"would leave [\d.]+ mm, which is enough; but {why}\.", told)


def test_the_centre_that_is_proposed_leaves_what_it_says() -> None:
    view = example(bends_too_much, ROD)
    told = re.search(
        r"would leave ([\d.]+) mm, which is enough", only(bends_too_much.check(view)).message
    )
    assert told is not None
    helped = supported(view, "tailstock")
    assert helped.setups is not None
    bending = helped.setups[0].bending
    assert bending is not None
    assert float(told[1]) == pytest.approx(bending.worst_diametral_error_mm, abs=6e-4)
    assert bends_too_much.check(helped) == []


def test_a_stated_tolerance_is_what_counts() -> None:
    view = example(bends_too_much, "a rod of 10 diameters on a centre")
    assert bends_too_much.check(view) == []
    place = Named(diameter_mm=(10.0, 10.0), segments=("S3",))
    tight = Intent(tolerances=(Tolerance("diameter", place, "h6", fit="h6", width_mm=0.009),))
    found = only(bends_too_much.check(supported(replace(view, intent=tight), "tailstock")))
    assert found.limit == 0.009
    assert "h6" in found.message
    loose = Intent(tolerances=(Tolerance("diameter", place, "±1", width_mm=2.0),))
    assert bends_too_much.check(supported(replace(view, intent=loose), "none")) == []


@pytest.mark.parametrize(
    ("material", "says"),
    [
        # as the table of materials says of each: read in print, recalled, not found anywhere
        ("42CrMo4", "the force constants of 42CrMo4 are borne out by a published table"),
        ("Ti-6Al-4V", "the force constants of Ti-6Al-4V are from memory"),
        ("PEEK", "the force constants of PEEK are a guess: no published constant found"),
    ],
)
def test_how_well_the_forces_are_known_is_said(material: str, says: str) -> None:
    view = example(bends_too_much, ROD)
    assert view.shop.stock_policy is not None
    policy = replace(view.shop.stock_policy, material=material)
    made = supported(replace(view, shop=replace(view.shop, stock_policy=policy)), "none")
    assert only(bends_too_much.check(made)).basis.text.endswith(says)


@pytest.mark.parametrize("rule", [bends_too_much, thin_wall, whip])
def test_an_unknown_material_is_not_judged(rule: object) -> None:
    view = example(bends_too_much, ROD)
    assert view.shop.stock_policy is not None
    odd = replace(view.shop.stock_policy, material="unheard-of 9")
    judged = rule.check(replace(view, shop=replace(view.shop, stock_policy=odd)))  # type: ignore[attr-defined]
    assert isinstance(judged, NotJudged)


def test_the_rule_of_thumb_stands_beside_the_calculation() -> None:
    view = example(bends_too_much, ROD)
    assert view.setups is not None
    assert view.setups[0].bending is not None
    assert "10 diameters stand free, where 4" in only(bends_too_much.check(view)).message
    bent = view.setups[0].bending.worst_diametral_error_mm
    assert f"by up to {bent:.3f}".rstrip("0") in only(long_slender.check(view)).message


def test_the_ring_is_squeezed_as_reckoned_by_hand() -> None:
    """Thin-ring theory; the force is 2.5 · Fc · d_cut / (0.2 · d_grip), by three jaws."""
    view = example(thin_wall, "a bush of 1 mm wall")
    steel = find_material("C45")
    assert steel is not None
    assert view.setups is not None
    (wall,) = gripped_walls(view.part, view.setups, view.shop, steel.material)
    bending = view.setups[1].bending
    assert bending is not None
    assert bending.finishing is not None
    force = clamping_force_n(WEAR.value * bending.finishing.main_force_n, 38.0, 40.0)
    # ⌀40, bore 38, 15 mm gripped and 15 more beside the jaws, which is less than a mean radius
    by_hand = squeezed(force / 3.0, 40.0, 38.0, 30.0, 210_000.0)
    assert wall.finish.lobing_mm == pytest.approx(by_hand.lobing_mm, rel=1e-6)
    assert wall.wall_mm == pytest.approx(1.0)


def test_collets_and_solid_work_are_let_be() -> None:
    view = example(thin_wall, "a bush of 1 mm wall")
    steel = find_material("C45")
    assert steel is not None
    assert view.setups is not None
    collet = tuple(replace(h, kind="collet") for h in view.shop.holdings)
    closed = replace(view.shop, holdings=collet)
    assert gripped_walls(view.part, view.setups, closed, steel.material) == ()
    solid = [replace(s, operations=()) for s in view.setups[:1]] + [
        replace(view.setups[1], operations=view.setups[0].operations)
    ]
    bent = with_bending(view.part, solid, view.stock, view.shop)
    assert gripped_walls(view.part, bent, view.shop, steel.material) == ()


def test_at_half_the_critical_speed_nobody_warns() -> None:
    view = example(whip, "a rod of ⌀10 × 300 without a centre")
    limit = only(whip.check(view)).limit
    assert limit is not None
    slow = tuple(replace(m, max_rpm=0.99 * limit) for m in view.shop.machines)
    assert whip.check(replace(view, shop=replace(view.shop, machines=slow))) == []


def test_what_was_assumed_of_bending_and_rates_is_told() -> None:
    by_name = {a.what: a for a in assumptions_for(example(bends_too_much, ROD))}
    assert "passive force 0.3 to 1" in by_name["bending"].assumed
    assert "[rates]" in by_name["rates"].how_to_state


def test_a_bar_through_the_spindle_and_one_past_help_are_told_in_whole_sentences() -> None:
    _, behind = whip.check(example(whip, "a rod that only fits through the spindle"))
    assert behind.message.startswith(
        "The bar is too long to lie before the spindle. Where it sticks out behind it by more than "
    )
    assert " mm without support, it must not run at " in behind.message
    past = only(bends_too_much.check(bends_too_much._rod(600.0)))
    assert (
        "Even at ⌀16 mm, or 360 mm shorter, the ⌀10 mm at z 0 to 600 mm would by the same "
        "calculation still bend too much. State the tolerance of ⌀10 mm as at least 0.99 mm, if "
        "that will do, or split the part there."
    ) in past.message
