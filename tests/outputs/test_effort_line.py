"""The estimate's line in the summary."""

from __future__ import annotations

from turnability.outputs._effort import effort_text
from turnability.setups.effort.model import Effort, EffortPart, Money

PARTS = (
    EffortPart("setups", 30.0, "order", "2"),
    EffortPart("programming", 50.0, "order", "3"),
    EffortPart("cutting", 12.4, "piece", "1"),
    EffortPart("threads", 0.2, "piece", "1"),
)


def test_the_larger_parts_come_first_and_trifles_are_left_out() -> None:
    text = effort_text(Effort(4, "bench", PARTS, 80.0, 12.6, 32.6, None, "common practice"))
    assert text.startswith(
        "about 33 min a piece of 4: once 80 (programming 50, setups 30), each 13 (cutting 13)"
    )
    assert text.endswith("no quotation")


def test_what_is_printed_adds_up() -> None:
    """By hand: 33.5 and 7.3 are 40.8, told as 41: 34 once, so 7 each; of 7.3 half a minute of
    changes and 2.4 of loading lose more than 4.4 of cutting, and make 7 with it."""
    parts = (
        EffortPart("setups", 15.0, "order", "1"),
        EffortPart("tools", 18.5, "order", "4"),
        EffortPart("cutting", 4.4, "piece", "1"),
        EffortPart("loading", 2.4, "piece", "1"),
        EffortPart("tool changes", 0.5, "piece", "1"),
    )
    text = effort_text(Effort(1, None, parts, 33.5, 7.3, 40.8, None, "common practice"))
    assert text.startswith(
        "about 41 min a piece: once 34 (tools 19, setups 15), each 7 (cutting 4, loading 2, tool "
        "changes 1);"
    )


def test_money_is_told_where_there_is_any() -> None:
    money = Money("EUR", 41.5, 3.25)
    text = effort_text(Effort(1, None, PARTS, 80.0, 12.6, 92.6, money, "common practice"))
    assert text.startswith("about 93 min a piece, EUR 41.50 and 3.25 of stock: ")
