"""Exact least-weight set cover."""

from __future__ import annotations

from collections.abc import Mapping

_STEPS = 20_000
"""Branchings after which the integer programme takes over."""


def least_cover(offers: Mapping[str, frozenset[str]], weights: Mapping[str, float]) -> set[str]:
    """Names whose offers together hold everything offered, of the least total weight.

    Each name weighs 1e-3 more than stated, so that equal weights prefer fewer names. Small cases
    are branched out at once; larger ones go to an integer programme, whose import is slow.
    """
    cost = {name: max(weights[name], 0.0) + 1e-3 for name in offers if offers[name]}
    # first what no other offers, and only one of those that offer the same
    useful = [
        name
        for name in cost
        if not any(_better(other, name, offers, cost) for other in cost if other != name)
    ]
    wanted: frozenset[str] = frozenset().union(*(offers[name] for name in useful))
    if not wanted:
        return set()
    search = _Search({name: offers[name] for name in useful}, cost)
    search.branch(wanted, frozenset(), 0.0)
    if search.steps >= _STEPS:
        return _by_programme(sorted(wanted), sorted(useful), offers, cost)
    return set(search.best)


def _better(
    one: str, other: str, offers: Mapping[str, frozenset[str]], cost: Mapping[str, float]
) -> bool:
    """Does one offer all that the other does, for no more (for as much: by name)?"""
    if not offers[other] <= offers[one] or cost[one] > cost[other]:
        return False
    return offers[other] != offers[one] or cost[one] < cost[other] or one < other


class _Search:
    def __init__(self, offers: Mapping[str, frozenset[str]], cost: Mapping[str, float]) -> None:
        self.offers, self.cost = offers, cost
        self.best: frozenset[str] = frozenset(offers)
        self.least = sum(cost[name] for name in offers)
        self.steps = 0

    def branch(self, wanted: frozenset[str], chosen: frozenset[str], spent: float) -> None:
        """Take the segment that fewest offer, and each of those in turn, the best value first."""
        self.steps += 1
        if self.steps >= _STEPS or spent >= self.least:
            return
        if not wanted:
            self.best, self.least = chosen, spent
            return
        # nothing covers a segment for less than its share of the cheapest offer
        share = {
            s: min(
                self.cost[name] / len(offer & wanted)
                for name, offer in self.offers.items()
                if s in offer
            )
            for s in wanted
        }
        if spent + sum(share.values()) >= self.least + 1e-12:
            return
        rare = min(sorted(wanted), key=lambda s: sum(s in offer for offer in self.offers.values()))
        takers = [name for name, offer in self.offers.items() if rare in offer]
        takers.sort(key=lambda name: (self.cost[name] / len(self.offers[name] & wanted), name))
        for name in takers:
            self.branch(wanted - self.offers[name], chosen | {name}, spent + self.cost[name])


def _by_programme(
    wanted: list[str],
    names: list[str],
    offers: Mapping[str, frozenset[str]],
    cost: Mapping[str, float],
) -> set[str]:
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    matrix = np.array([[float(s in offers[name]) for name in names] for s in wanted])
    found = milp(
        c=np.array([cost[name] for name in names]),
        constraints=LinearConstraint(matrix, lb=1.0),
        integrality=np.ones(len(names), dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        options={"mip_rel_gap": 0.0},  # else one that weighs a ten-thousandth more is good enough
    )
    if found.x is None:
        return set(names)
    return {name for name, x in zip(names, found.x, strict=True) if x > 0.5}
