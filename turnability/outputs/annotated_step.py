"""The part's own STEP file again, its faces coloured and named by what concerns them.

A face's colour is that of the worst thing said of it (the drawing's key shows the colours; what is
said of a corner colours the shorter of its faces), its layer is named after it; a face without a
name gets one that lists all of it: "N1 unreached-surface; L1 uncut; grip of setup 2; F3 groove".
Findings, uncut regions, grips, features and departures are shape aspects on their faces, with what
is said of them as attributes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._marked import (
    coloured_by,
    coloured_by_region,
    gripped_segments,
    mark_of,
)
from turnability.outputs._phrases import proof_text
from turnability.outputs._words import standing_words
from turnability.part.writing.write import Mark, Remark, write_annotated
from turnability.rules.speak import nearest_text
from turnability.units import length_text, number_text, span_text

if TYPE_CHECKING:
    from turnability.part.reading.read import ReadSolid
    from turnability.report import Report
    from turnability.rules.model import Finding

NAME = "annotated STEP"
SUFFIX = ".annotated.step"
_TITLE = "turnability "
"""Before the titles of attributes and layers, which other programs mix with those of their own."""


def write(report: Report, target: Path) -> bool:
    """Write the annotated file; nothing (False) for a shape that came from no file."""
    from turnability.whole_files import make_folder

    path = report.part.source.path
    if path is None:
        return False
    make_folder(target.parent)
    write_annotated(Path(path), target, face_marks(report), remarks(report))
    return True


def write_shape(report: Report, shape: object, target: Path) -> bool:
    """Write a shape from memory (as `analyze` takes it) with what its report says of its faces.

    Where the shape holds several solids all are written, and the report's own is marked.
    """
    from turnability.whole_files import make_folder

    make_folder(target.parent)
    write_annotated(solids_from(report, shape), target, face_marks(report), remarks(report))
    return True


def solids_from(report: Report, shape: object) -> tuple[ReadSolid, ...]:
    """The solids of a shape from memory, by the name that the report's part has."""
    from turnability.part.reading.shape import solids_of

    named = report.part.source.product
    return tuple(
        replace(solid, source=replace(solid.source, product=solid.source.product or named))
        for solid in solids_of(shape)
    )


def face_marks(report: Report) -> tuple[Mark, ...]:
    """One mark for each face that anything is said of, by face index."""
    said: dict[int, list[tuple[palette.Mark | None, str]]] = {}
    for mark, remark, coloured in _said(report):
        for face in remark.faces:
            said.setdefault(face, []).append((mark if face in coloured else None, remark.name))
    step_ids = {face.index: face.step_id for face in report.part.faces}
    marks = []
    for index in sorted(said):
        worst = _worst([mark for mark, _ in said[index] if mark])
        marks.append(
            Mark(
                solid=report.part.source.solid,
                face=index,
                step_id=step_ids.get(index),
                name="; ".join(words for _, words in said[index]),
                colour=worst and palette.rgb(palette.MARKS[worst]),
                layer=worst and _TITLE + worst,
            )
        )
    return tuple(marks)


def remarks(report: Report) -> tuple[Remark, ...]:
    """All that is said of faces: findings, uncut regions, grips, features, departures."""
    return tuple(remark for _, remark, _ in _said(report))


def _said(report: Report) -> Iterator[tuple[palette.Mark | None, Remark, frozenset[int]]]:
    """What is said of which faces, with the mark that it gives and the faces that it colours."""
    profile = report.part.profile
    segments = profile.segments if profile else ()
    faces_of = {segment.id: segment.faces for segment in segments}
    solid, inch = report.part.source.solid, report.inch

    def remark(
        faces: Iterable[int], name: str, text: str, attributes: Iterable[tuple[str, str]] = ()
    ) -> Remark:
        titled = tuple((_TITLE + title, value) for title, value in attributes)
        return Remark(solid, tuple(dict.fromkeys(faces)), name, text, titled)

    def faces(ids: Iterable[str]) -> list[int]:
        return [face for name in ids for face in faces_of.get(name, ())]

    for finding in report.findings:
        where = finding.where
        along = faces(where.segments)
        at = {*where.faces} - {*along}
        if profile is not None:
            at |= {*faces(coloured_by(where, profile))}
        name = f"{finding.id} {finding.rule}"
        told = remark([*where.faces, *along], name, finding.message, _told(finding))
        yield mark_of(finding), told, frozenset(at)
    for region in report.reach.left if report.reach else ():
        far = f"{length_text(region.deepest_mm, inch)} from what was cut at most"
        left = f"left uncut: {far}; {nearest_text(region.own_causes, region.nearest_tool)}"
        assert profile is not None
        at = {*faces(coloured_by_region(region, profile))}
        facts = [("uncut", left), ("cause", ", ".join(region.causes))]
        if region.nearest_tool:
            facts.append(("nearest tool", region.nearest_tool))
        uncut = remark(faces(region.segments), f"{region.id} uncut", left, facts)
        yield "uncut", uncut, frozenset(at)
    for setup in report.setups:
        held = faces(gripped_segments(report, setup))
        how = f"{setup.grip.kind}, {setup.toward_chuck} end toward the chuck"
        grip = remark(held, f"grip of setup {setup.order}", how, [("grip", how)])
        yield "grip", grip, frozenset(held)
    for feature in report.features:
        across = "–".join(dict.fromkeys(number_text(d, inch) for d in feature.diameter_mm))
        place = f"{feature.kind}, ⌀{across}, z {span_text(feature.z_mm, inch)}"
        designations = "; ".join(match.designation for match in feature.matches)
        facts = [("feature", place), *([("matches", designations)] if designations else [])]
        named = remark(feature.faces, f"{feature.id} {feature.kind}", place, facts)
        yield None, named, frozenset()
    for departure in report.part.departures:
        what = f"{departure.called}, not turned, z {span_text(departure.z_mm, inch)}"
        name = f"{departure.id} {departure.called}"
        yield None, remark(departure.faces, name, what, [("departure", what)]), frozenset()


def _told(finding: Finding) -> Iterator[tuple[str, str]]:
    yield "rule", finding.rule
    yield "level", finding.level
    yield "message", finding.message
    if finding.change is not None:
        proven = proof_text(finding.change.parameter) if finding.change.proven else "not proven"
        yield "change", f"{finding.change.text} ({proven})"
    yield "basis", finding.basis.text
    if standing := standing_words(finding):
        yield "standing", "; ".join(standing)


def _worst(marks: list[palette.Mark]) -> palette.Mark | None:
    return next((mark for mark in palette.MARKS if mark in marks), None)
