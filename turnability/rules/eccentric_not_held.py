"""An eccentric that nothing of the shop holds set over to its own axis."""

from __future__ import annotations

from turnability.part.model import Departure
from turnability.rules.drawn import PIN, Example, drawn_part, drawn_set_over
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.setups.set_over.eccentrics import missing_text
from turnability.setups.surfaces.swept import is_eccentric_bore, number
from turnability.units import length_text

NAME = "eccentric-not-held"
LEVELS = ("error", "warning")
WHY = (
    "What lies off the axis is turned in a chucking of its own, the work set over by the offset in "
    "independent jaws or between offset centres."
)
LIMIT = "a holding of the shop that sets the part over, on an outside that runs true to its axis"
BASIS = "how eccentrics are turned is common practice, no source; the holdings of the shop file"


def check(view: View) -> Judgement:
    """A finding for each chucking that would turn eccentrics and is held by nothing there is.

    An error where an outside round the axis is among them: it is the part's own shape, and no plan
    makes it. A bore may be drilled or bored on another machine, as other holes beside the axis are,
    and a boss that stands clear of the axis is milled: a warning.
    """
    if not any(d.kind == "eccentric" for d in view.part.departures):
        return ()
    if view.plan is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    known = {d.id: d for d in view.part.departures}
    inch = view.shop.inch
    return tuple(
        Finding(
            rule=NAME,
            level="warning" if all(is_milled(known[d]) for d in one.departures) else "error",
            message=(
                f"{' and '.join(one.departures)} {'lies' if len(one.departures) == 1 else 'lie'} "
                f"{length_text(round(one.offset_mm, 3), inch)} off the axis. {WHY} It takes "
                f"{missing_text(one, inch)}. State such a holding in the shop file, have it made "
                "elsewhere, or let it run true to the axis."
            ),
            where=_where(known, one.departures),
            basis=Basis(BASIS, "shop"),
            measured=one.offset_mm,
            limit=0.0,
            unit="mm",
        )
        for one in view.plan.set_over
        if one.missing is not None
    )


def is_milled(one: Departure) -> bool:
    """Whether another machine makes it as well: a hollow, or an outside that the axis runs past."""
    return is_eccentric_bore(one) or number(one, "offset_mm") >= number(one, "diameter_mm") / 2.0


def _where(known: dict[str, Departure], names: tuple[str, ...]) -> Where:
    z = [z for name in names for z in known[name].z_mm]
    faces = tuple(sorted({face for name in names for face in known[name].faces}))
    return Where(faces=faces, z_mm=(min(z), max(z)))


def _pin(four_jaw: bool, surface: str = "outer", diameter_mm: float = 14.0) -> View:
    """The drawn pin with a journal 1 mm off the axis, at its thin end."""
    journal = Departure(
        "D1",
        "eccentric",
        (9,),
        300.0,
        (18.0, 30.0),
        {"offset_mm": 1.0, "diameter_mm": diameter_mm, "surface": surface},
    )
    return drawn_set_over(drawn_part(PIN, (journal,)), four_jaw)


EXAMPLES = (
    Example("an eccentric pin where there are four independent jaws", lambda: _pin(four_jaw=True)),
    Example("the same where there are none", lambda: _pin(four_jaw=False), ("error",)),
    Example("an eccentric bore there", lambda: _pin(four_jaw=False, surface="inner"), ("warning",)),
    Example("a boss clear of the axis", lambda: _pin(False, diameter_mm=2.0), ("warning",)),
)
