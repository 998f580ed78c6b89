"""The turned body less what was milled away must be the solid."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.model import Part
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View, Where
from turnability.rules.speak import volume_text
from turnability.units import span_text

NAME = "books-do-not-close"
LEVELS = ("error", "warning", "note")
AIM = 1e-6
DOUBTED_FROM = 1e-4
"""As much as an edge break of 0.2 mm on one end of a pin of 20 by 40 mm: such a place may be
missing. Below it no turned place can hide, and what real files showed (1e-6 to 4e-5 of the volume
on nine parts of 50) was the width of the gaps between their own faces."""
WRONG_FROM = 5e-3
"""As much as a whole groove or bore. Of the same parts the worst that were read rightly came to
4e-4, and the one that was read wrongly to 0.97."""
LIMIT = (
    "revolved meridian less departures equals the solid: 1e-6 of its volume is the aim; a warning "
    "from 1e-4 (a small edge break may be missing), an error from 5e-3 (a groove or bore may be)"
)
WHY = "Where the volumes disagree, some face was read wrongly and the other answers rest on it."
BASIS = "geometry: the three volumes, each computed by itself"
_SAID_BY_PART = ("the books close", "turned body less departures differs", "the volume of D")


def check(view: View) -> Judgement:
    """How far the volumes disagree, by level; a note where a departure's volume is not known."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    solid, gone = profile.solid_volume_mm3, profile.departures_volume_mm3
    if solid is None:
        return NotJudged("the solid's own volume is not known")
    inch, turned = view.shop.inch, profile.volume_mm3
    where = Where(z_mm=view.part.open_z_mm or (0.0, profile.length_mm))
    basis = Basis(BASIS, "geometry")
    if gone is None:
        text = (
            f"The turned body holds {volume_text(turned, inch)}, the solid "
            f"{volume_text(solid, inch)} ({(turned - solid) / turned:.2%} less). The volume of "
            f"{_unknown(view.part)} could not be computed from faces of its own, so it is not "
            "proven that departures alone make the difference."
        )
        return (Finding(NAME, "note", text, where, basis, measured=turned - solid, unit="mm3"),)
    off = turned - gone - solid
    share = abs(off) / abs(solid)
    if share <= AIM:
        return ()
    text = (
        f"The turned body ({volume_text(turned, inch)}) less its departures "
        f"({volume_text(gone, inch)}) differs from the solid ({volume_text(solid, inch)}) by "
        f"{share:.2g} of its volume, where {AIM:g} is the aim"
    )
    level: Level
    if share < DOUBTED_FROM:
        level, limit = "note", AIM
        text += f"{_gaps(view.part)}. No turned place is so small."
    elif share < WRONG_FROM:
        level, limit = "warning", DOUBTED_FROM
        text += (
            f"{_place(view)}{_gaps(view.part)}. A small edge break or fillet could be missing: "
            "look at the drawn section."
        )
    else:
        level, limit = "error", WRONG_FROM
        text += (
            f"{_place(view)}. {WHY} Look at the drawn section, and repair the model (faces that "
            "overlap or are missing) or export it again."
        )
    return (
        Finding(
            NAME, level, text, where, basis, measured=abs(off), limit=limit * abs(solid), unit="mm3"
        ),
    )


def is_said_here(words: str) -> bool:
    """Whether a remark or doubt of the part's reading is about its books: once is enough."""
    return words.startswith(_SAID_BY_PART)


def _place(view: View) -> str:
    """Where along the axis they were seen to disagree."""
    found = view.part.open_z_mm
    return "" if found is None else f", seen at z = {span_text(found, view.shop.inch)}"


def _gaps(part: Part) -> str:
    """What the reading itself says of the difference: the file's own gaps."""
    for remark in part.remarks:
        if is_said_here(remark) and ";" in remark:
            return f"; {remark.partition(';')[2].strip()}"
    return ""


def _unknown(part: Part) -> str:
    names = [d.id for d in part.departures if d.volume_mm3 is None]
    return ", ".join(names) if names else "the departures"


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
    Example("a pin with a cross hole of 100 mm³", lambda: _with(100.0, 100.0)),
    Example("the same hole, its volume not known", lambda: _with(100.0, None), ("note",)),
    Example("off by the width of a file's gaps", lambda: _with(100.0, 99.9), ("note",)),
    Example("an edge break too little", lambda: _with(100.0, 98.0), ("warning",)),
    Example("a cross hole of which half was found", lambda: _with(100.0, 50.0), ("error",)),
)
