"""Parts shown to have a sheet no worse with fewer tools, by planning them anew; that is kept.

So is the crib that was found in the end, under all that it rests on: of a repository where nothing
has changed it is not sought again.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from turnability.batch.crib import Crib, Replan, Tools
from turnability.batch.enough import Enough, do, lost
from turnability.batch.hands import Hands
from turnability.batch.memory import Memory
from turnability.batch.program import program_id

_AT_ONCE = 8
"""So many parts are planned before it is looked whether one has a worse sheet: then the tool stays,
and no time is spent on the others."""


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
            made = _crib(json.loads(known))
            told(made, None)
            return made
        began = time.monotonic()
        made = find()
        text = json.dumps(asdict(made))
        memory.put_crib(asked.hexdigest(), program, bool(made.unproven), text)
        told(made, time.monotonic() - began)
        return made

    return crib


def _crib(found: dict[str, Any]) -> Crib:
    """A crib as it was kept: lists are tuples again."""

    def whole(value: Any) -> Any:
        return tuple(map(whole, value)) if isinstance(value, list) else value

    return Crib(**{name: whole(value) for name, value in found.items()})


def replanner(
    memory: Memory,
    hands: Hands,
    shop: str | None,
    shop_sha256: str,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> Callable[[Sequence[tuple[str, int, int]]], Replan]:
    """What `crib.Replan` asks for, with the run's own hands. `tell`: how many of how many are done.

    Parts of one file and intent are planned once, and what is known is not asked again: what was
    no worse with some tools is told of just these (a tool that no sheet uses may still reach what
    others do not, or prove a change), and what was worse with some is so with fewer.
    """
    asked_for = (shop_sha256, program_id())

    def make(places: Sequence[tuple[str, int, int]]) -> Replan:
        names: dict[int, str] = {}
        known: dict[str, list[tuple[Tools, Tools | None]]] = {}

        def name_of(place: int) -> str:
            """One for all that the plan of a part rests on beside shop and program."""
            if place not in names:
                _, result, solid = places[place]
                key = memory.key_of(result)
                rests_on = (solid, result) if key is None else (solid, key.content, key.intent)
                names[place] = hashlib.sha256(repr(rests_on).encode()).hexdigest()[:32]
            return names[place]

        def answer(name: str, tools: Tools) -> tuple[Tools | None] | None:
            """What is known of a part with these tools, in a tuple; None where nothing is."""
            if name not in known:
                known[name] = memory.enough(name, *asked_for)
            for tried, found in known[name]:
                if found is not None and tried == tools:
                    return (found,)
                if found is None and tools <= tried:
                    return (None,)
            return None

        def job_of(place: int, tools: Tools) -> Enough | None:
            title, result, solid = places[place]
            key = memory.key_of(result)
            judged = next((one for one in memory.judged(result) if one.solid == solid), None)
            parts = None if key is None else memory.parts_of(key.content, key.program)
            part = next((one for one in parts or () if one.source.solid == solid), None)
            if part is None or judged is None or judged.sheet is None:
                return None
            return Enough(title, part, judged.intent, judged.sheet, tools, shop, shop_sha256)

        def replan(open_: Collection[int], tools: Tools) -> Mapping[int, Tools | None]:
            by_name: dict[str, list[int]] = {}
            for place in open_:
                by_name.setdefault(name_of(place), []).append(place)
            made: dict[int, Tools | None] = {}
            unknown = []
            for name, members in by_name.items():
                found = answer(name, tools)
                if found is None:
                    unknown.append(name)
                else:
                    made |= dict.fromkeys(members, found[0])
            for start in range(0, len(unknown), _AT_ONCE):
                if None in made.values():
                    break
                for name, some in ask(unknown[start : start + _AT_ONCE], by_name, tools):
                    if some is None or some:
                        made |= dict.fromkeys(by_name[name], some)
                tell(min(start + _AT_ONCE, len(unknown)), len(unknown))
            return made

        def ask(
            some: Sequence[str], by_name: Mapping[str, Sequence[int]], tools: Tools
        ) -> list[tuple[str, Tools | None]]:
            """Have parts planned and keep what is found; no tools of one that could not be."""
            jobs = [(name, job_of(by_name[name][0], tools)) for name in some]
            asked = [(name, job) for name, job in jobs if job is not None]
            found = list(hands.each(asked, do, lost))
            kept = [(name, tools, needs) for name, needs in found if needs is None or needs]
            for name, tried, needs in kept:
                known[name].append((tried, needs))
            memory.put_enough(kept, *asked_for)
            return found

        return replan

    return make
