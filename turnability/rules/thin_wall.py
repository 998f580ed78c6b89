"""A thin wall in the jaws: what is turned round while it is squeezed is lobed once let go."""

from __future__ import annotations

import math
from dataclasses import replace

from turnability.cited import Cited
from turnability.rules.drawn import CHUCK, Example, drawn_view
from turnability.rules.followable import MOST_OF_OUTSIDE
from turnability.rules.model import Basis, Change, Finding, Judgement, Level, NotJudged, View
from turnability.rules.other_holdings import setup_that_cuts_instead, softer_holdings
from turnability.rules.speak import segments_by_id, stated_segments, where_of
from turnability.setups.bending.bend import with_bending
from turnability.setups.bending.squeeze import Gripped, gripped_walls
from turnability.setups.bending.stiffer import STEP_MM
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.limits import diameter_limit, fault_limit
from turnability.shop.materials import Material, material_of
from turnability.units import length_text

NAME = "thin-wall"
LEVELS = ("error", "warning", "note")
SURE = 1.5
"""What exceeds a stated limit by less is no error: forces are not known any closer."""
WHY = "Jaws press a thin wall inward where they stand and out between: let go, it is lobed."
LIMIT = (
    "out of round by half the diameter's tolerance (IT10 without one), stress below yield. An "
    "error where, held for the finishing cut alone, it is over 1.5 times what is stated, without a "
    "tolerance over ISO 2768-1 medium, or 1.5 times its yield strength"
)
BASIS = (
    "thin-ring theory under the clamping force that the cut wants: 2.5 · Fc · d_cut / (0.2 · "
    "d_grip), common practice without a source"
)
CAUTION = (
    "Caution: jaws too loose let the part fly, too tight spoil it. How hard to grip is for a "
    "qualified machinist and the chuck's own limits to decide."
)


def check(view: View) -> Judgement:
    """A finding for each setup whose jaws squeeze a thin wall too far, or too hard."""
    view = view.as_turned()
    if view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made, so it is not known what jaws hold")
    if not view.setups:
        return ()  # that nothing holds it is an error of its own
    chosen = material_of(view.shop)
    if chosen is None:
        return NotJudged("the material stands in no table here, so its forces are not known")
    walls = gripped_walls(view.part, view.setups, view.shop, chosen.material)
    found = (_finding(view, wall, chosen.material) for wall in walls)
    return [finding for finding in found if finding is not None]


def _finding(view: View, wall: Gripped, material: Material) -> Finding | None:
    inch = view.shop.inch
    hard = wall.rough or wall.finish
    limit, fault = _limits(view, wall)
    yields = material.yield_strength
    level: Level = "warning"
    if limit is not None and wall.finish.lobing_mm > limit:
        if fault is not None and wall.finish.lobing_mm > fault:
            level = "error"
        says = (
            f"What is cut on its other side comes out {_small(wall.finish.lobing_mm, inch)} out of "
            f"round (on the radius) even when held just hard enough for the finishing cut, where "
            f"{_small(limit, inch)} is the most."
        )
        measured, most, unit = wall.finish.lobing_mm, limit, "mm"
    elif yields is not None and hard.stress_n_per_mm2 > yields.value:
        turned = wall.setup.bending is not None
        if turned and wall.finish.stress_n_per_mm2 > SURE * yields.value:
            level = "error"  # an end may be faced with the part on a plug, or left as parted off
        hold = "to rough" if turned and level == "warning" else "even to finish"
        hard = wall.finish if level == "error" else hard
        says = (
            f"Held hard enough {hold} it, the wall is bent with {hard.stress_n_per_mm2:.0f} "
            f"N/mm², where {material.name} stands about {yields.value:.0f} (from memory): it stays "
            "bent."
        )
        measured, most, unit = hard.stress_n_per_mm2, yields.value, "N/mm²"
    elif limit is not None and hard.lobing_mm > limit:
        level = "note"
        says = (
            f"Held hard enough to rough it, its other side would come out "
            f"{_small(hard.lobing_mm, inch)} out of round (on the radius), where "
            f"{_small(limit, inch)} is the most: rough first, then slacken the jaws and finish "
            f"({_small(wall.finish.lobing_mm, inch)})."
        )
        measured, most, unit = hard.lobing_mm, limit, "mm"
    else:
        return None
    grip = wall.setup.grip
    side = "outside" if grip.surface == "outer" else "inside"
    segments = wall.across or tuple(_gripped_segments(view, wall))
    held = tuple(_gripped_segments(view, wall)) if grip.surface == "outer" else wall.across
    change = None if level == "note" else _change(view, wall, held, limit, yields)
    ways = _ways(view, wall)
    either = f"{ways[0].upper()}{ways[1:]}. " if ways else ""
    thicker = (
        "A thicker wall gives by its cube."
        if change is None
        else f"{change.text[:-1]}: by the same theory that is enough."
    )
    return Finding(
        rule=NAME,
        level=level,
        message=(
            f"In setup {wall.setup.order}, {grip.kind} grips a wall of "
            f"{length_text(round(wall.wall_mm, 3), inch)} {side} on "
            f"⌀{length_text(grip.diameter_mm, inch)}. {says} {WHY} {either}{thicker} {CAUTION}"
        ),
        change=change,
        where=where_of(view, segments),
        basis=Basis(BASIS, "handbook"),
        measured=measured,
        limit=most,
        unit=unit,
    )


def _ways(view: View, wall: Gripped) -> str:
    """What would squeeze it less, as far as it applies; nothing where the part must change."""
    ways = softer_holdings(view, wall.setup)
    if wall.setup.bending is None:
        faced = {s for o in wall.setup.operations if o.kind == "face" for s in o.segments}
        if not faced & stated_segments(view):
            ways.append("leave that end as it was cut off")
    elif (other := setup_that_cuts_instead(view, wall.setup, wall.across)) is not None:
        ways.append(f"cut the other side in setup {other.order}, which does not grip here")
    return " or ".join([", ".join(ways[:-1]), ways[-1]] if len(ways) > 1 else ways)


def _change(
    view: View, wall: Gripped, held: tuple[str, ...], limit: float | None, yields: Cited | None
) -> Change | None:
    """The least outside, in round steps, with which the wall holds; None where it has no one size.

    `held` are the segments of the wall's outside.
    """
    known = segments_by_id(view.part)
    sizes = {round(2.0 * p[1], 6) for s in held for p in (known[s].curve.start, known[s].curve.end)}
    if len(sizes) != 1:
        return None
    drawn = sizes.pop()
    to = math.floor(drawn / STEP_MM + 1.0) * STEP_MM
    while to <= (1.0 + MOST_OF_OUTSIDE) * drawn:
        under = wall.thicker(to - drawn)
        stays = yields is None or under.stress_n_per_mm2 <= yields.value
        if stays and (limit is None or under.lobing_mm <= limit):
            inch = view.shop.inch
            text = f"Draw the outside of ⌀{length_text(drawn, inch)} at ⌀{length_text(to, inch)}."
            return Change(text, "outer_diameter_mm", drawn, to, proven=False)
        to += STEP_MM
    return None


def _limits(view: View, wall: Gripped) -> tuple[float | None, float | None]:
    """The most that what is cut across may be out of round on the radius; then as an error.

    None where nothing is cut there, or no table holds it.
    """
    known = segments_by_id(view.part)
    widths: list[float] = []
    faults: list[float] = []
    for name in wall.across:
        curve = known[name].curve
        diameter = 2.0 * max(curve.start[1], curve.end[1])
        width, stated = diameter_limit((name,), diameter, view.intent, view.part.stated)
        fault = fault_limit(width, stated, diameter)
        if width is not None:
            widths.append(width.value / 2.0)
        if fault is not None:
            faults.append((SURE if stated else 1.0) * fault.value / 2.0)
    return min(widths, default=None), min(faults, default=None)


def _gripped_segments(view: View, wall: Gripped) -> list[str]:
    low, high = wall.setup.grip.z_mm
    return [
        s
        for land in view.lands or ()
        for s in land.segments
        if land.surface == wall.setup.grip.surface
        and land.z_mm[0] <= low + 1e-6
        and high <= land.z_mm[1] + 1e-6
    ]


def _small(value_mm: float, inch: bool) -> str:
    return length_text(value_mm, inch)


def _bush(wall: float, length: float = 30.0, grip: float = 20.0) -> View:
    """⌀40 bored in the setup that grips its outside, which was turned in the first."""
    bore = 20.0 - wall
    view = drawn_view([(0, bore), (length, bore), (length, 20), (0, 20)])
    assert view.part.profile is not None
    by = {s.surface: s.id for s in view.part.profile.segments if s.surface in ("outer", "inner")}
    raw = Grip("raw bar", "outer", (length + 5.0, length + 25.0), 45.0, 20.0)
    land = Grip(CHUCK.name, "outer", (0.0, grip), 40.0, grip)
    datum = Datum(None, "drawn")
    setups = (
        Setup(1, "high", raw, datum, "none", (Operation("t", (by["outer"],), "turn"),), ()),
        Setup(2, "low", land, datum, "none", (Operation("bar 8", (by["inner"],), "bore"),), ()),
    )
    return replace(view, setups=with_bending(view.part, setups, view.stock, view.shop))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a bush of 8 mm wall", lambda: _bush(8.0)),
    Example("a bush of 3 mm wall", lambda: _bush(3.0)),
    Example("a bush of 2.5 mm wall, held long", lambda: _bush(2.5, 40.0, 20.0), ("note",)),
    Example("a bush of 1.5 mm wall", lambda: _bush(1.5), ("warning",)),
    Example("a bush of 1 mm wall", lambda: _bush(1.0), ("error",)),
)
