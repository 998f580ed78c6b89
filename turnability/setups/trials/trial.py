"""One way to make the part: chuckings in order, what each removes, what stays because of them."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np

from turnability.half_plane.regions import Region
from turnability.reach.model import Toward
from turnability.reach.removal import Removal, removed_by
from turnability.setups.holding.jaws import RAW_PIECE, Held
from turnability.setups.holding.weak_grips import (
    hanging,
    held_barely,
    held_short,
    on_thin_wall,
    uncarried,
)
from turnability.setups.model import Operation, Rechucked, Setup
from turnability.setups.operations.one_setup import Ready
from turnability.setups.surfaces.cuts import SKIN_MM, thick, touched, volume_mm3
from turnability.setups.surfaces.edges import end_face
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.relations import rechucked, shared_out
from turnability.setups.surfaces.shares import CUT_SHARE
from turnability.setups.trials.job import Job
from turnability.shop.holding import ON_FACE, on_flats
from turnability.shop.model import Tool
from turnability.shop.told_apart import is_blade

RIM = 0.1
"""What stands beside no more than this share of a surface makes it no work of two chuckings."""
WHOLE = 0.95
"""From this share on a tool cuts the whole of a surface, corners aside."""


@dataclass(frozen=True, eq=False)
class Trial:
    """Chuckings with what each removes, the blade that parts the work off, what stays."""

    job: Job
    chuckings: tuple[tuple[Held, Removal], ...]
    parting: Tool | None
    after: tuple[tuple[Region, ...], ...]
    """What stays after each chucking because of the holding."""
    operations: dict[tuple[int, bool], tuple[tuple[Operation, ...], frozenset[str]]] = field(
        default_factory=dict, repr=False
    )
    """What is done in each chucking, and what it leaves in part to others, as `written` has it."""
    ready: dict[Hashable, Ready] = field(default_factory=dict, repr=False)
    """The same before it is put in order, by the chucking and what those before it do."""

    @property
    def stays(self) -> tuple[Region, ...]:
        """What the whole leaves because of the holding."""
        return self.after[-1]

    @cached_property
    def by_turns(self) -> tuple[bool, ...]:
        """For each piece that stays, whether it would if nothing were held: a matter of turns.

        Cuts from either end then take from one another again and again, and chuckings do not. What
        a single chucking leaves is left because nothing holds the part for another.
        """
        if len({held.toward for held, _ in self.chuckings}) < 2 or not self.stays:
            return (False,) * len(self.stays)
        gone, removal = self.job.before, self.chuckings[-1][1]
        for held, _ in self.chuckings:
            removal = removed_by(self.job.profile, self.job.shop.tools, (held.toward,), (), gone)
            gone = removal.standing.gone
        left = self.job.stays(removal)
        return tuple(any(thick(piece & other) for other in left) for piece in self.stays)

    @property
    def volume(self) -> float:
        """Of what stays, in mm3."""
        return sum(volume_mm3(piece) for piece in self.stays)

    @property
    def sawn(self) -> bool:
        """Whether one end stays as the saw leaves it."""
        return len(self.chuckings) == 1 and self.parting is None

    def as_parted(self, ends: frozenset[Toward]) -> bool:
        """Whether a face at one of these ends stays as the blade leaves it."""
        parted = len(self.chuckings) == 1 and self.parting is not None
        return parted and self.chuckings[0][0].toward in ends

    @property
    def short(self) -> bool:
        """Whether some grip is shorter than its holding asks for."""
        return any(held_short(held) for held, _ in self.chuckings)

    @property
    def uncarried(self) -> bool:
        """Whether in some chucking more hangs free than is carried there."""
        job = self.job
        return any(uncarried(job.profile, h, job.lathe, job.intent) for h, _ in self.chuckings)

    def plunges(self, n: int) -> tuple[Region, ...]:
        """Stock into which this chucking sinks a tool deep and another would turn."""
        held, removal = self.chuckings[n]
        sunk = self.job.sunk
        if removal not in sunk:
            begin = removal.ground.stock - self.job.before
            before = self.chuckings[n - 1][1].stock if n else begin
            sunk[removal] = self.job.plunges.of(held.toward, before, removal.stock)
        return sunk[removal]

    @property
    def sinks(self) -> int:
        """How many such places there are in all."""
        return sum(len(self.plunges(n)) for n in range(len(self.chuckings)))

    @property
    def seams(self) -> int:
        """Outside surfaces, and narrow grooves, cut partly before and partly after it is turned."""
        samples = self.job.samples
        outer = {s.id for s in self.job.profile.segments if s.surface == "outer"}
        grooves = [g for g in self.job.wishes.grooves if g & outer]
        split = 0
        seamed: set[str] = set()
        for left, then in pairwise(self.after):
            rest = {s for piece in then for s in touched(samples, piece)}
            for piece in left:
                share = samples.share_in(piece.grown(SKIN_MM, "mitre"))
                partly = {name for name, s in zip(samples.ids, share, strict=True) if 0.0 < s < 1.0}
                seamed |= (partly & outer) - rest
            standing = {s for piece in left for s in touched(samples, piece)}
            split += sum(bool(g & standing - rest) and not g <= standing for g in grooves)
        return len(seamed) + split

    def finished(self) -> list[set[str]]:
        """Segments that each chucking finishes, related ones together where that can be."""
        return [set(names) for names in self._finished]

    @cached_property
    def _finished(self) -> list[set[str]]:
        cut = self._cut_well()
        fixed = [held.land.segments if held.land else () for held, _ in self.chuckings]
        centred = [held.holding.kind == "between-centres" for held, _ in self.chuckings]
        # a bore that is cut from either end as far as the bar goes, or the drill, is the work of
        # both, however little stands in it; a face beside which a mere rim stands is not
        beside = [self._beside(n) for n in range(len(cut))]
        bores = {s.id for s in self.job.profile.segments if is_bore(s)}
        related = {s for group in self.job.groups for s in group.segments}
        began = [
            # of what was cut before, the rest may be little
            {s for s, part in left.items() if (part >= RIM or s in bores) and s not in then}
            & (names | earlier)
            for left, then, names, earlier in zip(beside, beside[1:], cut[1:], cut, strict=False)
        ]
        for n, names in enumerate(began):
            # what one corner cuts whole from the other end is no work of both
            cut[n] = cut[n] - self._whole(n + 1, names - related)
        for n in range(len(cut) - 1):
            # what is finished as it is stated from the other end is not drilled to size before
            cut[n] = cut[n] - self._finer(n + 1)
        bored = [self.job.bored(removal) for _, removal in self.chuckings]
        finished = shared_out(cut, self.job.groups, fixed, (*began, ()), centred, bored)
        for n in range(1, len(finished)):
            later = {s for names in finished[n + 1 :] for s in names}
            finished[n] |= began[n - 1] - later
        return finished

    def _cut_well(self) -> list[frozenset[str]]:
        """What each chucking cuts, but for close seats, and the shoulders of bored ones, of which
        only a blade gets at the most there and a corner or bar in another one.
        """
        cut = [self._cut(n) for n in range(len(self.chuckings))]
        if len(cut) < 2 or not (names := self._seated):
            return cut
        well = [mine & names & self._without_blades(n, names) for n, mine in enumerate(cut)]
        elsewhere = [frozenset().union(*well[:n], *well[n + 1 :]) for n in range(len(cut))]
        return [mine - (elsewhere[n] - well[n]) for n, mine in enumerate(cut)]

    @cached_property
    def _seated(self) -> frozenset[str]:
        """Close seats, and the faces that end those of them that are bored."""
        seats = self.job.wishes.seats
        found = set(seats)
        for loop in self.job.profile.loops if seats else ():
            ring = loop.segments
            for before, after in zip(ring, (*ring[1:], ring[0]), strict=True):
                for seat, face in ((before, after), (after, before)):
                    if seat.id in seats and seat.surface == "inner" and face.surface == "end":
                        found.add(face.id)
        return frozenset(found)

    def _without_blades(self, n: int, names: frozenset[str]) -> frozenset[str]:
        """Those of them that some corner or bar cuts in a chucking as far as counts for a tool."""
        removal = self.chuckings[n][1]
        shares, least = self.job.shares(removal), dict.fromkeys(names, CUT_SHARE)
        works = [w for w in removal.works if not is_blade(w.tool)]
        return frozenset().union(*(shares.reached(w, least) for w in works))

    @cached_property
    def bladed(self) -> int:
        """How many outside contours blades must help to cut, for want of corners that get at them
        from this end.
        """
        if not self.job.contours:
            return 0
        pairs = zip(self._finished, self.chuckings, strict=True)
        return sum(self._not_copied(names & self.job.contours, r) for names, (_, r) in pairs)

    def _not_copied(self, names: set[str], removal: Removal) -> int:
        """How many of these outside contours corners alone do not cut whole."""
        samples, shares = self.job.samples, self.job.shares(removal)
        wanted = np.array([name in names for name in samples.ids])
        open_ = wanted & (samples.shares(shares.bare) >= WHOLE)
        many, copied = int((wanted & ~open_).sum()), np.zeros_like(shares.bare)
        corners = [w for w in removal.works if w.tool.access == "outer" and not is_blade(w.tool)]
        # who took stock away most likely cut what lay under it
        for work in sorted(corners, key=lambda w: -w.gained):
            if not open_.any():
                break
            more = samples.within(work.asked.most()) & shares.bare & ~copied
            if more[open_].any():
                copied |= samples.within(work.swept)
                open_ &= samples.shares(copied) < WHOLE
        return many + int(open_.sum())

    def _whole(self, n: int, names: set[str]) -> frozenset[str]:
        """Those of these segments that a single turning tool or bar cuts whole in a chucking."""
        removal = self.chuckings[n][1]
        shares, least = self.job.shares(removal), dict.fromkeys(names, WHOLE)
        works = [w for w in removal.works if not w.tool.on_axis and not is_blade(w.tool)]
        return frozenset().union(*(shares.reached(w, least) for w in works if names))

    def _beside(self, n: int) -> dict[str, float]:
        """Over how much of them stock stands beside segments after a chucking, for its sake."""
        samples, found = self.job.samples, dict[str, float]()
        for piece in self.after[n]:
            share = samples.share_in(piece.grown(SKIN_MM, "mitre"))
            for name, part in zip(samples.ids, share.tolist(), strict=True):
                if part > 0.0:
                    found[name] = found.get(name, 0.0) + part
        return found

    def skinned(self) -> set[str]:
        """Segments that no chucking cuts as jaws stood on the stock's own skin over them.

        Stock is reckoned with out to the part's largest diameter only; what a sawn piece has
        beyond it under its jaws must be turned in a chucking after it.
        """
        held, _ = self.chuckings[0]
        widest = self.job.profile.max_diameter_mm
        if held.grip.kind != RAW_PIECE or held.grip.diameter_mm <= widest + SKIN_MM:
            return set()
        cut = {s for n in range(len(self.chuckings)) for s in self._cut(n)}
        widest_ids = {
            s.id
            for s in self.job.profile.segments
            if s.surface == "outer"
            and max(s.curve.start[1], s.curve.end[1]) >= widest / 2.0 - SKIN_MM
        }
        return widest_ids - cut

    def related(self, setups: Sequence[Setup] = ()) -> tuple[Rechucked, ...]:
        """What becomes of the surfaces that must run true to one another.

        `setups`: as this is written, where a round surface may be left in part to a later one.
        """
        if not self.job.groups:
            return ()
        finished = self.finished()
        flat = {s.id for s in self.job.profile.segments if s.surface == "end"}
        for names, setup in zip(finished, setups, strict=False):
            names.update({s for o in setup.operations for s in o.segments} - flat)
        holdings = [
            held.holding if held.grip.across_flats_mm is None else on_flats(held.holding)
            for held, _ in self.chuckings
        ]
        return rechucked(self.job.groups, finished, holdings)

    @property
    def wanders(self) -> int:
        """How many bores that must run true are only drilled where they are finished."""
        if not self.job.to_bore:
            return 0
        finished = zip(self.finished(), self.chuckings, strict=True)
        return sum(
            len(names & self.job.to_bore - self.job.bored(removal))
            for names, (_, removal) in finished
        )

    def _finer(self, n: int) -> frozenset[str]:
        """Fine bores that this chucking finishes as they are stated, and none before it."""
        if not n or not self.job.to_finish:
            return frozenset()
        done = [self.job.fine(*held) for held in self.chuckings[: n + 1]]
        return done[n].difference(*done[:n])

    @property
    def coarse(self) -> int:
        """How many bores of those to be finished are only drilled where they are finished."""
        ids = {bore.segment for bore in self.job.to_finish}
        if not ids:
            return 0
        finished = zip(self.finished(), self.chuckings, strict=True)
        return sum(len(names & ids - self.job.fine(*held)) for names, held in finished)

    def _cut(self, n: int) -> frozenset[str]:
        """Segments that a chucking cuts, but those that others before it finish in any case."""
        held, removal = self.chuckings[n]
        cuts = self.job.cuts
        if removal not in cuts:
            # what the saw or the blade leaves behind the part is faced in the next setup
            raw = end_face(self.job.profile, held.toward) if held.raw else ()
            but = {*raw, *self.job.own, *(held.land.segments if held.land else ())}
            if n:
                related = {s for group in self.job.groups for s in group.segments}
                before = {s for m in range(n) for s in self._cut(m)} - self._finer(n)
                but |= before - related - self._seated - self._beside(n - 1).keys()
            cuts[removal] = self.job.shares(removal).cut(but)
        return cuts[removal]

    @cached_property
    def rank(self) -> tuple[float, ...]:
        """Less is better; what the places mean stands in `why_lost`.

        Those that leave nothing, else least; related surfaces true, their bores by a bar; fine
        bores by what finishes them, where a tool of the shop does; ordinary
        holdings, no pip where none may stay, no tool sunk deep, full grips (a somewhat short one
        is rather warned of), no contour by a blade, none that hangs far out uncarried, few
        setups, little stock, sturdy ones first.
        """
        held = self.chuckings[-1][0]
        related = self.related()
        glued = sum(h.holding.kind in ON_FACE for h, _ in self.chuckings)
        return (
            float(bool(self.stays) or self.sawn),
            round(self.volume, 3),  # mirrored setups leave the same but for rounding
            float(self.as_parted(self.job.true_ends)),
            float(sum(not one.holds for one in related)),
            float(self.wanders),
            float(self.coarse),
            float(glued),
            float(sum(held_barely(held) for held, _ in self.chuckings)),
            float(self.as_parted(self.job.no_pip)),
            # none is asked about in ways that leave something: others come first
            0.0 if self.stays or self.sawn else float(self.sinks),
            float(self.short),
            float(self.bladed),
            float(self.uncarried),
            float(len(self.chuckings)),
            round(sum(one.mismatch.value for one in related if one.mismatch is not None), 6),
            float(any(on_thin_wall(self.job.profile, held) for held, _ in self.chuckings)),
            max(hanging(self.job.profile, held) for held, _ in self.chuckings),
            float(self.seams),
            round(self.job.length_mm(self.chuckings[0][0]), 3),
            -round(held.grip.diameter_mm, 6),
            -round(held.grip.length_mm, 6),
        )

    @property
    def does(self) -> bool:
        """Whether nothing is left to wish for."""
        if self.stays or self.sawn or self.wanders or self.coarse:
            return False
        if self.as_parted(self.job.no_pip | self.job.true_ends):
            return False
        return all(one.holds for one in self.related())
