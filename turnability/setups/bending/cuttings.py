"""What turns and bores the work in a setup, along which lands, in which shapes of the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Line
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile, Segment
from turnability.setups.bending.follow_rest import is_worth_it
from turnability.setups.bending.held import Along
from turnability.setups.bending.work import (
    Kept,
    State,
    turned_from_to,
)
from turnability.setups.cutting.forces import Cut
from turnability.setups.cutting.passes import passes_of
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Shop, Tool
from turnability.stock.model import Stock

Array = NDArray[np.float64]
_PLACES = 24
"""Cutting places along the whole part, and no fewer than three on a surface."""
_SHORTEST_MM = 0.2
_SAME_MM = 1e-3
_SURFACE = {"turn": "outer", "bore": "inner"}


@dataclass(frozen=True, slots=True, eq=False)
class CutLand:
    """Surfaces cut at one setting, with the places (x from the chuck) along them."""

    segments: tuple[Segment, ...]
    diameter_mm: float
    places: Array
    straight: bool

    def rides(self, outside: bool) -> bool:
        """Whether a follow rest rides on it."""
        run = float(self.places.max() - self.places.min())
        return outside and self.straight and is_worth_it(self.diameter_mm, run)


@dataclass(frozen=True, slots=True, eq=False)
class Cutting:
    """One tool's work in a setup: its lands, and the shapes that it finds and leaves."""

    tool: Tool | None
    outside: bool
    lands: tuple[CutLand, ...]
    state: State
    kept: Kept
    finish: Cut
    light: bool
    """Whether the finish is light and taken twice."""
    one_pass: bool
    """Whether the finish takes all that stands there."""
    rough: Cut | None
    """What is taken of the bulk in a pass, be it by another before it; None where nothing is."""


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """What all setups of one plan share."""

    part: Part
    profile: Profile
    material: Material
    intent: Intent | None
    shop: Shop
    stock: Stock | None
    stock_radius: float
    stock_bore: float
    lathe: Machine | None
    followed: bool


def cuttings_of(
    shared: Shared, setup: Setup, line: Along, before_it: Sequence[Setup], done: frozenset[str]
) -> Iterator[Cutting]:
    """The setup's turning and boring in order, with the shapes between."""
    by_id = {segment.id: segment for segment in shared.profile.segments}
    tools = {tool.name: tool for tool in shared.shop.tools}
    before = done
    taken = passes_of(
        shared.profile,
        setup,
        shared.stock,
        shared.shop,
        shared.material,
        shared.lathe,
        shared.intent,
        before_it,
    )
    for i, operation in enumerate(setup.operations):
        after = before | set(operation.segments)
        if operation.kind in _SURFACE:
            outside = operation.kind == "turn"
            later = frozenset(
                s for o in setup.operations[i + 1 :] if o.kind == "groove" for s in o.segments
            )
            lands = tuple(_lands(shared, operation, by_id, line, setup))
            # a bar finds its bore as wide as it leaves it, which is the weaker
            state = State(before, after, later, before if outside else after)
            if lands:
                tool = tools.get(operation.tool)
                whole = _roughs_it(setup, i) if taken[i].roughed else None
                rough = taken[i if whole is None else whole].rough
                yield Cutting(
                    tool,
                    outside,
                    lands,
                    state,
                    (operation.support, operation.out_mm),
                    taken[i].finish,
                    taken[i].times > 1,
                    operation.one_pass,
                    rough,
                )
        before = after


def _roughs_it(setup: Setup, i: int) -> int | None:
    """Which operation has roughed the outside for this one, carried as it is where two do."""
    one = setup.operations[i]
    able = [
        n
        for n, o in enumerate(setup.operations)
        if o.kind == ROUGH and (not o.leaves or not set(o.leaves).isdisjoint(one.segments))
    ]
    return min(able, key=lambda n: setup.operations[n].support != one.support, default=None)


def _lands(
    shared: Shared,
    operation: Operation,
    by_id: dict[str, Segment],
    line: Along,
    setup: Setup,
) -> Iterator[CutLand]:
    """Cylinders of one diameter together, every other surface by itself."""
    groups: dict[tuple[str, bool], list[Segment]] = {}
    for name in operation.segments:
        segment = by_id.get(name)
        if segment is None or segment.surface != _SURFACE[operation.kind]:
            continue
        (_, r0), (_, r1) = segment.curve.start, segment.curve.end
        from_, to = turned_from_to(setup, operation, segment)
        if to - from_ < _SHORTEST_MM or max(r0, r1) <= _SAME_MM:
            continue
        straight = isinstance(segment.curve, Line) and abs(r1 - r0) <= _SAME_MM
        groups.setdefault((f"{r0:.3f}" if straight else segment.id, straight), []).append(segment)
    for (_, straight), segments in groups.items():
        radius = max(p[1] for s in segments for p in (s.curve.start, s.curve.end))
        places: list[Array] = []
        for segment in segments:
            ends = turned_from_to(setup, operation, segment)
            low, high = sorted(line.x(z) for z in ends)
            n = max(3, round(_PLACES * (high - low) / shared.profile.length_mm))
            places.append(np.linspace(low, high, n))
        yield CutLand(tuple(segments), 2.0 * radius, np.unique(np.concatenate(places)), straight)
