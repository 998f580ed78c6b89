"""Bends away from the tool by more than its diameter may vary."""

from __future__ import annotations

from dataclasses import replace

from turnability.rules.as_the_bar import offer
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.followable import MOST_OF_OUTSIDE, modest
from turnability.rules.long_slender import CAUTION
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.follow_rest import runs_along
from turnability.setups.bending.stiffer import stiffer
from turnability.setups.bending_model import Bending, BentLand
from turnability.setups.holding.centres import no_centre
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, FOLLOW_REST_LIMIT, TAILSTOCK_LIMIT
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.limits import fault_limit
from turnability.shop.materials import material_of
from turnability.shop.model import Machine
from turnability.units import length_text, mm_text, rounded_up, span_text

TOLERANCE = "diameter_tolerance_mm"
FORMULA = (
    "In the design less length standing free or a larger diameter helps most: bending grows with "
    "the third power of the one, and falls with the fourth of the other."
)
NAME = "bends-too-much"
LEVELS = ("error", "warning")
SURE = 1.5
"""What exceeds a stated limit by less is no error: the forces are not known any closer."""
WHY = "What bends away from the tool springs back larger than it was cut, and most where it gives."
LIMIT = (
    "the tolerance stated for the diameter; without one IT10, which ordinary turning holds. An "
    "error over 1.5 times what is stated, without a tolerance over ISO 2768-1 medium, with every "
    "support that the lathe has and with two light last passes"
)
BASIS = (
    "beam theory (stepped, hollow, with shear) under the passive share of Kienzle's cutting force; "
    "share, wear and how stiffly chuck and centre hold are from memory"
)

GUIDED = (
    "It is cut in one pass from the full bar already. A lathe whose guide bush carries the bar "
    "beside the tool holds it closer, and so does grinding."
)


def check(view: View) -> Judgement:
    """For each setup the land that varies most by bending, against what it may vary by."""
    view = view.as_turned()
    if view.setups is None:
        return NotJudged("no plan of setups was made, so it is not known what stands free")
    if not view.setups:
        return ()  # that nothing holds it is an error of its own
    if material_of(view.shop) is None:
        return NotJudged("the material stands in no table here, so its forces are not known")
    found = []
    for setup in view.setups:
        if setup.bending is None:
            continue
        over = [land for land in setup.bending.lands if _share(land) > 1.0]
        if over:
            found.append(_finding(view, setup, setup.bending, over))
    return found


def _share(land: BentLand) -> float:
    return land.error_mm / land.limit.value if land.limit is not None else 0.0


def _fault(land: BentLand) -> float:
    """How many times as far as it may for the drawing to be missed whatever the forces are."""
    most = fault_limit(land.limit, land.stated, land.diameter_mm)
    sure = SURE if land.stated else 1.0  # what is left to the shop is wide enough
    return land.error_mm / (sure * most.value) if most is not None else 0.0


def _finding(view: View, setup: Setup, bending: Bending, over: list[BentLand]) -> Finding:
    inch = view.shop.inch
    land = max(over, key=lambda one: (_fault(one) > 1.0, _share(one)))
    assert land.limit is not None
    limit = land.limit.value
    cut = bending.finishing
    assert cut is not None
    chosen = material_of(view.shop)
    assert chosen is not None
    guessed = (chosen.material.kc_doubt or "").startswith("guess")
    planned = land in bending.followed
    asked = planned or _fault(land) > 1.0
    followed, says = _follow_rest(view, setup, bending, land) if asked else ("", "")
    rest = ""
    if planned:
        left = _small(_with_rest(view, setup, land).error_mm, inch)
        rest = f" without a rest, and {left} with the follow rest planned behind the tool"
    is_fault = _fault(land) > 1.0 and followed != "enough" and not guessed
    known = CHUCK_ONLY_LIMIT if setup.support == "none" else TAILSTOCK_LIMIT
    held = "by its grip alone" if setup.support == "none" else f"with {_support(setup)}"
    changes, change = _changes(view, setup, land if is_fault else None)
    if followed == "enough":
        changes, change = "The design may stay as it is.", None
    as_bar = offer(view, land.segments)
    others = f" {len(over) - 1} more of its lands vary too much." if len(over) > 1 else ""
    head = (
        f"In setup {setup.order}, held {held}, ⌀{length_text(land.diameter_mm, inch)} at z "
        f"{span_text(land.z_mm, inch)} comes out {_small(land.error_mm, inch)} larger at z "
        f"{length_text(round(land.worst[0], 1), inch)} than at z "
        f"{length_text(round(land.least[0], 1), inch)} by "
        f"bending alone{rest}, where {_small(limit, inch)} is the most "
        f"({_limit_words(land)}): {_cut_words(setup, inch)} in {bending.material} "
        f"pushes with about {bending.force_n:.0f} N. "
        f"{_fault_words(land, inch) if is_fault else ''}"
        f"By the rule of thumb {mm_text(bending.length_to_diameter, 1)} diameters stand free, "
        f"where {known.value:g} are the usual limit.{others} {WHY} "
    )
    finding = Finding(
        rule=NAME,
        level="error" if is_fault else "warning",
        message=f"{head}{says or _help(view, setup, land)} {changes} {CAUTION}",
        change=change,
        where=where_of(view, land.segments),
        basis=Basis(f"{BASIS}; {_constants(view)}", "handbook"),
        measured=land.error_mm,
        limit=limit,
        unit="mm",
    )
    if as_bar is None:
        return finding
    # what is not turned does not bend: nothing else is asked of the design then
    message = f"{head}{as_bar.text} {CAUTION}"
    return replace(
        finding, message=message, change=as_bar, otherwise=finding.message, instead=finding
    )


def _constants(view: View) -> str:
    """How well the constants of the material's cutting force are known, on which all rests."""
    chosen = material_of(view.shop)
    assert chosen is not None
    name, doubt = chosen.material.name, chosen.material.kc_doubt
    if doubt is None:
        return f"the force constants of {name} are borne out by a published table"
    how = f"from {doubt}" if doubt.startswith("memory") else f"a {doubt}"
    return f"the force constants of {name} are {how}"


def _changes(view: View, setup: Setup, fault: BentLand | None) -> tuple[str, Change | None]:
    """The smallest changes of the design that the same calculation finds to be enough.

    `fault` is the land that misses its drawing, None where none does.
    """
    assert view.setups is not None
    inch = view.shop.inch
    n = view.setups.index(setup)
    found = stiffer(view.part, view.setups, n, view.shop, view.intent, _named(view))
    if found is None:
        if fault is None:
            return FORMULA, None
        widen, change = _widened(fault, inch)
        return f"{FORMULA} {widen}.", change
    drawn = length_text(found.diameter_mm, inch)
    shorter, thicker = found.shorter_by_mm, found.thicker_mm
    place = f"⌀{drawn} at z {span_text(found.z_mm, inch)}"
    if thicker is None and shorter is None:
        tried = []
        if found.most_mm is not None:
            tried.append(f"at ⌀{length_text(found.most_mm, inch)}")
        if found.cut_mm is not None:
            tried.append(f"{length_text(found.cut_mm, inch)} shorter")
        told = FORMULA
        if tried:
            told += f" Even {', or '.join(tried)}, the {place} would by the same calculation still "
            told += "bend too much."
        widen, change = _widened(fault, inch)
        return f"{told} {widen}, or split the part there.", change
    less = f"{length_text(shorter or 0.0, inch)} less of the {place}"
    if thicker is not None and modest(found.diameter_mm, thicker, MOST_OF_OUTSIDE):
        text = f"Draw the outside of ⌀{drawn} at ⌀{length_text(thicker, inch)}"
        also = "" if shorter is None else f" So would {less}."
        change = Change(f"{text}.", "outer_diameter_mm", found.diameter_mm, thicker, proven=False)
        return f"{text}: by the same calculation that is enough.{also}", change
    # how stiff it wants to be is worth knowing, though no one is asked to draw it so
    beyond = f"over {MOST_OF_OUTSIDE:.0%} thicker makes another part of it"
    if thicker is None:
        told = f"By the same calculation {less} would be enough."
    elif shorter is None:
        large = f"⌀{length_text(thicker, inch)} for the {place}"
        told = f"By the same calculation only {large} would be enough, and {beyond}."
    else:
        large = f"⌀{length_text(thicker, inch)} for it"
        told = f"By the same calculation {less} would be enough. So would {large}, but {beyond}."
    if fault is None:
        return told, None
    widen, change = _widened(fault, inch)
    return f"{told} {widen}.", change


def _widened(land: BentLand | None, inch: bool) -> tuple[str, Change | None]:
    """The least tolerance that the land keeps to by this calculation, where it misses its own.

    One that is stated is not changed for whoever stated it.
    """
    if land is None or land.limit is None:
        return "Widen the tolerance", None
    to = rounded_up(land.error_mm, inch, 2)
    size, least = length_text(land.diameter_mm, inch), length_text(to, inch)
    if land.stated:
        return f"Widen the tolerance of ⌀{size} to at least {least}, if that will do", None
    text = f"State the tolerance of ⌀{size} as at least {least}"
    change = Change(f"{text}.", TOLERANCE, land.limit.value, to, proven=False)
    return f"{text}, if that will do", change


def _fault_words(land: BentLand, inch: bool) -> str:
    """Why it is an error and no warning."""
    most = fault_limit(land.limit, land.stated, land.diameter_mm)
    assert most is not None
    if land.stated:
        return f"That is {mm_text(land.error_mm / most.value, 1)} times what is stated. "
    return (
        f"That is also more than a drawing without tolerances leaves to the shop: "
        f"{_small(most.value, inch)} by ISO 2768-1, medium. "
    )


def _follow_rest(view: View, setup: Setup, bending: Bending, land: BentLand) -> tuple[str, str]:
    """What a follow rest would make of a cylinder: "enough", "less" or "", and the words for it."""
    if setup.support == "none" or not _is_cylinder(view, land):
        return "", ""
    inch, lathe = view.shop.inch, _lathe(view)
    same = _with_rest(view, setup, land)
    most = fault_limit(land.limit, land.stated, land.diameter_mm)
    assert most is not None
    left = _small(same.error_mm, inch)
    if bending.length_to_diameter > FOLLOW_REST_LIMIT.value:
        return "less", (
            f"Beyond {FOLLOW_REST_LIMIT.value:g} diameters a follow rest is no sure help either."
        )
    if lathe is None or not lathe.follow_rest:
        says = (
            f"No lathe here is known to have a follow rest, with which it would be {left}: state "
            "follow_rest = true in the shop file where one is there."
        )
        return "", says
    if same.error_mm > most.value:
        return "less", f"Even with {lathe.name}'s follow rest, as planned, it would be {left}."
    says = f"Use {lathe.name}'s follow rest, as planned: it leaves {left}, which is enough."
    return "enough", says


def _with_rest(view: View, setup: Setup, land: BentLand) -> BentLand:
    """The same land with a follow rest behind the tool."""
    assert view.setups is not None
    helped = with_bending(
        view.part,
        view.setups,
        view.stock,
        view.shop,
        view.intent,
        lathe=_named(view),
        lands_alone=True,
        followed=True,
    )[view.setups.index(setup)].bending
    assert helped is not None
    return next(one for one in helped.lands if one.segments == land.segments)


def _is_cylinder(view: View, land: BentLand) -> bool:
    """Whether a follow rest runs along it: outside, and of one diameter."""
    known = segments_by_id(view.part)
    return all(runs_along(known[s]) for s in land.segments)


def _named(view: View) -> str | None:
    return None if view.plan is None else view.plan.lathe


def _lathe(view: View) -> Machine | None:
    """The lathe that the plan is made for."""
    named = _named(view)
    return next((m for m in view.shop.machines if named in (None, m.name)), None)


def _help(view: View, setup: Setup, land: BentLand) -> str:
    """What a centre would make of it, calculated; beyond that a rest."""
    land_ids = set(land.segments)
    if any(o.one_pass and not land_ids.isdisjoint(o.segments) for o in setup.operations):
        return GUIDED
    if setup.support != "none" and setup.light:
        return "A steady rest or a follow rest helps."
    if setup.support != "none":
        return "A steady rest, a follow rest, or light last passes with a small nose help."
    inch = view.shop.inch
    assert view.setups is not None
    helped = with_bending(
        view.part,
        [_on_centre(s) if s is setup else s for s in view.setups],
        view.stock,
        view.shop,
        view.intent,
        lathe=_named(view),
    )
    bending = helped[view.setups.index(setup)].bending
    assert bending is not None
    same = next(one for one in bending.lands if one.segments == land.segments)
    assert land.limit is not None
    if same.error_mm >= 0.9 * land.error_mm:
        light = "" if setup.light else "; light last passes with a small nose do"
        return f"A centre hardly helps here{light}."
    enough = "which is enough" if same.error_mm <= land.limit.value else "which is not enough alone"
    left = _small(same.error_mm, inch)
    why = _why_none(view, setup)
    if why is None:
        return f"A centre in the free end, if it may have one, would leave {left}, {enough}."
    return f"A centre in the free end would leave {left}, {enough}; but {why}."


def _why_none(view: View, setup: Setup) -> str | None:
    """Why no centre stands in the free end, where the lathe or that end is the reason."""
    lathe, profile = _lathe(view), view.part.profile
    if lathe is not None and not lathe.tailstock:
        return f"{lathe.name} has no tailstock"
    assert profile is not None
    return no_centre(profile, setup.free_end, view.intent)


def _on_centre(setup: Setup) -> Setup:
    return replace(
        setup,
        support="tailstock",
        operations=tuple(
            replace(o, support="tailstock", out_mm=None, one_pass=False) for o in setup.operations
        ),
    )


def _support(setup: Setup) -> str:
    return "centres at both ends" if setup.support == "between-centres" else f"a {setup.support}"


def _cut_words(setup: Setup, inch: bool) -> str:
    cut = None if setup.bending is None else setup.bending.finishing
    if cut is None or not setup.light:
        return "the finishing cut"
    deep, feed = length_text(cut.depth_mm, inch), length_text(cut.feed_mm, inch)
    return f"even a light last pass ({deep} deep, {feed} a turn)"


def _small(value_mm: float, inch: bool) -> str:
    return length_text(value_mm, inch)


def _limit_words(land: BentLand) -> str:
    assert land.limit is not None
    source, place = land.limit.source, land.limit.place.split(",")[0]
    if not land.stated:
        return f"nothing is stated; IT10 of {source}"
    return f"{source}, {place}"


def _rod(length: float, support: str = "none", d: float = 10.0) -> View:
    view = drawn_view([(0, 0), (length, 0), (length, d / 2), (0, d / 2)])
    assert view.part.profile is not None
    operations = (
        Operation("turning tool", ("S2",), "face"),
        Operation("turning tool", ("S3",), "turn", support),  # type: ignore[arg-type]
    )
    size = view.stock.choice.across_mm if view.stock and view.stock.choice else d + 2.0
    grip = Grip("raw bar", "outer", (-15.0, -5.0), size, 10.0)
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), support, operations, ())  # type: ignore[arg-type]
    return replace(view, setups=with_bending(view.part, (setup,), view.stock, view.shop))


EXAMPLES = (
    Example("a rod of 3 diameters", lambda: _rod(30.0)),
    Example("a rod of 10 diameters on a centre", lambda: _rod(100.0, "tailstock")),
    Example("a rod of 10 diameters", lambda: _rod(100.0), ("warning",)),
    Example("a rod of 30 diameters on a centre", lambda: _rod(300.0, "tailstock"), ("warning",)),
    Example("a rod of 60 diameters on a centre", lambda: _rod(600.0, "tailstock"), ("error",)),
)
