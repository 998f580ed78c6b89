"""What one run of `turnability check` was asked for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Wishes:
    """The options as they were typed; see `turnability.cli.check`.

    `json` is `-` for stdout. `inch`: None for the shop's own unit.
    """

    shop: Path | None
    intent: Path | None
    out: Path | None
    formats: tuple[str, ...]
    json: Path | None
    fail_on: str
    baseline: Path | None
    project: Path | None
    no_project: bool
    solid: int | None
    inch: bool | None
    quiet: bool
    time_limit_s: float

    @property
    def prints_json(self) -> bool:
        """Whether stdout is for programs."""
        return self.json == Path("-")

    @property
    def speaks(self) -> bool:
        """Whether stdout is for people."""
        return not self.quiet and not self.prints_json
