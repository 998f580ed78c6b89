"""Inside corners that a nose leaves round: each drawn otherwise, and the tools asked again.

A radius is the smallest that some tool cuts whole, a relief groove the narrowest that a blade of
the shop cuts, as deep as that blade's own corners, so that a square edge seats beside it. Where a
radius is just what stays in the corner, that it stays proves it; others are drawn and the tools
asked again. So is each relief, after all that the tools had removed before it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from turnability.analysis.corner_drawn import (
    Corner,
    Loops,
    loops_of,
    profile_of,
    with_radius,
    with_relief,
)
from turnability.half_plane.curves import Arc, Points
from turnability.half_plane.intersect import box as bounds
from turnability.half_plane.regions import Region, box
from turnability.half_plane.rings import ring_measure
from turnability.part.model import Profile
from turnability.reach.compute import gone_by
from turnability.reach.left import COUNTS_MM, counted
from turnability.reach.model import Left
from turnability.reach.removal import removed_by
from turnability.rules.corners import InsideCorner, only_a_corner
from turnability.rules.model import Change, Finding, View
from turnability.rules.sharp_inside_corner import (
    FILLET,
    NAME,
    RELIEF,
    RELIEF_DEPTH,
    advised,
    bluntest_beside,
    may_be_relieved,
    radius_text,
)
from turnability.rules.speak import segments_by_id
from turnability.shop.model import Tool
from turnability.units import length_text, rounded_up

MOST_ROUNDS = 4
"""So many noses are tried in one corner, each larger than the one before."""
MOST_RELIEVED = 12
"""In so many corners of one part a relief groove is tried."""
MOST_BLADES = 3
"""So many blades are tried in one, the narrowest first."""
LEAST_DEEP_MM = 0.1
"""A shallower relief groove is not drawn (ours)."""
_AGREE = 0.05
"""A nose that the depth speaks of is the tool's own unless it is smaller by this share."""
_NEAR_MM = 0.05
_AT_MM = 1e-6
_CHORD_SHARE = 1e-4
_SAME = 2e-3
"""A fillet is what stays where no more of it than this share lies outside (drawn polygons)."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """One finding, its corner, what stays there, and the radii (mm) to try."""

    finding: Finding
    corner: InsideCorner
    left: Left
    radii: tuple[float, ...]

    @property
    def place(self) -> Corner:
        return Corner(self.corner.at, self.corner.drawn_radius_mm)


@dataclass(frozen=True, slots=True)
class _Relief:
    width_mm: float
    depth_mm: float
    diameter_mm: float
    radius_mm: float


def with_corners_proven(view: View, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings; of sharp corners those changes alone that the tools bear out, as proven."""
    profile = view.part.profile
    asked = list(_asked(view, findings))
    if profile is None or view.reach is None or not asked:
        return tuple(findings)
    loops = loops_of(profile)
    known = _kept_before(view, asked)
    # nobody follows with a second tool for what a drawing leaves to the shop
    light = [one for one in asked if one.finding.level == "note"]
    alone = _alone(view, loops, [one for one in asked if one not in light], known)
    radii = {
        one.finding.id: nose
        for one in asked
        if not _may_be_crossed(view, one) and (nose := _as_it_stays(loops, one)) is not None
    }
    if len(radii) < len(asked):
        radii |= _smallest(view, loops, asked, radii, known)
    gone = gone_by(profile, view.shop.tools, view.reach.chosen_tools)
    told: dict[str, Finding] = {}
    for n, one in enumerate(asked):
        own = one.finding.id
        relief = None
        if n < MOST_RELIEVED and may_be_relieved(view, one.corner):
            relief = _relief(view, loops, one, gone)
        beside = _fitting(view, loops, one) if one in light else alone.get(own)
        told[own] = _told(view.shop.inch, one, (radii.get(own), beside), relief)
    return tuple(told.get(finding.id, finding) for finding in findings)


def _asked(view: View, findings: Sequence[Finding]) -> Iterator[_Asked]:
    own = [f for f in findings if f.rule == NAME and f.change is not None and f.where.z_mm]
    if not own or view.reach is None:
        return
    corners = [
        (corner, left)
        for left in view.reach.left
        if (corner := only_a_corner(left, view)) is not None
    ]
    noses = {round(tool.limits.get("nose_radius_mm", 0.0), 6) for tool in view.shop.tools}
    for finding in own:
        found = next((one for one in corners if _is_at(finding, one[0])), None)
        if found is None:
            continue
        corner, left = found
        nose, drawn = corner.nose_mm, corner.drawn_radius_mm
        least = rounded_up(corner.by_depth_mm, view.shop.inch)
        first = (least,) if drawn < least < (1.0 - _AGREE) * nose else ()
        larger = sorted(r for r in noses if r > nose + _AT_MM)
        yield _Asked(finding, corner, left, (*first, nose, *larger)[:MOST_ROUNDS])


def _is_at(finding: Finding, corner: InsideCorner) -> bool:
    z, r = corner.at
    (at, _), (across, _) = finding.where.z_mm or (0.0, 0.0), finding.where.diameter_mm or (0.0, 0.0)
    return abs(at - z) <= _AT_MM and abs(across - 2.0 * r) <= _AT_MM


def _kept_before(view: View, asked: Sequence[_Asked]) -> list[Region]:
    """Where something stays that is none of these corners: it may stay."""
    assert view.reach is not None
    own = {frozenset(one.corner.segments) for one in asked}
    return [
        _about(left.polygon)
        for left in view.reach.left
        if only_a_corner(left, view) is None or not own & {frozenset(left.segments)}
    ]


def _about(points: Sequence[tuple[float, float]]) -> Region:
    z, r = zip(*points, strict=True)
    return box(min(z) - _NEAR_MM, min(r) - _NEAR_MM, max(z) + _NEAR_MM, max(r) + _NEAR_MM)


def _is_inside(view: View, corner: InsideCorner) -> bool:
    known = segments_by_id(view.part)
    return any(known[s].surface == "inner" for s in corner.segments)


def _may_be_crossed(view: View, one: _Asked) -> bool:
    """Whether an edge in a bore may lie in the corner's image across the axis while it cuts.

    It removes nothing there, though it stands in what stays: such a place would be lost.
    """
    if not _is_inside(view, one.corner):
        return False
    edges = [
        [bounds(curve) for curve in ring]
        for tool in view.shop.tools
        if tool.access == "inner" and not tool.on_axis
        for ring in tool.outlines.cutting
    ]
    tall = [max(r1 for *_, r1 in ring) - min(r0 for _, r0, *_ in ring) for ring in edges]
    return one.corner.at[1] < max(tall, default=0.0)


def _as_it_stays(loops: Loops, one: _Asked) -> float | None:
    """The nose's own radius, where that fillet is just what stays in the corner; None else.

    No tool ever stood in what stays, nor reached into it. With so much drawn as material each
    stands where it stood and removes what it removed: what is left of the corner is all that
    stays more, and nothing stays elsewhere.
    """
    nose = one.corner.nose_mm
    made = with_radius(loops, one.place, nose)
    if made is None or one.radii[0] < nose:
        return None
    fillet = Region.of([_between(one, made[0], nose)])
    stays = Region.of([np.array(one.left.polygon)])
    outside = (fillet - stays).area > _SAME * fillet.area
    more = (stays - fillet).grown(-0.5 * COUNTS_MM)
    return None if outside or not more.empty else nose


def _between(one: _Asked, loops: Loops, radius: float) -> Points:
    """Corners of what a radius fills in, from the sharp tip, or the smaller arc, to its own arc."""
    arcs = (curve for loop in loops for curve, _ in loop if isinstance(curve, Arc))
    tip = np.array(one.corner.at)
    near = [arc for arc in arcs if arc.clockwise and abs(arc.radius - radius) <= _AT_MM]
    run = min(near, key=lambda arc: math.dist(arc.at(0.5), tip)).flatten(_CHORD_SHARE * radius)
    # the smaller arc lies in the same corner, nearer to its tip
    smaller = tip + one.corner.drawn_radius_mm / radius * (run - tip)
    ring = np.concatenate((run, smaller[::-1] if one.corner.drawn_radius_mm > 0.0 else tip[None]))
    return ring if ring_measure(ring) > 0.0 else ring[::-1]


def _alone(
    view: View, loops: Loops, asked: Sequence[_Asked], known: Sequence[Region]
) -> dict[str, tuple[float, str]]:
    """For each corner the radius that the bluntest tool of its walls cuts, and which.

    Asked are, with all those radii drawn, these tools and the fewest that do what all do.
    """
    assert view.reach is not None
    beside = {one.finding.id: bluntest_beside(view, one.corner) for one in asked}
    radii = {own: found[0] for own, found in beside.items() if found is not None}
    drawn = _drawn(loops, asked, radii)
    if drawn is None:
        return {}
    profile, near = drawn
    names = {*view.reach.chosen_tools, *(found[1] for found in beside.values() if found)}
    stays = counted(removed_by(profile, _named(view, names)))
    if _beside(stays, [*known, *near.values(), *(_about(one.left.polygon) for one in asked)]):
        return {}
    return {
        own: tool
        for own, about in near.items()
        if (tool := beside[own]) is not None and not any(piece.meets(about) for piece in stays)
    }


def _named(view: View, names: Collection[str | None]) -> list[Tool]:
    return [tool for tool in view.shop.tools if tool.name in names]


def _smallest(
    view: View,
    loops: Loops,
    asked: Sequence[_Asked],
    proven: Mapping[str, float],
    known: Sequence[Region],
) -> dict[str, float]:
    """The smallest radius of each other corner that is cut whole, with those proven drawn as well.

    All are drawn at once: what tools do beside so much material they do beside less.
    """
    assert view.reach is not None
    nearest = {one.left.nearest_tool for one in asked}
    place = dict.fromkeys((one.finding.id for one in asked), 0)
    for _ in range(MOST_ROUNDS + 1):
        tried = [one for one in asked if place[one.finding.id] < len(one.radii)]
        radii = {one.finding.id: one.radii[place[one.finding.id]] for one in tried}
        drawn = _drawn(loops, asked, {**radii, **proven})
        if drawn is None:
            break
        profile, near = drawn
        radii = {own: radius for own, radius in radii.items() if own in near}
        for tools in (_named(view, {*nearest, *view.reach.chosen_tools}), view.shop.tools):
            stays = counted(removed_by(profile, tools))
            elsewhere = _beside(stays, [*known, *near.values()])
            bad = {own for own, about in near.items() if any(p.meets(about) for p in stays)}
            bad -= proven.keys()
            if not elsewhere and not bad:
                return {**radii, **proven}
            # less than any tool's own nose is a hope only
            if not elsewhere and all(
                radii[one.finding.id] < one.corner.nose_mm for one in tried if one.finding.id in bad
            ):
                break
        if elsewhere:
            break
        for own in bad:
            place[own] += 1
    return {}


def _drawn(
    loops: Loops, asked: Sequence[_Asked], radii: Mapping[str, float]
) -> tuple[Profile, dict[str, Region]] | None:
    """The profile with those radii, and about where each lies; without those that find no room."""
    near: dict[str, Region] = {}
    for one in asked:
        radius = radii.get(one.finding.id)
        made = None if radius is None else with_radius(loops, one.place, radius)
        if made is None:
            continue
        loops, reach = made
        (z, r), far = one.corner.at, reach + _NEAR_MM
        near[one.finding.id] = box(z - far, r - far, z + far, r + far)
    profile = profile_of(loops) if near else None
    return None if profile is None else (profile, near)


def _beside(pieces: Sequence[Region], known: Collection[Region]) -> bool:
    """Whether any piece lies where none may."""
    return any(not any(piece.meets(about) for about in known) for piece in pieces)


def _relief(view: View, loops: Loops, one: _Asked, gone: Region) -> _Relief | None:
    """The smallest relief groove that a blade of the shop cuts, flush with the shoulder.

    With less material tools remove no less: what is gone of the part as drawn is gone before.
    """
    inner = _is_inside(view, one.corner)
    blades = sorted(
        (
            tool
            for tool in view.shop.tools
            if {"width_mm", "corner_radius_mm"} <= tool.limits.keys()
            and tool.access == ("inner" if inner else "outer")
        ),
        key=lambda tool: tool.limits["width_mm"] * _deep(tool),
    )
    for blade in blades[:MOST_BLADES]:
        width, deep = blade.limits["width_mm"], _deep(blade)
        made = with_relief(loops, one.place, width, deep, blade.limits["corner_radius_mm"])
        profile = None if made is None else profile_of(made[0])
        if made is None or profile is None:
            continue
        (z, r), far = one.corner.at, one.corner.nose_mm + max(width, deep) + _NEAR_MM
        stays = counted(removed_by(profile, [blade], gone_before=gone))
        if not any(piece.meets(box(z - far, r - far, z + far, r + far)) for piece in stays):
            return _Relief(width, deep, made[1], blade.limits["corner_radius_mm"])
    return None


def _deep(blade: Tool) -> float:
    """How deep a groove must be for a square edge to seat beside the blade's corners."""
    return max(blade.limits["corner_radius_mm"], LEAST_DEEP_MM)


def _fitting(view: View, loops: Loops, one: _Asked) -> tuple[float, str] | None:
    """The bluntest tool of the walls, where its radius finds room on them: said, not proven."""
    beside = bluntest_beside(view, one.corner)
    fits = beside is not None and with_radius(loops, one.place, beside[0]) is not None
    return beside if fits else None


def _told(
    inch: bool,
    one: _Asked,
    radii: tuple[float | None, tuple[float, str] | None],
    relief: _Relief | None,
) -> Finding:
    (radius, alone), finding, drawn = radii, one.finding, one.corner.drawn_radius_mm
    changes: list[Change] = []
    said = groove = None
    if radius is not None:
        said = radius_text(radius, alone, inch)
        changes.append(Change(f"{said}.", FILLET, drawn, radius, proven=True))
    if alone is not None and finding.level != "note":
        text = f"Draw an inside radius of at least {length_text(alone[0], inch)}: then {alone[1]} "
        changes.append(Change(f"{text}does it alone.", FILLET, drawn, alone[0], proven=True))
    if relief is not None:
        width, deep, across, round_ = (
            length_text(x, inch)
            for x in (relief.width_mm, relief.depth_mm, relief.diameter_mm, relief.radius_mm)
        )
        # drawn square its floor would have sharp corners of its own
        floor = f" (radius {round_} at its floor)" if relief.radius_mm > 0.0 else ""
        groove = f"a relief groove {width} wide and {deep} deep{floor} in ⌀{across} beside it"
        also = (RELIEF_DEPTH, 0.0, relief.depth_mm)
        text = f"Cut {groove} if a square edge must seat."
        changes.append(Change(text, RELIEF, 0.0, relief.width_mm, proven=True, also=also))
    return replace(
        finding,
        message=finding.message.removesuffix(finding.advice) + advised(said, groove),
        change=changes[0] if changes else None,
        other_changes=tuple(changes[1:]),
        advice=finding.advice if changes else advised(None, None),
    )
