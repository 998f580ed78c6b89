"""One part analysed anew with some of the shop's tools alone: what becomes uncut."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from turnability.batch.content import content_of
from turnability.batch.model import Lost
from turnability.batch.worker import Worker
from turnability.part.model import Profile


@dataclass(frozen=True, slots=True)
class Enough:
    """A profile, and the names of the tools that are to do. `what` is what people call the part."""

    what: str
    profile: Profile
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


def outline_of(profile: Profile) -> str:
    """A name for all that reach sees of a profile."""
    return hashlib.sha256(repr(profile.loops).encode()).hexdigest()[:32]


def do(worker: Worker, job: Enough) -> frozenset[str] | None:
    """The tools that would remove what becomes uncut.

    None where nothing becomes so; no tool where it could not be found out.
    """
    arguments = (job.profile, job.tools, job.shop, job.shop_sha256)
    return worker.call("turnability.batch.judge:helpers", arguments, job.what, frozenset())


def lost(job: Enough, why: Lost) -> frozenset[str] | None:
    """What stands for the answer where none came."""
    return frozenset()
