"""What a rule sees and what it says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Literal, TypeAlias

from turnability.features.model import Feature
from turnability.intent.ground import as_turned
from turnability.intent.model import Intent
from turnability.part.model import Part
from turnability.reach.model import Reach
from turnability.setups.model import Land, Plan, Setup
from turnability.shop.model import Shop, Tool
from turnability.stock.model import Stock

Level: TypeAlias = Literal["error", "warning", "note"]
Weight: TypeAlias = Literal["error", "warning", "note", "off"]
"""As what a project lets a finding count."""
State: TypeAlias = Literal["new", "unchanged"]
BasisKind: TypeAlias = Literal["standard", "handbook", "common-practice", "geometry", "shop"]


@dataclass(frozen=True, slots=True)
class View:
    """All that the stairs below have found, read only. A stage that gave up is None.

    `intent` is settled on this part; None where none was given. Where it names a material, the
    shop is the shop as it works that material. `plan` tells what lies behind the `setups`, which
    alone know how far they bend.
    """

    part: Part
    shop: Shop
    features: tuple[Feature, ...] | None
    reach: Reach | None
    lands: tuple[Land, ...] | None
    setups: tuple[Setup, ...] | None
    stock: Stock | None
    intent: Intent | None = None
    plan: Plan | None = None

    def as_turned(self) -> View:
        """The same with what the lathe must hold in the place of what the design states.

        They differ where something is ground after turning.
        """
        part, intent = as_turned(self.part, self.intent)
        return self if intent is self.intent else replace(self, part=part, intent=intent)


@dataclass(frozen=True, slots=True)
class Where:
    """The place of a finding on the part."""

    segments: tuple[str, ...] = ()
    faces: tuple[int, ...] = ()
    features: tuple[str, ...] = ()
    z_mm: tuple[float, float] | None = None
    diameter_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """The smallest change of the design that removes the trouble. `proven` by re-analysis.

    `also`: a second number (parameter, from, to) that must change at the same time.
    """

    text: str
    parameter: str
    from_: float | None
    to: float | None
    proven: bool
    also: tuple[str, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Basis:
    """What a finding rests on."""

    text: str
    kind: BasisKind


@dataclass(frozen=True, slots=True)
class Acceptance:
    """Somebody's word that a finding may stay: why, in which role, until when (that day too).

    `turned`: its place was found counted from the part's other end.
    """

    reason: str
    by: str
    until: date
    expired: bool
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know about the part. `id` is given when the report is made.

    `otherwise` is the message where the change turns out not to help; None where it says nothing
    of the change. `instead` is the same finding with another change, to be tried where this one
    does not help. `listed` are tools that the change is to list in the shop: it is tried with them.
    `advice` ends a message without a change: what to do, in general. `other_changes` help as well
    (proven, none asking less than `change`). `state` compares with an earlier report, None where
    there was none to compare with. `counts_as`
    and `accepted` are a project's decisions (`turnability.standing`); `level` stays what the rule
    said.
    """

    rule: str
    level: Level
    message: str
    where: Where
    basis: Basis
    measured: float | None = None
    limit: float | None = None
    unit: str | None = None
    change: Change | None = None
    id: str = ""
    otherwise: str | None = None
    instead: Finding | None = None
    listed: tuple[Tool, ...] = ()
    state: State | None = None
    counts_as: Weight | None = None
    accepted: Acceptance | None = None
    advice: str = ""
    other_changes: tuple[Change, ...] = ()

    @property
    def weight(self) -> Weight:
        """As what it counts: the project's choice, else its level."""
        return self.counts_as or self.level

    @property
    def may_stay(self) -> bool:
        """Whether somebody accepted it and that still holds."""
        return self.accepted is not None and not self.accepted.expired

    def fails(self, weights: Sequence[Weight]) -> bool:
        """Whether it fails a build in which findings of these weights do."""
        return self.weight in weights and self.state != "unchanged" and not self.may_stay


@dataclass(frozen=True, slots=True)
class NotJudged:
    """A rule's word that it could not judge, and why."""

    reason: str


Judgement: TypeAlias = Sequence[Finding] | NotJudged
"""What a rule's function returns: its findings (none: passed) or that it could not judge."""


@dataclass(frozen=True, slots=True)
class RuleStatus:
    """How one rule fared in a run."""

    rule: str
    status: Literal["passed", "found", "not-judged", "crashed"]
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something neither the file nor the intent states, what was taken, and how to state it."""

    what: str
    assumed: str
    why: str
    how_to_state: str


@dataclass(frozen=True, slots=True)
class RuleOutcome:
    """Findings and fates of all rules of a run."""

    findings: tuple[Finding, ...]
    statuses: tuple[RuleStatus, ...]
    assumptions: tuple[Assumption, ...] = field(default_factory=tuple)
