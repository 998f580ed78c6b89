"""Which bar, hexagon or tube of the shop's list a part is cut from, and what it weighs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Literal

from turnability.part.model import Departure, Profile
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Machine, Shop, StockPolicy, StockSize
from turnability.stock.allowance import (
    largest_bore_mm,
    largest_diameter_mm,
    least_size_mm,
    policy_for,
)
from turnability.stock.model import Stock, StockPiece
from turnability.stock.own_outside import own_segments, own_sizes
from turnability.stock.piece import body_of, holds, is_fed, piece_of
from turnability.stock.split import split_of
from turnability.stock.worth import BY_COST, BY_MASS, price_of, section_mm2, worth
from turnability.units import length_text, rounded_down, rounded_up

__all__ = [
    "LITTLE",
    "choose_stock",
    "fits",
    "is_as_told",
    "largest_diameter_mm",
    "least_size_mm",
    "section_mm2",
]


LITTLE = 0.05
"""By no more than this share is a largest diameter asked to shrink (common practice)."""
LEAST_TOLD = 0.01
FED = ", each fed through a spindle of the shop that passes it, or else sawn"
"""How sizes were compared, where the plan's own lathe takes them otherwise."""


def choose_stock(
    profile: Profile,
    shop: Shop,
    *,
    own_end: bool = False,
    departures: Sequence[Departure] = (),
    outside_stays: bool = False,
    quantity: int = 1,
    lathe: Machine | Literal["none"] | None = None,
) -> Stock | None:
    """Take the least dear size of the shop's list that leaves its allowance everywhere.

    A round bar or hexagon (across flats) must exceed the largest diameter by the allowance; a
    tube's bore must also stay under the part's through bore by it. One part takes its length, an
    allowance at either end and the parting width; where the spindle (of `lathe`, "none" where no
    lathe makes it, else the shop's largest) does not pass the bar, its share of what the first
    chucking holds too, of which several of a `quantity` have one in common. Dear is what one part
    takes so, by the shop's prices where it states them, else by mass and an assumed premium
    (`worth`).
    `own_end`: pieces are first held on an end of their own, and no longer than the part and its
    allowances. `outside_stays`: what has the part's own outside, or the flats of its hexagon among
    the `departures`, needs no allowance there. Masses are None where the shop states no density.
    None where the shop holds no stock list; `choice` None where nothing on it fits, then with the
    least bar that would.
    """
    if not shop.stock:
        return None
    policy = shop.stock_policy or COMMON_POLICY
    body = body_of(profile)

    def asked(size: StockSize) -> StockPiece:
        # alike before and after the plan, so that it names the same size
        return piece_of(size, body, policy, shop, "", quantity=quantity)

    def dear(size: StockSize) -> tuple[bool, float, float]:
        one = asked(size)
        return worth(size, one.length_mm, one.mass_kg, shop)

    own = own_sizes(profile, departures, shop.stock, policy)
    kept = own if outside_stays else ()
    fitting = sorted(
        (size for size in shop.stock if size in kept or fits(size, profile, policy)),
        key=lambda size: (*dear(size), size.across_mm, size.name),
    )
    inch = shop.inch
    choice = fitting[0] if fitting else None

    def piece(size: StockSize, why: str) -> StockPiece:
        made = piece_of(
            size, body, policy, shop, why, own_end=own_end, quantity=quantity, lathe=lathe
        )
        return replace(made, own_outside=size in kept)

    def drawn(size: StockSize) -> StockPiece:
        return piece(size, "")

    turned = _largest_is_turned(profile, departures)

    def less(size: StockSize) -> str:
        return _smaller_part(size, choice, profile, policy, inch) if turned else ""

    others = [
        piece(size, f"{_why_own(size, inch)}{less(size)}") for size in own[:1] if size not in kept
    ]
    seen = {id(choice)}
    for form in ("bar", "hex", "tube", "pipe"):
        larger = [size for size in fitting if size.form == form and id(size) not in seen]
        if larger and choice is not None:
            told, basis = (_share(larger[0], choice, make, shop) for make in (drawn, asked))
            swapped = told < 0.0 <= basis
            why = _why_dearer(larger[0], choice, basis if swapped else told, shop)
            why += FED if swapped else ""
            others.append(piece(larger[0], why))
    nearest = _nearest_too_small([s for s in shop.stock if s not in kept], choice, profile, policy)
    if nearest is not None and not any(o.name == nearest.name for o in others):
        why = _why_too_small(nearest, profile, policy, inch)
        others.append(piece(nearest, f"{why}{less(nearest)}"))
    hollow = _nearest_hollow(shop.stock, profile, policy)
    if hollow is not None and not any(size.inner_diameter_mm is not None for size in fitting):
        others.append(piece(hollow, _why_bore(hollow, profile, policy, inch)))
    if choice is None:
        return Stock(
            choice=None,
            alternatives=tuple(others),
            removed_fraction=None,
            wanted_mm=_wanted_mm(profile, shop, policy),
        )
    by_cost = not dear(choice)[0]
    needed = least_size_mm(_d(profile), policy_for(choice, policy))
    least = "cheapest" if by_cost else "lightest"
    why = (
        f"the {least} of the list whose outside is the part's own: it stays as the bar comes"
        if choice in kept
        else f"the {least} of the list that leaves {length_text(needed - _d(profile), inch)} on "
        f"the largest diameter of {length_text(_d(profile), inch)}"
    )
    taken = piece(choice, why)
    volume = profile.solid_volume_mm3 or profile.volume_mm3
    return Stock(
        choice=taken,
        alternatives=tuple(others),
        removed_fraction=1.0 - volume / (section_mm2(choice) * taken.length_mm),
        split=split_of(profile, choice, shop, policy),
        chosen_by=BY_COST if by_cost else BY_MASS,
    )


def is_as_told(
    stock: Stock, shop: Shop, own_end: bool, lathe: Machine | Literal["none"] | None
) -> bool:
    """Whether a plan that is known now changes nothing in what was told without one."""
    pieces = [*stock.alternatives, *([] if stock.choice is None else [stock.choice])]
    return not own_end and all(is_fed(p.through_mm, shop, lathe) == p.fed for p in pieces)


def fits(size: StockSize, profile: Profile, policy: StockPolicy) -> bool:
    """Whether this size leaves the allowance outside, and for a tube inside too."""
    return holds(size, body_of(profile), policy)


def _d(profile: Profile) -> float:
    return profile.max_diameter_mm


def _wanted_mm(profile: Profile, shop: Shop, policy: StockPolicy) -> float:
    """The least bar that would hold the part, with the allowance that the largest listed asks for.

    Told to four figures, and no smaller than it must be.
    """
    solid = [size for size in shop.stock if size.form in ("bar", "hex")]
    top = max(solid, key=lambda size: size.across_mm, default=None)
    own = policy if top is None else policy_for(top, policy)
    return rounded_up(least_size_mm(_d(profile), own), shop.inch, 4)


def _why_own(size: StockSize, inch: bool) -> str:
    what = "hexagon" if size.form == "hex" else "largest diameter"
    return (
        f"its outside of {length_text(size.across_mm, inch)} is the part's {what}: it may stay as "
        "drawn, if the bar's own surface and tolerance will do and the part need not run true to "
        "it (bar_outside_may_stay = true in the intent file)"
    )


def _nearest_too_small(
    sizes: Iterable[StockSize], choice: StockSize | None, profile: Profile, policy: StockPolicy
) -> StockSize | None:
    """The largest bar that is too small; where the list has no bars, of what was chosen, or all."""
    below = [
        size
        for size in sizes
        if size.across_mm < least_size_mm(_d(profile), policy_for(size, policy)) - 1e-9
        and (size.form in ("bar", "hex") or profile.through_bore_mm is not None)
    ]
    bars = [size for size in below if size.form == "bar"]
    alike = [size for size in below if choice is None or size.form == choice.form]
    return max(bars or alike, key=lambda size: size.across_mm, default=None)


def _nearest_hollow(
    sizes: Iterable[StockSize], profile: Profile, policy: StockPolicy
) -> StockSize | None:
    """The tube of a bored part whose outside would do and whose bore is too large by least."""
    if profile.through_bore_mm is None:
        return None
    through = profile.through_bore_mm
    near = [
        size
        for size in sizes
        if size.inner_diameter_mm is not None
        and size.inner_diameter_mm < _d(profile)
        and size.across_mm >= least_size_mm(_d(profile), policy_for(size, policy)) - 1e-9
        and size.inner_diameter_mm > largest_bore_mm(size, through, policy)
    ]
    return min(near, key=lambda size: (size.inner_diameter_mm or 0.0, size.name), default=None)


def _share(
    other: StockSize, choice: StockSize, make: Callable[[StockSize], StockPiece], shop: Shop
) -> float:
    """How much more one takes than the other, by cost where both have a price, else by mass."""
    ratio = section_mm2(other) * make(other).length_mm
    ratio /= section_mm2(choice) * make(choice).length_mm
    prices = price_of(other, shop), price_of(choice, shop)
    if prices[0] is not None and prices[1]:
        ratio *= prices[0] / prices[1]
    return ratio - 1.0


def _why_dearer(other: StockSize, choice: StockSize, more: float, shop: Shop) -> str:
    priced, by_cost = price_of(other, shop) is not None, price_of(choice, shop) is not None
    if by_cost and not priced:
        return f"it fits as well, but no price is stated for it as for {choice.name}"
    if abs(more) < LEAST_TOLD / 2.0:
        same = "at the same cost as" if by_cost else "with the same mass as"
        return f"it fits as well, {same} {choice.name}"
    if more < 0.0 and not by_cost:
        return (
            f"it fits as well with {-more:.0%} less mass than {choice.name}, but a kilogram of it "
            "is taken to cost more; state prices to have that decided"
        )
    return f"it fits as well, at {more:.0%} more {'cost' if by_cost else 'mass'} than {choice.name}"


def _why_too_small(size: StockSize, profile: Profile, policy: StockPolicy, inch: bool) -> str:
    spare = size.across_mm - _d(profile)
    if spare < 0.0:
        return f"too small: the part's largest diameter is {length_text(_d(profile), inch)}"
    needed = least_size_mm(_d(profile), policy_for(size, policy))
    return (
        f"too near: it leaves {length_text(spare, inch)} on diameter where "
        f"{length_text(needed - _d(profile), inch)} is wanted to clean up"
    )


def _largest_is_turned(profile: Profile, departures: Sequence[Departure]) -> bool:
    """Whether a straight outside of the largest diameter is no milled one's corners."""
    milled = {face for departure in departures for face in departure.faces}
    own = own_segments(profile)
    return any(
        not s.faces or not milled.issuperset(s.faces) for s in profile.segments if s.id in own
    )


def _smaller_part(
    size: StockSize, choice: StockSize | None, profile: Profile, policy: StockPolicy, inch: bool
) -> str:
    """To what largest diameter this bar would do, where that is near, and what it saves then."""
    largest = _d(profile)
    to = rounded_down(largest_diameter_mm(size.across_mm, policy_for(size, policy)), inch, 4)
    solid = choice is not None and choice.form in ("bar", "hex") and size.form == choice.form
    if choice is None or not solid or to < (1 - LITTLE) * largest:
        return ""
    saved = 1.0 - section_mm2(size) / section_mm2(choice)
    if saved < LEAST_TOLD or to >= largest:
        return ""
    return f"; a largest diameter of {length_text(to, inch)} would save {saved:.0%} of the stock"


def _why_bore(size: StockSize, profile: Profile, policy: StockPolicy, inch: bool) -> str:
    through = profile.through_bore_mm or 0.0
    most = largest_bore_mm(size, through, policy)
    return (
        f"its bore of {length_text(size.inner_diameter_mm or 0.0, inch)} leaves nothing to clean "
        f"up in the part's of {length_text(through, inch)}: {length_text(max(0.0, most), inch)} "
        "at most"
    )
