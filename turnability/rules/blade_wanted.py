"""What blade a groove asks for, where the shop lists none from its side."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.units import length_text, span_text

HOLDER_MM = 25.0
"""So far beside its blade a holder for end grooves reaches at least (a shank of 25 mm, usual)."""
_CHORD_MM = 0.05
_SAME_MM = 1e-3


def blade_wanted(groove: Feature, profile: Profile, inch: bool) -> str:
    """In words; empty where the groove's numbers are not known.

    Beside an end groove that lies back behind a boss or a rim the blade is as long as that stands
    out, else its holder meets it.
    """
    width, depth = groove.number("width_mm"), groove.number("depth_mm")
    if width is None or depth is None:
        return ""
    end = groove.kind == "end-groove"
    fits = f" and fits ⌀{span_text(groove.diameter_mm, inch)}" if end else ""
    stands, across = stands_before(groove, profile) if end else (0.0, 0.0)
    long = ""
    if stands > _SAME_MM:
        long = (
            f"; its blade is {length_text(depth + stands, inch)} long or more, for "
            f"⌀{length_text(across, inch)} stands {length_text(stands, inch)} out beside the groove"
        )
    return (
        f"no {'end-' if end else ''}grooving blade is listed; it asks for one of width "
        f"{length_text(width, inch)} or less that sinks {length_text(depth, inch)}{fits}{long}"
    )


def stands_before(groove: Feature, profile: Profile) -> tuple[float, float]:
    """How far the part stands out before an end groove's mouth, and the diameter that does."""
    inner, outer = (d / 2.0 for d in groove.diameter_mm)
    high = groove.parameters.get("facing") == "high"
    mouth = groove.z_mm[1] if high else groove.z_mm[0]
    found = [
        (z - mouth if high else mouth - z, r)
        for s in profile.outline.segments
        for z, r in s.curve.flatten(_CHORD_MM).tolist()
        if r <= inner + _SAME_MM or r >= outer - _SAME_MM
    ]
    near = [
        (out, r)
        for out, r in found
        if out > _SAME_MM and inner - HOLDER_MM <= r <= outer + HOLDER_MM
    ]
    if not near:
        return 0.0, 0.0
    out = max(out for out, _ in near)
    nearest = min((r for o, r in near if o >= out - _SAME_MM), key=lambda r: abs(r - inner))
    return out, 2.0 * nearest
