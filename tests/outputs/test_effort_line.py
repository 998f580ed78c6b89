"""The estimate's line in the summary."""

from __future__ import annotations

from turnability.outputs._effort import effort_text
from turnability.setups.model import Effort, EffortPart, Money

PARTS = (
    EffortPart("setups", 30.0, "order", "2"),
    EffortPart("programming", 50.0, "order", "3"),
    EffortPart("cutting", 12.4, "piece", "1"),
    EffortPart("threads", 0.2, "piece", "1"),
)


def test_the_larger_parts_come_first_and_trifles_are_left_out() -> None:
    text = effort_text(Effort(4, "bench", PARTS, 80.0, 12.6, 32.6, None, "common practice"))
    assert text.startswith(
        "about 33 min a piece of 4: once 80 (programming 50, setups 30), each 13 (cutting 12)"
    )
    assert text.endswith("no quotation")


def test_money_is_told_where_there_is_any() -> None:
    money = Money("EUR", 41.5, 3.25)
    text = effort_text(Effort(1, None, PARTS, 80.0, 12.6, 92.6, money, "common practice"))
    assert text.startswith("about 93 min a piece, EUR 41.50 and 3.25 of stock: ")
