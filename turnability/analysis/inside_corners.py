"""Inside corners that a nose leaves round: each drawn otherwise, and the tools asked again.

A radius is the smallest that some tool cuts whole, a relief groove the narrowest that a blade of
the shop cuts, as deep as that blade's own corners, so that a square edge seats beside it. All
corners are drawn with their radii at once: what tools do beside so much material they do beside
less, so each change holds alone as well. A relief takes material away: each is tried by itself,
and what the tools had removed before it stays removed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from turnability.analysis.corner_drawn import (
    Corner,
    Loops,
    loops_of,
    profile_of,
    with_radius,
    with_relief,
)
from turnability.half_plane.regions import Region, box
from turnability.part.model import Profile
from turnability.reach.left import counted
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


@dataclass(frozen=True, slots=True)
class _Asked:
    """One finding, its corner, the tool that leaves least there, and the radii (mm) to try."""

    finding: Finding
    corner: InsideCorner
    nearest_tool: str | None
    radii: tuple[float, ...]

    @property
    def place(self) -> Corner:
        return Corner(self.corner.at, self.corner.drawn_radius_mm)


@dataclass(frozen=True, slots=True)
class _Relief:
    width_mm: float
    depth_mm: float
    diameter_mm: float


def with_corners_proven(view: View, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings; of sharp corners those changes alone that the tools bear out, as proven."""
    profile = view.part.profile
    asked = list(_asked(view, findings))
    if profile is None or view.reach is None or not asked:
        return tuple(findings)
    loops = loops_of(profile)
    known = _kept_before(view, asked)
    alone, more = _alone(view, loops, asked, known)
    radii, gone = _smallest(view, loops, asked, known, more)
    told: dict[str, Finding] = {}
    for n, one in enumerate(asked):
        own = one.finding.id
        relief = None
        if n < MOST_RELIEVED and may_be_relieved(view, one.corner):
            relief = _relief(view, loops, one, gone)
        told[own] = _told(one, radii.get(own), alone.get(own), relief, view.shop.inch)
    return tuple(told.get(finding.id, finding) for finding in findings)


def _asked(view: View, findings: Sequence[Finding]) -> Iterator[_Asked]:
    own = [f for f in findings if f.rule == NAME and f.change is not None and f.where.z_mm]
    if not own or view.reach is None:
        return
    corners = [
        (corner, left.nearest_tool)
        for left in view.reach.left
        if (corner := only_a_corner(left, view)) is not None
    ]
    noses = {round(tool.limits.get("nose_radius_mm", 0.0), 6) for tool in view.shop.tools}
    for finding in own:
        corner, nearest = next((c for c in corners if _is_at(finding, c[0])), (None, None))
        if corner is None:
            continue
        nose, drawn = corner.nose_mm, corner.drawn_radius_mm
        least = rounded_up(corner.by_depth_mm, view.shop.inch)
        first = (least,) if drawn < least < (1.0 - _AGREE) * nose else ()
        larger = sorted(r for r in noses if r > nose + _AT_MM)
        yield _Asked(finding, corner, nearest, (*first, nose, *larger)[:MOST_ROUNDS])


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


@dataclass(frozen=True, slots=True)
class _Gone:
    """What tools remove with these radii drawn (mm, by finding): with none larger they do, too."""

    region: Region
    radii: Mapping[str, float]

    def with_drawn(self, radii: Mapping[str, float]) -> Region | None:
        """What is gone as well with other radii drawn, as far as that is known."""
        smaller = all(radius <= self.radii.get(own, 0.0) + _AT_MM for own, radius in radii.items())
        return self.region if smaller else None


def _alone(
    view: View, loops: Loops, asked: Sequence[_Asked], known: Sequence[Region]
) -> tuple[dict[str, tuple[float, str]], _Gone | None]:
    """For each corner the radius that the bluntest tool of its walls cuts, and which; what is gone.

    Asked are, with all those radii drawn, these tools and the fewest that do what all do.
    """
    assert view.reach is not None
    beside = {one.finding.id: bluntest_beside(view, one.corner) for one in asked}
    radii = {one.finding.id: max(one.radii[0], _radius(beside[one.finding.id])) for one in asked}
    drawn = _drawn(loops, asked, radii)
    if drawn is None or not any(beside.values()):
        return {}, None
    profile, near = drawn
    names = {*view.reach.chosen_tools, *(found[1] for found in beside.values() if found)}
    removal = removed_by(profile, _named(view, names))
    gone = _Gone(removal.standing.gone, {own: radii[own] for own in near})
    stays = counted(removal)
    if _beside(stays, [*known, *near.values()]):
        return {}, gone
    found = {
        own: tool
        for own, about in near.items()
        if (tool := beside[own]) is not None and not any(piece.meets(about) for piece in stays)
    }
    return found, gone


def _radius(beside: tuple[float, str] | None) -> float:
    return 0.0 if beside is None else beside[0]


def _named(view: View, names: Collection[str | None]) -> list[Tool]:
    return [tool for tool in view.shop.tools if tool.name in names]


def _smallest(
    view: View,
    loops: Loops,
    asked: Sequence[_Asked],
    known: Sequence[Region],
    more: _Gone | None,
) -> tuple[dict[str, float], Region | None]:
    """The smallest radius of each corner that is cut whole, and what is gone with them all drawn.

    `more`: what is gone with others drawn.
    """
    assert view.reach is not None
    nearest = {one.nearest_tool for one in asked}
    place = dict.fromkeys((one.finding.id for one in asked), 0)
    for _ in range(MOST_ROUNDS + 1):
        tried = [one for one in asked if place[one.finding.id] < len(one.radii)]
        radii = {one.finding.id: one.radii[place[one.finding.id]] for one in tried}
        drawn = _drawn(loops, asked, radii)
        if drawn is None:
            break
        profile, near = drawn
        radii = {own: radius for own, radius in radii.items() if own in near}
        gone = None if more is None else more.with_drawn(radii)
        names = nearest if gone is not None else {*nearest, *view.reach.chosen_tools}
        for tools in (_named(view, names), view.shop.tools):
            removal = removed_by(profile, tools, gone_before=gone)
            stays = counted(removal)
            elsewhere = _beside(stays, [*known, *near.values()])
            bad = {own for own, about in near.items() if any(p.meets(about) for p in stays)}
            if not elsewhere and not bad:
                return radii, removal.standing.gone
            # less than any tool's own nose is a hope only
            if not elsewhere and all(
                radii[one.finding.id] < one.corner.nose_mm for one in tried if one.finding.id in bad
            ):
                break
        if elsewhere:
            break
        for own in bad:
            place[own] += 1
    return {}, None


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


def _relief(view: View, loops: Loops, one: _Asked, gone: Region | None) -> _Relief | None:
    """The smallest relief groove that a blade of the shop cuts, flush with the shoulder."""
    known, chosen = segments_by_id(view.part), view.reach.chosen_tools if view.reach else ()
    inner = any(known[s].surface == "inner" for s in one.corner.segments)
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
        names = {blade.name} if gone is not None else {blade.name, *chosen}
        stays = counted(removed_by(profile, _named(view, names), gone_before=gone))
        if not any(piece.meets(box(z - far, r - far, z + far, r + far)) for piece in stays):
            return _Relief(width, deep, made[1])
    return None


def _deep(blade: Tool) -> float:
    """How deep a groove must be for a square edge to seat beside the blade's corners."""
    return max(blade.limits["corner_radius_mm"], LEAST_DEEP_MM)


def _told(
    one: _Asked,
    radius: float | None,
    alone: tuple[float, str] | None,
    relief: _Relief | None,
    inch: bool,
) -> Finding:
    finding, drawn = one.finding, one.corner.drawn_radius_mm
    changes: list[Change] = []
    said = groove = None
    if radius is not None:
        said = radius_text(radius, alone, inch)
        changes.append(Change(f"{said}.", FILLET, drawn, radius, proven=True))
    if alone is not None:
        text = f"Draw an inside radius of at least {length_text(alone[0], inch)}: then {alone[1]} "
        changes.append(Change(f"{text}does it alone.", FILLET, drawn, alone[0], proven=True))
    if relief is not None:
        width, deep, across = (
            length_text(x, inch) for x in (relief.width_mm, relief.depth_mm, relief.diameter_mm)
        )
        groove = f"a relief groove {width} wide and {deep} deep in ⌀{across} beside it"
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
