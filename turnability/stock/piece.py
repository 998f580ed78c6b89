"""One piece of stock for one part: whether it fits, how long it is cut, how many a bar gives."""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.part.model import Profile
from turnability.shop.holding import holdings_for_bar, passes_a_spindle, raw_grip_mm
from turnability.shop.model import Holding, Shop, StockPolicy, StockSize
from turnability.stock.allowance import COMMON_POLICY, largest_bore_mm, least_size_mm, policy_for
from turnability.stock.model import StockPiece
from turnability.stock.worth import cost_of, section_mm2


@dataclass(frozen=True, slots=True)
class Body:
    """What stock must hold: a length, a largest diameter, and a bore all the way through."""

    length_mm: float
    diameter_mm: float
    bore_mm: float | None


def body_of(profile: Profile) -> Body:
    """The whole part."""
    return Body(profile.length_mm, profile.max_diameter_mm, profile.through_bore_mm)


def holds(size: StockSize, body: Body, policy: StockPolicy) -> bool:
    """Whether this size leaves its allowance outside, and for a tube inside too."""
    if size.across_mm < least_size_mm(body.diameter_mm, policy_for(size, policy)) - 1e-9:
        return False
    return bored_for(size, body, policy)


def bored_for(size: StockSize, body: Body, policy: StockPolicy) -> bool:
    """Whether a tube's bore leaves its allowance in the part's; a bar has none."""
    bore = size.inner_diameter_mm
    if size.form in ("tube", "pipe") or bore is not None:
        return (
            bore is not None
            and body.bore_mm is not None
            and bore <= largest_bore_mm(size, body.bore_mm, policy) + 1e-9
        )
    return True


def turned_length_mm(body: Body, policy: StockPolicy) -> float:
    """Length in mm that one part takes off a bar: itself, its ends, the parting width."""
    return body.length_mm + 2.0 * policy.end_allowance_mm + policy.parting_width_mm


def is_sawn(size_mm: float, shop: Shop) -> bool:
    """Whether stock of this size is sawn to pieces, as no spindle of the shop lets it through."""
    return passes_a_spindle(size_mm, shop) is False


def bar_grip_mm(holding: Holding, size_mm: float, body: Body, shop: Shop) -> float:
    """Length in mm of raw stock behind the parting cut that the first chucking grips."""
    out = turned_length_mm(body, shop.stock_policy or COMMON_POLICY) + holding.jaw_standoff_mm
    return raw_grip_mm(holding, size_mm, out, sawn=is_sawn(size_mm, shop))


def stub_mm(size: StockSize, body: Body, shop: Shop) -> float:
    """Length in mm of raw stock that the first chucking holds behind the parting cut.

    The grip that the gentlest holding for this size asks for, and the stand-off of its jaws; 0
    where the shop file names no holding that takes it.
    """
    able = holdings_for_bar(size.across_mm, shop, round_stock=size.form != "hex")
    if not able:
        return 0.0
    return bar_grip_mm(able[0], size.across_mm, body, shop) + able[0].jaw_standoff_mm


def piece_of(
    size: StockSize,
    body: Body,
    policy: StockPolicy,
    shop: Shop,
    why: str,
    *,
    own_end: bool = False,
) -> StockPiece:
    """The piece cut from this size, with its stub.

    `own_end`: it is first held on an end of its own, which is turned in the next chucking; then
    it has no stub, and nothing is parted off.
    """
    stub = 0.0 if own_end else stub_mm(size, body, shop)
    turned = turned_length_mm(body, policy)
    if own_end:
        turned -= policy.parting_width_mm
    length = turned + stub
    mass = mass_kg(size, length, policy)
    return StockPiece(
        form=size.form,
        name=size.name,
        across_mm=size.across_mm,
        inner_diameter_mm=size.inner_diameter_mm,
        length_mm=length,
        mass_kg=mass,
        why=why,
        stub_mm=stub,
        bar_length_mm=size.bar_length_mm,
        per_bar=per_bar(size, turned, stub, policy, shop),
        cost=cost_of(size, mass, shop),
        finish=size.finish,
    )


def mass_kg(size: StockSize, length_mm: float, policy: StockPolicy) -> float | None:
    """Mass of a length of this size; None where no density is stated."""
    density = policy.density_kg_per_mm3
    return None if density is None else density * section_mm2(size) * length_mm


def per_bar(
    size: StockSize, turned_mm: float, stub: float, policy: StockPolicy, shop: Shop
) -> int | None:
    """How many parts a bar gives; None where its length is not stated.

    A bar that goes through the spindle is fed and parted off, and loses one stub. Else every piece
    is sawn with a stub of its own, and a saw's cut as wide as a parting blade's between them.
    """
    whole = size.bar_length_mm
    if whole is None:
        return None
    if passes_a_spindle(size.across_mm, shop):
        return max(0, math.floor((whole - stub) / turned_mm + 1e-9))
    kerf = policy.parting_width_mm
    return max(0, math.floor((whole + kerf) / (turned_mm + stub + kerf) + 1e-9))
