"""How deep passes may be: no deeper than what stands there, and light where little is gripped."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from turnability.cited import Cited
from turnability.part.model import Segment
from turnability.setups.cutting.forces import Cut
from turnability.setups.holding.grips import is_short
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.model import Grip, Setup
from turnability.shop.model import Holding

_PRACTICE = "common practice"
SLUG = Cited(
    0.5, "-", _PRACTICE, "grip of raw stock over its diameter below which cuts are light", False
)
SLUG_DEPTH = Cited(1.0, "mm", _PRACTICE, "depth a side on such raw stock, from memory", False)
LIGHT_DEPTH = Cited(0.5, "mm", _PRACTICE, "depth a side on a short grip, glue, from memory", False)
LIGHT_FEED = Cited(0.1, "mm", _PRACTICE, "feed a turn on a short grip or glue, from memory", False)
LIGHT_SPEED = Cited(
    0.5, "-", _PRACTICE, "share of the usual speed on a short grip or glue, from memory", False
)
LEAST_MM = 0.1
"""Less is no pass of its own (our choice)."""


def stands_mm(
    own: Sequence[Segment], kind: str, size_mm: float, hole_mm: float, allowance_mm: float
) -> float:
    """The most that stands over these surfaces, a side, or behind a face; infinite if not known."""
    if kind == "face":
        return allowance_mm
    if not own:
        return math.inf
    radii = [p[1] for s in own for p in (s.curve.start, s.curve.end)]
    if kind == "bore":
        return max(radii) - hole_mm / 2.0
    outside = [p[1] for s in own if s.surface == "outer" for p in (s.curve.start, s.curve.end)]
    over = size_mm / 2.0 - min(outside or radii)
    return over if over > LEAST_MM else math.inf


def passes(rough: Cut, finish: Cut, stands: float) -> tuple[Cut | None, Cut]:
    """Both passes as deep as what stands lets them: the finish first, the rest to the roughing.

    No roughing where next to nothing would be left to it.
    """
    last = replace(finish, depth_mm=max(LEAST_MM, min(finish.depth_mm, stands)))
    rest = stands - last.depth_mm
    if rest < LEAST_MM:
        return None, last
    return replace(rough, depth_mm=min(rough.depth_mm, rest)), last


def lightened(rough: Cut, setup: Setup, holding: Holding | None) -> Cut:
    """A roughing cut no heavier than the grip lets it be."""
    grip = setup.grip
    if grip.kind in (RAW_BAR, RAW_PIECE):
        slug = is_slug(grip)
        return replace(rough, depth_mm=min(rough.depth_mm, SLUG_DEPTH.value)) if slug else rough
    if not holds_lightly(setup, holding):
        return rough
    return replace(
        rough,
        depth_mm=min(rough.depth_mm, LIGHT_DEPTH.value),
        feed_mm=min(rough.feed_mm, LIGHT_FEED.value),
    )


def is_slug(grip: Grip) -> bool:
    """Whether raw stock is held over less than half its diameter."""
    raw = grip.kind in (RAW_BAR, RAW_PIECE)
    return raw and grip.length_mm < SLUG.value * grip.diameter_mm


def grip_share(setup: Setup, holding: Holding | None) -> float:
    """Share of the usual speed that the grip lets be: it may go, raw or turned, where short."""
    return LIGHT_SPEED.value if is_slug(setup.grip) or holds_lightly(setup, holding) else 1.0


def holds_lightly(setup: Setup, holding: Holding | None) -> bool:
    """Whether what was turned before is held by glue, or by less than its holding asks for."""
    grip = setup.grip
    if holding is None or grip.kind in (RAW_BAR, RAW_PIECE):
        return False
    return holding.kind == "glued-arbor" or (grip.length_mm > 0.0 and is_short(grip, holding))
