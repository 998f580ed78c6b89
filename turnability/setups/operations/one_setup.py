"""One setup's work as a machinist would write it down: tool by tool, in a sensible order."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from turnability.half_plane.regions import Region, box, nothing
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward, other_end
from turnability.reach.removal import Work
from turnability.setups.bores.drilling import core_of, drill_before, through_drill
from turnability.setups.cutting.depths import LEAST_MM
from turnability.setups.cutting.starting import FINISH_DEPTH
from turnability.setups.model import ROUGH, Operation
from turnability.setups.operations.assigned import assigned
from turnability.setups.operations.in_order import in_order
from turnability.setups.operations.one_tool import by_one_tool, fewer
from turnability.setups.operations.passed_on import sturdier
from turnability.setups.operations.roughing import (
    Rest,
    bar_outside,
    rougher_of,
)
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.edges import end_face, is_at
from turnability.setups.surfaces.rests import rests
from turnability.setups.surfaces.shares import CUT_SHARE
from turnability.setups.surfaces.sharing import Reamed
from turnability.setups.surfaces.thin_walls import springy_outsides, thin_outsides
from turnability.shop.model import Tool
from turnability.shop.told_apart import is_blade, is_pointed, is_reamer, is_twist

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """The work of one chucking shared out, in one way or in two, but not yet put in order."""

    chucking: Chucking
    shared: _Shared
    ways: tuple[dict[str, set[str]], ...]
    leaves: Mapping[str, Collection[str]]
    _made: dict[int, tuple[Operation, ...]] = field(default_factory=dict)

    def made(self, way: int) -> tuple[Operation, ...]:
        """The operations of one way, made when first asked for."""
        if way not in self._made:
            chucking, shared = self.chucking, replace(self.shared, given=self.ways[way])
            made = _made(chucking, shared, self.leaves)
            if chucking.parting is not None:
                made.append(Operation(chucking.parting.name, chucking.parted, "part off"))
            self._made[way] = tuple(made)
        return self._made[way]


def ready(chucking: Chucking) -> Ready:
    """Give every wanted segment to a tool that cuts (nearly) most of it, with few tools in all.

    A bar that opens a bore in the full needs its drilled hole: the drill stands there even where
    nothing of its own cut stays. Where a pointed corner finishes the outside and a sturdy one gets
    at stock thicker than the pointed one may take, the sturdy one roughs and faces first; where
    outsides are tight, the bore goes before they are finished.
    """
    profile, shares, wishes = chucking.profile, chucking.shares, chucking.wishes
    shared = _shared_out(chucking)
    close = wishes.close - shared.postponed - frozenset(chucking.begun)
    leaves = by_one_tool(profile, shared.given, shared.works, shares, close, wishes.seats)
    rougher = shared.rougher
    kept = () if rougher is None else (rougher.tool.name,)
    ways = [fewer(shared.given, shared.works, shares, close, kept)] if len(shared.given) > 1 else []
    if ways and len(ways[0]) == len(shared.given):
        ways = []
    return Ready(chucking, shared, (*ways, shared.given), leaves)


def operations_of(
    able: Ready, *, asked: bool = True
) -> tuple[tuple[Operation, ...], frozenset[str]]:
    """The operations in their order: each comes when it gets there, if that is `asked`.

    Also gives the surfaces that are left in part to later chuckings, where the tool that takes them
    comes to the rest; of those begun in chuckings before the rest is cut.
    """
    shares, fresh = able.chucking.shares, able.chucking.fresh
    done: tuple[Operation, ...] = ()
    for way in range(len(able.ways)):
        made = able.made(way)
        ordered = in_order(
            made, shares.removal, shares.samples, fresh, able.shared.spared, asked=asked
        )
        ordered = _without_walls_made(able.chucking, ordered)
        if not done or len({o.tool for o in ordered}) < len({o.tool for o in done}):
            done = ordered
        if {o.tool for o in done} <= {o.tool for o in made}:
            break  # with fewer tools the way stays open as well
    return done, able.shared.postponed


def _without_walls_made(
    chucking: Chucking, ordered: tuple[Operation, ...]
) -> tuple[Operation, ...]:
    """The same, walls made by a blade that takes the rest of the floor at their foot.

    It cuts all of such a wall on its way down: none is left for a corner after it.
    """
    shares = chucking.shares
    blades = {w.tool.name: w for w in shares.removal.works if is_blade(w.tool)}
    meets: dict[str, set[str]] = {}
    for loop in chucking.profile.loops:
        for a, b in zip(loop.segments, (*loop.segments[1:], loop.segments[0]), strict=True):
            meets.setdefault(a.id, set()).add(b.id)
            meets.setdefault(b.id, set()).add(a.id)
    walls = {s.id for s in chucking.profile.segments if s.surface == "end"}
    done = list(ordered)
    for n, blade in enumerate(ordered):
        if blade.kind != "groove" or blade.tool not in blades:
            continue
        begun = {s for o in ordered[:n] for s in o.segments}.intersection(blade.segments)
        beside = {w for s in begun for w in meets[s]} & walls
        least = dict.fromkeys(beside, CUT_SHARE)
        made = shares.reached(blades[blade.tool], least) if beside else set()
        for m, later in enumerate(done[n + 1 :], n + 1):
            mine = made.intersection(later.segments) if later.kind == "turn" else set()
            if mine:
                rest = tuple(s for s in later.segments if s not in mine)
                done[m] = replace(later, segments=rest)
                names = {*done[n].segments, *mine}
                own = tuple(s for s in shares.samples.ids if s in names)
                done[n] = replace(done[n], segments=own)
    kept = zip(done, ordered, strict=True)
    return tuple(o for o, was in kept if o.segments or o.leaves or not was.segments)


@dataclass(frozen=True, slots=True)
class _Shared:
    """Segments by tool, the tools' work, who takes the bulk, what is left to chuckings later."""

    given: dict[str, set[str]]
    works: dict[str, Work]
    rougher: Work | None
    postponed: frozenset[str]
    bar: Region
    """What the bar has beyond the part, of which nothing is cut yet."""
    reamed: tuple[Reamed, ...]
    spared: frozenset[str]


def _shared_out(chucking: Chucking) -> _Shared:
    profile, shares, toward = chucking.profile, chucking.shares, chucking.toward
    stock, standing = shares.removal.ground.stock, chucking.standing
    sharing = assigned(chucking)
    all_works = [w for w in shares.removal.works if w.tool.name not in sharing.spared]
    given, works = sharing.given, sharing.works
    free = other_end(toward)
    bar = bar_outside(profile, chucking.bar_mm)
    rougher = rougher_of(shares.removal, [works[n].tool for n in given], standing, bar)
    if rougher is not None:
        works[rougher.tool.name] = rougher
        given.setdefault(rougher.tool.name, set())
    sturdier(chucking, sharing, end_face(profile, free))
    if rougher is not None and not any(is_pointed(works[n].tool) for n in given):
        rougher = None  # it finishes all of it itself
    drill = drill_before(profile, given, works, all_works, standing)
    if drill is not None:
        given.setdefault(drill.tool.name, set())
        works[drill.tool.name] = drill
    opened = nothing() if chucking.opened is None else chucking.opened
    core = core_of(profile, stock) - opened
    drill = through_drill(profile, toward, given, works, all_works, core)
    if drill is not None:
        given.setdefault(drill.tool.name, set())
        works[drill.tool.name] = drill
    close = chucking.wishes.close
    # what a drill leaves of a bore to be ground is the wheel's
    ground = {s for s, _ in chucking.wishes.ground}
    done = {s for n, takes in given.items() if is_twist(works[n].tool) for s in takes & ground}
    begun = done.union(chucking.begun)
    more, postponed = rests(
        profile, given, works, shares, chucking.later, begun, close, sharing.spared
    )
    for work, takes in more:
        given.setdefault(work.tool.name, set()).update(takes)
        works[work.tool.name] = work
    return _Shared(given, works, rougher, postponed, bar, sharing.reamed, sharing.spared)


def _made(
    chucking: Chucking, shared: _Shared, leaves: Mapping[str, Collection[str]]
) -> list[Operation]:
    profile, shares, toward = chucking.profile, chucking.shares, chucking.toward
    wishes, fresh = chucking.wishes, chucking.fresh
    given, works, rougher = shared.given, shared.works, shared.rougher
    by_id = {s.id: s for s in profile.segments}
    pointed = [n for n in given if is_pointed(works[n].tool)] if rougher is not None else []
    if pointed:
        rest = Rest(fresh, [works[n] for n in given], shared.bar)
        pointed = [n for n in pointed if rest.is_too_thick(works[n])]
    bored = {s for n, takes in given.items() if works[n].tool.access == "inner" for s in takes}
    wide = {s for n, takes in given.items() if works[n].tool.on_axis for s in takes}
    every = {s for takes in given.values() for s in takes}
    thin = thin_outsides(profile, every, bored)
    springy = springy_outsides(profile, every, bored | wide)
    turned = {s for n, takes in given.items() if _turns(works[n].tool) for s in takes}
    hollows = any(works[n].tool.on_axis or works[n].tool.access == "inner" for n in given)
    waits = hollows and not (wishes.tight | springy).isdisjoint(turned)

    def ordered(names: Collection[str]) -> tuple[str, ...]:
        return tuple(s for s in shares.samples.ids if s in names)

    made = [
        Operation(
            name,
            ordered(part),
            kind,
            roughs=name in pointed and kind == "turn",
            over_thin_wall=kind == "turn" and not thin.isdisjoint(part),
            after_bore=kind == "turn" and waits,
            leaves=ordered(leaves.get(name, ())) if kind in ("turn", "bore") else (),
        )
        for name, takes in given.items()
        for kind, part in _by_kind(works[name].tool, takes, by_id, profile, toward)
    ]
    made += [
        Operation(one.bar.tool.name, (), "bore", leaves=ordered(one.segments))
        for one in shared.reamed
        if one.bar is not None
    ]
    over = [o.tool for o in made if o.over_thin_wall or o.after_bore]
    if rougher is None and not over:
        return made
    first = min(over, key=lambda n: works[n].tool.weight) if rougher is None else rougher.tool.name
    if over:
        drills = [works[n] for n in given if works[n].tool.on_axis]
        # chuckings before could have cut what is bored here, and did not
        made += _roughed_bores(made, works, by_id, drills, chucking.without(chucking.opened))
        rest = Rest(fresh, [works[first]], shared.bar)
        made = _roughed_outsides(made, works, rest, first)
    made.append(Operation(first, (), ROUGH))
    return made


def _roughed_bores(
    made: Sequence[Operation],
    works: Mapping[str, Work],
    by_id: Mapping[str, Segment],
    drills: Sequence[Work],
    standing: Region,
) -> list[Operation]:
    """Roughing of bores that are finished together with an outside, where there is enough for it.

    Common practice: rough outside and bore, let the work cool, then finish the one and the other.
    """
    for drill in drills:
        standing = standing - drill.swept
    least, found = FINISH_DEPTH.value + LEAST_MM, []
    for o in (o for o in made if o.kind == "bore" and o.segments):
        ends = [p for s in o.segments for p in (by_id[s].curve.start, by_id[s].curve.end)]
        z, out = [p[0] for p in ends], max(p[1] for p in ends)
        taken = works[o.tool].swept & standing & box(min(z), 0.0, max(z), out)
        if not taken.grown(-least / 2.0).empty:
            found.append(Operation(o.tool, (), "bore", leaves=o.segments))
    return found


def _roughed_outsides(
    made: Sequence[Operation], works: Mapping[str, Work], rest: Rest, first: str
) -> list[Operation]:
    """The same, with the roughing of outsides that wait for the bore parted from their finishing.

    Those that the `first` tool does not get at when it roughs the whole.
    """
    done: list[Operation] = []
    for o in made:
        waits = o.kind == "turn" and (o.after_bore or o.over_thin_wall)
        if waits and o.tool != first and rest.is_too_thick(works[o.tool]):
            done.append(Operation(o.tool, (), "turn", leaves=(*o.segments, *o.leaves)))
            done.append(replace(o, leaves=()))
        else:
            done.append(o)
    return done


def _turns(tool: Tool) -> bool:
    return tool.access == "outer" and not tool.on_axis and not is_blade(tool)


def _by_kind(
    tool: Tool,
    segments: set[str],
    by_id: dict[str, Segment],
    profile: Profile,
    toward: Toward,
) -> list[tuple[str, set[str]]]:
    if is_reamer(tool):
        return [("ream", segments)]
    if tool.on_axis:
        return [("drill", segments)]
    if is_blade(tool):
        return [("end groove" if tool.access == "end" else "groove", segments)]
    free = profile.length_mm if toward == "low" else 0.0
    faced = {s for s in segments if by_id[s].surface == "end" and is_at(by_id[s], free)}
    along = "bore" if tool.access == "inner" else "turn"
    return [(k, part) for k, part in (("face", faced), (along, segments - faced)) if part]
