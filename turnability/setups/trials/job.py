"""What all ways to make the part share, and what the tools do in each chucking of theirs."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from turnability.half_plane.regions import Region
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.reach.model import Reach, Toward
from turnability.reach.removal import Removal, removed_by
from turnability.setups.bores.reaming import finely_done
from turnability.setups.holding.jaws import RAW_PIECE, Held
from turnability.setups.surfaces.cuts import (
    Nook,
    Samples,
    clear_of,
    hidden,
    in_a_nook,
    left_anyway,
    touched,
)
from turnability.setups.surfaces.finer import FineBore
from turnability.setups.surfaces.plunges import Plunges
from turnability.setups.surfaces.relations import Group
from turnability.setups.surfaces.shares import Shares
from turnability.setups.surfaces.wishes import Wishes
from turnability.shop.model import Machine, Shop

CONTOUR_MM = 2.0
"""A slant that is less wide or less high is an edge's or a groove's (our choice)."""
_BORED = 0.9
"""A bar that cuts less of a bore does not finish it."""


@dataclass(frozen=True, eq=False)
class Job:
    """What all trials share; what removals come to is told once for all of them."""

    part: Part
    profile: Profile
    reach: Reach
    shop: Shop
    samples: Samples
    before: Region
    parting_mm: float
    groups: tuple[Group, ...]
    hopeless: frozenset[str]
    intent: Intent | None
    lathe: Machine | None
    end_mm: float
    nooks: tuple[Nook, ...]
    sawn: bool
    """Whether its stock is sawn to pieces, as no spindle lets it through."""
    heavy: Toward
    """The end that more of the part stands at: of two ways alike it is held there first."""
    plunges: Plunges
    wishes: Wishes
    to_bore: frozenset[str] = frozenset()
    """Bores that must run true and that a bar reaches: a drill alone wanders."""
    to_finish: tuple[FineBore, ...] = ()
    """Bores that a reamer of the shop, or a bar, would finish as they are stated."""
    own: frozenset[str] = frozenset()
    """Outside surfaces that the bar brings with it, and that stay as they come."""
    no_pip: frozenset[Toward] = frozenset()
    """Ends at which the intent lets no pip stay."""
    true_ends: frozenset[Toward] = frozenset()
    """Ends whose face must run true to something: no blade parts off that true."""
    bar_mm: float = 0.0
    """The bar's diameter, of a hexagon that round its corners."""
    through_mm: float = math.inf
    """What the spindle has to let through of the stock."""
    memory: dict[Removal, Shares] = field(default_factory=dict)
    cuts: dict[Removal, frozenset[str]] = field(default_factory=dict)
    sunk: dict[Removal, tuple[Region, ...]] = field(default_factory=dict)
    bars: dict[Removal, frozenset[str]] = field(default_factory=dict)
    finely: dict[Removal, frozenset[str]] = field(default_factory=dict)

    @cached_property
    def contours(self) -> frozenset[str]:
        """Outside surfaces that are curved or slanted over more than an edge's width."""
        return frozenset(
            s.id
            for s in self.profile.segments
            if s.surface == "outer"
            and abs(s.curve.start[1] - s.curve.end[1]) > CONTOUR_MM
            and abs(s.curve.start[0] - s.curve.end[0]) > CONTOUR_MM
        )

    def bored(self, removal: Removal) -> frozenset[str]:
        """Bores of those that must be bored that a bar finishes in this chucking."""
        if not self.to_bore:
            return frozenset()
        if removal not in self.bars:
            shares, least = self.shares(removal), dict.fromkeys(self.to_bore, _BORED)
            works = [w for w in removal.works if w.tool.access == "inner" and not w.tool.on_axis]
            self.bars[removal] = frozenset().union(*(shares.reached(w, least) for w in works))
        return self.bars[removal]

    def fine(self, held: Held, removal: Removal) -> frozenset[str]:
        """Bores of those to be finished that a reamer or a bar does in this chucking."""
        if removal not in self.finely:
            shares = self.shares(removal)
            self.finely[removal] = finely_done(self.profile, shares, held.toward, self.to_finish)
        return self.finely[removal]

    def length_mm(self, first: Held) -> float:
        """How much of a bar one part takes when it is first held so."""
        whole = self.profile.length_mm + 2.0 * self.end_mm
        if first.grip.kind == RAW_PIECE:
            return whole
        stub = first.grip.length_mm + first.holding.jaw_standoff_mm if self.sawn else 0.0
        return whole + self.parting_mm + stub

    def removed(self, held: Held, before: Region) -> Removal:
        """What the tools remove with the part held so."""
        likely = self.reach.chosen_tools
        return removed_by(
            self.profile,
            self.shop.tools,
            (held.toward,),
            (*held.obstacles, *held.spared),
            before,
            likely,
        )

    def shares(self, removal: Removal) -> Shares:
        """What each tool cuts of each segment, told once for all trials."""
        if removal not in self.memory:
            added = removal.ground.added
            samples = self.samples if added is None else clear_of(self.samples, added.region)
            self.memory[removal] = Shares(samples, removal)
        return self.memory[removal]

    @cached_property
    def _left_anyway(self) -> Region:
        return left_anyway(self.reach.left)

    def stays(self, removal: Removal) -> tuple[Region, ...]:
        """What stays because of the holding.

        No mere rim of what no tool reaches anyway: a piece that lies beside such surfaces alone is
        none that another chucking would finish. Nor what one nose leaves in a corner drawn sharp
        and a smaller one would not: nobody turns a part round for that.
        """
        pieces = hidden(removal.stock, self._left_anyway)
        return tuple(
            piece
            for piece in pieces
            if set(touched(self.samples, piece)) - self.hopeless
            and not in_a_nook(piece, self.nooks)
        )
