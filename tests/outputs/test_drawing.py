"""The drawing: well-formed, true to scale, labels apart, colours told apart by all readers."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.features.drawing import drawn
from turnability.features.model import StandardMatch
from turnability.features.recognise import recognise
from turnability.half_plane.curves import Arc, Line
from turnability.outputs import _palette as palette
from turnability.outputs.drawing.key import feature_text
from turnability.outputs.drawing.labels import GAP_PX, MOST_ROWS, STEM_PX, Label, place
from turnability.outputs.drawing.named import finding_anchor
from turnability.outputs.drawing.scale import Scale, highest_at, nice_step, point_inside
from turnability.outputs.drawing.sheet import text_width
from turnability.outputs.meridian_svg import WIDTH, drawing
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.rules.model import Where
from turnability.rules.speak import CAUSE_WORDS

SVG = "{http://www.w3.org/2000/svg}"
REPORTS = {
    "housing": housing_report(),
    "plate": plate_report(),
    "thin disc": disc_report(200.0, 0.5),
    "long rod": disc_report(4.0, 600.0),
}


def texts(report: Report) -> list[str]:
    root = ET.fromstring(drawing(report))
    return [element.text or "" for element in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("report", REPORTS.values(), ids=REPORTS)
def test_it_is_svg_on_a_sheet_that_holds_it(report: Report) -> None:
    root = ET.fromstring(drawing(report))
    assert root.tag == f"{SVG}svg"
    width, height = float(root.attrib["width"]), float(root.attrib["height"])
    assert root.attrib["viewBox"] == f"0 0 {root.attrib['width']} {root.attrib['height']}"
    for element in root.iter(f"{SVG}text"):
        assert 0.0 <= float(element.attrib["x"]) <= width
        assert 0.0 <= float(element.attrib["y"]) <= height
    for element in root.iter(f"{SVG}path"):
        if "pattern" in element.attrib or element.attrib["d"] == "M0 0V6":
            continue
        numbers = re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", element.attrib["d"])
        assert all(0.0 <= float(x) <= width and 0.0 <= float(y) <= height for x, y in numbers)


def test_everything_said_of_the_part_is_named() -> None:
    words = texts(housing_report())
    for name in ("N1", "N2", "N3", "L1", "L2", "F1 face", "F7 groove", "F9 recess"):
        assert name in words, name
    everything = " ".join(words)
    assert "the bar's nose is too round" in everything
    assert "Give the recess corners a radius of 0.4 mm" in everything
    assert "(proven by analysing" in everything


def test_why_something_stays_uncut_is_said_in_words() -> None:
    """The codes of the report are for programs."""
    report = housing_report()
    text = drawing(report)
    causes = {cause for left in report.reach.left for cause in left.causes}
    assert {"nose-radius", "blade-width"} <= causes
    for cause in causes:
        assert cause not in text
        assert CAUSE_WORDS[cause] in " ".join(texts(report)).replace("The", "the")


def test_a_part_without_axis_gets_its_reason_and_no_section() -> None:
    words = texts(plate_report())
    assert "No axis carries this part." in words
    assert "z in mm from the low end" not in " ".join(words)


def test_text_from_files_stays_text() -> None:
    report = housing_report()
    nasty = "<script>alert('x')</script> & \x00\x1b[2J ⌀ 深"
    finding = replace(report.findings[0], message=nasty)
    source = replace(report.part.source, path=f"{nasty}.step".replace("/", "_"))
    part = replace(report.part, source=source)
    text = drawing(replace(report, part=part, findings=(finding,), shop_name=nasty))
    root = ET.fromstring(text)
    assert not list(root.iter(f"{SVG}script"))
    assert "<script" not in text
    assert any("<script>" in (element.text or "") for element in root.iter(f"{SVG}text"))


def test_the_section_is_true_to_scale() -> None:
    report = REPORTS["long rod"]
    profile = report.part.profile
    assert profile is not None
    root = ET.fromstring(drawing(report))
    bodies = [e.attrib["d"] for e in root.iter(f"{SVG}path") if e.get("fill") == palette.MATERIAL]
    assert len(bodies) == 2
    points = np.array(
        [
            [float(v) for v in pair]
            for d in bodies
            for pair in re.findall(r"[ML]([\d.]+) ([\d.]+)", d)
        ]
    )
    wide, high = np.ptp(points, axis=0)
    ratio = profile.length_mm / profile.max_diameter_mm
    assert wide / high == pytest.approx(ratio, rel=2e-3)


def test_arcs_are_drawn_as_arcs_on_their_circle() -> None:
    scale = Scale(0.0, 0.0, 1.0)
    quarter = Arc((10.0, 5.0), (5.0, 10.0), (5.0, 5.0), 5.0, clockwise=False)
    # Anticlockwise in (z, r) is anticlockwise on the sheet, whose y runs down: sweep flag 0.
    assert scale.curve_data(quarter) == "M10.000 -5.000A5.000 5.000 0 0 0 5.000 -10.000"
    assert scale.curve_data(quarter, below=True) == "M10.000 5.000A5.000 5.000 0 0 1 5.000 10.000"
    long = Arc((10.0, 5.0), (5.0, 0.0), (5.0, 5.0), 5.0, clockwise=False)
    assert " 0 1 0 " in scale.curve_data(long)
    assert scale.curve_data(Line((0, 0), (1, 2))) == "M0.000 0.000L1.000 -2.000"


def test_outer_places_are_named_above_and_inner_ones_below() -> None:
    root = ET.fromstring(drawing(housing_report()))
    y = {e.text: float(e.attrib["y"]) for e in root.iter(f"{SVG}text")}
    assert y["F2 cylinder"] < y["F8 bore"]
    assert y["F7 groove"] < y["F9 recess"]


def test_highest_at_a_step_is_its_top() -> None:
    ring = drawn_profile([(0, 0), (10, 0), (10, 4), (5, 6), (5, 8), (0, 8)]).outline.ring
    assert highest_at(ring, 5.0) == 8.0
    assert highest_at(ring, 7.5) == pytest.approx(5.0)
    assert highest_at(ring, 11.0) == 0.0


@given(
    st.lists(st.tuples(st.floats(0.5, 9.0), st.floats(0.5, 9.0)), min_size=1, max_size=12),
    st.sampled_from([(0.0, 0.0), (150.0, 40.0), (-30.0, 5.0)]),
)
def test_a_region_is_pointed_at_within_it(
    steps: list[tuple[float, float]], begin: tuple[float, float]
) -> None:
    """Staircases of any shape and anywhere; shapely says what is inside."""
    z, r = begin
    corners = [begin]
    for dz, dr in steps:
        z += dz
        corners.append((z, r))
        r += dr
        corners.append((z, r))
    corners.append((begin[0], r))
    shape = shapely.Polygon(corners)
    assert shape.contains(shapely.Point(point_inside(corners)))


@given(
    st.lists(
        st.tuples(st.text(min_size=1, max_size=14), st.floats(70.0, 1170.0)),
        min_size=1,
        max_size=60,
    )
)
def test_labels_never_overlap_nor_leave_the_sheet(
    wished: list[tuple[str, float]],
) -> None:
    labels = [Label(words, x, 0.0) for words, x in wished]
    placed = place(labels, 70.0, 1170.0)
    assert sorted(one.label.words for one in placed) == sorted(words for words, _ in wished)
    for one, other in combinations(placed, 2):
        apart = abs(one.middle - other.middle)
        if one.row == other.row:
            assert apart >= 0.5 * (one.label.width + other.label.width) + GAP_PX - 1e-6
        else:
            nearer = min(one, other, key=lambda p: p.row)
            assert apart >= 0.5 * nearer.label.width + STEM_PX - 1e-6
    for one, after in pairwise(sorted(placed, key=lambda p: p.middle)):
        assert one.label.x <= after.label.x  # no leader crosses another
    # Where even the most rows cannot hold them all, they are legible still, but reach outside.
    if max(one.row for one in placed) < MOST_ROWS - 1:
        assert all(one.middle - 0.5 * one.label.width >= 70.0 - 1e-6 for one in placed)
        assert all(one.middle + 0.5 * one.label.width <= 1170.0 + 1e-6 for one in placed)


def test_a_label_with_room_stands_over_its_place() -> None:
    (one,) = place([Label("F1", 500.0, 0.0)], 70.0, 1170.0)
    assert one.middle == pytest.approx(500.0)


@given(st.floats(0.01, 5000.0), st.floats(6.0, WIDTH))
def test_ruler_steps_are_round_and_far_enough_apart(length: float, room: float) -> None:
    step = nice_step(length, room)
    assert step * room / length >= 55.0 * (1.0 - 1e-6)
    # 2 and 5 are farthest apart: no mark is left out that had room
    assert step * room / length <= 2.5 * 55.0 * (1.0 + 1e-6)
    digit = f"{step:.3e}"[0]
    assert digit in "125"


# Colours as readers with a colour deficiency see them: Machado, Oliveira and Fernandes, "A
# physiologically-based model for simulation of color vision deficiency", IEEE Transactions on
# Visualization and Computer Graphics 15(6), 2009, table of severity 1.0; typed from memory.
SEEN_BY = {
    "all cones": np.eye(3),
    "no L cones": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "no M cones": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "no S cones": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def lab(linear_rgb: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of linear sRGB (IEC 61966-2-1 primaries, D65)."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = to_xyz @ np.clip(linear_rgb, 0.0, 1.0) / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def linear(colour: str) -> np.ndarray:
    c = np.array(palette.rgb(colour))
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


GROUNDS = {
    "light": (palette.MARKS, palette.ON_MARK, {"a": palette.MATERIAL, "b": palette.INK}),
    "dark": (palette.MARKS_ON_DARK, palette.ON_MARK_ON_DARK, {"a": palette.DARK_PAPER}),
}


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("eyes", SEEN_BY)
def test_colours_are_told_apart_by_all_readers(eyes: str, ground: str) -> None:
    marks, _, others = GROUNDS[ground]
    colours = {**marks, **others}
    seen = {name: lab(SEEN_BY[eyes] @ linear(colour)) for name, colour in colours.items()}
    for a, b in combinations(seen, 2):
        # About 2 is just noticeable side by side; 15 is plain to see apart.
        assert np.linalg.norm(seen[a] - seen[b]) > 15.0, (a, b)


@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("mark", palette.MARKS)
def test_words_on_marks_are_legible(mark: palette.Mark, ground: str) -> None:
    """Contrast of at least 4.5 to 1, WCAG 2.2 success criterion 1.4.3."""
    marks, words, _ = GROUNDS[ground]
    luminance = [
        float(np.array([0.2126, 0.7152, 0.0722]) @ linear(colour)) + 0.05
        for colour in (marks[mark], words[mark])
    ]
    assert max(luminance) / min(luminance) >= 4.5


def test_a_doubtful_feature_is_told_with_its_other_reading() -> None:
    """A groove of 7.5 by 2 stands within a tenth of the width at which necks begin (8)."""
    outline = ((0, 0), (80, 0), (80, 20), (37.5, 20), (37.5, 18), (30, 18), (30, 20), (0, 20))
    (groove,) = (f for f in recognise(drawn(outline)) if f.kind == "groove")
    told = feature_text(groove, inch=False)
    assert told.startswith(f"{groove.id} groove (square): z 30")
    assert "or just as well cylinder: 7.5 mm wide and 2 mm deep is nearly a neck" in told


def test_labels_stay_on_the_sheet_however_many_and_errors_keep_theirs() -> None:
    report = housing_report()
    profile = report.part.profile
    assert profile is not None
    error, note = report.findings[0], report.findings[2]
    error = replace(error, level="error")
    segments = [s.id for s in profile.segments if s.surface == "outer"]
    notes = [
        replace(
            note,
            id=f"N{i}",
            where=replace(note.where, segments=tuple(segments), z_mm=(i, i), diameter_mm=None),
        )
        for i in range(2, 100)
    ]
    whole = drawing(replace(report, findings=(error, *notes)))
    root = ET.fromstring(whole)
    for element in root.iter(f"{SVG}rect"):
        if element.get("rx") == "9":  # tags and plain labels
            left, width = float(element.attrib["x"]), float(element.attrib["width"])
            assert left >= 0.0
            assert left + width <= WIDTH
    words = texts(replace(report, findings=(error, *notes)))
    assert words.count("N1") == 2, "in the drawing and in the list"
    assert words.count("N2") == 2, "the first of its rule"
    assert "N50" not in words
    assert "F2 cylinder" not in words
    assert "The drawing has no room to name everything; the lists below do." in words
    assert "The drawing has no room" not in " ".join(texts(replace(report, findings=(error,))))


def test_many_uncut_regions_of_one_cause_are_measured_once() -> None:
    report = housing_report()
    assert report.reach is not None
    nose = report.reach.left[0]
    many = [replace(nose, id=f"L{i}", volume_mm3=i / 10.0) for i in range(1, 31)]
    words = texts(replace(report, reach=replace(report.reach, left=tuple(many))))
    assert words.count("each 3 mm³ or less, up to 0.9 mm from the cut") == 1
    assert not [word for word in words if word.startswith("1 mm³")]
    assert {f"L{i}" for i in range(1, 31)} <= set(words)
    few = texts(replace(report, reach=replace(report.reach, left=tuple(many[:4]))))
    assert "0.1 mm³, up to 0.9 mm from the cut" in few


def test_a_feature_names_the_standard_that_it_agrees_with() -> None:
    feature = housing_report().features[6]
    ring = replace(feature, matches=(StandardMatch("DIN 471", "10x1", 0.0),))
    assert feature_text(ring, False).endswith(", 10x1 (DIN 471)")


def test_a_long_name_is_broken_to_the_sheet() -> None:
    report = housing_report()
    name = "buoy_" * 48
    source = replace(report.part.source, path=f"{name}.step")
    words = texts(replace(report, part=replace(report.part, source=source)))
    lines = [word for word in words if word.startswith(("buoy", "uoy", "oy_", "y_b", "_bu"))]
    assert "".join(lines) == name
    assert len(lines) > 1
    assert all(text_width(line, 22.0) * 1.1 < WIDTH for line in lines)
    assert "float_housing" in texts(report)


def test_what_is_said_of_the_whole_part_points_at_the_part() -> None:
    """A flange of ⌀200 with a shank of ⌀20: halfway up the flange there is air beside the shank."""
    corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (10.0, 10.0), (10.0, 100.0), (0.0, 100.0)]
    profile = drawn_profile(corners)
    finding = housing_report().findings[0]
    whole = Where((), (), (), (0.0, 100.0), (0.0, 200.0))
    at = finding_anchor(replace(finding, where=whole), profile, {})
    assert at == ((50.0, 10.0), True)
    corner = Where((), (), (), (10.0, 10.0), (20.0, 20.0))
    assert finding_anchor(replace(finding, where=corner), profile, {}) == ((10.0, 10.0), True)
