"""A standard centre hole that no centre drill of the shop makes as it is drawn."""

from __future__ import annotations

import math

from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.profile import drawn_profile
from turnability.reach.model import Left
from turnability.rules.drawn import Example, drawn_left, drawn_view
from turnability.rules.elsewhere import in_closed_hollow
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.units import length_text

NAME = "centre-drill-missing"
LEVELS = ("warning", "note")
WHY = "A centre hole is made in one go by the centre drill of its size; any shop can have one."
LIMIT = "centre holes of a standard's sizes; up to 0.2 mm off the drawn form a note"
BASIS = "common practice, no source; ISO 6411 and DIN 332 for the forms"
LITTLE_MM = 0.2
"""So little off its drawn form a centre hole serves as well (our choice)."""


def check(view: View) -> Judgement:
    """One finding for each centre hole of which something stays."""
    if view.reach is None:
        return NotJudged("reach was not computed")
    if view.features is None:
        return NotJudged("features were not recognised")
    found: dict[str, list[Left]] = {}
    for left in view.reach.left:
        hole = centre_hole_of(left, view)
        if hole is not None:
            found.setdefault(hole.id, []).append(left)
    return [_finding(view, hole, found[hole.id]) for hole in view.features if hole.id in found]


def centre_hole_of(left: Left, view: View) -> Feature | None:
    """The centre hole of a standard's size that all of this region lies in, if there is one."""
    known = segments_by_id(view.part)
    real = {s for s in left.segments if s in known and known[s].surface != "axis"}
    if not real or in_closed_hollow(left, view):
        return None
    for feature in view.features or ():
        if feature.kind == "centre-hole" and feature.matches and real <= set(feature.segments):
            return feature
    return None


def _finding(view: View, hole: Feature, left: list[Left]) -> Finding:
    inch = view.shop.inch
    match = hole.matches[0]
    deepest = max(one.deepest_mm for one in left)
    little = deepest <= LITTLE_MM
    listed = any("pilot_diameter_mm" in tool.limits for tool in view.shop.tools)
    end = "low" if hole.z_mm[0] <= 1e-6 else "high"
    what = (
        f"The shop's centre drills leave up to {length_text(deepest, inch)} of it"
        if listed
        else "The shop lists no centre drill"
    )
    return Finding(
        rule=NAME,
        level="note" if little else "warning",
        message=(
            f"The centre hole {match.designation} ({match.standard}) in the {end} end. {what}: "
            + (
                "it serves as well."
                if little
                else "draw one that the shop's make, or list the centre drill of its size."
            )
        ),
        where=where_of(view, hole.segments),
        basis=Basis(BASIS, "common-practice"),
        measured=deepest,
        limit=LITTLE_MM,
        unit="mm",
    )


def _with_hole(cone_left_mm: float | None) -> View:
    """A shaft with a centre hole A 2.5/5.3 in its high end, of whose cone so much is left."""
    seat = (5.3 - 2.5) / 2.0 * math.sqrt(3.0)
    pilot, tip = 60.0 - seat, 60.0 - seat - 1.5
    points = [
        (0, 0), (tip, 0), (tip + 1.25 / math.sqrt(3.0), 1.25), (pilot, 1.25), (60, 2.65), (60, 10),
        (0, 10),
    ]  # fmt: skip
    features = recognise(drawn_profile(points))
    if cone_left_mm is None:
        return drawn_view(points, features=features)
    (hole,) = (one for one in features if one.kind == "centre-hole")
    skin = [(pilot, 1.25), (60.0, 2.65), (60.0, 2.65 - cone_left_mm)]
    left = (drawn_left(hole.segments[-1:], skin, ("no-tool",), cone_left_mm),)
    return drawn_view(points, features=features, left=left)


EXAMPLES = (
    Example("a centre hole that the shop's centre drill makes", lambda: _with_hole(None)),
    Example("its cone 0.1 mm off", lambda: _with_hole(0.1), ("note",)),
    Example("its cone not cut at all", lambda: _with_hole(1.0), ("warning",)),
)
