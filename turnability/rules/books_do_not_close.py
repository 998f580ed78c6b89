"""The turned body less what was milled away must be the solid."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.profile import drawn_profile
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import volume_text

NAME = "books-do-not-close"
LEVELS = ("warning", "note")
SHARE = 1e-6
WHY = "Where the volumes disagree, some face was read wrongly and the other answers rest on it."
LIMIT = "revolved meridian less departures equals the solid within 1e-6 of its volume"
BASIS = "geometry: the three volumes, each computed by itself"


def check(view: View) -> Judgement:
    """A warning where the volumes disagree; a note where the departures' volume is not known."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    solid, gone = profile.solid_volume_mm3, profile.departures_volume_mm3
    if solid is None:
        return NotJudged("the solid's own volume is not known")
    inch = view.shop.inch
    where = Where(z_mm=(0.0, profile.length_mm))
    turned = profile.volume_mm3
    if gone is None:
        share = (turned - solid) / turned
        return (
            Finding(
                rule=NAME,
                level="note",
                message=(
                    f"The turned body holds {volume_text(turned, inch)}, the solid "
                    f"{volume_text(solid, inch)} ({share:.2%} less). The volume of its departures "
                    "(holes, flats and the like) could not be computed from their own faces, so "
                    "it is not proven that they alone make the difference."
                ),
                where=where,
                basis=Basis(BASIS, "geometry"),
                measured=turned - solid,
                unit="mm3",
            ),
        )
    off = turned - gone - solid
    if abs(off) <= SHARE * abs(solid):
        return ()
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The turned body ({volume_text(turned, inch)}) less its departures "
                f"({volume_text(gone, inch)}) differs from the solid ({volume_text(solid, inch)}) "
                f"by {abs(off) / abs(solid):.2g} of its volume, where 1e-6 is allowed. {WHY} Check "
                "the solid for faces that overlap or are missing, and look at the drawn meridian."
            ),
            where=where,
            basis=Basis(BASIS, "geometry"),
            measured=abs(off),
            limit=SHARE * abs(solid),
            unit="mm3",
        ),
    )


def _with(lost_mm3: float, departures_mm3: float | None) -> View:
    profile = drawn_profile(PIN)
    return drawn_view(
        replace(
            profile,
            solid_volume_mm3=profile.volume_mm3 - lost_mm3,
            departures_volume_mm3=departures_mm3,
        )
    )


EXAMPLES = (
    Example("a pin that is all turned", lambda: _with(0.0, 0.0)),
    Example("a pin with a cross hole of 100 mm3", lambda: _with(100.0, 100.0)),
    Example("the same hole, its volume not known", lambda: _with(100.0, None), ("note",)),
    Example("a hole too little", lambda: _with(100.0, 50.0), ("warning",)),
)
