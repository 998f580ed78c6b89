"""What a part's plan comes to, to tell whether one with fewer tools is as good."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.rules.model import Finding
from turnability.setups.drilling import is_flat
from turnability.setups.model import SetOver, Setup
from turnability.setups.tools_used import tools_used
from turnability.shop.model import Shop

LONGER = 1.1
"""A plan may take so much longer with fewer tools (our choice)."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One plan: the tools it needs, and what it comes to.

    `uncut`: surfaces of which more stays than a corner; `corners`: the surfaces of inside corners
    that a nose does not fill, each with the largest radius that finishes them, in mm. `awkward`:
    those that a pointed corner roughs, a tool is sunk into the full for or a blade finishes, and
    bores that a flat drill does. `errors`: rule and
    surfaces. `parted`: whether a blade parts it off.
    """

    tools: frozenset[str]
    setups: int
    uncut: frozenset[str] = frozenset()
    corners: frozenset[tuple[tuple[str, ...], float]] = frozenset()
    awkward: frozenset[str] = frozenset()
    errors: frozenset[tuple[str, tuple[str, ...]]] = frozenset()
    parted: bool = False
    minutes: float | None = None


def sheet_of(
    setups: Sequence[Setup],
    set_over: Sequence[SetOver],
    features: Sequence[Feature],
    profile: Profile,
    shop: Shop,
    findings: Iterable[Finding],
    minutes: float | None,
) -> Sheet:
    """What this plan comes to."""
    done = [o for one in setups for o in one.operations]
    left = [one for setup in setups for one in setup.left]
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
    )


def is_no_worse(new: Sheet, old: Sheet) -> bool:
    """Whether nothing more stays, no error and no chucking comes, and no more than a tenth longer
    is taken."""
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
