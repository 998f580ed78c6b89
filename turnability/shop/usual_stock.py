"""The usual sizes of bars, hexagons, tubes and pipes by their standards, each named as it is sold.

A tube is named by its outside and wall, a pipe by a nominal size that is no dimension of it, a bar
by its diameter. Mills differ: what is delivered is on the supplier's list.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from typing import Literal

from turnability.shop.books import Row, rows
from turnability.shop.model import StockSize
from turnability.units import length_text

Form = Literal["bar", "tube", "hex", "pipe"]
DN_OF_NPS = {
    "1/8": 6, "1/4": 8, "3/8": 10, "1/2": 15, "3/4": 20, "1": 25, "1-1/4": 32, "1-1/2": 40, "2": 50,
    "2-1/2": 65, "3": 80, "3-1/2": 90, "4": 100, "5": 125, "6": 150, "8": 200, "10": 250, "12": 300,
}  # fmt: skip
"""The same nominal sizes in millimetres (ASME B36.10M, ISO 6708; from memory)."""


@cache
def usual_sizes(what: str) -> tuple[StockSize, ...]:
    """All sizes of one of `USUAL`. Raises KeyError for another word."""
    return tuple(_MAKERS[what]())


def usual_tubes(inch: bool) -> tuple[StockSize, ...]:
    """Tubes and pipes that are usual where people read inches, or millimetres."""
    names = ("ASTM A513", "ASME B36.10M") if inch else ("EN 10305-1", "ASME B36.10M")
    return tuple(size for name in names for size in usual_sizes(name))


def hollow_text(name: str, across_mm: float, inner_mm: float, inch: bool) -> str:
    """Outside, wall and inside as a mill's list has them; of a pipe its nominal size in mm too.

    In mm the standard rounds a pipe's outside to 0.1 and its wall to 0.01.
    """
    wall = (across_mm - inner_mm) / 2.0
    nominal = ""
    size = name.removeprefix("pipe NPS ").split(" ")[0]
    if not inch and name.startswith("pipe NPS ") and size in DN_OF_NPS:
        across_mm, wall = round(across_mm, 1), round(wall, 2)
        inner_mm = round(across_mm - 2.0 * wall, 2)
        nominal = f"DN {DN_OF_NPS[size]}, "
    return (
        f"{nominal}outside {length_text(across_mm, inch)}, wall {length_text(wall, inch)}, inside "
        f"{length_text(inner_mm, inch)}"
    )


def _metric_bars(kind: str, finish: Literal["bright", "hot-rolled"]) -> Iterator[StockSize]:
    word = "bright bar" if finish == "bright" else "hot rolled bar"
    for row in rows("stock_bar_metric"):
        if row["kind"].startswith(kind):
            name = f"{word} {float(row['d']):g} mm"
            yield StockSize("bar", name, float(row["d"]), None, _source(row), finish=finish)


def _inch_bars() -> Iterator[StockSize]:
    for row in rows("stock_bar_inch"):
        # the mm column is rounded; an inch is 25.4 mm exactly
        across = 25.4 * float(row["inch"])
        yield StockSize(
            "bar", f"bright bar {row['size']} in", across, None, _source(row), finish="bright"
        )


def _hexagons(unit: str) -> Iterator[StockSize]:
    for row in rows("stock_hex"):
        if row["unit"] == unit:
            name = f"hex {row['size']} {unit} across flats"
            yield StockSize("hex", name, float(row["af_mm"]), None, _source(row), finish="bright")


def _tubes(unit: str, word: str) -> Iterator[StockSize]:
    scale = 25.4 if unit == "in" else 1.0
    for row in rows("stock_tube"):
        if row["unit"] == unit:
            outside, wall = scale * float(row["od"]), scale * float(row["wall"])
            yield StockSize(
                "tube",
                f"{word} {row['od']} {unit} × {row['wall']} {unit} wall",
                outside,
                outside - 2.0 * wall,
                _source(row),
                finish="bright",
            )


def _pipes() -> Iterator[StockSize]:
    for row in rows("stock_pipe_b3610"):
        outside, wall = 25.4 * float(row["od_in"]), 25.4 * float(row["wall_in"])
        yield StockSize(
            "pipe",
            f"pipe NPS {row['nps']} schedule {row['schedule']}",
            outside,
            outside - 2.0 * wall,
            _source(row),
            finish="hot-rolled",
        )


def _source(row: Row) -> str:
    known = row["verified"] == "yes"
    return row["source"] if known else f"{row['source']}, from memory"


_MAKERS: dict[str, Callable[[], Iterator[StockSize]]] = {
    "EN 10278": lambda: _metric_bars("bright", "bright"),
    "EN 10060": lambda: _metric_bars("hot rolled", "hot-rolled"),
    "inch bar": _inch_bars,
    "metric hex": lambda: _hexagons("mm"),
    "inch hex": lambda: _hexagons("in"),
    "EN 10305-1": lambda: _tubes("mm", "precision tube"),
    "ASTM A513": lambda: _tubes("in", "DOM tube"),
    "ASME B36.10M": _pipes,
}
USUAL = tuple(_MAKERS)
FORM_OF: dict[str, Form] = {
    "EN 10278": "bar",
    "EN 10060": "bar",
    "inch bar": "bar",
    "metric hex": "hex",
    "inch hex": "hex",
    "EN 10305-1": "tube",
    "ASTM A513": "tube",
    "ASME B36.10M": "pipe",
}
