"""Thicken the wall of a sensor sleeve until it no longer bends too far under the tool.

The lathe at sea has neither tailstock nor steady, so the jaws alone carry the sleeve.

python scripts/examples/thicken_wall.py
"""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq

import turnability.cadquery
from turnability.shop.load import starter_shop

BORE_MM, LENGTH_MM = 25.0, 130.0
WALLS_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)

STARTER = starter_shop()
SHOP = replace(
    STARTER,
    name="at sea",
    machines=tuple(replace(one, tailstock=False, steady=False) for one in STARTER.machines),
)


def sleeve(wall_mm: float) -> cq.Workplane:
    """A plain sleeve, open at both ends."""
    inside = BORE_MM / 2.0
    return cq.Workplane().circle(inside + wall_mm).circle(inside).extrude(LENGTH_MM)


def bends(report: turnability.cadquery.ShapeReport) -> bool:
    """Whether some diameter would vary by more than it may."""
    return any(finding.rule == "bends-too-much" for finding in report.findings)


def varies_mm(report: turnability.cadquery.ShapeReport) -> float:
    """By how much a diameter varies at worst, in whichever setup."""
    lands = [land for setup in report.setups if setup.bending for land in setup.bending.lands]
    return max((land.error_mm for land in lands), default=0.0)


def thicken() -> tuple[float, cq.Workplane]:
    """The first wall that is stiff enough, and the sleeve with it."""
    for wall_mm in WALLS_MM:
        part = sleeve(wall_mm)
        report = part.turnability(name=f"sleeve, wall {wall_mm:g}", shop=SHOP)
        said = "bends too far" if bends(report) else "is stiff enough"
        print(f"wall {wall_mm:g} mm: diameter varies by {varies_mm(report):.3f} mm, {said}")
        if not bends(report):
            return wall_mm, part
    raise SystemExit("no wall here is stiff enough: shorten the sleeve or support its end")


if __name__ == "__main__":
    thicken()
