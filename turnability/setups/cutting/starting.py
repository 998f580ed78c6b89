"""Depth, feed and speed to begin with, for roughing and finishing one surface.

Common practice without a source: 2 mm a side and 0.2 mm a turn to rough, 0.5 mm and 0.1 mm to
finish, less on thin work, on a weak lathe, or where the roughness asks for it. A starting point
for whoever stands at the lathe, no leave to run one.
"""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.setups.cutting.forces import WEAR, Cut, main_force_n, power_kw
from turnability.setups.cutting.roughness import feed_for_ra_mm
from turnability.setups.cutting.speeds import cutting_speed_m_per_min
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Shop, Tool
from turnability.shop.told_apart import is_pointed

_PRACTICE = "common practice"
ROUGH_DEPTH = Cited(2.0, "mm", _PRACTICE, "depth a side to rough, from memory", verified=False)
ROUGH_FEED = Cited(0.2, "mm", _PRACTICE, "feed a turn to rough, from memory", verified=False)
LEAST_ROUGH = Cited(
    1.0, "mm", _PRACTICE, "depth below which a weak lathe turns slower instead, from memory", False
)
POINTED_ROUGH = Cited(
    1.0, "mm", _PRACTICE, "depth a side to rough with a corner under 60°, from memory", False
)
FINISH_DEPTH = Cited(0.5, "mm", _PRACTICE, "depth a side to finish, from memory", verified=False)
FINISH_FEED = Cited(0.1, "mm", _PRACTICE, "feed a turn to finish, from memory", verified=False)
LAST_DEPTH = Cited(
    0.1, "mm", _PRACTICE, "depth a side of a light last pass, from memory", verified=False
)
LAST_FEED = Cited(
    0.05, "mm", _PRACTICE, "feed a turn of a light last pass, from memory", verified=False
)
ONE_PASS_FEED = Cited(
    0.03,
    "mm",
    _PRACTICE,
    "feed a turn at which a thin pin is taken to size in one pass, 0.02 to 0.05, from memory",
    False,
)
LAST_TIMES = 2
"""Of what the pass before them left bent, the second of two leaves the square of one's share."""
THIN = Cited(
    0.1, "-", _PRACTICE, "finishing depth over the diameter of thin work, from memory", False
)
DRILL_FEED = Cited(
    0.01,
    "-",
    _PRACTICE,
    "feed a turn over the diameter of a drill, low end of 0.01 to 0.02, from memory",
    False,
)
PILOT_OVER = Cited(
    13.0,
    "mm",
    _PRACTICE,
    "drill above which a small one goes first, from memory",
    False,
)
PILOT_SHARE = Cited(0.5, "-", _PRACTICE, "that one's diameter over its own, from memory", False)
MOST_DRILL_FEED = Cited(
    0.38, "mm", _PRACTICE, "feed a turn of a drill over 25 mm: 0.015 in, from memory", False
)
REAM_FEED = Cited(
    2.0, "-", _PRACTICE, "feed of a reamer over a drill's of its size, 2 to 3, from memory", False
)
BLADE_FEED = Cited(0.05, "mm", _PRACTICE, "feed a turn of a blade, from memory", verified=False)
_LEAST_DEPTH_MM = 0.1
_LEAST_FEED_MM = 0.03
_LEAST_DRILL_FEED_MM = 0.01
_NOSE_MM, _LEAD_DEG = 0.4, 95.0


def rough_cut(material: Material, tool: Tool | None, lathe: Machine | None) -> Cut:
    """A roughing pass, 2 mm a side or down to 1 mm where the lathe's power or the corner asks."""
    depth = (POINTED_ROUGH if is_pointed(tool) else ROUGH_DEPTH).value
    cut = _cut(tool, depth, _within(ROUGH_FEED.value, material))
    power = None if lathe is None else lathe.power_kw
    speed = cutting_speed_m_per_min(material, "turning")
    while power and depth > LEAST_ROUGH.value and _needs_kw(material, cut, speed) > power:
        depth = max(LEAST_ROUGH.value, 0.8 * depth)
        cut = _cut(tool, depth, cut.feed_mm)
    return cut


def finish_cut(
    material: Material, tool: Tool | None, diameter_mm: float, ra_um: float | None = None
) -> Cut:
    """A finishing pass on a diameter; where a roughness is stated its feed is the most for it."""
    depth = max(_LEAST_DEPTH_MM, min(FINISH_DEPTH.value, THIN.value * diameter_mm))
    cut = _cut(tool, depth, FINISH_FEED.value)
    feed = FINISH_FEED.value
    if ra_um is not None:
        feed = max(_LEAST_FEED_MM, min(feed, feed_for_ra_mm(ra_um, cut.nose_radius_mm)))
    return Cut(depth, feed, cut.lead_deg, cut.nose_radius_mm)


def last_cut(finish: Cut) -> Cut:
    """Each light last pass in place of a finishing one, where that bends the work too much."""
    return replace(
        finish,
        depth_mm=min(finish.depth_mm, LAST_DEPTH.value),
        feed_mm=min(finish.feed_mm, LAST_FEED.value),
    )


def one_pass_cut(finish: Cut, stands_mm: float) -> Cut:
    """All that stands over a thin end in place of a finishing cut, at a feed that it bears."""
    return replace(finish, depth_mm=stands_mm, feed_mm=min(finish.feed_mm, ONE_PASS_FEED.value))


def drill_feed_mm(diameter_mm: float) -> float:
    """Feed a turn of a drill: it rises with the diameter, whatever the lathe."""
    return max(_LEAST_DRILL_FEED_MM, min(MOST_DRILL_FEED.value, DRILL_FEED.value * diameter_mm))


def ream_feed_mm(diameter_mm: float) -> float:
    """Feed a turn of a reamer: fast, for one that is fed slowly rubs and glazes the wall."""
    return REAM_FEED.value * drill_feed_mm(diameter_mm)


def lathe_for(
    shop: Shop, size_mm: float, cnc: bool = False, named: str | None = None
) -> Machine | None:
    """The first lathe of the shop file that swings this size; a CNC where one is asked for.

    The one `named`, which a plan is made for, goes before it.
    """
    for machine in shop.machines:
        if machine.name == named:
            return machine
    able = [m for m in shop.machines if m.swing_mm is None or m.swing_mm >= size_mm]
    driven = [m for m in able if m.control == "cnc"] if cnc else able
    return next(iter(driven or able or shop.machines), None)


def _needs_kw(material: Material, cut: Cut, speed_m_per_min: float) -> float:
    return power_kw(WEAR.value * main_force_n(material, cut), speed_m_per_min)


def _cut(tool: Tool | None, depth: float, feed: float) -> Cut:
    limits = {} if tool is None else tool.limits
    lead = limits.get("approach_angle_deg", _LEAD_DEG)
    nose = limits.get("nose_radius_mm", _NOSE_MM)
    return Cut(depth, feed, lead if 0.0 < lead < 180.0 else _LEAD_DEG, max(nose, 0.0))


def _within(feed: float, material: Material) -> float:
    low, high = (cited.value for cited in material.feed)
    return min(max(feed, low), high)
