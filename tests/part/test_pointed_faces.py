"""Arcs turned about an axis that they cross: read as the half of the surface that the file says.

Volumes are `pi` times the integral of r² dh along the outline (a solid of revolution by discs), in
closed form for arcs of circles and ellipses.
"""

import math
import random
import re

import cadquery as cq
import pytest
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.GProp import GProp_GProps
from random_solids import moved, random_move, resurfaced, revolved, split, write_step

from turnability.part.reading.pointed_faces import with_arcs
from turnability.part.reading.read import read_solids
from turnability.part.reading.step_text import read_step_text
from turnability.part.turned import part_of

FROM, LONG = 10.0, 20.0
"""Radius of the cylinder that every arc begins on, and the cylinder's length."""
ARCS = {
    # x: distance of the arc's centre from the axis, radius, signs of the angles at which it begins
    # and ends, counted from where it is farthest out
    "ogive": (-15.0, 25.0, 1, 1),  # inner half (lemon)
    "bulged": (-14.5, math.hypot(24.5, 0.25), -1, 1),  # through (20,10), (32,7), (40,0)
    "blunt": (-2.0, 12.2, 1, 1),
    "dimple": (3.0, 8.0, 1, 1),  # outer half (apple), dipping to the axis
    "spike": (15.0, 16.0, -1, -1),  # outer half, hollow-ground to a point
    "funnel": (15.0, 16.0, 1, 1),  # the same, sunk into the end
    "needle": (12.0, 12.0, -1, -1),  # touches the axis and does not cross it
    "cusp": (12.0, 12.0, 1, 1),
}


def angles(name):
    x, radius, begins, ends = ARCS[name]
    return begins * math.acos((FROM - x) / radius), ends * math.acos(max(-1.0, -x / radius))


def below(x, radius, deep, t):
    """The integral of pi r² dh with r = x + radius cos t, h = deep sin t."""
    s = math.sin(t)
    twice = t / 2.0 + math.sin(2.0 * t) / 4.0
    return math.pi * deep * (x * x * s + 2.0 * x * radius * twice + radius**2 * (s - s**3 / 3.0))


def nose(name):
    """Volume beyond the cylinder; below nought where the arc is sunk into it."""
    x, radius, *_ = ARCS[name]
    begin, end = angles(name)
    return below(x, radius, radius, end) - below(x, radius, radius, begin)


def arc(name, at=LONG, way=1.0):
    """The arc from the cylinder's rim to the axis, about x, and where it meets the axis."""
    x, radius, *_ = ARCS[name]
    begin, end = angles(name)
    foot = radius * math.sin(begin)

    def place(t):
        return cq.Vector(at + way * (radius * math.sin(t) - foot), x + radius * math.cos(t), 0)

    tip = cq.Vector(place(end).x, 0, 0)
    return cq.Edge.makeThreePointArc(place(begin), place((begin + end) / 2.0), tip), tip


def outline(name, both=False):
    """Edges of a cylinder with the arc at its high end, or with another at its low end."""
    top, tip = arc(name)
    corner, rim = cq.Vector(0, FROM, 0), cq.Vector(LONG, FROM, 0)
    side = cq.Edge.makeLine(corner, rim)
    if both:
        low, point = arc(name, 0.0, -1.0)
        return [cq.Edge.makeLine(point, tip), top, side, low]
    foot = cq.Vector(0, 0, 0)
    return [cq.Edge.makeLine(foot, tip), top, side, cq.Edge.makeLine(corner, foot)]


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    return props.Mass()


def read_back(shape, tmp_path, unit="MM"):
    path = tmp_path / "part.step"
    write_step(shape, path, unit)
    (read,) = read_solids(path)
    return read


def held(read, expected, pointed):
    """Sound, of the volume, told of so many pointed faces, and turned with the books closed."""
    assert BRepCheck_Analyzer(read.shape).IsValid()
    assert volume(read.shape) == pytest.approx(expected, rel=1e-8)
    said = [remark for remark in read.remarks if "on the axis" in remark]
    which = "1 pointed face lies" if pointed == 1 else f"{pointed} pointed faces lie"
    assert len(said) == 1
    assert said[0].startswith(which)
    assert read.doubts == ()
    part = part_of(read.shape, read.source, read.step_ids, read.remarks)
    assert part.profile is not None, part.symmetry.reason
    return part


@pytest.mark.parametrize("unit", ["MM", "INCH"])
@pytest.mark.parametrize("name", ARCS)
def test_a_pointed_end_is_read_whole(name, unit, tmp_path):
    shape = revolved(outline(name))
    held(read_back(shape, tmp_path, unit), math.pi * FROM**2 * LONG + nose(name), 1)


def test_the_volumes_are_those_of_known_bodies():
    """A half ball has 2/3 pi r³; a pointed end stands out or is sunk in as its name says."""
    half = below(0.0, FROM, FROM, math.pi / 2.0) - below(0.0, FROM, FROM, 0.0)
    assert half == pytest.approx(2.0 / 3.0 * math.pi * FROM**3)
    assert all(nose(name) > 0.0 for name in ("ogive", "blunt", "dimple", "spike", "needle"))
    assert all(nose(name) < 0.0 for name in ("funnel", "cusp"))


@pytest.mark.parametrize("name", ["ogive", "dimple", "funnel", "needle"])
@pytest.mark.parametrize("seed", range(3))
def test_it_is_so_wherever_the_part_stands_and_mirrored(name, seed, tmp_path):
    move = random_move(random.Random(seed), 50.0)
    mirror = gp_Trsf()
    mirror.SetMirror(gp_Ax2(gp_Pnt(1, 2, 3), gp_Dir(0.2, 0.5, 0.9)))
    for placed in (move, move.Multiplied(mirror)):
        shape = moved(revolved(outline(name)), placed)
        unit = random.Random(seed).choice(["MM", "INCH"])
        held(read_back(shape, tmp_path, unit), math.pi * FROM**2 * LONG + nose(name), 1)


@pytest.mark.parametrize("name", ["ogive", "blunt", "dimple", "spike"])
def test_both_ends_may_be_pointed(name, tmp_path):
    shape = revolved(outline(name, both=True))
    held(read_back(shape, tmp_path), math.pi * FROM**2 * LONG + 2.0 * nose(name), 2)


@pytest.mark.parametrize("name", ARCS)
@pytest.mark.parametrize("parts", [2, 3])
def test_faces_split_in_sectors_are_read_too(name, parts, tmp_path):
    shape = split(outline(name), parts)
    held(read_back(shape, tmp_path), math.pi * FROM**2 * LONG + nose(name), parts)


@pytest.mark.parametrize("name", ["ogive", "blunt", "dimple", "spike"])
@pytest.mark.parametrize("unit", ["MM", "INCH"])
def test_a_hollow_may_be_pointed(name, unit, tmp_path):
    """The same body as a bore, its mouth at an end of a bar."""
    hollow = cq.Shape.cast(revolved(outline(name)))
    bar = cq.Solid.makeCylinder(30.0, 80.0, cq.Vector(0, 0, 0), cq.Vector(1, 0, 0))
    expected = math.pi * (900.0 * 80.0 - FROM**2 * LONG) - nose(name)
    held(read_back(bar.cut(hollow).Solids()[0].wrapped, tmp_path, unit), expected, 1)


@pytest.mark.parametrize("height", [20.0, -20.0])
@pytest.mark.parametrize(("name", "x", "radius"), [("lemon", -37.5, 42.5), ("apple", 4.0, 10.0)])
def test_a_body_of_one_face_with_two_points_is_read(name, x, radius, height, tmp_path):
    """A lemon and an apple whole: faces without an edge, then halves with no other vertex."""
    end = math.acos(-x / radius)
    up = math.copysign(radius, height)
    low, high = (cq.Vector(s * up * math.sin(end), 0, 0) for s in (-1.0, 1.0))
    curve = cq.Edge.makeThreePointArc(low, cq.Vector(0, x + radius, 0), high)
    edges = [curve, cq.Edge.makeLine(high, low)]
    expected = below(x, radius, radius, end) - below(x, radius, radius, -end)
    held(read_back(revolved(edges), tmp_path), expected, 1)
    held(read_back(split(edges, 2), tmp_path), expected, 2)


@pytest.mark.parametrize("x", [0.0, -4.0, 4.0])
@pytest.mark.parametrize("unit", ["MM", "INCH"])
def test_an_end_of_an_ellipse_is_read_whole(x, unit, tmp_path):
    """Half axes 10 - x across and 15 along; on the axis itself it is a spheroid's half."""
    across, deep = FROM - x, 15.0
    end = math.acos(-x / across)
    work = cq.Workplane("XZ").lineTo(FROM, 0).lineTo(FROM, LONG)
    work = work.ellipseArc(across, deep, 0, math.degrees(end), 0, sense=1, startAtCurrent=True)
    solid = work.close().revolve(360, (0, 0, 0), (0, 1, 0)).val()
    held(
        read_back(solid.wrapped, tmp_path, unit),
        math.pi * FROM**2 * LONG + below(x, across, deep, end) - below(x, across, deep, 0.0),
        1,
    )


def test_a_flat_beside_the_point_leaves_it(tmp_path):
    """The solid as it was before it was written has the volume, made directly."""
    flat = cq.Solid.makeBox(20, 40, 20).translate(cq.Vector(24, -20, 3))
    cut = cq.Shape.cast(revolved(outline("ogive"))).cut(flat).Solids()[0]
    held(read_back(cut.wrapped, tmp_path), volume(cut.wrapped), 1)


def without_seam(path, *, point):
    """The face that ends in a point bounded by its rim, and where `point` by that as well."""
    text = path.read_text()
    for surface in re.findall(r"#(\d+) = SURFACE_OF_REVOLUTION", text):
        bound = re.search(rf"ADVANCED_FACE\('',\(#(\d+)\),#{surface},", text)[1]
        loop = re.search(rf"#{bound} = FACE_BOUND\('',#(\d+)", text)[1]
        uses = re.search(rf"#{loop} = EDGE_LOOP\('',\(([^)]*)\)", text)[1]
        ends = {}
        for use in uses.split(","):
            edge = re.search(rf"{use} = ORIENTED_EDGE\('',\*,\*,#(\d+)", text)[1]
            ends[use] = re.search(rf"#{edge} = EDGE_CURVE\('',#(\d+),#(\d+)", text).groups()
        rims = [use for use, (begin, end) in ends.items() if begin == end]
        if len(rims) == 1:
            break  # else a belt between two rims
    (tip,) = {v for pair in ends.values() for v in pair} - set(ends[rims[0]])
    text = text.replace(f"#{loop} = EDGE_LOOP('',({uses})", f"#{loop} = EDGE_LOOP('',({rims[0]})")
    if point:
        old = f"ADVANCED_FACE('',(#{bound}),#{surface},"
        text = text.replace(old, f"ADVANCED_FACE('',(#{bound},#90001),#{surface},")
        more = f"#90001=FACE_BOUND('',#90002,.T.);\n#90002=VERTEX_LOOP('',#{tip});\n"
        text = text.replace("ENDSEC;\nEND-ISO", f"{more}ENDSEC;\nEND-ISO")
    path.write_text(text)


@pytest.mark.parametrize("point", [True, False])
@pytest.mark.parametrize("name", ARCS)
def test_a_rim_may_be_the_only_bound_or_have_the_point_beside_it(name, point, tmp_path):
    """As of files without seams. The face is on the side of its rim that its sense says."""
    path = tmp_path / "part.step"
    write_step(revolved(outline(name)), path, "MM")
    without_seam(path, point=point)
    (read,) = read_solids(path)
    held(read, math.pi * FROM**2 * LONG + nose(name), 1)


@pytest.mark.parametrize("way", [1.0, -0.6])
@pytest.mark.parametrize("form", ["line", "ball", "spline"])
def test_a_rim_alone_bounds_points_of_other_curves(form, way, tmp_path):
    """A cone, half a ball and a spline, standing out or sunk in, stored as turned curves.

    A cone has a third of its cylinder's volume and half a ball two thirds.
    """
    deep = way * FROM
    rim, tip = cq.Vector(LONG, FROM, 0), cq.Vector(LONG + deep, 0, 0)
    if form == "line":
        curve = cq.Edge.makeLine(tip, rim)
    elif form == "ball":
        tip = cq.Vector(LONG + math.copysign(FROM, way), 0, 0)
        half = math.sqrt(0.5) * FROM
        curve = cq.Edge.makeThreePointArc(
            tip, cq.Vector(LONG + math.copysign(half, way), half, 0), rim
        )
    else:
        curve = cq.Edge.makeSpline([tip, cq.Vector(LONG + 0.8 * deep, 0.5 * FROM, 0), rim])
    corner, foot = cq.Vector(0, FROM, 0), cq.Vector(0, 0, 0)
    line = cq.Edge.makeLine
    solid = revolved([line(foot, tip), curve, line(rim, corner), line(corner, foot)])
    stored = resurfaced(solid, "revolution")
    path = tmp_path / "part.step"
    write_step(stored, path, "MM")
    without_seam(path, point=False)
    (read,) = read_solids(path)
    expected = math.pi * FROM**2 * LONG
    if form == "spline":
        expected = volume(solid)
    elif form == "ball":
        expected += math.copysign(2.0 / 3.0 * math.pi * FROM**3, way)
    else:
        expected += math.pi * FROM**2 * deep / 3.0
    held(read, expected, 1)


def test_faces_keep_their_entities(tmp_path):
    read = read_back(revolved(outline("ogive", both=True)), tmp_path)
    text = read_step_text(tmp_path / "part.step")
    assert None not in read.step_ids
    kinds = {
        text.instances[surface].keyword
        for number, face in zip(read.step_ids, cq.Shape.cast(read.shape).Faces(), strict=True)
        if face.geomType() == "REVOLUTION"
        for surface in text.references(number)[-1:]
    }
    assert kinds == {"SURFACE_OF_REVOLUTION"}
    told = with_arcs(text)
    assert told.faces == {
        number
        for number, face in zip(read.step_ids, cq.Shape.cast(read.shape).Faces(), strict=True)
        if face.geomType() == "REVOLUTION"
    }
    assert told.added == 6  # a cut curve and its two ends, for each face


@pytest.mark.parametrize("shape", ["barrel", "bead", "dome"])
def test_other_arcs_are_left_as_they_are(shape, tmp_path):
    """A barrel's arc would cross the axis beyond its ends; a bead's never; a dome is a ball's."""
    low, high = cq.Vector(0, 8, 0), cq.Vector(40, 8, 0)
    through = {"barrel": (20, 10), "bead": (20, 29), "dome": (0, 0)}[shape]
    if shape == "dome":
        low, high, through = cq.Vector(0, 10, 0), cq.Vector(10, 0, 0), (10 * 0.6, 10 * 0.8)
    foot = [cq.Vector(low.x, 0, 0), cq.Vector(high.x, 0, 0)]
    edges = [cq.Edge.makeThreePointArc(low, cq.Vector(*through, 0), high)]
    edges += [cq.Edge.makeLine(high, foot[1])] if high.y else []
    edges += [cq.Edge.makeLine(foot[1], foot[0]), cq.Edge.makeLine(foot[0], low)]
    solid = revolved(edges)
    if shape == "dome":  # a sphere otherwise
        solid = resurfaced(solid, "revolution")
    read = read_back(solid, tmp_path)
    text = read_step_text(tmp_path / "part.step")
    assert text.by_keyword.get("SURFACE_OF_REVOLUTION") or shape == "bead"
    assert with_arcs(text).text is text.text
    assert volume(read.shape) == pytest.approx(volume(solid), rel=1e-7)
    assert read.remarks == ()


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (r"(#(\d+) = SEAM_CURVE\('',)#\d+", r"\1#\2"),  # an edge that lies on itself
        (r"(CIRCLE\('',#)(\d+),24.\d+", r"\g<1>\2,0."),  # no radius
        (r"(SURFACE_OF_REVOLUTION\('',)#\d+", r"\1$"),  # turned from nothing
        (r"(SURFACE_OF_REVOLUTION\('',)(#\d+),#\d+", r"\1(\2,\2),(\2,\2)"),
        (r"(SURFACE_OF_REVOLUTION\('',)#\d+,#\d+", r"\1"),
        (r"VERTEX_POINT\('',#\d+", "VERTEX_POINT('',$"),
        (r"CARTESIAN_POINT\('',\([^)]*\)", "CARTESIAN_POINT('',(0.,0.,0.)"),
        (r"DIRECTION\('',\([^)]*\)", "DIRECTION('',(0.,0.,1.)"),
    ],
)
def test_damaged_geometry_is_left_to_the_kernel(old, new, tmp_path):
    path = tmp_path / "part.step"
    write_step(revolved(outline("bulged")), path, "MM")
    text, count = re.subn(old, new, path.read_text())
    assert count
    path.write_text(text)
    read = read_step_text(path)
    told = with_arcs(read)
    if told.added:  # the seam alone was damaged
        assert "SEAM" in old
    else:
        assert told.text is read.text
