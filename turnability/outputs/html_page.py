"""The report as one page for a browser: whole in itself, made from the report's document."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report

NAME = "report page"
SUFFIX = ".turnability.html"


def write(report: Report, target: Path) -> bool:
    """Write the page; with the solid's own mesh where its file is still what it was."""
    from turnability.outputs.report_page.page import page
    from turnability.part.apart.mesh import mesh_of

    write_whole(target, page(report.document(), mesh_of(report.part)))
    return True
