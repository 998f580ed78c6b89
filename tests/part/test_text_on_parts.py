"""Law: text let into a turned part or standing out of it is told whole, and the meridian keeps out
of it.

What the letters hold comes from the drawn glyphs' outlines alone, by Green's theorem: through a
wall between the radii r and R from the side, a glyph over x and z holds the integral of
sqrt(R^2 - x^2) - sqrt(r^2 - x^2).
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import cadquery as cq
import numpy as np
import pytest

from turnability.part.model import Departure, Part, Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
R, LENGTH = 15.0, 60.0


def read(shape: Any) -> Part:
    part = part_of(shape.val().wrapped, SOURCE, ())
    assert part.profile is not None, part.symmetry.reason
    return part


def rod(r: float = R) -> Any:
    return cq.Workplane().circle(r).extrude(LENGTH)


def from_the_side(words: str, start: float, depth: float) -> Any:
    """Letters 5 high that run from y = -start outwards (-y), around z = 30."""
    plane = cq.Workplane("XZ", origin=(0, -start, 30))
    return plane.text(words, 5.0, depth, combine=False)


def glyphs(words: str) -> list[list[Any]]:
    """Outlines (n, 2) of each glyph's wires in x and z, finely walked, signed as they run."""
    drawn = cq.Workplane("XZ").text(words, 5.0, 1.0, combine=False)
    found = []
    for face in drawn.faces("|Y").vals():
        if abs(face.Center().y) > 1e-9:
            continue
        wires = []
        for wire, sign in ((face.outerWire(), 1.0), *((w, -1.0) for w in face.innerWires())):
            at = [wire.positionAt(t) for t in corners(wire)]
            xz = np.array([(p.x, p.z) for p in at])
            area = 0.5 * (xz[:-1, 0] * xz[1:, 1] - xz[1:, 0] * xz[:-1, 1]).sum()
            wires.append(xz if area * sign > 0.0 else xz[::-1])
        found.append(wires)
    return found


def corners(wire: Any) -> list[float]:
    """Shares of a wire's length: at every corner, and many along each edge."""
    lengths = [edge.Length() for edge in wire.Edges()]
    ends = np.concatenate(([0.0], np.cumsum(lengths))) / sum(lengths)
    steps = [np.linspace(a, b, 201)[:-1] for a, b in itertools.pairwise(ends)]
    return [*np.concatenate(steps).tolist(), 1.0]


def held(words: str, height: Any) -> float:
    """Sum over the glyphs of the integral of a height over x; `height`: its antiderivative."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    total = 0.0
    for wires in glyphs(words):
        for xz in wires:
            (x0, z0), (x1, z1) = xz[:-1].T, xz[1:].T
            x = x0[:, None] + (x1 - x0)[:, None] * (nodes + 1.0) / 2.0
            total += float(((z1 - z0)[:, None] * height(x) * weights / 2.0).sum())
    return total


def below(r: float) -> Any:
    """Antiderivative of sqrt(r^2 - x^2)."""
    return lambda x: 0.5 * (x * np.sqrt(r * r - x * x) + r * r * np.arcsin(x / r))


def shell(r: float, big: float) -> Any:
    return lambda x: below(big)(x) - below(r)(x)


def one(part: Part, form: str) -> Departure:
    (found,) = [d for d in part.departures if d.parameters.get("form") == form]
    return found


def same_meridian(part: Part, plain: Any) -> bool:
    mine, other = part.profile, read(plain).profile
    assert mine is not None
    assert other is not None
    return [s.curve for s in mine.segments] == [s.curve for s in other.segments]


def edges_of(words: str) -> int:
    drawn = cq.Workplane("XZ").text(words, 5.0, 1.0, combine=False)
    return sum(
        len(face.Edges()) for face in drawn.faces("|Y").vals() if abs(face.Center().y) < 1e-9
    )


WORDS = "NET4"


def test_in_an_end() -> None:
    text = cq.Workplane(origin=(0, 8, LENGTH)).text(WORDS, 5.0, -0.3, combine=False)
    part = read(rod().cut(text))
    found = one(part, "engraved text")
    assert part.departures == (found,)
    assert found.volume_mm3 == pytest.approx(0.3 * held(WORDS, lambda x: x), rel=1e-6)
    assert found.z_mm == pytest.approx((LENGTH - 0.3, LENGTH), abs=1e-9)
    assert len(found.faces) == edges_of(WORDS) + 4  # a wall on each edge, a floor in each glyph
    assert (found.parameters["figures"], found.parameters["direction"]) == (4, "axial")
    assert found.parameters["depth_mm"] == pytest.approx(0.3)
    assert same_meridian(part, rod())


def test_in_the_side_down_to_a_smaller_round() -> None:
    text = from_the_side(WORDS, 0.0, 30.0).cut(rod(14.7))
    part = read(rod().cut(text))
    found = one(part, "engraved text")
    assert part.departures == (found,)
    assert found.volume_mm3 == pytest.approx(held(WORDS, shell(14.7, R)), rel=1e-6)
    assert (found.parameters["figures"], found.parameters["direction"]) == (4, "radial")
    assert found.parameters["depth_mm"] == pytest.approx(0.3)
    assert found.parameters["r_mm"] == pytest.approx((14.7, R))
    assert same_meridian(part, rod())


def test_in_the_side_down_to_a_plane() -> None:
    part = read(rod().cut(from_the_side("ET", 14.5, 30.0)))
    found = one(part, "engraved text")
    volume = held("ET", lambda x: below(R)(x) - 14.5 * x)
    assert part.departures == (found,)
    assert found.volume_mm3 == pytest.approx(volume, rel=1e-6)
    assert found.parameters["depth_mm"] == pytest.approx(0.5)  # where it is deepest, in the middle
    assert found.parameters["figures"] == 2


def test_on_a_flat_which_stays_a_flat() -> None:
    plain = rod().cut(cq.Workplane().box(40, 10, 30).translate((0, -17, 30)))
    part = read(plain.cut(from_the_side(WORDS, 11.7, 5.0)))
    found = one(part, "engraved text")
    (flat,) = [d for d in part.departures if d is not found]
    segment = R * R * math.acos(12.0 / R) - 12.0 * 9.0  # 9 = sqrt(15^2 - 12^2)
    assert flat.kind == "flat"
    assert flat.parameters["across_flats_mm"] == pytest.approx(27.0)
    assert flat.volume_mm3 == pytest.approx(
        30.0 * segment + 0.3 * held(WORDS, lambda x: x), rel=1e-9
    )
    assert found.parameters["volume_counted_in"] == flat.id
    assert (found.parameters["figures"], found.parameters["direction"]) == (4, "radial")
    assert found.parameters["depth_mm"] == pytest.approx(0.3)


def test_out_of_the_side() -> None:
    text = from_the_side("NET", 0.0, 30.0).intersect(rod(15.3))
    part = read(rod().union(text))
    found = one(part, "raised text")
    low, high = found.z_mm
    ring = math.pi * (15.3**2 - R * R) * (high - low)  # the turned body has a ring there
    assert part.departures == (found,)
    assert found.volume_mm3 == pytest.approx(ring - held("NET", shell(R, 15.3)), rel=1e-6)
    assert found.parameters["figures"] == 3
    assert found.parameters["height_mm"] == pytest.approx(0.3)
    assert part.profile is not None
    assert part.profile.max_diameter_mm == pytest.approx(30.6)


def test_out_of_an_end() -> None:
    text = cq.Workplane(origin=(0, 8, LENGTH)).text("NET", 5.0, 0.4, combine=False)
    part = read(rod().union(text))
    found = one(part, "raised text")
    assert part.profile is not None
    disc = part.profile.volume_mm3 - math.pi * R * R * LENGTH
    assert part.departures == (found,)
    assert found.volume_mm3 == pytest.approx(disc - 0.4 * held("NET", lambda x: x), rel=1e-6)
    assert found.parameters["figures"] == 3
    assert found.parameters["height_mm"] == pytest.approx(0.4)


def test_two_texts_on_one_round_are_two() -> None:
    """Each on its side of the shaft, farther apart than its letters are large."""
    front = from_the_side("NET", 0.0, 30.0).cut(rod(14.7))
    back = front.rotate((0, 0, 0), (0, 0, 1), 180.0)
    part = read(rod().cut(front).cut(back))
    assert [d.parameters["figures"] for d in part.departures] == [3, 3]


def test_a_shallow_pocket_with_round_corners_is_no_text() -> None:
    """Eight sides and 0.8 deep, but none of a letter's arms."""
    box = cq.Workplane(origin=(20, 0, 11.2)).rect(14, 10).extrude(5.0).edges("|Z").fillet(2.0)
    part = read(cq.Workplane().circle(40.0).extrude(12.0).cut(box))
    (pocket,) = part.departures
    assert pocket.kind == "pocket"
    assert pocket.volume_mm3 == pytest.approx(0.8 * (140.0 - (4.0 - math.pi) * 4.0), rel=1e-9)
    assert pocket.parameters["corner_radius_mm"] == pytest.approx(2.0)


def test_the_depth_of_steps_that_lie_aside() -> None:
    """From x = 11, y = 8 and from x = 7, y = 11 out to the round of 15, which is at 10.198 where x
    or y is 11: 2.198 deep along y the one, 3.198 along x the other.
    """
    box = cq.Workplane().box(4.0, 20.0, 10.0).translate((13.0, 18.0, 30.0))
    more = cq.Workplane().box(4.0, 20.0, 10.0).translate((9.0, 21.0, 30.0))
    round_at = math.sqrt(R * R - 11.0 * 11.0)
    depths = [d.parameters["depth_mm"] for d in read(rod().cut(box).cut(more)).departures]
    assert sorted(depths) == pytest.approx([round_at - 8.0, round_at - 7.0])
