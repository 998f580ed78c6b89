"""Which intent goes with which solid: the one that was given, or the file beside the STEP file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, Literal, TypeAlias

from turnability.errors import IntentUnusable, TurnabilityError
from turnability.intent.load import SUFFIX, intent_beside, load_intent
from turnability.intent.model import Intent
from turnability.part.model import Source

IntentLike: TypeAlias = Intent | str | os.PathLike[str] | Literal[False] | None
"""An intent, a path to an intent file, None for the file beside the STEP file if there is one,
False for none at all."""


class NoIntent(IntentUnusable, TypeError):
    """What was given as the intent is neither an intent nor a path."""


def shortly(value: Any) -> str:
    """How a value is written in Python, cut to what fits into a message."""
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."


def intents_of(part: Any, intent: IntentLike) -> Callable[[Source], Intent | None]:
    """What gives each solid's intent by its source.

    The file that was given, or lies beside for all solids, is read at once: a wrong one is told
    before the solid is read. Raises IntentUnusable.
    """
    if intent is False:
        return lambda source: None
    if intent is not None:
        if not isinstance(intent, Intent | str | os.PathLike):
            raise NoIntent(
                f"intent={shortly(intent)}",
                f"{type(intent).__name__} is no type of intent",
                "Give a turnability.Intent (as load_intent returns it), the path of an intent file "
                "as str or os.PathLike, None for the file beside the STEP file, or False for none",
            )
        given = intent if isinstance(intent, Intent) else load_intent(intent)
        return lambda source: given
    if not isinstance(part, str | os.PathLike):
        return lambda source: None
    step = Path(part)
    shared_file = intent_beside(step)
    shared = None if shared_file is None else load_intent(shared_file)

    def beside(source: Source) -> Intent | None:
        own = intent_beside(step, source.solid, source.solids)
        return shared if own is None or own == shared_file else load_intent(own)

    return beside


def refuse_for_many(what: str, solids: int, intent: IntentLike) -> None:
    """One intent that was given for several solids. Raises TurnabilityError."""
    if intent is None or intent is False or solids < 2:
        return
    stem = Path(what).stem
    raise TurnabilityError(
        what,
        f"there are {solids} solids, and one intent was given",
        f"Choose the solid it is for, or put {stem}.1{SUFFIX} and so on beside the file",
    )
