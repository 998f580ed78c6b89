"""The order of one setup's operations: each tool gets at its surfaces as the work then stands.

Kinds follow one another as is usual; of one kind the sturdy tool goes first. That is kept but where
stock that still stands hides a surface: then what clears it goes before, and where the setup's own
tools do so only by turns, or another tool must, that one's work is put in as one that finishes
nothing. Each tool is taken to have removed all that it gets at; a blade no more than the stock
beside its surfaces.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from turnability.half_plane.regions import Region, nothing
from turnability.reach.removal import Removal, Work, fixed_point
from turnability.reach.stock import Standing, at_first, is_room
from turnability.setups.cuts import Samples, touched
from turnability.setups.model import Operation
from turnability.setups.roughing import ROUGH, is_blade

ORDER = ("face", ROUGH, "turn", "drill", "bore", "groove", "end groove", "part off")
"""Outside first while the stock is stiff, the hole before what is bored, weakening cuts late."""
ALIKE = 0.1
"""A surface counts as reached by what cuts it but for this share of what can be cut at the end."""
_QUICK, _EXACTLY = 4, 20_000
"""Rounds that each tool is followed for."""


def in_order(
    operations: Iterable[Operation],
    removal: Removal,
    samples: Samples,
    before: Region | None,
    *,
    asked: bool = True,
) -> tuple[Operation, ...]:
    """The setup's operations in their order, with those put in that clear the way for them.

    `before` is what was gone before the setup (r >= 0). Without being `asked` whether each gets
    there they are in the usual order.
    """
    works = {work.tool.name: work for work in removal.works}
    usual = sorted(operations, key=lambda o: _usual(o, works))
    last = [o for o in usual if o.kind == "part off"]
    waiting = [o for o in usual if o.kind != "part off"]
    if not asked or len({o.tool for o in waiting}) < 2:
        return tuple(usual)
    first = at_first(removal.ground, before)
    # less is gone than could be: whoever gets at all of its surfaces even so need not ask further
    quick = _Line(removal, samples, works, first, _QUICK)
    if all(not quick.hidden_when_done(o) for o in waiting):
        return tuple(usual)
    return (*_Line(removal, samples, works, first).worked_off(waiting), *last)


def _usual(operation: Operation, works: dict[str, Work]) -> tuple[int, float, str]:
    work = works.get(operation.tool)
    return (
        ORDER.index(operation.kind),
        work.tool.weight if work is not None else 0.0,
        operation.tool,
    )


@dataclass(eq=False)
class _Line:
    """The work as it stands, and what its tools do to it."""

    removal: Removal
    samples: Samples
    works: dict[str, Work]
    standing: Standing
    rounds: int = _EXACTLY
    _known: dict[tuple[int, int], tuple[Standing, Standing]] = field(default_factory=dict)

    def worked_off(self, waiting: list[Operation]) -> Iterator[Operation]:
        """One after another; where none is free, what frees one."""
        while waiting:
            free = next((o for o in waiting if not self.hidden(o)), None)
            if free is None:
                clearing = self._clearing(waiting)
                if clearing is None:
                    yield from waiting
                    return
                yield clearing
                continue
            waiting.remove(free)
            yield free
            if waiting:
                self.done(free)

    def hidden(self, operation: Operation) -> frozenset[str]:
        """Those of its segments that it does not reach as the work stands."""
        work = self.works.get(operation.tool)
        if work is None or not operation.segments:
            return frozenset()
        at_last = self.samples.by_id(work.swept)
        wanted = {s: at_last[s] - ALIKE for s in operation.segments}
        now = self.samples.by_id(work.asked.swept_at_last(self.standing))
        late = {s for s, share in wanted.items() if now[s] < share}
        if late:
            # what it cuts itself it need not wait for
            now = self.samples.by_id(work.asked.swept_at_last(self._after(work)))
            late = {s for s in late if now[s] < wanted[s]}
        return frozenset(late)

    def hidden_when_done(self, operation: Operation) -> frozenset[str]:
        """The same, and then it is done."""
        hidden = self.hidden(operation)
        self.done(operation)
        return hidden

    def done(self, operation: Operation) -> None:
        """The work as the operation leaves it."""
        work = self.works.get(operation.tool)
        if work is None:
            return
        after = self._after(work)
        if _sinks(operation, work):
            mine = set(operation.segments)
            gone = nothing()
            for piece in (self.standing.stock - after.stock).components():
                if mine & set(touched(self.samples, piece)):
                    gone = gone | piece
            after = self.standing.without(gone)
        self.standing = after

    def _after(self, work: Work) -> Standing:
        key = (id(work.asked), id(self.standing))
        if key not in self._known:
            after = fixed_point([work.asked], self.standing, self.rounds)[0]
            # what it has taken it does not take again
            self._known[key] = self._known[id(work.asked), id(after)] = (after, self.standing)
        return self._known[key][0]

    def _clearing(self, waiting: Sequence[Operation]) -> Operation | None:
        """What frees an operation; else what takes most, as far as anything does."""
        own = [self.works[o.tool] for o in waiting if o.tool in self.works]
        rest = sorted(self.works.values(), key=lambda w: (is_blade(w.tool), w.tool.weight))
        now, most = self.standing, 0.0
        best: tuple[Work, Standing] | None = None
        for work in dict.fromkeys([*own, *rest]):
            after = self._after(work)
            new = now.stock - after.stock
            if not is_room(new):
                continue
            self.standing = after
            frees = any(not self.hidden(o) for o in waiting)
            self.standing = now
            if frees or new.area > most:
                best, most = (work, after), new.area
            if frees:
                break
        if best is None:
            return None
        work, self.standing = best
        return Operation(work.tool.name, (), _clears_as(work))


def _sinks(operation: Operation, work: Work) -> bool:
    return operation.kind in ("groove", "end groove") and is_blade(work.tool)


def _clears_as(work: Work) -> str:
    tool = work.tool
    if tool.on_axis:
        return "drill"
    if is_blade(tool):
        return "end groove" if tool.access == "end" else "groove"
    return ROUGH
