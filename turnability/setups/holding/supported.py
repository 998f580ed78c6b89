"""One way to carry the free end of a chucking, and operations as they are told for it."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from turnability.intent.model import Intent
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.model import ROUGH, Grip, Land, Operation, Support
from turnability.shop.model import Machine


@dataclass(frozen=True, slots=True)
class ToCarry:
    """One chucking whose free end may have to be carried, and what there is for that.

    `lathe` is the one that makes it, `lands` are those of the part, `done` the segments that setups
    before have finished; `through_mm` is what the spindle has to pass of raw stock, `related` the
    surfaces that must run true to one another.
    """

    profile: Profile
    toward: Toward
    grip: Grip
    operations: tuple[Operation, ...]
    lathe: Machine | None
    intent: Intent | None = None
    lands: Sequence[Land] = ()
    done: frozenset[str] = frozenset()
    through_mm: float = math.inf
    related: Sequence[Collection[str]] = ()


@dataclass(frozen=True, slots=True)
class Supported:
    """One way to carry the free end: the most that does, the operations in their order with it.

    `spare`: nobody takes the trouble but where the work bends too much.
    """

    support: Support
    operations: tuple[Operation, ...]
    steady_z_mm: tuple[float, float] | None = None
    spare: bool = False


def naming(profile: Profile, operations: Sequence[Operation], n: int) -> Operation:
    """One operation; if it roughs the whole, with the surfaces that are turned after it."""
    operation = operations[n]
    if operation.kind != ROUGH or operation.leaves:
        return operation
    turned = {s for o in operations[n + 1 :] if o.kind == "turn" for s in o.segments}
    return replace(operation, leaves=tuple(s.id for s in profile.segments if s.id in turned))


def only(operation: Operation, names: Collection[str]) -> Operation:
    """The operation on these of its surfaces alone."""
    return replace(
        operation,
        segments=tuple(s for s in operation.segments if s in names),
        leaves=tuple(s for s in operation.leaves if s in names),
    )
