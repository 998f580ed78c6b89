"""The report of one solid: all stages' results, the verdict, and the contract's document."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from turnability.features.model import Feature
from turnability.part.model import Part
from turnability.reach.model import Reach
from turnability.rules.model import Assumption, Finding, RuleStatus
from turnability.setups.model import Setup
from turnability.stock.model import Stock

REPORT_VERSION = 1

Verdict: TypeAlias = Literal[
    "turnable", "needs-changes", "not-turnable", "not-axisymmetric", "undetermined"
]


@dataclass(frozen=True, slots=True)
class Report:
    """Everything said about one solid. `document()` is the JSON of the report contract."""

    turnability_version: str
    part: Part
    shop_name: str
    shop_sha256: str
    options: Mapping[str, Any]
    verdict: Verdict
    features: tuple[Feature, ...]
    reach: Reach | None
    setups: tuple[Setup, ...]
    stock: Stock | None
    findings: tuple[Finding, ...]
    rules: tuple[RuleStatus, ...]
    assumptions: tuple[Assumption, ...]
    timings_s: Mapping[str, float] = field(default_factory=dict)
