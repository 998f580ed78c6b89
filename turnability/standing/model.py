"""What an earlier report and a project file add to a report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from turnability.half_plane.curves import Point
from turnability.rules.model import Finding, Weight

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Corners:
    """The corners (z, r) of an earlier part's profile and its length, in mm: how it lay."""

    length_mm: float
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class OldReport:
    """What is read of an earlier report's JSON; `path` as it was named, `part` its STEP file's."""

    path: str
    sha256: str
    turnability_version: str
    source_sha256: str | None
    shop_sha256: str
    solid: int
    solids: int
    corners: Corners | None
    findings: tuple[Finding, ...]
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Baseline:
    """An earlier report beside a new one: which of its findings are gone.

    `not_judged` are earlier findings of rules that this time could not judge: nobody knows
    whether they are gone. `same_shop`: whether both were made with the same shop file.
    """

    path: str
    sha256: str
    turnability_version: str
    source_sha256: str | None
    same_shop: bool
    fixed: tuple[Finding, ...] = ()
    not_judged: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Accepted:
    """One finding that a project lets stay: `part` is the STEP file's name or path.

    Lengths in mm in the report's frame; None where the entry names none.
    """

    part: str
    solid: int | None
    rule: str
    z_mm: Range | None
    diameter_mm: Range | None
    reason: str
    by: str
    until: date
    line: int


@dataclass(frozen=True, slots=True)
class FolderRule:
    """What a project says of the parts below one folder (`/` between names, "." for all).

    The deepest folder that says something of it decides; None where it says nothing.
    """

    path: str
    owner: str | None = None
    intent: str | None = None


@dataclass(frozen=True, slots=True)
class Repository:
    """What a project says of the whole repository: paths from the project file's folder."""

    shop: str | None = None
    intent: str | None = None
    ignored: tuple[str, ...] = ()
    folders: tuple[FolderRule, ...] = ()


@dataclass(frozen=True, slots=True)
class Project:
    """A project file as read: `path` as found, `folder` that part names are taken from."""

    path: str
    folder: str
    sha256: str
    levels: Mapping[str, Weight] = field(default_factory=dict)
    accepted: tuple[Accepted, ...] = ()
    repository: Repository = Repository()


@dataclass(frozen=True, slots=True)
class Decided:
    """A project's decisions on one report; `unused` name its part but match no finding."""

    path: str
    sha256: str
    levels: Mapping[str, Weight]
    unused: tuple[Accepted, ...] = ()
