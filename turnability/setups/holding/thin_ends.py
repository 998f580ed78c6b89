"""A thin free end turned to size in one pass from the full bar, a short length out of the jaws.

A thin pin bends away from any later pass, however light. Cut in one, from the free end toward the
chuck, each place is backed by the whole bar before it; so it is done on lathes for small parts.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from turnability.cited import Cited
from turnability.part.model import Profile, Segment
from turnability.setups.holding.drawn_in import BESIDE_JAWS_MM, are_apart, out_mm
from turnability.setups.holding.supported import naming, only
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.shop.model import Machine, Tool
from turnability.shop.told_apart import POINTED_TAKES_MM, is_pointed

MOST_DEPTH = Cited(
    3.0,
    "mm",
    "common practice",
    "depth a side that a sharp corner takes to size in one pass, from memory",
    verified=False,
)
THIN = Cited(
    5.0,
    "mm",
    "common practice",
    "diameter below which an end takes no usual centre hole, from memory",
    verified=False,
)
_ROOM_MM = 1.0
"""Beside the jaws' stand-off, for what is faced off the end."""
_SAME_MM = 1e-3


def in_one_pass(
    profile: Profile,
    setup: Setup,
    operations: Sequence[Operation],
    weak: Collection[str],
    tools: Sequence[Tool],
    lathe: Machine | None,
    through_mm: float,
    related: Sequence[Collection[str]] = (),
) -> Setup | None:
    """The setup with its free end turned so as far as these surfaces, all else after that.

    Or as the farthest of them that may be: one that stands no farther out of the jaws than those
    carry, that nothing thicker stands before, that one tool cuts, and that no tolerance relates to
    what is turned once the bar is drawn out. None where none may. `operations` are those of the
    setup with nothing that carries it.
    """
    outer = sorted(
        (s for s in profile.segments if s.surface == "outer" and not _is_face(s)),
        key=lambda s: _from_end(profile, setup, s),
    )
    for n in reversed(range(len(outer))):
        if outer[n].id in weak and all(_is_thin(s) for s in outer[: n + 1]):
            thin = _with_shoulders(profile, setup, outer[: n + 1])
            made = _parted(profile, setup, operations, thin, tools, related)
            reach = max(_from_end(profile, setup, s)[1] for s in thin)
            beside = BESIDE_JAWS_MM if setup.holding is None else setup.holding.jaw_standoff_mm
            able, out = out_mm(
                profile,
                setup.toward_chuck,
                setup.grip,
                lathe,
                through_mm,
                reach + beside + _ROOM_MM,
            )
            if able and made is not None:
                early, rest = made
                bounds = [_from_end(profile, setup, s)[1] for s in outer[:n] if s.id in weak]
                outs = [bound + beside + _ROOM_MM for bound in bounds if reach - bound > beside]
                far = {s.id: _from_end(profile, setup, s)[1] + beside + _ROOM_MM for s in thin}
                first = _by_turns(early, far, [] if out is None else outs, out, related)
                return replace(
                    setup,
                    support="none",
                    steady_z_mm=None,
                    light=False,
                    operations=(*first, *rest),
                )
    return None


def _by_turns(
    early: Sequence[Operation],
    far: Mapping[str, float],
    outs: Sequence[float],
    out: float | None,
    related: Sequence[Collection[str]],
) -> list[Operation]:
    """Each stretch cut while no more stands out than it needs, where no tolerance relates them.

    `far` is how much its surfaces need, `outs` the lengths short of `out` for the whole.
    """
    left, made = list(early), []
    for one in outs:
        near = {s for s, needs in far.items() if needs <= one + _SAME_MM}
        now = [only(o, near) for o in left if near.intersection(o.segments)]
        then = [only(o, {*o.segments}.difference(near)) for o in left]
        then = [o for o in then if o.segments]
        if now and are_apart(related, now, then):
            made += [replace(o, out_mm=one) for o in now]
            left = then
    faces = [o for o in left if o.kind == "face"]
    shortest = made[0].out_mm if made else out
    rest = [replace(o, out_mm=out) for o in left if o.kind != "face"]
    return [*(replace(o, out_mm=shortest) for o in faces), *made, *rest]


def _parted(
    profile: Profile,
    setup: Setup,
    operations: Sequence[Operation],
    thin: Sequence[Segment],
    tools: Sequence[Tool],
    related: Sequence[Collection[str]],
) -> tuple[list[Operation], list[Operation]] | None:
    """The end's face and these surfaces in one pass, and all else; None where that can't be."""
    by_blades = {s for o in operations if o.kind == "groove" for s in o.segments}
    names = {s.id for s in thin if not (s.id in by_blades and _is_face(s))}
    known = {tool.name: tool for tool in tools}
    cutters = [o for o in operations if names.intersection(o.segments)]
    mine = [known.get(o.tool) for o in cutters]
    if any(o.kind != "turn" for o in cutters) or any(t is None or t.hand == "left" for t in mine):
        return None
    if sorted(s for o in cutters for s in o.segments if s in names) != sorted(names):
        return None
    deep = setup.grip.diameter_mm / 2.0 - min(
        p[1] for s in thin for p in (s.curve.start, s.curve.end)
    )
    if deep > (POINTED_TAKES_MM if any(map(is_pointed, mine)) else MOST_DEPTH.value):
        return None
    early = [replace(only(o, names), one_pass=True, roughs=False) for o in cutters]
    late = [_without(profile, operations, n, names) for n in range(len(operations))]
    faces = [o for o in late if o is not None and o.kind == "face"]
    rest = [o for o in late if o is not None and o.kind != "face"]
    return ([*faces, *early], rest) if are_apart(related, early, rest) else None


def _without(
    profile: Profile, operations: Sequence[Operation], n: int, names: set[str]
) -> Operation | None:
    """An operation less those surfaces; None where nothing is left to it."""
    one = operations[n]
    if not names.intersection(one.segments) and one.kind != ROUGH and not one.leaves:
        return one
    one = naming(profile, operations, n)
    left = only(one, {*one.segments, *one.leaves}.difference(names))
    return left if left.segments or left.leaves else None


def _with_shoulders(profile: Profile, setup: Setup, thin: Sequence[Segment]) -> list[Segment]:
    """The same with the shoulders on the way, and that which it ends at, as the pass squares it."""
    edge = max(_from_end(profile, setup, s)[1] for s in thin)
    shoulders = [
        s
        for s in profile.segments
        if s.surface not in ("inner", "axis")
        and _is_face(s)
        and _SAME_MM < _from_end(profile, setup, s)[1] <= edge + _SAME_MM
    ]
    return [*thin, *shoulders]


def _is_thin(segment: Segment) -> bool:
    return 2.0 * max(segment.curve.start[1], segment.curve.end[1]) < THIN.value


def _is_face(segment: Segment) -> bool:
    return abs(segment.curve.end[0] - segment.curve.start[0]) <= _SAME_MM


def _from_end(profile: Profile, setup: Setup, segment: Segment) -> tuple[float, float]:
    """How far from the free end it begins and ends."""
    z = segment.ends_z_mm
    if setup.toward_chuck == "low":
        return profile.length_mm - z[1], profile.length_mm - z[0]
    return z[0], z[1]
