"""What holdings of a shop take: lengths of grip, raw stock, and the way through the spindle."""

from __future__ import annotations

import math
from dataclasses import replace

from turnability.cited import Cited
from turnability.shop.books import row
from turnability.shop.model import Holding, HoldingKind, Machine, Shop

SAME_MM = 1e-3
ON_FACE: tuple[HoldingKind, ...] = ("bolt-arbor", "glued-arbor")
"""What holds a part by an end face alone."""


def least_grip_mm(holding: Holding, diameter_mm: float) -> float:
    """Length of land in mm that this holding asks for at this diameter: none of an end face."""
    if holding.kind in ON_FACE:
        return 0.0
    return max(holding.least_grip_mm, holding.least_grip_per_diameter * diameter_mm)


JAW_LENGTH = Cited(
    0.25,
    "-",
    "common practice",
    "how far jaws grip along the axis over the largest outside that they take, from memory",
    verified=False,
)
COLLET_LENGTH = Cited(
    1.5, "-", "common practice", "length of a collet over the least grip in it, from memory", False
)


def most_grip_mm(holding: Holding, diameter_mm: float) -> float:
    """Length in mm that this holding grips of a long land: as deep as its jaws are.

    No less than it asks for, which is the shop file's word; a mandrel fills its whole bore.
    """
    least, long = least_grip_mm(holding, diameter_mm), holding.jaw_length_mm
    taken = holding.outside_mm or holding.inside_mm
    if long is None and holding.kind == "collet":
        long = COLLET_LENGTH.value * holding.least_grip_mm
    if long is None and holding.kind in JAWS and taken is not None:
        long = JAW_LENGTH.value * taken[1]
    return math.inf if long is None else max(least, long)


PIECE_GRIP = Cited(
    1.0 / 3.0,
    "-",
    "common practice",
    "grip of a sawn piece over what stands out of it, where that is less than half its diameter, "
    "from memory",
    verified=False,
)
"""A slug is held over less than a bar: jaws bite into its skin, and little stands out."""
PIECE_GRIP_PER_DIAMETER = Cited(
    0.1,
    "-",
    "common practice",
    "least grip of a sawn piece in hard jaws, in diameters of it, from memory",
    verified=False,
)
"""However short it is, a wide slug tips out of jaws that hold hardly anything of it."""


def raw_grip_mm(holding: Holding, size_mm: float, out_mm: float, *, sawn: bool) -> float:
    """Length in mm that it grips of raw stock, of which `out_mm` stand out of the jaws.

    As long as a land's grip; of a piece that is sawn for one part no more than it needs.
    """
    full = least_grip_mm(holding, size_mm)
    wanted = max(
        holding.least_grip_mm,
        float(math.ceil(PIECE_GRIP.value * out_mm)),
        float(math.ceil(PIECE_GRIP_PER_DIAMETER.value * size_mm - SAME_MM)),
    )
    return min(full, wanted) if sawn else full


GENTLE: tuple[HoldingKind, ...] = (
    "collet",
    "soft-jaws",
    "three-jaw",
    "four-jaw",
    "mandrel",
    "between-centres",
    "bolt-arbor",
    "glued-arbor",
)
"""A finished surface would rather be held in a collet or soft jaws than in hard ones.

What needs more work to set up stands behind; glue last.
"""
JAWS: tuple[HoldingKind, ...] = ("collet", "soft-jaws", "three-jaw", "four-jaw")
"""What closes on the outside of a part."""
HARD: tuple[HoldingKind, ...] = ("collet", "three-jaw", "four-jaw")
"""What closes on raw stock: soft jaws are bored to what is finished, and stock is not."""
COMMON_GRIP_MM, COMMON_GRIP_PER_DIAMETER = 10.0, 0.5
"""What hard jaws ask for where nothing else is stated (common practice, no source)."""
_ROWS: dict[HoldingKind, tuple[str, str]] = {
    "three-jaw": ("three-jaw scroll, hard jaws", "runout_typ_mm"),
    "soft-jaws": ("three-jaw power, soft jaws bored", "runout_typ_mm"),
    "four-jaw": ("four-jaw independent", "runout_best_mm"),
    "collet": ("collet ER", "runout_typ_mm"),
    "mandrel": ("expanding mandrel", "runout_typ_mm"),
    "between-centres": ("between centres, driver", "runout_typ_mm"),
}


def gentleness(holding: Holding) -> tuple[int, str]:
    """In which order holdings are tried."""
    return (GENTLE.index(holding.kind), holding.name)


def mismatch_of(holding: Holding) -> Cited | None:
    """Run-out in mm of a part chucked again in this holding: the shop's word, else practice.

    The upper end of what practice gives; None for arbors, which are set by hand.
    """
    if holding.runout is not None:
        return holding.runout
    found = _ROWS.get(holding.kind)
    entry = None if found is None else row("workholding", method=found[0])
    if found is None or entry is None:
        return None
    return Cited(
        float(entry[found[1]].split("-")[-1]),
        "mm",
        entry["source"],
        f"table workholding, {found[0]}",
        verified=False,
    )


HEXAGON_RUNOUT = Cited(
    0.3,
    "mm",
    "common practice",
    "run-out of what was turned, held again by the flats of a drawn hexagon, from memory",
    verified=False,
)
"""A drawn hexagon's flats are as true to its axis as the mill made them: jaws find no better."""


def on_flats(holding: Holding) -> Holding:
    """The same where it closes on a hexagon's flats: no truer than those."""
    own = mismatch_of(holding)
    truer = own is None or own.value < HEXAGON_RUNOUT.value
    return replace(holding, runout=HEXAGON_RUNOUT) if truer else holding


def takes(holding: Holding, diameter_mm: float) -> bool:
    """Whether it closes on this outside: in its range, and in that of one of its collets."""
    if holding.outside_mm is None or not within(diameter_mm, holding.outside_mm):
        return False
    return not holding.collets_mm or any(within(diameter_mm, one) for one in holding.collets_mm)


def within(value: float, limits: tuple[float, float]) -> bool:
    """Whether a diameter lies in a range, to 1 µm."""
    return limits[0] - SAME_MM <= value <= limits[1] + SAME_MM


def holdings_for_bar(
    size_mm: float, shop: Shop, *, round_stock: bool = True
) -> tuple[Holding, ...]:
    """Collets and hard jaws whose outside range takes raw stock of this size (or across flats).

    A chuck of which the shop file lists soft jaws alone has hard ones too: they are taken to ask
    for no less than common practice does.
    """
    able = [holding for holding in sorted(shop.holdings, key=gentleness) if takes(holding, size_mm)]
    hard = [
        holding
        for holding in able
        if holding.kind in HARD and (round_stock or holding.kind != "collet")
    ]
    return tuple(hard or (_hard(holding) for holding in able if holding.kind == "soft-jaws"))


def _hard(soft: Holding) -> Holding:
    """The hard jaws of the chuck that these soft ones are for."""
    return replace(
        soft,
        name=f"hard jaws in place of {soft.name}",
        kind="three-jaw",
        least_grip_mm=max(soft.least_grip_mm, COMMON_GRIP_MM),
        least_grip_per_diameter=max(soft.least_grip_per_diameter, COMMON_GRIP_PER_DIAMETER),
        runout=None,
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
