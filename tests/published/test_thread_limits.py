"""Limits of thread crests against published tables.

Metric: a public table of DIN 13 limits 6g and 6H (adrianschlatter/threadlib, metric_thread.csv).
Unified: ASME B1.1 limits 2A and 2B as handbooks print them, from memory. G: ISO 228-1 by its table.
"""

from __future__ import annotations

import pytest

from turnability.features.standards.thread_limits import class_of, crest_limits
from turnability.features.standards.threads import ThreadSize, thread_sizes

METRIC = {
    # major of 6g, least and greatest; minor of 6H
    "M2": (1.886, 1.981, 1.567, 1.679),
    "M3": (2.874, 2.980, 2.459, 2.599),
    "M4": (3.838, 3.978, 3.242, 3.422),
    "M5": (4.826, 4.976, 4.134, 4.334),
    "M6": (5.794, 5.974, 4.917, 5.153),
    "M8": (7.760, 7.972, 6.647, 6.912),
    "M8x1": (7.794, 7.974, 6.917, 7.153),
    "M10": (9.732, 9.968, 8.376, 8.676),
    "M10x1.25": (9.760, 9.972, 8.647, 8.912),
    "M12": (11.70, 11.97, 10.106, 10.441),
    "M16": (15.68, 15.96, 13.835, 14.210),
    "M20": (19.62, 19.96, 17.294, 17.744),
    "M24": (23.58, 23.95, 20.752, 21.252),
    "M30": (29.52, 29.95, 26.211, 26.771),
    "M36": (35.47, 35.94, 31.670, 32.270),
    "M42": (41.44, 41.94, 37.129, 37.799),
    "M48": (47.40, 47.93, 42.587, 43.297),
    "M56": (55.37, 55.93, 50.046, 50.796),
    "M64": (63.32, 63.92, 57.505, 58.305),
}
UNIFIED = {
    # inch: major of 2A, minor of 2B to three places
    "No.8-32 UNC": (0.1571, 0.1631, 0.130, 0.139),
    "No.10-32 UNF": (0.1831, 0.1891, 0.156, 0.164),
    "1/4-20 UNC": (0.2408, 0.2489, 0.196, 0.207),
    "3/8-16 UNC": (0.3643, 0.3737, 0.307, 0.321),
    "1/2-13 UNC": (0.4876, 0.4985, 0.417, 0.434),
    "7/8-14 UNF": (0.8631, 0.8734, 0.798, 0.814),
    "1-8 UNC": (0.9830, 0.9980, 0.865, 0.890),
}


def size(name: str) -> ThreadSize:
    return next(s for s in thread_sizes() if s.designation == name)


@pytest.mark.parametrize("name", METRIC)
def test_metric_limits(name: str) -> None:
    low, high, nut_low, nut_high = METRIC[name]
    bolt, nut = crest_limits(size(name), "outer"), crest_limits(size(name), "inner")
    assert bolt is not None
    assert nut is not None
    places = 0.0051 if low > 11.0 else 0.0011  # the table has two places outside from 11 mm on
    assert (bolt.low_mm, bolt.high_mm) == pytest.approx((low, high), abs=places)
    assert (nut.low_mm, nut.high_mm) == pytest.approx((nut_low, nut_high), abs=0.0011)
    assert (bolt.called, nut.called, bolt.stated) == ("6g", "6H", False)


@pytest.mark.parametrize("name", UNIFIED)
def test_unified_limits(name: str) -> None:
    bolt, nut = crest_limits(size(name), "outer"), crest_limits(size(name), "inner")
    assert bolt is not None
    assert nut is not None
    found = [v / 25.4 for v in (bolt.low_mm, bolt.high_mm, nut.low_mm, nut.high_mm)]
    assert found == pytest.approx(UNIFIED[name], abs=0.00006)


def test_pipe_thread_limits() -> None:
    """G1/2 (ISO 228-1, class A): major 20.671 to 20.955, minor 18.631 to 19.172."""
    bolt, nut = crest_limits(size("G1/2"), "outer"), crest_limits(size("G1/2"), "inner")
    assert bolt is not None
    assert nut is not None
    assert (bolt.low_mm, bolt.high_mm) == pytest.approx((20.671, 20.955))
    assert (nut.low_mm, nut.high_mm) == pytest.approx((18.631, 19.172))


@pytest.mark.parametrize(
    ("text", "called"),
    [
        ("M12", None), ("M12-6h", "6h"), ("M12x1.5 - 5g6g", "5g6g"), ("1/4-20 UNC-2A", "2A"),
        ("M16x2-6H-LH", "6H"), ("Tr20x4", None), ("G1/2", None), ("7/8-14 UNF", None),
    ],
)  # fmt: skip
def test_the_class_that_a_designation_states(text: str, called: str | None) -> None:
    assert class_of(text) == called


def test_a_class_of_two_turns_to_the_limits_of_the_second() -> None:
    """5g6g (ISO 965-1): 5g for the pitch diameter, 6g for the crest."""
    two, usual = crest_limits(size("M12"), "outer", "M12-5g6g"), crest_limits(size("M12"), "outer")
    assert two is not None
    assert usual is not None
    assert (two.low_mm, two.high_mm) == (usual.low_mm, usual.high_mm)
    assert crest_limits(size("M12"), "outer", "M12-4h") is None
    assert crest_limits(size("M12"), "outer", "M12-6H") is None
