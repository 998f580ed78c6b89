"""The estimate of effort as words."""

from __future__ import annotations

from turnability.setups.model import Effort


def effort_text(effort: Effort) -> str:
    """The estimate as words: what one piece takes, what is done once, what each time."""
    once = _parts(effort, "order")
    each = _parts(effort, "piece")
    share = "" if effort.quantity == 1 else f" of {effort.quantity}"
    money = effort.money
    price = ""
    if money is not None:
        material = "" if money.material is None else f" and {money.material:.2f} of stock"
        price = f", {money.currency} {money.work:.2f}{material}"
    return (
        f"about {effort.minutes_per_piece:.0f} min a piece{share}{price}: once "
        f"{effort.minutes_once:.0f} ({once}), each {effort.minutes_each:.0f} ({each}); "
        "to compare two versions by, no quotation"
    )


def _parts(effort: Effort, per: str) -> str:
    parts = sorted((p for p in effort.parts if p.per == per), key=lambda p: -p.minutes)
    return ", ".join(f"{p.what} {p.minutes:.0f}" for p in parts if p.minutes >= 0.5)
