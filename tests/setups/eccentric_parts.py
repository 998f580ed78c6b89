"""Parts with eccentrics, drawn, and shops with or without what sets them over."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import cadquery as cq

from turnability.analysis import analyze
from turnability.report import Report
from turnability.setups.model import SetOver
from turnability.shop.load import starter_shop
from turnability.shop.model import Holding, Shop

FOUR_JAW = Holding("four-jaw 200", "four-jaw", (8.0, 200.0), None, 10.0, 0.5, 2.0)
CENTRES = Holding("centres and dog", "between-centres", (6.0, 80.0), None, 8.0, 0.0, 2.0)


def shaft() -> Any:
    """40 mm of diameter, 50 long, and a journal of 24 by 25, 3 mm off."""
    return at(0.0, 20.0, 0.0, 50.0).union(at(3.0, 12.0, 50.0, 25.0))


def bush() -> Any:
    """50 mm of diameter, 40 long, bored 24 right through, 4 mm off, and to 30 for 8 mm."""
    return at(0.0, 25.0, 0.0, 40.0).cut(at(4.0, 12.0, 0.0, 40.0)).cut(at(4.0, 15.0, 0.0, 8.0))


def crank() -> Any:
    """Two pins of 14 between cheeks, 5 mm to either side of a spindle of 30."""
    cheeks = at(0.0, 15.0, 0.0, 30.0).union(at(0.0, 15.0, 50.0, 10.0))
    cheeks = cheeks.union(at(0.0, 15.0, 80.0, 30.0))
    return cheeks.union(at(5.0, 7.0, 30.0, 20.0)).union(at(-5.0, 7.0, 60.0, 20.0))


def slender() -> Any:
    """20 mm of diameter, 200 long, with a cam of 22 in its middle, 2 mm off."""
    return at(0.0, 10.0, 0.0, 200.0).union(at(2.0, 11.0, 95.0, 10.0))


def waist() -> Any:
    """60 by 50, 3 mm off bored 24 for 15 mm from z 0, 26 for 20 from z 50, 14 between them."""
    bored = (
        at(3.0, 12.0, 0.0, 15.0).union(at(3.0, 7.0, 15.0, 15.0)).union(at(3.0, 13.0, 30.0, 20.0))
    )
    return at(0.0, 30.0, 0.0, 50.0).cut(bored)


def pin() -> Any:
    """A disc of 50 by 20 with a pin of 8 by 15 beside its axis, 10 mm off."""
    return at(0.0, 25.0, 0.0, 20.0).union(at(10.0, 4.0, 20.0, 15.0))


def blind() -> Any:
    """50 by 40, bored 24 and 20 deep from z 40, 4 mm off: its floor is cut with it."""
    return at(0.0, 25.0, 0.0, 40.0).cut(at(4.0, 12.0, 20.0, 20.0))


def throw() -> Any:
    """A crank: cheeks of 50 by 12 on a shaft of 20, between them a pin of 16 by 24, 12 mm off."""
    cheeks = at(0.0, 10.0, 0.0, 60.0).union(at(0.0, 25.0, 60.0, 12.0))
    cheeks = cheeks.union(at(0.0, 25.0, 96.0, 12.0)).union(at(0.0, 10.0, 108.0, 60.0))
    return cheeks.union(at(12.0, 8.0, 72.0, 24.0))


def at(off: float, r: float, z: float, length: float) -> Any:
    return cq.Workplane().workplane(offset=z).center(off, 0.0).circle(r).extrude(length)


DRAWN = {
    "shaft": shaft, "bush": bush, "crank": crank, "slender": slender, "waist": waist, "pin": pin,
    "blind": blind, "throw": throw,
}  # fmt: skip


def shop_of(*more: Holding, inch: bool = False) -> Shop:
    shop = starter_shop()
    return replace(shop, holdings=(*shop.holdings, *more), inch=inch)


@cache
def made(name: str, *more: Holding) -> Report:
    return analyze(DRAWN[name](), shop_of(*more))


def over(name: str, *more: Holding) -> tuple[SetOver, ...]:
    plan = made(name, *more).plan
    assert plan is not None
    return plan.set_over
