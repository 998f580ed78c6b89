"""A bore stated finer than a drill leaves it, which the plan leaves to a drill."""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.intent.agree import together
from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.rules.bar_arithmetic import bar_wanted
from turnability.rules.drawn import BORING_BAR, TURNING_TOOL, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View
from turnability.rules.related_surfaces_split import told_of_drills
from turnability.rules.speak import where_of
from turnability.setups.as_drilled import AsDrilled, left_as_drilled
from turnability.setups.drilling import DRILLED_GRADE, DRILLED_RA_UM
from turnability.setups.model import Datum, Grip, Operation, Plan, Rechucked, Setup
from turnability.shop.books import practice
from turnability.shop.model import Tool
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
REAMED_OFF = Cited(
    0.2,
    "mm",
    "common practice",
    "what a drill leaves a machine reamer on diameter up to some 20 mm, from memory",
    verified=False,
)
_LEAST_REAMED_MM = 0.1
_SAME_MM = 1e-3
_LEVELS: tuple[Level, ...] = ("error", "warning", "note")


def check(view: View) -> Judgement:
    """An error for each bore that the shop's drill leaves coarser than it is stated.

    A warning where a good drill might just hold it, or the shop lists a reamer for it; one level
    less where the drawing says it of the whole part. No bore of a thread: that is tapped.
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
    return [_finding(view, meant, one) for one in found if not tapped & set(one.segments)]


def _finding(view: View, meant: Intent, one: AsDrilled) -> Finding:
    inch, d = view.shop.inch, one.diameter_mm
    holds = fit_limits(FitClass("h", DRILLED_GRADE), d).width_mm
    where = where_of(view, one.segments)
    asked, leaves = [], []
    if one.width_mm is not None and holds is not None:
        asked.append(
            f"may vary by {length_text(one.width_mm, inch)}{_limits_text(view, meant, one)[0]}"
        )
        leaves.append(f"holds IT{DRILLED_GRADE} ({length_text(holds.value, inch)})")
    if one.ra_um is not None:
        everywhere = ", as everywhere" if one.everywhere_ra else ""
        asked.append(f"is to have Ra {mm_text(one.ra_um)} µm{everywhere}")
        leaves.append(f"leaves Ra {DRILLED_RA_UM:g} µm")
    place = "" if where.z_mm is None else f" at z {span_text(where.z_mm, inch)}"
    by_size = one.width_mm is not None and holds is not None
    return Finding(
        rule=NAME,
        level=_level(view, one),
        message=(
            f"The bore of ⌀{length_text(d, inch)}{place} {' and '.join(asked)}, but {one.tool} "
            f"alone makes it, which {' and '.join(leaves)}. {_remedy(view, meant, one)}"
        ),
        where=where,
        basis=Basis(BASIS, "standard" if by_size else "handbook"),
        measured=one.width_mm if by_size else one.ra_um,
        limit=holds.value if by_size and holds is not None else DRILLED_RA_UM,
        unit="mm" if by_size else "µm",
    )


def _level(view: View, one: AsDrilled) -> Level:
    """The worse of what size and surface come to."""
    worst = 2
    best = fit_limits(FitClass("h", BEST_GRADE), one.diameter_mm).width_mm
    if one.width_mm is not None:
        far = best is not None and one.width_mm < best.value - 1e-9
        worst = min(worst, (0 if far else 1) + one.everywhere_width)
    if one.ra_um is not None:
        worst = min(worst, (0 if one.ra_um < BEST_RA_UM - 1e-9 else 1) + one.everywhere_ra)
    reamer = _reamer(view, one, one.deep_mm)
    reamed = reamer is not None and _before_reamer(view, one, reamer) is not None
    alone = not set(one.segments) & told_of_drills(view)
    return _LEVELS[max(worst, 1) if reamed and alone else worst]


def _limits_text(view: View, meant: Intent, one: AsDrilled) -> tuple[str, str]:
    """The fit of the bore (" (H7)") and its limits (" for 6 to 6.012 mm"), where they are known."""
    for tolerance in meant.tolerances:
        if tolerance.of != "diameter" or not set(one.segments) & set(tolerance.place.segments):
            continue
        fit = f" ({tolerance.fit})" if tolerance.fit else ""
        limits, nominal = tolerance.limits_mm, tolerance.nominal_mm
        if limits is None and tolerance.deviations_mm is not None and nominal is not None:
            low, high = tolerance.deviations_mm
            limits = (nominal + low, nominal + high)
        if limits is None:
            return fit, ""
        inch = view.shop.inch
        return fit, f" for {number_text(limits[0], inch)} to {length_text(limits[1], inch)}"
    return "", ""


def _reamer(view: View, one: AsDrilled, deep_mm: float) -> Tool | None:
    """The longest reamer of the shop of this size whose flutes get so deep."""
    able = [
        tool
        for tool in view.shop.tools
        if tool.kind == "reamer"
        and abs(tool.limits["diameter_mm"] - one.diameter_mm) <= _SAME_MM
        and tool.limits["usable_length_mm"] >= deep_mm - _SAME_MM
    ]
    return max(able, key=lambda tool: (tool.limits["usable_length_mm"], tool.name), default=None)


def _before_reamer(view: View, one: AsDrilled, reamer: Tool | None) -> Tool | None:
    """The shop's drill that leaves a reamer of this size what it takes off."""
    usual = practice("reamer_allowance").value
    most = usual if reamer is None else reamer.limits["allowance_mm"]
    least = min(_LEAST_REAMED_MM, most)
    able = [
        tool
        for tool in view.shop.tools
        if tool.kind == "drill"
        and least - _SAME_MM <= one.diameter_mm - tool.limits.get("diameter_mm", 0.0)
        and one.diameter_mm - tool.limits.get("diameter_mm", 0.0) <= most + _SAME_MM
    ]
    return max(able, key=lambda tool: (tool.limits["diameter_mm"], tool.name), default=None)


def _remedy(view: View, meant: Intent, one: AsDrilled) -> str:
    inch, d = view.shop.inch, one.diameter_mm
    bar = _lower(bar_wanted(view.shop, d, one.deep_mm, "fine"))
    if set(one.segments) & told_of_drills(view):
        return (
            "As it must run true to other surfaces too, a reamer alone does not do: "
            f"{bar}, or state it wider."
        )
    any_length, reamer = _reamer(view, one, 0.0), _reamer(view, one, one.deep_mm)
    drill = _before_reamer(view, one, any_length)
    hole = f"a drill of {length_text(round(d - REAMED_OFF.value, 2), inch)}"
    other = f"Else {bar}, or state it wider."
    if reamer is not None and drill is not None:
        return (
            f"The shop's {reamer.name} would finish it, which this plan does not reckon with: run "
            f"{drill.name} in place of {one.tool}, then {reamer.name}. {other}"
        )
    if reamer is not None:
        return (
            f"The shop's {reamer.name} would finish it, but no drill of the shop leaves it "
            f"something to take: list {hole}. {other}"
        )
    short = ""
    if any_length is not None:
        flutes = length_text(any_length.limits["usable_length_mm"], inch)
        short = f"The shop's {any_length.name} cuts {flutes} deep at most. "
    deep = length_text(round(one.deep_mm, 2), inch)
    before = f"{hole} to go" if drill is None else f"run {drill.name}"
    return (
        f"{short}Ream it: list a reamer of ⌀{length_text(d, inch)}"
        f"{_limits_text(view, meant, one)[1]} that cuts {deep} deep, and {before} before it. "
        f"{other}"
    )


def _lower(text: str) -> str:
    return f"{text[0].lower()}{text[1:]}"


_DRILL = Tool("drill 6", "drill", "end", True, "neutral", TURNING_TOOL.outlines,
              limits={"diameter_mm": 6.0, "point_angle_deg": 118.0})  # fmt: skip
_REAMER = Tool("reamer 6", "reamer", "end", True, "neutral", TURNING_TOOL.outlines, limits={
    "diameter_mm": 6.0, "allowance_mm": 0.3, "usable_length_mm": 26.0})  # fmt: skip


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


def _smaller(mm: float) -> Tool:
    return replace(_DRILL, name=f"drill {mm:g}", limits={**_DRILL.limits, "diameter_mm": mm})


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
    Example("⌀6 H7, with drill 5.8 and a reamer in the shop",
            lambda: _bush(0.012, more=(_REAMER, _smaller(5.8))), ("warning",)),
    Example("⌀6 H7, with a reamer and no drill before it", lambda: _bush(0.012, more=(_REAMER,)),
            ("error",)),
    Example("⌀6 H7 that must run true too", lambda: _bush(0.012, true=True), ("error",)),
)  # fmt: skip
