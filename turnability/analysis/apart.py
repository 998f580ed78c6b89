"""The stages above the part in a child process: what they may take is limited, death survived.

A child of its own beside the CAD kernel's: it loads the stages while that one loads the kernel, and
what a file does to either leaves the other and the parent alone.
"""

from __future__ import annotations

import pickle
from dataclasses import replace
from functools import lru_cache
from typing import cast

from turnability.analysis.stages import walk
from turnability.errors import AnalysisDied
from turnability.intent.model import Intent
from turnability.part.apart.child import Kernel, Work, lasting
from turnability.part.model import Part, Source
from turnability.report import Report
from turnability.shop.model import Shop

MEMORY_LIMIT_BYTES = 4 << 30
_WALKED = "turnability.analysis.apart:walked"
_SLOW_TO_IMPORT = (
    "turnability.analysis.apart",
    "turnability.features.recognise",
    "turnability.reach.compute",
    "turnability.setups.plan",
    "turnability.rules.judge",
)
ANALYSIS = Work(
    died=AnalysisDied,
    doer="the analysis",
    doing="the analysis",
    hung="Give it more time (--time-limit; time_limit_s= in a script), or simplify the part",
    burst="Simplify the part, or split the file",
    failed="Please report it, with the file if you may share it",
)
"""How errors speak of the stages above the part."""

_child = lasting(Kernel(MEMORY_LIMIT_BYTES, _SLOW_TO_IMPORT))
_sent: list[tuple[Shop, bytes]] = []


def start() -> None:
    """Let the child load the stages while the caller does other things."""
    _child.start(ANALYSIS)


def walk_apart(part: Part, shop: Shop, intent: Intent | None, time_limit_s: float) -> Report:
    """As `walk`, in the child.

    Raises what `walk` raises if that is a TurnabilityError, and AnalysisDied where it takes longer,
    wants more than MEMORY_LIMIT_BYTES, dies of a signal or fails.
    """
    (report,) = list(
        _child.items(
            _WALKED,
            part,
            _pickled(shop),
            intent,
            what=place_of(part.source),
            time_limit_s=time_limit_s,
            work=ANALYSIS,
        )
    )
    return replace(cast(Report, report), tools=shop.tools)


def place_of(source: Source) -> str:
    """The file, and the solid where it holds several, as errors name them."""
    what = source.path or source.product or "this shape"
    return what if source.solids == 1 else f"{what}, solid {source.solid} of {source.solids}"


def walked(part: Part, shop: bytes, intent: Intent | None) -> Report:
    """The report but for the shop's tools, which the parent has: runs in the child."""
    return replace(walk(part, _shop(shop), intent=intent), tools=())


def _pickled(shop: Shop) -> bytes:
    """The same text each time for the shop used last, so that the child knows it again."""
    for known, text in tuple(_sent):
        if known is shop:
            return text
    text = pickle.dumps(shop, pickle.HIGHEST_PROTOCOL)
    _sent[:] = [(shop, text)]
    return text


@lru_cache(maxsize=4)
def _shop(pickled: bytes) -> Shop:
    """One shop for all parts that come with it: what is remembered of its tools stays of use."""
    return cast(Shop, pickle.loads(pickled))
