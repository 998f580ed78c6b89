"""An eccentric that no tool gets at once it is set over, for what swings beside it."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.model import Departure
from turnability.rules.drawn import Example, drawn_part, drawn_set_over, drawn_view
from turnability.rules.eccentric_not_held import is_milled
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.units import length_text, span_text

NAME = "eccentric-not-reached"
LEVELS = ("error",)
WHY = (
    "Set over, its shoulders swing by the offset beyond their radius, and a tool must reach down "
    "past them."
)
LIMIT = "a tool of the shop, or two, that get at all of the eccentric between what swings beside it"
BASIS = "the tools' outlines in the work as it swings, taken for round"


def check(view: View) -> Judgement:
    """An error for each cylinder of an eccentric outside that no tool gets down to.

    A boss that stands clear of the axis is milled as well as turned: none of it.
    """
    if not any(d.kind == "eccentric" for d in view.part.departures):
        return ()
    if view.plan is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    known = {d.id: d for d in view.part.departures}
    inch = view.shop.inch
    found = []
    for cut in (cut for one in view.plan.set_over for cut in one.cuts):
        if cut.needs_mm is None or is_milled(known[cut.departure]):
            continue
        deep, wide = cut.needs_mm
        between = (
            f"between shoulders {length_text(round(wide, 3), inch)} apart, "
            f"{length_text(round(deep, 3), inch)} deep"
            if deep > 0.0
            else f"{length_text(round(wide, 3), inch)} long beside its shoulder"
        )
        found.append(
            Finding(
                rule=NAME,
                level="error",
                message=(
                    f"{cut.departure} of ⌀{length_text(round(cut.diameter_mm, 3), inch)} at z "
                    f"{span_text(cut.z_mm, inch)} lies {between} as it swings, and no tool of the "
                    f"shop gets at all of it. {WHY} List a blade that reaches so far, lower the "
                    "shoulders, or make it longer."
                ),
                where=Where(faces=known[cut.departure].faces, z_mm=cut.z_mm),
                basis=Basis(BASIS, "geometry"),
                measured=deep,
                unit="mm",
            )
        )
    return found


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


EXAMPLES = (
    Example("a part without eccentrics", drawn_view),
    Example("a pin between cheeks as low as it", lambda: _crank(8.0)),
    Example("the same between cheeks of 30", lambda: _crank(30.0), ("error",)),
)
