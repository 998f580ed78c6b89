"""Threads matched with the standards, and how they stand among the other features."""

from __future__ import annotations

import pytest

from turnability.features.drawing import drawn
from turnability.features.recognise import recognise
from turnability.features.standards.designations import parse
from turnability.features.standards.threads import matches, thread_sizes
from turnability.part.model import HelicalThread

TURNED = ((0, 0), (60, 0), (60, 15), (30, 15), (30, 10), (0, 10))
NUT = ((0, 8.647), (18, 8.647), (18, 17), (0, 17))


def thread(surface, major, minor, pitch, z, hand="right", starts=1, flank=30.0):
    return HelicalThread(surface, hand, starts, pitch, major, minor, (flank, flank), z, ())


BOLTS_6G = [
    # limits of a bolt's major diameter in class 6g. M1.6 to M6: a reprint of ASME B1.13M-1995 on an
    # engineer's page; M12: a thread's data sheet (widths of 6e, es of 4g); M20: from memory
    ("M1.6", 1.496, 1.581),
    ("M2", 1.886, 1.981),
    ("M2.5", 2.380, 2.480),
    ("M3", 2.874, 2.980),
    ("M3.5", 3.354, 3.479),
    ("M4", 3.838, 3.978),
    ("M5", 4.826, 4.976),
    ("M6", 5.794, 5.974),
    ("M12", 11.701, 11.966),
    ("M20", 19.623, 19.958),
]


@pytest.mark.parametrize(("designation", "least", "most"), BOLTS_6G)
def test_the_widest_bolt_that_is_matched_is_of_grade_8(
    designation: str, least: float, most: float
) -> None:
    """Grade 8 is 1.6 times grade 6 (ISO 965-1; the ratio from memory); printed widths are rounded
    by up to 4 %."""
    size = next(s for s in thread_sizes() if s.designation == designation)
    six = most - least
    assert size.outer_mm == pytest.approx((most - 1.6 * six, size.major_mm), abs=0.04 * 1.6 * six)


@pytest.mark.parametrize(("designation", "least", "most"), BOLTS_6G)
def test_bolts_of_class_6g_are_matched(designation: str, least: float, most: float) -> None:
    size = next(s for s in thread_sizes() if s.designation == designation)
    for major in (least, most):
        found = matches("outer", major, 0.0, size.pitch_mm, (30.0, 30.0))
        assert designation in [s.designation for s, _ in found]


@pytest.mark.parametrize(
    ("designation", "least", "most"),
    [
        # ISO 965-2, limits of a nut's minor diameter in class 6H (from memory)
        ("M6", 4.917, 5.153),
        ("M12", 10.106, 10.441),
        ("M20", 17.294, 17.744),
    ],
)
def test_nuts_of_class_6h_are_matched(designation: str, least: float, most: float) -> None:
    size = next(s for s in thread_sizes() if s.designation == designation)
    for minor in (least, most):
        found = matches("inner", size.major_mm, minor, size.pitch_mm, (30.0, 30.0))
        assert designation in [s.designation for s, _ in found]


@pytest.mark.parametrize(
    ("side", "major", "pitch", "flank"),
    [
        ("outer", 12.3, 1.75, 30.0),  # no size
        ("outer", 12.0, 1.80, 30.0),  # no pitch
        ("outer", 12.0, 1.75, 15.0),  # no such form
        ("outer", 11.4, 1.75, 30.0),  # under any class
    ],
)
def test_what_no_standard_has_is_not_matched(
    side: str, major: float, pitch: float, flank: float
) -> None:
    assert matches(side, major, major - pitch, pitch, (flank, flank)) == ()


def test_a_run_out_beside_the_shoulder_belongs_to_the_thread() -> None:
    outline = ((0, 0), (40, 0), (40, 8), (20, 8), (20, 5.053), (19.78, 5.053), (19.23, 6),
               (0.47, 6), (0, 5.53))  # fmt: skip
    features = recognise(drawn(outline), (thread("outer", 12.0, 10.106, 1.75, (0.0, 19.78)),))
    assert [f.kind for f in features] == [
        "face", "chamfer", "thread", "shoulder", "cylinder", "face",
    ]  # fmt: skip
    found = features[2]
    assert [m.designation for m in found.matches] == ["M12"]
    assert found.z_mm == pytest.approx((0.0, 19.78))


def test_a_relief_under_the_thread_stays_a_groove() -> None:
    outline = ((0, 0), (40, 0), (40, 8), (20, 8), (20, 4.6), (17, 4.6), (17, 6), (0, 6))
    features = recognise(drawn(outline), (thread("outer", 12.0, 10.106, 1.75, (0.0, 17.0)),))
    assert [f.kind for f in features if f.surface == "outer"] == ["thread", "groove", "cylinder"]


def test_a_thread_on_part_of_a_shank_names_the_shank() -> None:
    features = recognise(
        drawn(TURNED), (thread("outer", 20.0, 16.933, 2.5, (0.0, 20.0), "left", 2),)
    )
    (found,) = (f for f in features if f.kind == "thread")
    shank = next(f for f in features if f.kind == "cylinder" and f.diameter_mm == (20.0, 20.0))
    assert found.segments == ()
    assert found.parent == shank.id
    assert found.parameters["hand"] == "left"
    assert found.parameters["starts"] == 2


def test_a_threaded_bore_is_still_a_bore() -> None:
    features = recognise(drawn(NUT), (thread("inner", 20.0, 17.294, 2.5, (0.0, 18.0)),))
    bore = next(f for f in features if f.kind == "bore")
    found = next(f for f in features if f.kind == "thread")
    assert bore.segments == ()
    assert bore.parameters["through"] is True
    assert bore.parent is None
    assert found.parent == bore.id
    assert [m.designation for m in found.matches] == ["M20"]


@pytest.mark.parametrize(
    ("major", "pitch", "hand", "starts", "flank", "named"),
    [
        # ISO 965-1 writes lead and pitch, ISO 2902 too; left-hand threads get LH
        (16.0, 2.0, "right", 2, 30.0, "M16xPh4P2"),
        (16.0, 1.5, "left", 2, 30.0, "M16xPh3P1.5-LH"),
        (20.0, 4.0, "right", 2, 15.0, "Tr20x8P4"),
        (40.0, 7.0, "left", 2, 15.0, "Tr40x14P7LH"),
        # inch threads: 1/4-20 UNC, 1/2-20 UNF, 3/4-10 UNC left, by diameters and pitches in inch
        (6.35, 25.4 / 20, "right", 1, 30.0, "1/4-20 UNC"),
        (12.7, 25.4 / 20, "right", 1, 30.0, "1/2-20 UNF"),
        (19.05, 25.4 / 10, "left", 1, 30.0, "3/4-10 UNC-LH"),
        (25.4, 25.4 / 8, "right", 2, 30.0, "1-8 UNC, 2 starts"),
        (20.955, 25.4 / 14, "left", 1, 27.5, "G1/2-LH"),
    ],
)
def test_hand_and_starts_stand_in_the_designation(
    major: float, pitch: float, hand: str, starts: int, flank: float, named: str
) -> None:
    outline = ((0, 0), (60, 0), (60, 30), (40, 30), (40, major / 2), (0, major / 2))
    depth = 1.0 * pitch
    wound = thread("outer", major, major - depth, pitch, (0.0, 30.0), hand, starts, flank)
    (found,) = (f for f in recognise(drawn(outline), (wound,)) if f.kind == "thread")
    assert named in [m.designation for m in found.matches]
    read = parse(named.split(",", maxsplit=1)[0])
    assert read is not None
    assert (read.major_mm, read.hand) == (pytest.approx(major, abs=0.01), hand)
    assert read.pitch_mm == pytest.approx(pitch, rel=0.005)
    assert read.starts == (1 if "starts" in named else starts)


@pytest.mark.parametrize(
    ("size", "major", "minor", "pitch", "hand", "named"),
    [
        # ISO 228-1 and ISO 7-1 share diameters and pitch; ISO 7-1 has no 5/8
        ("1/2", 20.955, 18.631, 25.4 / 14, "right", ["G1/2", "Rp 1/2"]),
        ("1", 33.249, 30.291, 25.4 / 11, "left", ["G1-LH", "Rp 1-LH"]),
        ("5/8", 22.911, 20.587, 25.4 / 14, "right", ["G5/8"]),
    ],
)
def test_parallel_pipe_threads_inside_have_two_names(
    size: str, major: float, minor: float, pitch: float, hand: str, named: list[str]
) -> None:
    nut = ((0, minor / 2), (30, minor / 2), (30, 30), (0, 30))
    wound = thread("inner", major, minor, pitch, (0.0, 30.0), hand, 1, 27.5)
    (found,) = (f for f in recognise(drawn(nut), (wound,)) if f.kind == "thread")
    assert [m.designation for m in found.matches] == named
    assert [m.standard for m in found.matches] == ["ISO 228-1", "ISO 7-1"][: len(named)]
    bolt = ((0, 0), (60, 0), (60, 30), (40, 30), (40, major / 2), (0, major / 2))
    outside = thread("outer", major, minor, pitch, (0.0, 40.0), hand, 1, 27.5)
    (found,) = (f for f in recognise(drawn(bolt), (outside,)) if f.kind == "thread")
    assert [m.designation for m in found.matches] == named[:1]


@pytest.mark.parametrize(
    ("pitch", "flank", "depth", "named"),
    [(25.4 / 11.5, 30.0, 0.8, ["1-11.5 NPT"]), (25.4 / 11, 27.5, 0.640327, ["R 1"])],
)
def test_one_inch_taper_threads_are_told_by_their_pitch(
    pitch: float, flank: float, depth: float, named: list[str]
) -> None:
    """Both begin at 32.59 or 32.60 across the crests: a plain cone of that size may be either."""
    small, length = 32.596, 17.0
    large = small + length / 16.0
    outline = ((0, 0), (60, 0), (60, 25), (length, 25), (length, large / 2), (0, small / 2))
    (cone,) = (f for f in recognise(drawn(outline)) if f.kind == "taper")
    assert {m.designation for m in cone.matches} == {"1-11.5 NPT", "R 1"}
    wound = HelicalThread(
        "outer", "right", 1, pitch, large, small - 2.0 * depth * pitch, (flank, flank),
        (0.0, length), (), 1.0 / 16.0,
    )  # fmt: skip
    (found,) = (f for f in recognise(drawn(outline), (wound,)) if f.kind == "thread")
    assert [m.designation for m in found.matches] == named
