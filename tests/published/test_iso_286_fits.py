"""Limits of tolerance classes against printed tables of the standard.

Shafts d6 to h6: ISO 286-2, limit deviations for shafts, as a reprint of the table has them, sizes
over 3 to 400 mm. h9 and h11: a dealer's table of bars with ISO h tolerances, 3 to 315 mm.
Preferred fits at 25 mm: ANSI B4.2, from memory, equal in an independent package of the standard.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from turnability.intent.fits import fit_class, fit_limits

BANDS = (6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400)
"""Upper ends of the standard's main size bands, mm; the first printed one begins over 3 mm."""
PRINTED_UM = {
    "d6": "-30 -38 -40 -49 -50 -61 -65 -78 -80 -96 -100 -119 -120 -142 -145 -170 -170 -199 "
    "-190 -222 -210 -246",
    "e6": "-20 -28 -25 -34 -32 -43 -40 -53 -50 -66 -60 -79 -72 -94 -85 -110 -100 -129 "
    "-110 -142 -125 -161",
    "f5": "-10 -15 -13 -19 -16 -24 -20 -29 -25 -36 -30 -43 -36 -51 -43 -61 -50 -70 -56 -79 -62 -87",
    "f7": "-10 -22 -13 -28 -16 -34 -20 -41 -25 -50 -30 -60 -36 -71 -43 -83 -50 -96 -56 -108 "
    "-62 -119",
    "g6": "-4 -12 -5 -14 -6 -17 -7 -20 -9 -25 -10 -29 -12 -34 -14 -39 -15 -44 -17 -49 -18 -54",
    "g7": "-4 -16 -5 -20 -6 -24 -7 -28 -9 -34 -10 -40 -12 -47 -14 -54 -15 -61 -17 -69 -18 -75",
    "h6": "0 -8 0 -9 0 -11 0 -13 0 -16 0 -19 0 -22 0 -25 0 -29 0 -32 0 -36",
    "h9": "0 -30 0 -36 0 -43 0 -52 0 -62 0 -74 0 -87 0 -100 0 -115",
    "h11": "0 -75 0 -90 0 -110 0 -130 0 -160 0 -190 0 -220 0 -250 0 -290",
}
CASES = [
    (name, size, int(lower), int(upper))
    for name, text in PRINTED_UM.items()
    for size, upper, lower in zip(BANDS, text.split()[::2], text.split()[1::2], strict=False)
]
AT_25_MM = {
    "g6": (24.980, 24.993), "f7": (24.959, 24.980), "k6": (25.002, 25.015),
    "n6": (25.015, 25.028), "p6": (25.022, 25.035), "h9": (24.948, 25.000),
    "H7": (25.000, 25.021), "H11": (25.000, 25.130), "D9": (25.065, 25.117),
    "F8": (25.020, 25.053), "G7": (25.007, 25.028),
}  # fmt: skip


def deviations(name: str, size: float) -> tuple[float, float] | None:
    fit = fit_class(name)
    assert fit is not None
    return fit_limits(fit, size).deviations_mm


@pytest.mark.parametrize(("name", "size", "lower", "upper"), CASES)
def test_printed_limits(name: str, size: int, lower: int, upper: int) -> None:
    assert deviations(name, size) == pytest.approx((lower / 1000, upper / 1000), abs=1e-9)


@pytest.mark.parametrize(("name", "limits"), AT_25_MM.items())
def test_preferred_fits_at_25_mm(name: str, limits: tuple[float, float]) -> None:
    assert deviations(name, 25.0) == pytest.approx((limits[0] - 25, limits[1] - 25), abs=1e-9)


def test_a_band_ends_with_its_upper_size() -> None:
    """ISO 286-1: over 30 up to and including 50."""
    assert deviations("h6", 50.0) == pytest.approx((-0.016, 0.0))
    assert deviations("h6", 50.001) == pytest.approx((-0.019, 0.0))
    assert deviations("h6", 30.0) == pytest.approx((-0.013, 0.0))


def test_js_lies_evenly_by_definition() -> None:
    assert deviations("js7", 25.0) == pytest.approx((-0.0105, 0.0105))
    assert deviations("JS7", 25.0) == pytest.approx((-0.0105, 0.0105))


@pytest.mark.parametrize("name", ["K7", "N7", "P7", "r6", "s6", "c11", "a11", "j6", "zc8"])
def test_of_other_positions_only_the_width_is_known(name: str) -> None:
    fit = fit_class(name)
    assert fit is not None
    limits = fit_limits(fit, 25.0)
    assert limits.deviations_mm is None
    assert limits.width_mm is not None
    same = fit_class(f"h{fit.grade}")
    assert same is not None
    assert limits.width_mm == fit_limits(same, 25.0).width_mm
    assert limits.width_mm.source == "ISO 286-1"


@pytest.mark.parametrize(("name", "size"), [("h15", 25), ("h4", 501), ("h6", 501)])
def test_outside_the_tables_nothing_is_known(name: str, size: float) -> None:
    fit = fit_class(name)
    assert fit is not None
    assert (fit_limits(fit, size).deviations_mm, fit_limits(fit, size).width_mm) == (None, None)


FINE_UM = {
    1: (0.8, 1, 1, 1.2, 1.5, 1.5, 2, 2.5, 3.5, 4.5, 6),
    2: (1.2, 1.5, 1.5, 2, 2.5, 2.5, 3, 4, 5, 7, 8),
    3: (2, 2.5, 2.5, 3, 4, 4, 5, 6, 8, 10, 12),
    4: (3, 4, 4, 5, 6, 7, 8, 10, 12, 14, 16),
}
"""ISO 286-1, IT1 to IT4 over 1 to 315 mm, as a blog's page for engineers prints the table."""


@pytest.mark.parametrize("grade", FINE_UM)
def test_printed_widths_of_the_finest_grades(grade: int) -> None:
    printed = zip((3, *BANDS[:-1]), FINE_UM[grade], strict=True)
    for size, width in printed:
        assert deviations(f"h{grade}", size) == pytest.approx((-width / 1000, 0.0), abs=1e-9)


@pytest.mark.parametrize("over_to", list(pairwise(BANDS)))
def test_the_finest_grades_follow_the_standards_formulas(over_to: tuple[int, int]) -> None:
    """ISO 286-1, in µm: IT01 0.3 + 0.008 D, IT0 0.5 + 0.012 D, IT1 0.8 + 0.02 D.

    D is the geometric mean of the band; IT2 to IT4 are in steps of one ratio from IT1 to IT5. The
    standard rounds, by up to a fifth or 0.3 µm.
    """
    mean = (over_to[0] * over_to[1]) ** 0.5
    widths = {}
    for grade in ("01", "0", "1", "2", "3", "4", "5"):
        limits = deviations(f"h{grade}", over_to[1])
        assert limits is not None
        widths[grade] = -1000.0 * limits[0]
    assert widths["01"] == pytest.approx(0.3 + 0.008 * mean, rel=0.2, abs=0.3)
    assert widths["0"] == pytest.approx(0.5 + 0.012 * mean, rel=0.2, abs=0.3)
    assert widths["1"] == pytest.approx(0.8 + 0.02 * mean, rel=0.2, abs=0.3)
    step = (widths["5"] / widths["1"]) ** 0.25
    for n in (2, 3, 4):
        assert widths[str(n)] == pytest.approx(widths["1"] * step ** (n - 1), rel=0.2, abs=0.3)


@pytest.mark.parametrize(
    "text", ["", "h", "6", "h6h", "H7/g6", "Js7", "i6", "l7", "o6", "h19", "w6"]
)
def test_what_is_no_class(text: str) -> None:
    assert fit_class(text) is None
