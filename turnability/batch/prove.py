"""Parts shown to lose nothing with fewer tools, by analysing them anew; what is known is kept.

So is the crib that was found in the end, under all that it rests on: of a repository where nothing
has changed it is not sought again.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import asdict

from turnability.batch.crib import Crib, Prove, Tools
from turnability.batch.enough import Enough, do, lost, outline_of
from turnability.batch.hands import Hands
from turnability.batch.memory import Memory
from turnability.batch.program import program_id
from turnability.part.model import Profile

_AT_ONCE = 64
"""So many outlines are asked about before it is looked whether some lose something: then the crib
is chosen anew, and no time is spent on one that will not do."""


def remembered(
    memory: Memory, shop_sha256: str, told: Callable[[Crib, float | None], None]
) -> Callable[[Sequence[tuple[str, int, int]], Callable[[], Crib]], Crib]:
    """What `whole.Remember` asks for. `told`: the crib, and how many seconds it was sought; None
    where it was known.

    It rests on each part's title, what its result rests on and which solid it is, on the shop and
    on the program. One that could not be proven of all parts stays known until what could not be
    used is tried again.
    """
    program = program_id()

    def crib(places: Sequence[tuple[str, int, int]], find: Callable[[], Crib]) -> Crib:
        asked = hashlib.sha256(f"{program} {shop_sha256}".encode())
        for title, result, solid in places:
            rests_on = (title, memory.key_of(result), solid)
            asked.update(repr(rests_on).encode("utf-8", "surrogateescape"))
        known = memory.crib(asked.hexdigest())
        if known is not None:
            found = json.loads(known)
            lists = {name: tuple(found[name]) for name in ("tools", "unproven")}
            made = Crib(**{**found, **lists})
            told(made, None)
            return made
        began = time.monotonic()
        made = find()
        text = json.dumps(asdict(made))
        memory.put_crib(asked.hexdigest(), program, bool(made.unproven), text)
        told(made, time.monotonic() - began)
        return made

    return crib


def prover(
    memory: Memory,
    hands: Hands,
    shop: str | None,
    shop_sha256: str,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Callable[[Sequence[tuple[str, int, int]]], Prove]:
    """What `crib.Prove` asks for, with the run's own hands. `tell`: how many of how many are done.

    Parts of one outline are analysed once, and what an earlier run found is not asked again: tools
    that were enough are so with any others beside them.
    """
    asked_for = (shop_sha256, program_id())

    def make(places: Sequence[tuple[str, int, int]]) -> Prove:
        outlines: dict[int, str] = {}
        known: dict[str, list[tuple[Tools, Tools | None]]] = {}
        unclear: set[str] = set()
        """Outlines of which some crib's loss could not be told: not asked again in this run, for
        every crib would cost another analysis, and one that is not shown to do is told as such."""

        def profile_of(place: int) -> Profile | None:
            _, result, solid = places[place]
            found = (one.profile for one in memory.judged(result) if one.solid == solid)
            return next(found, None)

        def enough(outline: str, tools: Tools) -> bool:
            return any(more is None and had <= tools for had, more in known[outline])

        def wanted(outline: str, tools: Tools) -> list[Tools]:
            """All that is known of which a crib has none: told at once, so that it is chosen anew
            as seldom as can be."""
            return [some for _, some in known[outline] if some and not some & tools]

        def prove(open_: Collection[int], tools: Tools) -> Mapping[int, Collection[Tools]]:
            by_outline: dict[str, list[int]] = {}
            for place in open_:
                if place not in outlines:
                    profile = profile_of(place)
                    outlines[place] = "" if profile is None else outline_of(profile)
                by_outline.setdefault(outlines[place], []).append(place)
            for outline in by_outline.keys() - known.keys():
                known[outline] = memory.enough(outline, *asked_for)
            unknown = [
                o
                for o in by_outline
                if o not in unclear and not enough(o, tools) and not wanted(o, tools)
            ]
            # those that asked for more before are the likeliest to do so again
            unknown.sort(key=lambda o: -sum(helpers is not None for _, helpers in known[o]))
            for start in range(0, len(unknown), _AT_ONCE):
                if any(wanted(outline, tools) for outline in by_outline):
                    break
                some = unknown[start : start + _AT_ONCE]
                ask(some, by_outline, tools, start, len(unknown))
            losing: dict[int, Collection[Tools]] = {}
            for outline, members in by_outline.items():
                if some_tools := wanted(outline, tools):
                    losing |= dict.fromkeys(members, some_tools)
                elif outline in unclear and not enough(outline, tools):
                    losing |= dict.fromkeys(members, ())
            return losing

        def ask(
            outlines: Sequence[str],
            by_outline: Mapping[str, Sequence[int]],
            tools: Tools,
            done: int,
            of: int,
        ) -> None:
            """Have outlines analysed and keep what is found; `done` of all `of` were before."""

            def jobs() -> Iterator[tuple[str, Enough]]:
                for outline in outlines:
                    place = by_outline[outline][0]
                    profile = profile_of(place)
                    if profile is not None:
                        job = Enough(places[place][0], profile, tools, shop, shop_sha256)
                        yield outline, job

            found: dict[str, Tools | None] = {}
            for outline, helpers in hands.each(jobs(), do, lost):
                found[outline] = helpers
                tell(done + len(found), of)
            unclear.update(
                o for o in outlines if (h := found.get(o, frozenset())) is not None and not h
            )
            kept = [(o, tools, helpers) for o, helpers in found.items() if o not in unclear]
            for outline, _, wants in kept:
                known[outline].append((tools, wants))
            memory.put_enough(kept, *asked_for)

        return prove

    return make
