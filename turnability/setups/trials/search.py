"""Which grips the next chucking is tried with, and in which order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from turnability.reach.model import ENDS, other_end
from turnability.setups.holding.grips import grips_for
from turnability.setups.holding.jaws import (
    RAW_PIECE,
    Held,
    held_by_piece,
)
from turnability.setups.holding.on_face import held_on_faces
from turnability.setups.holding.slender import (
    stick_out_mm,
)
from turnability.setups.holding.weak_grips import held_barely, held_short, on_thin_wall
from turnability.setups.model import Land
from turnability.setups.trials.first_trials import first_rank, first_trial, next_trial
from turnability.setups.trials.job import Job
from turnability.setups.trials.next_grips import (
    between_centres,
    clears_end,
    grips_after,
    lengths,
    near_the_cut,
    piece_grips,
    stands_well,
)
from turnability.setups.trials.trial import Trial
from turnability.shop.model import Holding

TRIALS = 8
"""So many second grips are tried at most, the sturdiest first, and as many short ones."""
TRIALS_OF_PIECE = 2
"""So many second grips after a sawn piece held on its own end."""
TRIALS_OF_THIRD = 4
"""So many third ones after each of the two best pairs."""


def seconds(job: Job, firsts: Sequence[Trial], lands: Sequence[Land]) -> Iterator[Trial]:
    """The part turned round, gripped on what the first setup finished; ends at one that does.

    The first setup that leaves less to the second goes first: what one chucking cuts runs true.
    Jaws rather hold a stout wall than a thin one, that they press out of round.
    """
    ranked = sorted(firsts, key=first_rank)
    grips = {id(first): grips_after(job, first, lands) for first in ranked}
    for how in sorted({_poorly(job, held) for held in chain(*grips.values())}):
        for first in ranked:
            own = [held for held in grips[id(first)] if _poorly(job, held) == how]
            for held in own[: TRIALS // len(firsts)]:
                trial = next_trial(job, first, held)
                yield trial
                if trial.does and not trial.sinks:
                    return
    for first in ranked:
        toward = other_end(first.chuckings[-1][0].toward)
        for held in held_on_faces(job.profile, job.part.departures, job.shop, toward):
            yield next_trial(job, first, held)


def _poorly(job: Job, held: Held) -> tuple[bool, bool, bool]:
    """In which order grips are tried: one that holds hardly anything after those on a thin wall."""
    return (held_barely(held), held_short(held), on_thin_wall(job.profile, held))


def thirds(job: Job, pairs: Sequence[Trial], lands: Sequence[Land]) -> Iterator[Trial]:
    """The part turned round once more, or set between centres; ends at one that does.

    What is set between centres is turned end for end between the same ones where that is not
    enough: both ends are faced and centred by then, and run true to the same two holes.
    """
    for pair in sorted(pairs, key=lambda trial: trial.rank)[:2]:
        again = [
            held
            for held in grips_after(job, pair, lands)
            if not held_short(held) and held.grip != pair.chuckings[-1][0].grip
        ][:TRIALS_OF_THIRD]
        for held in (*between_centres(job, pair, lands), *again):
            trial = next_trial(job, pair, held)
            yield trial
            if trial.does:
                return
        if all(one.holds for one in pair.related()):
            continue
        for trial in _end_for_end(job, pair, lands):
            yield trial
            if trial.does:
                return


def _end_for_end(job: Job, pair: Trial, lands: Sequence[Land]) -> Iterator[Trial]:
    """Driven at one end, then at the other, both times between the centres of the same holes."""
    toward = pair.chuckings[-1][0].toward
    for end in (other_end(toward), toward):
        held = next(between_centres(job, pair, lands, (end,)), None)
        if held is None:
            continue
        third = next_trial(job, pair, held)
        turned = next(between_centres(job, third, lands, (other_end(end),)), None)
        if turned is not None:
            yield next_trial(job, third, turned)


def own_firsts(job: Job, lands: Sequence[Land], *, far: bool = False) -> list[Trial]:
    """A sawn piece held on the outside that it brings with it, near what is cut at the free end.

    `far`: near the other end instead, with all that lies between two such outsides standing out.
    """
    found: list[Trial] = []
    for toward in ENDS:
        held = [
            held
            for grip in grips_for(lands, job.shop)
            if job.own.issuperset(grip.land.segments) and grip.obstacle is None
            for length in lengths(grip)[:1]
            for held in near_the_cut(job, grip, toward, length, RAW_PIECE)
            if stands_well(job, held) and clears_end(job, held)
        ]
        out = {id(one): stick_out_mm(job.profile, one.toward, one.grip.z_mm) for one in held}
        nearest = sorted(held, key=lambda h: round(out[id(h)][1] - out[id(h)][0], 6))
        for one in nearest[-1:] if far else nearest[:2]:
            found.append(first_trial(job, one))
    return found


def pieces(
    job: Job, best: Trial, lands: Sequence[Land], holding: Holding, size_mm: float
) -> Iterator[Trial]:
    """A sawn piece held on its own end, then turned round; ends at one that is as good as `best`.

    Only beside a best plan that turns round as well, the end first that it holds first.
    """
    if len(best.chuckings) < 2:
        return
    toward = best.chuckings[0][0].toward
    for end in (toward, other_end(toward)):
        for grip_mm in piece_grips(job, end, holding, size_mm):
            first = first_trial(
                job, held_by_piece(job.profile, end, holding, size_mm, job.end_mm, grip_mm)
            )
            grips = sorted(
                grips_after(job, first, lands),
                key=lambda held: (held_short(held), on_thin_wall(job.profile, held)),
            )
            for held in grips[:TRIALS_OF_PIECE]:
                trial = next_trial(job, first, held)
                if trial.skinned():
                    continue
                yield trial
                if trial.rank < best.rank:
                    return
