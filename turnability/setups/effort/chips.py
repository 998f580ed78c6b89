"""How much of the stock becomes chips: what the part leaves of it, less what no tool gets at."""

from __future__ import annotations

import math
from collections.abc import Sequence

from turnability.part.model import Profile
from turnability.reach.model import Reach
from turnability.setups.model import Setup
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Shop
from turnability.stock.model import Stock
from turnability.stock.piece import body_of, turned_length_mm

_CHORD_MM = 0.01
_INSIDE = ("drill", "bore", "ream")


def removed_mm3(
    profile: Profile,
    setups: Sequence[Setup],
    stock: Stock | None,
    shop: Shop,
    reach: Reach | None,
) -> float:
    """What the setups turn to chips of the stock; 0 without a list."""
    stays = _stays_mm3(profile, setups, stock, reach)
    return max(0.0, _asked_mm3(profile, stock, shop) - stays)


def _stays_mm3(
    profile: Profile, setups: Sequence[Setup], stock: Stock | None, reach: Reach | None
) -> float:
    """What no tool gets at; all of the inside where the plan cuts nothing there."""
    left = sum(one.volume_mm3 for one in reach.left) if reach is not None else 0.0
    inner = {s.id: s.curve for s in profile.segments if s.surface == "inner"}
    done = [o for setup in setups for o in setup.operations]
    piece = stock.choice if stock is not None else None
    hollow = piece is not None and piece.inner_diameter_mm is not None
    if hollow or any(o.kind in _INSIDE or not inner.keys().isdisjoint(o.segments) for o in done):
        return left
    inside = 0.0
    for curve in inner.values():
        (z0, r0), (z1, r1) = (line := curve.flatten(_CHORD_MM))[:-1].T, line[1:].T
        inside += float(((z1 - z0) * (r0 * r0 + r0 * r1 + r1 * r1)).sum()) * math.pi / 3.0
    return max(left, abs(inside))


def _asked_mm3(profile: Profile, stock: Stock | None, shop: Shop) -> float:
    """What of the stock, listed or to be bought, the part as drawn leaves to be cut."""
    solid = profile.solid_volume_mm3 or profile.volume_mm3
    if stock is not None and stock.wanted_mm is not None:
        policy = shop.stock_policy or COMMON_POLICY
        length = turned_length_mm(body_of(profile), policy)
        return math.pi / 4.0 * stock.wanted_mm**2 * length - profile.volume_mm3
    share = stock.removed_fraction if stock is not None else None
    if share is None or share >= 1.0:
        return 0.0
    turned = 1.0
    piece = stock.choice if stock is not None else None
    if piece is not None:  # what the chuck holds of the piece stays whole
        turned = piece.turned_mm / piece.length_mm
    return max(0.0, turned * solid / (1.0 - share) - profile.volume_mm3)
