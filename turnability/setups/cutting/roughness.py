"""What the feed leaves: the theoretical roughness of a rounded nose.

Rz = f² / (8 r) and Ra = f² / (32 r) or, for a true parabola, f² / (18 √3 r); both stand in
published worked examples. They hold while the nose alone makes the surface, and real cuts are
rougher: built-up edge, wear and chatter come on top.
"""

from __future__ import annotations

import math

RULE_OF_THUMB = 32.0
PARABOLA = 18.0 * math.sqrt(3.0)


def holds(feed_mm: float, nose_radius_mm: float, trailing_deg: float) -> bool:
    """Whether nose marks alone make the surface: f ≤ 2 r sin κ', κ' the trailing edge's angle."""
    return feed_mm <= 2.0 * nose_radius_mm * math.sin(math.radians(trailing_deg))


def rz_um(feed_mm: float, nose_radius_mm: float) -> float:
    """Theoretical peak to valley in µm."""
    return 1000.0 * feed_mm**2 / (8.0 * nose_radius_mm)


def ra_um(feed_mm: float, nose_radius_mm: float, divisor: float = RULE_OF_THUMB) -> float:
    """Theoretical Ra in µm, by the rule of thumb or (`divisor=PARABOLA`) the parabola's mean."""
    return 1000.0 * feed_mm**2 / (divisor * nose_radius_mm)


def feed_for_ra_mm(ra: float, nose_radius_mm: float) -> float:
    """The feed in mm a turn whose theoretical Ra is `ra` µm, by the rule of thumb."""
    return math.sqrt(ra / 1000.0 * RULE_OF_THUMB * nose_radius_mm)
