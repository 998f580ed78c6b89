"""What every rule says of itself: why, limit, basis, with its own examples drawn.

Made from the rules, not from a report, so it is no member of the family of outputs.
"""

from __future__ import annotations

from pathlib import Path

from turnability.outputs.rule_page.page import page
from turnability.whole_files import write_whole


def write_page(target: Path, inch: bool = False) -> None:
    """Write one HTML page of all rules, whole or not at all. Raises OutputUnwritable."""
    write_whole(target, page(inch))
