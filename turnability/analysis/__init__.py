"""The walk up the stairs: from a STEP file or a shape to its report.

Reading happens in a child process that may die; from the profile upwards nothing needs the CAD
kernel.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeAlias

from turnability.analysis.intents import IntentLike, intents_of, refuse_for_many, shortly
from turnability.analysis.stages import walk
from turnability.errors import IntentUnusable, PartUnreadable, TurnabilityError
from turnability.intent.model import Intent
from turnability.part.model import Part, Source
from turnability.report import Report
from turnability.shop.model import Shop

__all__ = ["TIME_LIMIT_S", "analyze", "analyze_all", "shop_of", "walk"]

TIME_LIMIT_S = 120.0
"""A file whose reading takes longer than this is given up."""

PartLike: TypeAlias = Any
"""A path to a STEP file, a CadQuery `Workplane` or `Shape`, or a bare kernel shape."""
ShopLike: TypeAlias = Shop | str | os.PathLike[str] | None
"""A shop, a path to a shop file, or None for the starter shop."""


class NoSolidNumber(TurnabilityError, TypeError):
    """What was given as the number of a solid is no whole number."""


def analyze(
    part: PartLike,
    shop: ShopLike = None,
    *,
    intent: IntentLike = None,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> Report:
    """Say what the shop's lathes, grips and tools can and cannot do with one solid.

    `part`: path of a STEP file, CadQuery `Workplane`/`Shape`, or kernel shape (taken as mm).
    `intent`: what the design states beside the solid, as an `Intent` or the path of an intent
    file; None takes `<part>.intent.toml` beside the STEP file if there is one, False takes none.
    `solid`: 1-based place of the solid where the file holds several. `time_limit_s`: for reading.
    Raises PartUnreadable (KernelDied if the kernel's process died or hung), ShopUnusable,
    IntentUnusable, and TurnabilityError where several solids are there and none was chosen. A
    part that no lathe carries is a verdict, not an error.
    """
    chosen_shop = shop_of(shop)
    intent_for = intents_of(part, intent)
    parts = _parts(part, solid, time_limit_s)
    if len(parts) > 1:
        raise TurnabilityError(
            _name_of(part),
            f"there are {len(parts)} solids",
            "Choose one with `solid=1` and so on, or ask for all of them with `analyze_all`",
        )
    (only,) = parts
    if isinstance(only, PartUnreadable):
        raise only
    return walk(only, chosen_shop, intent=intent_for(only.source))


def analyze_all(
    part: PartLike,
    shop: ShopLike = None,
    *,
    intent: IntentLike = None,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> tuple[Report | PartUnreadable | IntentUnusable, ...]:
    """As `analyze`, for every solid there; a solid that cannot be used gives its error instead.

    So does one whose intent names places that it does not have. Where the file holds several
    solids, `<part>.2.intent.toml` beside it is the second one's, before `<part>.intent.toml`.
    A solid that the file places several times has a report for each place, analysed once.
    Raises PartUnreadable only where nothing of the file can be used.
    """
    chosen_shop = shop_of(shop)
    intent_for = intents_of(part, intent)
    parts = _parts(part, solid, time_limit_s)
    refuse_for_many(_name_of(part), len(parts), intent)
    made: dict[int, Report] = {}
    results: list[Report | PartUnreadable | IntentUnusable] = []
    for one in parts:
        if isinstance(one, PartUnreadable):
            results.append(one)
            continue
        result = _walked(one, chosen_shop, intent_for, made.get(one.source.repeats or 0))
        if isinstance(result, Report):
            made.setdefault(one.source.solid, result)
        results.append(result)
    return tuple(results)


def _walked(
    part: Part,
    shop: Shop,
    intent_for: Callable[[Source], Intent | None],
    same: Report | None = None,
) -> Report | IntentUnusable:
    """The report of a part; `same` is that of the solid that it repeats."""
    try:
        intent = intent_for(part.source)
        if same is not None and _one_text(same.intent, intent):
            return replace(same, part=replace(same.part, source=part.source))
        return walk(part, shop, intent=intent)
    except IntentUnusable as error:
        return error


def _one_text(one: Intent | None, other: Intent | None) -> bool:
    """Whether nothing is stated beside either solid, or the same file for both."""
    if one is None or other is None:
        return one is other
    return one.sha256 is not None and (one.what, one.sha256) == (other.what, other.sha256)


def shop_of(shop: ShopLike) -> Shop:
    """The shop itself, the one in the file, or the starter shop. Raises ShopUnusable."""
    from turnability.shop.load import load_shop, starter_shop

    if isinstance(shop, Shop):
        return shop
    return starter_shop() if shop is None else load_shop(shop)


def _parts(part: PartLike, solid: int | None, time_limit_s: float) -> tuple[Any, ...]:
    """The solids of a file (read in a child process) or of a shape (read here)."""
    if solid is not None and (isinstance(solid, bool) or not isinstance(solid, int)):
        raise NoSolidNumber(
            _name_of(part),
            f"solid={shortly(solid)} is no whole number",
            "Give the solid's number as an int, from 1, or None for all of them",
        )
    if isinstance(part, str | os.PathLike):
        from turnability.part.apart.child import read_parts

        return read_parts(Path(part), solid=solid, time_limit_s=time_limit_s)
    from turnability.part.parts import no_such_solid
    from turnability.part.reading.shape import solids_of
    from turnability.part.turned import part_of

    solids = solids_of(part)
    if solid is not None:
        if not 1 <= solid <= len(solids):
            raise no_such_solid(_name_of(part), "it", solid, len(solids))
        solids = solids[solid - 1 : solid]
    return tuple(part_of(one.shape, one.source, one.step_ids, one.remarks) for one in solids)


def _name_of(part: PartLike) -> str:
    return os.fspath(part) if isinstance(part, str | os.PathLike) else "this shape"
