"""Where tools are at the end of a cut on an eccentric, about its own axis: for people to look at.

Asked of the body that the work comes to as it swings, as of any setup (`last_place`). No judgement
rests on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.reach.model import Toward
from turnability.setups.model import Datum, Grip, OffsetCut, Operation, Setup
from turnability.setups.operations.last_place import with_last_places
from turnability.setups.set_over.offset_cuts import Eccentric, from_chuck, to_size
from turnability.setups.set_over.offset_room import Round, cylinder_of, swinging_body
from turnability.setups.surfaces.swept import swept_segments
from turnability.shop.model import Tool

_SAME_MM = 1e-3
_ROUND_MM = 1.0
"""What stands round a bore in its body, at least: how much matters to no tool inside."""


def with_ends(
    profile: Profile,
    one: Eccentric,
    cuts: Sequence[OffsetCut],
    toward: Toward,
    tools: Sequence[Tool],
) -> tuple[OffsetCut, ...]:
    """The cuts of one eccentric, each with where its tools end."""
    rounds = [(cut.diameter_mm, cut.z_mm) for cut in to_size(cuts)]
    if one.is_bore:
        body = _bored(profile, rounds, one.offset_mm, toward)
    else:
        swept = tuple(swept_segments(profile, [one.departure]))
        body = swinging_body(profile, swept, rounds, one.offset_mm)
    if body is None:
        return tuple(cuts)
    side = "inner" if one.is_bore else "outer"
    operations, of = [], []
    for n, cut in enumerate(cuts):
        names: tuple[str, ...] = ()
        if cut.kind != "drill":
            at = (side, cut.diameter_mm, cut.z_mm)
            names = tuple(s.id for s in body.segments if cylinder_of(s, *at))
        for tool in cut.tools:
            operations.append(Operation(tool, names, cut.kind))
            of.append(n)
    grip = Grip("", "outer", (0.0, 0.0), body.max_diameter_mm, 0.0)
    setup = Setup(0, toward, grip, Datum(None, ""), "none", tuple(operations), ())
    placed = with_last_places((setup,), body, tools)[0].operations
    return tuple(
        replace(cut, ends_at=tuple(o.ends_at for o, m in zip(placed, of, strict=True) if m == n))
        for n, cut in enumerate(cuts)
    )


def _bored(
    profile: Profile, rounds: Sequence[Round], offset_mm: float, toward: Toward
) -> Profile | None:
    """A round body with the bores in it, open to the free end; None where one hides another."""
    whole = profile.length_mm
    steps = sorted((from_chuck(z, toward, whole)[0], d / 2.0) for d, z in rounds)
    radii = [r for _, r in steps]
    if not steps or radii != sorted(radii):
        return None
    outside = max(profile.max_diameter_mm / 2.0 + offset_mm, radii[-1] + _ROUND_MM)
    chain = [(whole, radii[-1])]
    for x, r in reversed(steps):
        chain += [(chain[-1][0], r), (x, r)]
    x = chain[-1][0]
    ends = [] if x <= _SAME_MM else [(x, 0.0), (0.0, 0.0)]
    corners = [(whole, outside), (0.0, outside), *reversed(ends), *reversed(chain)]
    if toward == "high":
        corners = [(whole - z, r) for z, r in reversed(corners)]
    kept = [
        p
        for n, p in enumerate(corners)
        if abs(p[0] - corners[n - 1][0]) + abs(p[1] - corners[n - 1][1]) > _SAME_MM
    ]
    return drawn_profile(kept)
