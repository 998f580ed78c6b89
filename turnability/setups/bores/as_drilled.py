"""Bores that the plan leaves as a drill leaves them, though they are stated finer than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from turnability.intent.model import Intent
from turnability.part.model import Profile, Stated
from turnability.setups.bores.drilling import TO_SIZE_MM
from turnability.setups.model import Setup
from turnability.setups.surfaces.finer import FineBore, fine_bore
from turnability.shop.model import Shop
from turnability.shop.told_apart import diameter_of

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class AsDrilled:
    """Bores of one diameter that one drill leaves, and what is stated finer of (each of) them.

    `deep_mm`: how far the far end lies from the end that the drill comes from; `through` whether
    that is the part's other end. `after`: what bores after it, as far as it gets.
    """

    segments: tuple[str, ...]
    bore: FineBore
    tool: str
    deep_mm: float
    through: bool = False
    after: str | None = None


def left_as_drilled(
    profile: Profile, stated: Stated, intent: Intent | None, setups: Sequence[Setup], shop: Shop
) -> tuple[AsDrilled, ...]:
    """Every bore stated finer than IT12 or Ra 6.3 µm that a drill, pointed or flat, cuts last.

    Or one of its own size before a bar that does not get at all of it.
    """
    drills = {tool.name: diameter_of(tool) for tool in shop.tools if tool.kind == "drill"}
    found: dict[tuple[object, ...], AsDrilled] = {}
    for segment in profile.segments:
        done = [(o, s) for s in setups for o in s.operations if segment.id in o.segments]
        bore = fine_bore(segment, stated, intent) if done else None
        if bore is None:
            continue
        sized = [
            (o, s)
            for o, s in done
            if o.tool in drills and abs(drills[o.tool] - bore.diameter_mm) <= TO_SIZE_MM
        ]
        *_, (last, _) = done
        if last.tool not in drills and not sized:
            continue
        if not sized and drills[last.tool] < bore.diameter_mm - TO_SIZE_MM:
            continue  # narrower than it: the rest is ground
        operation, setup = done[-1] if last.tool in drills else sized[-1]
        after = None if last.tool in drills else last.tool
        low, high = segment.ends_z_mm
        deep = high if setup.toward_chuck == "high" else profile.length_mm - low
        key = (
            operation.tool,
            after,
            replace(bore, segment="", diameter_mm=round(bore.diameter_mm, 3)),
        )
        before = found.get(key)
        names = (segment.id,) if before is None else (*before.segments, segment.id)
        deep = deep if before is None else max(before.deep_mm, deep)
        through = deep >= profile.length_mm - _SAME_MM
        found[key] = AsDrilled(names, bore, operation.tool, deep, through, after)
    return tuple(found.values())
