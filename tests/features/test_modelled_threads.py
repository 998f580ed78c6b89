"""Solids with wound surfaces: threads of an independent package, and a knurl, read as features.

The shared helices were made by an independent package from the registry (see their manifest), with
its own tables: designation, hand and length are its arguments.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from tapered_threads import taper_thread

from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.model import Part, Source
from turnability.part.reading.read import solids_in
from turnability.part.turned import part_of

NOWHERE = Source(None, None, None, 1, 1, "mm", None, None)


def features_of(part: Part) -> tuple[Feature, ...]:
    assert part.profile is not None, part.symmetry.reason
    return recognise(part.profile, part.threads, (), part.departures)


@pytest.mark.shared_parts
@pytest.mark.parametrize(
    ("name", "designation", "form", "surface", "length"),
    [
        ("helix_m12x1p75_right", "M12", "metric", "outer", 20.0),
        ("helix_inside_m20x2p5", "M20", "metric", "inner", 18.0),
        ("helix_tr20x4", "Tr20x4", "trapezoidal", "outer", 40.0),
    ],
)
def test_right_hand_helices(
    shared_parts: Path,
    parts_of: Any,
    name: str,
    designation: str,
    form: str,
    surface: str,
    length: float,
) -> None:
    features = features_of(parts_of(shared_parts / f"{name}.step")[0])
    (thread,) = (f for f in features if f.kind == "thread")
    assert [m.designation for m in thread.matches] == [designation]
    assert abs(thread.matches[0].residual_mm) < 0.02
    assert (thread.surface, thread.parameters["form"]) == (surface, form)
    assert (thread.parameters["evidence"], thread.parameters["hand"]) == ("helix", "right")
    assert thread.parameters["length_mm"] == pytest.approx(length, abs=0.25)


@pytest.mark.shared_parts
def test_the_left_hand_one_once_its_bodies_are_joined(shared_parts: Path) -> None:
    """The file holds a bare ridge and a head without a core; they are united with one here.

    The ridge's foot is as wide as a groove's bottom is, from 14.376 inward (M16x1.5: D1).
    """
    import cadquery as cq

    ridge, head = (
        cq.Workplane(obj=cq.Shape.cast(solid.shape))
        for solid in solids_in(shared_parts / "helix_m16x1p5_left_two_bodies.step")
    )
    core = cq.Workplane().circle(7.15).extrude(18.0)
    (joined,) = core.union(ridge, clean=False).union(head, clean=False).solids().vals()
    features = features_of(part_of(joined.wrapped, NOWHERE, ()))
    (thread,) = (f for f in features if f.kind == "thread")
    assert [m.designation for m in thread.matches] == ["M16x1.5-LH"]
    assert thread.parameters["hand"] == "left"
    assert thread.parameters["pitch_mm"] == pytest.approx(1.5, rel=0.005)
    assert thread.parameters["length_mm"] == pytest.approx(18.0, abs=0.25)


@pytest.mark.parametrize(
    ("designation", "pitch", "pitch_d", "length", "half", "depth", "more"),
    [
        # ASME B1.20.1, 1/2 in: E0 0.75843 in at the small end, L2 0.5337 in, depth 0.8 p
        ("1/2-14 NPT", 25.4 / 14, 0.75843 * 25.4, 0.5337 * 25.4, 30.0, 0.8, {}),
        # ISO 7-1, 3/4: pitch diameter 25.279 at the gauge plane, 9.5 from the small end
        ("R 3/4-LH", 25.4 / 14, 25.279 - 9.5 / 16, 14.5, 27.5, 0.640327, {"left": True}),
        # ISO 7-1, 3/8 inside: pitch diameter 15.806 at the mouth, where it is widest
        ("Rc 3/8", 25.4 / 19, 15.806 - 10.0 / 16, 10.0, 27.5, 0.640327, {"inside": True}),
        # ASME B1.20.1, 1/4 in inside: E1 0.49163 in at the mouth
        ("1/4-18 NPT", 25.4 / 18, 0.49163 * 25.4 - 10.0 / 16, 10.0, 30.0, 0.8, {"inside": True}),
    ],
)
def test_taper_pipe_threads_by_their_helix(
    designation: str, pitch: float, pitch_d: float, length: float, half: float, depth: float,
    more: dict[str, bool],
) -> None:  # fmt: skip
    body = taper_thread(pitch, pitch_d, length, half, depth * pitch, **more)
    (solid,) = body.Solids()
    features = features_of(part_of(solid.wrapped, NOWHERE, ()))
    (thread,) = (f for f in features if f.kind == "thread")
    assert [m.designation for m in thread.matches] == [designation]
    assert abs(thread.matches[0].residual_mm) < 0.02
    p = thread.parameters
    assert (p["evidence"], p["hand"]) == ("helix", "left" if "LH" in designation else "right")
    assert p["taper"] == pytest.approx(1 / 16, rel=0.01)
    assert p["pitch_mm"] == pytest.approx(pitch, rel=0.005)
    assert p["form"] == ("NPT" if "NPT" in designation else "pipe-taper")
    assert not [f for f in features if f.kind == "taper"], "the cone is the thread's"


def cut_m12(length: float, shoulder: float, left: bool = False) -> Any:
    """A bolt of 12 (M12: pitch 1.75, ISO 724 d3 9.853) cut by a sharp V along a helix.

    The cutter stands out over the crests and is drawn from before the end to past the shoulder.
    """
    import cadquery as cq

    root, over, pitch = 0.5 * 9.853, 0.3, 1.75
    foot = pitch / 8.0
    top = foot + (6.0 + over - root) * math.tan(math.radians(30.0))
    path = cq.Wire.makeHelix(pitch, length + 1.0, 6.0, lefthand=left)
    outline: Any = [(root, -foot), (root, foot), (6.0 + over, top), (6.0 + over, -top)]
    cutter = cq.Workplane("XZ").polyline(outline).close()
    cutter = cutter.sweep(cq.Workplane(obj=path), isFrenet=True)
    bolt = cq.Workplane().circle(6.0).extrude(length)
    bolt = bolt.faces(">Z").workplane().circle(shoulder).extrude(10.0)
    return bolt.cut(cutter.translate((0, 0, -1.0)), clean=False)


def the_thread(body: Any) -> Feature:
    (thread,) = (
        f for f in features_of(part_of(body.val().wrapped, NOWHERE, ())) if f.kind == "thread"
    )
    return thread


def test_a_cutter_that_ran_on_into_the_shoulder() -> None:
    """Its marks in the shoulder's face, up to 12.6 across, are neither crest nor length."""
    thread = the_thread(cut_m12(20.0, 8.0, left=True))
    assert [m.designation for m in thread.matches] == ["M12-LH"]
    assert thread.parameters["major_mm"] == pytest.approx(12.0, abs=1e-3)
    assert thread.parameters["minor_mm"] == pytest.approx(9.853, abs=1e-3)
    assert thread.z_mm == pytest.approx((0.0, 20.0), abs=1e-3)


@pytest.mark.filterwarnings("error::RuntimeWarning")  # a search for the axis that ran away
def test_a_rounded_root_is_no_thread_of_its_own() -> None:
    """Its arc, drawn in halves, winds at the flanks' lead: M12, d3 rounded by H / 6 (ISO 68-1)."""
    import cadquery as cq

    pitch, root, over = 1.75, 0.5 * 9.853, 0.3
    r = 0.144 * pitch
    slant, rise = math.tan(math.radians(30.0)), math.cos(math.radians(30.0))
    low = root + r * (1.0 - math.sin(math.radians(30.0)))  # where the arc runs into the flanks
    top = r * rise + (6.0 + over - low) * slant
    part = r * math.sin(math.radians(30.0))
    between = (root + r * (1.0 - math.cos(math.radians(30.0))), part)  # amid one half
    cutter = cq.Workplane("XZ").moveTo(low, -r * rise)
    cutter = cutter.threePointArc((between[0], -part), (root, 0.0))
    cutter = cutter.threePointArc(between, (low, r * rise))
    cutter = cutter.lineTo(6.0 + over, top).lineTo(6.0 + over, -top).close()
    path = cq.Wire.makeHelix(pitch, 22.0, 6.0)
    cutter = cutter.sweep(cq.Workplane(obj=path), isFrenet=True)
    bolt = cq.Workplane().circle(6.0).extrude(20.0).faces("<Z").workplane().circle(10).extrude(15.0)
    thread = the_thread(bolt.cut(cutter.translate((0, 0, 2.0)), clean=False))
    assert [m.designation for m in thread.matches] == ["M12"]
    assert thread.parameters["flank_angles_deg"] == pytest.approx((30.0, 30.0), abs=0.5)
    assert thread.parameters["minor_mm"] == pytest.approx(9.853, abs=0.01)


def test_a_thread_whose_relief_was_turned_after_it() -> None:
    """The flanks' samples then stand nearly a whole turn apart: 15 mm by a pitch of 1.75."""
    import cadquery as cq

    ring = cq.Workplane().workplane(offset=15.0).circle(9.0).circle(4.7).extrude(5.0)
    body = cut_m12(20.0, 10.0).cut(ring, clean=False)
    thread = the_thread(body)
    assert [m.designation for m in thread.matches] == ["M12"]
    assert thread.z_mm == pytest.approx((0.0, 15.0), abs=1e-3)
    assert thread.parameters["relieved"] is True


def test_what_is_milled_across_a_thread_leaves_its_diameters() -> None:
    """A flat-bottomed slot down to 4 from the axis, and a hole right through: M12 all the same."""
    import cadquery as cq

    slot = cq.Workplane().box(4.0, 4.0, 80.0).translate((0.0, 6.0, 0.0))
    hole = cq.Workplane("XZ", origin=(0.0, 0.0, 12.0)).circle(1.5).extrude(20.0, both=True)
    thread = the_thread(cut_m12(20.0, 8.0).cut(slot, clean=False).cut(hole, clean=False))
    assert [m.designation for m in thread.matches] == ["M12"]
    assert thread.diameter_mm == pytest.approx((9.853, 12.0), abs=2e-3)


def test_many_turns_on_one_edge() -> None:
    """Whole numbers of turns between samples look like none: 32 steps over 32, 33 and 64 turns."""
    import cadquery as cq

    from turnability.part.winding import winding

    for turns in (31, 32, 33, 64, 96):
        edge = cq.Wire.makeHelix(1.25, 1.25 * turns, 4.0).Edges()[0]
        found = winding(edge.wrapped)
        assert found is not None
        assert found.turn_rad == pytest.approx(math.tau * turns)
        assert found.rise_mm == pytest.approx(1.25 * turns)


def test_a_knurled_head() -> None:
    import cadquery as cq

    depth, count = 0.6, 40
    tooth: Any = [(10.5, -depth - 0.5), (10.5, depth + 0.5), (10.0 - depth, 0.0)]
    body = cq.Workplane().circle(10.0).extrude(12.0).faces(">Z").workplane().circle(6.0).extrude(30)
    cut = cq.Workplane().polyline(tooth).close().extrude(12.0).val()
    turns = [cut.rotate(cq.Vector(), cq.Vector(0, 0, 1), 360.0 * i / count) for i in range(count)]
    part = part_of(body.val().cut(*turns).wrapped, NOWHERE, ())
    (knurl,) = (f for f in features_of(part) if f.kind == "knurl")
    assert knurl.parameters["count"] == count
    assert knurl.z_mm == pytest.approx((0.0, 12.0))
    assert knurl.diameter_mm == pytest.approx((20.0, 20.0))
