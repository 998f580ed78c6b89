"""Stands so far out that it wants the tailstock, but its free end carries no centre."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.half_plane.curves import Point
from turnability.intent.model import Intent
from turnability.part.model import Profile
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.holding.centres import centre_hole_mm, no_centre
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.holding.support import wants_support
from turnability.units import length_text, mm_text

NAME = "no-room-for-centre"
LEVELS = ("warning",)
WHY = "Without a centre it bends away from the tool, chatters, and may climb over it."
NEARLY = 0.5
"""An end narrower than this share of the hole's mouth is a point or a dome (our choice)."""
_SAME_MM = 1e-3
LIMIT = "4 diameters out of the chuck; a centre hole of the size for the work (ISO 6411, form A)"
BASIS = "common practice; sizes of centre holes of ISO 6411 as recalled, not checked"


def check(view: View) -> Judgement:
    """A warning for each setup that wants a tailstock, which some lathe has, and cannot use it."""
    profile = view.part.profile
    if profile is None or view.setups is None:
        return NotJudged("no plan of setups was made")
    if not any(machine.tailstock for machine in view.shop.machines):
        return ()  # long-slender judges what stands out without any
    found = []
    for setup in view.setups:
        if setup.support != "none" or not wants_support(profile, setup.toward_chuck, setup.grip):
            continue
        end = setup.free_end
        why = no_centre(profile, "high" if end == "high" else "low", view.intent)
        if why is None:
            continue
        at = profile.length_mm if end == "high" else 0.0
        ratio = slenderness(profile, setup.toward_chuck, setup.grip.z_mm)
        hole = centre_hole_mm(profile.max_diameter_mm)
        want = "" if hole is None else f" (⌀{length_text(hole.value, view.shop.inch)} at its mouth)"
        radii = [r for z, r in _corners(profile) if abs(z - at) <= _SAME_MM]
        if min(radii, default=0.0) > _SAME_MM:
            way = "Close the bore with a plug that takes the centre, let"
        elif hole is not None and 2.0 * max(radii, default=0.0) >= NEARLY * hole.value:
            way = f"Let a centre hole stay there{want}, let"
        else:
            way = "Let"  # a point or a dome is what the part is for
        found.append(
            Finding(
                rule=NAME,
                level="warning",
                message=(
                    f"In setup {setup.order} it stands out by {mm_text(ratio, 1)} diameters, which "
                    f"wants the tailstock, but at the {end} end {why}. {WHY} {way} the "
                    "part be cut longer, and the piece with the centre in it be cut off last"
                    ", or make it shorter or thicker."
                ),
                where=where_of(view, (), [(at, 0.0), (at, profile.max_diameter_mm / 2.0)]),
                basis=Basis(BASIS, "common-practice"),
                measured=ratio,
                limit=CHUCK_ONLY_LIMIT.value,
                unit="diameters",
            )
        )
    return found


def _corners(profile: Profile) -> Iterator[Point]:
    return (p for s in profile.outline.segments for p in (s.curve.start, s.curve.end))


def _rod(tip: float, intent: Intent | None = None) -> View:
    points = [(0, 0), (80, 0), (80, tip), (70, 5), (0, 5)] if tip else [(0, 0), (80, 0), (70, 5),
              (0, 5)]  # fmt: skip
    return drawn_view(points, intent=intent)


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a rod with a plane end", lambda: _rod(4.9)),
    Example("a rod with a pointed end", lambda: _rod(0.0), ("warning",)),
    Example(
        "a rod of which the drawing keeps centre holes off",
        lambda: _rod(4.9, Intent(centre_holes=())),
        ("warning",),
    ),
)
