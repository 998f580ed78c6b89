"""Analyses in the child that end in every way: by the name of the part's file."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

from turnability.analysis.apart import walked as really
from turnability.report import Report
from turnability.rules.judge import all_rules

REACH = "turnability.reach.compute.reach_of"
RULE = "long-slender"


def hang() -> None:
    time.sleep(600.0)


def hoard() -> None:
    bytearray(6 << 30)


def fail() -> None:
    raise ZeroDivisionError("drawn to fail")


def _signal(number: int) -> Callable[[], None]:
    return lambda: os.kill(os.getpid(), number)


def _stage(end: Callable[[], None], home: str = REACH) -> Any:
    return patch(home, lambda *_, **__: end())


def _rule(end: Callable[[], None]) -> Any:
    rules = tuple(
        replace(rule, check=lambda view: end()) if rule.name == RULE else rule
        for rule in all_rules()
    )
    return patch("turnability.rules.judge.all_rules", lambda: rules)


ENDS = {
    "hang": lambda: _stage(hang),
    "hungry": lambda: _stage(hoard),
    "hungry_rule": lambda: _rule(hoard),
    "segfault": lambda: _stage(_signal(signal.SIGSEGV)),
    "killed": lambda: _stage(_signal(signal.SIGKILL)),
    "quits": lambda: _stage(lambda: os._exit(7)),
    "fails": lambda: _stage(fail, "turnability.shop.material.with_material"),
    "stage_fails": lambda: _stage(fail),
    "rule_fails": lambda: _rule(fail),
}


def walked(part: Any, shop: bytes, intent: Any) -> Report:
    path = Path(part.source.path)
    with path.with_suffix(".tried").open("a") as tried:
        tried.write("x")
    if path.stem not in ENDS:
        return really(part, shop, intent)
    with ENDS[path.stem]():
        return really(part, shop, intent)
