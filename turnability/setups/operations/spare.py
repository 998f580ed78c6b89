"""Where a planned tool just fits: a blade in the depth of its groove, a bar in its entry."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from turnability.cited import Cited
from turnability.part.model import Profile, Segment
from turnability.setups.model import Operation, Setup
from turnability.shop.model import Tool

LITTLE = Cited(
    0.2,
    "mm",
    "common practice",
    "room beside a shank below which the first chip rubs or jams, from memory",
    verified=False,
)
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class Spare:
    """One tool of a setup that has little room: by how much its size is over what is asked.

    `what` is "depth" where it sinks `has_mm` and `asks_mm` are asked, "entry" where the bore has
    `has_mm` at its narrowest and the bar asks for `asks_mm`.
    """

    tool: str
    segments: tuple[str, ...]
    what: Literal["depth", "entry"]
    has_mm: float
    asks_mm: float

    @property
    def spare_mm(self) -> float:
        """What is left, 0 where nothing is."""
        rest = self.has_mm - self.asks_mm
        return round(rest, 3) if rest >= _SAME_MM else 0.0


def little_spare(profile: Profile, setup: Setup, tools: Sequence[Tool]) -> Iterator[Spare]:
    """Each planned tool that has less than `LITTLE` to spare."""
    known = {s.id: s for s in profile.segments}
    by_name = {tool.name: tool for tool in tools}
    for operation in setup.operations:
        tool = by_name.get(operation.tool)
        if tool is None:
            continue
        for one in (_depth(operation, tool, known), _entry(profile, setup, operation, tool, known)):
            if one is not None and -_SAME_MM <= one.has_mm - one.asks_mm < LITTLE.value - _SAME_MM:
                yield one


def _depth(operation: Operation, tool: Tool, known: Mapping[str, Segment]) -> Spare | None:
    """The deepest wall that a blade cuts: of a groove in an end, along the axis."""
    most = tool.limits.get("depth_mm")
    if most is None or operation.kind not in ("groove", "end groove"):
        return None
    along = 0 if operation.kind == "end groove" else 1
    deep: dict[str, float] = {}
    for s in operation.segments:
        if s in known:
            a, b = known[s].curve.start, known[s].curve.end
            if abs(b[1 - along] - a[1 - along]) <= _SAME_MM:
                deep[s] = abs(b[along] - a[along])
    deepest = max(deep.values(), default=0.0)
    walls = tuple(s for s, d in deep.items() if d >= deepest - _SAME_MM)
    return Spare(tool.name, walls, "depth", most, round(deepest, 6)) if walls else None


def _entry(
    profile: Profile, setup: Setup, operation: Operation, tool: Tool, known: Mapping[str, Segment]
) -> Spare | None:
    """The narrowest that a bar passes on its way to what it cuts."""
    least = tool.limits.get("min_bore_mm")
    inside = [known[s] for s in operation.segments if s in known and known[s].surface == "inner"]
    if least is None or tool.access != "inner" or not inside:
        return None
    ends = [p[0] for s in inside for p in (s.curve.start, s.curve.end)]
    low = setup.toward_chuck == "low"
    span = (min(ends), profile.length_mm) if low else (0.0, max(ends))
    radii = {
        s.id: min(s.curve.start[1], s.curve.end[1])
        for s in profile.segments
        if s.surface == "inner" and _lies_in(s, span)
    }
    narrow = min(radii.values(), default=0.0)
    walls = tuple(s for s, r in radii.items() if r <= narrow + _SAME_MM)
    return Spare(tool.name, walls, "entry", round(2.0 * narrow, 6), least)


def _lies_in(segment: Segment, span: tuple[float, float]) -> bool:
    low, high = segment.ends_z_mm
    return low >= span[0] - _SAME_MM and high <= span[1] + _SAME_MM
