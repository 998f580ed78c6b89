"""Why one way to make the part lost to another, by the places of their ranks."""

from __future__ import annotations

from turnability.setups.surfaces.plunges import DEEP
from turnability.setups.trials.trial import Trial
from turnability.units import length_text

WHY_LOST = (
    "it leaves surfaces uncut or an end sawn",
    "it leaves more uncut",
    "it leaves a face that must run true as the blade parts it off",
    "surfaces that must run true to one another are cut in different setups",
    "a bore that must run true is only drilled",
    "a bore is only drilled that a reamer or a bar finishes from the other end",
    "it holds the part by its face on an arbor",
    "it holds less of the part than those jaws hold of anything",
    "it leaves an end as the blade parts it off, where a pip may not stay or more is asked of it",
    "it sinks a tool deeper than {deep} into the full beside the chuck, where one comes in from "
    "the other end",
    "it holds the part by less than its holding asks for",
    "a blade cuts a contour that a corner copies from the other end",
    "more of it hangs free than a chuck alone carries, and that end takes no centre",
    "it takes more setups",
    "chucking again between related surfaces costs more run-out",
    "its jaws hold a thin wall, which they press out of round",
    "more of it hangs free of the jaws, in diameters of it",
    "more of its outside is turned from either end, which leaves a line",
    "it takes more of a bar",
    "it is held on a smaller diameter",
    "it is held on a shorter length",
)
OF_GRIP = 2
"""So many places at the end of a rank tell but how stout the last grip is."""
EQUAL = "nothing sets it back: it is as good"


def why_lost(rival: Trial, best: Trial) -> str:
    """The first thing in which it is worse."""
    for why, theirs, ours in zip(WHY_LOST, rival.rank, best.rank, strict=True):
        if theirs > ours:
            return why.format(deep=length_text(DEEP.value, rival.job.shop.inch))
    return EQUAL
