"""The tools that a plan needs, those beside its operations too: threads, eccentrics, centres."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.setups.model import SetOver, Setup
from turnability.setups.operations.threading import threads_of, tool_for
from turnability.shop.model import Shop
from turnability.shop.told_apart import is_twist

_CENTRE_DRILL = "centre-drill"
_CENTRED = ("tailstock", "between-centres")


def tools_used(
    setups: Sequence[Setup],
    set_over: Sequence[SetOver],
    features: Sequence[Feature],
    profile: Profile,
    shop: Shop,
) -> frozenset[str]:
    """Names of the tools without which the plan is not carried out as it stands.

    Where a centre carries the work or a twist drill begins in the full, a centre drill goes before:
    the lightest of the shop, if the plan names none itself.
    """
    used = {o.tool for one in setups for o in one.operations}
    used |= {tool for one in set_over for cut in one.cuts for tool in cut.tools}
    for one in setups:
        for thread in threads_of(features, setups, one, profile):
            tool = None if thread.only_drawn else tool_for(thread, shop)
            if tool is not None:
                used.add(tool.name)
    centring = [tool for tool in shop.tools if tool.kind == _CENTRE_DRILL]
    twist = {tool.name for tool in shop.tools if is_twist(tool)}
    centred = any(o.support in _CENTRED for one in setups for o in one.operations)
    if centring and (centred or used & twist) and not used & {tool.name for tool in centring}:
        used.add(min(centring, key=lambda tool: (tool.weight, tool.name)).name)
    return frozenset(used)
