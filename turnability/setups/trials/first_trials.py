"""How ways to make the part begin, and go on: a first chucking of raw stock, and one more."""

from __future__ import annotations

from dataclasses import replace

from turnability.setups.holding.jaws import RAW_PIECE, Held
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT
from turnability.setups.holding.weak_grips import hangs_free
from turnability.setups.operations.parting import parting_blade
from turnability.setups.surfaces.plunges import rings_of
from turnability.setups.trials.job import Job
from turnability.setups.trials.trial import Trial


def first_trial(job: Job, held: Held) -> Trial:
    """Raw stock gripped at one end, and the blade that parts the work off a bar, if one can."""
    removal = job.removed(held, job.before)
    blade = (
        None
        if held.grip.kind == RAW_PIECE
        else parting_blade(job.profile, job.parting_mm, held, removal)
    )
    return Trial(job, ((held, removal),), blade, (job.stays(removal),))


def spared_trial(job: Job, first: Trial) -> Trial:
    """The same first chucking, with what it would sink a tool into deep left to the next one."""
    held = replace(first.chuckings[0][0], spared=rings_of(first.plunges(0)))
    return first_trial(job, held)


def next_trial(job: Job, before: Trial, held: Held) -> Trial:
    """One chucking more, which faces what is sawn as well: what hangs far out is not parted off."""
    hangs = hangs_free(job.profile, before.chuckings[0][0], CHUCK_ONLY_LIMIT)
    removal = job.removed(held, before.chuckings[-1][1].standing.gone)
    return Trial(
        job,
        (*before.chuckings, (held, removal)),
        None if hangs else before.parting,
        (*before.after, job.stays(removal)),
    )


def first_rank(trial: Trial) -> tuple[bool, bool, float, bool]:
    """Which first setup is worth more: what one chucking cuts runs true."""
    return (
        bool(trial.stays),
        trial.parting is None,
        round(trial.volume, 3),
        trial.chuckings[0][0].toward != trial.job.heavy,
    )
