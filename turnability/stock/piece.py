"""One piece of stock for one part: whether it fits, how long it is cut, how many a bar gives."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from turnability.part.model import Profile
from turnability.shop.holding import (
    PIECE_GRIP,
    SAME_MM,
    holdings_for_bar,
    passes_a_spindle,
    raw_grip_mm,
    way_through,
)
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Holding, Machine, Shop, StockPolicy, StockSize
from turnability.stock.allowance import largest_bore_mm, least_size_mm, policy_for
from turnability.stock.model import StockPiece, across_corners_mm
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


def is_sawn(through_mm: float, shop: Shop) -> bool:
    """Whether stock is sawn to pieces, as no spindle of the shop lets it through."""
    return passes_a_spindle(through_mm, shop) is False


def is_fed(through_mm: float, shop: Shop, lathe: Machine | Literal["none"] | None = None) -> bool:
    """Whether a bar is fed through the spindle: of this lathe, else of any there is.

    Where nothing is known of a spindle, or no lathe makes the part, it is taken to be sawn.
    """
    if lathe is None:
        return bool(passes_a_spindle(through_mm, shop))
    way = None if lathe == "none" else way_through(lathe)
    return way is not None and through_mm <= way[1] + SAME_MM


def parts_of_stub(size: StockSize, turned_mm: float, body: Body, shop: Shop, quantity: int) -> int:
    """How many parts are sawn in one piece and parted off one after another; 1 at least.

    As many as the same grip carries, a third of what stands out, which is no more than a diameter:
    so short a piece bends no more than its jaws do.
    """
    able = holdings_for_bar(size.across_mm, shop, round_stock=size.form != "hex")
    if not able or quantity < 2:
        return 1
    grip = bar_grip_mm(able[0], size.across_mm, body, shop, _through_mm(size))
    out = min(grip / PIECE_GRIP.value - able[0].jaw_standoff_mm, size.across_mm)
    return max(1, min(quantity, math.floor(out / turned_mm + 1e-9)))


def bar_grip_mm(
    holding: Holding, size_mm: float, body: Body, shop: Shop, through_mm: float
) -> float:
    """Length in mm of raw stock behind the parting cut that the first chucking grips."""
    out = turned_length_mm(body, shop.stock_policy or COMMON_POLICY) + holding.jaw_standoff_mm
    return raw_grip_mm(holding, size_mm, out, sawn=is_sawn(through_mm, shop))


def _through_mm(size: StockSize) -> float:
    return across_corners_mm(size.form, size.across_mm)


def stub_mm(size: StockSize, body: Body, shop: Shop) -> float:
    """Length in mm of raw stock that the first chucking holds behind the parting cut.

    The grip that the gentlest holding for this size asks for, and the stand-off of its jaws; 0
    where the shop file names no holding that takes it.
    """
    able = holdings_for_bar(size.across_mm, shop, round_stock=size.form != "hex")
    if not able:
        return 0.0
    grip = bar_grip_mm(able[0], size.across_mm, body, shop, _through_mm(size))
    return grip + able[0].jaw_standoff_mm


def piece_of(
    size: StockSize,
    body: Body,
    policy: StockPolicy,
    shop: Shop,
    why: str,
    *,
    own_end: bool = False,
    quantity: int = 1,
    lathe: Machine | Literal["none"] | None = None,
) -> StockPiece:
    """What one part takes of this size.

    `own_end`: a sawn piece is first held on an end of its own, which is turned in the next
    chucking; then it has no stub, and nothing is parted off. `lathe`: the one it is made on, whose
    spindle lets the bar through or not; None for the shop's best, "none" where none makes it. Of a
    `quantity` short parts several are sawn in one piece.
    """
    stub = 0.0 if own_end else stub_mm(size, body, shop)
    turned = turned_length_mm(body, policy)
    if own_end:
        turned -= policy.parting_width_mm
    fed = not own_end and is_fed(_through_mm(size), shop, lathe)
    parts = 1 if fed or own_end else parts_of_stub(size, turned, body, shop, quantity)
    length = turned if fed else turned + stub / parts
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
        per_bar=per_bar(size, turned, stub, policy, parts=0 if fed else parts),
        cost=cost_of(size, mass, shop),
        finish=size.finish,
        fed=fed,
        parts=parts,
    )


def mass_kg(size: StockSize, length_mm: float, policy: StockPolicy) -> float | None:
    """Mass of a length of this size; None where no density is stated."""
    density = policy.density_kg_per_mm3
    return None if density is None else density * section_mm2(size) * length_mm


def per_bar(
    size: StockSize, turned_mm: float, stub: float, policy: StockPolicy, parts: int
) -> int | None:
    """How many parts a bar gives; None where its length is not stated.

    A bar that is fed through the spindle (`parts` is 0) loses one stub. Else pieces for so many
    parts are sawn with a stub each, and a saw's cut as wide as a parting blade's between them.
    """
    whole = size.bar_length_mm
    if whole is None:
        return None
    if not parts:
        return max(0, math.floor((whole - stub) / turned_mm + 1e-9))
    kerf = policy.parting_width_mm
    piece = parts * turned_mm + stub
    return parts * max(0, math.floor((whole + kerf) / (piece + kerf) + 1e-9))
