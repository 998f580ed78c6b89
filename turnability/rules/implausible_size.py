"""So small or so large that a wrong unit is likelier than such a part."""

from __future__ import annotations

from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.units import MM_PER_INCH, length_text

NAME = "implausible-size"
LEVELS = ("error",)
SMALLEST_MM = 0.5
LARGEST_MM = 3000.0
WHY = "Files saved in the wrong unit are 25.4 or 1000 times too small or too large."
LIMIT = "between 0.5 mm and 3 m overall"
BASIS = "common practice: the range that ordinary lathes turn"


def check(view: View) -> Judgement:
    """An error where the larger of length and diameter is under 0.5 mm or over 3 m."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    overall = max(profile.length_mm, profile.max_diameter_mm)
    if SMALLEST_MM <= overall <= LARGEST_MM:
        return ()
    inch = view.shop.inch
    small = overall < SMALLEST_MM
    limit = SMALLEST_MM if small else LARGEST_MM
    factors = (MM_PER_INCH, 1000.0) if small else (1.0 / MM_PER_INCH, 1.0 / 1000.0)
    as_else = " or ".join(length_text(overall * factor, inch) for factor in factors)
    return (
        Finding(
            rule=NAME,
            level="error",
            message=(
                f"The whole part measures {length_text(overall, inch)}, "
                f"{'under' if small else 'over'} {length_text(limit, inch)}. The file says its "
                f"lengths are in {view.part.source.length_unit}. {WHY} With another unit it would "
                f"be {as_else}. Check the unit in which it was saved; what tools reach was not "
                "worked out for such a size."
            ),
            where=Where(z_mm=(0.0, profile.length_mm), diameter_mm=(0.0, profile.max_diameter_mm)),
            basis=Basis(BASIS, "common-practice"),
            measured=overall,
            limit=limit,
            unit="mm",
        ),
    )


def _scaled(factor: float) -> View:
    return drawn_view([(z * factor, r * factor) for z, r in PIN])


EXAMPLES = (
    Example("a pin of 30 mm", drawn_view),
    Example("a pin of 1.2 m", lambda: _scaled(40.0)),
    Example("the pin saved in metres, read as mm", lambda: _scaled(0.001), ("error",)),
    Example("the pin a thousand times too large", lambda: _scaled(1000.0), ("error",)),
)
