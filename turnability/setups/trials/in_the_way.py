"""What no plan cuts although tools would reach it unheld, and the least that would let it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from turnability.cited import Cited
from turnability.half_plane.regions import Region
from turnability.reach.model import other_end
from turnability.setups.holding.grips import LandGrip, grips_for, passable
from turnability.setups.model import InTheWay, Land
from turnability.setups.surfaces.cuts import touched
from turnability.setups.surfaces.edges import at_end
from turnability.setups.trials.trial import Trial
from turnability.units import length_text

MOST = Cited(
    0.5,
    "-",
    "common practice",
    "share of its length by which a part is asked to grow a land, from memory",
    verified=False,
)


OTHER_HAND = (
    "cut it from both sides in one chucking by tools of either hand, or open its flanks: what one "
    "hand leaves from one end stands in its way from the other"
)
OPEN_FLANKS = (
    "open its flanks, or let a bar in that cuts them in one chucking: what a bar leaves from one "
    "end stands in its way from the other"
)
"""Inside no tool comes from either side in one chucking, but through the bore."""


def by_turns_text(outside: bool) -> str:
    """What would let the tools cut what they do only by turns; `outside`: none of it is inside."""
    return OTHER_HAND if outside else OPEN_FLANKS


def in_the_way(best: Trial, lands: Sequence[Land]) -> InTheWay | None:
    """The surfaces that the best plan leaves by its holding; None where it leaves none.

    The change is the least length by which some land must grow to be held from the end that is not
    held yet, or that the part has no land there at all.
    """
    job = best.job
    names = {s for piece in best.stays for s in touched(job.samples, piece)}
    if best.sawn:
        names |= set(at_end(job.profile, best.chuckings[-1][0].toward))
    if not names:
        return None
    order = [s.id for s in job.profile.segments if s.id in names]
    if not best.sawn and all(best.by_turns):
        outside = all(s.surface != "inner" for s in job.profile.segments if s.id in names)
        return InTheWay(tuple(order), by_turns_text(outside))
    return InTheWay(tuple(order), _change(best, lands))


def _change(best: Trial, lands: Sequence[Land]) -> str:
    job, inch = best.job, best.job.shop.inch
    toward = other_end(best.chuckings[-1][0].toward)
    missing: list[tuple[float, LandGrip]] = []
    for grip in grips_for(lands, job.shop):
        if not grip.fits or not passable(job.profile, grip.land, toward):
            continue
        # the jaws also keep their stand-off from what is cut beside them
        lacks = grip.least_mm + grip.holding.jaw_standoff_mm - grip.length_mm
        missing.append((lacks, grip))
    modest = MOST.value * job.profile.length_mm
    short = [entry for entry in missing if 0.0 < entry[0] <= modest]
    if short:
        lacks, grip = min(short, key=lambda entry: (entry[0], entry[1].land.z_mm))
        return (
            f"add {length_text(lacks, inch)} of straight land to the "
            f"⌀{length_text(grip.land.diameter_mm, inch)} at z "
            f"{length_text(grip.land.z_mm[0], inch)} for {grip.holding.name} to hold it"
        )
    if not missing:
        return f"draw a straight land that jaws can hold at the {toward} end"
    beyond = "draw it with a straight land beyond that end, to be held by and cut off last"
    holes = any(
        "hole_diameter_mm" in d.parameters and d.parameters.get("direction", "axial") == "axial"
        for d in job.part.departures
    )
    return f"{beyond}, or hold it on an arbor through holes that it has" if holes else beyond


def bars_too_short(trial: Trial, beside: Collection[str], piece: Region) -> bool:
    """Whether bars of the one chucking bore these surfaces, and end before the far side of what
    stays: longer ones would do it from that end, and nothing has to be held for the other.
    """
    (held, removal), *more = trial.chuckings
    profile = trial.job.profile
    inner = {s.id for s in profile.segments if s.surface == "inner"}
    if more or not beside or not inner.issuperset(beside):
        return False
    low, _, high, _ = piece.bounds
    deep = profile.length_mm - low if held.toward == "low" else high
    shares = trial.job.shares(removal)
    rows = [n for n, s in enumerate(trial.job.samples.ids) if s in beside]
    bars = [
        work.tool.limits["overhang_mm"]
        for work in removal.works
        if work.tool.access == "inner"
        and "overhang_mm" in work.tool.limits
        and any(shares.of(work)[n] > 0.0 for n in rows)
    ]
    return bool(bars) and max(bars) < deep
