"""The types of the room `batch`: plain, picklable, free of the kernel."""

from __future__ import annotations

from dataclasses import dataclass

from turnability.batch.sheet import Sheet
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile, Source
from turnability.report import Verdict
from turnability.rules.model import Finding, RuleStatus
from turnability.stock.model import StockPiece


@dataclass(frozen=True, slots=True)
class Key:
    """What a result rests on: hashes of the file, the intents and the shop, and the program."""

    content: str
    intent: str
    shop: str
    program: str


@dataclass(frozen=True, slots=True)
class Saving:
    """What one proposed change spares by itself, in minutes a piece; less than 0 where it costs.

    `removes_error`: whether it also removes an error, as proven by the report.
    """

    finding: str
    change: str
    minutes: float
    removes_error: bool


@dataclass(frozen=True, slots=True)
class Want:
    """A tool that the shop has not, and that a finding asks for: in words, and by its number where
    one says it."""

    what: str
    parameter: str | None = None
    unit: str | None = None
    value: float | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """What is kept of one solid's report. `document` and `drawing` are its JSON and SVG text.

    `failed` is why there is none: the solid could not be read, its intent does not fit, or the
    process died of it twice. `minutes` is the estimate a piece, None where there is none.
    """

    solid: int
    solids: int
    name: str
    verdict: Verdict | None = None
    findings: tuple[Finding, ...] = ()
    statuses: tuple[RuleStatus, ...] = ()
    source: Source | None = None
    profile: Profile | None = None
    shop_sha256: str = ""
    material: str | None = None
    stock: StockPiece | None = None
    pieces: int = 1
    """How many are made, as the intent states it."""
    intent: Intent | None = None
    sheet: Sheet | None = None
    """What its plan comes to; None where there is none."""
    wants: tuple[Want, ...] = ()
    one_chucking: bool = False
    minutes: float | None = None
    savings: tuple[Saving, ...] = ()
    crashed: bool = False
    failed: str | None = None
    document: str = ""
    drawing: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """All that came of one file under one key. `attempts` is 2 where a process died at first.

    `parts` is the geometry, for another shop; None where the file could not be read.
    """

    judged: tuple[Judged, ...]
    parts: tuple[Part, ...] | None
    seconds: float
    attempts: int = 1
    fleeting: bool = False
    """Whether it tells of the moment and not of the file, so that it is not remembered."""

    @property
    def unusable(self) -> bool:
        """Whether something of the file could not be used, or a rule crashed."""
        return any(one.failed is not None or one.crashed for one in self.judged)


@dataclass(frozen=True, slots=True)
class Lost:
    """Why a job came to nothing; `lasting` where it tells of the job and not of the moment."""

    cause: str
    lasting: bool
