"""The work of one setup as a beam: its mesh, its shape at each cutting place, how it gives.

While a pass runs toward the chuck, what lies ahead still has the pass's depth on it and what lies
behind is cut (a left-hand tool runs the other way). Grooves come later; what is bored in this
setup is bored after the outside.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.model import Profile, Segment
from turnability.setups.bending.beam import (
    Beams,
    Support,
    critical_speeds_rad_per_s,
    round_beams,
)
from turnability.setups.bending.give import give_at
from turnability.setups.bending.held import Along, along, supports_of
from turnability.setups.bending.shape import Sections, sections_of
from turnability.setups.model import Operation, Setup
from turnability.setups.model import Support as Carried
from turnability.shop.materials import Material

Array = NDArray[np.float64]
Kept: TypeAlias = tuple[Carried, float | None]
"""What carries the free end, and how much of drawn-in work stands out; None for as it is held."""
ELEMENTS = 48
"""A beam has at least so many elements along the part; steps and cutting places add theirs."""
_GRIP = 30
_CLOSE_MM = 0.02
_THINNEST = 0.995


@dataclass(frozen=True, slots=True)
class State:
    """What was cut when a tool begins (`before`) and ends (`after`), and what waits for blades."""

    before: frozenset[str]
    after: frozenset[str]
    later: frozenset[str]
    bored: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class Passing:
    """The work while a pass is at each of its places (x, (k,)).

    Outer radius on the chuck's side of the place and beyond it, and the hollow, (n,) each.
    """

    places: Array
    near: Array
    far: Array
    hollow: Array


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """One setup's beam: mesh in x from the chuck (n + 1,), sections at its elements' middles."""

    along: Along
    nodes: Array
    sections: Sections
    supports: tuple[Support, ...]
    material: Material
    _shapes: dict[State, tuple[Array, Array, Array]] = field(default_factory=dict)

    def _shape(self, state: State) -> tuple[Array, Array, Array]:
        """Outer radius before and after, and the hollow, (n,) each."""
        if state not in self._shapes:
            self._shapes[state] = (
                self.sections.outside(state.before, state.later),
                self.sections.outside(state.after, state.later),
                self.sections.hollow(state.bored),
            )
        return self._shapes[state]

    def passing(
        self, places: Array, state: State, depth_mm: float, on_mm: float, left: bool
    ) -> Passing:
        """The work while a pass is at each place (x, (k,)).

        A pass of `depth_mm` a side that leaves `on_mm` on the finished shape, never more than the
        stock has.
        """
        before, after, hollow = self._shape(state)
        behind = np.minimum(before, after + on_mm)
        front = np.minimum(before, after + (on_mm + depth_mm))
        near, far = (behind, front) if left else (front, behind)
        return Passing(places, near, far, hollow)

    def give(self, passes: Sequence[Passing]) -> Array:
        """How far the work gives per newton at each place of these passes in turn, in mm/N."""
        hollow = np.array([one.hollow for one in passes])
        near = self._beams(np.array([one.near for one in passes]), hollow)
        far = self._beams(np.array([one.far for one in passes]), hollow)
        row = np.repeat(np.arange(len(passes)), [len(one.places) for one in passes])
        places = np.concatenate([one.places for one in passes])
        at = np.abs(self.nodes[None, :] - places[:, None]).argmin(axis=1)
        return give_at(near.of(row).met_by(far.of(row), places), self.supports, at)

    def to_spare(self, place: float, state: State) -> float:
        """Stock on the radius at a place, over what this tool leaves, in mm."""
        i = int(np.abs((self.nodes[:-1] + self.nodes[1:]) / 2.0 - place).argmin())
        before, after, _ = self._shape(state)
        return float(before[i] - after[i])

    def critical_rpm(self, states: Sequence[State]) -> float:
        """The lowest first critical speed of the work as held, in turns a minute."""
        radii, hollows = zip(*(self._shape(state)[1:] for state in states), strict=True)
        beams = self._beams(np.array(radii), np.array(hollows))
        return 60.0 / math.tau * float(critical_speeds_rad_per_s(beams, self.supports).min())

    def _beams(self, radius: Array, hollow: Array) -> Beams:
        inner = np.minimum(hollow**0.25, _THINNEST * radius)
        return round_beams(
            self.nodes,
            2.0 * radius,
            2.0 * inner,
            e=self.material.e.value,
            poisson=self.material.poisson,
            density_kg_per_mm3=self.material.density_kg_per_mm3,
        )


def work_of(
    profile: Profile,
    setup: Setup,
    places: Collection[float],
    stock_radius: float,
    stock_bore: float,
    material: Material,
) -> Work:
    """The beam of a setup, with nodes at these cutting places (x) and at every step of the part."""
    line = along(profile, setup)
    low, high = line.span(setup.grip.z_mm)
    start, end = min(0.0, low), max(profile.length_mm, high)
    steps = [
        line.x(point[0])
        for segment in profile.segments
        for point in (segment.curve.start, segment.curve.end)
    ]
    even = np.linspace(0.0, profile.length_mm, ELEMENTS + 1)
    # a grip gives way over about one radius of what it holds
    gripped = np.linspace(low, high, 1 + min(_GRIP, 1 + int(3.0 * (high - low) / stock_radius)))
    on = [] if setup.steady_z_mm is None else [line.x(sum(setup.steady_z_mm) / 2.0)]
    nodes = _spread([start, end, low, high, *on, *places], [*steps, *even, *gripped], (start, end))
    middle = (nodes[:-1] + nodes[1:]) / 2.0
    z = np.array([line.z(x) for x in middle])
    sections = sections_of(profile, z, stock_radius, stock_bore)
    supports = supports_of(profile, setup, material.e.value)
    return Work(line, nodes, sections, supports, material)


def held_by(work: Work, profile: Profile, setup: Setup) -> Work:
    """The same work and its shapes as the setup's support carries it."""
    return replace(work, supports=supports_of(profile, setup, work.material.e.value))


def with_out(profile: Profile, setup: Setup, out_mm: float) -> Setup:
    """The setup with no more of the raw work than this out of its jaws."""
    length = setup.grip.length_mm
    z = (profile.length_mm - out_mm - length, profile.length_mm - out_mm)
    if setup.toward_chuck == "high":
        z = (out_mm, out_mm + length)
    return replace(setup, grip=replace(setup.grip, z_mm=z))


def turned_from_to(setup: Setup, operation: Operation, segment: Segment) -> tuple[float, float]:
    """From where to where (z) an operation turns a surface of which it cuts one side of a steady.

    Before the pads stand it cuts what lies under them and outwards, then what lies behind, and all
    of what lies wholly outwards.
    """
    z = segment.ends_z_mm
    pads = setup.steady_z_mm
    if setup.support == "steady" and pads is not None and operation.kind == "turn":
        low = setup.toward_chuck == "low"
        if operation.support != "steady":
            return (max(z[0], pads[0]), z[1]) if low else (z[0], min(z[1], pads[1]))
        if low and z[0] < pads[0]:
            return (z[0], min(z[1], pads[0]))
        if not low and z[1] > pads[1]:
            return (max(z[0], pads[1]), z[1])
    return (z[0], z[1])


def _spread(first: Sequence[float], then: Sequence[float], span: tuple[float, float]) -> Array:
    """All of these places once, upwards; of two that are close the one from `first` stays."""
    kept: list[float] = []
    for group in (first, then):
        for place in sorted(group):
            at = bisect_left(kept, place)
            beside = kept[max(0, at - 1) : at + 1]
            inside = span[0] <= place <= span[1]
            if inside and all(abs(place - other) > _CLOSE_MM for other in beside):
                kept.insert(at, place)
    return np.array(kept, dtype=float)
