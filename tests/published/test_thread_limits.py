"""Limits of thread crests against published tables.

Metric: a public table of DIN 13 limits 6g and 6H (adrianschlatter/threadlib, metric_thread.csv).
Its 4g6g and 6h of fine screws: a public chart of ASME B1.13M (amesweb.info). Unified: ASME B1.1
limits as handbooks print them, from memory. G: ISO 228-1 by its table. Trapezoidal: ISO 2903.
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


OTHER_CLASSES = {
    # chart of ASME B1.13M: major of M1.6x0.35 and so on
    "M1.6-6h": (1.515, 1.600), "M1.6-4g6g": (1.496, 1.581), "M2.5-6h": (2.400, 2.500),
    "M3-4g6g": (2.874, 2.980), "M4-6h": (3.860, 4.000), "M5-6h": (4.850, 5.000),
    # ISO 965-1, from memory: Td of 1.5 is 150, 236, 375; e, f, g of it 67, 45, 32
    "M10-4h": (9.850, 10.000), "M10-8g": (9.593, 9.968), "M10-6e": (9.697, 9.933),
    "M10-6f": (9.719, 9.955), "M10-5g6g": (9.732, 9.968),
    # TD1 of 1.5: 190, 236, 300, 375, 475; D1 is 8.376
    "M10-4H": (8.376, 8.566), "M10-4H5H": (8.376, 8.612), "M10-7H": (8.376, 8.751),
    "M10-8H": (8.376, 8.851), "M10-6G": (8.408, 8.708), "M10-7G": (8.408, 8.783),
    # no class of the usual ones below M1.6: M1 by 6h and 5H, TD1 56 (ISO 965-1)
    "M1": (0.933, 1.000), "M1 nut": (0.729, 0.785),
}  # fmt: skip
UNIFIED_CLASSES = {
    # inch, from memory of handbooks
    "1/4-20 UNC-1A": (0.2367, 0.2489), "1/4-20 UNC-3A": (0.2419, 0.2500),
    "1/2-13 UNC-3A": (0.4891, 0.5000), "1/4-20 UNC-1B": (0.196, 0.207),
    "1/4-20 UNC-3B": (0.196, 0.2067), "3/8-16 UNC-3B": (0.307, 0.3182),
    "1/2-13 UNC-3B": (0.417, 0.4284), "1-8 UNC-3B": (0.865, 0.8797),
}  # fmt: skip
TRAPEZOIDAL = {
    # ISO 2903: Td 4 of 4, 7, 8 is 300, 425, 450, TD1 4 is 375, 560, 630; d and D1 have no deviation
    "Tr20x4": (19.700, 20.000, 16.000, 16.375),
    "Tr40x7": (39.575, 40.000, 33.000, 33.560),
    "Tr50x8": (49.550, 50.000, 42.000, 42.630),
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


@pytest.mark.parametrize("stated", OTHER_CLASSES)
def test_other_metric_classes(stated: str) -> None:
    name, _, called = stated.partition("-")
    inside = called[-1:] in ("G", "H") or name.endswith(" nut")
    one = size(name.removesuffix(" nut"))
    limits = crest_limits(one, "inner" if inside else "outer", stated.removesuffix(" nut"))
    assert limits is not None
    assert (limits.low_mm, limits.high_mm) == pytest.approx(OTHER_CLASSES[stated], abs=0.0011)
    assert limits.called == (called or ("5H" if inside else "6h"))
    assert limits.stated == bool(called)


@pytest.mark.parametrize("stated", UNIFIED_CLASSES)
def test_other_unified_classes(stated: str) -> None:
    name, _, called = stated.rpartition("-")
    limits = crest_limits(size(name), "inner" if called.endswith("B") else "outer", stated)
    assert limits is not None
    found = (limits.low_mm / 25.4, limits.high_mm / 25.4)
    assert found == pytest.approx(UNIFIED_CLASSES[stated], abs=0.00006)
    assert (limits.called, limits.stated) == (called, True)


@pytest.mark.parametrize("name", TRAPEZOIDAL)
@pytest.mark.parametrize(("bolt_class", "nut_class"), [("", ""), ("-7e", "-7H"), ("-8c", "-9H")])
def test_trapezoidal_crests_are_alike_in_every_class(
    name: str, bolt_class: str, nut_class: str
) -> None:
    low, high, nut_low, nut_high = TRAPEZOIDAL[name]
    bolt = crest_limits(size(name), "outer", name + bolt_class)
    nut = crest_limits(size(name), "inner", name + nut_class)
    assert bolt is not None
    assert nut is not None
    assert (bolt.low_mm, bolt.high_mm) == pytest.approx((low, high))
    assert (nut.low_mm, nut.high_mm) == pytest.approx((nut_low, nut_high))
    assert (bolt.called, nut.called) == (
        bolt_class[1:] or "every class",
        nut_class[1:] or "every class",
    )
    assert crest_limits(size(name), "outer", f"{name}-7H") is None


def test_a_class_that_the_standard_has_not_gets_no_limits() -> None:
    """ISO 965-1 has crests of grades 4, 6 and 8 outside, no 8 below 0.8 mm, no e below 0.5."""
    for stated, side in (
        ("M12-7h", "outer"),
        ("M3-8g", "outer"),
        ("M2-6e", "outer"),
        ("M12-9H", "inner"),
        ("M3-8H", "inner"),
        ("1/4-20 UNC-2A", "inner"),
    ):
        name = stated.rpartition("-")[0]
        assert crest_limits(size(name), side, stated) is None


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
    assert crest_limits(size("M12"), "outer", "M12-6H") is None
