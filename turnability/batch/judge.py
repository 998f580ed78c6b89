"""One part judged under a shop and its intent: runs in the worker's process."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from turnability.batch.model import Judged, Saving
from turnability.errors import IntentUnusable, TurnabilityError
from turnability.intent.load import load_intent
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.report import Report
from turnability.shop.model import Shop


@dataclass(frozen=True, slots=True)
class SolidsIntent:
    """An intent file, what people call it, and the solid that it is for; None for all."""

    solid: int | None
    file: str
    path: str


def judged(
    part: Part, shop: str | None, shop_sha256: str, intents: Sequence[SolidsIntent], path: str
) -> Judged:
    """Walk up the stairs with one part; `path` is what its report names as its file."""
    from turnability.analysis.spare import spared
    from turnability.analysis.stages import walk
    from turnability.outputs.meridian_svg import drawing

    part = replace(part, source=replace(part.source, path=path))
    source = part.source
    name = Path(path).name.rpartition(".")[0]
    try:
        made_with = _shop(shop, shop_sha256)
        report = walk(part, made_with, intent=_intent(intents, part))
    except TurnabilityError as error:
        return Judged(source.solid, source.solids, name, source=source, failed=str(error))
    document = json.dumps(report.document(), allow_nan=False, separators=(",", ":"))
    savings: tuple[Saving, ...] = ()
    with suppress(Exception):  # an estimate that fails costs no report
        savings = tuple(
            Saving(f.id, f.change.text, minutes, f.level == "error")
            for f, minutes in spared(report, made_with)
            if f.change is not None
        )
    kept = _kept(report, document, drawing(report))
    return replace(kept, savings=savings, reached=_reached(report, made_with))


def _reached(report: Report, shop: Shop) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What each tool would be asked for: blades only what no ordinary tool touches."""
    from turnability.reach.choose import offers

    if report.reach is None:
        return ()
    by_name = {tool.name: tool for tool in shop.tools}
    owners = [by_name[one.tool] for one in report.reach.tools]
    touched = {i: one.reached_segments for i, one in enumerate(report.reach.tools)}
    found = offers(owners, touched)
    return tuple((name, tuple(sorted(found[name]))) for name in sorted(found) if found[name])


def _kept(report: Report, document: str, drawing: str) -> Judged:
    source, stock, reach = report.part.source, report.stock, report.reach
    return Judged(
        solid=source.solid,
        solids=source.solids,
        name=report.name,
        verdict=report.verdict,
        findings=report.findings,
        statuses=report.rules,
        source=source,
        profile=report.part.profile,
        shop_sha256=report.shop_sha256,
        material=None if report.intent is None else _material(report.intent),
        stock=None if stock is None else stock.choice,
        pieces=(report.intent.quantity if report.intent else None) or 1,
        chosen_tools=() if reach is None else reach.chosen_tools,
        left=() if reach is None else reach.left,
        one_chucking=len(report.setups) == 1 and not any(s.left for s in report.setups),
        minutes=None if report.effort is None else report.effort.minutes_per_piece,
        crashed=bool(report.crashed),
        document=document,
        drawing=drawing,
    )


def _material(intent: Intent) -> str | None:
    return intent.material if isinstance(intent.material, str) else None


def _intent(intents: Sequence[SolidsIntent], part: Part) -> Intent | None:
    source = part.source
    for one in sorted(intents, key=lambda one: one.solid is None):
        if one.solid is None or (one.solid == source.solid and source.solids > 1):
            try:
                return replace(load_intent(one.file), what=one.path)
            except IntentUnusable as error:
                raise IntentUnusable(one.path, error.cause, error.remedy) from None
    return None


@lru_cache(maxsize=4)
def _shop(path: str | None, sha256: str) -> Shop:
    """The shop, read once a process; the hash tells a file that has changed."""
    from turnability.analysis import shop_of

    return shop_of(path)


def helpers(
    profile: Profile, names: Collection[str], shop: str | None, shop_sha256: str
) -> frozenset[str] | None:
    """Which of the shop's tools would remove some of what becomes uncut with these alone.

    None where nothing becomes so. Tools only ever open ways for each other, so whatever set of
    tools is enough has one of these in it: the first that would go on from where these end.
    """
    from turnability.reach.choose import likely_tools
    from turnability.reach.removal import removed_by
    from turnability.reach.stock import is_room

    tools = _shop(shop, shop_sha256).tools
    some = removed_by(profile, [tool for tool in tools if tool.name in names])
    if not is_room(some.stock):
        return None
    full = removed_by(profile, tools, first=likely_tools(profile, tools))
    missing = some.stock - full.stock
    if not is_room(missing):
        return None
    return frozenset(
        work.tool.name
        for work in full.works
        if work.tool.name not in names and is_room(work.swept & missing)
    )
