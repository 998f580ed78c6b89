"""Which boring bar a place deep in a bore asks for, where all that go in are too short.

What came nearest in numbers may be a bar of 8 mm that would have to stand out eighteen diameters,
which is no bar. The thickest that passes is what a machinist reaches for first: how far it would
stand out, over its diameter, tells whether it is steel, carbide or none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from turnability.part.model import Profile
from turnability.reach.model import Left
from turnability.rules.bar_arithmetic import bars_of
from turnability.rules.model import View
from turnability.rules.speak import features_on, segments_by_id
from turnability.shop.books import row, rows
from turnability.units import length_text, mm_text, rounded_up

_SAME_MM = 1e-3
TOO_SHORT = "every bar that goes in is too short"


@dataclass(frozen=True, slots=True)
class _Way:
    """How deep a bar goes from its end, and the narrowest that it passes on the way (radius)."""

    deep_mm: float
    entry_mm: float


def deep_bore_text(view: View, left: Left) -> str:
    """What bar it asks for, and how far that stands out; empty where length is not what lacks."""
    profile = view.part.profile
    known = segments_by_id(view.part)
    if profile is None or not any(known[s].surface == "inner" for s in left.segments if s in known):
        return ""
    recesses = [f.z_mm for f in features_on(view, left.segments) if f.kind == "recess"]
    way = _way_in(profile, left, recesses)
    if way is None:
        return ""
    # its nose this far from the axis, the bar's other side may not meet the bore: toward the middle
    # of a floor the whole bar lies on one side of the axis
    inmost = way.entry_mm if profile.through_bore_mm else min(r for _, r in left.polygon)
    wide = way.entry_mm + min(way.entry_mm, inmost)
    able = [bar for bar in bars_of(view.shop) if bar.least_bore_mm <= wide + _SAME_MM]
    limits = {tool.name: tool.limits for tool in view.shop.tools}
    longest = max((limits[bar.name].get("overhang_mm", 0.0) for bar in able), default=0.0)
    if not able or longest >= way.deep_mm:
        return ""
    usual = [float(r["d_mm"]) for r in rows("boring_bar_dimensions") if _least_mm(r) <= wide]
    if not usual:
        return ""
    inch, d = view.shop.inch, max(usual)
    out = rounded_up(way.deep_mm, inch)
    return (
        f"It lies {length_text(out, inch)} deep, and no bar that goes in there stands out by more "
        f"than {length_text(longest, inch)}. Of usual ones (ISO 5609, from memory) the thickest "
        f"that does is ⌀{length_text(d, inch)}: {mm_text(way.deep_mm / d, 1)} diameters, "
        f"{_of_what(way.deep_mm / d)}. List such a bar and a drill that goes as deep, "
        f"{'begin from a tube, ' if profile.through_bore_mm else ''}make it shallower, or split "
        "the part there."
    )


def _of_what(ratio: float) -> str:
    """Whether a bar that stands out so far is steel, carbide, damped or none (common practice)."""
    most = {r["bar"]: float(r["max_L_over_d_normal"]) for r in _by_material()}
    steel, carbide, damped = most["steel"], most["carbide"], most["carbide damped"]
    if ratio <= steel:
        return f"as steel bars may ({steel:g})"
    if ratio <= carbide:
        return f"which asks for a carbide bar ({carbide:g}; steel {steel:g})"
    if ratio <= damped:
        return f"which asks for a damped bar ({damped:g}; plain carbide {carbide:g})"
    return f"which no bar stands (damped carbide {damped:g})"


def _by_material() -> list[dict[str, str]]:
    names = ("steel", "carbide", "carbide damped")
    return [dict(row("boring_bar_overhang", bar=name) or {}) for name in names]


def _least_mm(entry: object) -> float:
    assert isinstance(entry, dict)
    return float(entry["f_mm"]) + float(entry["d_mm"]) / 2.0


def _way_in(profile: Profile, left: Left, recesses: Sequence[tuple[float, float]]) -> _Way | None:
    """The shallowest way to all of it: from one end, or from both to where they meet.

    A bar from one end grooves a recess up to its far wall, or turns what it gets at, and the other
    wall is turned from the other end, as deep at least.
    """
    z0, z1 = (pick(z for z, _ in left.polygon) for pick in (min, max))
    whole = profile.length_mm
    low, high = _narrowest(profile, 0.0, z0), _narrowest(profile, z1, whole)
    ways = []
    if low is not None:
        ways.append(_Way(z1, low))
    if high is not None:
        ways.append(_Way(whole - z0, high))
    if low is not None and high is not None:
        meet = min(max(whole / 2.0, z0), z1)
        walls = [min(far, whole - near) for near, far in recesses]
        ways.append(_Way(max(meet, whole - meet, *walls), min(low, high)))
    return min(ways, key=lambda way: way.deep_mm, default=None)


def _narrowest(profile: Profile, from_mm: float, to_mm: float) -> float | None:
    """The least radius of the bore from here to there; None where it is not open all the way."""
    reached, least = from_mm, float("inf")
    spans = sorted(
        (*s.ends_z_mm, min(s.curve.start[1], s.curve.end[1]))
        for s in profile.segments
        if s.surface == "inner"
    )
    for low, high, r in spans:
        if high <= from_mm + _SAME_MM or low >= to_mm - _SAME_MM:
            continue
        if low > reached + _SAME_MM:
            return None
        reached, least = max(reached, high), min(least, r)
    open_there = to_mm - from_mm > _SAME_MM and reached >= to_mm - _SAME_MM
    return least if open_there else None
