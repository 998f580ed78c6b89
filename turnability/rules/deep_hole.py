"""A hole that is drilled deep for its diameter."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.model import Feature
from turnability.part.model import Face
from turnability.part.profile import make_profile
from turnability.rules.drawn import Example, drawn_part, drawn_view
from turnability.rules.elsewhere import milled_segments
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of_feature
from turnability.units import length_text, mm_text, span_text

NAME = "deep-hole"
LEVELS = ("warning", "note")
WHY = "Chips pack in a deep hole: the drill is drawn out again and again, wanders and may break."
LIMIT = "5 diameters deep from one end (a note), 10 (a warning)"
BASIS = "common practice, no source: twist drills go 3 to 5 diameters at once, more by pecking"
NOTE, WARNED = 5.0, 10.0
DRILLED_UP_TO_MM = 30.0
"""What is larger is drilled in steps and bored, so that its chips find room (our choice)."""
_SAME_MM = 1e-3


def check(view: View) -> Judgement:
    """For each bore how deep its drill goes from the nearer end, in its diameters."""
    profile = view.part.profile
    if view.features is None or profile is None:
        return NotJudged("features were not recognised")
    found, milled = [], milled_segments(view)
    for bore in view.features:
        d = bore.diameter_mm[0]
        if bore.kind != "bore" or not 0.0 < d <= DRILLED_UP_TO_MM or not _drilled_alone(view, bore):
            continue
        if bore.segments and milled.issuperset(bore.segments):
            continue  # what a hole off the axis leaves round it is no hole that is drilled
        deep = _depth(view, bore, profile.length_mm)
        if deep / d > NOTE:
            found.append(_finding(view, bore, deep))
    return found


def _drilled_alone(view: View, bore: Feature) -> bool:
    """Whether no tube brings the hole with it."""
    piece = view.stock.choice if view.stock is not None else None
    return piece is None or (piece.inner_diameter_mm or 0.0) < 0.5 * bore.diameter_mm[0]


def _depth(view: View, bore: Feature, length: float) -> float:
    """How far its drill goes in it: over what is as narrow, from whichever end is open.

    Where a wider bore leads to it, that length is free for chips and does not count. Right through
    the part it is drilled from either end, half of it each, where the plan turns that round.
    """
    low, high = bore.z_mm
    whole = high - low
    right_through = bool(bore.parameters.get("through")) and whole >= length - _SAME_MM
    return whole / 2.0 if right_through and len(view.setups or ()) > 1 else whole


def _finding(view: View, bore: Feature, deep: float) -> Finding:
    inch, d = view.shop.inch, bore.diameter_mm[0]
    ratio = deep / d
    limit = WARNED if ratio > WARNED else NOTE
    halved = deep < bore.z_mm[1] - bore.z_mm[0] - _SAME_MM
    halves = ", half of it from either end" if halved else ""
    return Finding(
        rule=NAME,
        level="warning" if ratio > WARNED else "note",
        message=(
            f"The hole of ⌀{length_text(d, inch)} at z {span_text(bore.z_mm, inch)} is "
            f"{length_text(round(deep, 2), inch)} deep{halves}: {mm_text(ratio, 1)} diameters, "
            f"where {limit:g} are the usual {'limit' if limit == WARNED else 'depth at once'}. "
            f"{WHY} "
            "Make it shorter or wider, or wider over part of its depth from one end."
        ),
        where=where_of_feature(bore),
        basis=Basis(BASIS, "common-practice"),
        measured=ratio,
        limit=limit,
        unit="diameters",
    )


def _bored(d: float, depth: float, length: float = 80.0) -> View:
    r = d / 2.0
    through = depth >= length
    points = (
        [(0, r), (length, r), (length, 12), (0, 12)]
        if through
        else [(0, 0), (length - depth, 0), (length - depth, r), (length, r), (length, 12), (0, 12)]
    )
    bore = Feature(
        "F1", "bore", "inner", (length - depth, length), (d, d), ("S1" if through else "S3",), (),
        {"depth_mm": depth, "through": through, "bottom": "open" if through else "flat"},
    )  # fmt: skip
    return drawn_view(points, features=(bore,))


def _off_the_axis() -> View:
    """⌀2 round the axis is all that a hole of ⌀12 and 5 mm off it leaves open there."""
    view = _bored(2.0, 80.0)
    assert view.part.profile is not None
    ring = [(s.curve, (n,)) for n, s in enumerate(view.part.profile.outline.segments, 1)]
    part = drawn_part(make_profile([ring]), faces=(Face(1, None, "milled"),))
    return replace(view, part=part)


EXAMPLES = (
    Example("⌀8 and 30 deep", lambda: _bored(8.0, 30.0)),
    Example("⌀16 through 80", lambda: _bored(16.0, 80.0)),
    Example("a hole off the axis, past which ⌀2 are open", _off_the_axis),
    Example("⌀6 and 50 deep", lambda: _bored(6.0, 50.0), ("note",)),
    Example("⌀5 and 60 deep", lambda: _bored(5.0, 60.0), ("warning",)),
)
