"""The types that the room `stock` hands up."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class StockPiece:
    """A piece of bar or tube cut for one part; `why` says why it is (not) taken.

    `length_mm` is what one part takes. Of a bar that is `fed` through the spindle that is what it
    is parted off with, and `stub_mm`, what the first chucking holds, is the rest of the bar. Else
    stock is sawn for `parts` parts at once, and each takes its share of the stub that they have in
    common. `per_bar` parts come from a bar of
    `bar_length_mm`; None where no length is stated. `cost` is in the shop's currency, None where
    it states no price. `finish` as the list says. `own_outside`: its outside is the part's, and
    stays as it comes.
    """

    form: Literal["bar", "tube", "hex", "pipe"]
    name: str
    across_mm: float
    inner_diameter_mm: float | None
    length_mm: float
    mass_kg: float | None
    why: str
    stub_mm: float = 0.0
    bar_length_mm: float | None = None
    per_bar: int | None = None
    cost: float | None = None
    own_outside: bool = False
    finish: Literal["bright", "hot-rolled"] | None = None
    fed: bool = False
    parts: int = 1

    @property
    def through_mm(self) -> float:
        """Across what goes through a spindle: a hexagon's corners."""
        return across_corners_mm(self.form, self.across_mm)

    @property
    def turned_mm(self) -> float:
        """Length that one part takes beside what is held."""
        return self.length_mm if self.fed else self.length_mm - self.stub_mm / self.parts

    @property
    def put_in_mm(self) -> float:
        """Length of stock that one part stands on, what is held among it."""
        return self.turned_mm + self.stub_mm

    @property
    def sawn_mm(self) -> float | None:
        """Length that stock is sawn to, for all its parts; None of a bar that is fed."""
        return None if self.fed else self.parts * self.turned_mm + self.stub_mm


@dataclass(frozen=True, slots=True)
class Split:
    """What making a flange apart would save: where, and the two pieces that would be bought.

    `z_mm` is the flange, `core_mm` the diameter of what passes through it. Grips are left out of
    the masses, as both ways have them. `saved_mass_kg` is None without a density, `saved_cost`
    without prices.
    """

    at_z_mm: float
    saved_mass_kg: float | None
    saved_fraction: float
    z_mm: tuple[float, float] = (0.0, 0.0)
    flange_mm: float = 0.0
    core_mm: float = 0.0
    core_stock: str = ""
    flange_stock: str = ""
    saved_cost: float | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """The stock chosen (None where no size of the list holds the part), the others, the waste.

    `removed_fraction` is the share of the piece, its grip included, that is not in the part.
    `chosen_by` says what decided. `wanted_mm` is the least bar that would hold the part, where none
    listed does: it has to be bought.
    """

    choice: StockPiece | None
    alternatives: tuple[StockPiece, ...]
    removed_fraction: float | None
    split: Split | None = None
    chosen_by: str | None = None
    wanted_mm: float | None = None


def across_corners_mm(form: str, across_mm: float) -> float:
    """The circle round a size of this form: of a hexagon, known by its flats, its corners'."""
    return across_mm * 2.0 / math.sqrt(3.0) if form == "hex" else across_mm


def raw_circle_mm(stock: Stock | None, largest_mm: float) -> float:
    """The circle that what work begins from turns in: of a hexagon its corners'."""
    if stock is not None and stock.choice is not None:
        return stock.choice.through_mm
    return raw_across_mm(stock, largest_mm)


def raw_across_mm(stock: Stock | None, largest_mm: float) -> float:
    """The stock's size in mm that work begins from: chosen, else to be bought, else the part's."""
    if stock is not None and stock.choice is not None:
        return stock.choice.across_mm
    wanted = stock.wanted_mm if stock is not None else None
    return largest_mm if wanted is None else wanted
