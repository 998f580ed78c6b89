"""Bores that the plan leaves as a drill leaves them, though they are stated finer than that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.model import Intent
from turnability.part.model import Profile, Stated
from turnability.setups.bending.limits import diameter_limit
from turnability.setups.cutting.starting import stated_ra_um
from turnability.setups.drilling import DRILLED_GRADE, DRILLED_RA_UM, is_bore
from turnability.setups.model import Setup
from turnability.shop.model import Shop


@dataclass(frozen=True, slots=True)
class AsDrilled:
    """Bores of one diameter (mm) that one drill leaves, and what is stated finer than it leaves.

    `width_mm` is what the diameter may vary by, `ra_um` its roughness; None where the drill holds
    that. `deep_mm`: how far the far end lies from the end that the drill comes from.
    `everywhere_*`: it is stated of the whole part, not of this bore.
    """

    segments: tuple[str, ...]
    diameter_mm: float
    tool: str
    width_mm: float | None
    ra_um: float | None
    deep_mm: float
    everywhere_width: bool = False
    everywhere_ra: bool = False


def left_as_drilled(
    profile: Profile, stated: Stated, intent: Intent | None, setups: Sequence[Setup], shop: Shop
) -> tuple[AsDrilled, ...]:
    """Every bore stated finer than IT12 or Ra 6.3 µm that a drill, pointed or flat, cuts last."""
    drills = {tool.name for tool in shop.tools if tool.kind == "drill"}
    last = {s: (o, setup) for setup in setups for o in setup.operations for s in o.segments}
    found: dict[tuple[object, ...], AsDrilled] = {}
    for segment in profile.segments:
        if segment.id not in last or not is_bore(segment):
            continue
        operation, setup = last[segment.id]
        if operation.tool not in drills:
            continue
        diameter = 2.0 * segment.curve.start[1]
        width, all_widths = _finer_size(segment.id, diameter, stated, intent)
        ra_um, all_ra = _finer_surface(segment.id, intent)
        if width is None and ra_um is None:
            continue
        ends = [segment.curve.start[0], segment.curve.end[0]]
        deep = max(ends) if setup.toward_chuck == "high" else profile.length_mm - min(ends)
        key = (round(diameter, 3), operation.tool, width, ra_um, all_widths, all_ra)
        before = found.get(key)
        names = (segment.id,) if before is None else (*before.segments, segment.id)
        deep = deep if before is None else max(before.deep_mm, deep)
        found[key] = AsDrilled(
            names, diameter, operation.tool, width, ra_um, deep, all_widths, all_ra
        )
    return tuple(found.values())


def _finer_size(
    name: str, diameter_mm: float, stated: Stated, intent: Intent | None
) -> tuple[float | None, bool]:
    """What the diameter may vary by where that is finer than IT12, and if that holds everywhere."""
    limit, is_stated = diameter_limit([name], diameter_mm, intent, stated)
    drilled = fit_limits(FitClass("h", DRILLED_GRADE), diameter_mm).width_mm
    if limit is None or not is_stated or drilled is None or limit.value >= drilled.value - 1e-9:
        return None, False
    own = None if intent is None else replace(intent, general_tolerance=None)
    return limit.value, not diameter_limit([name], diameter_mm, own, stated)[1]


def _finer_surface(name: str, intent: Intent | None) -> tuple[float | None, bool]:
    """Its Ra where that is finer than a drill leaves, and whether it is the whole part's."""
    ra_um = stated_ra_um([name], intent)
    if intent is None or ra_um is None or ra_um >= DRILLED_RA_UM:
        return None, False
    return ra_um, stated_ra_um([name], replace(intent, ra_um=None)) is None
