"""How what is ground after turning is held for it, which centre holes turning leaves for that."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.intent.model import Ground, Intent
from turnability.part.model import Profile
from turnability.reach.model import ENDS, Toward
from turnability.setups.holding.centres import no_centre
from turnability.setups.model import Operation, Setup
from turnability.setups.surfaces.edges import at_end
from turnability.shop.model import Tool
from turnability.shop.told_apart import diameter_of

_AXIS_MM = 1e-3
LEAST_LENGTH = 1.0
"""Work shorter than so many of its diameters is ground in a chuck (our choice)."""


def centred_ends(profile: Profile, intent: Intent | None) -> frozenset[Toward]:
    """Solid ends that must have a centre hole, so that an outside is ground between centres.

    None where none is ground so: no outside is, the work is short, or one end carries no centre.
    """
    if not _between_centres(profile, intent):
        return frozenset()
    return frozenset(end for end in ENDS if _is_solid(profile, end))


def drilled_mm(
    one: Ground, setups: Sequence[Setup], tools: Sequence[Tool]
) -> tuple[str, float] | None:
    """The drill that makes a bore before it is ground and its diameter; None where a bar does."""
    if one.surface != "inner":
        return None
    own = {t.name: diameter_of(t) for t in tools if t.kind == "drill"}
    done = [o.tool for s in setups for o in s.operations if {*o.segments} & {*one.place.segments}]
    if not done or not all(name in own for name in done):
        return None
    return max(((name, own[name]) for name in done), key=lambda drill: drill[1])


def uncentred(
    profile: Profile, intent: Intent | None, setups: Sequence[Setup]
) -> tuple[Toward, ...]:
    """Those of them that no chucking faces with the end free, so that nothing drills a centre."""
    return tuple(
        end
        for end in ENDS
        if end in centred_ends(profile, intent)
        and not any(centres(profile, setup, o) == end for setup in setups for o in setup.operations)
    )


def centres(profile: Profile, setup: Setup, operation: Operation) -> Toward | None:
    """The free end where this operation faces it, so that it can be centre-drilled there."""
    free = setup.free_end
    faced = operation.kind in ("face", "turn") and set(operation.segments) & set(
        at_end(profile, free)
    )
    return free if faced else None


def held_for_grinding(profile: Profile, intent: Intent, setups: Sequence[Setup]) -> str:
    """How a grinding machine holds it, in words."""
    sorts = {one.surface for one in intent.ground}
    ways: list[str] = []
    if any(one.surface == "inner" and one.by != "honing" for one in intent.ground):
        ways.append("The bore is ground with an outside set true by a dial")
    if any(one.surface == "inner" and one.by == "honing" for one in intent.ground):
        ways.append("The hone follows the bore as it is bored, and makes it no truer to the rest")
    if "outer" in sorts:
        ways.append(_outside(profile, intent, setups, after_bore="inner" in sorts))
    if "end" in sorts:
        ways.append("Faces are ground in the same setting as what they must run true to")
    return ". ".join(ways)


def _outside(profile: Profile, intent: Intent, setups: Sequence[Setup], *, after_bore: bool) -> str:
    through = profile.through_bore_mm is not None
    if through:
        first = ", which is finished first" if after_bore else ""
        return f"The outside is ground on a mandrel in the bore{first}"
    if _between_centres(profile, intent):
        missing = uncentred(profile, intent, setups)
        if not missing:
            return "The outside is ground between centres: the holes in both ends stay until then"
        ends = " and the ".join(missing)
        return (
            f"The outside is ground between centres, but no chucking faces the {ends} end free: "
            "face and centre-drill it in one more"
        )
    short = profile.length_mm < LEAST_LENGTH * profile.max_diameter_mm
    no = {end: found for end in ENDS if (found := no_centre(profile, end, intent)) is not None}
    if short:
        why = "it is shorter than its diameter"
    elif len(set(no.values())) < len(no):
        why = f"at either end {no['low']}"
    else:
        why = "; ".join(f"at the {end} end {found}" for end, found in no.items())
    return (
        f"The outside is not ground between centres ({why}): it is held in the grinding machine's "
        "chuck or collet on an outside turned in the same chucking, and set true by a dial"
    )


def _between_centres(profile: Profile, intent: Intent | None) -> bool:
    if intent is None or not any(one.surface == "outer" for one in intent.ground):
        return False
    if profile.length_mm < LEAST_LENGTH * profile.max_diameter_mm:
        return False
    return all(no_centre(profile, end, intent) is None for end in ENDS)


def _is_solid(profile: Profile, end: Toward) -> bool:
    z = 0.0 if end == "low" else profile.length_mm
    return any(
        r <= _AXIS_MM and abs(at - z) <= _AXIS_MM
        for s in profile.outline.segments
        if s.surface == "end"
        for at, r in (s.curve.start, s.curve.end)
    )
