"""The walk up the stairs: from a STEP file or a shape to its report.

A file is read in one child process and analysed in another; either may die. From the profile
upwards nothing needs the CAD kernel. Shapes are read and analysed here, without a limit.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeAlias

from turnability.analysis.again import same_part
from turnability.analysis.apart import place_of, start, walk_apart
from turnability.analysis.intents import IntentLike, intents_of, refuse_for_many, shortly
from turnability.analysis.stages import walk
from turnability.errors import AnalysisDied, IntentUnusable, PartUnreadable, TurnabilityError
from turnability.intent.model import Intent
from turnability.part.model import Part
from turnability.report import Report
from turnability.shop.model import Shop

__all__ = ["TIME_LIMIT_S", "analyze", "analyze_all", "shop_of", "walk"]

TIME_LIMIT_S = 120.0
"""A file is given up where reading a solid of it takes longer, or analysing one that was read."""

PartLike: TypeAlias = Any
"""A path to a STEP file, a CadQuery `Workplane` or `Shape`, or a bare kernel shape."""
_Walk: TypeAlias = Callable[[Part, Intent | None], Report]
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
    `solid`: 1-based place of the solid where the file holds several. `time_limit_s`: for reading a
    file, and as much again for analysing what was read; shapes have no limit.
    Raises PartUnreadable (KernelDied if the kernel's process died or hung on a file, AnalysisDied
    if that of the stages after it did), ShopUnusable, IntentUnusable, and TurnabilityError where
    several solids are there and none was chosen. A part that no lathe carries is a verdict, not an
    error.
    """
    chosen_shop = shop_of(shop)
    intent_for = intents_of(part, intent)
    walked = _walk_of(part, chosen_shop, time_limit_s)
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
    return walked(only, intent_for(only.source))


def analyze_all(
    part: PartLike,
    shop: ShopLike = None,
    *,
    intent: IntentLike = None,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> tuple[Report | PartUnreadable | IntentUnusable, ...]:
    """As `analyze`, for every solid there; a solid that cannot be used gives its error instead.

    So does one whose intent names places that it does not have, and one that the process of its
    analysis died on. Where the file holds several solids, `<part>.2.intent.toml` beside it is the
    second one's, before `<part>.intent.toml`.
    A solid that the file places several times, or writes several times, has a report for each
    place, analysed once.
    Raises PartUnreadable only where nothing of the file can be used.
    """
    chosen_shop = shop_of(shop)
    intent_for = intents_of(part, intent)
    walked = _walk_of(part, chosen_shop, time_limit_s)
    parts = _parts(part, solid, time_limit_s)
    refuse_for_many(_name_of(part), len(parts), intent)
    made: list[tuple[Part, Intent | None, Report | AnalysisDied]] = []
    results: list[Report | PartUnreadable | IntentUnusable] = []
    for one in parts:
        if isinstance(one, PartUnreadable):
            results.append(one)
            continue
        try:
            stated = intent_for(one.source)
            result = _walked(one, stated, walked, made)
        except IntentUnusable as error:
            results.append(error)
            continue
        made.append((one, stated, result))
        results.append(result)
    return tuple(results)


def _walk_of(part: PartLike, shop: Shop, time_limit_s: float) -> _Walk:
    """What analyses the parts of a file (in a child process) or of a shape (here)."""
    if not isinstance(part, str | os.PathLike):
        return lambda one, intent: walk(one, shop, intent=intent)
    start()  # it gets ready while the file is read
    return lambda one, intent: walk_apart(one, shop, intent, time_limit_s)


def _walked(
    part: Part,
    intent: Intent | None,
    walked: _Walk,
    made: Sequence[tuple[Part, Intent | None, Report | AnalysisDied]],
) -> Report | AnalysisDied:
    """What comes of a part; `made` is what came of others before it, and under which intents."""
    for other, stated, result in made:
        if not _one_text(stated, intent):
            continue
        repeated = part.source.repeats == other.source.solid
        if isinstance(result, AnalysisDied):
            if repeated:
                return AnalysisDied(place_of(part.source), result.cause, result.remedy)
        elif repeated or same_part(part, other):
            return replace(result, part=part)
    try:
        return walked(part, intent)
    except AnalysisDied as error:
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
