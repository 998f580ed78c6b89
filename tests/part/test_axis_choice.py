"""Which line a solid is turned about, against what a lathe hand would take (common practice, no
source): the line about which most of its turned body lies, whatever holds the most round surface.

Each shape is drawn with its turned body about z through the origin or another stated line, by
hand; sizes are ours.
"""

import math

import cadquery as cq
import numpy as np
import pytest

from turnability.part import choice
from turnability.part.axis import axis_candidates
from turnability.part.faces_of_solid import kernel_faces
from turnability.part.least_swept import least_swept, swept_at_most
from turnability.part.model import Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
Z = ((0, 0, 0), (0, 0, 1))


def aside(x):
    return ((x, 0, 0), (0, 0, 1))


def across(z):
    return ((0, 0, z), (1, 0, 0))


def read(shape):
    (solid,) = shape.solids().vals()
    return part_of(solid.wrapped, SOURCE, ())


def bar(d, length, x=0.0, z=0.0):
    return cq.Workplane(origin=(x, 0, z)).circle(d / 2).extrude(length)


def cross(d, z, y=0.0, low=-100.0, high=100.0):
    """A rod of ⌀d along x."""
    return cq.Workplane("YZ", origin=(low, y, z)).circle(d / 2).extrude(high - low)


def drilled(d, length, share):
    return bar(d, length).cut(cross(share * d, length / 2))


def stacked(*pieces):
    """Rods (⌀, length, offset x) one upon another."""
    z, made = 0.0, cq.Workplane()
    for d, length, x in pieces:
        made, z = made.union(bar(d, length, x, z)), z + length
    return made


def grooved_bush():
    made = bar(40, 30).cut(bar(34, 30, 0.5))
    for z in (5, 13, 21):
        made = made.cut(bar(37, 4, 0.5, z))
    return made


def flatted_sleeve(flats):
    made = bar(60, 40)
    for k in range(flats):
        cutter = cq.Workplane().box(60, 60, 200).translate((57.5, 0, 0))
        made = made.cut(cutter.rotate((0, 0, 0), (0, 0, 1), 90 * k))
    return made.cut(bar(46, 40, 2))


def spoked():
    face = cq.Workplane().circle(30).extrude(20).faces(">Z").workplane()
    return face.polarArray(20, 0, 360, 5).hole(18)


def pinned():
    face = cq.Workplane().circle(30).extrude(8).faces(">Z").workplane()
    return face.polarArray(19, 0, 360, 6).circle(8).extrude(40)


def twelve_sided_nut():
    """40 across flats, 40 high, its ends chamfered by 30 degrees from ⌀38, its bore set over."""
    corner, rise = 20 / math.cos(math.pi / 12), math.tan(math.radians(30))
    bar_ = cq.Workplane().polygon(12, 2 * corner).extrude(40)
    low = (corner - 19) * rise
    cone = [(0, 0), (19, 0), (corner + 1, low + rise), (corner + 1, 40 - low - rise), (19, 40)]
    turned = cq.Workplane("XZ").polyline([*cone, (0, 40)]).close()
    return bar_.intersect(turned.revolve(360, (0, 0, 0), (0, 1, 0))).cut(bar(20, 40, 1.5))


def lobed(thick, bores):
    made = bar(30, thick, -25).union(bar(30, thick, 25))
    made = made.union(cq.Workplane().rect(50, 24).extrude(thick))
    for x in bores:
        made = made.cut(bar(20, thick, x))
    return made


def half(bore):
    made = bar(40, 50).cut(bar(bore, 50)) if bore else bar(40, 50)
    return made.cut(cq.Workplane().box(80, 80, 200).translate((40, 0, 0)))


TAKEN = {
    "bar 20 x 60, cross hole of 50 %": (drilled(20, 60, 0.5), Z),
    "bar 20 x 30, cross hole of 90 %": (drilled(20, 30, 0.9), Z),
    "bar 30 x 40, cross hole of 95 %": (drilled(30, 40, 0.95), Z),
    "bar 40 x 45, cross hole of 80 %": (drilled(40, 45, 0.8), Z),
    "bar 40 x 60, cross hole of 98 %": (drilled(40, 60, 0.98), Z),
    "bar 60 x 62, cross hole of 70 %": (drilled(60, 62, 0.7), Z),
    "bar 60 x 70, cross hole of 90 %": (drilled(60, 70, 0.9), Z),
    "bar 60 x 200, cross hole of 98 %": (drilled(60, 200, 0.98), Z),
    "short bar 40 x 30, cross hole of 60 %": (drilled(40, 30, 0.6), Z),
    "disc 60 x 20, cross hole 16": (bar(60, 20).cut(cross(16, 10)), Z),
    "disc 60 x 14, cross hole 12 off its middle": (bar(60, 14).cut(cross(12, 7, 12)), Z),
    "tube 40/30 x 60, cross hole 24": (bar(40, 60).cut(bar(30, 60)).cut(cross(24, 30)), Z),
    "shaft with a pin between two journals": (stacked((30, 60, 0), (20, 30, 10), (30, 60, 0)), Z),
    "crank with webs": (
        stacked((20, 40, 0), (60, 10, 0), (20, 30, 15), (60, 10, 0), (20, 40, 0)),
        Z,
    ),
    "short journal on a long rod": (stacked((20, 30, 0), (20, 60, 6)), aside(6)),
    "short journals about a long wide pin": (
        stacked((20, 20, 0), (24, 60, 2), (20, 20, 0)),
        aside(2),
    ),
    "thin disc on a long thick rod": (stacked((80, 8, 0), (30, 100, 20)), aside(20)),
    "disc with a long pin near its middle": (stacked((100, 10, 0), (16, 60, 3)), Z),
    "disc with six long pins": (pinned(), Z),
    "shaft with an eccentric bore": (bar(50, 40).cut(bar(30, 40, 8)), Z),
    "stepped shaft with an eccentric bore": (
        stacked((60, 20, 0), (40, 20, 0)).cut(bar(34, 40, 2)),
        Z,
    ),
    "bush whose grooved eccentric bore has more surface than its outside": (grooved_bush(), Z),
    "sleeve with four flats and an eccentric bore": (flatted_sleeve(4), Z),
    "disc with five holes that leave 55 % of it": (spoked(), Z),
    # all that turns about its middle are two narrow cones, a sixth of the bore's wall
    "nut of twelve sides with an eccentric bore": (twelve_sided_nut(), Z),
    "short shaft across the end of a long one": (
        bar(30, 40).union(cross(28, 20, low=0, high=100)),
        across(20),
    ),
    "tee whose branch is the long one": (
        bar(40, 60).union(cross(40, 30, low=0, high=140)),
        across(30),
    ),
}
REFUSED = {
    "tee": bar(40, 100).union(cross(30, 50, low=0, high=60)),
    "cross": bar(30, 100).union(cross(30, 50, low=-50, high=50)),
    "stepped shaft with a wide stub": stacked((40, 60, 0), (30, 60, 0)).union(
        cross(36, 30, low=0, high=50)
    ),
    "plate of two lobes with two bores": lobed(8, (-25, 25)),
    "plate of two lobes with a bore amid": lobed(8, (0,)),
    "half of a rod": half(None),
    "half of a tube": half(16),
}


@pytest.mark.parametrize("name", TAKEN)
def test_the_axis_is_the_one_about_which_most_of_the_turned_body_lies(name):
    shape, (point, along) = TAKEN[name]
    # laid askew: nothing may hang on the model's own directions
    move = cq.Location(cq.Vector(7, -3, 11), cq.Vector(1, 2, 3), 40)
    part = read(cq.Workplane(shape.val().moved(move)))
    assert part.axis is not None, part.symmetry.reason
    foot, tip = (
        np.array(cq.Vertex.makeVertex(*p).moved(move).toTuple())
        for p in (point, np.add(point, along))
    )
    assert np.linalg.norm(np.cross(part.axis.direction, tip - foot)) < 1e-6
    assert np.linalg.norm(np.cross(np.array(part.axis.origin_mm) - foot, tip - foot)) < 1e-3
    left = part.profile.volume_mm3 - (part.profile.departures_volume_mm3 or 0.0)
    assert left == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)


@pytest.mark.parametrize("name", REFUSED)
def test_what_a_lathe_would_mostly_cut_away_has_no_axis(name):
    part = read(REFUSED[name])
    assert part.axis is None
    assert "of the body that turning about this axis would give" in part.symmetry.reason


def test_no_better_axis_is_claimed_where_none_fills_its_body_well():
    """A strip with two eyes, one of them with a wide bore: about either it fills little."""
    strip = bar(30, 8).union(bar(30, 8, 120)).cut(bar(26, 8)).cut(bar(10, 8, 120))
    part = read(strip.union(cq.Workplane(origin=(60, 0, 2)).rect(91, 6).extrude(4)))
    assert "about which the most round surface turns, runs along z through (0, 0, 0) mm" in (
        part.symmetry.reason
    )


def test_a_square_bar_is_refused_for_its_own_axis_and_not_for_its_eccentric_bore():
    """The bore turns about more surface, but the bar fills the body about its middle better."""
    made = cq.Workplane().rect(40, 40).extrude(80).intersect(bar(52, 80)).cut(bar(32, 80, 3))
    reason = read(made).symmetry.reason
    assert "whose turned body the part fills best, runs along z through (0, 0, 0) mm" in reason


def test_a_rod_with_two_eyes_is_refused_before_its_turned_body_is_worked_out(monkeypatch):
    def dear(*_):
        raise AssertionError("the turned body was worked out")

    monkeypatch.setattr(choice, "about", dear)
    rod = bar(20, 20).union(bar(20, 20, 100)).cut(bar(12, 20)).cut(bar(12, 20, 100))
    rod = rod.union(cq.Workplane(origin=(50, 0, 5)).rect(84, 8).extrude(10))
    reason = read(rod).symmetry.reason
    # it fills less than its volume over the ring that its bar alone sweeps, from 8 to 92
    most = rod.val().Volume() / (math.pi * (92**2 - 8**2) * 10)
    told = float(reason.split("fills at most ")[1].split("%")[0]) / 100
    exact_at_least = rod.val().Volume() / (math.pi * 110**2 * 20)
    assert exact_at_least < told < 1.5 * most


@pytest.mark.parametrize("x", [0.0, 10.0, 40.0])
def test_what_faces_sweep_at_the_least_is_not_above_what_they_sweep_and_near_it(x):
    """A block 60 x 20 x 5 with a bore through (x, 0), whose walls sweep a ring of height 5."""
    block = cq.Workplane().rect(60, 20).extrude(5).translate((-x, 0, 0)).union(bar(8, 5))
    block = block.cut(bar(4, 5))
    faces = kernel_faces(block.val().wrapped)
    line = next(line for line in axis_candidates(block.val().wrapped, faces))
    # from the near side to the far corner, but where the eye stands apart from the block
    near = 10.0 if x < 20 else x - 30.0
    swept = math.pi * (math.hypot(30 + x, 10) ** 2 - near**2) * 5
    least = least_swept(faces, line)
    assert 0.55 * swept < least.volume_mm3 < 1.001 * swept
    bore = math.pi * 4 * 5
    assert least.turned_mm2 >= least.level_mm2 + bore * 0.999
    # the cylinder about all of it: to the middles of the outermost of nine parts of each face
    about_all = math.pi * math.hypot(30 + x, 10) ** 2 * 5
    assert max(least.volume_mm3, 0.7 * about_all) < swept_at_most(faces, line) <= about_all
