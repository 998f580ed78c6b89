"""What stands beside the steps of a route sheet: cautions, what the plan leaves, lathes.

What stays uncut is told with the tool that comes nearest; a corner with the nose that the plan has
there, not with the smallest one of the shop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from turnability.outputs._making import UNCUT_RULES, across_text, told_by
from turnability.outputs.route_sheet.whip import whip_text
from turnability.part.model import Profile
from turnability.setups.holding.slender import largest_outside_mm
from turnability.setups.model import Setup, SetupLeft
from turnability.setups.operations.spare import little_spare
from turnability.setups.surfaces.swept import swept_segments
from turnability.units import length_text, number_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.shop.model import Shop

GRIP = (
    "Before the spindle turns: jaws tight, key out of the chuck, tools clear of the jaws through "
    "their whole travel."
)
STEADY = (
    "Pads of a steady run on a turned cylinder, oiled, and pinch nothing: set them with the centre "
    "in or an indicator on the end, and look at them while it runs."
)
SUNK = (
    "{tool} gets at {on} only straight in, with its trailing edge in the full, which no turning "
    "insert stands: nothing of the shop opens the place first. Have a blade or a form tool do it."
)
REAM = (
    "A reamer runs in cutting oil (dry in cast iron), fed steadily, and is never turned backwards: "
    "draw it out as it turns forward. It follows the hole that it finds: tailstock true, or a "
    "floating holder; clear the chips before it goes in."
)
CATCH = "Do not reach for work that is parted off: let it fall or catch it with a rod."
GLUE = (
    "Glue lets go with heat and shock: light cuts, coolant, a guard between you and the work, and "
    "only where nothing else holds it; whether at all is for a qualified machinist to decide."
)
SCREWED = (
    "Screwed to an arbor: its face turned true in place, every screw of the circle in and tight, "
    "tools clear of their heads through the whole travel; turn it over once by hand first."
)
SLUG_GRIP = (
    "Raw stock held over less than half its diameter: hard jaws, seated against their steps or the "
    "chuck's face, light cuts first; a centre or a plug pressed against it where there is room."
)
SHORT = "A short grip: bore soft jaws with a shoulder, take light cuts."
SHORT_SOFT = "A short grip: bore the jaws with a shoulder behind the part, take light cuts."
SHORT_FLATS = (
    "A short grip on flats: a collet for hexagon, or soft jaws milled to them, a stop behind the "
    "part; take light cuts."
)
BENT = (
    "Held hard enough for these cuts the jaws bend its wall of {wall} for good: about {stress} "
    "N/mm² where {material} stands {yields} (thin-ring theory; the yield from memory). Jaws bored "
    "to the diameter, a plug or a mandrel in its bore; how hard to grip is for a qualified "
    "machinist to decide."
)
HARDLY_HELD = (
    "Jaws alone hold hardly anything by so little of the diameter: not in hard jaws; soft jaws "
    "bored with a shoulder, a plug on the centre pressing the part against it, the lightest cuts, "
    "and a qualified machinist decides whether at all."
)
_SAME_MM = 1e-3


def _spent_lines(profile: Profile, shop: Shop, setup: Setup) -> Iterator[str]:
    """Blades that a groove asks for all that they sink, bars that a bore asks for all its room."""
    for one in little_spare(profile, setup, shop.tools):
        rest = length_text(one.spare_mm, shop.inch) if one.spare_mm else "nothing"
        has, asks = length_text(one.has_mm, shop.inch), length_text(one.asks_mm, shop.inch)
        if one.what == "depth":
            says = f"{one.tool} sinks {has} and the groove asks for {asks}"
        else:
            says = f"{one.tool} passes ⌀{has} and asks for ⌀{asks}"
        yield (
            f"{says}: {rest} to spare; go in slowly and see that no chip and no burr lies under "
            "its shank."
        )


def caution_lines(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """What can hurt someone in this setup."""
    from turnability.setups.cutting.depths import SLUG
    from turnability.setups.holding.grips import holding_of, holds_hardly, is_short
    from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
    from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness

    profile = report.part.profile
    assert profile is not None
    holding = holding_of(setup, shop)
    raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
    if slenderness(profile, setup.toward_chuck, setup.grip.z_mm) > CHUCK_ONLY_LIMIT.value:
        yield whip_text(setup)
    if raw and setup.grip.length_mm < SLUG.value * setup.grip.diameter_mm:
        yield SLUG_GRIP
    if any(o.support == "steady" for o in setup.operations):
        yield STEADY
    yield from _spent_lines(profile, shop, setup)
    for operation in setup.operations:
        if operation.sinks:
            yield SUNK.format(tool=operation.tool, on=", ".join(operation.sinks))
    if any(o.kind == "ream" for o in setup.operations):
        yield REAM
    yield from _bent_lines(report, shop, setup)
    if any(o.kind == "part off" for o in setup.operations):
        yield CATCH
    if holding is not None and holding.kind == "glued-arbor":
        yield GLUE
    elif holding is not None and holding.kind == "bolt-arbor":
        yield SCREWED
    elif holding is not None and not raw and setup.grip.length_mm and is_short(setup.grip, holding):
        short = SHORT_SOFT if holding.kind == "soft-jaws" else SHORT
        short = HARDLY_HELD if holds_hardly(setup.grip) else short
        yield short if setup.grip.across_flats_mm is None else SHORT_FLATS
    if holding is not None and holding.max_rpm is not None:
        yield f"{holding.name} runs no faster than {holding.max_rpm:.0f} rpm (its plate)."


def _bent_lines(report: Report, shop: Shop, setup: Setup) -> Iterator[str]:
    """A wall that the jaws of this setup press beyond its yield strength."""
    from turnability.setups.bending.squeeze import gripped_walls
    from turnability.shop.materials import material_of

    chosen = material_of(shop)
    if chosen is None or chosen.material.yield_strength is None:
        return
    yields = chosen.material.yield_strength.value
    for wall in gripped_walls(report.part, report.setups, shop, chosen.material):
        stress = (wall.rough or wall.finish).stress_n_per_mm2
        if wall.setup.order == setup.order and stress > yields:
            yield BENT.format(
                wall=length_text(round(wall.wall_mm, 3), shop.inch),
                stress=number_text(round(stress), False),
                material=chosen.material.name,
                yields=number_text(yields, False),
            )


def let_in_text(profile: Profile, setup: Setup, inch: bool) -> str:
    """That jaws are opened over what lies behind their grip and is larger than it; or nothing."""
    low, high = setup.grip.z_mm
    behind = (0.0, low) if setup.toward_chuck == "low" else (high, profile.length_mm)
    if setup.grip.surface != "outer" or behind[0] >= behind[1]:
        return ""
    most = largest_outside_mm(profile, behind)
    if most <= setup.grip.diameter_mm + _SAME_MM:
        return ""
    return (
        f"; the jaws opened over ⌀{length_text(most, inch)}, which goes into the chuck behind them"
    )


def follow_rest_text(setup: Setup, inch: bool) -> str:
    """Where the lathe's follow rest helps cylinders that bend too much on a centre; or nothing."""
    along: dict[str, list[str]] = {}
    for land in setup.bending.followed if setup.bending is not None else ():
        along.setdefault(length_text(land.diameter_mm, inch), []).extend(land.segments)
    places = [f"{', '.join(dict.fromkeys(names))} (⌀{d})" for d, names in along.items()]
    return f"; follow rest behind the tool along {' and '.join(places)}" if places else ""


def stays_uncut(report: Report) -> frozenset[str]:
    """Surfaces of which so much stays that a finding warns of it: more than a corner's nose."""
    warned = {
        s
        for f in report.findings
        if f.rule in UNCUT_RULES and f.level != "note"
        for s in f.where.segments
    }
    lefts = report.setups[-1].left if report.setups else ()
    deep = {s for left in lefts if left.causes != ("nose-radius",) for s in left.segments}
    return frozenset(warned & deep)


def left_lines(report: Report) -> Iterator[str]:
    """What the plan leaves uncut and why, places with one reason together."""
    by_cause: dict[str, list[str]] = {}
    profile = report.part.profile
    swept = {} if profile is None else swept_segments(profile, report.part.departures)
    lefts = report.setups[-1].left if report.setups else ()
    regions = report.reach.left if report.reach is not None else ()
    for n, left in enumerate(lefts):
        if left.segments and swept.keys() >= set(left.segments):
            continue  # no surface of the part, and cut in a chucking set over
        region = regions[n] if n < len(regions) else None
        same = region is not None and region.causes == left.causes
        told = replace(left, causes=region.own_causes) if region is not None and same else left
        why = _why(report, told, None if region is None else region.nearest_tool)
        by_cause.setdefault(why, []).append(", ".join(left.segments))
    for why, places in by_cause.items():
        yield f"{'; '.join(dict.fromkeys(places))}: {why}"
    yield from _reamed_short_lines(report)


def _reamed_short_lines(report: Report) -> Iterator[str]:
    """Where a reamer's lead leaves a bore as drilled, and the rim of its floor with it.

    Tools of the shop get there, so that neither reach nor the setups have it among what is left.
    """
    from turnability.rules.reamed_short_of_floor import NAME

    for f in report.findings:
        if f.rule == NAME and f.measured is not None:
            bore, *floor = f.where.segments
            short = length_text(round(f.measured, 2), report.inch)
            rim = f", and the rim of its floor {', '.join(floor)} as its point leaves it"
            yield f"{bore}: as drilled from {short} off its floor on{rim if floor else ''} ({f.id})"


def _why(report: Report, left: SetupLeft, nearest: str | None) -> str:
    from turnability.rules import drill_point
    from turnability.rules.speak import nearest_text
    from turnability.rules.unreached_surface import reason_of

    if (undrilled := undrilled_text(report, left.segments)) is not None:
        return undrilled
    for finding in report.findings:
        if finding.rule == drill_point.NAME and set(finding.where.segments) & set(left.segments):
            return f"the point of its drill is not the drawn one ({finding.id})"
    said = [(f.id, f.where.segments, f.message) for f in report.findings if f.rule in UNCUT_RULES]
    better = told_by(left.causes, left.segments, said)
    for finding in report.findings:
        if finding.id == better and (reason := reason_of(finding.message)) is not None:
            return f"{reason} ({better})"
    if left.causes == ("bar-length", "jaws"):
        return "the bar is too short from this end, and nothing holds the part for the other"
    if left.causes != ("nose-radius",):
        return nearest_text(left.causes, None if left.causes == ("jaws",) else nearest)
    noses = {tool.name: tool.limits.get("nose_radius_mm") for tool in report.tools}
    planned = [
        (radius, o.tool)
        for setup in report.setups
        for o in setup.operations
        if set(o.segments) & set(left.segments) and (radius := noses.get(o.tool)) is not None
    ]
    if not planned:
        return nearest_text(left.causes, nearest)
    radius, tool = max(planned)
    return f"{tool} leaves its nose of {length_text(radius, report.inch)} in the corner"


def undrilled_text(report: Report, segments: Sequence[str]) -> str | None:
    """That no drill of the shop has a hole's size, and which are wanted; None of anything else."""
    from turnability.rules.hole_between_drills import NAME, wants_flat

    found = [f for f in report.findings if f.rule == NAME and set(f.where.segments) & set(segments)]
    if not found:
        return None
    wanted: dict[str, dict[str, None]] = {}
    for f in found:
        drill = "flat-ended drill" if wants_flat(f) else "drill"
        wanted.setdefault(drill, {})[f"of ⌀{length_text(f.measured or 0.0, report.inch)}"] = None
    none = " and ".join(f"no {drill} {' and '.join(sizes)}" for drill, sizes in wanted.items())
    far = "" if "drill" in wanted else " as far as its flat floor"
    return f"not drilled to size{far}: {none} in the shop ({', '.join(f.id for f in found)})"


def lathe_lines(report: Report) -> Iterator[str]:
    """Each lathe of the shop: that it makes the part, or why not.

    What the plan does not make as drawn no lathe makes: of errors only that none is the lathe's.
    """
    errors = ", ".join(f.id for f in report.findings if f.level == "error")
    for one in report.plan.lathes if report.plan is not None else ():
        if one.stops:
            yield f"{one.name}: not this one: {'; '.join(one.stops)}"
        elif one.hinders:
            yield f"{one.name}: hindered: {'; '.join(one.hinders)}"
        elif errors:
            yield f"{one.name}: takes the work as planned, which is not all as drawn ({errors})"
        else:
            yield f"{one.name}: makes it"


def runner_up_line(report: Report) -> str | None:
    """How the next best plan holds the work, and why it lost."""
    rival = None if report.plan is None else report.plan.runner_up
    if rival is None:
        return None
    how = ", then ".join(
        f"{s.toward_chuck} end in {s.grip.kind} {across_text(s, report.stock, report.inch)} "
        f"{'in' if report.inch else 'mm'}"
        for s in rival.setups
    )
    return f"{how}: {rival.why}"
