"""What holds the work and where tools end their cuts, as drawn: lengths by hand, places by an
independent library (shapely)."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from turnability.analysis.stages import walk
from turnability.half_plane.curves import flatten_ring
from turnability.intent.model import Intent, Named, NoGrip
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.outlines import holding_outlines
from turnability.setups.model import Grip
from turnability.shop.load import starter_shop
from turnability.shop.model import Holding

SHAFT = [(0, 0), (200, 0), (200, 7.5), (175, 7.5), (175, 10), (25, 10), (25, 7.5), (0, 7.5)]
BUSH = [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)]
HOUSING = [(0, 22), (30, 22), (30, 24), (70, 24), (70, 22), (120, 22), (120, 30), (93, 30),
           (93, 40), (12, 40), (12, 55), (0, 55)]  # fmt: skip
ENDLESS_MM = 500.0


def planned(points, intent=None):
    shop = starter_shop()
    return walk(drawn_part(points), shop, intent=intent), shop


def held(report, index=0):
    setup = report.setups[index]
    return setup, holding_outlines(report.part.profile, setup, report.stock.choice)


def touching(polygons, r):
    """The z range over which polygons have an edge at a radius."""
    z = [p[0] for one in polygons for p in one if abs(p[1] - r) < 1e-6]
    return (min(z), max(z))


def test_jaws_touch_the_grip_alone_and_keep_their_stand_off():
    report, _ = planned(HOUSING)
    for index in range(len(report.setups)):
        setup, drawn = held(report, index)
        r = setup.grip.diameter_mm / 2.0
        jaw = next(one for one in drawn.grips)
        near, far = sorted(p[0] for p in jaw)[0], sorted(p[0] for p in jaw)[-1]
        low = setup.toward_chuck == "low"
        front = far if low else near
        assert front == pytest.approx(setup.grip.z_mm[1] if low else setup.grip.z_mm[0])
        assert min(p[1] for p in jaw) == pytest.approx(r)
        # tools were kept off the jaws by the stand-off of the shop file
        kept = [p[0] for one in drawn.kept_clear for p in one if p[1] > r + 1e-6]
        edge = max(kept) if low else min(kept)
        off = 0.0 if setup.grip.kind == "raw bar" else setup.holding.jaw_standoff_mm
        assert abs(edge - front) == pytest.approx(off)


def test_the_bar_is_drawn_as_long_as_it_is_cut():
    report, _ = planned(HOUSING)
    _, drawn = held(report)
    piece = report.stock.choice
    (bar,) = drawn.stock
    assert max(p[0] for p in bar) - min(p[0] for p in bar) == pytest.approx(piece.length_mm)
    assert max(p[1] for p in bar) == pytest.approx(piece.across_mm / 2.0)
    _, second = held(report, 1)
    assert second.stock == ()


def test_a_chuck_is_as_wide_as_what_it_takes_and_stands_behind_the_jaws():
    report, _ = planned(HOUSING)
    setup, drawn = held(report)
    (body,) = drawn.body
    assert max(p[1] for p in body) == pytest.approx(setup.holding.outside_mm[1] / 2.0)
    assert max(p[0] for p in body) == pytest.approx(setup.grip.z_mm[0])


def test_a_jaws_step_passes_over_what_is_wider_behind_the_grip():
    report, _ = planned(HOUSING)
    setup, _ = held(report)
    grip = Grip("three-jaw 160", "outer", (15.0, 93.0), 80.0, 78.0)
    setup = replace(setup, toward_chuck="low", grip=grip, kept_clear=())
    drawn = holding_outlines(report.part.profile, setup, None)
    part = Polygon(HOUSING)
    assert Polygon(drawn.grips[0]).intersection(part).area < 1e-6
    assert touching(drawn.grips, 40.0) == (15.0, 93.0)


def test_a_centre_has_sixty_degrees_and_the_mouth_of_its_centre_hole():
    """ISO 6411 form A: work of 10 to 16 mm has a 1.6 mm centre hole, 3.35 mm at its mouth
    (recalled practice)."""
    report, _ = planned(SHAFT)
    setup, drawn = held(report)
    assert setup.support == "tailstock"
    (centre,) = drawn.centres
    (tip, r0), (foot, r1) = centre[:2]
    end = 200.0 if setup.toward_chuck == "low" else 0.0
    assert r0 == 0.0
    assert 2.0 * math.degrees(math.atan2(r1, abs(foot - tip))) == pytest.approx(60.0)
    assert abs(tip - end) == pytest.approx(3.35 / 2.0 / math.tan(math.radians(30.0)))
    assert min(tip, foot) < end < max(tip, foot)


def test_a_steady_stands_on_the_middle_of_its_cylinder():
    report, _ = planned(SHAFT)
    for toward in ("low", "high"):
        setup = replace(report.setups[0], toward_chuck=toward, steady_z_mm=(80.0, 120.0))
        (finger,) = holding_outlines(report.part.profile, setup, None).steady
        z, r = ([p[k] for p in finger] for k in (0, 1))
        assert (min(z) + max(z)) / 2.0 == pytest.approx(100.0)
        assert min(r) == pytest.approx(10.0)
        assert max(z) - min(z) <= 40.0


def test_every_kind_of_holding_leaves_the_part_whole():
    """No grip, body or support stands in the part, but for a centre in its hole."""
    report, _ = planned(BUSH)
    first = report.setups[0]
    length = 60.0
    for kind, grip, z in [
        ("collet", "outer", (0.0, 27.0)),
        ("soft-jaws", "outer", (0.0, 30.0)),
        ("four-jaw", "outer", (5.0, 40.0)),
        ("mandrel", "inner", (15.0, 45.0)),
        ("three-jaw", "inner", (0.0, 14.0)),
        ("bolt-arbor", "inner", (0.0, 0.0)),
        ("glued-arbor", "inner", (0.0, 0.0)),
    ]:
        holding = Holding("held", kind, (3.0, 160.0), (10.0, 100.0), 10.0, 0.5, 2.0)
        diameter = 44.0 if grip == "outer" else 20.0 if kind == "mandrel" else 28.0
        for toward in ("low", "high"):
            place = z if toward == "low" else (length - z[1], length - z[0])
            setup = replace(
                first,
                toward_chuck=toward,
                grip=Grip("held", grip, place, diameter, z[1] - z[0]),
                holding=holding,
                kept_clear=(),
                support="none",
            )
            drawn = holding_outlines(report.part.profile, setup, None)
            solid = unary_union([Polygon(one) for one in (*drawn.grips, *drawn.body)])
            assert solid.is_valid, kind
            assert solid.area > 100.0
            assert solid.intersection(Polygon(BUSH)).area < 1e-6, (kind, toward)


def test_what_a_drawn_setup_does_not_say_is_not_made_up():
    report, _ = planned(BUSH)
    setup = replace(report.setups[0], holding=None)
    assert holding_outlines(report.part.profile, setup, None) is None
    document = replace(report, setups=(setup,)).document()
    assert document["setups"][0]["held"] is None


def outlines_at(tool, toward, at):
    """A tool's cutting outline and body moved there, the body long instead of endless."""
    axis = 1 if tool.access == "outer" else 0
    made = []
    for rings in (tool.outlines.cutting, tool.outlines.body):
        points = [np.array(flatten_ring(ring, 0.002)) for ring in rings]
        if rings is tool.outlines.body and points:
            top = max(ring[:, axis].max() for ring in points)
            for ring in points:
                ring[ring[:, axis] >= top - 1e-6, axis] += ENDLESS_MM
        shape = unary_union([Polygon(ring).buffer(0) for ring in points])
        shape = affinity.scale(shape, -1.0 if toward == "high" else 1.0, 1.0, origin=(0, 0))
        made.append(affinity.translate(shape, *at))
    return made


@pytest.mark.parametrize("points", [SHAFT, BUSH, HOUSING], ids=["shaft", "bush", "housing"])
def test_tools_end_where_they_touch_what_they_cut_and_enter_nothing(points):
    report, shop = planned(points)
    tools = {tool.name: tool for tool in shop.tools}
    part = unary_union([Polygon(points), affinity.scale(Polygon(points), 1, -1, origin=(0, 0))])
    known = {s.id: s for s in report.part.profile.segments}
    placed = 0
    for setup in report.setups:
        kept = [Polygon(flatten_ring(ring, 0.002)) for ring in setup.kept_clear]
        solid = unary_union([part, *kept]).buffer(-0.003)
        for operation in setup.operations:
            assert operation.ends_at is not None, operation
            tool = tools[operation.tool]
            cutting, body = outlines_at(tool, setup.toward_chuck, operation.ends_at)
            assert cutting.intersection(solid).area < 1e-6, operation
            assert body.intersection(solid).area < 1e-6, operation
            if operation.segments and not tool.on_axis:
                own = unary_union(
                    [
                        LineString([known[s].curve.start, known[s].curve.end])
                        for s in operation.segments
                    ]
                )
                assert cutting.distance(own) < 0.003, operation
            placed += 1
    assert placed >= 3


def ends(report, tool, kind):
    return [
        operation.ends_at
        for setup in report.setups
        for operation in setup.operations
        if (operation.tool, operation.kind) == (tool, kind)
    ]


def test_where_cuts_end_by_hand():
    """Nose 0.8 (ISO 1832, 08): faced to the centre its programmed point is 0.8 beyond the axis.
    A drill of 30 with 118° comes 30 / 2 / tan 59° and 1 mm out of a bore."""
    report, _ = planned(SHAFT)
    face = next(o for o in report.setups[0].operations if o.kind == "face")
    assert face.ends_at == pytest.approx((200.0, -0.8), abs=1e-3)
    bored, _ = planned(HOUSING)
    (drilled,) = set(ends(bored, "drill 30", "drill"))
    out = 15.0 / math.tan(math.radians(59.0)) + 1.0
    assert drilled == pytest.approx((-out, 0.0), abs=0.02)


def test_a_drill_that_makes_a_throat_ends_where_its_flutes_do():
    """By hand: a throat of ⌀14 at z 66 to 72, between cones. DIN 338: flutes of 108 on a drill of
    14, less 1.5 diameters for the chips 87: no deeper, though once the mouth is bored it would."""
    venturi = [(0, 14), (40, 14), (66, 7), (72, 7), (150, 14), (160, 14), (160, 20), (0, 20)]
    (setup, *_) = walk(drawn_part(venturi), starter_shop()).setups
    assert setup.toward_chuck == "high"
    (drill,) = [o for o in setup.operations if o.tool == "drill 14"]
    assert drill.segments
    assert drill.ends_at[0] == pytest.approx(87.0, abs=1e-3)


def test_a_left_hand_tool_ends_away_from_the_chuck():
    report, shop = planned(SHAFT)
    left = {tool.name for tool in shop.tools if tool.hand == "left"}
    for setup in report.setups:
        for operation in setup.operations:
            if operation.tool in left and operation.kind == "turn":
                known = {s.id: s.curve for s in report.part.profile.segments}
                z = [p[0] for s in operation.segments for p in (known[s].start, known[s].end)]
                far = max(z) if setup.toward_chuck == "low" else min(z)
                assert operation.ends_at[0] == pytest.approx(far, abs=0.5)
                return
    pytest.fail("the plan has no left-hand tool to look at")


def test_a_part_held_by_its_high_end_is_drawn_as_its_mirror_image():
    keep = Intent(no_grip=(NoGrip(Named(diameter_mm=(15.0, 15.0))),))
    turned = [(200.0 - z, r) for z, r in reversed(SHAFT)]
    one, _ = planned(SHAFT, keep)
    other, _ = planned(turned, keep)
    a, b = held(one)[1], held(other)[1]
    first, second = one.setups[0].toward_chuck, other.setups[0].toward_chuck
    mirror = first != second
    for p, q in zip((*a.grips, *a.body), (*b.grips, *b.body), strict=True):
        laid = {(round(200.0 - z if mirror else z, 6), round(r, 6)) for z, r in q}
        assert {(round(z, 6), round(r, 6)) for z, r in p} == laid


def test_jaws_far_along_a_bar_that_goes_into_the_spindle_are_no_longer_than_their_grip():
    """⌀24 × 400, its own outside kept: no collet takes it, and 370 mm lie behind the jaws."""
    rod = [(0, 0), (400, 0), (400, 12), (0, 12)]
    report, _ = planned(rod, Intent(bar_outside=True))
    for index, setup in enumerate(report.setups):
        _, drawn = held(report, index)
        assert setup.holding.kind == "three-jaw"
        low, high = setup.grip.z_mm
        for jaw in drawn.grips:
            z = [p[0] for p in jaw]
            assert (min(z), max(z)) == pytest.approx((low, high))
