"""Which chucking has a surface that several could cut, or that none cuts over most of its length.

A pointed bar can often get behind a throat and cut the cone beyond it backward. Where the part is
turned round anyway, nobody does: it is bored from the end that it opens to. Nor is a thread behind
a collar begun at its shoulder and fed from behind: it is turned and cut from its own end. A bore
too long for the bars is bored from either end as far as they go, though its middle stays. An edge
at the chuck is broken when that end is faced.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.setups.bores.drilling import TO_SIZE_MM
from turnability.setups.surfaces.edges import edges_of_end
from turnability.setups.surfaces.finer import is_bore
from turnability.setups.surfaces.shares import TURNING, rank_of
from turnability.setups.trials.trial import RIM, Trial
from turnability.shop.told_apart import diameter_of, is_twist

_SAME_MM = 1e-3
_BROKEN = 0.9
"""An edge is broken by what cuts this share of it."""


def from_own_end(trial: Trial, finished: Iterable[Collection[str]]) -> list[set[str]]:
    """What each chucking finishes, with those left to a later one that comes from their own end.

    What must run true to something stays where it is.
    """
    job = trial.job
    found = [set(names) for names in finished]
    related = {s for group in job.groups for s in group.segments}
    edges: dict[Toward, frozenset[str]] = {
        "low": edges_of_end(job.profile, "low"),
        "high": edges_of_end(job.profile, "high"),
    }
    for n, (held, _) in enumerate(trial.chuckings):
        behind = {
            s.id
            for s in job.profile.segments
            if s.id in found[n] - related
            and (
                opens_to(s) == held.toward
                or s.id in edges[held.toward]
                or (s.id in job.wishes.threads and _is_behind(job.profile, s, held.toward))
                or _too_deep(trial, s, held.toward)
            )
        }
        for m, (other, removal) in enumerate(trial.chuckings[n + 1 :], start=n + 1):
            if not behind:
                break
            if other.toward == held.toward:
                continue
            but = {s.id for s in job.profile.segments} - behind
            shares = job.shares(removal)
            mine = behind & shares.cut(but)
            # an edge for which a blade would be put up there stays with the one that parts off
            edge = dict.fromkeys(mine & edges[held.toward], _BROKEN)
            turning = [w for w in removal.works if edge and rank_of(w.tool) == TURNING]
            mine -= edge.keys() - set().union(*(shares.reached(w, edge) for w in turning))
            found[n] -= mine
            found[m] |= mine
            behind -= mine
    return found


def _is_behind(profile: Profile, segment: Segment, toward: Toward) -> bool:
    """Whether something stands out farther between an outside and the free end alone."""
    if segment.surface != "outer":
        return False
    low, high = segment.ends_z_mm
    r = max(segment.curve.start[1], segment.curve.end[1])
    wider = [
        p[0]
        for s in profile.outline.segments
        for p in (s.curve.start, s.curve.end)
        if p[1] > r + _SAME_MM
    ]
    behind, before = any(z >= high for z in wider), any(z <= low for z in wider)
    return (behind, before) == ((True, False) if toward == "low" else (False, True))


def _too_deep(trial: Trial, segment: Segment, toward: Toward) -> bool:
    """Whether the drill of a bore's own size gets through it from the other end alone."""
    if not is_bore(segment):
        return False
    low, high = segment.ends_z_mm
    from_here, from_there = trial.job.profile.length_mm - low, high
    if toward == "high":
        from_here, from_there = from_there, from_here
    across = 2.0 * segment.curve.start[1]
    usable = [
        tool.limits.get("usable_length_mm", 0.0)
        for tool in trial.job.shop.tools
        if is_twist(tool) and abs(diameter_of(tool) - across) <= TO_SIZE_MM
    ]
    return any(from_there <= depth for depth in usable) and all(
        from_here > depth for depth in usable
    )


def with_partly_cut(trial: Trial, finished: Iterable[Collection[str]]) -> list[set[str]]:
    """The same with surfaces that no chucking finishes, in each that cuts some of them.

    Not those of which tools leave most with nothing held: they are told as left.
    """
    job, found = trial.job, [set(names) for names in finished]
    ids = {s.id for s in job.profile.segments if s.surface == "inner"}
    missed = ids - job.hopeless - set().union(*found)
    if missed:
        but = {s.id for s in job.profile.segments} - missed
        for names, (_, removal) in zip(found, trial.chuckings, strict=True):
            names.update(job.shares(removal).cut(but, RIM))
    return found


def opens_to(segment: Segment) -> Toward | None:
    """The end toward which a surface inside widens; None for a cylinder and all that is outside."""
    (z0, r0), (z1, r1) = sorted((segment.curve.start, segment.curve.end))
    if segment.surface != "inner" or z1 - z0 <= _SAME_MM or abs(r1 - r0) <= _SAME_MM:
        return None
    return "high" if r1 > r0 else "low"
