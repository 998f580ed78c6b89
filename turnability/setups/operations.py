"""One setup's work as a machinist would write it down: tool by tool, in a sensible order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from turnability.half_plane.regions import Region
from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.reach.removal import Removal, Work
from turnability.setups.cuts import Samples
from turnability.setups.in_order import in_order
from turnability.setups.model import Operation
from turnability.setups.roughing import is_blade, is_pointed, rougher_of
from turnability.shop.model import Tool

CUT_SHARE = 0.5
"""A segment counts as cut by a tool that touches at least this share of its places."""
_ALIKE = 0.1
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """For each tool of a setup the share of each segment's places that it cuts, told when asked."""

    samples: Samples
    removal: Removal

    def of(self, work: Work) -> dict[str, float]:
        """Shares of one tool by the segments' ids."""
        return self.samples.by_id(work.swept)

    def most(self, work: Work) -> dict[str, float]:
        """No less than its shares, and quicker to tell: what it cuts where no stock stands."""
        return self.samples.by_id(work.asked.most())

    def reaches(self, work: Work, least: Mapping[str, float]) -> set[str]:
        """Of these segments those of which it cuts at least that share."""
        most = self.most(work)
        hopeful = [name for name, share in least.items() if most[name] >= share]
        if not hopeful:
            return set()
        mine = self.of(work)
        return {name for name in hopeful if mine[name] >= least[name]}

    def by_rank(self) -> Iterator[list[Work]]:
        """The setup's tools, those that are asked first first."""
        works = sorted(self.removal.works, key=lambda work: _rank(work.tool))
        for _, alike in groupby(works, key=lambda work: _rank(work.tool)):
            yield list(alike)


def cut_segments(shares: Shares) -> frozenset[str]:
    """Segments that some tool of the setup cuts over most of their length."""
    found: set[str] = set()
    for works in shares.by_rank():
        for work in works:
            if len(found) == len(shares.samples.ids):
                break
            if any(s >= CUT_SHARE for n, s in shares.most(work).items() if n not in found):
                found.update(n for n, s in shares.of(work).items() if s >= CUT_SHARE)
    return frozenset(found)


def operations_of(
    profile: Profile,
    shares: Shares,
    toward: Toward,
    *,
    wanted: Iterable[str],
    chosen: Sequence[str],
    parting: Tool | None = None,
    parted: tuple[str, ...] = (),
    before: Region | None = None,
    asked: bool = True,
) -> tuple[Operation, ...]:
    """Give every wanted segment to a tool that cuts (nearly) most of it, with few tools in all.

    `chosen` are the tools that reach prefers; `parting` the blade that parts the work off, if any,
    and `parted` the segments that stay as it leaves them.
    A bar that opens a bore in the full needs its drilled hole: the drill stands there even where
    nothing of its own cut stays. Where a pointed corner finishes the outside and a sturdy one gets
    at stock thicker than the pointed one may take, the sturdy one roughs and faces first; `before`
    is what setups before have removed (r >= 0). Each comes when it gets there, if that is `asked`.
    """
    wanted_ids = set(wanted)
    best = dict.fromkeys(wanted_ids, 0.0)
    works: dict[str, Work] = {}
    for alike in shares.by_rank():
        if all(share >= 1.0 for share in best.values()):
            break  # nobody cuts more, and those asked later are given only what is left
        works |= {work.tool.name: work for work in alike}
        for work in alike:
            most = shares.most(work)
            if any(most[s] > share for s, share in best.items()):
                mine = shares.of(work)
                best = {s: max(share, mine[s]) for s, share in best.items()}
    open_ = {s for s in wanted_ids if best[s] >= CUT_SHARE}
    given: dict[str, set[str]] = {}
    while open_:
        least = {s: best[s] - _ALIKE for s in open_}
        takes_of = {name: shares.reaches(work, least) for name, work in works.items()}
        name = max(works, key=lambda n: _merit(works[n].tool, takes_of[n], chosen))
        given[name] = takes_of[name]
        open_ -= takes_of[name]
    rougher = rougher_of(shares.removal, [works[n].tool for n in given], before)
    if rougher is not None:
        name = rougher.tool.name
        works[name] = rougher
        ends = set(end_face(profile, "high" if toward == "low" else "low"))
        pointed = [n for n in given if is_pointed(works[n].tool)]
        least = {s: best[s] - _ALIKE for n in pointed for s in given[n] & ends}
        faced = shares.reaches(rougher, least)
        given = {n: (t - faced if n in pointed else t) for n, t in given.items()}
        given[name] = given.get(name, set()) | faced
    bored = any(works[n].tool.access == "inner" for n in given)
    if bored and not any(works[n].tool.on_axis for n in given):
        drill = _drill(shares.removal.works, chosen)
        if drill is not None:
            given[drill.tool.name] = set()
            works[drill.tool.name] = drill
    by_id = {s.id: s for s in profile.segments}
    made = [
        Operation(name, tuple(s for s in shares.samples.ids if s in part), kind)
        for name, takes in given.items()
        for kind, part in _by_kind(works[name].tool, takes, by_id, profile, toward)
    ]
    if rougher is not None:
        made.append(Operation(rougher.tool.name, (), "rough"))
    if parting is not None:
        made.append(Operation(parting.name, parted, "part off"))
    return in_order(made, shares.removal, shares.samples, before, asked=asked)


def _merit(
    tool: Tool, takes: set[str], chosen: Sequence[str]
) -> tuple[bool, int, int, bool, float, str]:
    return (bool(takes), -_rank(tool), len(takes), tool.name in chosen, -tool.weight, tool.name)


def _rank(tool: Tool) -> int:
    """Who is asked first: turning tools, bars, then drills, and blades only for the rest."""
    if is_blade(tool):
        return 4 if "part" in tool.kind else 3
    return 2 if tool.on_axis else 0 if tool.access == "outer" else 1


def _drill(works: Sequence[Work], chosen: Sequence[str]) -> Work | None:
    drills = [w for w in works if w.tool.on_axis and w.gained > 0.0]
    return max(drills, key=lambda w: (w.tool.name in chosen, w.gained), default=None)


def _by_kind(
    tool: Tool,
    segments: set[str],
    by_id: dict[str, Segment],
    profile: Profile,
    toward: Toward,
) -> list[tuple[str, set[str]]]:
    if tool.on_axis:
        return [("drill", segments)]
    if is_blade(tool):
        return [("end groove" if tool.access == "end" else "groove", segments)]
    free = profile.length_mm if toward == "low" else 0.0
    faced = {s for s in segments if by_id[s].surface == "end" and _at(by_id[s], free)}
    along = "bore" if tool.access == "inner" else "turn"
    return [(k, part) for k, part in (("face", faced), (along, segments - faced)) if part]


def end_face(profile: Profile, toward: Toward) -> tuple[str, ...]:
    """Segments of the plane that closes the part at this end."""
    at = 0.0 if toward == "low" else profile.length_mm
    return tuple(s.id for s in profile.outline.segments if s.surface == "end" and _at(s, at))


def _at(segment: Segment, z: float) -> bool:
    return abs(segment.curve.start[0] - z) <= _SAME_MM and abs(segment.curve.end[0] - z) <= _SAME_MM
