"""One way to carry the free end of a chucking, and operations as they are told for it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from turnability.part.model import Profile
from turnability.setups.model import ROUGH, Operation, Support


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
