"""A later setup has no face cut before to be set against."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.half_plane.curves import Point
from turnability.rules.drawn import CHUCK, PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.model import Datum, Grip, Setup
from turnability.units import span_text

NAME = "no-datum-for-next-setup"
LEVELS = ("note",)
WHY = "Without a plane face against a stop, lengths begin where the part was pushed to."
LIMIT = "a plane end face, cut in an earlier setup, at the end that goes into the chuck"
BASIS = "common practice: a part chucked again is set against a face that was cut before"


def check(view: View) -> Judgement:
    """A note for each later setup without such a face."""
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    return [_finding(view, s) for s in view.setups[1:] if s.datum.segment is None]


def _finding(view: View, setup: Setup) -> Finding:
    z, r = setup.grip.z_mm, setup.grip.diameter_mm / 2.0
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"Setup {setup.order} grips z {span_text(z, view.shop.inch)} with the "
            f"{setup.toward_chuck} end to the chuck, where no plane face was cut before. {WHY} "
            "Draw a plane face there or a shoulder that a stop can meet, or measure each piece "
            "from a finished face after it is chucked."
        ),
        where=where_of(view, (), [(z[0], r), (z[1], r)]),
        basis=Basis(BASIS, "common-practice"),
    )


def _second(segment: str | None, profile: Sequence[Point] = PIN) -> View:
    bar = Setup(1, "low", Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0), Datum(None, "bar"),
                "none", (), ())  # fmt: skip
    grip = Grip(CHUCK.name, "outer", (18.0, 28.0), 16.0, 10.0)
    second = Setup(2, "high", grip, Datum(segment, "d"), "none", (), ())
    return drawn_view(profile, setups=(bar, second))


_POINTED = ((0, 0), (36, 0), (30, 8), (18, 8), (18, 11), (0, 11))
EXAMPLES = (
    Example("a pin in one setup", drawn_view),
    Example("set against its face", lambda: _second("S2")),
    Example("a pointed end in the chuck", lambda: _second(None, _POINTED), ("note",)),
)
