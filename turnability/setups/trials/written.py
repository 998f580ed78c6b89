"""One way to make the part as the report tells it: setup by setup, with what it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from turnability.half_plane.regions import Region
from turnability.setups.bores.drilling import drilled_core
from turnability.setups.holding.jaws import Held
from turnability.setups.holding.support import support_of, wants_support
from turnability.setups.holding.supported import Supported, ToCarry
from turnability.setups.model import HowHeld, Land, Operation, Setup, SetupLeft, Support
from turnability.setups.operations.one_setup import operations_of, ready
from turnability.setups.surfaces.chucking import Chucking
from turnability.setups.surfaces.cuts import thickness_mm, touched
from turnability.setups.surfaces.edges import at_end, end_face
from turnability.setups.surfaces.swept import without_unopened
from turnability.setups.trials.datum import datum_of
from turnability.setups.trials.in_the_way import bars_too_short
from turnability.setups.trials.own_end import from_own_end, with_partly_cut
from turnability.setups.trials.trial import Trial
from turnability.shop.model import Cause, Machine


def written(
    trial: Trial, lands: Sequence[Land], lathe: Machine | None, leaves: bool = True
) -> tuple[Setup, ...]:
    """The plan on a lathe in the report's words, with or without what it leaves."""
    job = trial.job
    finished = with_partly_cut(trial, from_own_end(trial, trial.finished()))
    setups: list[Setup] = []
    for order, (held, _) in enumerate(trial.chuckings, start=1):
        # nobody reads the order of one that is not made
        operations = without_unopened(
            job.profile,
            job.part.departures,
            _operations(trial, order, finished[order - 1], asked=leaves),
        )
        last = order == len(trial.chuckings)
        if _on_centres(held):
            kept: Support = "between-centres"
            way = Supported(kept, tuple(replace(o, support=kept) for o in operations))
        else:
            cut = {s for one in setups for o in one.operations for s in o.segments}
            done = job.own | cut
            work = ToCarry(
                job.profile,
                held.toward,
                held.grip,
                operations,
                lathe,
                job.intent,
                lands,
                done,
                job.through_mm,
                [group.segments for group in job.groups],
            )
            way = support_of(work)
        setups.append(
            Setup(
                order=order,
                toward_chuck=held.toward,
                grip=held.grip,
                datum=datum_of(job, held, setups),
                support=way.support,
                operations=way.operations,
                left=_left(trial) if last and leaves else (),
                steady_z_mm=way.steady_z_mm,
                holding=held.holding,
                kept_clear=held.obstacles,
            )
        )
    return tuple(setups)


def how_held(trial: Trial, lands: Sequence[Land], lathe: Machine | None) -> tuple[HowHeld, ...]:
    """How a plan holds the work; what is done is asked only where that decides what carries it."""
    profile, chuckings = trial.job.profile, [held for held, _ in trial.chuckings]
    if any(not _on_centres(h) and wants_support(profile, h.toward, h.grip) for h in chuckings):
        return tuple(setup.how_held for setup in written(trial, lands, lathe, leaves=False))
    return tuple(
        HowHeld(n, h.toward, h.grip, "between-centres" if _on_centres(h) else "none", h.holding)
        for n, h in enumerate(chuckings, start=1)
    )


def _on_centres(held: Held) -> bool:
    return held.holding.kind == "between-centres" and not held.raw


def _operations(trial: Trial, order: int, wanted: set[str], asked: bool) -> tuple[Operation, ...]:
    """What is done in one chucking; remembered, for a trial is written more than once.

    `asked`: in an order in which each tool gets at its surfaces, not only the usual one.
    """
    known = trial.operations.get((order, asked))
    if known is None:
        earlier = [trial.operations[n, asked] for n in range(1, order)]
        # in which order they go says nothing to the chuckings after them
        key = (order, *(frozenset((o.tool, o.segments) for o in made) for made, _ in earlier))
        able = trial.ready.get(key)
        if able is None:
            able = trial.ready[key] = ready(_chucking(trial, order, wanted, earlier))
        known = trial.operations[order, asked] = operations_of(able, asked=asked)
    return known[0]


def _chucking(
    trial: Trial,
    order: int,
    wanted: set[str],
    earlier: Sequence[tuple[tuple[Operation, ...], frozenset[str]]],
) -> Chucking:
    """One chucking after those `earlier`, whose operations are known."""
    job, (held, removal) = trial.job, trial.chuckings[order - 1]
    return Chucking(
        job.profile,
        job.shares(removal),
        held.toward,
        wanted=wanted.union(*(postponed for _, postponed in earlier)),
        chosen=job.reach.chosen_tools,
        used={o.tool for operations, _ in earlier for o in operations},
        wishes=job.wishes,
        parting=trial.parting if order == 1 else None,
        parted=end_face(job.profile, held.toward) if len(trial.chuckings) == 1 else (),
        before=job.before if order == 1 else trial.chuckings[order - 2][1].standing.gone,
        later=[other for _, other in trial.chuckings[order:]],
        begun={s for operations, _ in earlier for o in operations for s in o.segments},
        opened=_opened(trial, [operations for operations, _ in earlier]),
        bar_mm=job.bar_mm if order == 1 else 0.0,
    )


def _opened(trial: Trial, earlier: Sequence[Sequence[Operation]]) -> Region:
    """What a tube's bore, and drills in the chuckings before, have opened along the axis."""
    profile, opened = trial.job.profile, trial.job.before
    for (held, removal), operations in zip(trial.chuckings, earlier, strict=False):
        names = {o.tool for o in operations}
        works = [work for work in removal.works if work.tool.name in names]
        opened = opened | drilled_core(profile, held.toward, works)
    return opened


def _left(trial: Trial) -> tuple[SetupLeft, ...]:
    """What no tool reaches, and what only the holding hides."""
    job = trial.job
    anyway = [SetupLeft(left.segments, left.causes) for left in job.reach.left]
    outer = {s.id for s in job.profile.segments if s.surface != "inner"}
    by_jaws: list[SetupLeft] = []
    for piece, by_turns in zip(trial.stays, trial.by_turns, strict=True):
        beside = touched(job.samples, piece)
        cause: Cause = "jaws"
        causes: tuple[Cause, ...]
        if by_turns:
            # outside a tool of the other hand does in one chucking what this one does from both
            cause = "hand" if set(beside) <= outer else "no-tool"
        causes = ("bar-length", cause) if bars_too_short(trial, beside, piece) else (cause,)
        by_jaws.append(SetupLeft(beside, causes, thickness_mm(piece)))
    if trial.sawn:
        # sawn off behind the part: that face is left as sawn
        by_jaws.append(SetupLeft(at_end(job.profile, trial.chuckings[-1][0].toward), ("jaws",)))
    return tuple(anyway + by_jaws)
