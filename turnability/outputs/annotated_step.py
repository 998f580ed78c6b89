"""The part's own STEP file again, its faces coloured and named by what concerns them.

A face's colour is that of the worst thing said of it (the drawing's key shows the colours); its
name lists all of it: "N1 unreached-surface; L1 uncut; grip of setup 2; F3 groove".
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._marked import gripped_segments
from turnability.part.writing.write import Mark, write_annotated

if TYPE_CHECKING:
    from turnability.report import Report

NAME = "annotated STEP"
SUFFIX = ".annotated.step"


def write(report: Report, target: Path) -> bool:
    """Write the annotated file; nothing (False) for a shape that came from no file."""
    from turnability.outputs._whole import make_folder

    path = report.part.source.path
    if path is None:
        return False
    make_folder(target.parent)
    write_annotated(Path(path), target, face_marks(report))
    return True


def face_marks(report: Report) -> tuple[Mark, ...]:
    """One mark for each face that anything is said of, by face index."""
    said: dict[int, list[tuple[palette.Mark | None, str]]] = {}

    def say(faces: Iterable[int], mark: palette.Mark | None, words: str) -> None:
        for face in dict.fromkeys(faces):
            said.setdefault(face, []).append((mark, words))

    segments = report.part.profile.segments if report.part.profile else ()
    faces_of = {segment.id: segment.faces for segment in segments}

    def faces(ids: Iterable[str]) -> list[int]:
        return [face for name in ids for face in faces_of.get(name, ())]

    for finding in report.findings:
        concerned = [*finding.where.faces, *faces(finding.where.segments)]
        say(concerned, finding.level, f"{finding.id} {finding.rule}")
    for region in report.reach.left if report.reach else ():
        say(faces(region.segments), "uncut", f"{region.id} uncut")
    for setup in report.setups:
        say(faces(gripped_segments(report, setup)), "grip", f"grip of setup {setup.order}")
    for feature in report.features:
        say(feature.faces, None, f"{feature.id} {feature.kind}")
    for departure in report.part.departures:
        say(departure.faces, None, f"{departure.id} {departure.kind}")
    step_ids = {face.index: face.step_id for face in report.part.faces}
    return tuple(
        Mark(
            solid=report.part.source.solid,
            face=index,
            step_id=step_ids.get(index),
            name="; ".join(words for _, words in said[index]),
            colour=_worst([mark for mark, _ in said[index] if mark]),
        )
        for index in sorted(said)
    )


def _worst(marks: list[palette.Mark]) -> tuple[float, float, float] | None:
    order = list(palette.MARKS)
    return palette.rgb(palette.MARKS[min(marks, key=order.index)]) if marks else None
