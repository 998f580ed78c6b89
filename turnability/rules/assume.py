"""What neither the solid nor the shop file states, and what was taken instead."""

from __future__ import annotations

from turnability.rules.model import Assumption, View
from turnability.stock.choose import COMMON_POLICY
from turnability.units import length_text

_ON_DRAWING = "on the drawing or in the order; this program does not read it from there"


def assumptions_for(view: View) -> tuple[Assumption, ...]:
    """All assumptions of this run, in the order in which a drawing states such things."""
    policy = view.shop.stock_policy
    made: list[Assumption] = []
    if policy is None or policy.material is None:
        made.append(
            Assumption(
                "material",
                "none; nothing that depends on it was judged",
                "the solid carries no material that was read, and the shop file names none",
                "the material of the stock in the shop file",
            )
        )
    else:
        made.append(
            Assumption(
                "material",
                policy.material,
                "it is the shop's stock; the solid carries no material that was read",
                "the material of the stock in the shop file",
            )
        )
    if view.stock is not None and (policy is None or policy.density_kg_per_mm3 is None):
        made.append(
            Assumption(
                "density",
                "none; masses are left out",
                "without it a volume has no mass",
                "the density of the stock in the shop file",
            )
        )
    made.append(
        Assumption(
            "condition",
            "as delivered in bars, not hardened before turning",
            "hardened stock asks for other tools and forces",
            _ON_DRAWING,
        )
    )
    made.append(
        Assumption(
            "quantity",
            "one piece",
            "a series would justify special tools and soft jaws of its own",
            _ON_DRAWING,
        )
    )
    made.append(
        Assumption(
            "tolerances",
            "none tighter than ordinary turning holds; none was judged",
            "the solid is its nominal size",
            _ON_DRAWING,
        )
    )
    made.append(
        Assumption(
            "surface finish",
            "as turned; none was judged",
            "the solid says nothing about roughness",
            _ON_DRAWING,
        )
    )
    made.append(
        Assumption(
            "edges",
            "outside edges without a drawn break are broken by "
            f"{length_text(0.2, view.shop.inch)} to {length_text(0.5, view.shop.inch)} "
            "(common practice)",
            "a turned edge is sharp and burred until it is broken",
            "draw the chamfer, or state the edges on the drawing",
        )
    )
    if not any(f.kind == "centre-hole" for f in view.features or ()):
        made.append(
            Assumption(
                "centre holes",
                "none may stay in the part",
                "no centre hole is drawn; support from the tailstock would need one",
                "draw it",
            )
        )
    if view.stock is not None and policy is None:
        allowance = COMMON_POLICY.diameter_allowance
        made.append(
            Assumption(
                "stock allowance",
                f"{allowance.value:g} {allowance.unit} on diameter, "
                f"{length_text(COMMON_POLICY.end_allowance_mm, view.shop.inch)} at either end, "
                f"{length_text(COMMON_POLICY.parting_width_mm, view.shop.inch)} for parting "
                "(common practice)",
                "the shop file states none",
                "the stock policy in the shop file",
            )
        )
    return tuple(made)
