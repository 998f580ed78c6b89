"""What neither the solid, the intent nor the shop file states, and what was taken instead."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.intent.fits import LARGEST_MM
from turnability.intent.model import Intent
from turnability.rules.as_the_bar import delivered_text, own_bar, trueness_known
from turnability.rules.model import Assumption, View
from turnability.setups.cutting.forces import SHARE_NOSE, SHARE_STEEP, WEAR
from turnability.shop.material import COMMON_POLICY
from turnability.shop.materials import DEFAULT as MATERIAL_DEFAULT
from turnability.shop.materials import is_steel, material_of
from turnability.stock.allowance import least_size_mm
from turnability.stock.own_outside import delivered
from turnability.units import length_text

_NOTHING = Intent()


def assumptions_for(view: View) -> tuple[Assumption, ...]:
    """All assumptions of this run, in the order in which a drawing states such things."""
    return tuple(
        assumption
        for part in (
            _unit,
            _material,
            _order,
            _sizes,
            _edges,
            _left_on_the_part,
            _as_the_bar_comes,
            _allowance,
            _kept,
            _bending,
            _rates,
        )
        for assumption in part(view, view.intent or _NOTHING)
    )


def _in_intent(key: str) -> str:
    """How a key of the intent file is stated."""
    return f"{key} in the intent file (PART.intent.toml beside PART.step)"


def _unit(view: View, intent: Intent) -> Iterator[Assumption]:
    source = view.part.source
    if not source.unit_stated:
        yield Assumption(
            "length unit",
            source.length_unit,
            "the STEP file states none for this solid",
            "a length unit when the part is exported",
        )


def _material(view: View, intent: Intent) -> Iterator[Assumption]:
    policy = view.shop.stock_policy
    how = f"{_in_intent('material')}, or the material of the stock in the shop file"
    if intent.material is None:
        if policy is None or policy.material is None:
            yield Assumption(
                "material",
                f"{MATERIAL_DEFAULT}, for forces and speeds alone",
                "neither the intent nor the shop file names one",
                how,
            )
        else:
            yield Assumption(
                "material", policy.material, "it is the shop's stock; the intent names none", how
            )
    yield from _from_the_table(view, intent, how)
    if view.stock is not None and (policy is None or policy.density_kg_per_mm3 is None):
        why = "without it a volume has no mass"
        if intent.material is not None:
            why += f"; the shop file gives none for {intent.material}"
        yield Assumption(
            "density",
            "none; masses are left out",
            why,
            f"{_in_intent('density_kg_per_mm3')}, or the density of the stock in the shop file",
        )
    if intent.condition is None:
        yield Assumption(
            "condition",
            "as delivered in bars, not hardened before turning",
            "hardened stock asks for other tools and forces",
            _in_intent("condition"),
        )


def _from_the_table(view: View, intent: Intent, how: str) -> Iterator[Assumption]:
    """What stands in the table of materials for the one that is named."""
    chosen = material_of(view.shop)
    if chosen is None:
        yield Assumption(
            "forces and speeds",
            "none; neither bending nor power was judged",
            f"no table here holds {intent.material or _shops_own(view)}",
            f"a standard's designation (1.4404, 6082-T6, 4140) as {how}",
        )
        return
    material = chosen.material
    if chosen.named is not None and chosen.stands_for:
        yield Assumption(
            "grade of material",
            f"{material.name}, for forces and speeds, and for density where none is stated",
            f'"{chosen.named}" is no one material',
            f"a standard's designation as {how}",
        )
    policy = view.shop.stock_policy
    taken = policy is not None and policy.density_kg_per_mm3 == material.density_kg_per_mm3
    stated = intent.material is None or intent.density_kg_per_mm3 is not None
    if taken and not stated and not chosen.stands_for:
        yield Assumption(
            "density",
            f"{material.density.value:g} {material.density.unit}",
            f"it is that of {material.name} by {material.density.source}",
            _in_intent("density_kg_per_mm3"),
        )


def _shops_own(view: View) -> str:
    policy = view.shop.stock_policy
    return (policy.material if policy is not None else None) or "the shop's material"


def _order(view: View, intent: Intent) -> Iterator[Assumption]:
    if intent.quantity is None:
        yield Assumption(
            "quantity",
            "one piece",
            "a series would justify special tools and soft jaws of its own",
            _in_intent("quantity"),
        )


def _sizes(view: View, intent: Intent) -> Iterator[Assumption]:
    if intent.general_tolerance is None:
        stated = intent.tolerances or view.part.stated.sizes
        others = "on all other sizes " if stated else ""
        yield Assumption(
            "tolerances",
            f"{others}none tighter than ordinary turning holds; none was judged",
            "the solid is its nominal size",
            f"{_in_intent('general_tolerance')}, and [[tolerance]] tables for single sizes",
        )
    for fit in dict.fromkeys(t.fit for t in intent.tolerances if t.deviations_mm is None):
        if fit is not None:
            yield Assumption(
                f"limits of {fit}",
                "none; it was judged by its grade alone",
                f"the tables here end at {length_text(LARGEST_MM, view.shop.inch)}",
                f"{_in_intent('limits_mm')} in place of fit",
            )
    if intent.ra_um is None:
        others = "elsewhere " if intent.roughness else ""
        yield Assumption(
            "surface finish",
            f"{others}as turned; none was judged",
            "the solid says nothing about roughness",
            f"{_in_intent('ra_um')}, and [[roughness]] tables for single surfaces",
        )


def _edges(view: View, intent: Intent) -> Iterator[Assumption]:
    if intent.edges_mm is None:
        yield Assumption(
            "edges",
            "outside edges without a drawn break are broken by "
            f"{length_text(0.2, view.shop.inch)} to {length_text(0.5, view.shop.inch)} "
            "(common practice)",
            "a turned edge is sharp and burred until it is broken",
            f"draw the chamfer, or state {_in_intent('edges_mm')}",
        )


def _left_on_the_part(view: View, intent: Intent) -> Iterator[Assumption]:
    drawn = any(f.kind == "centre-hole" for f in view.features or ())
    if intent.centre_holes is None and not drawn:
        centred = [s for s in view.setups or () if s.support in ("tailstock", "between-centres")]
        yield Assumption(
            "centre holes",
            "those that the plan's centres need may stay" if centred else "none may stay",
            "none is drawn, and nothing says whether one may stay in the part",
            f"draw it, or state {_in_intent('centre_holes_may_stay')}",
        )
    last = view.setups[-1].operations if view.setups else ()
    if intent.parting_pip is None and any(o.kind == "part off" for o in last):
        yield Assumption(
            "parting pip",
            "the pip and burr that parting leaves are taken off by hand",
            "the plan parts the work off its bar, and no cut of it cleans that face",
            _in_intent("parting_pip_may_stay"),
        )


def _as_the_bar_comes(view: View, intent: Intent) -> Iterator[Assumption]:
    choice = view.stock.choice if view.stock is not None else None
    bar = own_bar(view)
    if choice is not None and choice.own_outside and bar is not None:
        comes = delivered_text(delivered(view.part, intent, bar), view.shop, bar)
        if trueness_known(view.shop, bar):
            comes += ", if the mill keeps to it (from mills' tables)"
        yield Assumption(
            "outside of the bar",
            f"{comes}, and straight to 1 mm in a metre or so (from memory)",
            "what stays is not turned, and how true a bar comes is agreed with who sells it",
            "a [[tolerance]] on it in the intent file (PART.intent.toml beside PART.step)",
        )


def _allowance(view: View, intent: Intent) -> Iterator[Assumption]:
    policy, inch = view.shop.stock_policy or COMMON_POLICY, view.shop.inch
    if view.stock is None or not policy.unstated:
        return
    outside = length_text(least_size_mm(0.0, policy), inch)
    taken = {
        "diameter_allowance": f"{outside} on diameter for bright bar",
        "end_allowance_mm": f"{length_text(policy.end_allowance_mm, inch)} at either end",
        "parting_width_mm": f"{length_text(policy.parting_width_mm, inch)} for parting",
    }
    left = [name for name in taken if name in policy.unstated]
    keys = [name.removesuffix("_mm") + ("_in" if inch else "_mm") for name in left]
    yield Assumption(
        "stock allowance",
        f"{', '.join(taken[name] for name in left)} (common practice)",
        "the shop file states none",
        f"{', '.join(keys)} under [stock_policy] in the shop file",
    )


def _kept(view: View, intent: Intent) -> Iterator[Assumption]:
    choice = view.stock.choice if view.stock is not None else None
    if choice is None or intent.material is None or is_steel(intent.material):
        return
    if any(size.name == choice.name and size.material is None for size in view.shop.stock):
        yield Assumption(
            "stock size",
            f"{choice.name} is kept in {intent.material}",
            "the shop's list names no material for it, and its sizes may be those of steel",
            "material in a [[stock]] table of the shop file, with the sizes to be had in it",
        )


def _bending(view: View, intent: Intent) -> Iterator[Assumption]:
    found = [s.bending for s in view.setups or () if s.bending is not None]
    if not found:
        return
    inch = view.shop.inch
    passes = [b.finishing for b in found if b.finishing is not None]
    cuts = dict.fromkeys(
        f"{length_text(p.depth_mm, inch)} deep at {length_text(round(p.feed_mm, 4), inch)} a turn"
        for p in passes
    )
    yield Assumption(
        "bending",
        f"finished {', '.join(cuts)}; passive force {SHARE_STEEP.value:g} to {SHARE_NOSE.value:g} "
        f"of the main one, {WEAR.value:g} times that of a sharp edge; a grip gives as steel jaws "
        "do, a centre as a small tailstock's",
        "neither the cuts nor how stiff the lathe is are known; the numbers are from memory",
        "measure a test cut; the report's setups hold the forces, to be scaled by what it shows",
    )


def _rates(view: View, intent: Intent) -> Iterator[Assumption]:
    if view.setups and view.shop.rates is None:
        yield Assumption(
            "rates",
            "none; effort is told in minutes alone",
            "the shop file states no prices",
            "currency, machine_per_hour, programming_per_hour and material_per_kg under [rates] "
            "in the shop file",
        )
