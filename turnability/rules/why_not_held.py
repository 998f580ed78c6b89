"""Why none of a part's lands is held: the nearest ones, and what the intent keeps from jaws."""

from __future__ import annotations

from turnability.part.model import Profile
from turnability.reach.model import ENDS, other_end
from turnability.rules.model import View
from turnability.setups.holding.grips import LandGrip, passable
from turnability.setups.holding.jaws import held_by_land, not_let_in
from turnability.setups.model import Land
from turnability.units import length_text, span_text

_MOST_LANDS = 2


def why_not_held(view: View, profile: Profile, grips: tuple[LandGrip, ...]) -> str:
    """The lands that come nearest to being held, and what speaks against each."""
    kept = kept_from_jaws(view)
    if not grips:
        none = "no straight, unbroken cylinder"
        return f"{kept}, and it has {none} but there" if kept else f"it has {none}"
    nearest: dict[Land, LandGrip] = {}
    for grip in sorted(grips, key=shortfall):
        nearest.setdefault(grip.land, grip)
    clauses = [_clause(view, profile, grip) for grip in list(nearest.values())[:_MOST_LANDS]]
    return "; ".join([*clauses, kept] if kept else clauses)


def kept_from_jaws(view: View) -> str:
    """What the intent keeps from jaws, which might have been held else."""
    places = view.intent.no_grip if view.intent is not None else ()
    if not places:
        return ""
    named = ", ".join(n.place.text(view.shop.inch) for n in places[:_MOST_LANDS])
    more = f" and {len(places) - _MOST_LANDS} more" if len(places) > _MOST_LANDS else ""
    return f"the intent keeps {named}{more} from being gripped"


def shortfall(grip: LandGrip) -> tuple[bool, bool, float, float]:
    """How far the holding is from taking the land: by range, then by length; long lands first."""
    side = grip.holding.outside_mm if grip.land.surface == "outer" else grip.holding.inside_mm
    return (
        not grip.fits,
        side is None,
        max(0.0, 1.0 - grip.length_mm / grip.least_mm),
        -grip.length_mm,
    )


def _clause(view: View, profile: Profile, grip: LandGrip) -> str:
    inch = view.shop.inch
    land = grip.land
    kind = "" if land.surface == "outer" else "bore "
    head = f"{kind}⌀{length_text(land.diameter_mm, inch)} at z {span_text(land.z_mm, inch)}"
    if not grip.fits:
        return f"{head} fits no jaws ({grip.obstacle})"
    if not any(passable(profile, land, end) for end in ENDS):
        return (
            f"{head} lies behind larger ends"
            if land.surface == "outer"
            else (f"{head} lies behind smaller ends")
        )
    if grip.obstacle is not None:
        return f"{head} is {length_text(grip.length_mm, inch)} long, {grip.obstacle}"
    if _hidden(view) & set(land.segments):
        return f"{head} is itself to be cut in that chucking"
    wide = _too_wide_behind(view, profile, grip)
    if wide is not None:
        deep = f"⌀{length_text(wide, inch)} behind the jaws, which no spindle of the shop lets in"
        return f"{head} would have {deep}"
    return f"{head} hides what must be cut in that chucking"


def _too_wide_behind(view: View, profile: Profile, grip: LandGrip) -> float | None:
    """What would lie behind the jaws and goes nowhere, as the last chucking would hold the land."""
    toward = view.setups[-1].toward_chuck if view.setups and len(view.setups) > 1 else None
    if toward is None:
        toward = other_end(view.setups[0].toward_chuck) if view.setups else "low"
    if not passable(profile, grip.land, toward):
        return None
    length = min(grip.length_mm, grip.least_mm)
    held = held_by_land(profile, toward, grip.holding, grip.land, length)
    return not_let_in(profile, held, view.shop)


def _hidden(view: View) -> set[str]:
    """Segments that the plan leaves because of the jaws."""
    lefts = view.setups[-1].left if view.setups else ()
    return {s for left in lefts if "jaws" in left.causes for s in left.segments}
