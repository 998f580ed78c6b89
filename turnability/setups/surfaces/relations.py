"""Surfaces that must run true to one another, and what chucking again between them costs."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.intent.agree import together
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.reach.model import Reach
from turnability.setups.model import Rechucked, Setup
from turnability.setups.surfaces.finer import is_bore
from turnability.shop.holding import mismatch_of
from turnability.shop.model import Holding, Shop, Tool
from turnability.shop.told_apart import is_twist


@dataclass(frozen=True, slots=True)
class Group:
    """Segments that run true to one another, within `limit_mm` (total) where that is stated."""

    name: str
    segments: frozenset[str]
    limit_mm: float | None


def groups_of(part: Part, intent: Intent | None) -> tuple[Group, ...]:
    """What the intent and the part's own file relate; places that the part lacks left out."""
    found = [
        Group(
            related.name,
            frozenset(s for place in related.places for s in place.segments),
            related.run_out_mm,
        )
        for related in together(intent, part).related
        if sum(1 for place in related.places if place.segments) > 1
    ]
    return tuple(found)


def to_bore_of(
    profile: Profile, groups: Sequence[Group], reach: Reach, tools: Sequence[Tool]
) -> frozenset[str]:
    """Bores that must run true to something and that a bar reaches, the part held by nothing."""
    bars = {t.name for t in tools if t.access == "inner" and not t.on_axis}
    reached = {s for one in reach.tools if one.tool in bars for s in one.reached_segments}
    bores = {s.id for s in profile.segments if is_bore(s)}
    return frozenset(bores & reached & {s for group in groups for s in group.segments})


def shared_out(
    cut: Sequence[frozenset[str]],
    groups: Sequence[Group],
    fixed: Sequence[Collection[str]],
    partly: Sequence[Collection[str]] = (),
    centred: Sequence[bool] = (),
    bored: Sequence[Collection[str]] = (),
) -> list[set[str]]:
    """Which segments each chucking finishes: as early as can be, related ones together.

    `cut` are the segments that each chucking cuts, `fixed` those that it holds (so that an earlier
    one must finish them), `partly` those that it leaves the next to finish. Where a later chucking
    cuts a whole group and none before does, it finishes all of the group, rather one in which bars
    finish its bores (`bored`, of all that ask for one) than one that only drills them; where none
    does, the last two do that are between the same centres (`centred`), the part turned end for
    end.
    """
    to_bore = {s for names in bored for s in names}
    order: dict[str, int] = {}
    for n, names in enumerate(cut):
        for name in names:
            order.setdefault(name, n)
    for group in groups:
        mine = {name for name in group.segments if name in order}
        begun = [mine & set(names) for names in partly] or [set() for _ in cut]
        at = {order[name] for name in mine} | {n + 1 for n, names in enumerate(begun) if names}
        whole = [n for n, names in enumerate(cut) if mine <= names and not begun[n]]
        true = [n for n in whole if not mine & to_bore - set(bored[n])] if bored else whole
        best = next(iter(true or whole), None)
        if len(at) < 2 and best in (None, *at):
            continue
        if best is None:
            order |= _end_for_end(cut, mine, centred)
            continue
        held_later = {s for held in fixed[: best + 1] for s in held}
        if not mine & held_later:
            order |= dict.fromkeys(mine, best)
    return [{name for name, at in order.items() if at == n} for n in range(len(cut))]


def with_drilled(
    related: Sequence[Rechucked], setups: Sequence[Setup], profile: Profile, shop: Shop
) -> tuple[Rechucked, ...]:
    """The same with the bores that no bar cuts: a drill wanders, and a reamer follows it.

    None where all that is related is one such drill's own run.
    """
    bores = {s.id for s in profile.segments if is_bore(s)}
    follow = {t.name for t in shop.tools if is_twist(t) or t.kind == "reamer"}
    runs = [
        set(o.segments) - _bored(s, n)
        for s in setups
        for n, o in enumerate(s.operations)
        if o.tool in follow
    ]
    made = []
    for one in related:
        mine = bores & set(one.segments)
        drilled = {s for run in runs if not set(one.segments) <= run for s in mine & run}
        made.append(replace(one, drilled=tuple(s for s in one.segments if s in drilled)))
    return tuple(made)


def _bored(setup: Setup, before: int) -> set[str]:
    """What bars have bored in a setup before that operation, for a reamer to finish."""
    return {s for o in setup.operations[:before] if o.kind == "bore" for s in o.leaves}


def _end_for_end(
    cut: Sequence[frozenset[str]], mine: set[str], centred: Sequence[bool]
) -> dict[str, int]:
    """Which of the last two chuckings finishes what, where both are between the same centres."""
    last = len(cut) - 1
    if len(centred) != len(cut) or last < 1 or not (centred[last - 1] and centred[last]):
        return {}
    if not mine <= cut[last - 1] | cut[last]:
        return {}
    return {name: last - 1 if name in cut[last - 1] else last for name in mine}


def rechucked(
    groups: Sequence[Group],
    finished: Sequence[Collection[str]],
    holdings: Sequence[Holding],
) -> tuple[Rechucked, ...]:
    """For each group the chuckings that finish it, and the run-out to expect between them.

    Every later grip is on a cylinder that the chucking before turned: what one holding is off
    adds to that of the next. None where one of them is set by hand.
    """
    made = []
    for group in groups:
        at = [n for n, names in enumerate(finished) if group.segments & set(names)]
        off: Cited | None = None
        if len(at) > 1:
            each = [mismatch_of(holding) for holding in holdings[at[0] + 1 : at[-1] + 1]]
            known = [one for one in each if one is not None]
            if len(known) == len(each):
                worst = max(known, key=lambda one: one.value)
                off = Cited(
                    sum(one.value for one in known),
                    "mm",
                    worst.source,
                    worst.place,
                    all(one.verified for one in known),
                )
        made.append(
            Rechucked(
                group.name,
                tuple(sorted(group.segments)),
                tuple(n + 1 for n in at),
                off,
                group.limit_mm,
            )
        )
    return tuple(made)
