"""One part planned anew with some of the shop's tools alone: whether its sheet is no worse."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from turnability.batch.content import content_of
from turnability.batch.model import Lost
from turnability.batch.sheet import Sheet
from turnability.batch.worker import Worker
from turnability.intent.model import Intent
from turnability.part.model import Part


@dataclass(frozen=True, slots=True)
class Enough:
    """A part as read with its settled intent, the sheet it has, and the tools that are to do.

    `what` is what people call the part.
    """

    what: str
    part: Part
    intent: Intent | None
    had: Sheet
    tools: frozenset[str]
    shop: str | None
    shop_sha256: str

    @property
    def files(self) -> tuple[str, ...]:
        """The shop's file."""
        return () if self.shop is None else (self.shop,)

    def is_here(self) -> bool:
        """Whether this machine has this very shop under its name."""
        return self.shop is None or content_of(Path(self.shop)) == self.shop_sha256

    def with_files(self, at: Mapping[str, str]) -> Enough:
        """The same, the shop's file elsewhere."""
        return self if self.shop is None else replace(self, shop=at[self.shop])


def do(worker: Worker, job: Enough) -> frozenset[str] | None:
    """The tools that its sheet then needs.

    None where that is worse than the sheet it has; no tool where it could not be found out.
    """
    arguments = (job.part, job.intent, job.had, job.tools, job.shop, job.shop_sha256)
    return worker.call("turnability.batch.judge:planned_with", arguments, job.what, frozenset())


def lost(job: Enough, why: Lost) -> frozenset[str] | None:
    """What stands for the answer where none came."""
    return frozenset()
