"""What holdings of a shop take: lengths of grip, raw stock, and the way through the spindle."""

from __future__ import annotations

from turnability.shop.model import Holding, Machine, Shop

SAME_MM = 1e-3


def least_grip_mm(holding: Holding, diameter_mm: float) -> float:
    """Length of land in mm that this holding asks for at this diameter."""
    return max(holding.least_grip_mm, holding.least_grip_per_diameter * diameter_mm)


def gentleness(holding: Holding) -> tuple[int, str]:
    """A finished surface would rather be held in a collet or soft jaws than in hard ones."""
    order = ("collet", "soft-jaws", "three-jaw", "four-jaw")
    return (order.index(holding.kind), holding.name)


def within(value: float, limits: tuple[float, float]) -> bool:
    """Whether a diameter lies in a range, to 1 µm."""
    return limits[0] - SAME_MM <= value <= limits[1] + SAME_MM


def holdings_for_bar(
    size_mm: float, shop: Shop, *, round_stock: bool = True
) -> tuple[Holding, ...]:
    """Holdings whose outside range takes raw stock of this size (round or across flats)."""
    return tuple(
        holding
        for holding in sorted(shop.holdings, key=gentleness)
        if holding.outside_mm is not None
        and within(size_mm, holding.outside_mm)
        and (round_stock or holding.kind != "collet")
    )


def way_through(machine: Machine) -> tuple[str, float] | None:
    """What limits a bar through the spindle, as the shop file calls it; None where it says neither.

    The bar capacity is less than the spindle bore, for what feeds the bar stands in the bore.
    """
    told = {"bar capacity": machine.bar_capacity_mm, "spindle bore": machine.spindle_bore_mm}
    known = [(name, value) for name, value in told.items() if value is not None]
    return min(known, key=lambda entry: entry[1], default=None)


def passes_a_spindle(size_mm: float, shop: Shop) -> bool | None:
    """Whether stock of this size goes through the spindle of a lathe; None where none is known."""
    ways = [way_through(machine) for machine in shop.machines]
    known = [way[1] for way in ways if way is not None]
    if any(size_mm <= most + SAME_MM for most in known):
        return True
    return False if known and len(known) == len(ways) else None
