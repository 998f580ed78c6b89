"""The estimate of effort as words."""

from __future__ import annotations

from math import floor

from turnability.setups.effort.model import Effort


def effort_text(effort: Effort) -> str:
    """The estimate as words: what one piece takes, what is done once, what each time.

    In whole minutes that add up as they stand there.
    """
    about, whole_once = _whole(effort.minutes_per_piece), _whole(effort.minutes_once)
    whole_each = about - whole_once if effort.quantity == 1 else _whole(effort.minutes_each)
    once = _parts(effort, "order", whole_once)
    each = _parts(effort, "piece", whole_each)
    share = "" if effort.quantity == 1 else f" of {effort.quantity}"
    money = effort.money
    price = ""
    if money is not None:
        material = "" if money.material is None else f" and {money.material:.2f} of stock"
        price = f", {money.currency} {money.work:.2f}{material}"
    return (
        f"about {about} min a piece{share}{price}: once "
        f"{whole_once} ({once}), each {whole_each} ({each}); "
        "to compare two versions by, no quotation"
    )


def _parts(effort: Effort, per: str, whole: int) -> str:
    """The parts in minutes that make up the whole, the largest first, those of none left out.

    Each is rounded down, and what that leaves over goes to those that lost the most by it.
    """
    parts = [p for p in effort.parts if p.per == per]
    minutes = [floor(p.minutes) for p in parts]
    by_loss = sorted(range(len(parts)), key=lambda i: minutes[i] - parts[i].minutes)
    for i in by_loss[: max(0, whole - sum(minutes))]:
        minutes[i] += 1
    named = sorted(zip(minutes, parts, strict=True), key=lambda one: (-one[0], -one[1].minutes))
    return ", ".join(f"{p.what} {m}" for m, p in named if m)


def _whole(minutes: float) -> int:
    return floor(minutes + 0.5)
