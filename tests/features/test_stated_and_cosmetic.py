"""Threads that only ends or words tell of: candidates, statements, and the room beside a thread.

Sizes of reliefs: DIN 76-1 (M12: 9.4 diameter, 3.9 to 6.1 long; M6: 4.4, 2.1 to 3.5). Tap drills:
M8 6.8, M10 8.5 (d - P). Designations: ISO 965-1, ISO 2904, ASME B1.1, ISO 228-1, ASME B1.20.1.
"""

from __future__ import annotations

from typing import Any

import pytest

from turnability.analysis.stages import walk
from turnability.features.drawing import drawn
from turnability.features.model import Feature, ThreadStatement
from turnability.features.recognise import recognise
from turnability.features.standards.designations import parse
from turnability.intent.model import Intent, Named, StatedThread
from turnability.part.model import Face, HelicalThread
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part, drawn_shop


@pytest.mark.parametrize(
    ("text", "form", "major", "pitch", "hand", "starts"),
    [
        ("M12", "metric", 12.0, 1.75, "right", 1),
        ("M20x1.5", "metric", 20.0, 1.5, "right", 1),
        ("M12 x 1,25 - 6g", "metric", 12.0, 1.25, "right", 1),
        ("M16-LH", "metric", 16.0, 2.0, "left", 1),
        ("M16x1.5-6g-LH", "metric", 16.0, 1.5, "left", 1),
        ("M16xPh3P1.5", "metric", 16.0, 1.5, "right", 2),
        ("Tr20x4", "trapezoidal", 20.0, 4.0, "right", 1),
        ("Tr40x14(P7)LH", "trapezoidal", 40.0, 7.0, "left", 2),
        ("1/4-20 UNC", "unified", 6.35, 1.27, "right", 1),
        ("1/4-20 UNC-2A LH", "unified", 6.35, 1.27, "left", 1),
        ("#10-24 UNC", "unified", 4.826, 25.4 / 24, "right", 1),
        ("2-56 UNC", "unified", 0.086 * 25.4, 25.4 / 56, "right", 1),
        ("1-8 UNC", "unified", 25.4, 3.175, "right", 1),
        ("1 1/8-7 UNC", "unified", 1.125 * 25.4, 25.4 / 7, "right", 1),
        ("G1/2", "pipe-parallel", 20.955, 1.814, "right", 1),
        ("G 1 1/4 A", "pipe-parallel", 41.910, 2.309, "right", 1),
        ("R1/2", "pipe-taper", 20.955, 1.814, "right", 1),
        ("1/4-18 NPT", "NPT", 13.716, 25.4 / 18, "right", 1),
    ],
)
def test_designations(
    text: str, form: str, major: float, pitch: float, hand: str, starts: int
) -> None:
    read = parse(text)
    assert read is not None
    assert (read.form, read.hand, read.starts) == (form, hand, starts)
    assert (read.major_mm, read.pitch_mm) == pytest.approx((major, pitch), abs=2e-3)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "M",
        "M2O",
        "M10x1O",
        "face 3",
        "M12x99",
        "R10",
        "knob",
        "1/0-20 UNC",
        "1/4-0 UNC",
        "MX12",
        "NPT",
    ],
)
def test_what_is_no_designation(text: str) -> None:
    assert parse(text) is None


STUD = ((0, 0), (36, 0), (36, 5), (35, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12))


def test_chamfer_and_relief_together_make_a_cosmetic_thread() -> None:
    thread = one(STUD, "thread")
    assert thread.parameters["evidence"] == "cosmetic"
    assert [m.designation for m in thread.matches] == ["M12"]
    assert thread.alternative is not None
    assert thread.alternative.kind == "cylinder"
    groove = one(STUD, "groove")
    assert [m.designation for m in groove.matches if m.standard == "DIN 76-1"] == ["A P1.75"]


@pytest.mark.parametrize(
    ("why", "drawing"),
    [
        ("no chamfer", ((0, 0), (36, 0), (36, 6), *STUD[4:])),
        ("chamfer too small for the root", (*STUD[:2], (36, 5.7), (35.7, 6), *STUD[4:])),
        ("a plain neck", (*STUD[:4], (14, 6), (14, 5.6), (10, 5.6), *STUD[7:])),
        ("relief too long", (*STUD[:4], (18, 6), (15.9, 4.7), *STUD[6:])),
        ("relief of another size", (*STUD[:4], (16, 6), (15.0, 5.2), (10, 5.2), *STUD[7:])),
    ],
)
def test_either_sign_alone_stays_a_cylinder(why: str, drawing: Any) -> None:
    features = recognise(drawn(drawing))
    assert [f.kind for f in features if f.kind == "thread"] == []
    shank = next(f for f in features if f.kind == "cylinder" and f.diameter_mm == (12, 12))
    told = shank.alternative
    assert told is not None
    assert told.kind == "thread"


@pytest.mark.parametrize("d", [11.3, 12.3, 13.0, 17.0])
def test_a_diameter_of_no_standard_is_no_candidate(d: float) -> None:
    r = d / 2
    features = recognise(drawn(((0, 0), (30, 0), (30, r - 1), (29, r), (10, r), (10, 15), (0, 15))))
    assert [f.alternative for f in features if f.diameter_mm == (d, d)] == [None]


@pytest.mark.parametrize(("drill", "mouth", "name"), [(6.8, 8.4, "M8"), (8.5, 10.5, "M10")])
def test_a_countersunk_tap_drill_hole_is_a_candidate(drill: float, mouth: float, name: str) -> None:
    deep = (mouth - drill) / 2
    bore = one(((0, drill / 2), (20 - deep, drill / 2), (20, mouth / 2), (20, 15), (0, 15)), "bore")
    assert bore.alternative is not None
    assert bore.alternative.kind == "thread"
    assert name in bore.alternative.why


def test_a_statement_stands_on_its_cylinder() -> None:
    shaft = ((0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10))
    stated = (ThreadStatement(("S3",), "M12x1.5 - LH", "intent"),)
    features = recognise(drawn(shaft), statements=stated)
    thread = next(f for f in features if f.kind == "thread")
    assert thread.segments == ("S3",)
    assert thread.parameters["evidence"] == "stated"
    assert (thread.parameters["hand"], thread.parameters["pitch_mm"]) == ("left", 1.5)
    assert [m.designation for m in thread.matches] == ["M12x1.5-LH"]
    # DIN 76-1 (from memory): the last full thread stands at most 4.5 off the shoulder at P 1.5
    assert thread.parameters["usable_length_mm"] == pytest.approx(28 - 4.5)


def test_a_modelled_thread_outranks_its_statement_and_keeps_its_words() -> None:
    shaft = ((0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10))
    stated = (ThreadStatement(("S3",), "M12", "intent"),)
    modelled = HelicalThread("outer", "right", 1, 1.75, 12.0, 9.85, (30.0, 30.0), (14.0, 40.0), ())
    features = recognise(drawn(shaft), (modelled,), stated)
    thread = next(f for f in features if f.kind == "thread")
    assert thread.parameters["evidence"] == "helix"
    assert thread.parameters["designation"] == "M12"


def test_room_in_a_blind_hole_and_before_a_shoulder() -> None:
    """Distances by hand: the hole's floor lies 9 mm below the thread, 6 pitches of 1.5."""
    hole = ((0, 0), (10, 0), (10, 4.188), (40, 4.188), (40, 12), (0, 12))
    modelled = HelicalThread("inner", "right", 1, 1.5, 10.0, 8.376, (30.0, 30.0), (19.0, 40.0), ())
    thread = next(f for f in recognise(drawn(hole), (modelled,)) if f.kind == "thread")
    assert thread.parameters["bottom_clearance_mm"] == pytest.approx(9.0)
    assert thread.parameters["bottom_clearance_pitches"] == pytest.approx(6.0)
    assert thread.parameters["shoulder_mm"] is None
    shaft = ((0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10))
    modelled = HelicalThread("outer", "right", 1, 1.75, 12.0, 9.85, (30.0, 30.0), (19.0, 40.0), ())
    thread = next(f for f in recognise(drawn(shaft), (modelled,)) if f.kind == "thread")
    assert thread.parameters["shoulder_mm"] == pytest.approx(7.0)
    assert thread.parameters["shoulder_pitches"] == pytest.approx(4.0)
    assert thread.parameters["relieved"] is False
    assert thread.parameters["usable_length_mm"] == pytest.approx(21.0)


def test_intent_and_the_names_of_faces_reach_the_features() -> None:
    """A stud of 12 with a bore of 8.5, its faces named as some programs name them."""
    drawing = [(0, 4.25), (40, 4.25), (40, 6), (12, 6), (12, 10), (0, 10)]
    bare = drawn(drawing)
    outline = [[(s.curve, (i,)) for i, s in enumerate(bare.outline.segments, start=1)]]
    profile = make_profile(outline)
    names = {1: "M10 - 6H", 2: "M40", 3: "M30"}
    faces = tuple(
        Face(i, None, "outer", (s.id,), names.get(i))
        for i, s in enumerate(profile.outline.segments, start=1)
    )
    intent = Intent(threads=(StatedThread(Named(diameter_mm=(12.0, 12.0)), "M12x1.5"),))
    report = walk(drawn_part(profile, faces=faces), drawn_shop(), intent=intent)
    threads = [f for f in report.features if f.kind == "thread"]
    assert {(f.surface, f.parameters["stated_by"], f.matches[0].designation) for f in threads} == {
        ("outer", "intent", "M12x1.5"),
        ("inner", "file", "M10"),
    }


def one(drawing: Any, kind: str) -> Feature:
    (feature,) = (f for f in recognise(drawn(drawing)) if f.kind == kind)
    return feature


def test_what_only_looks_like_a_thread_is_told_as_that() -> None:
    """The stud of 12 with a lead chamfer and a DIN 76-1 relief may be a plain spigot."""
    from turnability.features.describe import described
    from turnability.features.recognise import recognise
    from turnability.rules import outside_thread, thread_room
    from turnability.rules.drawn import drawn_part, drawn_view

    part = drawn_part(STUD)
    assert part.profile is not None
    features = recognise(part.profile)
    view = drawn_view(part=part, features=features)
    (note,) = outside_thread.check(view)
    assert note.level == "note"
    assert note.message.startswith(
        "⌀12 mm looks drawn for a thread (M12 by its relief). If it is one, state it under "
        "[[thread]] in the intent"
    )
    assert thread_room.check(view) == []
    assert "⌀12 × 19, looks drawn for thread M12" in described(part.profile, features)
