"""Stock whose own outside is the part's: which sizes, whether it may stay, and how true it comes.

Only where the design says so is the outside left as the bar comes; what it states of that outside
must then be what some bar is delivered to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.half_plane.curves import Line
from turnability.intent.agree import together
from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.ground import ground_segments
from turnability.intent.model import Intent, Tolerance
from turnability.part.model import Departure, Part, Profile
from turnability.shop.model import StockPolicy, StockSize
from turnability.stock.allowance import is_hot_rolled
from turnability.stock.piece import body_of, bored_for
from turnability.units import number_text

SAME_SIZE_MM = 0.01
"""An outside this near a bar's size may stay as it was drawn (well inside h9)."""
USUAL_GRADE = Cited(
    10.0,
    "-",
    "EN 10278",
    "drawn and turned round bars come to h10 where no other class is agreed, from a mill's table",
    verified=False,
)
USUAL_GRADE_HEX = Cited(
    11.0,
    "-",
    "EN 10278",
    "drawn hexagons come to h11 where no other class is agreed, from a mill's table",
    verified=False,
)
FINEST_DRAWN, FINEST_GROUND = 9, 6
"""The finest classes of drawn and of ground round bars (EN 10278, from mills' tables)."""
_SIDES = 6
_CHORD_MM = 0.005


@dataclass(frozen=True, slots=True)
class Delivered:
    """What a bar's outside is delivered to: the class, its limits about the nominal (mm).

    `agreed`: it must be asked for, as bars come to a wider one by themselves.
    """

    fit: FitClass
    deviations_mm: tuple[float, float] | None
    agreed: bool

    @property
    def condition(self) -> str:
        """How such a bar is finished."""
        return "drawn" if self.fit.grade >= FINEST_DRAWN else "ground"


def own_segments(profile: Profile, departures: Sequence[Departure] = ()) -> frozenset[str]:
    """Straight outside surfaces at the largest diameter: those that a bar brings with it.

    Corners of a hexagon among the `departures` that are turned down to it are none.
    """
    if turns_corners(profile, departures):
        return frozenset()
    most = profile.max_diameter_mm / 2.0 - SAME_SIZE_MM / 2.0
    return frozenset(
        s.id
        for s in profile.outline.segments
        if s.surface == "outer"
        and isinstance(s.curve, Line)
        and min(s.curve.start[1], s.curve.end[1]) >= most
    )


def own_sizes(
    profile: Profile,
    departures: Sequence[Departure],
    sizes: Iterable[StockSize],
    policy: StockPolicy,
) -> tuple[StockSize, ...]:
    """Bars and tubes of the part's own largest diameter, hexagons of its own flats.

    A tube's bore must clean up in the part's. A rolled skin is no finished surface. Where the
    largest diameter is a ridge or a ball's there is nothing that could stay.
    """
    flats = hexagon_mm(profile, departures)
    straight, body = bool(own_segments(profile)), body_of(profile)
    return tuple(
        size
        for size in sizes
        if not is_hot_rolled(size)
        and bored_for(size, body, policy)
        and (
            (
                straight
                and size.form in ("bar", "tube")
                and abs(size.across_mm - profile.max_diameter_mm) <= SAME_SIZE_MM
            )
            or (
                size.form == "hex"
                and flats is not None
                and abs(size.across_mm - flats) <= SAME_SIZE_MM
            )
        )
    )


def hexagon_mm(profile: Profile, departures: Sequence[Departure]) -> float | None:
    """Across the flats of an outside hexagon that a bar brings with it; None where none is."""
    found = (_flats_mm(d) for d in departures if is_bars_hexagon(profile, d))
    return next(found, None)


def turns_corners(profile: Profile, departures: Sequence[Departure]) -> bool:
    """Whether the corners of that hexagon are turned down to the largest diameter."""
    flats = hexagon_mm(profile, departures)
    return flats is not None and flats > _sharp_mm(profile) + SAME_SIZE_MM


def is_bars_hexagon(profile: Profile, departure: Departure) -> bool:
    """Whether a departure is an outside hexagon whose corners are the largest diameter.

    Or are turned down to it, and all beside it cleans up on flats as they come.
    """
    flats, sharp = _flats_mm(departure), _sharp_mm(profile)
    six = departure.kind == "hex" or len(departure.faces) == _SIDES
    if six and abs(flats - sharp) <= SAME_SIZE_MM:
        return True
    named = departure.kind == "hex" and departure.parameters.get("surface", "outer") != "inner"
    if not named or not sharp < flats < profile.max_diameter_mm - SAME_SIZE_MM:
        return False
    comes = fit_limits(FitClass("h", int(USUAL_GRADE_HEX.value)), flats).deviations_mm
    least = flats + (comes[0] if comes is not None else 0.0)
    low, high = departure.z_mm
    beside = (
        2.0 * r
        for s in profile.outline.segments
        if s.surface == "outer"
        for z, r in s.curve.flatten(_CHORD_MM).tolist()
        if not low - SAME_SIZE_MM <= z <= high + SAME_SIZE_MM
    )
    return max(beside, default=0.0) < least


def _sharp_mm(profile: Profile) -> float:
    """Across the flats of a hexagon whose corners reach the largest diameter."""
    return profile.max_diameter_mm * math.cos(math.pi / 6.0)


def _flats_mm(departure: Departure) -> float:
    named, extent = (departure.parameters.get(key) for key in ("across_flats_mm", "r_mm"))
    if isinstance(named, int | float):
        return float(named)
    return 2.0 * extent[0] if isinstance(extent, tuple) and len(extent) == 2 else 0.0


def why_turned(part: Part, intent: Intent | None, inch: bool = False) -> str | None:
    """Why the outside must be turned although it is a bar's own, in words; None where it may stay.

    What must run true to it, and limits that no bar is delivered to.
    """
    if part.profile is None:
        return None
    own, stated = own_segments(part.profile, part.departures), together(intent, part)
    if own & ground_segments(intent):
        return "it is ground after turning, for which the bar has nothing left on it"
    for group in stated.related:
        if own & {s for place in group.places for s in place.segments}:
            return f'"{group.name}" must run true to it'
    for tolerance in _tolerances(own, stated):
        if _grade(tolerance, part.profile.max_diameter_mm) is None:
            size = number_text(part.profile.max_diameter_mm, inch)
            return f"⌀{size} {tolerance.stated} is nothing that a bar is delivered to"
    return None


def delivered(part: Part, intent: Intent | None, size: StockSize) -> Delivered:
    """The widest class to EN 10278 that keeps what is stated of the outside."""
    usual = int((USUAL_GRADE_HEX if size.form == "hex" else USUAL_GRADE).value)
    grade = usual
    if part.profile is not None:
        own, stated = own_segments(part.profile, part.departures), together(intent, part)
        asked = [_grade(t, size.across_mm) for t in _tolerances(own, stated)]
        grade = min([usual, *(g for g in asked if g is not None)])
    fit = FitClass("h", grade)
    return Delivered(fit, fit_limits(fit, size.across_mm).deviations_mm, grade < usual)


def _tolerances(own: frozenset[str], stated: Intent) -> list[Tolerance]:
    return [
        t for t in stated.tolerances if t.of == "diameter" and own.intersection(t.place.segments)
    ]


def _grade(tolerance: Tolerance, diameter_mm: float) -> int | None:
    """The widest grade of h, down to ground bar's, within the limits; None where none is."""
    limits = _deviations(tolerance)
    for grade in range(12, FINEST_GROUND - 1, -1):
        h = fit_limits(FitClass("h", grade), diameter_mm).deviations_mm
        if limits is not None and h is not None and limits[0] <= h[0] + 1e-6 and limits[1] >= h[1]:
            return grade
    return None


def _deviations(tolerance: Tolerance) -> tuple[float, float] | None:
    if tolerance.deviations_mm is not None:
        return tolerance.deviations_mm
    if tolerance.limits_mm is None or tolerance.nominal_mm is None:
        return None
    low, high = tolerance.limits_mm
    return (low - tolerance.nominal_mm, high - tolerance.nominal_mm)
