"""The shop as a sheet: every tool drawn to scale with its limits, in one HTML file.

Made from the shop, not from a report, so it is no member of the family of outputs.
"""

from __future__ import annotations

from pathlib import Path

from turnability.outputs.shop_sheet.page import page
from turnability.shop.model import Shop
from turnability.whole_files import write_whole

SUFFIX = ".shop.html"


def write_sheet(shop: Shop, target: Path, source: str) -> None:
    """Write the sheet of a shop read from `source`, whole or not at all.

    Raises OutputUnwritable.
    """
    write_whole(target, page(shop, source))
