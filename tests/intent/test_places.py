"""Places found on profiles: what is named is met, what isn't there is told with its nearest."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.intent.drawn import drawn_cap, intent_of
from turnability.errors import IntentUnusable
from turnability.half_plane.curves import Arc, Line
from turnability.intent.model import EdgeBreak, Intent, Named, NoGrip, Related, Tolerance
from turnability.intent.place import WITHIN_MM, NotFound, find
from turnability.intent.settle import resettled, settled
from turnability.part.model import Part
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part

CAP = drawn_cap()


def where(part: Part, *faces: int) -> set[str]:
    """The segments of these lines of the drawing."""
    assert part.profile is not None
    return {s.id for s in part.profile.segments if set(s.faces) & set(faces)}


def found(part: Part = CAP, **named: object) -> set[str]:
    return set(find(Named(**named), part).segments)  # type: ignore[arg-type]


def one(value: float) -> tuple[float, float]:
    return (value, value)


@pytest.mark.parametrize(
    ("named", "faces"),
    [
        ({"diameter_mm": one(110), "z_mm": (1, 14)}, [12]),
        ({"diameter_mm": one(110), "z_mm": (3, 9)}, [12]),
        ({"diameter_mm": one(110), "z_mm": one(5)}, [12]),
        ({"diameter_mm": one(110)}, [12]),
        ({"diameter_mm": one(44), "z_mm": (14, 33)}, [6, 10]),
        ({"diameter_mm": one(44), "z_mm": (14, 19)}, [10]),
        ({"diameter_mm": one(44), "z_mm": one(30)}, [6]),
        ({"diameter_mm": one(44)}, [6, 10]),
        ({"diameter_mm": one(16)}, [3]),
        ({"diameter_mm": one(16), "side": "inner", "z_mm": (20, 34)}, [3]),
        ({"diameter_mm": (42, 44), "z_mm": (33, 34)}, [5]),
        ({"diameter_mm": one(43), "z_mm": one(33.5)}, [5]),
        ({"diameter_mm": (44, 110), "z_mm": one(14)}, [11]),
        ({"z_mm": one(14)}, [11]),
        ({"z_mm": one(34)}, [4]),
        ({"end": "high"}, [4]),
        ({"end": "low"}, [14]),
        ({"face_index": 8}, [8]),
        ({"z_mm": (19, 23.8), "side": "outer"}, [8]),
        ({"z_mm": (19, 23.8)}, [2, 3, 7, 8, 9]),
        ({"z_mm": (22, 33.5), "side": "outer"}, [5, 6, 8]),
    ],
)
def test_what_is_named_is_met(named: dict[str, object], faces: list[int]) -> None:
    assert found(**named) == where(CAP, *faces)


@pytest.mark.parametrize(
    ("named", "says"),
    [
        ({"diameter_mm": one(20), "z_mm": (10, 30)}, "nearest: inside ⌀16 at z 20–34 (S3)"),
        ({"diameter_mm": one(44), "z_mm": (14, 34)}, "no surface of ⌀44 at z 14–34; nearest: ⌀44"),
        ({"diameter_mm": one(44.1), "z_mm": one(30)}, "nearest: ⌀44 at z 23.8–33 (S6)"),
        ({"diameter_mm": one(50)}, "no surface of ⌀50; nearest: ⌀44"),
        (
            {"diameter_mm": one(16), "side": "outer"},
            "no surface of outside ⌀16; what is there: inside ⌀16 at z 20–34 (S3)",
        ),
        (
            {"diameter_mm": one(110), "side": "inner"},
            "no surface of inside ⌀110; what is there: outside ⌀110 at z 1–14 (S12)",
        ),
        ({"diameter_mm": one(17), "side": "outer"}, "no surface of outside ⌀17; nearest: ⌀38.2"),
        ({"z_mm": one(13)}, "no face at z 13; nearest: the face at z 14, ⌀44–110 (S11)"),
        ({"z_mm": (40, 50)}, "no surface at z 40–50; nearest:"),
        ({"face_index": 99}, "no face 99; the solid has 13"),
        ({"face": "seat"}, "the STEP file names none"),
    ],
)
def test_what_is_not_there_is_told_with_its_nearest(named: dict[str, object], says: str) -> None:
    with pytest.raises(NotFound) as lost:
        found(**named)
    assert says in lost.value.cause
    assert lost.value.remedy


def test_faces_by_name() -> None:
    cap = drawn_cap({11: "seat", 8: "groove floor"})
    assert found(cap, face="seat") == where(cap, 11)
    with pytest.raises(NotFound, match='no face called "Seat"; nearest: "seat"'):
        found(cap, face="Seat")


def test_one_diameter_outside_and_inside_must_be_told_apart() -> None:
    tube = drawn_part([(0, 5), (10, 5), (10, 10), (20, 10), (20, 15), (8, 15), (8, 10), (0, 10)])
    with pytest.raises(NotFound, match="met outside and inside"):
        found(tube, diameter_mm=one(20))
    inner = find(Named(diameter_mm=one(20), side="inner"), tube)
    assert (inner.on_z_mm, len(inner.segments)) == ((10, 20), 1)
    assert find(Named(diameter_mm=one(20), side="outer"), tube).on_z_mm == (0, 8)


def test_curves_by_a_point_on_them() -> None:
    dome = [
        (Line((0, 0), (10, 0)), ()),
        (Arc((10, 0), (0, 10), (0, 0), 10, clockwise=False), (1,)),
        (Line((0, 10), (0, 0)), (2,)),
    ]
    part = drawn_part(make_profile([dome]))
    assert found(part, diameter_mm=one(12), z_mm=one(8)) == where(part, 1)
    with pytest.raises(NotFound):
        found(part, diameter_mm=one(12), z_mm=one(7))


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(2, 200)), min_size=1, max_size=6))
def test_every_cylinder_of_a_stepped_shaft_is_found_by_its_own_size(
    steps: list[tuple[int, int]],
) -> None:
    """Law: named by its diameter and z it is met, and 0.1 mm off it is not."""
    z, corners = 0.0, [(0.0, 0.0)]
    for length, quarter in steps:
        corners += [(z, quarter / 4), (z + length, quarter / 4)]
        z += length
    part = drawn_part([*corners, (z, 0.0)])
    assert part.profile is not None
    for s in part.profile.segments:
        if s.surface != "outer":
            continue
        (z0, r), (z1, _) = sorted((s.curve.start, s.curve.end))
        place = find(Named(diameter_mm=one(2 * r), z_mm=(z0, z1)), part)
        assert s.id in place.segments
        assert place.on_diameter_mm == pytest.approx((2 * r, 2 * r))
        assert place.on_z_mm == pytest.approx((z0, z1))
        for near in (2 * r + 0.9 * WITHIN_MM, 2 * r - 0.9 * WITHIN_MM):
            assert s.id in found(part, diameter_mm=one(near), z_mm=one(0.5 * (z0 + z1)))
        with pytest.raises(NotFound):
            found(part, diameter_mm=one(2 * r + 0.1), z_mm=(z0, z1))


def settle(*tolerances: Tolerance) -> tuple[Tolerance, ...]:
    return settled(Intent(tolerances=tolerances), CAP).tolerances


def test_limits_of_a_fit_come_from_the_standard() -> None:
    """ISO 286-2: f7 over 30 to 50 mm is -25 / -50 µm."""
    (fit,) = settle(Tolerance("diameter", Named(diameter_mm=one(44)), "f7", "f7"))
    assert fit.deviations_mm == (-0.05, -0.025)
    assert (fit.nominal_mm, fit.width_mm) == (44.0, 0.025)
    assert fit.basis is not None
    assert "IT7" in fit.basis.place


def test_a_class_without_limits_is_told_with_those_that_have_some() -> None:
    """ISO 286-1: t begins over 24 mm; grades are tabled to IT14 and sizes to 500 mm here."""
    (press,) = settle(Tolerance("diameter", Named(diameter_mm=one(44)), "s6", "s6"))
    assert press.deviations_mm == (0.043, 0.059)  # over 40 to 50 mm
    for size, fit, may in (
        (
            16,
            "T7",
            "It may be A7, B7, C7, D7, E7, F7, G7, H7, JS7, J7, K7, M7, N7, P7, R7, S7, U7, ",
        ),
        (44, "h15", "Grades go to 14 here; or state limits_mm in place of fit"),
    ):
        with pytest.raises(IntentUnusable) as wrong:
            settle(Tolerance("diameter", Named(diameter_mm=one(size)), fit, fit))
        assert f"key fit, is {fit}, for which ISO 286-1 has no limits at ⌀{size} mm" in str(
            wrong.value
        )
        assert may in str(wrong.value)


def test_limits_count_from_the_size_there() -> None:
    place = Named(diameter_mm=one(44), z_mm=(14, 33))
    limits, length = settle(
        Tolerance("diameter", place, "…", limits_mm=(43.9, 43.95)),
        Tolerance("length", Named(z_mm=(19, 23.8)), "…", limits_mm=(4.8, 4.9)),
    )
    assert limits.deviations_mm == pytest.approx((-0.1, -0.05))
    assert length.nominal_mm == pytest.approx(4.8)
    assert length.deviations_mm == pytest.approx((0.0, 0.1))
    assert set(length.place.segments) == where(CAP, 7, 9)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (
            "[[tolerance]]\ndiameter_mm = 44\nfit = 'H7'",
            1,
            "is H7, a class for holes, on an outside",
        ),
        ("[[tolerance]]\ndiameter_mm = 16\nfit = 'h7'", 1, "Write H7"),
        (
            "[[tolerance]]\ndiameter_mm = 16\nlimits_mm = [20, 20.1]",
            1,
            "far from the size there, 16",
        ),
        ("[[tolerance]]\nz_mm = [19, 25]\nplus_minus_mm = 0.1", 1, "nearest: the face at z 23.8"),
        ("[[tolerance]]\ndiameter_mm = [42, 44]\nfit = 'h7'", 1, "has no one diameter"),
        ("\n\n[[no_grip]]\ndiameter_mm = 45\n", 3, "no_grip 1 finds no surface of ⌀45"),
        ("[[related]]\nsurface = [{ z_mm = 14 }]", 2, "relates one surface to itself alone"),
        ("[[related]]\nsurface = [{ z_mm = 14 }, { z_mm = 15 }]", 2, "related 1, surface 2 finds"),
        ("[[edge]]\ndiameter_mm = 44\nz_mm = 34\nbreak_mm = [0, 0]", 1, "nearest: ⌀44 at z 33"),
    ],
)
def test_places_and_sizes_that_cannot_be_meant(
    tmp_path: Path, text: str, line: int, says: str
) -> None:
    with pytest.raises(IntentUnusable) as wrong:
        settled(intent_of(tmp_path, text), CAP)
    assert f"cap.intent.toml line {line}: " in str(wrong.value)
    assert says in str(wrong.value)


def test_all_lost_places_at_once(tmp_path: Path) -> None:
    text = "[[no_grip]]\ndiameter_mm = 45\n[[edge]]\ndiameter_mm = 1\nz_mm = 1\nbreak_mm = [0, 1]\n"
    with pytest.raises(IntentUnusable, match=r"2 faults.*\n  line 1: .*\n  line 3: "):
        settled(intent_of(tmp_path, text), CAP)


def test_inch_shops_read_inches() -> None:
    with pytest.raises(IntentUnusable, match=r"no surface of ⌀2; nearest: ⌀1\.7323? at z"):
        settled(Intent(no_grip=(NoGrip(Named(diameter_mm=one(50.8))),)), CAP, inch=True)


def test_an_edge_is_a_corner() -> None:
    edge = EdgeBreak(Named(diameter_mm=one(42), z_mm=one(34)), (0.1, 0.2))
    (placed,) = settled(Intent(edges=(edge,)), CAP).edges
    assert set(placed.place.segments) == where(CAP, 4, 5)
    assert (placed.place.on_z_mm, placed.place.on_diameter_mm) == ((34, 34), (42, 42))


def test_a_part_without_axis_has_no_places() -> None:
    intent = Intent(no_grip=(NoGrip(Named(diameter_mm=one(1))),))
    assert settled(intent, drawn_part(None, reason="flat")) == intent


def test_protection_survives_a_change_of_the_part() -> None:
    """A diameter that a proposed change makes smaller is still not gripped."""
    kept = NoGrip(Named(diameter_mm=one(110), z_mm=(1, 14)))
    related = Related("true", (Named(z_mm=one(14)), Named(diameter_mm=one(44))))
    before = settled(Intent(no_grip=(kept,), related=(related,)), CAP)
    corners = [(0, 0), (34, 0), (34, 22), (14, 22), (14, 54.3), (1, 54.3), (0, 54)]
    smaller = drawn_part(corners)
    after = resettled(before, smaller)
    assert smaller.profile is not None
    land = next(s.id for s in smaller.profile.segments if s.curve.start == (14, 54.3))
    assert land in after.no_grip[0].place.segments
    assert all(place.segments for place in after.related[0].places)
    assert resettled(before, CAP) == before


def test_lengths_and_edges_are_taken_over_as_what_they_are() -> None:
    """Two faces and a corner, not all that lies between; what is gone names nothing."""
    width = Tolerance("length", Named(z_mm=(14, 34)), "±0.1", width_mm=0.2)
    edge = EdgeBreak(Named(diameter_mm=one(42), z_mm=one(34)), (0.1, 0.2))
    before = settled(Intent(tolerances=(width,), edges=(edge,)), CAP)
    assert resettled(before, CAP) == before
    square = drawn_part([(0, 0), (34, 0), (34, 22), (14, 22), (14, 55), (0, 55)])
    assert square.profile is not None
    after = resettled(before, square)
    faces = {s.id for s in square.profile.segments if s.curve.start[0] == s.curve.end[0] != 0}
    assert set(after.tolerances[0].place.segments) == faces
    assert after.edges[0].place.segments == ()


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        (
            'tolerance]]\ndiameter_mm = 16\nfit = "H7"',
            'tolerance]]\nz_mm = 20\ndiameter_mm = 16\nside = "inside"\nplus_minus_mm = 0.1',
            None,  # one point of a bore is its own place
        ),
        (
            'tolerance]]\ndiameter_mm = 16\nfit = "H7"',
            'tolerance]]\ndiameter_mm = 16\nside = "inside"\nplus_minus_mm = 0.1',
            "line 5: tolerance 2 states ±0.1 of a place of which line 1 states H7. "
            "Leave the one that holds",
        ),
        (
            "roughness]]\ndiameter_mm = 38.2\nra_um = 1.6",
            "roughness]]\ndiameter_mm = 38.2\nra_um = 3.2",
            "line 5: roughness 2 states Ra 3.2 of a place of which line 1 states Ra 1.6. "
            "Leave the one that holds",
        ),
        (
            "roughness]]\ndiameter_mm = 38.2\nra_um = 1.6",
            "roughness]]\ndiameter_mm = 44\nra_um = 3.2",
            None,
        ),
        (
            'tolerance]]\ndiameter_mm = 44\nz_mm = [14, 19]\nfit = "f7"',
            'tolerance]]\ndiameter_mm = 44\nz_mm = [14, 19]\nfit = "f7"',
            None,  # said twice, but the same
        ),
    ],
)
def test_of_one_place_one_thing_is_stated(
    tmp_path: Path, first: str, second: str, says: str | None
) -> None:
    intent = intent_of(tmp_path, f"[[{first}\n\n[[{second}\n")
    if says is None:
        settled(intent, CAP)
        return
    with pytest.raises(IntentUnusable) as raised:
        settled(intent, CAP)
    assert says in str(raised.value)
