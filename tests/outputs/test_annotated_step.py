"""Which colour and which name each face gets in the annotated STEP."""

from __future__ import annotations

from dataclasses import replace

import cadquery as cq

from tests.outputs.sample import housing_report, plate_report
from turnability.analysis import analyze
from turnability.intent.model import Intent, Named, Tolerance
from turnability.outputs import _palette as palette
from turnability.outputs._marked import coloured_by, coloured_by_region, marked_segments
from turnability.outputs.annotated_step import face_marks, remarks
from turnability.report import Report
from turnability.rules.model import Where


def test_each_face_is_named_by_all_that_is_said_of_it() -> None:
    marks = {mark.face: mark for mark in face_marks(housing_report())}
    assert marks[2].name == "N1 unreached-surface; L1 uncut; F9 recess"
    assert marks[10].name == "N2 sharp-inside-corner; F7 groove"
    assert marks[8].name == "grip of setup 2; F6 cylinder"
    assert marks[18].name == "D1 bolt-circle"
    assert marks[2].step_id == 102


def test_the_worst_gives_the_colour() -> None:
    marks = {mark.face: mark for mark in face_marks(housing_report())}
    expected = {2: "error", 10: "warning", 9: "uncut", 16: "note", 8: "grip"}
    for face, mark in expected.items():
        assert marks[face].colour == palette.rgb(palette.MARKS[mark]), face  # type: ignore[index]
    assert marks[1].colour is None  # a bore of which nothing bad is said keeps its colour


def stepped_report(seat: bool = True) -> Report:
    """A shaft of 16 x 60 with a head of 40 x 10; its one shoulder is 12 high, beside a seat."""
    shaft = cq.Workplane().circle(20).extrude(10).faces(">Z").workplane().circle(8).extrude(60)
    fit = Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)), "k6", fit="k6")
    return analyze(shaft, intent=Intent(tolerances=(fit,) if seat else ()))


def test_a_corner_colours_the_shorter_of_its_surfaces_and_names_both() -> None:
    report = stepped_report()
    assert report.part.profile is not None
    (corner,) = [f for f in report.findings if f.rule == "sharp-inside-corner"]
    by_length = {s.curve.length(): s for s in report.part.profile.segments}
    shoulder, shaft = by_length[12.0], by_length[60.0]
    assert {*corner.where.segments} == {shoulder.id, shaft.id}
    marks = {mark.face: mark for mark in face_marks(report)}
    (face,), (round_face,) = shoulder.faces, shaft.faces
    assert marks[face].colour == palette.rgb(palette.MARKS["warning"])
    assert marks[face].layer == "turnability warning"
    assert marks[round_face].layer in (None, "turnability grip"), "neither uncut nor a warning"
    for both in (face, round_face):
        assert f"{corner.id} sharp-inside-corner; L1 uncut" in marks[both].name
    drawn = marked_segments(report)
    assert drawn[shoulder.id] == "warning"
    assert drawn.get(shaft.id) in (None, "grip")


def test_a_shoulder_does_not_look_uncut_for_what_a_nose_leaves_at_its_foot() -> None:
    report = stepped_report(seat=False)
    profile, reach = report.part.profile, report.reach
    assert profile is not None
    assert reach is not None
    (left,) = reach.left
    assert left.causes == ("nose-radius",)
    (shoulder,) = [s for s in profile.segments if s.curve.length() == 12.0]
    mark = next(mark for mark in face_marks(report) if mark.face in shoulder.faces)
    assert mark.layer == "turnability note"
    assert "L1 uncut" in mark.name
    assert coloured_by_region(left, profile) == ()
    assert coloured_by_region(replace(left, causes=("blade-width",)), profile) == (shoulder.id,)
    z, r = shoulder.curve.start
    half = replace(left, polygon=((z, r), (z + 1.0, r), (z, r + 6.0), (z, r)))
    assert shoulder.id in coloured_by_region(half, profile)


def test_what_runs_over_half_of_a_surface_colours_it() -> None:
    report = stepped_report()
    assert report.part.profile is not None
    (shaft,) = [s for s in report.part.profile.segments if s.curve.length() == 60.0]
    (high,) = [s for s in report.part.profile.segments if s.curve.length() == 8.0]
    names = (shaft.id, high.id)

    def coloured(along: float) -> tuple[str, ...]:
        return coloured_by(Where(names, z_mm=(0.0, along), diameter_mm=(16.0, 16.0)), profile)

    profile = report.part.profile
    assert coloured(30.0) == tuple(s.id for s in profile.segments if s.id in names)
    assert coloured(29.9) == (high.id,)
    assert coloured(1.0) == (high.id,)
    assert coloured_by(Where(names), profile) == names


def test_a_part_without_axis_shows_what_the_finding_shows() -> None:
    (mark,) = face_marks(plate_report())
    assert (mark.face, mark.step_id, mark.name) == (1, 12, "N1 not-axisymmetric")


def test_layers_are_named_after_the_worst() -> None:
    marks = {mark.face: mark.layer for mark in face_marks(housing_report())}
    assert (marks[2], marks[10], marks[8]) == (
        "turnability error",
        "turnability warning",
        "turnability grip",
    )
    assert marks[1] is None


def test_what_is_said_stands_in_remarks_on_its_faces() -> None:
    report = housing_report()
    said = {remark.name: remark for remark in remarks(report)}
    finding = said["N1 unreached-surface"]
    assert finding.faces == (2, 3)
    assert finding.text == report.findings[0].message
    assert dict(finding.attributes) == {
        "turnability rule": "unreached-surface",
        "turnability level": "error",
        "turnability message": report.findings[0].message,
        "turnability change": "Give the recess corners a radius of 0.4 mm "
        "(proven by analysing the changed part)",
        "turnability basis": "Reach of every tool of the shop from either end.",
    }
    assert ("turnability cause", "nose-radius") in said["L1 uncut"].attributes
    assert said["F7 groove"].text == "groove, ⌀54–60, z 86 to 92 mm"
    assert said["D1 bolt-circle"].faces == (18,)
    marked = {mark.face for mark in face_marks(report)}
    assert {face for remark in remarks(report) for face in remark.faces} == marked
