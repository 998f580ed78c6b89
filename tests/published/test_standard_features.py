"""Features drawn to published sizes are matched with them, and with nothing a little beside them.

Sources, each a table of the standard in an open data set or a trade handbook, rechecked as the
comments of `features/standards/tables` say: DIN 471, DIN 472 (rings), AS568 / ISO 3601-2 style
glands, DIN 509:2006 (undercuts; r, t1, f, t2), DIN 76-1 (thread reliefs: diameter, length, flank),
ISO 6411 / DIN 332-1 and DIN 332-2 (centre holes), ISO 296 (Morse) and ISO 297 (7/24).
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from turnability.features.drawing import ArcTo, drawn, fillet
from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.model import HelicalThread

DIN_471 = [(10, 9.6, 1.1, "10x1"), (20, 19, 1.3, "20x1.2"), (30, 28.6, 1.6, "30x1.5"),
           (50, 47, 2.15, "50x2"), (100, 96.5, 3.15, "100x3"),
           (300, 292, 5.15, "300x5")]  # fmt: skip
DIN_472 = [(12, 12.5, 1.1, "12x1"), (20, 21, 1.1, "20x1"), (30, 31.4, 1.3, "30x1.2"),
           (50, 53, 2.15, "50x2"), (68, 71, 2.65, "68x2.5"), (150, 155, 4.15, "150x4"),
           (290, 298, 5.15, "290x5")]  # fmt: skip


def of_kind(drawing, kind: str, threads=()) -> Feature:
    (feature,) = (f for f in recognise(drawn(drawing), threads) if f.kind == kind)
    return feature


def names(feature: Feature, standard: str) -> list[str]:
    return [m.designation for m in feature.matches if m.standard == standard]


def square(lip: float, floor: float, width: float, z: float = 30.0, length: float = 80.0):
    """A shaft with a square groove, diameters given."""
    a, b = lip / 2, floor / 2
    return [
        (0, 0),
        (length, 0),
        (length, a),
        (z + width, a),
        (z + width, b),
        (z, b),
        (z, a),
        (0, a),
    ]


def bored(bore: float, floor: float, width: float, z: float = 30.0, length: float = 80.0):
    a, b = bore / 2, floor / 2
    return [
        (0, a), (z, a), (z, b), (z + width, b), (z + width, a), (length, a), (length, bore),
        (0, bore),
    ]  # fmt: skip


@pytest.mark.parametrize(("d1", "d2", "m", "name"), DIN_471)
def test_ring_grooves_on_shafts(d1: float, d2: float, m: float, name: str) -> None:
    groove = of_kind(square(d1, d2, m), "groove")
    assert name in names(groove, "DIN 471")
    (match,) = (one for one in groove.matches if one.designation == name)
    assert match.residual_mm == pytest.approx(0.0, abs=1e-9)
    assert not names(of_kind(square(d1, d2 - 0.9, m), "groove"), "DIN 471")  # too deep
    assert not names(of_kind(square(d1, d2 + 0.01, m), "groove"), "DIN 471")  # h: never larger
    assert not names(of_kind(square(d1, d2, m - 0.05), "groove"), "DIN 471")  # no room


@pytest.mark.parametrize(("d1", "d2", "m", "name"), DIN_472)
def test_ring_grooves_in_bores(d1: float, d2: float, m: float, name: str) -> None:
    assert name in names(of_kind(bored(d1, d2, m), "recess"), "DIN 472")
    assert not names(of_kind(bored(d1, d2 + 0.9, m), "recess"), "DIN 472")
    assert not names(of_kind(bored(d1, d2, m - 0.05), "recess"), "DIN 472")


@pytest.mark.parametrize(
    ("end", "found"),
    [
        (50.0, True),
        (49.6, True),
        (48.6, True),
        (48.4, False),
        (47.6, False),
        (50.8, True),
        (60.0, False),
    ],
)
def test_ring_grooves_before_another_land(end: float, found: bool) -> None:
    """DIN 471 50x2, d2 47, m 2.15; the land toward the end turned smaller, or a collar
    (beside one far higher it is an undercut). In the bore (DIN 472 50x2, d2 53) the mouth is as
    much wider."""
    shaft = [(0, 0), (80, 0), (80, end / 2), (72.15, end / 2), (72.15, 23.5), (70, 23.5), (70, 25),
             (0, 25)]  # fmt: skip
    for drawing in (shaft, [(80 - z, r) for z, r in reversed(shaft)]):
        assert names(of_kind(drawing, "groove"), "DIN 471") == (["50x2"] if found else [])
    mouth = 50.0 - end / 2  # as far from 25 the other way
    bore = [(0, 25), (70, 25), (70, 26.5), (72.15, 26.5), (72.15, mouth), (80, mouth), (80, 40),
            (0, 40)]  # fmt: skip
    recesses = [f for f in recognise(drawn(bore)) if f.kind == "recess"]
    assert ["50x2"] * found == [n for f in recesses for n in names(f, "DIN 472")]


@pytest.mark.parametrize(
    ("w", "depth", "width"), [("1.78", 1.35, 2.5), ("2.62", 2.1, 3.68), ("3.53", 2.85, 4.7)]
)
def test_radial_glands(w: str, depth: float, width: float) -> None:
    outside = of_kind(square(60, 60 - 2 * depth, width), "groove")
    assert f"{w} static, radial outside" in names(outside, "AS568 / ISO 3601")
    inside = of_kind(bored(60, 60 + 2 * depth, width), "recess")
    assert f"{w} static, radial inside" in names(inside, "AS568 / ISO 3601")
    shallow = of_kind(square(60, 60 - 0.75 * 2 * depth, width), "groove")
    narrow = of_kind(square(60, 60 - 2 * depth, 0.9 * width), "groove")
    for other in (shallow, narrow):
        assert not [name for name in names(other, "AS568 / ISO 3601") if name.startswith(w)]


@pytest.mark.parametrize(("w", "depth", "width"), [("1.78", 1.3, 2.45), ("3.53", 2.65, 4.7)])
def test_face_glands(w: str, depth: float, width: float) -> None:
    z = 20 - depth
    drawing = [(0, 0), (20, 0), (20, 15), (z, 15), (z, 15 + width), (20, 15 + width), (20, 40),
               (0, 40)]  # fmt: skip
    assert f"{w} static, face" in names(of_kind(drawing, "end-groove"), "AS568 / ISO 3601")


def undercut(kind: str, r: float, t1: float, f: float, t2: float, d: float, ramp: float = 15.0):
    """A journal of diameter d against a shoulder at z = 30, relieved there."""
    run = t1 / math.tan(math.radians(ramp))
    lip, foot = (30 + f, d / 2), (30 + f - run, d / 2 - t1)
    if kind == "E":
        corner, top = (30.0, d / 2 - t1), (30.0, d / 2 + 5)
        deep = []
    else:
        # the face's ramp of 8 degrees is tangent to the corner's arc, which is t2 deep
        along = (math.sin(math.radians(8)), math.cos(math.radians(8)))
        touch = (30 - t2 + r * (1 - along[1]), d / 2 - t1 + r * (1 + along[0]))
        back = (touch[1] - (d / 2 - t1)) / along[1]
        corner = (touch[0] - back * along[0], d / 2 - t1)
        top = (30.0, touch[1] + (30 - touch[0]) / along[0] * along[1])
        deep = [(30.0, d / 2 + 5)]
    return [
        (0, 0), (80, 0), (80, d / 2), lip, foot, *fillet(foot, corner, top, r), top, *deep,
        (0, d / 2 + 5),
    ]  # fmt: skip


DIN_509 = [(0.4, 0.2, 2.0, 0.1, 10), (0.6, 0.2, 2.0, 0.1, 16), (0.6, 0.3, 2.5, 0.2, 40),
           (0.8, 0.3, 2.5, 0.2, 40), (1.2, 0.2, 2.5, 0.1, 40), (1.2, 0.4, 4.0, 0.3, 100),
           (1.0, 0.4, 4.0, 0.3, 100), (1.6, 0.3, 4.0, 0.2, 60), (2.5, 0.4, 5.0, 0.3, 90),
]  # fmt: skip


@pytest.mark.parametrize("kind", ["E", "F"])
@pytest.mark.parametrize(("r", "t1", "f", "t2", "d"), DIN_509)
def test_undercuts(kind: str, r: float, t1: float, f: float, t2: float, d: float) -> None:
    groove = of_kind(undercut(kind, r, t1, f, t2, d), "groove")
    assert f"{kind}{r:g}x{t1:g}" in names(groove, "DIN 509")
    assert groove.parameters["at_shoulder"] == "low"
    assert groove.parameters["depth_mm"] == pytest.approx(t1)
    features = recognise(drawn(undercut(kind, r, t1, f, t2, d)))
    expected = ["cylinder", "cylinder", "face", "face", "fillet", "groove", "shoulder"]
    assert sorted(one.kind for one in features) == expected


@pytest.mark.parametrize(("r", "t1", "f", "t2", "d"), DIN_509)
def test_undercuts_in_bores(r: float, t1: float, f: float, t2: float, d: float) -> None:
    """E at a bore's seat: the same sizes, sunk outward."""
    foot = 30 + f - t1 / math.tan(math.radians(15))
    low, deep = d / 2, d / 2 + t1
    drawing = [
        (0, d / 4), (30, d / 4), *fillet((30, d / 4), (30, deep), (foot, deep), r), (foot, deep),
        (30 + f, low), (80, low), (80, d), (0, d),
    ]  # fmt: skip
    recess = of_kind(drawing, "recess")
    assert f"E{r:g}x{t1:g}" in names(recess, "DIN 509")
    assert recess.parameters["at_shoulder"] == "low"


def test_undercuts_beside_the_standard_are_not_matched() -> None:
    for drawing in (
        undercut("E", 0.9, 0.3, 2.5, 0.2, 40),
        undercut("E", 0.6, 0.3, 3.2, 0.2, 40),
        undercut("E", 0.6, 0.3, 2.5, 0.2, 40, ramp=25.0),
    ):
        assert not any(
            m.standard == "DIN 509" for f in recognise(drawn(drawing)) for m in f.matches
        )


def insert_corner(r: float, t1: float, t2: float, ramp: float, d: float, bore: bool = False):
    """A shoulder at z = 30 whose corner an insert of 90 - 2 ramp degrees has left, t1 and t2 deep:
    the drawing, f and g."""
    s, c = math.sin(math.radians(ramp)), math.cos(math.radians(ramp))
    f = (r - t2) + (r - (r - t1) * c) / s  # tangents to the corner's arc, cut with both surfaces
    g = (r - t1) + (r - (r - t2) * c) / s
    t = s / c
    z = -t * (g + f * t) / (1 - t * t)
    out = -1.0 if bore else 1.0
    a, b = (30 + f, d / 2), (30.0, d / 2 + out * g)
    sharp = (30 + z, d / 2 - out * (f - z) * t)
    if bore:
        return [(0, d / 4), (30, d / 4), b, *fillet(b, sharp, a, r), a, (80, d / 2), (80, d),
                (0, d)], f, g + t1  # fmt: skip
    return [(0, 0), (80, 0), (80, d / 2), a, *fillet(a, sharp, b, r), b, (30, d), (0, d)], f, g + t1


@pytest.mark.parametrize("bore", [False, True])
@pytest.mark.parametrize(
    ("r", "t1", "t2", "ramp", "d", "f", "g", "name"),
    [  # DIN 509:2006 prints f and g of both in brackets; no second table has G, so it has no name
        (0.8, 0.3, 0.05, 15.0, 40, 2.0, 1.1, ["H0.8x0.3"]),
        (0.4, 0.2, 0.2, 17.5, 14, 0.9, 1.1, []),
    ],
)
def test_undercuts_left_by_an_inserts_corner(
    r: float, t1: float, t2: float, ramp: float, d: float, f: float, g: float, name: list[str],
    bore: bool,
) -> None:  # fmt: skip
    """Types H (triangular insert, 60 degrees) and G (rhombic, 55) are undercuts, not two cones."""
    drawing, drawn_f, drawn_g = insert_corner(r, t1, t2, ramp, d, bore)
    assert (drawn_f, drawn_g) == pytest.approx((f, g), abs=0.03)
    kind = "recess" if bore else "groove"
    groove = of_kind(drawing, kind)
    assert names(groove, "DIN 509") == name
    assert groove.parameters["at_shoulder"] == "low"
    assert groove.parameters["depth_mm"] == pytest.approx(t1)
    assert groove.parameters["face_depth_mm"] == pytest.approx(t2)
    assert groove.parameters["length_mm"] == pytest.approx(drawn_f)
    assert not any(one.kind in ("taper", "contour") for one in recognise(drawn(drawing)))
    wider, _, _ = insert_corner(1.25 * r, t1, t2, ramp, d, bore)
    assert names(of_kind(wider, kind), "DIN 509") == []


DIN_76 = [("M6", 6, 1.0, 4.4, 2.1, 3.5), ("M12", 12, 1.75, 9.4, 3.9, 6.1),
          ("M20", 20, 2.5, 16.4, 5.6, 8.7), ("M64", 64, 6.0, 55.7, 14.0, 21.0)]  # fmt: skip
DIN_76_SHORT = [("M6", 6, 1.0, 4.4, 1.1, 2.5), ("M12", 12, 1.75, 9.4, 2.1, 4.3),
                ("M20", 20, 2.5, 16.4, 3.2, 6.3)]  # fmt: skip


def relieved(d: float, dg: float, g1: float, g2: float):
    """A stud with its head at the low end; the flank toward the thread takes what g2 leaves."""
    return [
        (0, 0), (60, 0), (60, d / 2), (10 + g2, d / 2), (10 + g1, dg / 2), (10, dg / 2), (10, d),
        (0, d),
    ], 10 + g2  # fmt: skip


@pytest.mark.parametrize(("name", "d", "pitch", "dg", "g1", "g2"), DIN_76)
def test_thread_reliefs(name: str, d: float, pitch: float, dg: float, g1: float, g2: float) -> None:
    drawing, begin = relieved(d, dg, g1, g2)
    thread = HelicalThread(
        "outer", "right", 1, pitch, d, d - 1.2269 * pitch, (30.0, 30.0), (begin, 60.0), ()
    )
    groove = of_kind(drawing, "groove", (thread,))
    assert names(groove, "DIN 76-1") == [f"A P{pitch:g}"]
    wider, begin = relieved(d, dg - 0.9, g1, g2)
    off = HelicalThread("outer", "right", 1, pitch, d, dg, (30.0, 30.0), (begin, 60.0), ())
    assert not [m for f in recognise(drawn(wider), (off,)) for m in f.matches
                if m.standard == "DIN 76-1"]  # fmt: skip


@pytest.mark.parametrize(("name", "d", "pitch", "dg", "g1", "g2"), DIN_76_SHORT)
def test_short_thread_reliefs(
    name: str, d: float, pitch: float, dg: float, g1: float, g2: float
) -> None:
    """Form B by both tables; one as long as neither form allows has no name."""

    def named(g1: float, g2: float) -> list[str]:
        drawing, begin = relieved(d, dg, g1, g2)
        thread = HelicalThread(
            "outer", "right", 1, pitch, d, d - 1.2269 * pitch, (30.0, 30.0), (begin, 60.0), ()
        )
        return names(of_kind(drawing, "groove", (thread,)), "DIN 76-1")

    assert named(g1, g2) == [f"B P{pitch:g}"]
    assert named(g1, g2 + 0.1) == []
    assert named(g1 - 0.3, g2 - 0.3) == []


@pytest.mark.parametrize(
    ("name", "gauge", "small", "length"),
    [  # an inch trade table of plug diameters and lengths: no. 2 to 6
        ("Morse 2", 17.780, 14.529, 65.02),
        ("Morse 4", 31.267, 25.908, 103.12),
        ("Morse 6", 63.348, 53.746, 184.15),
    ],
)
def test_morse_tapers(name: str, gauge: float, small: float, length: float) -> None:
    taper = (gauge - small) / length
    big, low = gauge + 5 * taper, gauge - 0.8 * length * taper
    drawing = [(0, 0), (0.8 * length + 5, 0), (0.8 * length + 5, big / 2), (0, low / 2)]
    assert names(of_kind(drawing, "taper"), "ISO 296") == [name]
    other = [(0, 0), (0.8 * length + 5, 0), (0.8 * length + 5, big / 2), (0, low / 2 - 0.1)]
    assert not names(of_kind(other, "taper"), "ISO 296")


@pytest.mark.parametrize(
    ("name", "pitch_d0", "pitch"),
    [  # ASME B1.20.1: E0 and pitch in inch, as two trade tables give them
        ("1/4-18 NPT", 0.47739, 1 / 18),
        ("1/2-14 NPT", 0.75843, 1 / 14),
        ("3/8-18 NPT", 0.61201, 1 / 18),
    ],
)
def test_taper_pipe_cones(name: str, pitch_d0: float, pitch: float) -> None:
    small = (pitch_d0 + 0.8 * pitch) * 25.4
    length = 9.5
    large = small + length / 16
    drawing = [(0, 0), (length, 0), (length, small / 2), (0, large / 2), (-20, large / 2 + 4),
               (-20, 0)]  # fmt: skip
    drawing = [(z + 20, r) for z, r in drawing]
    (cone,) = (f for f in recognise(drawn(drawing)) if f.kind == "taper" and f.z_mm[0] > 10)
    assert names(cone, "ASME B1.20.1") == [name]
    assert cone.alternative is not None
    assert cone.alternative.kind == "thread"
    other = [(z, r + 0.3) if r else (z, r) for z, r in drawing]
    (cone,) = (f for f in recognise(drawn(other)) if f.kind == "taper" and f.z_mm[0] > 10)
    assert names(cone, "ASME B1.20.1") == []


@pytest.mark.parametrize(
    ("name", "small", "long"),
    [  # ASME B1.20.1: E0 + 0.8 p and L2, inch
        ("1/8-27 NPT", 0.36351 + 0.8 / 27, 0.2639),
        ("1/2-14 NPT", 0.75843 + 0.8 / 14, 0.5337),
        ("1-11.5 NPT", 1.21363 + 0.8 / 11.5, 0.6828),
    ],
)
def test_a_cone_as_long_as_the_effective_thread(name: str, small: float, long: float) -> None:
    r, length = 12.7 * small, 25.4 * long
    large = r + length / 32
    drawing = [(0, 0), (50, 0), (50, 30), (length, 30), (length, large), (0, r)]
    assert name in names(of_kind(drawing, "taper"), "ASME B1.20.1")
    slender = [(0, 0), (50, 0), (50, 30), (3 * length, 30), (3 * length, r + 3 * length / 32),
               (0, r)]  # fmt: skip
    assert names(of_kind([(z * 3, q) if z == 50 else (z, q) for z, q in slender], "taper"),
                 "ASME B1.20.1") == []  # fmt: skip


@pytest.mark.parametrize(
    ("size", "gauge_d", "gauge", "length"),
    [("1/8", 9.728, 4.0, 6.5), ("1/2", 20.955, 8.2, 13.2), ("1", 33.249, 10.4, 16.0),
     ("2", 59.614, 15.9, 23.4)],
)  # fmt: skip
def test_taper_pipe_threads_of_iso_7(
    size: str, gauge_d: float, gauge: float, length: float
) -> None:
    """Gauge diameters and lengths as two public tables of BSP threads give them (taper 1:16)."""
    small = gauge_d - gauge / 16
    drawing = [(0, 0), (40, 0), (40, small / 2 + length / 32), (length, small / 2 + length / 32),
               (0, small / 2)]  # fmt: skip
    cone = of_kind(drawing, "taper")
    assert names(cone, "ISO 7-1") == [f"R {size}"]
    assert cone.alternative is not None
    # 1 inch is the one size whose NPT (E0 + 0.8 p = 32.593) cannot be told from R (32.599)
    assert bool(names(cone, "ASME B1.20.1")) == (size == "1")
    beside = [(z, r + 0.25 if r else r) for z, r in drawing]
    assert names(of_kind(beside, "taper"), "ISO 7-1") == []


@pytest.mark.parametrize(
    ("number", "gauge", "length"), [(30, 31.75, 48.4), (40, 44.45, 65.4), (50, 69.85, 101.8)]
)
def test_steep_tapers(number: int, gauge: float, length: float) -> None:
    """Gauge diameters and lengths of 7/24 shanks as a machine manual's table gives them."""
    small = gauge - length * 7 / 24
    drawing = [(0, 0), (length, 0), (length, gauge / 2), (0, small / 2)]
    assert names(of_kind(drawing, "taper"), "ISO 297") == [f"7/24 No. {number}"]


@pytest.mark.parametrize(
    ("thread", "core", "relief", "seat", "guard", "deep"),
    [("M6", 5.0, 6.4, 9.6, 10.5, 5.0), ("M8", 6.8, 8.4, 12.2, 13.2, 6.0),
     ("M10", 8.5, 10.5, 14.9, 16.3, 7.5), ("M12", 10.2, 13.0, 18.1, 19.8, 9.5),
     ("M16", 14.0, 17.0, 23.0, 25.3, 12.0)],
)  # fmt: skip
@pytest.mark.parametrize("form", ["D", "DS", "DR"])
@pytest.mark.parametrize("low", [False, True])
def test_centre_holes_with_thread(
    thread: str, core: float, relief: float, seat: float, guard: float, deep: float, form: str,
    low: bool,
) -> None:  # fmt: skip
    """DIN 332-2: d2, d3, d4, d5 and t3 as a gear maker's catalogue prints them for shaft ends."""
    protection = (guard - seat) / 2 / math.tan(math.radians(60)) if form == "DS" else 0.0
    cone = (seat - relief) / 2 / math.tan(math.radians(30))
    point = core / 2 / math.tan(math.radians(60))
    top = 100 - protection
    a, b = (top - cone, relief / 2), (top, seat / 2)
    mouth: list[Any] = [a, b]
    if form == "DR":
        # an arc about as curved as the standard's: it bulges toward the axis by a sixth of itself
        half = 0.5 * math.dist(a, b)
        sag = half / 6
        radius = (half**2 + sag**2) / (2 * sag)
        normal = ((a[1] - b[1]) / (2 * half), (b[0] - a[0]) / (2 * half))
        away = radius - sag
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        centre = (middle[0] + away * normal[0], middle[1] + away * normal[1])
        mouth = [a, ArcTo(*b, centre, False)]
    if form == "DS":
        mouth.append((100.0, guard / 2))
    drawing: list[Any] = [(0, 0), (60 - point, 0), (60, core / 2), (100 - deep, core / 2),
                          (100 - deep, relief / 2), *mouth, (100, 30), (0, 30)]  # fmt: skip
    if low:
        drawing = [
            ArcTo(100 - s.z, s.r, (100 - s.centre[0], s.centre[1]), not s.clockwise)
            if isinstance(s, ArcTo)
            else (100 - s[0], s[1])
            for s in drawing
        ]
    hole = of_kind(drawing, "centre-hole")
    assert names(hole, "DIN 332-2") == [f"{form} {thread}"]
    assert (hole.parameters["form"], hole.parameters["d_mm"]) == (form, core)
    assert hole.parameters["facing"] == ("low" if low else "high")
    core_bore = of_kind(drawing, "bore")
    assert core_bore.diameter_mm == (core, core)


@pytest.mark.parametrize(
    ("d", "mouth", "protected"),
    [(1.0, 2.12, 3.15), (2.5, 5.3, 8.0), (4.0, 8.5, 12.5), (6.3, 13.2, 18.0)],
)
@pytest.mark.parametrize("form", ["A", "B"])
@pytest.mark.parametrize("low", [False, True])
def test_centre_holes(d: float, mouth: float, protected: float, form: str, low: bool) -> None:
    """DIN 332-1: pilot d, mouth, protecting countersink; the point of 120 degrees."""
    guard = (protected - mouth) / 2 / math.tan(math.radians(60)) if form == "B" else 0.0
    seat = (mouth - d) / 2 / math.tan(math.radians(30))
    point = d / 2 / math.tan(math.radians(60))
    z = [100 - guard - seat - d - point, 100 - guard - seat - d, 100 - guard - seat, 100 - guard]
    mouths = [(z[3], mouth / 2)] + ([(100.0, protected / 2)] if form == "B" else [])
    drawing = [(0, 0), (z[0], 0), (z[1], d / 2), (z[2], d / 2), *mouths, (100, 30), (0, 30)]
    if low:
        drawing = [(100 - a, r) for a, r in drawing]
    hole = of_kind(drawing, "centre-hole")
    outer = protected if form == "B" else mouth
    assert names(hole, "ISO 6411") == [f"{form}{d:g}/{outer:g}"]
    assert len(hole.segments) == (4 if form == "B" else 3)
    assert hole.parameters["facing"] == ("low" if low else "high")


@pytest.mark.parametrize(
    ("d", "mouth", "inner", "outer"),
    [(1.0, 2.12, 4.5, 5.0), (2.5, 5.3, 9.0, 10.0), (4.0, 8.5, 14.0, 16.0), (6.3, 13.2, 22.4, 25.0)],
)
def test_centre_holes_behind_a_truncated_guard(
    d: float, mouth: float, inner: float, outer: float
) -> None:
    """DIN 332-1 form C: d1, d2, d4 and d5 as an open shaft-drawing program's table has them."""
    guard = (outer - inner) / 2 / math.tan(math.radians(30))
    seat = (mouth - d) / 2 / math.tan(math.radians(30))
    point = d / 2 / math.tan(math.radians(60))
    floor = 100 - guard
    drawing = [(0, 0), (floor - seat - d - point, 0), (floor - seat - d, d / 2),
               (floor - seat, d / 2), (floor, mouth / 2), (floor, inner / 2), (100, outer / 2),
               (100, 30), (0, 30)]  # fmt: skip
    hole = of_kind(drawing, "centre-hole")
    assert hole.parameters["form"] == "C"
    assert names(hole, "DIN 332-1") == [f"C{d:g}/{outer:g}"]
    assert names(hole, "ISO 6411") == []


@pytest.mark.parametrize(
    ("d", "mouth", "protected"),
    [
        (2.5, 5.3, None),
        (2.3, 5.3, None),  # no such pilot
        (2.5, 5.9, None),  # a mouth of no size
        (2.5, 5.3, 8.0),
        (2.5, 5.3, 8.9),  # its guard is another's
        (2.5, 6.2, 8.0),  # its seat is
    ],
)
def test_centre_holes_beside_the_standard_are_not_matched(
    d: float, mouth: float, protected: float | None
) -> None:
    """DIN 332-1: only 2.5/5.3 and, protected, 2.5/8 are its sizes."""
    guard = 0.0 if protected is None else (protected - mouth) / 2 / math.tan(math.radians(60))
    seat = (mouth - d) / 2 / math.tan(math.radians(30))
    point = d / 2 / math.tan(math.radians(60))
    z = [100 - guard - seat - d - point, 100 - guard - seat - d, 100 - guard - seat, 100 - guard]
    guarded = [] if protected is None else [(100.0, protected / 2)]
    drawing = [(0, 0), (z[0], 0), (z[1], d / 2), (z[2], d / 2), (z[3], mouth / 2), *guarded,
               (100, 30), (0, 30)]  # fmt: skip
    expected = {(2.5, 5.3, None): ["A2.5/5.3"], (2.5, 5.3, 8.0): ["B2.5/8"]}
    hole = of_kind(drawing, "centre-hole")
    assert names(hole, "ISO 6411") == expected.get((d, mouth, protected), [])
