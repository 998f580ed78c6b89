"""Where two readings are sensible, both are told, and how sure the first is.

Each drawing stands a stated share beside a limit of `features/limits.py`; the harmless ones, well
within it, tell no other reading.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from turnability.features.drawing import ArcTo, Drawing, drawn, fillet
from turnability.features.model import Feature
from turnability.features.recognise import recognise


def the(drawing: Any, kind: str) -> Feature:
    (found,) = (f for f in recognise(drawn(drawing)) if f.kind == kind)
    return found


def chamfered(axial: float, deg: float, r: float = 30.0) -> Drawing:
    """A bar of 60 by 60 with its high edge broken by so much along the axis."""
    drop = axial * math.tan(math.radians(deg))
    return ((0, 0), (60, 0), (60, r - drop), (60 - axial, r), (0, r))


def grooved(width: float, depth: float) -> Drawing:
    return ((0, 0), (80, 0), (80, 20), (30 + width, 20), (30 + width, 20 - depth), (30, 20 - depth),
            (30, 20), (0, 20))  # fmt: skip


def ringed(width: float, depth: float) -> Drawing:
    """A ring sunk into the high end of a bar of 80."""
    return ((0, 0), (60, 0), (60, 10), (60 - depth, 10), (60 - depth, 10 + width), (60, 10 + width),
            (60, 40), (0, 40))  # fmt: skip


def drilled(angle: float) -> Drawing:
    tip = 5.0 / math.tan(math.radians(0.5 * angle))
    return ((0, 0), (20 - tip, 0), (20, 5), (60, 5), (60, 20), (0, 20))


def rounded(radius: float) -> Any:
    """A bar of 40 with its high edge rounded; legs up to 20 are a fillet's (half the diameter)."""
    return ((0, 0), (60, 0), *fillet((60, 0), (60, 20), (0, 20), radius), (0, 20))


def spigot(length: float) -> Drawing:
    return ((0, 0), (20 + length, 0), (20 + length, 10), (20, 10), (20, 30), (0, 30))


def counterbored(depth: float) -> Drawing:
    return ((0, 5), (60 - depth, 5), (60 - depth, 10), (60, 10), (60, 30), (0, 30))


@pytest.mark.parametrize(
    ("drawing", "kind", "other", "confidence"),
    [
        # chamfers up to 5 mm along the axis, at 45 degrees up to an eighth of the diameter (7.5)
        (chamfered(2.0, 30.0), "chamfer", None, None),
        (chamfered(4.2, 30.0), "chamfer", "taper", "likely"),
        (chamfered(4.8, 30.0), "chamfer", "taper", "either"),
        (chamfered(5.2, 30.0), "taper", "chamfer", "either"),
        (chamfered(6.0, 30.0), "taper", "chamfer", "likely"),
        (chamfered(6.5, 30.0), "taper", None, None),
        (chamfered(6.0, 45.0), "chamfer", None, None),
        (chamfered(7.4, 45.0), "chamfer", "taper", "either"),
        (chamfered(8.0, 45.0), "taper", "chamfer", "either"),
        # grooves up to 8 mm wide
        (grooved(5.0, 2.0), "groove", None, None),
        (grooved(6.5, 2.0), "groove", "cylinder", "likely"),
        (grooved(7.5, 2.0), "groove", "cylinder", "either"),
        # end grooves too
        (ringed(5.0, 2.0), "end-groove", None, None),
        (ringed(6.5, 2.0), "end-groove", "shoulder", "likely"),
        (ringed(7.5, 2.0), "end-groove", "shoulder", "either"),
        # drill points of 90 to 140 degrees; the usual ones leave no doubt
        (drilled(118.0), "drill-point", None, None),
        (drilled(90.0), "drill-point", None, None),
        (drilled(104.0), "drill-point", "taper", "likely"),
        (drilled(84.0), "taper", "drill-point", "likely"),
        (drilled(70.0), "taper", None, None),
    ],
)  # fmt: skip
def test_the_other_reading_is_told(
    drawing: Drawing, kind: str, other: str | None, confidence: str | None
) -> None:
    told = the(drawing, kind).alternative
    assert (told and told.kind, told and told.confidence) == (other, confidence)


def test_a_neck_that_is_nearly_a_groove() -> None:
    for width, confidence in ((8.5, "either"), (9.5, "likely")):
        neck = next(f for f in recognise(drawn(grooved(width, 2.0))) if f.parameters.get("form"))
        assert neck.parameters["form"] == "neck"
        assert neck.alternative is not None
        assert (neck.alternative.kind, neck.alternative.confidence) == ("groove", confidence)


def test_spigots_and_counterbores_nearly_too_long_for_one() -> None:
    """A spigot is up to half its diameter long (10 of 20), a counterbore up to all of it (20)."""
    for drawing, form, told in (
        (spigot(5.0), "spigot", None), (spigot(8.0), "spigot", "likely"),
        (spigot(9.5), "spigot", "either"), (counterbored(10.0), "counterbore", None),
        (counterbored(16.0), "counterbore", "likely"),
        (counterbored(19.0), "counterbore", "either"),
    ):  # fmt: skip
        one = next(f for f in recognise(drawn(drawing)) if f.parameters.get("form") == form)
        assert (one.alternative and one.alternative.confidence) == told


def test_large_fillets_and_small_contours() -> None:
    assert the(rounded(5.0), "fillet").alternative is None
    nearly = the(rounded(19.0), "fillet").alternative
    assert nearly is not None
    assert (nearly.kind, nearly.confidence) == ("contour", "either")
    # between a shaft of 20 and a cone of 10 degrees: 8, 11 and 14 long along the axis, limit 10
    for legs, kind, other in ((8.0, "fillet", "contour"), (11.0, "contour", "fillet"),
                              (14.0, "contour", None)):  # fmt: skip
        turn = math.radians(10.0)
        radius = legs / math.sin(turn)
        low = 10.0 - radius * (1.0 - math.cos(turn))
        end = low - 20.0 * math.tan(turn)
        blend: Any = ((0, 0), (60.0 + legs, 0), (60.0 + legs, end), (40.0 + legs, low),
                      ArcTo(40.0, 10.0, (40.0, 10.0 - radius), False), (0, 10.0))  # fmt: skip
        told = the(blend, kind).alternative
        assert (told and told.kind) == other


def test_a_rounding_that_leaves_little_beside_it() -> None:
    """R8 on the mouth of a bore of which 4 are left, in a ring 12 wide: a bell mouth."""
    drawing = ((8, 25), (12, 25), (12, 29), (8, 29), (8, 34), (0, 34), (0, 33),
               ArcTo(8, 25, (8, 33), False))  # fmt: skip
    (mouth,) = (f for f in recognise(drawn(drawing)) if f.parameters.get("radius_mm") == 8.0)
    assert mouth.kind == "fillet"
    assert mouth.alternative is not None
    assert mouth.alternative.kind == "contour"


def test_a_rim_that_is_all_hollow() -> None:
    rim = the(((0, 20), (60, 20), (60, 25), (0, 25), ArcTo(0, 20, (0, 22.5), True)), "end-groove")
    assert rim.alternative is not None
    assert (rim.alternative.kind, rim.alternative.confidence) == ("contour", "either")


def test_grooves_by_their_section() -> None:
    assert the(grooved(4.0, 2.0), "groove").parameters["form"] == "square"
    v = ((0, 0), (60, 0), (60, 20), (32, 20), (30, 17), (28, 20), (0, 20))
    assert the(v, "groove").parameters["form"] == "V"
    u = ((0, 0), (60, 0), (60, 20), (32, 20), (32, 18), ArcTo(28, 18, (30, 18), True), (28, 20),
         (0, 20))  # fmt: skip
    assert the(u, "groove").parameters["form"] == "U"
    rounded_v = (
        (0, 0), (60, 0), (60, 20), (32, 20), *fillet((32, 20), (30, 17), (28, 20), 0.5), (28, 20),
        (0, 20),
    )  # fmt: skip
    groove = the(rounded_v, "groove")
    assert groove.parameters["form"] == "V"
    # the arc of 0.5 lies 0.5 (1/sin(half angle) - 1) over the sharp root, tan(half angle) = 2/3
    lifted = 0.5 * (math.hypot(2, 3) / 2 - 1)
    assert groove.parameters["depth_mm"] == pytest.approx(3.0 - lifted)
    dovetail = ((0, 0), (60, 0), (60, 20), (32, 20), (33, 17), (27, 17), (28, 20), (0, 20))
    assert the(dovetail, "groove").parameters["form"] == "dovetail"
    ball = ((0, 0), (60, 0), (60, 20), (32, 20), ArcTo(28, 20, (30, 20), True), (0, 20))
    assert the(ball, "groove").parameters["form"] == "round"
    slanted = ((0, 0), (60, 0), (60, 20), (33, 20), (32, 18), (28, 18), (28, 20), (0, 20))
    assert the(slanted, "groove").parameters["form"] is None


def test_a_slot_across_the_axis_leaves_no_turned_bore() -> None:
    """The section of a slotted head lacks the slot's width at every angle: nobody bores that."""
    import cadquery as cq

    from turnability.features.describe import described
    from turnability.part.model import Source
    from turnability.part.turned import part_of

    head = cq.Workplane().circle(10).extrude(30).cut(
        cq.Workplane().box(3, 30, 10).translate((0, 0, 30))
    )  # fmt: skip
    part = part_of(head.val().wrapped, Source(None, None, None, 1, 1, "mm", None, None), ())
    assert part.profile is not None
    features = recognise(part.profile, part.threads, (), part.departures)
    (bore,) = (f for f in features if f.kind == "bore")
    assert bore.parameters["left_by"] == "slot"
    assert described(part.profile, features, part.departures).split("; ")[1:] == [
        "outside: ⌀20 × 30", "milled: slot"
    ]  # fmt: skip
