"""Which bar, hexagon or tube of the shop's list a part is cut from, and what it weighs."""

from __future__ import annotations

import math
from collections.abc import Iterable

from turnability.cited import Cited
from turnability.errors import ShopUnusable
from turnability.part.model import Profile
from turnability.shop.model import Shop, StockPolicy, StockSize
from turnability.stock.model import Stock, StockPiece
from turnability.units import MM_PER_INCH, length_text

COMMON_POLICY = StockPolicy(
    diameter_allowance=Cited(
        0.05,
        "in",
        "common practice",
        "a diameter stays 0.050 in under the bright bar it is turned from",
        verified=False,
    ),
    end_allowance_mm=1.0,
    parting_width_mm=3.0,
    density_kg_per_mm3=None,
    material=None,
)
"""What is taken where the shop file has no stock policy: common practice, no source."""

SAME_SIZE_MM = 0.01
"""An outside this near a bar's size may stay as it was drawn (well inside h9)."""


def choose_stock(profile: Profile, shop: Shop) -> Stock | None:
    """Take the lightest size of the shop's list that leaves its allowance everywhere.

    A round bar or hexagon (across flats) must exceed the largest diameter by the allowance; a
    tube's bore must also stay under the part's through bore by it. The piece is as long as the
    part, an allowance at either end and the parting width. Masses are None where the shop states
    no density. None where the shop holds no stock list; `choice` None where nothing on it fits.
    """
    if not shop.stock:
        return None
    policy = shop.stock_policy or COMMON_POLICY
    needed = least_size_mm(profile.max_diameter_mm, policy)
    length = piece_length_mm(profile, policy)
    fitting = sorted(
        (size for size in shop.stock if fits(size, profile, policy)),
        key=lambda size: (section_mm2(size), size.across_mm, size.name),
    )
    inch = shop.inch
    choice = fitting[0] if fitting else None

    def piece(size: StockSize, why: str) -> StockPiece:
        return _piece(size, length, policy, why)

    others: list[StockPiece] = []
    for size in _as_drawn(shop.stock, profile):
        others.append(
            piece(
                size,
                f"its outside of {length_text(size.across_mm, inch)} is the part's largest "
                "diameter: it may stay as drawn, if the bar's own surface and tolerance will do "
                "and the part need not run true to it",
            )
        )
    seen = {id(choice)}
    for form in ("bar", "hex", "tube", "pipe"):
        larger = [size for size in fitting if size.form == form and id(size) not in seen]
        if larger:
            others.append(piece(larger[0], _why_heavier(larger[0], choice)))
    nearest = _nearest_too_small(shop.stock, needed)
    if nearest is not None and not any(o.name == nearest.name for o in others):
        others.append(piece(nearest, _why_too_small(nearest, profile, needed, inch)))
    if choice is None:
        return Stock(choice=None, alternatives=tuple(others), removed_fraction=None)
    why = (
        f"the lightest size of the list that leaves {length_text(needed - _d(profile), inch)} "
        f"on the largest diameter of {length_text(_d(profile), inch)}"
    )
    volume = profile.solid_volume_mm3 or profile.volume_mm3
    return Stock(
        choice=piece(choice, why),
        alternatives=tuple(others),
        removed_fraction=1.0 - volume / (section_mm2(choice) * length),
    )


def least_size_mm(diameter_mm: float, policy: StockPolicy) -> float:
    """Smallest stock size in mm from which `diameter_mm` can be turned clean.

    The allowance is a length on diameter ("mm", "in"), or a share of the bar's own size ("-"), as
    hot-rolled bar has it. Raises ShopUnusable for another unit.
    """
    allowance = policy.diameter_allowance
    if allowance.unit == "mm":
        return diameter_mm + allowance.value
    if allowance.unit == "in":
        return diameter_mm + allowance.value * MM_PER_INCH
    if allowance.unit == "-" and 0.0 <= allowance.value < 1.0:
        return diameter_mm / (1.0 - allowance.value)
    raise ShopUnusable(
        "stock allowance",
        f"{allowance.value} {allowance.unit} is no allowance on diameter",
        'State it in "mm" or "in", or as a share of the bar\'s size below 1 with the unit "-".',
    )


def largest_diameter_mm(size_mm: float, policy: StockPolicy) -> float:
    """Largest diameter in mm that can be turned clean from stock of `size_mm`."""
    if policy.diameter_allowance.unit == "-":
        return size_mm * (1.0 - policy.diameter_allowance.value)
    return size_mm - least_size_mm(0.0, policy)


def fits(size: StockSize, profile: Profile, policy: StockPolicy) -> bool:
    """Whether this size leaves the allowance outside, and for a tube inside too."""
    if size.across_mm < least_size_mm(_d(profile), policy) - 1e-9:
        return False
    bore = size.inner_diameter_mm
    if size.form in ("tube", "pipe") or bore is not None:
        through = profile.through_bore_mm
        return (
            bore is not None
            and through is not None
            and bore + (least_size_mm(_d(profile), policy) - _d(profile)) <= through + 1e-9
        )
    return True


def section_mm2(size: StockSize) -> float:
    """Area of the cross-section in mm2: a disc, a hexagon across flats, or a ring."""
    if size.form == "hex":
        return math.sqrt(3.0) / 2.0 * size.across_mm**2
    return math.pi / 4.0 * (size.across_mm**2 - (size.inner_diameter_mm or 0.0) ** 2)


def piece_length_mm(profile: Profile, policy: StockPolicy) -> float:
    """Length of the piece in mm: the part, an allowance at either end, the parting width."""
    return profile.length_mm + 2.0 * policy.end_allowance_mm + policy.parting_width_mm


def _d(profile: Profile) -> float:
    return profile.max_diameter_mm


def _piece(size: StockSize, length_mm: float, policy: StockPolicy, why: str) -> StockPiece:
    density = policy.density_kg_per_mm3
    return StockPiece(
        form=size.form,
        name=size.name,
        across_mm=size.across_mm,
        inner_diameter_mm=size.inner_diameter_mm,
        length_mm=length_mm,
        mass_kg=None if density is None else density * section_mm2(size) * length_mm,
        why=why,
    )


def _as_drawn(sizes: Iterable[StockSize], profile: Profile) -> list[StockSize]:
    """Round bars of the part's own largest diameter."""
    return [
        size
        for size in sizes
        if size.form == "bar"
        and abs(size.across_mm - _d(profile)) <= SAME_SIZE_MM
        and "hot" not in size.name.lower()  # a rolled skin is no finished surface
    ][:1]


def _nearest_too_small(sizes: Iterable[StockSize], needed_mm: float) -> StockSize | None:
    below = [size for size in sizes if size.form == "bar" and size.across_mm < needed_mm - 1e-9]
    return max(below, key=lambda size: size.across_mm, default=None)


def _why_heavier(size: StockSize, choice: StockSize | None) -> str:
    if choice is None:
        return "it fits"
    more = section_mm2(size) / section_mm2(choice) - 1.0
    return f"it fits as well, at {more:.0%} more mass than {choice.name}"


def _why_too_small(size: StockSize, profile: Profile, needed_mm: float, inch: bool) -> str:
    spare = size.across_mm - _d(profile)
    if spare < 0.0:
        return f"too small: the part's largest diameter is {length_text(_d(profile), inch)}"
    return (
        f"too near: it leaves {length_text(spare, inch)} on diameter where "
        f"{length_text(needed_mm - _d(profile), inch)} is wanted to clean up"
    )
