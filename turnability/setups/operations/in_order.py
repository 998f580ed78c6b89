"""The order of one setup's operations: each tool gets at its surfaces as the work then stands.

Kinds follow one another as is usual; of one kind those that feed toward the chuck go first, sturdy
ones before others, and left-hand ones take what they leave. That is kept but where stock that
still stands hides a surface: then what clears it goes before, and where the setup's own
tools do so only by turns, or another tool must, that one's work is put in as one that finishes
nothing. What each takes meanwhile is told in `taken`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from turnability.half_plane.curves import Point
from turnability.half_plane.regions import Region, nothing
from turnability.reach.removal import Removal, Work, fixed_point
from turnability.reach.stock import Standing, is_room
from turnability.setups.bores.drilling import by_its_point
from turnability.setups.model import ROUGH, Operation
from turnability.setups.operations.plainly import but, plainly, wanted_of
from turnability.setups.surfaces.cuts import Samples
from turnability.setups.surfaces.fresh import Fresh
from turnability.setups.surfaces.sinking import sunk_in
from turnability.setups.surfaces.taken import part_of
from turnability.shop.told_apart import is_blade, is_reamer

ORDER = ("face", ROUGH, "turn", "drill", "bore", "groove", "end groove", "part off")
"""Outside first while the stock is stiff, the hole before what is bored, weakening cuts late.

What is reamed comes after all that is bored.

What stands over a thin wall, and what is toleranced closely, is turned when that is bored: stock
outside stiffens it meanwhile, and drilling warms and shifts the work.
"""


def in_order(
    operations: Collection[Operation],
    removal: Removal,
    samples: Samples,
    fresh: Fresh,
    spared: Collection[str] = (),
    *,
    asked: bool = True,
) -> tuple[Operation, ...]:
    """The setup's operations in their order, with those put in that clear the way for them.

    `fresh` is the work as the setup finds it, `spared` are tools that clear none.
    Without being `asked` whether each gets there they are in the usual order.
    """
    works = {work.tool.name: work for work in removal.works}
    bores = [o for o in operations if o.kind == "bore"]
    roughed = any(o.only_roughs for o in bores)
    # a blade that takes the rest of what is bored comes after the bar
    bored = frozenset(s for o in bores for s in o.segments) if roughed else None
    usual = sorted(operations, key=lambda o: _usual(o, works, removal.ground.length, bored))
    last = [o for o in usual if o.kind == "part off"]
    waiting = [o for o in usual if o.kind != "part off"]
    if not asked or len({o.tool for o in waiting}) < 2:
        return tuple(usual)
    if plainly(waiting, works, samples, fresh):
        return tuple(usual)
    made: tuple[Operation, ...] = ()
    known, first = _Known(), fresh.standing
    # others of the shop are called only where its own tools do not clear the way; a corner is sunk
    # only where there is no other way in
    for sinks, helped in ((False, False), (False, True), (True, True)):
        line = _Line(removal, samples, works, first, sinks, helped, known, frozenset(spared))
        made = tuple(line.worked_off(list(waiting)))
        if not line.stuck:
            break
    return (*made, *last)


def _usual(
    operation: Operation, works: dict[str, Work], length_mm: float, bored: frozenset[str] | None
) -> tuple[int, int, bool, float, bool, float, str]:
    """Its place; `bored`: surfaces of bores that are roughed before they are finished, or None."""
    work = works.get(operation.tool)
    tool = None if work is None else work.tool
    across, short = 0.0, False
    late = (operation.over_thin_wall or operation.after_bore) and not operation.only_roughs
    # all is roughed before any of it is finished
    turn = 2 * int(operation.kind == "bore" and not operation.only_roughs)
    turn = 4 if late else 3 if operation.kind == "ream" else turn
    inside = operation.kind == "groove" and tool is not None and tool.access == "inner"
    if inside and bored is not None and bored.isdisjoint(operation.segments):
        turn = 1  # its burrs go with the finishing cut
    if tool is not None and tool.on_axis:
        # a narrow hole first, that leads the wide drill after it; one whose flutes are short
        # begins on the floor of that
        across = tool.limits.get("diameter_mm", 0.0)
        short = tool.limits.get("usable_length_mm", length_mm) < length_mm
    return (
        ORDER.index("bore" if turn else operation.kind),
        turn,
        tool is not None and tool.hand == "left",
        0.0 if tool is None else tool.weight,
        short,
        -across if short else across,
        operation.tool,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """What was found in states of the work, for all lines that come by them.

    Keys are ids of what it was asked of; that is kept beside each answer, so that no id comes
    again. What may be sunk into is part of the question.
    """

    after: dict[tuple[int, int], tuple[Standing, Standing]] = field(default_factory=dict)
    sunken: dict[tuple[int, int], tuple[Region, Standing]] = field(default_factory=dict)
    hidden: dict[tuple[int, int, bool], tuple[frozenset[str], Operation, Standing]] = field(
        default_factory=dict
    )
    left: dict[tuple[int, int, bool], tuple[Standing, object, Standing]] = field(
        default_factory=dict
    )
    """The work as an operation, or a tool that clears the way, leaves it."""


@dataclass(eq=False)
class _Line:
    """The work as it stands, and what its tools do to it."""

    removal: Removal
    samples: Samples
    works: dict[str, Work]
    standing: Standing
    sinks: bool
    """Whether a corner may be sunk into the full."""
    helped: bool
    """Whether tools may clear the way that the setup does without else."""
    known: _Known
    spared: frozenset[str] = frozenset()
    stuck: bool = False

    def worked_off(self, waiting: list[Operation]) -> list[Operation]:
        """One after another; where none is free, what frees one.

        What a corner was to finish where blades have left it nothing is that blade's.
        """
        made: list[Operation] = []
        by_blades: dict[int, Region] = {}
        while waiting:
            before = self.standing
            # blades come late: what others can free among themselves goes before them
            early = [o for o in waiting if not self._sinks(o)]
            free = self._free(early)
            clearing = None if free else self._clearing(early, self._tools_of(early), frees=True)
            free = free or (None if clearing else self._free(waiting))
            if free is None and clearing is None and self.helped:
                tools = [*self._tools_of(waiting), *sorted(self.works.values(), key=_as_a_help)]
                clearing = self._clearing(waiting, tools, frees=False)
            if clearing is not None:
                made.append(clearing)
            elif free is None:
                self.stuck = True
                return [*made, *waiting]
            else:
                waiting.remove(free)
                blade = self._done_by(free, made, by_blades)
                if blade is not None:
                    made[blade] = self._with(made[blade], free.segments)
                    continue
                made.append(replace(free, sinks=self._sunk_to(free)) if self.sinks else free)
                if waiting:
                    self.done(free)
            if waiting and self._sinks(made[-1]):
                by_blades[len(made) - 1] = before.stock - self.standing.stock
        return made

    def _done_by(
        self, operation: Operation, made: Sequence[Operation], by_blades: dict[int, Region]
    ) -> int | None:
        """Which of those made, a blade's, has left a corner nothing to cut at its surfaces.

        Only where they are short or stand at the floor of a narrow groove: others it but roughs.
        """
        work = self.works.get(operation.tool)
        if work is None or not by_blades or operation.leaves or operation.kind != "turn":
            return None
        new = self.standing.stock - self._after(work).stock
        if self._sinks(operation) or is_room(part_of(new, operation, work, self.samples)):
            return None
        wanted = wanted_of(operation, work, self.samples)
        for place in reversed(list(by_blades)):
            mine = self.samples.by_id(by_blades[place])
            if self._is_by_the_way(operation, made[place]) and all(
                mine[s] >= share for s, share in wanted.items()
            ):
                return place
        return None

    def _is_by_the_way(self, operation: Operation, blade: Operation) -> bool:
        segments = {s.id: s for s in self.removal.ground.profile.segments}
        most = 2.0 * self.works[blade.tool].tool.limits.get("width_mm", 0.0)
        narrow = [segments[s] for s in blade.segments if segments[s].curve.length() <= most]
        floors = {p for s in narrow for p in (s.curve.start, s.curve.end)}

        def foot(name: str) -> Point:
            curve = segments[name].curve
            return min(curve.start, curve.end, key=lambda p: p[1])

        return all(
            segments[s].curve.length() <= most or foot(s) in floors for s in operation.segments
        )

    def _with(self, operation: Operation, segments: Sequence[str]) -> Operation:
        every = {*operation.segments, *segments}
        return replace(operation, segments=tuple(s for s in self.samples.ids if s in every))

    def _sunk_to(self, operation: Operation) -> tuple[str, ...]:
        """Those of its segments that it gets at only by being sunk."""
        self.sinks = False
        hidden = self.hidden(operation)
        self.sinks = True
        return tuple(s for s in operation.segments if s in hidden)

    def _free(self, waiting: Sequence[Operation]) -> Operation | None:
        return next((o for o in waiting if not self.hidden(o)), None)

    def _tools_of(self, waiting: Sequence[Operation]) -> list[Work]:
        return [self.works[o.tool] for o in waiting if o.tool in self.works]

    def hidden(self, operation: Operation) -> frozenset[str]:
        """Those of its segments that it does not reach as the work stands."""
        key, known = (id(operation), id(self.standing), self.sinks), self.known.hidden
        if key not in known:
            known[key] = (self._hidden(operation), operation, self.standing)
        return known[key][0]

    def _hidden(self, operation: Operation) -> frozenset[str]:
        work = self.works.get(operation.tool)
        if work is None or not (operation.segments or operation.leaves):
            return frozenset()
        wanted, sunk = wanted_of(operation, work, self.samples), self._sunk(work)
        now = self.samples.by_id(but(work.asked.swept_at_last(self.standing), sunk))
        late = {s for s, share in wanted.items() if now[s] < share}
        if late:
            # what it cuts itself it need not wait for
            now = self.samples.by_id(but(work.asked.swept_at_last(self._after(work)), sunk))
            late = {s for s in late if now[s] < wanted[s]}
        return frozenset(late)

    def done(self, operation: Operation) -> None:
        """The work as the operation leaves it."""
        work = self.works.get(operation.tool)
        if work is None:
            return
        key, known = (id(operation), id(self.standing), self.sinks), self.known.left
        if key not in known:
            after = self._after(work)
            new, sunk = self.standing.stock - after.stock, self._sunk(work)
            mine = part_of(but(new, sunk), operation, work, self.samples)
            left = after if mine is new else self.standing.without(mine)
            known[key] = (left, operation, self.standing)
        self.standing = known[key][0]

    def _sunk(self, work: Work) -> Region:
        if self.sinks:
            return nothing()
        key, known = (id(work.asked), id(self.standing)), self.known.sunken
        if key not in known:
            known[key] = (sunk_in(work, self.standing), self.standing)
        return known[key][0]

    def _sinks(self, operation: Operation) -> bool:
        work = self.works.get(operation.tool)
        return work is not None and is_blade(work.tool)

    def _after(self, work: Work) -> Standing:
        key, known = (id(work.asked), id(self.standing)), self.known.after
        if key not in known:
            after = fixed_point([work.asked], self.standing)[0]
            # what it has taken it does not take again
            known[key] = known[id(work.asked), id(after)] = (after, self.standing)
        return known[key][0]

    def _cleared(self, work: Work, new: Region) -> Standing:
        """The work when that tool has taken this to clear the way."""
        key, known = (id(work), id(self.standing), self.sinks), self.known.left
        if key not in known:
            known[key] = (self.standing.without(new), work, self.standing)
        return known[key][0]

    def _clearing(
        self, waiting: Sequence[Operation], tools: Sequence[Work], *, frees: bool
    ) -> Operation | None:
        """What of these tools frees an operation; else, unless that is asked, what takes most."""
        now, most = self.standing, 0.0
        best: tuple[Work, Standing] | None = None
        for work in dict.fromkeys(tools):
            if is_reamer(work.tool) or work.tool.name in self.spared:
                continue
            after = self._after(work)
            new = now.stock - after.stock
            sunk = self._sunk(work)
            if not sunk.empty:
                new = new - sunk
                after = self._cleared(work, new)
            if not is_room(new) or by_its_point(work, new):
                continue
            self.standing = after
            free = self._free(waiting)
            self.standing = now
            if free is not None:
                best = (work, after)
                break
            if not frees and new.area > most:
                best, most = (work, after), new.area
        if best is None:
            return None
        work, self.standing = best
        return Operation(work.tool.name, (), _clears_as(work))


def _clears_as(work: Work) -> str:
    tool = work.tool
    if tool.on_axis:
        return "drill"
    if is_blade(tool):
        return "end groove" if tool.access == "end" else "groove"
    return "bore" if tool.access == "inner" else ROUGH


def _as_a_help(work: Work) -> tuple[bool, float]:
    return (is_blade(work.tool), work.tool.weight)
