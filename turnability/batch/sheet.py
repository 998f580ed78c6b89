"""What a part's plan comes to, to tell whether one with fewer tools is as good."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import get_args

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.reach.model import Reach
from turnability.rules.model import Finding
from turnability.rules.verdict import Verdict
from turnability.setups.effort.tools_used import tools_used
from turnability.setups.model import SetOver, Setup
from turnability.shop.model import Shop
from turnability.shop.told_apart import is_flat

_VERDICTS: tuple[Verdict, ...] = get_args(Verdict)
"""The best first: what is not judged is no better than what is not turnable."""
_SAME_MM3 = 1e-3
LONGER = 1.1
"""A plan may take so much longer with fewer tools (our choice)."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One plan: the tools it needs, and what it comes to.

    `uncut`: surfaces of which more stays than a corner; `corners`: the surfaces of inside corners
    that a nose does not fill, each with the largest radius that finishes them, in mm. `awkward`:
    those that a pointed corner roughs, a tool is sunk into the full for or a blade finishes, and
    bores that a flat drill does. `errors`: rule and
    surfaces. `parted`: whether a blade parts it off. `uncut_mm3`: what reach leaves, beside what
    noses alone leave in corners. `reaching`: the tools by which reach leaves no more than that.
    `verdict`: the whole report's; None where that was not made.
    """

    tools: frozenset[str]
    setups: int
    uncut: frozenset[str] = frozenset()
    corners: frozenset[tuple[tuple[str, ...], float]] = frozenset()
    awkward: frozenset[str] = frozenset()
    errors: frozenset[tuple[str, tuple[str, ...]]] = frozenset()
    parted: bool = False
    minutes: float | None = None
    uncut_mm3: float = 0.0
    reaching: frozenset[str] = frozenset()
    verdict: Verdict | None = None


def sheet_of(
    setups: Sequence[Setup],
    set_over: Sequence[SetOver],
    features: Sequence[Feature],
    profile: Profile,
    shop: Shop,
    findings: Iterable[Finding],
    minutes: float | None,
    reach: Reach | None = None,
    verdict: Verdict | None = None,
) -> Sheet:
    """What this plan comes to."""
    done = [o for one in setups for o in one.operations]
    left = [one for setup in setups for one in setup.left]
    stays = () if reach is None else reach.left
    flat = {tool.name for tool in shop.tools if tool.on_axis and is_flat(tool)}
    inner = {s.id for s in profile.segments if s.surface == "inner"}
    noses = {tool.name: tool.limits.get("nose_radius_mm", 0.0) for tool in shop.tools}
    corners = set()
    for one in left:
        if one.causes == ("nose-radius",):
            by = [noses.get(o.tool, 0.0) for o in done if set(o.segments) & set(one.segments)]
            corners.add((tuple(sorted(one.segments)), max(by, default=0.0)))
    return Sheet(
        tools=tools_used(setups, set_over, features, profile, shop),
        setups=len(setups),
        uncut=frozenset(s for one in left if one.causes != ("nose-radius",) for s in one.segments),
        corners=frozenset(corners),
        awkward=frozenset(
            s
            for o in done
            for s in o.segments
            if o.roughs or s in o.sinks or o.kind == "groove" or (o.tool in flat and s in inner)
        ),
        errors=frozenset(
            (f.rule, tuple(sorted(f.where.segments))) for f in findings if f.level == "error"
        ),
        parted=any(o.kind == "part off" for o in done),
        minutes=minutes,
        uncut_mm3=sum(
            one.volume_mm3 for one in stays if any(cause != "nose-radius" for cause in one.causes)
        ),
        reaching=frozenset(() if reach is None else reach.chosen_tools),
        verdict=verdict,
    )


def is_no_worse(new: Sheet, old: Sheet) -> bool:
    """Whether the verdict is no worse, nothing more stays, no error and no chucking comes, and no
    more than a tenth longer is taken."""
    if new.uncut_mm3 > old.uncut_mm3 * (1.0 + 1e-6) + _SAME_MM3:
        return False
    rank = [_VERDICTS.index(one.verdict) for one in (new, old) if one.verdict is not None]
    if rank != sorted(rank):
        return False
    corners = dict(old.corners)
    same = all(radius <= corners.get(at, 0.0) for at, radius in new.corners)
    if old.minutes is not None and (new.minutes is None or new.minutes > LONGER * old.minutes):
        return False
    return (
        same
        and new.setups <= old.setups
        and new.uncut <= old.uncut
        and new.awkward <= old.awkward
        and new.errors <= old.errors
        and (new.parted or not old.parted)
    )
