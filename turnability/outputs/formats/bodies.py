"""The annotated STEP with bodies beside the part: uncut regions, what jaws hold, the stock.

They stand in a product of their own, which the part's own tree does not know, in the part's own
coordinates.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs._bodies import bodies_of
from turnability.outputs.annotated_step import face_marks, remarks, solids_from
from turnability.part.writing.write import write_annotated

if TYPE_CHECKING:
    from turnability.part.reading.read import ReadSolid
    from turnability.report import Report

NAME = "annotated STEP with bodies"
SUFFIX = ".bodies.step"


def write(report: Report, target: Path) -> bool:
    """Write the file; nothing (False) for a shape that came from no file."""
    path = report.part.source.path
    return path is not None and _written(report, Path(path), target)


def write_shape(report: Report, shape: object, target: Path) -> bool:
    """Write a shape from memory, as the annotated STEP does, with the bodies."""
    return _written(report, solids_from(report, shape), target)


def _written(report: Report, source: Path | Sequence[ReadSolid], target: Path) -> bool:
    from turnability.whole_files import make_folder

    make_folder(target.parent)
    unit = report.part.source.length_unit
    said = remarks(report)
    write_annotated(source, target, face_marks(report), said, bodies_of(report), unit)
    return True
