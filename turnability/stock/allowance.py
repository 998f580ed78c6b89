"""By how much stock must exceed the part, outside, in the bore and at the ends."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from turnability.cited import Cited
from turnability.errors import ShopUnusable
from turnability.shop.books import rows
from turnability.shop.model import StockPolicy, StockSize
from turnability.stock.model import StockPiece
from turnability.units import MM_PER_INCH

HOT_ROLLED = Cited(
    0.032,
    "-",
    "a bar supplier's note on cleaning up hot-rolled bar",
    "1.6 % of the bar's diameter a side: smallest bar = finished diameter / 0.968",
    verified=True,
)
"""What a rolled skin asks for, as a share of the bar; where a policy asks for more, that."""


def mill_tolerance_mm(size: StockSize | StockPiece) -> float:
    """By how much a bar may come larger than its size: rolled ones to EN 10060, bright ones none.

    Of a size between two of the table, or beyond it, the next one of it that there is.
    """
    if not is_hot_rolled(size):
        return 0.0
    rolled = [row for row in rows("stock_bar_metric") if row["kind"] == "hot rolled"]
    found = next((row for row in rolled if float(row["d"]) >= size.across_mm - 1e-6), rolled[-1])
    return float(found["tolerance_usual"].removeprefix("+/-"))


def is_hot_rolled(size: StockSize | StockPiece) -> bool:
    """Whether it has a rolled skin, as the list says or its name does."""
    return size.finish == "hot-rolled" or (size.finish is None and "hot" in size.name.lower())


@lru_cache(maxsize=4096)
def policy_for(size: StockSize, policy: StockPolicy) -> StockPolicy:
    """The policy as it holds for this size: its own allowance, a rolled skin's, else the shop's."""
    if size.allowance is not None:
        return replace(policy, diameter_allowance=size.allowance)
    if is_hot_rolled(size):
        rolled = replace(policy, diameter_allowance=HOT_ROLLED)
        if largest_diameter_mm(size.across_mm, rolled) < largest_diameter_mm(
            size.across_mm, policy
        ):
            return rolled
    return policy


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


def largest_bore_mm(size: StockSize, bore_mm: float, policy: StockPolicy) -> float:
    """Largest bore in mm that a tube may have for the part's `bore_mm` to clean up all round.

    It is smaller by the allowance, and by twice what the tube's bore may lie off its outside, on
    which it is held.
    """
    own = policy_for(size, policy)
    if policy.bore_allowance is not None:
        own = replace(policy, diameter_allowance=policy.bore_allowance)
    if own.diameter_allowance.unit == "-":
        spare = own.diameter_allowance.value * size.across_mm
    else:
        spare = least_size_mm(0.0, own)
    return bore_mm - spare - 2.0 * size.eccentricity_mm
