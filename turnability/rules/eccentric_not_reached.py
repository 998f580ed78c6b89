"""An eccentric that no tool gets at once it is set over, for what swings beside it."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.model import Departure
from turnability.rules.drawn import Example, drawn_part, drawn_set_over, drawn_view
from turnability.rules.eccentric_not_held import is_milled
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.setups.model import OffsetCut
from turnability.units import length_text, span_text

NAME = "eccentric-not-reached"
LEVELS = ("error", "warning")
WHY = (
    "Set over, its shoulders swing by the offset beyond their radius, and a tool must reach down "
    "past them."
)
LIMIT = "a tool of the shop, or two, that get at all of the eccentric between what swings beside it"
BASIS = "the tools' outlines in the work as it swings, taken for round"


def check(view: View) -> Judgement:
    """An error for each cylinder of an eccentric outside that no tool gets down to.

    A warning for a bore, and for a pin that stands clear of the axis: another machine may make it.
    """
    if not any(d.kind == "eccentric" for d in view.part.departures):
        return ()
    if view.plan is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    known = {d.id: d for d in view.part.departures}
    cuts = [cut for one in view.plan.set_over for cut in one.cuts if not cut.tools]
    return [
        Finding(
            rule=NAME,
            level="warning" if is_milled(known[cut.departure]) else "error",
            message=_bore_text(cut, view) if cut.kind != "turn" else _outside_text(cut, view),
            where=Where(faces=known[cut.departure].faces, z_mm=cut.z_mm),
            basis=Basis(BASIS, "geometry"),
            measured=None if cut.needs_mm is None else cut.needs_mm[0],
            unit=None if cut.needs_mm is None else "mm",
        )
        for cut in cuts
        if cut.needs_mm is not None or cut.kind != "turn"
    ]


def _outside_text(cut: OffsetCut, view: View) -> str:
    inch = view.shop.inch
    assert cut.needs_mm is not None
    deep, wide = cut.needs_mm
    between = (
        f"between shoulders {length_text(round(wide, 3), inch)} apart, "
        f"{length_text(round(deep, 3), inch)} deep"
        if deep > 0.0
        else f"{length_text(round(wide, 3), inch)} long beside its shoulder"
    )
    return (
        f"{_place(cut, inch)} lies {between} as it swings, and no tool of the shop gets at all of "
        f"it. {WHY} List a blade that reaches so far, lower the shoulders, or make it longer."
    )


def _bore_text(cut: OffsetCut, view: View) -> str:
    inch = view.shop.inch
    long = length_text(round(cut.z_mm[1] - cut.z_mm[0], 3), inch)
    return (
        f"The bore {_place(cut, inch)}, {long} long, is opened by no drill and bored by no bar of "
        "the shop once it is set over: a drill would run into a hole that stands there beside its "
        "axis, and a bar must enter what is open round that. List a drill and a bar that do, leave "
        "the hole beside it until this is bored, or have it bored on another machine."
    )


def _place(cut: OffsetCut, inch: bool) -> str:
    across = length_text(round(cut.diameter_mm, 3), inch)
    return f"{cut.departure} of ⌀{across} at z {span_text(cut.z_mm, inch)}"


def _crank(cheek_mm: float) -> View:
    """A pin of 12 between two cheeks, 2 mm off the axis."""
    r = cheek_mm / 2.0
    points = ((0, 0), (50, 0), (50, r), (30, r), (30, 8), (20, 8), (20, r), (0, r))
    ring = Departure(
        "D1",
        "eccentric",
        (9,),
        300.0,
        (20.0, 30.0),
        {"offset_mm": 2.0, "diameter_mm": 12.0, "surface": "outer"},
    )
    part = drawn_part(points, (ring,))
    assert part.profile is not None
    names = {s.id for s in part.profile.segments if s.curve.start[1] == s.curve.end[1] == 8.0}
    segments = [replace(s, faces=(9,) if s.id in names else ()) for s in part.profile.segments]
    loop = replace(part.profile.loops[0], segments=tuple(segments))
    return drawn_set_over(replace(part, profile=replace(part.profile, loops=(loop,))))


def _bored(hole_mm: float) -> View:
    """A bush of 50 with a bore of 24, 4 mm off the axis, and a hole right through on that."""
    r = hole_mm / 2.0
    points = ((0, r), (40, r), (40, 25), (0, 25))
    bore = Departure(
        "D1",
        "eccentric",
        (9,),
        9000.0,
        (20.0, 40.0),
        {"offset_mm": 4.0, "diameter_mm": 24.0, "surface": "inner"},
    )
    return drawn_set_over(drawn_part(points, (bore,)))


EXAMPLES = (
    Example("a part without eccentrics", drawn_view),
    Example("a pin between cheeks as low as it", lambda: _crank(8.0)),
    Example("a bore beside a hole that the drawn bar enters", lambda: _bored(20.0)),
    Example("the same between cheeks of 30", lambda: _crank(30.0), ("error",)),
    Example("the bore beside a hole of 12", lambda: _bored(12.0), ("warning",)),
)
