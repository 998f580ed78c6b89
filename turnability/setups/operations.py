"""One setup's work as a machinist would write it down: tool by tool, in a sensible order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from turnability.part.model import Profile, Segment
from turnability.reach.model import Toward
from turnability.reach.removal import Removal, Work
from turnability.setups.cuts import Samples
from turnability.setups.model import Operation
from turnability.shop.model import Tool

ORDER = ("face", "turn", "drill", "bore", "groove", "end groove", "part off")
"""Outside first while the stock is stiff, the hole before what is bored, weakening cuts late."""
CUT_SHARE = 0.5
"""A segment counts as cut by a tool that touches at least this share of its places."""
_ALIKE = 0.1
_SAME_MM = 1e-3


def cut_segments(samples: Samples, removal: Removal) -> frozenset[str]:
    """Segments that some tool of the setup cuts over most of their length."""
    found: set[str] = set()
    for work in removal.works:
        share = samples.share_in(work.swept)
        found.update(n for n, s in zip(samples.ids, share, strict=True) if s >= CUT_SHARE)
    return frozenset(found)


def operations_of(
    profile: Profile,
    samples: Samples,
    removal: Removal,
    toward: Toward,
    *,
    wanted: Iterable[str],
    chosen: Sequence[str],
    parting: Tool | None = None,
    parted: tuple[str, ...] = (),
) -> tuple[Operation, ...]:
    """Give every wanted segment to a tool that cuts (nearly) most of it, with few tools in all.

    `chosen` are the tools that reach prefers; `parting` the blade that parts the work off, if any,
    and `parted` the segments that stay as it leaves them.
    A bar that opens a bore in the full needs its drilled hole: the drill stands there even where
    nothing of its own cut stays.
    """
    wanted_ids = set(wanted)
    shares = {
        work.tool.name: dict(zip(samples.ids, samples.share_in(work.swept), strict=True))
        for work in removal.works
    }
    works = {work.tool.name: work for work in removal.works}
    best = {s: max((share[s] for share in shares.values()), default=0.0) for s in wanted_ids}
    open_ = {s for s in wanted_ids if best[s] >= CUT_SHARE}
    given: dict[str, set[str]] = {}
    while open_:
        takes_of = {
            name: {s for s in open_ if share[s] >= best[s] - _ALIKE}
            for name, share in shares.items()
        }
        name = max(works, key=lambda n: _merit(works[n].tool, takes_of[n], chosen))
        given[name] = takes_of[name]
        open_ -= takes_of[name]
    bored = any(works[n].tool.access == "inner" for n in given)
    if bored and not any(works[n].tool.on_axis for n in given):
        drill = _drill(removal.works, chosen)
        if drill is not None:
            given[drill.tool.name] = set()
    by_id = {s.id: s for s in profile.segments}
    made = [
        Operation(name, tuple(s for s in samples.ids if s in part), kind)
        for name, takes in given.items()
        for kind, part in _by_kind(works[name].tool, takes, by_id, profile, toward)
    ]
    if parting is not None:
        made.append(Operation(parting.name, parted, "part off"))
    return tuple(sorted(made, key=lambda o: (ORDER.index(o.kind), o.tool)))


def _merit(
    tool: Tool, takes: set[str], chosen: Sequence[str]
) -> tuple[bool, int, int, bool, float, str]:
    """Who is asked first: turning tools, bars, then drills, and blades only for the rest."""
    if is_blade(tool):
        rank = 4 if "part" in tool.kind else 3
    else:
        rank = 2 if tool.on_axis else 0 if tool.access == "outer" else 1
    return (bool(takes), -rank, len(takes), tool.name in chosen, -tool.weight, tool.name)


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


def is_blade(tool: Tool) -> bool:
    """Whether the tool is a grooving or parting blade, by its kind's name."""
    return "groov" in tool.kind or "part" in tool.kind or "blade" in tool.kind


def end_face(profile: Profile, toward: Toward) -> tuple[str, ...]:
    """Segments of the plane that closes the part at this end."""
    at = 0.0 if toward == "low" else profile.length_mm
    return tuple(s.id for s in profile.outline.segments if s.surface == "end" and _at(s, at))


def _at(segment: Segment, z: float) -> bool:
    return abs(segment.curve.start[0] - z) <= _SAME_MM and abs(segment.curve.end[0] - z) <= _SAME_MM
