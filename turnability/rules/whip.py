"""Turns near a speed at which the work, or the bar behind the spindle, whips."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.setups.bending.bend import with_bending
from turnability.setups.cutting.speeds import UNSUPPORTED
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.cutting.values import bar_behind_mm, values_of
from turnability.setups.holding.free import passes_the_spindle
from turnability.setups.holding.slender import stick_out_mm
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.materials import Material, material_of
from turnability.shop.model import Machine
from turnability.stock.choose import choose_stock
from turnability.stock.model import raw_across_mm
from turnability.units import length_text

NAME = "whip"
LEVELS = ("warning", "note")
WHY = "Near its critical speed slender work bows out under its own weight, all at once."
LIMIT = "half of the first critical speed (common practice) at the speed that the cut would want"
BASIS = "beam vibration theory; half of the critical speed is common practice without a source"
CAUTION = (
    "Caution: a whipping bar hurts whoever stands near. Begin slowly, keep clear, cover or support "
    "what sticks out, and let local rules and a qualified machinist set the speed."
)
SHORT_BAR_MM = 300.0
"""A bar that may not even stick out this far behind the spindle is told of (our choice)."""


def check(view: View) -> Judgement:
    """Setups whose work would whip at the speed wanted, and bar that would behind the spindle."""
    if not view.setups or view.part.profile is None:
        return NotJudged("no plan of setups was made, so it is not known what stands free")
    chosen = material_of(view.shop)
    if chosen is None:
        return NotJudged("the material stands in no table here, so its speeds are not known")
    return [f for s in view.setups for f in _findings(view.as_turned(), s, chosen.material)]


def _findings(view: View, setup: Setup, material: Material) -> Iterator[Finding]:
    profile = view.part.profile
    assert profile is not None
    piece = view.stock.choice if view.stock is not None else None
    size = raw_across_mm(view.stock, profile.max_diameter_mm)
    lathe = lathe_for(view.shop, size, named=None if view.plan is None else view.plan.lathe)
    critical = setup.bending.critical_rpm if setup.bending is not None else None
    bore = (piece.inner_diameter_mm if piece is not None else None) or 0.0
    near, far = setup.grip.z_mm
    behind = max(0.0, near if setup.toward_chuck == "low" else profile.length_mm - far)
    through = size if piece is None else piece.through_mm
    raw = setup.grip.kind in ("raw bar", "raw piece") and passes_the_spindle(lathe, through)
    must = setup.grip.kind == "raw piece" or (raw and _must_pass_the_spindle(view, setup, lathe))

    def bar_free_mm(rpm: float) -> float | None:
        """How much of the bar may stand out behind the spindle; None where there is enough."""
        free = bar_behind_mm(rpm, size, bore, material) if raw else math.inf
        if setup.grip.kind == "raw piece" and behind <= free:
            return None
        return free if raw and (free < SHORT_BAR_MM or must) else None

    fastest = math.inf if lathe is None or lathe.max_rpm is None else lathe.max_rpm
    slow = critical is None or fastest <= UNSUPPORTED.value * critical
    if fastest < math.inf and slow and bar_free_mm(fastest) is None:
        return  # whatever the cut would want
    rpm = _wanted_rpm(view, setup, material, lathe)
    if rpm is None:
        return
    if critical is not None and rpm > UNSUPPORTED.value * critical:
        held = "by its grip alone" if setup.support == "none" else f"with a {setup.support}"
        yield Finding(
            rule=NAME,
            level="warning",
            message=(
                f"In setup {setup.order}, held {held}, the work begins to whip at about "
                f"{_round(critical)} turns a minute, and the cut would want {_round(rpm)}: stay "
                f"under {_round(UNSUPPORTED.value * critical)}, or support it. {WHY} {CAUTION}"
            ),
            where=Where(z_mm=stick_out_mm(profile, setup.toward_chuck, setup.grip.z_mm)),
            basis=Basis(BASIS, "handbook"),
            measured=rpm,
            limit=UNSUPPORTED.value * critical,
            unit="1/min",
        )
    free = bar_free_mm(rpm)
    if free is not None:
        inch = view.shop.inch
        out = length_text(round(free), inch)
        turns = f"{_round(rpm)} turns a minute (⌀{length_text(size, inch)} {material.name})"
        if setup.grip.kind == "raw piece":
            said = (
                f"{length_text(round(behind), inch)} of the piece lie in the chuck and behind it. "
                f"Where more than {out} of it stand out behind the spindle without support, it "
                f"must not run at {turns}: guide it there, or turn slower"
            )
        elif must:
            said = (
                "The bar is too long to lie before the spindle. Where it sticks out behind it by "
                f"more than {out} without support, it must not run at {turns}: cut it to pieces, "
                "or guide it"
            )
        else:
            said = (
                f"A bar that sticks out behind the spindle without support by more than {out} "
                f"comes too near its whip at {turns}: cut it to pieces, or guide it"
            )
        yield Finding(
            rule=NAME,
            level="warning" if must else "note",
            message=f"{said}. {WHY} {CAUTION}",
            where=Where(),
            basis=Basis(BASIS, "handbook"),
            measured=rpm,
            limit=None,
            unit="1/min",
        )


def _wanted_rpm(
    view: View, setup: Setup, material: Material, lathe: Machine | None
) -> float | None:
    """The fastest that cuts carried as the setup says would turn if nothing whipped."""
    assert view.part.profile is not None
    carried = tuple(replace(o, support="tailstock") for o in setup.operations)
    steady = replace(setup, bending=None, operations=carried)
    values = values_of(
        view.part.profile,
        steady,
        view.stock,
        view.shop,
        material,
        lathe,
        view.intent,
        [one for one in view.setups or () if one.order < setup.order],
    )
    along = [
        v
        for v, o in zip(values, setup.operations, strict=True)
        if o.kind in ("face", "rough", "turn", "bore") and o.support == setup.support
    ]
    return max((v.finish.speed.rpm for v in along), default=None)


def _must_pass_the_spindle(view: View, setup: Setup, lathe: Machine | None) -> bool:
    piece = view.stock.choice if view.stock is not None else None
    if piece is None or lathe is None or lathe.between_centres_mm is None:
        return False
    return piece.put_in_mm + setup.grip.length_mm > lathe.between_centres_mm


def _round(rpm: float) -> str:
    step = 10 if rpm < 1000.0 else 50
    return f"{step * max(1, round(rpm / step))}"


def _rod(d: float, length: float) -> View:
    view = drawn_view([(0, 0), (length, 0), (length, d / 2), (0, d / 2)])
    size = view.stock.choice.across_mm if view.stock and view.stock.choice else d + 2.0
    grip = Grip("raw bar", "outer", (-25.0, -5.0), size, 20.0)
    work = Operation("turning tool", ("S3",), "turn")
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), "none", (work,), ())
    return replace(view, setups=with_bending(view.part, (setup,), view.stock, view.shop))


def _thin_bar() -> View:
    view = _rod(6.0, 20.0)
    shop = drawn_shop(bars_mm=(8,))
    assert view.part.profile is not None
    return replace(view, shop=shop, stock=choose_stock(view.part.profile, shop))


def _long_bar() -> View:
    """Longer than the bench lathe's 500 mm between centres, and thin enough for its spindle."""
    return _rod(20.0, 480.0)


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a rod of ⌀20 × 80", lambda: _rod(20.0, 80.0)),
    Example("a pin of ⌀6 from ⌀8 bar", _thin_bar, ("note",)),
    Example("a rod that only fits through the spindle", _long_bar, ("warning", "warning")),
    Example("a rod of ⌀10 × 300 without a centre", lambda: _rod(10.0, 300.0), ("warning",)),
)
