"""A recess that no bar passes into, or cuts deep enough, through its entry."""

from __future__ import annotations

import re

import numpy as np

from turnability.features.model import Feature
from turnability.half_plane.inside import polygon_holds
from turnability.reach.model import Left
from turnability.rules.bar_arithmetic import Bar, bars_of
from turnability.rules.corners import only_a_corner
from turnability.rules.drawn import Example, drawn_left, drawn_view
from turnability.rules.elsewhere import in_closed_hollow, left_to_milling
from turnability.rules.floor_fillets import widest_edge_mm, with_smaller_fillets
from turnability.rules.followable import hole_fits
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import (
    cause_text,
    features_on,
    place_text,
    segments_by_id,
    tool_named,
    volume_text,
    where_of,
)
from turnability.shop.model import Cause
from turnability.units import length_text, rounded_down, rounded_up

NAME = "recess-behind-small-entry"
LEVELS = ("error",)
WHY = "A boring bar must pass the entry whole, and then reach out from beside its own shank."
LIMIT = "bore at least f + d/2, recess depth at most f - d/2, for one bar of the shop"
BASIS = "geometry of a round bar of diameter d whose nose stands f from its centre line"
BOTH = "bore_and_recess_mm"
SQUARE_DEG = 5.0
"""Walls within so much of square are cut by a blade alone (our choice)."""
LEAST_DEPTH = 0.6
"""A recess that keeps less than this share of its depth is another one (our choice)."""
WIDEST_EDGE_MM = 8.0
"""Every grooving edge is narrower than more than this (common practice, no source)."""
LEAST_BAR_MM = 4.0
"""Thinner bars are hardly to be had (common practice, no source)."""
_SAME_MM = 1e-3
_BESIDE_MM, _ON_AXIS_MM = 0.05, 0.01
_CAUSES: frozenset[Cause] = frozenset({"entry-bore", "recess-depth", "opposite-wall"})


def check(view: View) -> Judgement:
    """An error for each region left because of the entry, the lip or the opposite wall."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    return [_finding(view, left) for left in view.reach.left if is_recess(left, view)]


def is_recess(left: Left, view: View) -> bool:
    """Whether the room of a bar decides this region of a recess, and it is more than a corner.

    So it does where the walls ask for a grooving bar and none of the shop fits, whatever another
    tool that came near was stopped by.
    """
    recess = _recess_of(left, view)
    return (
        recess is not None
        and not _is_shut(recess, left)
        and (bool(_CAUSES.intersection(left.causes)) or _no_groover(recess, view))
        and only_a_corner(left, view) is None
        and not in_closed_hollow(left, view)
        and not left_to_milling(left, view)
    )


def _is_shut(recess: Feature, left: Left) -> bool:
    """Whether stock stands on the axis at each of its entries: then no bar is asked yet."""
    side, (low, high) = recess.parameters.get("entry_side"), recess.z_mm
    beside = [(low - _BESIDE_MM, _ON_AXIS_MM)] if side in ("low", "both") else []
    beside += [(high + _BESIDE_MM, _ON_AXIS_MM)] if side in ("high", "both") else []
    ring = np.array(left.polygon, dtype=float)
    return bool(beside) and bool(polygon_holds(ring, np.array(beside)).all())


def _recess_of(left: Left, view: View) -> Feature | None:
    return next((f for f in features_on(view, left.segments) if f.kind == "recess"), None)


def _no_groover(recess: Feature, view: View) -> bool:
    """Whether both its walls stand square and no grooving bar enters, sinks and fits between."""
    entry, depth = (recess.number(name) for name in ("entry_diameter_mm", "depth_mm"))
    if not _is_square(recess) or entry is None or depth is None:
        return False
    return not any(
        bar.least_bore_mm <= entry + _SAME_MM and bar.deepest_recess_mm >= depth - _SAME_MM
        for bar in _able(recess, bars_of(view.shop))
    )


def _is_square(recess: Feature) -> bool:
    angles = recess.parameters.get("wall_angles_deg")
    return (
        isinstance(angles, tuple)
        and len(angles) == 2
        and all(isinstance(a, int | float) and abs(a) < SQUARE_DEG for a in angles)
    )


def _able(recess: Feature, bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    """Bars that can make its walls: between two square ones only those that groove."""
    if not _is_square(recess):
        return bars
    return tuple(
        bar
        for bar in bars
        if bar.edge_mm is not None
        and (
            (most := widest_edge_mm(recess, bar.corner_mm)) is None
            or bar.edge_mm <= most + _SAME_MM
        )
    )


def _finding(view: View, left: Left) -> Finding:
    inch = view.shop.inch
    known = segments_by_id(view.part)
    segments = [s for s in left.segments if s in known and known[s].surface != "axis"]
    where = where_of(view, segments, left.polygon)
    recess = _recess_of(left, view)
    assert recess is not None
    # the recess itself; `where` is only what stays of it
    named = Where(z_mm=recess.z_mm, diameter_mm=recess.diameter_mm)
    entry = recess.number("entry_diameter_mm")
    depth = recess.number("depth_mm")
    bars = _able(recess, bars_of(view.shop))
    change = None if entry is None or depth is None else _change(view, recess, entry, depth, bars)
    drawn = ""
    if entry is not None and depth is not None:
        drawn = f", {length_text(depth, inch)} deep behind an entry of ⌀{length_text(entry, inch)}"
    measured, limit = (change.from_, change.to) if change is not None else (left.deepest_mm, None)
    head = (
        f"No bar of the shop cuts the recess at {place_text(named, inch)}{drawn}"
        f"{_nearest(view, left, bars)}. {volume_text(left.volume_mm3, inch)} stays. "
    )
    arithmetic = _arithmetic(view, recess, bars, entry, depth)
    advice = "Enlarge the entry, make the recess shallower, or split the part."
    otherwise = f"{head}{arithmetic}{advice}"
    return Finding(
        rule=NAME,
        level="error",
        message=f"{head}{arithmetic}{change.text}" if change else otherwise,
        where=where,
        basis=Basis(BASIS, "geometry"),
        measured=measured,
        limit=limit,
        unit="mm",
        change=change,
        otherwise=otherwise,
        advice=advice,
    )


def _nearest(view: View, left: Left, bars: tuple[Bar, ...]) -> str:
    """What came nearest and what stopped it, of those that could make the walls at all."""
    tool = tool_named(view, left.nearest_tool)
    if tool is None or tool.access != "inner":
        return f": {cause_text(left.own_causes)}"
    if not any(bar.name == tool.name for bar in bars):
        return ""
    return f": {tool.name} comes nearest, but {cause_text(left.own_causes)}"


def _arithmetic(
    view: View, recess: Feature, bars: tuple[Bar, ...], entry: float | None, depth: float | None
) -> str:
    """What the bars do, the one that enters and the one that is deep enough, and what would do."""
    inch = view.shop.inch
    if not bars and _is_square(recess) and bars_of(view.shop):
        width = widest_edge_mm(recess)
        edge = "" if width is None else f" no wider than {length_text(round(width, 3), inch)}"
        said = f"Its square walls ask for a grooving bar{edge}, and the shop lists none. "
        return said + _would_do(recess, entry, depth, inch)
    if not bars:
        return "The shop file states d and f of no bar, so no number can be given. "
    if entry is None or depth is None:
        return ""
    enters = [bar for bar in bars if bar.least_bore_mm <= entry + _SAME_MM]
    deep = [bar for bar in bars if bar.deepest_recess_mm >= depth - _SAME_MM]
    both = [bar for bar in enters if bar in deep]
    told = (
        both[:1]
        or [
            *sorted(enters, key=lambda one: -one.deepest_recess_mm)[:1],
            *deep[:1],
        ]
        or [max(bars, key=lambda one: one.deepest_recess_mm)]
    )
    words = [_told(bar, entry, depth, inch) for bar in told]
    return f"{'; '.join(words)}. " + ("" if both else _would_do(recess, entry, depth, inch))


def _told(bar: Bar, entry: float, depth: float, inch: bool) -> str:
    """One bar: how deep it cuts, and from which bore on."""
    name = f"{bar.name} (d {length_text(bar.diameter_mm, inch)}, f {length_text(bar.f_mm, inch)})"
    only = "only " if bar.deepest_recess_mm < depth - _SAME_MM else ""
    narrow = bar.least_bore_mm > entry + _SAME_MM
    but = f"{'and' if only else 'but'} enters only" if narrow else "and enters"
    words = (
        f"{name} cuts {only}{length_text(bar.deepest_recess_mm, inch)} deep {but} bores from "
        f"⌀{length_text(bar.least_bore_mm, inch)}"
    )
    if (
        bar.edge_mm is None
        and entry >= bar.least_bore_mm
        and bar.least_hole_mm(entry) > bar.diameter_mm
    ):
        least = rounded_up(bar.least_hole_mm(entry), inch)
        words += f", begun from a hole of ⌀{length_text(least, inch)} or more"
    return words


def _would_do(recess: Feature, entry: float | None, depth: float | None, inch: bool) -> str:
    """The bar that would: entry at least f + d/2 and f at least d/2 + depth ask for its d."""
    if entry is None or depth is None or entry - depth < LEAST_BAR_MM:
        return ""
    width = widest_edge_mm(recess)
    edge = ""
    if _is_square(recess) and width is not None and width <= WIDEST_EDGE_MM:
        edge = f", and an edge no wider than {length_text(round(width, 3), inch)}"
    return (
        f"A bar with f {length_text(depth, inch)} more than d/2, d "
        f"{length_text(rounded_down(entry - depth, inch), inch)} at most{edge}, would do. "
    )


_BAR = re.compile(r"\bA (bar with f .+?), would do\.")


def bar_of(message: str) -> str | None:
    """The bar that would cut a recess, out of a finding of this rule; None where none is told."""
    found = _BAR.search(message)
    return None if found is None else found[1]


def _change(
    view: View, recess: Feature, entry: float, depth: float, bars: tuple[Bar, ...]
) -> Change | None:
    """The smallest change that the arithmetic lets a bar of the shop cut.

    A little shallower for one that enters; else the entry as much wider as one needs, its floor
    kept; else both wider, as a standard's groove must be, whose depth is its ring's.
    """
    inch, floor = view.shop.inch, entry + 2.0 * depth
    if any(bar.least_bore_mm <= entry and bar.deepest_recess_mm >= depth for bar in bars):
        return None  # its room is no matter of entry and depth
    shallower = max(
        (bar.deepest_recess_mm for bar in bars if bar.least_bore_mm <= entry), default=0.0
    )
    made_shallower = Change(
        f"Make the recess no deeper than {length_text(shallower, inch)} (drawn "
        f"{length_text(depth, inch)}).",
        "depth_mm",
        depth,
        shallower,
        proven=False,
    )
    fillets = with_smaller_fillets(recess, entry, depth, bars_of(view.shop), inch)
    if fillets is not None and (fillets.also is None or (fillets.to or 0.0) > shallower):
        return fillets
    # what stays of it once the entry is as wide as the bar asks
    to, name = min(
        ((max(b.least_bore_mm, floor - 2.0 * b.deepest_recess_mm), b.name) for b in bars),
        default=(floor, ""),
    )
    kept = (floor - to) / 2.0
    more = f" for {name}, its floor as it is ({length_text(round(kept, 4), inch)} deep then)"
    made_wider = _widened(entry, to, more, "entry_diameter_mm", inch)
    can_be_wider = kept > _SAME_MM and hole_fits(view, to, recess.z_mm)
    if not recess.matches and shallower >= LEAST_DEPTH * depth:
        return made_shallower
    if not recess.matches and can_be_wider and kept >= LEAST_DEPTH * depth:
        return made_wider
    deep = [bar for bar in bars if bar.deepest_recess_mm >= depth]
    if deep and _is_square(recess):
        to, name = min((bar.least_bore_mm, bar.name) for bar in deep)
        if hole_fits(view, floor + to - entry, recess.z_mm):
            grown = length_text(floor + to - entry, inch)
            more = f", and the recess with it to ⌀{grown}, for {name}"
            return _widened(entry, to, more, BOTH, inch)
    if recess.matches:
        return None
    return made_shallower if shallower > 0.0 else made_wider if can_be_wider else None


def _widened(entry: float, to: float, more: str, parameter: str, inch: bool) -> Change:
    text = f"Enlarge the entry from ⌀{length_text(entry, inch)} to ⌀{length_text(to, inch)}{more}."
    return Change(text, parameter, entry, to, proven=False)


def _recessed(bore: float, floor: float, left: bool) -> View:
    points = [
        (0, bore),
        (10, bore),
        (10, floor),
        (20, floor),
        (20, bore),
        (30, bore),
        (30, 12),
        (0, 12),
    ]
    recess = Feature(
        id="F1",
        kind="recess",
        surface="inner",
        z_mm=(10, 20),
        diameter_mm=(2 * bore, 2 * floor),
        segments=("S2", "S3", "S4"),
        faces=(),
        parameters={"depth_mm": floor - bore, "width_mm": 10.0, "entry_diameter_mm": 2 * bore},
    )
    region = drawn_left(
        ("S2", "S3", "S4"),
        [(10, bore), (20, bore), (20, floor), (10, floor)],
        ("entry-bore",) if 2 * bore < 10 else ("recess-depth",),
        1.0,
        nearest_tool="bar 8",
    )
    return drawn_view(points, features=(recess,), left=(region,) if left else ())


EXAMPLES = (
    Example("a shallow recess that bar 8 cuts", lambda: _recessed(6, 7.5, left=False)),
    Example("a recess behind an entry of ⌀8", lambda: _recessed(4, 5.5, left=True), ("error",)),
    Example(
        "a recess of 4 mm, where the bar cuts 2", lambda: _recessed(6, 10, left=True), ("error",)
    ),
)
