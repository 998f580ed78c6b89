"""What is asked of one chucking: the surfaces to cut in it, by which tools, in which work."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from turnability.half_plane.regions import Region
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.reach.removal import Removal
from turnability.setups.surfaces.fresh import Fresh, fresh_of
from turnability.setups.surfaces.shares import Shares
from turnability.setups.surfaces.wishes import Wishes
from turnability.shop.model import Tool


@dataclass(frozen=True, slots=True, eq=False)
class Chucking:
    """One chucking as those see it who share out its work.

    `wanted` are the segments to be cut, `chosen` the tools that reach prefers, `used` those of
    setups before; `parting` is the blade that parts the work off, if any, and `parted` the
    segments that stay as it leaves them. `before` is what setups before have removed (r >= 0),
    `later` what chuckings after this one get at, `begun` segments cut in part before, `opened` what
    drills have taken along the axis, `bar_mm` the diameter of a bar of which none is cut yet.
    `fresh` is the work before anything of it is cut.
    """

    profile: Profile
    shares: Shares
    toward: Toward
    wanted: Collection[str]
    chosen: Sequence[str]
    used: Collection[str] = ()
    wishes: Wishes = field(default_factory=Wishes)
    parting: Tool | None = None
    parted: tuple[str, ...] = ()
    before: Region | None = None
    later: Sequence[Removal] = ()
    begun: Collection[str] = ()
    opened: Region | None = None
    bar_mm: float = 0.0
    fresh: Fresh = field(init=False)

    def __post_init__(self) -> None:
        fresh = fresh_of(self.shares.removal.ground, self.before)
        object.__setattr__(self, "fresh", fresh)

    @property
    def standing(self) -> Region:
        """The stock before anything of it is cut (r >= 0)."""
        return self.fresh.standing.stock

    def without(self, gone: Region | None) -> Region:
        """The stock but for that."""
        stock = self.shares.removal.ground.stock
        return stock if gone is None else stock - gone
