"""The outside may stay as the bar comes, but no such bar is kept, or more is asked of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.rules.as_the_bar import (
    BAR_OUTSIDE,
    delivered_text,
    not_known,
    own_bar,
    trueness_known,
)
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View, Where
from turnability.shop.model import StockSize
from turnability.stock.own_outside import (
    USUAL_GRADE,
    USUAL_GRADE_HEX,
    delivered,
    hexagon_mm,
    own_segments,
    why_turned,
)
from turnability.units import length_text, mm_text

NAME = "bar-outside"
LEVELS = ("warning", "note")
WHY = "What stays as it comes is as large, as round and as straight as the mill made it."
LIMIT = (
    "what is stated of that outside, within a class to which bars are delivered: h9 to h12 drawn, "
    "h6 to h8 ground; and a bar of its size on the list"
)
DRAWN_RA_UM = 1.6
BASIS = "classes of bright bar to EN 10278, from mills' tables"


def check(view: View) -> Judgement:
    """A warning where the outside is turned although it may stay; a note on what to order."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if view.intent is None or not view.intent.bar_outside:
        return ()
    inch = view.shop.inch
    size = _size(view, inch)
    why, bar = why_turned(view.part, view.intent, inch), own_bar(view)
    if why is not None:
        return (
            _finding(
                view,
                "warning",
                f"The intent lets the {size} stay as the bar comes, but {why}: it is "
                f"turned. Take that back, or leave {BAR_OUTSIDE} out.",
            ),
        )
    if bar is None or view.stock is None:
        six = hexagon_mm(profile, view.part.departures) is not None
        form, milled = ("hexagon", " and its flats are milled") if six else ("bar", "")
        return (
            _finding(
                view,
                "warning",
                f"The intent lets the {size} stay as the bar comes, but the shop's "
                f"list holds no bright {form} of its size: it is turned from a larger bar"
                f"{milled}. List that {form}, or draw it to a size that is kept.",
            ),
        )
    return (*_to_order(view, bar, size), *_as_rough(view, bar, size))


def _size(view: View, inch: bool) -> str:
    """The outside as a bar is called: by its diameter, a hexagon by what is across its flats."""
    assert view.part.profile is not None
    flats = hexagon_mm(view.part.profile, view.part.departures)
    if flats is not None:
        return f"hexagon of {length_text(round(flats, 3), inch)} across flats"
    return f"outside of ⌀{length_text(view.part.profile.max_diameter_mm, inch)}"


def _as_rough(view: View, bar: StockSize, size: str) -> Iterator[Finding]:
    """A roughness that is stated there, which no class of bars promises."""
    assert view.intent is not None
    assert view.part.profile is not None
    own = own_segments(view.part.profile, view.part.departures)
    fine = [r.ra_um for r in view.intent.roughness if own.intersection(r.place.segments)]
    if fine:
        yield _finding(
            view,
            "note",
            f"The {size} stays as {bar.name} comes, and Ra {mm_text(min(fine))} µm is "
            "stated there, of which its class says nothing: agree it with who sells the bar, or "
            f"measure it (drawn bars are about Ra {DRAWN_RA_UM:g} µm, from memory, ground finer).",
        )


def _to_order(view: View, bar: StockSize, size: str) -> Iterator[Finding]:
    """The class to order, where what is stated is tighter than bars come to by themselves."""
    comes = delivered(view.part, view.intent, bar)
    usual = USUAL_GRADE_HEX if bar.form == "hex" else USUAL_GRADE
    if comes.agreed and not trueness_known(view.shop, bar):
        yield _finding(
            view,
            "note",
            f"The {size} stays as {bar.name} comes, and what is stated of it asks for "
            f"{comes.fit}; {not_known(bar)}, and measure it before it is cut.",
        )
    elif comes.agreed:
        yield _finding(
            view,
            "note",
            f"The {size} stays as {bar.name} comes, and what is stated of it asks for "
            f"{delivered_text(comes, view.shop, bar)}, where bars come to h{usual.value:g} by "
            f"themselves: order it {comes.condition} to {comes.fit}, and measure it before it is "
            "cut.",
        )


def _finding(view: View, level: Level, message: str) -> Finding:
    profile = view.part.profile
    assert profile is not None
    own = own_segments(profile)
    faces = {f for s in profile.outline.segments if s.id in own for f in s.faces}
    return Finding(
        rule=NAME,
        level=level,
        message=f"{message} {WHY}",
        where=Where(
            tuple(s.id for s in profile.outline.segments if s.id in own),
            tuple(sorted(faces)),
            diameter_mm=(profile.max_diameter_mm, profile.max_diameter_mm),
        ),
        basis=Basis(BASIS, "standard"),
    )


def _rod(*bars: float, **intent: object) -> View:
    view = drawn_view([(0, 0), (60, 0), (60, 10), (0, 10)], shop=drawn_shop(bars))
    return replace(view, intent=Intent(bar_outside=True, **intent))  # type: ignore[arg-type]


def _held_to(least_mm: float, most_mm: float) -> View:
    place = Named(segments=("S3",))
    stated = Tolerance("diameter", place, "as drawn", deviations_mm=(least_mm, most_mm))
    return _rod(20.0, 22.0, tolerances=(stated,))


EXAMPLES = (
    Example("a rod whose bar is kept, nothing stated", lambda: _rod(20.0, 22.0)),
    Example("a rod within h11", lambda: _held_to(-0.13, 0.0)),
    Example("nobody says that it may stay", drawn_view),
    Example("a rod within h9, drawn", lambda: _held_to(-0.052, 0.0), ("note",)),
    Example(
        "a rod of which Ra 0.8 is stated",
        lambda: _rod(20.0, roughness=(Roughness(Named(segments=("S3",)), 0.8),)),
        ("note",),
    ),
    Example("a rod of which no bar is kept", lambda: _rod(22.0, 25.0), ("warning",)),
    Example("a rod within ±0.005, as no bar is", lambda: _held_to(-0.005, 0.005), ("warning",)),
    Example(
        "an outside that a face must run true to",
        lambda: _rod(
            20.0,
            related=(Related("seat", (Named(segments=("S2",)), Named(segments=("S3",))), 0.02),),
        ),
        ("warning",),
    ),
)
