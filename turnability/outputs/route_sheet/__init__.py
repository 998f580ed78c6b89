"""The route sheet: how the plan is carried out at the lathe, as text or as a page to print.

Made from the report and the shop that it was made with, so it is no member of the family of
outputs. Speeds, feeds and grips on it are values to begin with, for a qualified machinist.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.shop.model import Shop

SUFFIX = ".route.html"


def route_text(report: Report, shop: Shop, width: int | None = None) -> str:
    """The sheet as lines of text; `width`: those longer than so many columns are folded."""
    from turnability.outputs.route_sheet.route import route_of
    from turnability.outputs.route_sheet.text import folded, lines_of

    lines = lines_of(route_of(report, shop))
    return "\n".join(lines if width is None else folded(lines, width))


def write_route(report: Report, shop: Shop, target: Path) -> None:
    """Write the sheet as one HTML page for A4 or letter, whole or not at all.

    Raises OutputUnwritable.
    """
    from turnability.outputs.route_sheet.page import page
    from turnability.outputs.route_sheet.route import route_of
    from turnability.whole_files import write_whole

    write_whole(target, page(route_of(report, shop), report, shop))
