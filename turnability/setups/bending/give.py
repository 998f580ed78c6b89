"""How far beams give under a force at a place of their own.

What stands out of one grip, carried by no more than one spring, gives in closed form beyond that
grip: the force bends nothing on its other side, and the bends of all elements before it add up
(E. Mohr's principle of work). All else, and places in the grip, the finite elements tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from turnability.setups.bending.beam import Beams, Bed, Spring, Support, factored, holds, solve

Array = NDArray[np.float64]


def give_at(beams: Beams, supports: Sequence[Support], at: ArrayLike) -> Array:
    """How far each beam gives per newton at its own node `at` (indices, (k,)), in mm/N.

    Raises ValueError where the supports do not hold the beam.
    """
    nodes = np.broadcast_to(np.asarray(at, dtype=int), (len(beams.bending),))
    grip = _grip_of(beams.nodes, supports)
    beyond = np.zeros(len(nodes), dtype=bool) if grip is None else nodes > grip.ends
    given = np.zeros(len(nodes))
    if grip is not None and beyond.any():
        given[beyond] = _beyond(grip, beams.of(beyond), nodes[beyond])
    if not beyond.all():
        given[~beyond] = _anywhere(beams.of(~beyond), supports, nodes[~beyond])
    return given


def _anywhere(beams: Beams, supports: Sequence[Support], at: NDArray[np.int64]) -> Array:
    rows = np.arange(len(at))
    loads = np.zeros((len(at), len(beams.nodes), 2))
    loads[rows, at, 0] = 1.0
    given: Array = solve(beams, supports, loads)[rows, at, 0]
    return given


@dataclass(frozen=True, slots=True)
class _Grip:
    """What alone holds beams, the node at which it `ends`, and a spring beyond it, if any."""

    held: Support
    ends: int
    spring: Spring | None


def _grip_of(nodes: Array, supports: Sequence[Support]) -> _Grip | None:
    """None where more, or less, than a grip and a spring beyond it hold the beams."""
    grips = [s for s in supports if isinstance(s, Bed) or s.tilt > 0.0]
    springs = [s for s in supports if isinstance(s, Spring) and s.tilt <= 0.0]
    if len(grips) != 1 or len(springs) > 1 or not holds(nodes, grips):
        return None
    (grip,) = grips
    ends = _node_at(nodes, grip) if isinstance(grip, Spring) else nodes.searchsorted(grip.to_mm)
    if ends == len(nodes) or any(_node_at(nodes, s) <= ends for s in springs):
        return None
    return _Grip(grip, int(ends), next(iter(springs), None))


def _node_at(nodes: Array, spring: Spring) -> int:
    return int(np.abs(nodes - spring.at_mm).argmin())


def _beyond(grip: _Grip, beams: Beams, at: NDArray[np.int64]) -> Array:
    """The same of nodes `at` beyond the grip."""
    ends = grip.ends
    nodes, lengths = beams.nodes[ends:] - beams.nodes[ends], beams.lengths[ends:]
    middles, place = (nodes[:-1] + nodes[1:]) / 2.0, nodes[at - ends]
    across, couple, tilt = _at_its_end(grip, beams)
    bends = lengths / beams.bending[:, ends:]
    shears = lengths**2 / 12.0 * bends + lengths / beams.shear[:, ends:]

    def moves(one: Array, other: Array) -> Array:
        """How far the work moves at one place (k,) under a newton at another."""
        before = middles < np.minimum(one, other)[:, None]
        arms = (one[:, None] - middles) * (other[:, None] - middles)
        own = ((arms * bends + shears) * before).sum(axis=1)
        found: Array = own + across + couple * (one + other) + tilt * one * other
        return found

    free = moves(place, place)
    if grip.spring is None:
        return free
    carried = np.full(len(at), nodes[_node_at(beams.nodes, grip.spring) - ends])
    with_it = moves(carried, carried) + 1.0 / grip.spring.across
    carries: Array = free - moves(place, carried) ** 2 / with_it
    return carries


def _at_its_end(grip: _Grip, beams: Beams) -> tuple[Array, Array, Array]:
    """Move per newton, tilt per newton (or move per N·mm) and tilt per N·mm where the grip ends.

    (k,) each. Of beams that follow one another most are alike in there.
    """
    if isinstance(grip.held, Spring):
        one = np.ones(len(beams.bending))
        return one / grip.held.across, 0.0 * one, one / grip.held.tilt
    held = beams.first(grip.ends)
    other = (held.bending[1:] != held.bending[:-1]) | (held.shear[1:] != held.shear[:-1])
    new = np.concatenate(([True], other.any(axis=1)))
    own = held.of(new)
    loads = np.zeros((2, len(own.bending), grip.ends + 1, 2))
    loads[0, :, -1, 0] = loads[1, :, -1, 1] = 1.0
    apart = factored(own, [grip.held])
    pushed, turned = (apart.solve(load)[:, -1] for load in loads)
    row = new.cumsum() - 1
    return pushed[row, 0], pushed[row, 1], turned[row, 1]
