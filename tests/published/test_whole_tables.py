"""Every row of our tables against the laws that the standards themselves state.

A table is read once and believed for years, so no cell may stand unchecked that a formula gives.
Sources: ISO 68-1 and ISO 724 (basic profile, H = √3/2 P), ASME B1.1 (UNR root 1.19078 P; number
sizes 0.060 + 0.013 n), ISO 2904 (trapezoidal), ISO 228-1 and ISO 7-1 (55°: h = 0.640327 P),
ASME B1.20.1 (E0 = D - (0.05 D + 1.1) / n, L2 = (0.8 D + 6.8) / n, taper 1:16), DIN 471 and DIN 472
(t by definition; n = 3 t: both standards' rule for the rim), ISO 286-1 (tolerance units, m and p
by IT7). The formulas are from memory where no page is named; the tables were read apart from them.
"""

from __future__ import annotations

import math

import pytest

from turnability.features.standards import rows
from turnability.features.tapping import drill_of
from turnability.intent.fits import fit_class, fit_limits
from turnability.shop.books import rows as shop_rows

H = math.sqrt(3.0) / 2.0

Row = dict[str, str]


def near(row: Row, column: str, expected: float, digits: int) -> None:
    """Equal to half of the last printed digit (and a little, where inputs are rounded too)."""
    assert float(row[column]) == pytest.approx(expected, abs=0.6 * 10.0**-digits), (row, column)


@pytest.mark.parametrize("row", rows("thread_metric"), ids=lambda row: row["designation"])
def test_metric_threads(row: Row) -> None:
    d, p = float(row["major_d"]), float(row["pitch"])
    near(row, "pitch_d2", d - 0.75 * H * p, 3)
    near(row, "minor_internal_D1", d - 1.25 * H * p, 3)
    near(row, "minor_external_d3", d - 17.0 / 12.0 * H * p, 3)
    named, _, fine = row["designation"][1:].partition("x")
    assert float(named) == d
    assert (float(fine) if fine else p) == p
    # a tap's hole is d - P to the next drill
    assert float(row["tap_drill"]) == pytest.approx(d - p, abs=0.11)


@pytest.mark.parametrize("row", rows("thread_unified"), ids=lambda row: row["designation"])
def test_unified_threads(row: Row) -> None:
    size, _, rest = row["designation"].rpartition("-")
    tpi = int(rest.split()[0])
    whole, _, fraction = size.rpartition("-") if "-" in size else ("0", "", size)
    if size.startswith("No."):
        d = 0.060 + 0.013 * int(size[3:])
    else:
        top, _, bottom = fraction.partition("/")
        d = int(whole or 0) + int(top) / int(bottom or 1)
    assert int(row["tpi"]) == tpi
    assert float(row["major_d"]) == pytest.approx(d, abs=1e-4)
    near(row, "pitch", 1.0 / tpi, 5)
    near(row, "pitch_d2", d - 0.75 * H / tpi, 4)
    near(row, "minor_internal_D1", d - 1.25 * H / tpi, 4)
    near(row, "minor_external_d3", d - 1.19078 / tpi, 4)


@pytest.mark.parametrize("row", rows("thread_trapezoidal"), ids=lambda row: row["designation"])
def test_trapezoidal_threads(row: Row) -> None:
    d, p, gap = float(row["d"]), float(row["pitch"]), float(row["ac"])
    assert row["designation"] == f"Tr{d:g}x{p:g}"
    assert gap == (0.15 if p == 1.5 else 0.25 if p <= 5.0 else 0.5 if p <= 12.0 else 1.0)
    near(row, "pitch_d2", d - 0.5 * p, 3)
    near(row, "minor_external_d3", d - p - 2.0 * gap, 3)
    near(row, "major_internal_D4", d + 2.0 * gap, 3)
    near(row, "minor_internal_D1", d - p, 3)


def bolt_um(p: float) -> float:
    """Td of grade 6 (ISO 965-1), µm."""
    return 180.0 * p ** (2.0 / 3.0) - 3.15 / math.sqrt(p)


def nut_um(p: float) -> float:
    """TD1 of grade 6 (ISO 965-1), µm."""
    return 433.0 * p - 190.0 * p**1.22 if p < 1.0 else 230.0 * p**0.7


GRADES = {"4": 0.63, "5": 0.8, "6": 1.0, "7": 1.25, "8": 1.6}
R40 = (100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265,
       280, 300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750,
       800, 850, 900, 950)  # fmt: skip


def as_printed(cell: str, um: float) -> None:
    """One of the series R40 (ISO 3; below 100 µm in whole ones), by a step of it off at most."""
    found = round(1000.0 * float(cell))
    assert found == pytest.approx(um, rel=0.07)
    tens = next(10.0**n for n in range(-2, 3) if 100.0 <= found * 10.0**n < 1000.0)
    assert any(abs(found * tens - one) <= 0.5 * tens for one in R40)


@pytest.mark.parametrize("row", rows("thread_tolerance_metric"), ids=lambda row: row["pitch"])
def test_metric_crest_tolerances(row: Row) -> None:
    """es of e, f and g: 50, 30 and 15 + 11 P in µm; grades by their factors (ISO 965-1)."""
    p = float(row["pitch"])
    for letter, begin in (("e", 50.0), ("f", 30.0), ("g", 15.0)):
        if row[letter]:
            assert 1000.0 * float(row[letter]) == pytest.approx(begin + 11.0 * p, abs=6.0)
    for grade, share in GRADES.items():
        for name, um in (("td", bolt_um(p)), ("td1", nut_um(p))):
            if row.get(f"{name}_{grade}"):
                as_printed(row[f"{name}_{grade}"], share * um)
    assert bool(row["td_8"]) == bool(row["td1_8"]) == (p >= 0.8)
    assert bool(row["e"]) == bool(row["td1_7"]) == (p >= 0.5)


@pytest.mark.parametrize("row", rows("thread_tolerance_trapezoidal"), ids=lambda row: row["pitch"])
def test_trapezoidal_crest_tolerances(row: Row) -> None:
    """ISO 2903 takes grade 4 of ISO 965-1."""
    as_printed(row["td_4"], GRADES["4"] * bolt_um(float(row["pitch"])))
    as_printed(row["td1_4"], GRADES["4"] * nut_um(float(row["pitch"])))


@pytest.mark.parametrize("table", ["thread_pipe_g", "thread_pipe_r"])
def test_whitworth_pipe_threads(table: str) -> None:
    for row in rows(table):
        p, d = 25.4 / int(row["tpi"]), float(row["major"])
        near(row, "pitch", p, 3)
        # h is rounded to 0.001 before it is taken off: once for d2, twice for d1
        assert float(row["pitch_d"]) == pytest.approx(d - 0.640327 * p, abs=1.1e-3), row
        assert float(row["minor"]) == pytest.approx(d - 2 * 0.640327 * p, abs=1.6e-3), row


def test_r_and_g_of_one_size_have_one_profile() -> None:
    parallel = {row["designation"][1:]: row for row in rows("thread_pipe_g")}
    for row in rows("thread_pipe_r"):
        same = parallel[row["designation"].removeprefix("R").strip()]
        for column in ("tpi", "pitch", "major", "pitch_d", "minor"):
            assert float(row[column]) == float(same[column]), (row, column)


@pytest.mark.parametrize("row", rows("thread_pipe_npt"), ids=lambda row: row["designation"])
def test_npt(row: Row) -> None:
    d, n = float(row["pipe_od"]), float(row["tpi"])
    e0 = d - (0.05 * d + 1.1) / n
    near(row, "pitch", 1.0 / n, 5)
    near(row, "E0", e0, 5)
    near(row, "E1", e0 + float(row["L1"]) / 16.0, 4)
    near(row, "L2", (0.8 * d + 6.8) / n, 4)
    near(row, "K0_minor_small_end", e0 - 0.8 / n, 4)


@pytest.mark.parametrize("number", ["471", "472"])
def test_ring_grooves_hold_together(number: str) -> None:
    for row in rows(f"retaining_ring_din{number}"):
        d1, d2, t, s, m = (float(row[c]) for c in ("d1", "d2", "t", "s", "m"))
        assert (d2 < d1) == (number == "471"), row
        assert abs(d1 - d2) / 2.0 == pytest.approx(t, abs=1e-9), row
        assert float(row["n"]) == pytest.approx(3.0 * t, abs=0.051), row
        assert s < m <= s + 0.3, row  # the groove is wider than its ring, by 0.1 to 0.25


@pytest.mark.parametrize("number", ["471", "472"])
def test_large_ring_grooves_by_their_other_standard(number: str) -> None:
    """Over 100 mm: the same ring thickness, groove depth and width as the other standard's of the
    diameter, and a tolerance of IT13 of d2 (ISO 286-1). At 250 the tables have 0.72 in bores,
    stricter than IT13 of 256."""
    other = {row["d1"]: row for row in rows("retaining_ring_din471")}
    large = [row for row in rows(f"retaining_ring_din{number}") if float(row["d1"]) > 100.0]
    assert len(large) >= 30
    for row in large:
        width = float(row["d2_tol_plus"]) - float(row["d2_tol_minus"])
        size = 250.0 if row["d1"] == "250" else float(row["d2"])
        assert 1000.0 * width == pytest.approx(width_um(13, size)), row
        if row["d1"] in other:
            same = other[row["d1"]]
            assert [row[c] for c in ("s", "m", "t", "n")] == [same[c] for c in ("s", "m", "t", "n")]


def test_thread_run_outs() -> None:
    """ISO 3508: x is about 2.5 pitches, a about 3 (printed rounded, to two figures)."""
    outside = [r for r in rows("thread_undercut_metric") if r["side"] == "external"]
    assert len(outside) > 20
    for row in outside:
        pitch = float(row["pitch"])
        assert float(row["x1_runout_max"]) == pytest.approx(2.5 * pitch, rel=0.05), row
        assert float(row["a1_shoulder_max"]) == pytest.approx(3.0 * pitch, rel=0.08), row


def test_thread_reliefs_by_their_proportions() -> None:
    """DIN 76-1 states them beside its tables: outside g2 is 3.5 pitches (short 2.5), inside g1 is 4
    (short 2.5); printed rounded."""
    for row in rows("thread_undercut_metric"):
        pitch = float(row["pitch"])
        whole = {"g2_max": 3.5} if row["side"] == "external" else {"g1_min": 4.0}
        short = {"g2_short": 2.5} if row["side"] == "external" else {"g1_short": 2.5}
        for column, pitches in (whole | short).items():
            if row[column]:
                assert float(row[column]) == pytest.approx(pitches * pitch, rel=0.04), row
        if row["g1_short"]:
            assert float(row["g1_short"]) < float(row["g1_min"]), row
            assert float(row["g2_short"]) < float(row["g2_max"]), row


UNITS = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160, 13: 250, 14: 400}
BANDS = [(3, 6), (6, 10), (10, 18), (18, 30), (30, 50), (50, 80), (80, 120), (120, 180),
         (180, 250), (250, 315), (315, 400), (400, 500)]  # fmt: skip


def width_um(grade: int, size: float) -> float:
    fit = fit_class(f"h{grade}")
    assert fit is not None
    width = fit_limits(fit, size).width_mm
    assert width is not None
    return 1000.0 * width.value


@pytest.mark.parametrize(("over", "to"), BANDS)
@pytest.mark.parametrize("grade", UNITS)
def test_tolerances_are_so_many_units(grade: int, over: float, to: float) -> None:
    """i = 0.45 D^(1/3) + 0.001 D, D the geometric mean of the band; printed values are rounded."""
    mean = math.sqrt(over * to)
    unit = 0.45 * math.pow(mean, 1.0 / 3.0) + 0.001 * mean
    assert width_um(grade, to) == pytest.approx(UNITS[grade] * unit, rel=0.06, abs=0.75)


@pytest.mark.parametrize(("over", "to"), BANDS)
def test_shafts_over_the_line(over: float, to: float) -> None:
    """m lies IT7 - IT6 over the line; p IT7 and up to 5 µm; n 5 D^0.34 to 1.5 µm."""

    def lower_um(name: str) -> float:
        fit = fit_class(name)
        assert fit is not None
        limits = fit_limits(fit, to).deviations_mm
        assert limits is not None
        return 1000.0 * limits[0]

    assert lower_um("m6") == pytest.approx(width_um(7, to) - width_um(6, to), abs=1e-6)
    assert 0.0 <= round(lower_um("p6") - width_um(7, to), 6) <= 5.0
    assert lower_um("n6") == pytest.approx(5.0 * math.sqrt(over * to) ** 0.34, abs=1.5)


def test_coarse_pitches_of_the_shops_threading_tools() -> None:
    """The two rooms read ISO 261 from a table each: they must not drift apart."""
    coarse = {r["designation"]: float(r["pitch"]) for r in rows("thread_metric")
              if r["series"] == "coarse"}  # fmt: skip
    for row in shop_rows("thread_coarse"):
        if row["designation"] in coarse:
            assert float(row["pitch_mm"]) == coarse[row["designation"]], row
    assert set(coarse) <= {row["designation"] for row in shop_rows("thread_coarse")}


def test_centre_drills_make_the_centre_holes_that_are_recognised() -> None:
    holes = {float(row["d_mm"]): row for row in rows("centre_hole")}
    drills = {float(row["d_mm"]): row for row in shop_rows("centre_hole")}
    assert set(drills) - set(holes) == {0.63}  # recalled alone: no hole is named by it
    for d in holes:
        row = drills[d]
        for column in ("A_D_mm", "B_D_mm"):
            if row[column]:
                assert float(row[column]) == float(holes[d][column]), (d, column)


def test_pipes_tubes_and_bars_in_inch_and_mm() -> None:
    for row in shop_rows("stock_pipe_b3610"):
        od, wall = 25.4 * float(row["od_in"]), 25.4 * float(row["wall_in"])
        near(row, "od_mm", od, 2)
        near(row, "wall_mm", wall, 2)
        near(row, "bore_mm", od - 2.0 * wall, 2)
    for row in shop_rows("stock_tube"):
        inch = {"in": 25.4, "mm": 1.0}[row["unit"]]
        assert float(row["bore_mm"]) == pytest.approx(
            inch * (float(row["od"]) - 2.0 * float(row["wall"])), abs=1.1e-3
        ), row
    for row in shop_rows("stock_bar_inch"):
        assert float(row["mm"]) == pytest.approx(25.4 * float(row["inch"]), abs=1e-3), row
    for row in shop_rows("stock_hex"):
        af = float(row["af_mm"])
        assert float(row["across_corners_mm"]) == pytest.approx(af * 2.0 / math.sqrt(3.0), abs=2e-3)


@pytest.mark.parametrize("row", rows("thread_unified"), ids=lambda row: row["designation"])
def test_named_drills_are_those_that_unified_threads_are_tapped_from(row: Row) -> None:
    """A tapping drill leaves the nut's minor diameter: D1, and about 0.2 P more at most."""
    drill = drill_of(row["tap_drill"])
    assert drill is not None
    least, pitch = 25.4 * float(row["minor_internal_D1"]), 25.4 * float(row["pitch"])
    assert least - 0.02 <= drill <= least + 0.24 * pitch


def test_named_drills_become_larger_by_letter_and_smaller_by_number() -> None:
    """No. 1 is 0.228 in, A 0.234, Z 0.413 (ASME B94.11M, from memory); no two are the same."""
    sizes = [float(row["inch"]) for row in rows("drill_names")]
    numbers = [size for size, row in zip(sizes, rows("drill_names"), strict=True)
               if row["name"].startswith("No.")]  # fmt: skip
    letters = sizes[len(numbers) :]
    assert numbers == sorted(set(numbers), reverse=True)
    assert letters == sorted(set(letters))
    assert (numbers[0], letters[0], letters[-1], len(letters)) == (0.228, 0.234, 0.413, 26)
    for name, mm in (("No.7", 5.1054), ("F", 6.5278), ("27/64", 10.715625)):
        assert drill_of(name) == pytest.approx(mm)
