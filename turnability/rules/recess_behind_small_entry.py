"""A recess that no bar passes into, or cuts deep enough, through its entry."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.reach.model import Left
from turnability.rules.bar_arithmetic import Bar, bars_of
from turnability.rules.corners import only_a_corner
from turnability.rules.drawn import Example, drawn_left, drawn_view
from turnability.rules.elsewhere import in_closed_hollow, left_to_milling
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
from turnability.units import length_text, rounded_up

NAME = "recess-behind-small-entry"
LEVELS = ("error",)
WHY = "A boring bar must pass the entry whole, and then reach out from beside its own shank."
LIMIT = "bore at least f + d/2, recess depth at most f - d/2, for one bar of the shop"
BASIS = "geometry of a round bar of diameter d whose nose stands f from its centre line"
_CAUSES: frozenset[Cause] = frozenset({"entry-bore", "recess-depth", "opposite-wall"})


def check(view: View) -> Judgement:
    """An error for each region left because of the entry, the lip or the opposite wall."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    return [_finding(view, left) for left in view.reach.left if is_recess(left, view)]


def is_recess(left: Left, view: View) -> bool:
    """Whether the room of a bar decides this region of a recess, and it is more than a corner."""
    return (
        bool(_CAUSES.intersection(left.causes))
        and any(f.kind == "recess" for f in features_on(view, left.segments))
        and only_a_corner(left, view) is None
        and not in_closed_hollow(left, view)
        and not left_to_milling(left, view)
    )


def _finding(view: View, left: Left) -> Finding:
    inch = view.shop.inch
    known = segments_by_id(view.part)
    segments = [s for s in left.segments if s in known and known[s].surface != "axis"]
    where = where_of(view, segments, left.polygon)
    recess = next((f for f in features_on(view, segments) if f.kind == "recess"), None)
    # the recess itself; `where` is only what stays of it
    named = where if recess is None else Where(z_mm=recess.z_mm, diameter_mm=recess.diameter_mm)
    entry = _number(recess, "entry_diameter_mm")
    depth = _number(recess, "depth_mm")
    bars = bars_of(view.shop)
    change = _change(entry, depth, bars, inch)
    if change is not None and recess is not None and change.parameter == "entry_diameter_mm":
        change = change if hole_fits(view, change.to or 0.0, recess.z_mm) else None
    tool = tool_named(view, left.nearest_tool)
    nearest = f"{tool.name} comes nearest, but " if tool and tool.access == "inner" else ""
    drawn = ""
    if entry is not None and depth is not None:
        drawn = f", {length_text(depth, inch)} deep behind an entry of ⌀{length_text(entry, inch)}"
    measured, limit = (change.from_, change.to) if change is not None else (left.deepest_mm, None)
    head = (
        f"No bar of the shop cuts the recess at {place_text(named, inch)}{drawn}: {nearest}"
        f"{cause_text(left.causes)}. {volume_text(left.volume_mm3, inch)} stays."
        f"{_arithmetic(bars, entry, depth, inch)} "
    )
    otherwise = f"{head}Enlarge the entry, make the recess shallower, or split the part."
    return Finding(
        rule=NAME,
        level="error",
        message=f"{head}{change.text}" if change else otherwise,
        where=where,
        basis=Basis(BASIS, "geometry"),
        measured=measured,
        limit=limit,
        unit="mm",
        change=change,
        otherwise=otherwise,
    )


def _number(feature: Feature | None, name: str) -> float | None:
    value = feature.parameters.get(name) if feature else None
    return float(value) if isinstance(value, (int, float)) else None


def _arithmetic(bars: tuple[Bar, ...], entry: float | None, depth: float | None, inch: bool) -> str:
    """What a bar asks for: the first that cuts so deep, or else that which cuts deepest."""
    if not bars:
        return " The shop file states d and f of no bar, so no number can be given."
    if entry is None or depth is None:
        return ""
    deep = [bar for bar in bars if bar.deepest_recess_mm >= depth]
    bar = deep[0] if deep else max(bars, key=lambda one: one.deepest_recess_mm)
    words = (
        f" {bar.name} (d {length_text(bar.diameter_mm, inch)}, f {length_text(bar.f_mm, inch)}) "
        f"cuts {length_text(bar.deepest_recess_mm, inch)} deep and enters bores from "
        f"⌀{length_text(bar.least_bore_mm, inch)}"
    )
    if entry >= bar.least_bore_mm and bar.least_hole_mm(entry) > bar.diameter_mm:
        least = rounded_up(bar.least_hole_mm(entry), inch)
        words += f", begun from a hole of ⌀{length_text(least, inch)} or more"
    return words + "."


def _change(
    entry: float | None, depth: float | None, bars: tuple[Bar, ...], inch: bool
) -> Change | None:
    """Enlarge the entry for the smallest bar that cuts so deep, else make the recess shallower."""
    if entry is None or depth is None or not bars:
        return None
    deep = [bar for bar in bars if bar.deepest_recess_mm >= depth]
    if deep and deep[0].least_bore_mm > entry:
        to = deep[0].least_bore_mm
        return Change(
            f"Enlarge the entry from ⌀{length_text(entry, inch)} to ⌀{length_text(to, inch)} for "
            f"{deep[0].name}.",
            "entry_diameter_mm",
            entry,
            to,
            proven=False,
        )
    entering = [bar for bar in bars if bar.least_bore_mm <= entry]
    if not deep and entering:
        to = max(bar.deepest_recess_mm for bar in entering)
        return Change(
            f"Make the recess no deeper than {length_text(to, inch)} (drawn "
            f"{length_text(depth, inch)}).",
            "depth_mm",
            depth,
            to,
            proven=False,
        )
    return None


def _recessed(bore: float, floor: float, left: bool) -> View:
    points = [
        (0, bore),
        (10, bore),
        (10, floor),
        (20, floor),
        (20, bore),
        (30, bore),
        (30, 20),
        (0, 20),
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
