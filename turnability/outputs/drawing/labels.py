"""Labels in rows beside the drawing, each near what it names and none over another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from turnability.outputs._palette import FAINT_INK, PAPER
from turnability.outputs.drawing.sheet import Sheet, text_width

SIZE_PX = 12.0
ROW_PX = 22.0
FAN_PX = 34.0
"""Room in which leaders run aslant from their label to above what they point at."""
GAP_PX = 7.0


@dataclass(frozen=True, slots=True)
class Label:
    """`x`, `y` is what it points at; with a `fill` it is a coloured tag, without plain words."""

    words: str
    x: float
    y: float
    fill: str | None = None
    ink: str = FAINT_INK

    @property
    def width(self) -> float:
        """Width with its padding, px."""
        return text_width(self.words, SIZE_PX) + 10.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A label, its left edge and its row (0 nearest the drawing)."""

    label: Label
    left: float
    row: int


def rows_for(labels: Sequence[Label], room: float) -> int:
    """How many rows the labels need in that width."""
    total = sum(label.width + GAP_PX for label in labels)
    return max(1, math.ceil(total / (0.94 * room)))


def place(labels: Sequence[Label], left: float, right: float) -> list[Placed]:
    """Spread the labels between two edges so that none covers another, each as near as can be."""
    ordered = sorted(labels, key=lambda label: label.x)
    rows = rows_for(ordered, right - left)
    placed = []
    for row in range(rows):
        of_row = ordered[row::rows]
        for label, at in zip(of_row, _spread(of_row, left, right), strict=True):
            placed.append(Placed(label, at, row))
    return placed


def _spread(labels: Sequence[Label], left: float, right: float) -> list[float]:
    """Left edges with the least moving about: neighbours that would overlap move as one."""
    blocks: list[tuple[float, float, list[Label]]] = []  # left edge, width, labels
    for label in labels:
        block = (label.x - label.width / 2.0, label.width + GAP_PX, [label])
        block = (_kept(block[0], block[1], left, right), block[1], block[2])
        while blocks and blocks[-1][0] + blocks[-1][1] > block[0]:
            before = blocks.pop()
            together = before[2] + block[2]
            width = before[1] + block[1]
            wish, run = 0.0, 0.0
            for one in together:
                wish += one.x - one.width / 2.0 - run
                run += one.width + GAP_PX
            block = (_kept(wish / len(together), width, left, right), width, together)
        blocks.append(block)
    edges = []
    for at, _, together in blocks:
        run = at
        for one in together:
            edges.append(run)
            run += one.width + GAP_PX
    return edges


def _kept(at: float, width: float, left: float, right: float) -> float:
    return max(left, min(at, right - width))


def draw(sheet: Sheet, placed: Sequence[Placed], edge: float, upward: bool) -> None:
    """Paint leaders, then labels. `edge` is the y where the drawing ends on that side."""
    away = -1.0 if upward else 1.0
    knee = edge + away * 8.0

    def middle(one: Placed) -> float:
        return edge + away * (8.0 + FAN_PX + (one.row + 0.5) * ROW_PX)

    for one in placed:
        label = one.label
        begin = (one.left + label.width / 2.0, middle(one) - away * 9.0)
        sheet.polyline([begin, (label.x, knee), (label.x, label.y)], label.fill or FAINT_INK, 0.8)
        sheet.dot(label.x, label.y, label.fill or FAINT_INK)
    for one in placed:
        label, y = one.label, middle(one)
        sheet.box(one.left, y - 9.0, label.width, 18.0, fill=label.fill or PAPER, r=9.0)
        sheet.text(
            one.left + label.width / 2.0,
            y + 4.2,
            label.words,
            size=SIZE_PX,
            colour=label.ink,
            bold=label.fill is not None,
            anchor="middle",
        )


def height(labels: Sequence[Label], room: float) -> float:
    """How much of the sheet the labels of one side take up, px."""
    return 0.0 if not labels else 8.0 + FAN_PX + ROW_PX * rows_for(labels, room)
