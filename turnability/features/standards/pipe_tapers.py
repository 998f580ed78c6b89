"""Taper pipe threads, NPT (ASME B1.20.1), on cones of 1:16 that could carry one.

Outside, the cone's small end stands at E0 + 0.8 p (the crests' diameter there) and its large end no
farther than the pipe's own outside diameter; inside, the cone's mouth stands at the pitch diameter
E1 less 0.8 p (the crests of an inside thread). Ends may be a pitch longer or shorter, for leads.
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import Alternative, FeatureKind, StandardMatch
from turnability.features.standards import rows

KINDS: tuple[FeatureKind, ...] = ("taper",)
OTHER_READING = Alternative(
    "thread", "a cone of 1:16 with a taper pipe thread's diameters; nothing in the solid winds"
)
_INCH = 25.4
_TAPER = 1.0 / 16.0
_ANGLE_SHARE = 0.02
_ENDS_MM = 0.1
"""How far the diameters at the cone's ends may be off beside a pitch's share of the taper (our
choice; a turn of the thread by hand is a tenth of a millimetre)."""


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The pipe thread's size; the residual is that of the small end (outside) or mouth (inside)."""
    small, large = one.diameter_mm
    length = one.z_mm[1] - one.z_mm[0]
    if length <= 0.0 or abs((large - small) / length / _TAPER - 1.0) > _ANGLE_SHARE:
        return []
    matches = []
    for row in rows("thread_pipe_npt"):
        pitch = float(row["pitch"]) * _INCH
        spare = _ENDS_MM + _TAPER * pitch
        if length < 2.0 * pitch:
            continue
        if one.surface == "outer":
            crest = float(row["E0"]) * _INCH + 0.8 * pitch
            off = small - crest
            over = large - float(row["pipe_od"]) * _INCH
            if abs(off) > spare or over > spare:
                continue
        else:
            off = large - (float(row["E1"]) * _INCH - 0.8 * pitch)
            if abs(off) > spare:
                continue
        matches.append(StandardMatch("ASME B1.20.1", row["designation"], off))
    return sorted(matches, key=lambda match: abs(match.residual_mm))[:1]
