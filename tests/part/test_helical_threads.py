"""Modelled threads against the numbers they are drawn with (CadQuery's helix and sweep)."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
import pytest

from turnability.part.model import HelicalThread, Part, Source
from turnability.part.reading.read import solids_in
from turnability.part.turned import part_of

NOWHERE = Source(None, None, None, 1, 1, "mm", None, None)


def ridge(
    lead: float, height: float, root: float, depth: float, left: bool, inside: bool, half: float
) -> Any:
    """One start's solid of trapezoidal section, from z = 0, its root at radius `root`.

    `half` is half the width at the root; the flanks lean by 15 degrees from the radial plane.
    """
    helix = cq.Wire.makeHelix(lead, height, root, lefthand=left)
    sign = -1.0 if inside else 1.0
    lean = depth * math.tan(math.radians(15.0))
    section = [
        (root - sign * 0.3, -half - 0.3 * math.tan(math.radians(15.0))),
        (root + sign * depth, -half + lean),
        (root + sign * depth, half - lean),
        (root - sign * 0.3, half + 0.3 * math.tan(math.radians(15.0))),
    ]
    return (
        cq.Workplane("XZ").polyline(section).close().sweep(cq.Workplane(obj=helix), isFrenet=True)
    )


def screw(lead: float, starts: int, left: bool, inside: bool) -> Any:
    """Length 30: a shaft with ridges over z -> about [6, 24], or a nut with them inside."""
    pitch = lead / starts
    depth, half = 0.5 * pitch, 0.32 * pitch
    if inside:
        body = cq.Workplane().circle(20.0).circle(10.0).extrude(30.0)
    else:
        body = cq.Workplane().circle(10.0).extrude(30.0)
    for k in range(starts):
        thread = ridge(lead, 18.0, 10.0, depth, left, inside, half)
        turn = 360.0 * k / starts
        body = body.union(thread.rotate((0, 0, 0), (0, 0, 1), turn).translate((0, 0, 6.0)))
    return body


def only_thread(part: Part) -> HelicalThread:
    assert part.profile is not None
    (thread,) = part.threads
    return thread


@pytest.mark.parametrize(
    ("lead", "starts", "left", "inside"),
    [
        (4.0, 1, False, False),
        (4.0, 1, True, False),
        (4.0, 1, True, True),
        (9.0, 3, False, False),
        (6.0, 2, True, True),
    ],
)
def test_a_drawn_thread_is_known_by_its_flanks(
    lead: float, starts: int, left: bool, inside: bool
) -> None:
    shape = screw(lead, starts, left, inside).rotate((0, 0, 0), (1, 2, 0.5), 37.0).val()
    thread = only_thread(part_of(shape.wrapped, NOWHERE, ()))
    assert thread.surface == ("inner" if inside else "outer")
    assert thread.hand == ("left" if left else "right")
    assert thread.starts == starts
    pitch = lead / starts
    assert thread.pitch_mm == pytest.approx(pitch, rel=1e-4)
    tip = 10.0 + (-0.5 if inside else 0.5) * pitch
    sizes = (20.0, 2 * tip) if inside else (2 * tip, 20.0)
    assert (thread.major_mm, thread.minor_mm) == pytest.approx(sizes, abs=0.02)
    assert thread.flank_angles_deg == pytest.approx((15.0, 15.0), abs=0.3)
    low, high = thread.z_mm
    assert high - low == pytest.approx(18.0 + 0.64 * pitch, abs=0.02)


@pytest.mark.parametrize("turns", [9, 18])
def test_a_thread_of_any_number_of_turns_is_one(turns: int) -> None:
    """Places on a face's lattice then lie whole turns apart."""
    body = cq.Workplane().circle(10.0).extrude(2.0 * turns + 12.0)
    thread = ridge(2.0, 2.0 * turns, 10.0, 1.0, False, False, 0.64)
    found = only_thread(
        part_of(body.union(thread.translate((0, 0, 6.0))).val().wrapped, NOWHERE, ())
    )
    assert found.pitch_mm == pytest.approx(2.0, rel=1e-6)
    assert found.z_mm == pytest.approx((6.0 - 0.64, 6.0 + 2.0 * turns + 0.64), abs=0.02)


@pytest.mark.parametrize(
    ("taper", "left", "inside"),
    [(1 / 30, False, False), (0.25, False, False), (0.25, True, True)],
)
def test_a_thread_cut_into_a_cone_keeps_the_cone_as_its_outline(
    taper: float, left: bool, inside: bool
) -> None:
    """The helix's pitch is measured along the cone: along the axis it is less by the cosine."""
    pitch, length, radius, depth = 2.5, 20.0, 10.0, 1.25
    angle = math.atan(taper / 2.0)
    sign = 1.0 if inside else -1.0

    def at(z: float) -> float:
        return radius + taper / 2.0 * z

    corners = [(0, -3), (at(-3), -3), (at(length), length), (0, length)]
    if inside:
        corners = [(at(-3), -3), (20, -3), (20, length), (at(length), length)]
    body = cq.Workplane("XZ").polyline(corners).close().revolve(360, (0, 0, 0), (0, 1, 0)).val()
    lean, over = math.tan(math.radians(15.0)), 0.2
    foot = at(-6.0)
    section = [(foot - sign * over, -0.25 - (depth + over) * lean), (foot + sign * depth, -0.25),
               (foot + sign * depth, 0.25),
               (foot - sign * over, 0.25 + (depth + over) * lean)]  # fmt: skip
    helix = cq.Wire.makeHelix(pitch, length + 6.0, foot, cq.Vector(), cq.Vector(0, 0, 1),
                              math.degrees(angle), left)  # fmt: skip
    path = cq.Workplane(obj=helix)
    tool = cq.Workplane("XZ").polyline(section).close().sweep(path, isFrenet=True).val()
    body = body.cut(tool.translate(cq.Vector(0, 0, -6.0)))
    part = part_of(body.Solids()[0].wrapped, NOWHERE, ())
    thread = only_thread(part)
    assert (thread.surface, thread.starts) == ("inner" if inside else "outer", 1)
    assert thread.hand == ("left" if left else "right")
    assert thread.taper == pytest.approx(taper, rel=1e-3)
    assert thread.pitch_mm == pytest.approx(pitch * math.cos(angle), rel=1e-4)
    assert thread.flank_angles_deg == pytest.approx((15.0, 15.0), abs=0.05)
    surface = "inner" if inside else "outer"
    (cone,) = (s.curve for s in part.profile.segments if s.surface == surface)
    ends = sorted([cone.start, cone.end])
    if abs(ends[0][1] - at(-3)) > 1e-3:  # the other end is the low one
        ends = sorted((23.0 - z, r) for z, r in ends)
    assert ends == [pytest.approx((0.0, at(-3)), abs=1e-6), pytest.approx((23.0, at(20)), abs=1e-6)]
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("what", ["plain", "cross hole", "spiral of less than a turn", "hexagon"])
def test_what_does_not_wind_is_no_thread(what: str) -> None:
    body = cq.Workplane().circle(10.0).extrude(30.0)
    if what == "cross hole":
        body = body.cut(cq.Workplane("XZ", origin=(2, 30, 12)).circle(3.0).extrude(60.0))
    elif what == "spiral of less than a turn":
        groove = ridge(40.0, 26.0, 10.3, 1.0, False, True, 1.0)
        body = body.cut(groove.translate((0, 0, 2.0)))
    elif what == "hexagon":
        body = body.union(cq.Workplane().polygon(6, 30.0).extrude(8.0))
    part = part_of(body.val().wrapped, NOWHERE, ())
    assert part.profile is not None
    assert part.threads == ()


@pytest.mark.shared_parts
@pytest.mark.parametrize(
    ("name", "surface", "pitch", "major", "z"),
    [
        ("helix_m12x1p75_right", "outer", 1.75, 12.0, (0.0, 20.0)),
        ("helix_inside_m20x2p5", "inner", 2.5, 20.0, (0.0, 18.0)),
        ("helix_tr20x4", "outer", 4.0, 20.0, (0.0, 40.0)),
        ("knob_pin_thread_modelled", "outer", 1.0, 6.0, (0.46, 15.0)),
    ],
)
def test_threads_of_an_independent_package(
    shared_parts: Any,
    name: str,
    surface: str,
    pitch: float,
    major: float,
    z: tuple[float, float],
) -> None:
    """Sizes by the designation in the parts' manifest (ISO 261, ISO 2904 series)."""
    (solid,) = solids_in(shared_parts / f"{name}.step")
    thread = only_thread(part_of(solid.shape, solid.source, solid.step_ids))
    assert (thread.surface, thread.hand, thread.starts) == (surface, "right", 1)
    assert thread.pitch_mm == pytest.approx(pitch, rel=1e-4)
    assert thread.major_mm == pytest.approx(major, abs=0.01)
    assert thread.z_mm == pytest.approx(z, abs=0.3)
    angle = 15.0 if "tr20" in name else 30.0
    assert thread.flank_angles_deg == pytest.approx((angle, angle), abs=0.1)
