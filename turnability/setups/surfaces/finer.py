"""Bores that are stated finer than a drill leaves them: within which limits, how smooth."""

from __future__ import annotations

from dataclasses import dataclass, replace

from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.model import Intent, Span
from turnability.part.model import Segment, Stated
from turnability.setups.surfaces.limits import diameter_limit, stated_ra_um
from turnability.shop.told_apart import DRILLED_GRADE, DRILLED_RA_UM

_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class FineBore:
    """What is stated of a bore that is finer than a drill leaves it.

    `width_mm` is what its diameter may vary by, `ra_um` its roughness; None where a drill holds
    that. `everywhere_*`: it is stated of the whole part, not of this bore. `fit` and `limits_mm`
    are its own, where they are known.
    """

    segment: str
    diameter_mm: float
    width_mm: float | None
    ra_um: float | None
    everywhere_width: bool
    everywhere_ra: bool
    fit: str | None = None
    limits_mm: Span | None = None

    @property
    def by_itself(self) -> bool:
        """Whether something fine is stated of this very bore."""
        size = self.width_mm is not None and not self.everywhere_width
        return size or (self.ra_um is not None and not self.everywhere_ra)


def is_bore(segment: Segment) -> bool:
    """Whether it is a straight wall inside."""
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return segment.surface == "inner" and abs(r0 - r1) <= _SAME_MM and r0 > _SAME_MM


def fine_bore(segment: Segment, stated: Stated, meant: Intent | None) -> FineBore | None:
    """What is stated finer than IT12 or Ra 6.3 µm of a straight bore; None of any other."""
    if not is_bore(segment):
        return None
    name, diameter = segment.id, 2.0 * segment.curve.start[1]
    width, all_widths = _finer_size(name, diameter, stated, meant)
    ra_um, all_ra = _finer_surface(name, meant)
    if width is None and ra_um is None:
        return None
    fit, limits = _limits(name, meant)
    return FineBore(name, diameter, width, ra_um, all_widths, all_ra, fit, limits)


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


def _limits(name: str, meant: Intent | None) -> tuple[str | None, Span | None]:
    """Its class of fit and its limits in mm, where its own tolerance has them."""
    for tolerance in () if meant is None else meant.tolerances:
        if tolerance.of != "diameter" or name not in tolerance.place.segments:
            continue
        limits, nominal = tolerance.limits_mm, tolerance.nominal_mm
        if limits is None and tolerance.deviations_mm is not None and nominal is not None:
            low, high = tolerance.deviations_mm
            limits = (nominal + low, nominal + high)
        return tolerance.fit, limits
    return None, None
