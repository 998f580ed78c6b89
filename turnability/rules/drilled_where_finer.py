"""A bore stated finer than a drill leaves it, which the plan leaves to a drill."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from turnability.intent.agree import together
from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.model import Intent, Named, Related, Roughness, Span, Tolerance
from turnability.rules.bar_arithmetic import BORE_KEY, bar_wanted
from turnability.rules.drawn import BORING_BAR, TURNING_TOOL, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, Level, NotJudged, View
from turnability.rules.related_surfaces_split import told_of_drills
from turnability.rules.speak import where_of
from turnability.setups.bores.as_drilled import AsDrilled, left_as_drilled
from turnability.setups.bores.drilling import LEFT_TO_BORE_MM
from turnability.setups.bores.reaming import best_before, fits, makes_mm
from turnability.setups.model import Datum, Grip, Operation, Plan, Rechucked, Setup
from turnability.setups.surfaces.finer import FineBore
from turnability.shop.books import drilled_for_mm, reaming_allowance
from turnability.shop.load import tools_of
from turnability.shop.model import Tool
from turnability.shop.told_apart import (
    CHIPS_OF_FLUTE,
    DRILLED_GRADE,
    DRILLED_RA_UM,
    diameter_of,
    is_bar,
    is_reamer,
    is_twist,
)
from turnability.units import length_text, mm_text, number_text, span_text

NAME = "drilled-where-finer"
LEVELS = ("error", "warning", "note")
WHY = "A drill cuts larger than itself, by how much nobody knows before, and tears its wall."
LIMIT = (
    "IT12 and Ra 6.3 µm, which a drill leaves; an error finer than IT11 or Ra 1.6 µm where "
    "the bore itself is stated so, else a warning; what is stated of the whole part counts one "
    "level less"
)
BASIS = (
    "grades of ISO 286-1; that a drill holds IT12, with care IT11, and leaves Ra 6.3 µm, at its "
    "best 1.6, is what handbooks say, from memory"
)
BEST_GRADE = 11
"""What a sharp drill after a pilot may hold in easy material (common practice, from memory)."""
BEST_RA_UM = 1.6
_SAME_MM = 1e-3
_ANY = math.inf
_OUT_MM = 3.0
"""A reamer's end must come out of a through bore by its lead and a little more."""
_LEVELS: tuple[Level, ...] = ("error", "warning", "note")


def check(view: View) -> Judgement:
    """An error for each bore that the shop's drill leaves coarser than it is stated.

    A warning where a good drill might just hold it; one level less where the drawing says it of the
    whole part. No bore of a thread: that is tapped.
    """
    view = view.as_turned()
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if view.setups is None:
        return NotJudged("no plan of setups was made")
    tapped = {s for f in view.features or () if f.kind == "thread" for s in (*f.segments,)}
    meant = together(view.intent, view.part)
    found = left_as_drilled(profile, view.part.stated, meant, view.setups, view.shop)
    return [_finding(view, one) for one in found if not tapped & set(one.segments)]


def _finding(view: View, one: AsDrilled) -> Finding:
    inch, bore = view.shop.inch, one.bore
    d = bore.diameter_mm
    holds = fit_limits(FitClass("h", DRILLED_GRADE), d).width_mm
    where = where_of(view, one.segments)
    asked, leaves = [], []
    if bore.width_mm is not None and holds is not None:
        fit = f" ({bore.fit})" if bore.fit else ""
        asked.append(f"may vary by {length_text(bore.width_mm, inch)}{fit}")
        leaves.append(f"holds IT{DRILLED_GRADE} ({length_text(holds.value, inch)})")
    if bore.ra_um is not None:
        everywhere = ", as everywhere" if bore.everywhere_ra else ""
        asked.append(f"is to have Ra {mm_text(bore.ra_um)} µm{everywhere}")
        leaves.append(f"leaves Ra {DRILLED_RA_UM:g} µm")
    place = "" if where.z_mm is None else f" at z {span_text(where.z_mm, inch)}"
    by_size = bore.width_mm is not None and holds is not None
    alone = f"{one.tool} alone makes it"
    if one.after is not None:
        alone = f"before {one.after} gets in much of it is made by {one.tool}"
    head = (
        f"The bore of ⌀{length_text(d, inch)}{place} {' and '.join(asked)}, but {alone}, which "
        f"{' and '.join(leaves)}. "
    )
    remedy, led = _remedy(view, one), _led_in(view, one)
    by_reamer = Finding(
        rule=NAME,
        level=_level(bore),
        message=head + remedy.text,
        where=where,
        basis=Basis(BASIS, "standard" if by_size else "handbook"),
        measured=bore.width_mm if by_size else bore.ra_um,
        limit=holds.value if by_size and holds is not None else DRILLED_RA_UM,
        unit="mm" if by_size else "µm",
        change=remedy.change,
        otherwise=head + remedy.otherwise,
        listed=remedy.listed,
    )
    if led is None:
        return by_reamer
    return replace(
        by_reamer,
        message=head + led.text,
        change=led.change,
        otherwise=None,
        listed=led.listed,
        instead=by_reamer,
    )


def _led_in(view: View, one: AsDrilled) -> _Remedy | None:
    """The drill that lets a bar of the shop in and leaves it something, where that is all it lacks.

    None where no bar goes in and as deep as the bore, or where such a drill is there.
    """
    d, tools, inch = one.bore.diameter_mm, view.shop.tools, view.shop.inch
    most = d - LEFT_TO_BORE_MM
    bars = [
        (tool.limits[BORE_KEY], tool.name)
        for tool in tools
        if is_bar(tool)
        and tool.limits.get(BORE_KEY, d) <= most
        and tool.limits.get("overhang_mm", 0.0) >= one.deep_mm - _SAME_MM
    ]
    twist = [diameter_of(tool) for tool in tools if is_twist(tool)]
    if not bars or not one.bore.by_itself:
        return None
    least, bar = min(bars)
    if any(least - _SAME_MM <= size <= most + _SAME_MM for size in twist):
        return None
    size = _between(least, most)
    wants = f"{length_text(size, inch)} ({span_text((least, round(most, 6)), inch)} would do)"
    text = f"Bore it: list a drill of {wants}, which lets {bar} in and leaves it something to take"
    flutes = one.deep_mm + _OUT_MM + CHIPS_OF_FLUTE * size
    listed = tools_of({"kind": "drill", "diameter_mm": size, "flute_length_mm": flutes})
    change = Change(f"{text}.", "drill_diameter_mm", _drill_mm(view, one), size, proven=False)
    wider = "state it wider" if one.bore.width_mm is not None else "state it rougher"
    return _Remedy(f"{text}, or {wider}.", text, change, tuple(listed))


def _between(least_mm: float, most_mm: float) -> float:
    """A size that drills have: the greatest full, half or tenth one in there, or its middle."""
    for step in (1.0, 0.5, 0.1):
        size = round(math.floor(most_mm / step + _SAME_MM) * step, 6)
        if size >= least_mm - _SAME_MM:
            return size
    return round((least_mm + most_mm) / 2.0, 3)


def _level(bore: FineBore) -> Level:
    """The worse of what size and surface come to."""
    worst = 2
    best = fit_limits(FitClass("h", BEST_GRADE), bore.diameter_mm).width_mm
    if bore.width_mm is not None:
        far = best is not None and bore.width_mm < best.value - 1e-9
        worst = min(worst, (0 if far else 1) + bore.everywhere_width)
    if bore.ra_um is not None:
        worst = min(worst, (0 if bore.ra_um < BEST_RA_UM - 1e-9 else 1) + bore.everywhere_ra)
    return _LEVELS[worst]


@dataclass(frozen=True, slots=True)
class _Remedy:
    """What would make the bore, in words; `listed` are the tools by which that is proven."""

    text: str
    otherwise: str
    change: Change | None = None
    listed: tuple[Tool, ...] = ()


def _remedy(view: View, one: AsDrilled) -> _Remedy:
    inch, bore, tools = view.shop.inch, one.bore, view.shop.tools
    d = bore.diameter_mm
    bar = _lower(bar_wanted(view.shop, d, one.deep_mm, "fine"))
    wider = "state it wider" if bore.width_mm is not None else "state it rougher"
    if set(one.segments) & told_of_drills(view):
        text = (
            "As it must run true to other surfaces too, a reamer alone does not do: "
            f"{bar}, or {wider}."
        )
        return _Remedy(text, text)
    other = f"Else {bar}, or {wider}."
    sized = [t for t in tools if is_reamer(t) and abs(diameter_of(t) - d) <= _SAME_MM]
    long = [t for t in sized if t.limits["usable_length_mm"] >= _flutes_mm(one, t) - _SAME_MM]
    own = next((t for t in long if fits(t, bore)), None)
    head = _why_not(view, one, sized, long) if own is None else ""
    reamer = own or _new_reamer(view, one)
    any_before = best_before(reamer, tools)
    before = [t for t in any_before if t.limits.get("usable_length_mm", _ANY) >= one.deep_mm]
    drill = next(iter(before), None)
    listed = tuple(
        tool for tool in (None if own else reamer, None if drill else _new_drill(reamer)) if tool
    )
    if not listed:
        text = (
            f"{reamer.name} after {before[0].name} would finish it, but does not get at the whole "
            f"of it as the work is held. {other}"
        )
        return _Remedy(text, text)
    hole = f"a drill of {length_text(round(drilled_for_mm(d), 3), inch)}"
    if any_before:
        hole += f" that goes {length_text(round(one.deep_mm, 2), inch)} deep"
    wanted = f"a reamer of ⌀{length_text(d, inch)}{_limits_text(view, bore, reamer)} that cuts "
    wanted += f"{length_text(round(_flutes_mm(one, reamer), 2), inch)} deep"
    if own is not None:
        text = (
            f"Ream it: the shop has {own.name}, but no drill that leaves it something to take"
            f"{' and goes as deep' if any_before else ''}. List {hole}"
        )
    elif drill is not None:
        text = f"{head}Ream it: list {wanted}, and run {drill.name} before it"
    else:
        text = f"{head}Ream it: list {wanted}, and {hole} to go before it"
    first = "drill_diameter_mm" if own is not None else "reamer_diameter_mm"
    to = round(drilled_for_mm(d), 6) if own is not None else d
    was = _drill_mm(view, one) if own is not None else None
    change = Change(f"{text}.", first, was, to, proven=False) if bore.by_itself else None
    return _Remedy(
        f"{text}. {other}",
        f"{bar[0].upper()}{bar[1:]}, or {wider}.",
        change,
        listed if change else (),
    )


def _why_not(view: View, one: AsDrilled, sized: list[Tool], long: list[Tool]) -> str:
    """Why no reamer that the shop has of this size does; empty where it has none."""
    inch = view.shop.inch
    if long:
        makes = makes_mm(long[0])
        span = "" if makes is None else f" ({_span_text(makes, inch)})"
        return f"The shop's {long[0].name} is ground for {long[0].fit}{span}. "
    if sized:
        longest = max(sized, key=lambda t: (t.limits["usable_length_mm"], t.name))
        flutes = length_text(longest.limits["usable_length_mm"], inch)
        stated = longest.limits["usable_length_mm"] > longest.limits["cutting_length_mm"]
        neck = "" if stated else " (state its overall_length_mm if its neck follows into the bore)"
        return f"The shop's {longest.name} cuts {flutes} deep at most{neck}. "
    return ""


def _drill_mm(view: View, one: AsDrilled) -> float | None:
    return next((diameter_of(t) for t in view.shop.tools if t.name == one.tool), None)


def _new_reamer(view: View, one: AsDrilled) -> Tool:
    """A reamer that would do, to prove it by: from either end, and out of it."""
    bore, profile = one.bore, view.part.profile
    deep = one.deep_mm if profile is None else profile.length_mm
    table = {
        "kind": "reamer",
        "diameter_mm": bore.diameter_mm,
        "cutting_length_mm": deep + _OUT_MM,
        "allowance_mm": reaming_allowance(bore.diameter_mm).most.value,
    }
    (made,) = tools_of(table)
    if fits(made, bore) or bore.fit is None:
        # where limits alone are stated it is ground for these
        return made if fits(made, bore) else replace(made, fit=None)
    return replace(made, fit=bore.fit)


def _new_drill(reamer: Tool) -> Tool:
    size = drilled_for_mm(diameter_of(reamer))
    long = reamer.limits["usable_length_mm"] + CHIPS_OF_FLUTE * size
    (made,) = tools_of({"kind": "drill", "diameter_mm": size, "flute_length_mm": long})
    return made


def _flutes_mm(one: AsDrilled, reamer: Tool) -> float:
    """How long its flutes must be: out of a through bore by its lead."""
    return one.deep_mm + (reamer.limits["lead_mm"] if one.through else 0.0)


def _limits_text(view: View, bore: FineBore, reamer: Tool) -> str:
    """The reamer's class and what it must keep to, " H7 (6 to 6.012 mm)", as far as is known."""
    fit = f" {reamer.fit}" if reamer.fit else ""
    if bore.limits_mm is None:
        return fit
    return f"{fit} ({_span_text(bore.limits_mm, view.shop.inch)})"


def _span_text(limits: Span, inch: bool) -> str:
    return f"{number_text(limits[0], inch)} to {length_text(limits[1], inch)}"


def _lower(text: str) -> str:
    return f"{text[0].lower()}{text[1:]}"


_DRILL = Tool("drill 6", "drill", "end", True, "neutral", TURNING_TOOL.outlines,
              limits={"diameter_mm": 6.0, "point_angle_deg": 118.0})  # fmt: skip
(_REAMER,) = tools_of({"kind": "reamer", "diameter_mm": 6.0, "cutting_length_mm": 26.0})


def _bush(
    width_mm: float | None = None,
    ra_um: float | None = None,
    everywhere: float | None = None,
    by: str = "drill 6",
    more: tuple[Tool, ...] = (),
    true: bool = False,
) -> View:
    """A bush of 20 mm with a bore of ⌀6 that a tool, by name, finishes."""
    place = Named(diameter_mm=(6.0, 6.0))
    tolerances = () if width_mm is None else (
        Tolerance("diameter", place, f"+{width_mm}/0", width_mm=width_mm, nominal_mm=6.0),
    )  # fmt: skip
    intent = Intent(
        tolerances=tolerances,
        roughness=() if ra_um is None else (Roughness(place, ra_um),),
        ra_um=everywhere,
        related=(Related("bore", (place, Named(diameter_mm=(20.0, 20.0))), 0.05),) if true else (),
    )
    made = Operation(by, ("S1",), "drill" if by.startswith("drill") else "bore")
    bar = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    setup = Setup(1, "low", bar, Datum(None, "raw bar"), "none", (made,), ())
    shop = drawn_shop(tools=(TURNING_TOOL, BORING_BAR, _DRILL, *more))
    view = drawn_view(
        [(0, 3), (20, 3), (20, 10), (0, 10)], shop=shop, intent=intent, setups=(setup,)
    )
    one = Rechucked("bore", ("S1", "S3"), (1,), None, 0.05, ("S1",))
    return replace(view, plan=Plan((setup,), (one,))) if true else view


EXAMPLES = (
    Example("⌀6 of which nothing is stated, drilled", _bush),
    Example("⌀6 within 0.12, IT12, and Ra 6.3, drilled", lambda: _bush(0.12, 6.3)),
    Example("⌀6 H7, bored", lambda: _bush(0.012, 0.8, by="bar 8")),
    Example("⌀6 H7, drilled", lambda: _bush(0.012), ("error",)),
    Example("⌀6 within 0.075, IT11, drilled", lambda: _bush(0.075), ("warning",)),
    Example("Ra 0.8 of the bore, drilled", lambda: _bush(ra_um=0.8), ("error",)),
    Example("Ra 3.2 of the bore, drilled", lambda: _bush(ra_um=3.2), ("warning",)),
    Example("Ra 0.8 of the whole part", lambda: _bush(everywhere=0.8), ("warning",)),
    Example("Ra 3.2 of the whole part", lambda: _bush(everywhere=3.2), ("note",)),
    Example("⌀6 H7, with a reamer and no drill before it", lambda: _bush(0.012, more=(_REAMER,)),
            ("error",)),
    Example("⌀6 H7 that must run true too", lambda: _bush(0.012, true=True), ("error",)),
)  # fmt: skip
