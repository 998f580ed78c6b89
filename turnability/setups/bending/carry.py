"""Plans with how far they bend, the free end carried wherever that keeps a land in its limits.

The plan as it stands carries what stands far out of the jaws. Where a land still varies by more
than it may, a thin end in one pass is reckoned, a centre in a solid end, light last passes, the
lathe's follow rest, the other ways to carry that setup, and both; the first that is enough is
taken, the least trouble, or else the one that bends least. Of two plans that are equal in all else
the one that bends less is made.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.follow_rest import may_follow
from turnability.setups.holding.drawn_in import bored_last
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, TAILSTOCK_LIMIT
from turnability.setups.holding.support import is_hollow, ways_of_support
from turnability.setups.holding.supported import Supported, ToCarry
from turnability.setups.holding.thin_ends import in_one_pass
from turnability.setups.model import Land, Operation, Plan, Rival, Setup
from turnability.shop.model import Machine, Shop
from turnability.stock.model import Stock, raw_circle_mm

BENDS_MORE = "it bends more under the finishing cut"
_CLEARLY = 0.9
"""Another way must bend this much less to be worth its trouble where neither is enough."""


def carried(
    part: Part,
    plan: Plan,
    lands: Sequence[Land],
    stock: Stock | None,
    shop: Shop,
    intent: Intent | None = None,
    next_best: Callable[[], tuple[Setup, ...]] | None = None,
) -> Plan:
    """The plan with bending in each setup; `intent` is settled on the part.

    `next_best` tells the runner-up in full, where that is equal in all else: it is seldom asked.
    """
    lathe = next((m for m in shop.machines if m.name == plan.lathe), None)
    related = [one.segments for one in plan.rechucked]

    def others(setup: Setup, done: frozenset[str]) -> Iterator[Supported]:
        """Other ways to carry it than it has."""
        assert part.profile is not None
        if setup.support == "between-centres":
            return
        work = ToCarry(
            part.profile,
            setup.toward_chuck,
            setup.grip,
            _plain(part.profile, setup.operations),
            lathe,
            intent,
            lands,
            done,
            raw_circle_mm(stock, part.profile.max_diameter_mm),
            related,
        )
        for way in ways_of_support(work):
            if (way.support, way.operations) != (setup.support, setup.operations):
                yield way

    def whole_thin_end(setup: Setup) -> Setup | None:
        """With its thin free end, where that bends too much, in one pass from the full bar."""
        assert part.profile is not None
        assert setup.bending is not None
        bends = [x for x in setup.bending.lands if x.limit and x.error_mm > x.limit.value]
        return in_one_pass(
            part.profile,
            setup,
            _plain(part.profile, setup.operations),
            frozenset(s for land in bends for s in land.segments),
            shop.tools,
            lathe,
            raw_circle_mm(stock, part.profile.max_diameter_mm),
            related,
        )

    def bent(setups: Sequence[Setup], followed: bool = False) -> tuple[Setup, ...]:
        return with_bending(
            part,
            setups,
            stock,
            shop,
            intent,
            lathe=plan.lathe,
            lands_alone=True,
            followed=followed,
        )

    def best(made: tuple[Setup, ...]) -> tuple[Setup, ...]:
        for n in range(len(made)):
            # read anew: an earlier setup carried otherwise has made all of them anew
            setup = made[n]
            if share_of(setup) <= 1.0 or part.profile is None:
                continue
            done = frozenset(s for one in made[:n] for o in one.operations for s in o.segments)
            best_now, least = made, share_of(setup)
            thin = whole_thin_end(setup)
            ways = [] if thin is None else [(thin, False)]
            for way, followed in (*ways, *_ways(setup, list(others(setup, done)), lathe)):
                setups = (*made[:n], way, *made[n + 1 :])
                tried = bent(setups)
                share = share_of(bent(setups, followed=True)[n] if followed else tried[n])
                if share < _CLEARLY * least:
                    best_now, least = tried, share
                if share <= 1.0:
                    break
            made = best_now
        return made

    def whole(setups: Sequence[Setup]) -> tuple[Setup, ...]:
        return with_bending(part, setups, stock, shop, intent, lathe=plan.lathe)

    first = whole(plan.setups)
    if worst_share(first) <= 1.0:
        return replace(plan, setups=first)
    setups = best(first)
    if (
        next_best is not None
        and worst_share(setups) > 1.0
        and not any(one.split for one in plan.rechucked)
    ):
        other = best(bent(next_best()))
        if worst_share(other) < _CLEARLY * worst_share(setups):
            rival = Rival(tuple(one.how_held for one in setups), BENDS_MORE)
            return replace(plan, setups=whole(other), runner_up=rival)
    return replace(plan, setups=setups if setups is first else whole(setups))


def share_of(setup: Setup) -> float:
    """How far the worst of its lands varies by bending, over what it may; 0 where none is known."""
    lands = setup.bending.lands if setup.bending is not None else ()
    return max((x.error_mm / x.limit.value for x in lands if x.limit is not None), default=0.0)


def worst_share(setups: Sequence[Setup]) -> float:
    """The same of the worst setup."""
    return max((share_of(setup) for setup in setups), default=0.0)


def _ways(
    setup: Setup, ways: Sequence[Supported], lathe: Machine | None
) -> Iterator[tuple[Setup, bool]]:
    """The setup made otherwise, the least trouble first, and whether a rest follows the tool.

    A centre in a solid end is brought up in a moment; light last passes cost less than a steady, or
    a centre in a bored mouth. Where more stands free than its support carries they chatter. A rest
    that rides on the carriage is set once, and carries every place as it is cut.
    """
    others = [_with(setup, way) for way in ways]
    free = setup.bending.length_to_diameter if setup.bending is not None else math.inf

    def light(ways: Sequence[Setup]) -> Iterator[Setup]:
        for one in ways:
            most = CHUCK_ONLY_LIMIT if one.support == "none" else TAILSTOCK_LIMIT
            if free <= most.value:
                yield replace(one, light=True)

    easy = [one for one in others if _is_easy(one)]
    hard = [one for one in others if one not in easy]
    for one in (*easy, *light([setup])):
        yield one, False
    for one in (setup, *easy):
        if may_follow(one.support, free, lathe):
            yield one, True
    for one in (*hard, *light(others)):
        yield one, False


def _is_easy(setup: Setup) -> bool:
    """Whether a centre alone carries it, once and in a solid end, and nothing else does."""
    supports = [o.support for o in setup.operations]
    ups = sum(a != "tailstock" and b == "tailstock" for a, b in pairwise(("none", *supports)))
    if "steady" in supports or ups != 1:
        return False
    before = setup.operations[: supports.index("tailstock")]
    return not any(o.kind in ("drill", "bore") for o in before)


def _plain(profile: Profile, operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """The operations carried by nothing, in the usual order again where the end was bored first."""
    plain = tuple(replace(o, support="none", out_mm=None) for o in operations)
    hollow = [n for n, o in enumerate(plain) if is_hollow(profile, o)]
    carried = next((n for n, o in enumerate(operations) if o.support == "tailstock"), -1)
    if not hollow or carried < hollow[0]:
        return plain
    return bored_last(plain, [plain[n] for n in hollow])


def _with(setup: Setup, way: Supported) -> Setup:
    return replace(
        setup, support=way.support, operations=way.operations, steady_z_mm=way.steady_z_mm
    )
