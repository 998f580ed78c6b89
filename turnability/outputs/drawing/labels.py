"""Labels in rows beside the drawing, each near what it names and none over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.outputs._palette import FAINT_INK, PAPER
from turnability.outputs.drawing.sheet import Sheet, text_width

SIZE_PX = 12.0
ROW_PX = 22.0
FAN_PX = 34.0
"""Room in which leaders run aslant from their label to above what they point at."""
GAP_PX = 7.0
STEM_PX = 5.0
"""How far the leader of a farther row keeps from the labels that it passes."""
MOST_ROWS = 4


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
    """A label, the x of its middle, and its row (0 nearest the drawing)."""

    label: Label
    middle: float
    row: int


def rows_for(labels: Sequence[Label], room: float) -> int:
    """How many rows the labels need in that width, `MOST_ROWS` at most."""
    ordered = sorted(labels, key=lambda label: label.x)
    return next((n for n in range(1, MOST_ROWS) if _fit(ordered, n, room)), MOST_ROWS)


def fit(labels: Sequence[Label], room: float) -> bool:
    """Whether the labels have room in that width, in as many rows as there may be."""
    ordered = sorted(labels, key=lambda label: label.x)
    return any(_fit(ordered, rows, room) for rows in range(1, MOST_ROWS + 1))


def _fit(ordered: Sequence[Label], rows: int, room: float) -> bool:
    ends = 0.5 * sum(label.width for label in (*ordered[:1], *ordered[-1:]))
    return sum(_steps(ordered, rows)) + ends + GAP_PX <= room


def place(labels: Sequence[Label], left: float, right: float) -> list[Placed]:
    """Spread labels between two edges: none covers another or its leader, each as near as can be.

    In order of the places they point at they take the rows in turn.
    """
    ordered = sorted(labels, key=lambda label: label.x)
    rows = rows_for(ordered, right - left)
    middles = _spread(ordered, _steps(ordered, rows), left, right)
    return [
        Placed(label, middle, i % rows)
        for i, (label, middle) in enumerate(zip(ordered, middles, strict=True))
    ]


def _steps(labels: Sequence[Label], rows: int) -> list[float]:
    """Least distances between the middles of neighbours, whatever rows they are in.

    Labels of one row keep apart by their widths; a leader from a farther row keeps clear of the
    labels in the nearer ones. What two labels need is shared evenly by the steps between them.
    """
    steps = [0.0] * max(len(labels) - 1, 0)
    for i in range(len(labels)):
        for j in range(i + 1, min(i + rows, len(labels) - 1) + 1):
            a, b = labels[i], labels[j]
            if j - i == rows:
                needed = 0.5 * (a.width + b.width) + GAP_PX
            else:
                nearer = a if i % rows < j % rows else b
                needed = 0.5 * nearer.width + STEM_PX
            for k in range(i, j):
                steps[k] = max(steps[k], needed / (j - i))
    return steps


def _spread(
    labels: Sequence[Label], steps: Sequence[float], left: float, right: float
) -> list[float]:
    """Middles with the least moving about: neighbours that would come too near move as one."""
    blocks: list[_Block] = []
    for i, label in enumerate(labels):
        block = _Block([label], [0.0], left, right)
        while blocks and blocks[-1].last + steps[i - len(block.labels)] > block.first + 1e-9:
            before = blocks.pop()
            begin = before.offsets[-1] + steps[i - len(block.labels)]
            block = _Block(
                [*before.labels, *block.labels],
                [*before.offsets, *(begin + offset for offset in block.offsets)],
                left,
                right,
            )
        blocks.append(block)
    return [block.first + offset for block in blocks for offset in block.offsets]


class _Block:
    """Labels that stand at fixed distances from the first, as near their places as can be."""

    def __init__(
        self, labels: list[Label], offsets: list[float], left: float, right: float
    ) -> None:
        self.labels, self.offsets = labels, offsets
        pairs = list(zip(labels, offsets, strict=True))
        wish = sum(label.x - offset for label, offset in pairs) / len(labels)
        most = right - max(offset + 0.5 * label.width for label, offset in pairs)
        least = left + max(0.5 * label.width - offset for label, offset in pairs)
        self.first = max(least, min(wish, most))
        self.last = self.first + offsets[-1]


def draw(sheet: Sheet, placed: Sequence[Placed], edge: float, upward: bool) -> None:
    """Paint leaders, then labels. `edge` is the y where the drawing ends on that side."""
    away = -1.0 if upward else 1.0
    knee = edge + away * 8.0
    fan = knee + away * FAN_PX

    for one in placed:
        label = one.label
        colour = label.fill or FAINT_INK
        y = fan + away * (one.row * ROW_PX + 2.0)
        leader = [(one.middle, y), (one.middle, fan), (label.x, knee), (label.x, label.y)]
        sheet.polyline(leader, FAINT_INK, 0.8)
        sheet.dot(label.x, label.y, colour)
    for one in placed:
        label, y = one.label, fan + away * (one.row + 0.5) * ROW_PX
        left = one.middle - 0.5 * label.width
        sheet.box(left, y - 9.0, label.width, 18.0, fill=label.fill or PAPER, r=9.0)
        sheet.text(
            one.middle,
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
