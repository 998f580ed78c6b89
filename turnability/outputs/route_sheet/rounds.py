"""How what is turned to an arc is measured: a ball by a micrometer, others by template or gauge."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from turnability.half_plane.curves import Arc, Spline
from turnability.outputs.route_sheet.faced_lengths import Base
from turnability.part.model import Segment
from turnability.setups.model import Setup
from turnability.units import length_text, number_text

_CUTS = ("turn", "bore", "groove", "end groove", "face")
_AXIS_MM = 1e-3
_DIGITS = 3
_HALF_BALL = 1.5708
"""A generatrix of more than a quarter turn has a widest place that a micrometer spans."""


def round_lines(
    setup: Setup,
    known: Mapping[str, Segment],
    told: Collection[str],
    base: Base | None,
    inch: bool,
) -> Iterator[str]:
    """One line for each radius that this setup finishes, those alike together.

    `base` is from what depths are measured.
    """
    cut = {s for o in setup.operations if o.kind in _CUTS for s in o.segments} - set(told)
    alike: dict[tuple[str, str], list[str]] = {}
    for one in known.values():
        if one.id in cut and one.surface != "axis" and (words := _words(one, base, inch)):
            alike.setdefault(words, []).append(one.id)
    for (size, how), names in alike.items():
        yield f"{size} ({', '.join(names)}): {how}"


def _words(segment: Segment, base: Base | None, inch: bool) -> tuple[str, str] | None:
    """Its size and how it is measured; None of what is straight."""
    curve = segment.curve
    if isinstance(curve, Spline):
        low, high = sorted((curve.start[0], curve.end[0]))
        z = f"z {number_text(round(low, _DIGITS), inch)} to {length_text(round(high, 2), inch)}"
        return f"free curve {z}", "by a template, or diameters at several z"
    if not isinstance(curve, Arc):
        return None
    radius = length_text(round(curve.radius, _DIGITS), inch)
    if abs(curve.centre[1]) > _AXIS_MM:
        return f"radius {radius}", "by a radius gauge or template"
    z = f"about z {number_text(round(curve.centre[0], _DIGITS), inch)}"
    across = length_text(round(2.0 * curve.radius, _DIGITS), inch)
    ball = f"ball ⌀{across}, R {radius}, {z}"
    if segment.surface == "inner":
        depth = "its depth"
        poles = [z for z, r in (curve.start, curve.end) if r <= _AXIS_MM]
        if poles and base is not None:
            deep = length_text(round(abs(poles[0] - base.z_mm), _DIGITS), inch)
            depth = f"{deep} deep from {base.name}"
        return f"hollow {ball}", f"by a ball of that size with blue, {depth} by a depth gauge"
    if abs(curve.sweep()) > _HALF_BALL:
        return ball, "by micrometer across it in several directions, and a radius template"
    return ball, "by a radius template, its height by a depth gauge"
