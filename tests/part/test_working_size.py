"""Parts of half a millimetre: worked out enlarged, told at their own size."""

import math

import cadquery as cq
import pytest
from random_solids import resurfaced, write_step

from turnability.part.model import Source
from turnability.part.reading.read import read_solids
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
X = cq.Vector(1, 0, 0)


def pinned_shaft(scale):
    """A shaft of 40 by 60 mm with a radial pin, a flat and a keyway, scaled."""
    body = cq.Solid.makeCylinder(20, 60, cq.Vector(), X)
    pin = cq.Solid.makeCylinder(4, 30, cq.Vector(20, 0, 0), cq.Vector(0, 0, 1))
    flat = cq.Solid.makeBox(20, 60, 30, cq.Vector(40, -30, 15))
    key = cq.Solid.makeBox(10, 4, 10, cq.Vector(28, -2, -26))
    shape = body.fuse(pin).cut(flat).cut(key)
    return shape.Solids()[0].scale(scale)


def sizes(part):
    """All that has a length, an area or a volume, in millimetres."""
    profile = part.profile
    yield from ((1, profile.length_mm), (1, profile.max_diameter_mm))
    yield from ((3, profile.volume_mm3), (3, profile.solid_volume_mm3))
    yield 3, profile.departures_volume_mm3
    for segment in profile.segments:
        for number in (*segment.curve.start, *segment.curve.end, segment.curve.length()):
            yield 1, number
    for departure in part.departures:
        yield from ((1, z) for z in departure.z_mm)
        if departure.volume_mm3 is not None:
            yield 3, departure.volume_mm3
        for key, value in departure.parameters.items():
            if isinstance(value, float) and key.endswith("_mm"):
                yield 1, value


@pytest.mark.parametrize("scale", [0.0078125, 0.0125, 0.1])
def test_a_small_part_has_all_that_the_large_one_has(scale):
    """Whole pins went unseen at a hundredth of the size; all sizes are those times the scale."""
    large = part_of(pinned_shaft(1.0).wrapped, SOURCE, ())
    small = part_of(pinned_shaft(scale).wrapped, SOURCE, ())
    assert large.profile.max_diameter_mm == pytest.approx(2 * math.hypot(30, 4), abs=1e-5)
    assert [d.kind for d in small.departures] == [d.kind for d in large.departures]
    assert {d.kind for d in large.departures} >= {"keyway", "flat"}
    of_large, of_small = list(sizes(large)), list(sizes(small))
    assert len(of_small) == len(of_large)
    for (power, a), (_, b) in zip(of_large, of_small, strict=True):
        assert b == pytest.approx(a * scale**power, rel=1e-5, abs=1e-6 * scale)
    assert (small.remarks, small.doubts) == ((), ())


def test_the_axis_of_a_small_part_is_where_the_file_has_it():
    """Also in the words of why it is none: the axis of a bent plate, 0.2 mm off the origin."""
    off = cq.Vector(0.1, 0.2, 0.3)
    part = part_of(pinned_shaft(0.0078125).translate(off).wrapped, SOURCE, ())
    assert part.axis.origin_mm == pytest.approx((0.1, 0.2, 0.3), abs=1e-9)
    plate = cq.Workplane("XY").box(2, 2, 0.1).faces(">Z").workplane().center(0.2, 0.4).hole(0.5)
    told = part_of(plate.val().wrapped, SOURCE, ()).symmetry.reason
    assert "along z through (0.2, 0.4, 0) mm" in told


@pytest.mark.parametrize("unit", ["MM", "INCH"])
@pytest.mark.parametrize("how", ["plain", "nurbs", "revolution"])
def test_a_file_of_a_tiny_part_is_read_as_it_was_drawn(how, unit, tmp_path):
    """Read in millimetres its drill point was lost and edges lay 0.1 mm off their faces.

    By hand: a sleeve of 12 by 45 mm, bored 3.9 and 30 deep to a point of 2.3, a hundredth as large.
    """
    outline = [(0, 3.9), (30, 3.9), (32.3, 0), (45, 0), (45, 12), (0, 12)]
    sleeve = cq.Workplane("XY").polyline(outline).close().revolve(360, (0, 0, 0), (1, 0, 0)).val()
    ball = cq.Solid.makeSphere(1.4, angleDegrees1=-90, angleDegrees2=90)
    cut = sleeve.cut(ball.translate(cq.Vector(20, 0, 11)), ball.translate(cq.Vector(27, 0, 11)))
    drawn = resurfaced(cut.Solids()[0].scale(0.01).wrapped, how)
    write_step(drawn, tmp_path / "tiny.step", unit)
    (read,) = read_solids(tmp_path / "tiny.step")
    assert (read.remarks, read.doubts) == ((), ())
    part = part_of(read.shape, read.source, read.step_ids)
    assert (part.remarks, part.doubts) == ((), ())
    volume = math.pi * (144 * 45 - 3.9**2 * 30 - 3.9**2 * 2.3 / 3) * 1e-6
    assert part.profile.volume_mm3 == pytest.approx(volume, rel=1e-6)
    rest = part.profile.volume_mm3 - part.profile.departures_volume_mm3
    assert rest == pytest.approx(part.profile.solid_volume_mm3, rel=1e-6)
    assert None not in read.step_ids


def test_what_is_written_after_a_tiny_part_was_read_keeps_its_size(tmp_path):
    """The kernel's writers go by the unit that it last read in."""
    write_step(pinned_shaft(0.01).wrapped, tmp_path / "tiny.step", "MM")
    read_solids(tmp_path / "tiny.step")
    write_step(pinned_shaft(1.0).wrapped, tmp_path / "large.step", "MM")
    (read,) = read_solids(tmp_path / "large.step")
    part = part_of(read.shape, read.source, read.step_ids)
    assert part.profile.length_mm == pytest.approx(60.0, abs=1e-6)
