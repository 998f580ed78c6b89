"""Where two readings are sensible: why a feature could be read as another kind, and how sure it is.

Each limit that parts two kinds is stated in `limits`; within a share of it (`limits.DOUBT`) the
other reading is told, and close to it neither is the likelier.
"""

from __future__ import annotations

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.model import Alternative, Confidence
from turnability.features.places import COUNTERBORE_DEPTH, SPIGOT_LENGTH
from turnability.features.sides import (
    Finish,
    Side,
    is_nearly_chamfer,
    longest_chamfer_mm,
    slope_deg,
)
from turnability.half_plane.curves import Arc, Line

_DRILLS_DEG = (90.0, 118.0, 120.0, 130.0, 135.0, 140.0)
_SAME_DEG = 1.0


def confidence(size: float, limit: float) -> Confidence:
    """How sure a reading is whose size stands so near to the limit of it."""
    return "either" if abs(size / limit - 1.0) <= limits.EITHER else "likely"


def near_chamfer(chain: Chain, side: Side) -> Alternative | None:
    """A short cone at a corner that is only a little longer than a chamfer."""
    place = next((i for i, one in enumerate(chain.sides) if one is side), None)
    if place is None or not is_nearly_chamfer(chain.sides, place):
        return None
    assert isinstance(side.curve, Line)
    length, limit = _chamfer_mm(side.curve)
    return Alternative(
        "chamfer",
        f"{length:.4g} mm long at a corner is a short taper; up to {limit:.4g} mm it would be a"
        " chamfer",
        confidence(length, limit),
    )


def near_taper(finish: Finish) -> Alternative | None:
    """A chamfer that is nearly a short taper; at 45 degrees hardly anything else is meant."""
    if not isinstance(finish.curve, Line):
        return None
    length, limit = _chamfer_mm(finish.curve)
    usual = abs(slope_deg(finish.curve) - 45.0) <= limits.CHAMFER_45_DEG
    if length < (1.0 - (limits.EITHER if usual else limits.DOUBT)) * limit:
        return None
    return Alternative(
        "taper",
        f"{length:.4g} mm long is nearly a short taper, which begins over {limit:.4g} mm",
        confidence(length, limit),
    )


def _chamfer_mm(curve: Line) -> tuple[float, float]:
    """The leg that decides whether a cone is a chamfer, and its limit."""
    axial = abs(curve.end[0] - curve.start[0])
    radial = abs(curve.end[1] - curve.start[1])
    share = limits.CHAMFER_PER_DIAMETER.value * 2.0 * max(curve.start[1], curve.end[1])
    legs = [(axial, min(longest_chamfer_mm(curve), share)), (radial, share)]
    return max(legs, key=lambda pair: pair[0] / pair[1])


def near_contour(chain: Chain, finish: Finish) -> Alternative | None:
    """A fillet that takes the greater part of a surface beside it, or is nearly a contour."""
    if not isinstance(finish.curve, Arc):
        return None
    (z0, z1), (small, large) = spread([finish.curve])
    legs, limit = max(z1 - z0, 0.5 * (large - small)), limits.FILLET_PER_DIAMETER.value * large
    if legs >= (1.0 - limits.DOUBT) * limit:
        return Alternative(
            "contour",
            f"its legs of {legs:.4g} mm are nearly a contour's, which begin over {limit:.4g} mm",
            confidence(legs, limit),
        )
    left = [
        side.segment.curve.length()
        for side in chain.sides
        if side.segment is not None and side.segment.id in finish.between
    ]
    if left and legs > max(left):
        return Alternative(
            "contour",
            f"its legs of {legs:.4g} mm are longer than what is left of both surfaces beside it"
            f" ({max(left):.4g} mm): a rounded form rather than a finished corner",
        )
    return None


def near_fillet(arc: Arc) -> Alternative | None:
    """A tangent arc only a little larger than a fillet."""
    (z0, z1), (small, large) = spread([arc])
    legs, limit = max(z1 - z0, 0.5 * (large - small)), limits.FILLET_PER_DIAMETER.value * large
    if not limit < legs <= (1.0 + limits.DOUBT) * limit:
        return None
    return Alternative(
        "fillet",
        f"its legs of {legs:.4g} mm are a contour's; up to {limit:.4g} mm it would be a fillet",
        confidence(legs, limit),
    )


def near_cone(side: Side) -> Alternative | None:
    """A drill point of an angle that drills seldom have."""
    angle = 2.0 * slope_deg(side.curve)
    if any(abs(angle - drill) <= _SAME_DEG for drill in _DRILLS_DEG):
        return None
    return Alternative(
        "taper",
        f"{angle:.4g}\u00b0 lies between the usual points (118\u00b0, 120\u00b0, 130\u00b0,"
        " 135\u00b0, 140\u00b0; 90\u00b0 spot drills): a bored cone, or a drill ground so",
    )


def near_drill_point(side: Side) -> Alternative | None:
    """An inside cone to the axis whose angle is only a little off a drill's."""
    least, most = (limit.value for limit in limits.DRILL_POINT_DEG)
    angle = 2.0 * slope_deg(side.curve)
    tip = min(side.curve.start[1], side.curve.end[1])
    near = least - limits.DOUBT_DEG <= angle < least or most < angle <= most + limits.DOUBT_DEG
    if side.surface != "inner" or tip > limits.SAME_MM or not near:
        return None
    return Alternative(
        "drill-point",
        f"{angle:.4g}\u00b0 is no drill's point ({least:g} to {most:g}\u00b0), but near to one",
    )


def near_step(length_mm: float, diameter_mm: float, form: str | None) -> Alternative | None:
    """A spigot or counterbore nearly too long for one: then a journal, or a stepped bore."""
    share = {"spigot": SPIGOT_LENGTH, "counterbore": COUNTERBORE_DEPTH}.get(form or "")
    if share is None or length_mm < (1.0 - limits.DOUBT) * share.value * diameter_mm:
        return None
    limit = share.value * diameter_mm
    inside = form == "counterbore"
    other = "stepped bore" if inside else "journal"
    return Alternative(
        "bore" if inside else "cylinder",
        f"{length_mm:.4g} mm of length on {diameter_mm:.4g} mm is nearly a {other}, which begins"
        f" over {limit:.4g} mm",
        confidence(length_mm, limit),
    )
