"""Whether a chucking asks for the tailstock."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.model import Grip, Operation
from turnability.setups.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.shop.model import Shop

_HOLLOW = ("drill", "bore", "end groove")


def support_of(
    profile: Profile, toward: Toward, grip: Grip, operations: Sequence[Operation], shop: Shop
) -> Literal["none", "tailstock"]:
    """The tailstock where the work stands out more than 4 diameters (common practice).

    Only where a lathe of the shop has one and no work is done in or on the free end that a centre
    would stop. The centre is withdrawn before the work is parted off.
    """
    if slenderness(profile, toward, grip.z_mm) <= CHUCK_ONLY_LIMIT.value:
        return "none"
    if not any(machine.tailstock for machine in shop.machines):
        return "none"
    if any(operation.kind in _HOLLOW for operation in operations):
        return "none"
    return "tailstock"
