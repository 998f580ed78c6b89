"""Bores that the plan leaves as a drill leaves them, though they are stated finer than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from turnability.intent.model import Intent
from turnability.part.model import Profile, Stated
from turnability.setups.finer import FineBore, fine_bore
from turnability.setups.model import Setup
from turnability.shop.model import Shop

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class AsDrilled:
    """Bores of one diameter that one drill leaves, and what is stated finer of (each of) them.

    `deep_mm`: how far the far end lies from the end that the drill comes from; `through` whether
    that is the part's other end.
    """

    segments: tuple[str, ...]
    bore: FineBore
    tool: str
    deep_mm: float
    through: bool = False


def left_as_drilled(
    profile: Profile, stated: Stated, intent: Intent | None, setups: Sequence[Setup], shop: Shop
) -> tuple[AsDrilled, ...]:
    """Every bore stated finer than IT12 or Ra 6.3 µm that a drill, pointed or flat, cuts last."""
    drills = {tool.name for tool in shop.tools if tool.kind == "drill"}
    last = {s: (o, setup) for setup in setups for o in setup.operations for s in o.segments}
    found: dict[tuple[object, ...], AsDrilled] = {}
    for segment in profile.segments:
        if segment.id not in last or last[segment.id][0].tool not in drills:
            continue
        bore = fine_bore(segment, stated, intent)
        if bore is None:
            continue
        operation, setup = last[segment.id]
        ends = [segment.curve.start[0], segment.curve.end[0]]
        deep = max(ends) if setup.toward_chuck == "high" else profile.length_mm - min(ends)
        key = (operation.tool, replace(bore, segment="", diameter_mm=round(bore.diameter_mm, 3)))
        before = found.get(key)
        names = (segment.id,) if before is None else (*before.segments, segment.id)
        deep = deep if before is None else max(before.deep_mm, deep)
        through = deep >= profile.length_mm - _SAME_MM
        found[key] = AsDrilled(names, bore, operation.tool, deep, through)
    return tuple(found.values())
