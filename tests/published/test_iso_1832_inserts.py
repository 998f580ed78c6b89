"""Insert designations against the published summaries of ISO 1832 and ANSI B212.4.

Shape angles and clearances: ISO 1832 / ANSI B212.4-1986 summary page of a machinist reference;
several other published code keys agree. Sizes: the ANSI rule that the inscribed circle is counted
in 1/8 in (from 1/4 in), the thickness in 1/16 in and the nose in 1/64 in, read on two pages
(publishers withheld); the metric codes on a catalogue's size table by inscribed circle.
"""

from __future__ import annotations

import math

import pytest

from turnability.shop.books import rows
from turnability.shop.corner import Corner
from turnability.shop.insert_code import parse_insert
from turnability.toml_file.keys import Fault


@pytest.mark.parametrize(
    ("letter", "angle"),
    list(zip("CDEMVSTWHOP", (80, 55, 75, 86, 35, 90, 60, 80, 120, 135, 108), strict=True)),
)
def test_shape_letters(letter: str, angle: float) -> None:
    (entry,) = [r for r in rows("insert_shape") if r["letter"] == letter]
    assert float(entry["included_angle_deg"]) == angle


@pytest.mark.parametrize(
    ("letter", "angle"),
    [("N", 0), ("A", 3), ("B", 5), ("C", 7), ("P", 11), ("D", 15), ("E", 20), ("F", 25), ("G", 30)],
)
def test_clearance_letters(letter: str, angle: float) -> None:
    assert parse_insert(f"C{letter}MT 120408").clearance_deg == angle


@pytest.mark.parametrize(
    ("code", "ic", "thickness", "nose"),
    [
        ("CNMG 120408", 12.7, 4.76, 0.8),
        ("DCMT 11T304", 9.525, 3.97, 0.4),
        ("DNMG 150608", 12.7, 6.35, 0.8),
        ("VNMT 160404", 9.525, 4.76, 0.4),
        ("VCMT 110302", 6.35, 3.18, 0.2),
        ("TNMG 160412", 9.525, 4.76, 1.2),
        ("TNMG 220416", 12.7, 4.76, 1.6),
        ("TCMT 110204", 6.35, 2.38, 0.4),
        ("WNMG 080408", 12.7, 4.76, 0.8),
        ("WNMG 060408", 9.525, 4.76, 0.8),
        ("SNMG 120424", 12.7, 4.76, 2.4),
        ("RCMT 1204M0", 12.0, 4.76, 6.0),
    ],
)
def test_sizes_by_the_metric_code(code: str, ic: float, thickness: float, nose: float) -> None:
    made = parse_insert(code)
    assert made.ic.value == pytest.approx(ic, abs=0.005)
    assert made.thickness.value == pytest.approx(thickness, abs=0.005)
    assert made.nose.value == nose
    assert made.ic.verified


def test_sizes_are_inch_fractions() -> None:
    """Inscribed circles are whole multiples of 1/32 in (ANSI B212.4), metric rounds apart."""
    for entry in rows("insert_size_ic"):
        if entry["ansi_ic_code"]:
            thirty_seconds = float(entry["ic_exact_mm"]) / 25.4 * 32.0
            assert thirty_seconds == pytest.approx(round(thirty_seconds), abs=1e-3)
        else:
            assert entry["shape"] == "R"


def test_metric_code_is_the_edge_length() -> None:
    """The metric code is the edge length in mm with its decimals dropped (ISO 1832); the length is
    computed here from the inscribed circle by the geometry that draws the insert. Edges within
    0.01 mm of a whole number (triangles: 10.999 is 11) count as it. Left out: T and V of 31.75 mm,
    both printed 54 for edges of 54.99 and 55.35 (a misprint in one of them at least), and codes
    with a letter (S3, S4).
    """
    angles = {"C": 80.0, "D": 55.0, "V": 35.0, "S": 90.0, "T": 60.0}
    checked = 0
    for entry in rows("insert_size_ic"):
        shape, code = entry["shape"], entry["metric_code"]
        if shape not in angles or not code.isdigit() or code == "54":
            continue
        d, eps = float(entry["ic_exact_mm"]), math.radians(angles[shape])
        other = {"S": eps, "T": eps}.get(shape, math.pi - eps)
        edge = d / 2.0 * (1.0 / math.tan(eps / 2.0) + 1.0 / math.tan(other / 2.0))
        assert int(edge + 0.01) == int(code), entry
        checked += 1
    assert checked > 70


@pytest.mark.parametrize(
    ("code", "radius_64ths"), [("02", 0.5), ("04", 1), ("08", 2), ("12", 3), ("16", 4), ("24", 6)]
)
def test_nose_codes_are_64ths_of_an_inch(code: str, radius_64ths: float) -> None:
    """Nose 1 is 1/64 in (ANSI B212.4 key); the metric code is that in 0.1 mm, never smaller."""
    (entry,) = [r for r in rows("insert_nose_radius") if r["metric_code"] == code]
    true = radius_64ths * 25.4 / 64.0
    assert float(entry["r_exact_mm"]) == pytest.approx(true, abs=1e-4)
    assert float(entry["r_nominal_mm"]) == pytest.approx(true, abs=0.02)
    assert float(entry["r_nominal_mm"]) >= true - 1e-4


@pytest.mark.parametrize(("shape", "eps", "d"), [("T", 60.0, 9.525), ("S", 90.0, 12.7)])
@pytest.mark.parametrize("r", [0.3969, 0.7937, 1.1906])
def test_gauge_dimension_m(shape: str, eps: float, d: float, r: float) -> None:
    """m from the nose to the inscribed circle's far (T) or near (S) side: 3d/2 - r for a triangle,
    (√2 - 1)(d/2 - r) for a square, as printed on a catalogue's page on cutting positions
    (publisher withheld). The outline's own nose and inscribed circle must give the same.
    """
    angles = (eps,) * {"T": 3, "S": 4}[shape]
    made = Corner(angles, d, r, 75.0, 0.0, neutral=False)
    (sz, sr), half = made.sharp(), math.radians(eps / 2.0)
    middle = math.radians(made.minor_deg) + half
    centre = (
        sz + d / 2.0 / math.sin(half) * math.cos(middle),
        sr + d / 2.0 / math.sin(half) * math.sin(middle),
    )
    from_nose = math.dist(centre, made.nose_centre()) + r
    published = 1.5 * d - r if shape == "T" else (math.sqrt(2.0) - 1.0) * (d / 2.0 - r)
    assert (from_nose + d / 2.0 if shape == "T" else from_nose - d / 2.0) == pytest.approx(
        published
    )


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("XNMG 120408", ["letter 1", "shape", "C, D"]),
        ("CXMG 120408", ["letter 2", "normal clearance", "N, A, B, C"]),
        ("CNXG 120408", ["letter 3", "tolerance class"]),
        ("CNMZ 120408", ["letter 4", "type"]),
        ("CNMG 130408", ["size", "is 13", "12"]),
        ("CNMG 128808", ["thickness", "is 88", "T3"]),
        ("CNMG 120407", ["nose radius", "is 07", "08"]),
        ("CNMG 932", ["size", "is 9"]),
        ("KNUX 160405", ["sides differ", "outline"]),
        ("12345", ["no insert designation", "CNMG 120408"]),
    ],
)
def test_a_code_that_cannot_be_says_which_sign(code: str, says: list[str]) -> None:
    with pytest.raises(Fault) as caught:
        parse_insert(code)
    for part in says:
        assert part in str(caught.value)


@pytest.mark.parametrize(
    ("code", "eighths", "sixteenths", "sixty_fourths", "metric"),
    [
        ("CNMG 432", 4, 3, 2, "CNMG 120408"),
        ("CNMG 643", 6, 4, 3, "CNMG 190612"),
        ("VNMG 331", 3, 3, 1, "VNMG 160404"),
        ("TPGN 321", 3, 2, 1, "TPGN 160304"),
        ("CCMT 32.51", 3, 2.5, 1, "CCMT 09T304"),
        ("CCMT 21.51", 2, 1.5, 1, "CCMT 060204"),
        ("DCMT 32.5.5", 3, 2.5, 0.5, "DCMT 11T302"),
        ("DCMT 32.50.5", 3, 2.5, 0.5, "DCMT 11T302"),
        ("VCMT 221", 2, 2, 1, "VCMT 110304"),
        ("CCMT432-F1", 4, 3, 2, "CCMT 120408"),
    ],
)
def test_inch_codes_by_their_rule(
    code: str, eighths: float, sixteenths: float, sixty_fourths: float, metric: str
) -> None:
    """The ANSI rule above; the metric code is printed to 0.01 mm, its nose to 0.1 mm."""
    made, like = parse_insert(code), parse_insert(metric)
    assert made.ic.value == pytest.approx(eighths * 25.4 / 8, abs=1e-4)
    assert made.thickness.value == pytest.approx(sixteenths * 25.4 / 16, abs=0.006)
    assert made.nose.value == pytest.approx(sixty_fourths * 25.4 / 64, abs=0.02)
    assert (made.ic, made.thickness, made.nose) == (like.ic, like.thickness, like.nose)
    assert made.size == like.size


def test_round_inserts_in_inch_have_no_nose_of_their_own() -> None:
    made = parse_insert("RCMT 43")
    assert (made.ic.value, made.nose.value, made.angles_deg) == (12.7, 6.35, ())


@pytest.mark.parametrize("code", ["CNMG 43", "CNMG 4321", "CCMT 32.5.", "CNMG 932", "CNMG 439"])
def test_inch_codes_that_cannot_be(code: str) -> None:
    with pytest.raises(Fault) as caught:
        parse_insert(code)
    assert code in str(caught.value)
