"""Which ways to make the part are looked at, after the first chuckings."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.setups.holding.weak_grips import hanging, hangs_free
from turnability.setups.model import Land
from turnability.setups.trials.first_trials import spared_trial
from turnability.setups.trials.job import Job
from turnability.setups.trials.search import seconds, thirds
from turnability.setups.trials.trial import Trial


def tried_ways(job: Job, firsts: Sequence[Trial], lands: Sequence[Land]) -> list[Trial]:
    """All ways that were looked at; no more than it takes to find one that leaves nothing."""
    tried = list(firsts)
    does = [first for first in firsts if first.does]
    if does:
        carried = [first for first in firsts if not first.uncarried]
        if any(
            first.sinks == 0 and not first.bladed and (first in carried or not carried)
            for first in does
        ):
            return tried
        # what would be sunk into is left to another chucking, where that turns it
        begun = carried or firsts
        sparing = [spared_trial(job, first) if first.sinks else first for first in begun]
        return tried + _spared(job, sparing, lands)
    pairs = [trial for trial in seconds(job, firsts, lands) if _is_of_use(trial, firsts)]
    tried += pairs
    whole = [trial for trial in tried if trial.does]
    if whole and (
        all(hangs_free(job.profile, first.chuckings[0][0]) for first in firsts)
        or all(hanging(job.profile, trial.chuckings[-1][0]) for trial in whole)
    ):
        # chucked twice only as it is not parted off, or hanging far out of the second grip: which
        # end first decides what is cut well
        for first in firsts:
            if not any(trial.chuckings[0] is first.chuckings[0] for trial in whole):
                whole += [trial for trial in seconds(job, [first], lands) if trial.does]
        tried += [trial for trial in whole if trial not in tried]
    if not whole and pairs:
        tried += thirds(job, pairs, lands)
    if whole and all(trial.sinks for trial in whole):
        sparing = [spared_trial(job, first) for first in firsts if first.plunges(0)]
        tried += _spared(job, sparing, lands)
    return tried


def _spared(job: Job, sparing: Sequence[Trial], lands: Sequence[Land]) -> list[Trial]:
    """Ways that do, of those that spare the first chucking what it would sink into."""
    pairs = list(seconds(job, sparing, lands))
    more = [trial for trial in pairs if trial.does]
    if not more and job.groups:
        more = [trial for trial in thirds(job, pairs, lands) if trial.does]
    return more


def _is_of_use(trial: Trial, firsts: Sequence[Trial]) -> bool:
    """Whether the second chucking finishes a surface, or an end that must not stay as it is."""
    first = next(f for f in firsts if f.chuckings[0] is trial.chuckings[0])
    if first.sawn or first.as_parted(trial.job.no_pip | trial.job.true_ends):
        return True
    if trial.job.groups and not all(one.holds for one in first.related()):
        return True
    if trial.wanders < first.wanders or trial.coarse < first.coarse:
        return True
    before = sum(piece.area for piece in first.stays)
    return sum(piece.area for piece in trial.stays) < before - 1e-6
