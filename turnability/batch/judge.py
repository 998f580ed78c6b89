"""One part judged under a shop and its intent: runs in the worker's process."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from turnability.batch.model import Judged, Saving
from turnability.batch.sheet import Sheet, is_no_worse, sheet_of
from turnability.batch.wants import wants_of
from turnability.errors import IntentUnusable, TurnabilityError
from turnability.intent.load import load_intent
from turnability.intent.model import Intent
from turnability.part.model import Part
from turnability.report import Report
from turnability.rules.model import Finding, View
from turnability.setups.model import Plan, Setup
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
    return replace(
        kept,
        savings=savings,
        sheet=_sheet_of(report, made_with),
        wants=tuple(wants_of(report)),
    )


def _sheet(
    setups: Sequence[Setup],
    plan: Plan | None,
    of: Report | View,
    shop: Shop,
    findings: Sequence[Finding],
    minutes: float | None,
) -> Sheet | None:
    profile = of.part.profile
    if not setups or profile is None:
        return None
    over = () if plan is None else plan.set_over
    return sheet_of(setups, over, of.features or (), profile, shop, findings, minutes, of.reach)


def _sheet_of(report: Report, shop: Shop) -> Sheet | None:
    minutes = None if report.effort is None else report.effort.minutes_per_piece
    made = _sheet(report.setups, report.plan, report, shop, report.findings, minutes)
    return None if made is None else replace(made, verdict=report.verdict)


def _kept(report: Report, document: str, drawing: str) -> Judged:
    source, stock = report.part.source, report.stock
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
        intent=report.intent,
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


def planned_with(
    part: Part,
    intent: Intent | None,
    had: Sheet,
    names: Collection[str],
    shop: str | None,
    shop_sha256: str,
) -> frozenset[str] | None:
    """The tools that the part's sheet needs where the shop has no others than these.

    None where that sheet or the verdict is worse than the one it `had`; no tool where it could not
    be found out. `intent` is settled on the part. What the plan alone shows to be worse is not
    analysed to the end; all else is, for a verdict hangs on changes that are proven too.
    """
    from turnability.analysis.stages import planned_once, walk

    whole = _shop(shop, shop_sha256)
    some = replace(
        whole,
        tools=tuple(tool for tool in whole.tools if tool.name in names),
        thread_tools=tuple(tool for tool in whole.thread_tools if tool.name in names),
    )
    found = planned_once(part, some, intent)
    if found is None:
        return frozenset()
    view, findings, minutes = found
    made = _sheet(view.setups or (), view.plan, view, some, findings, minutes)
    if made is None or not is_no_worse(made, had):
        return None
    whole_one = _sheet_of(walk(part, some, intent=intent), some)
    return None if whole_one is None or not is_no_worse(whole_one, had) else whole_one.tools
