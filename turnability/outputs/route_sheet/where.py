"""Where a step of the route sheet cuts: its surfaces, which part of them, what it leaves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from turnability.part.model import Segment
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.shop.books import drilled_for_mm
from turnability.shop.model import Tool
from turnability.shop.told_apart import SIDEWAYS
from turnability.units import number_text

_CHORD_MM = 1e-4
_HOLLOWS = ("drill", "bore")
_CLEARS = {
    "drill": "for what follows, as deep as it gets",
    "bore": "for what follows, as far as it gets",
    "groove": "for what follows, as far as it gets",
    "end groove": "for what follows, as far as it gets",
}
"""Where an operation works that finishes nothing."""


@dataclass(frozen=True, slots=True)
class Surfaces:
    """What is to be said of the surfaces that a setup cuts, beside how it cuts them.

    `known` are the part's by name; `earlier` those cut in setups before, `later` those of setups
    after, with the setup's number; of `stays` something stays uncut for good; `swept` is what an
    eccentric's are swept to, that is no surface of the part, `ground` what is left on what another
    machine finishes. `leave` is what is left behind the part for a setup after.
    """

    known: Mapping[str, Segment]
    earlier: frozenset[str] = frozenset()
    later: Mapping[str, int] = field(default_factory=dict)
    stays: frozenset[str] = frozenset()
    swept: Mapping[str, str] = field(default_factory=dict)
    ground: Mapping[str, str] = field(default_factory=dict)
    leave: str = ""


def where_text(setup: Setup, operation: Operation, surfaces: Surfaces, inch: bool) -> str:
    """All of it."""
    known = surfaces.known
    own = [known[s] for s in operation.segments if s in known]
    told = [
        f"{_where(s, inch)}{surfaces.ground.get(s.id, '')}{_share(setup, operation, s, surfaces)}"
        for s in own
    ]
    roughed = [] if operation.kind == ROUGH else list(_roughed(setup, operation, known, inch))
    if not told and not roughed:
        return _place(setup, operation, known, inch, surfaces.leave)
    return "; ".join((*told, *roughed))


def _share(setup: Setup, operation: Operation, segment: Segment, surfaces: Surfaces) -> str:
    """Which part of a surface an operation cuts where another one cuts it too."""
    later, swept = surfaces.later, surfaces.swept
    if segment.id in swept and segment.surface == "outer":
        return f" (stock for {swept[segment.id]})"
    if segment.id in surfaces.stays and operation.kind != "part off":
        return " (as far as it gets, the rest stays uncut)"
    if segment.id in surfaces.earlier:
        return " (what is left of it)"
    sharing = [o for o in setup.operations if segment.id in o.segments and o.kind != "part off"]
    if operation.kind == "groove" and any(
        segment.id in o.leaves for o in setup.operations if o.kind != ROUGH
    ):
        first = "what is left of it, " if operation in sharing[1:] else ""
        return f" ({first}sideways in light cuts)"
    if len(sharing) < 2:
        rest = later.get(segment.id)
        return "" if rest is None else f" (in part, the rest in setup {rest})"
    carried = {o.support == "steady" for o in sharing if o.kind == "turn"}
    if len(carried) == 2:  # before the steady stands and after
        return (
            " (from the steady to the chuck)"
            if operation.support == "steady"
            else " (the free end first)"
        )
    if operation == sharing[0]:
        return " (in part)"
    rest = later.get(segment.id)
    return " (what is left of it)" if rest is None else f" (more of it, the rest in setup {rest})"


def sideways_text(
    setup: Setup, operation: Operation, surfaces: Surfaces, tools: Sequence[Tool]
) -> str:
    """What to do with a cylinder that a blade alone cuts, and that is too long to be fed along."""
    width = max(
        (tool.limits.get("width_mm", 0.0) for tool in tools if tool.name == operation.tool),
        default=0.0,
    )
    if operation.kind != "groove" or width <= 0.0:
        return ""
    others = [o for o in setup.operations if o != operation]
    shared = {s for o in others for s in (*o.segments, *o.leaves)} | surfaces.earlier
    known = surfaces.known
    alone = [known[s] for s in operation.segments if s in known and s not in shared]
    if not any(_is_cylinder(s) and s.curve.length() > SIDEWAYS.value * width for s in alone):
        return ""
    return (
        f"; more than {SIDEWAYS.value:g} widths of the blade: plunge beside plunge, then sideways "
        "in light cuts, which chatters"
    )


def _is_cylinder(segment: Segment) -> bool:
    straight = abs(segment.curve.start[1] - segment.curve.end[1]) <= _CHORD_MM
    return segment.surface in ("inner", "outer") and straight


def _roughed(
    setup: Setup, operation: Operation, known: Mapping[str, Segment], inch: bool
) -> Iterator[str]:
    """What it only roughs, and who finishes the whole of that."""
    later = setup.operations[setup.operations.index(operation) + 1 :]
    word = "roughs "
    for s in operation.leaves:
        by = [o.tool for o in later if s in o.segments]
        reamer = next((o.tool for o in later if o.kind == "ream" and s in o.segments), None)
        if s in known and reamer is not None:
            size = drilled_for_mm(2.0 * known[s].curve.start[1])
            to = f"⌀{number_text(round(size, 3), inch)} for {reamer}"
            yield f"bores {_where(known[s], inch)} to {to}"
        elif s in known and by:
            alone = len(by) == 1 and by[0] != operation.tool
            whole = f", which {by[0]} finishes whole" if alone else ""
            yield f"{word}{_where(known[s], inch)}{whole}"
            word = ""


def _place(
    setup: Setup, operation: Operation, known: Mapping[str, Segment], inch: bool, leave: str
) -> str:
    """Where an operation works that finishes nothing: a cut behind a dome, a hole for a bar.

    `leave` is what it leaves to a setup after this one.
    """
    z = [p[0] for s in known.values() for p in (s.curve.start, s.curve.end)]
    if operation.kind == "part off":
        at = number_text(min(z) if setup.toward_chuck == "low" else max(z), inch)
        return f"behind z {at}, {leave}" if leave else f"at z {at}"
    if operation.kind == ROUGH:
        outside = _outside(setup, operation, known, inch)
        if any(o.over_thin_wall for o in setup.operations):
            return f"{outside}, leaving stock over what becomes a thin wall"
        if _waits(setup):
            after = setup.operations[setup.operations.index(operation) + 1 :]
            then = " when the bore is done" if any(o.kind in _HOLLOWS for o in after) else ""
            return f"{outside}, leaving stock to finish{then}"
        return f"{outside}, as far as it gets"
    if operation.kind == "drill" and operation.ends_at is not None:
        if not min(z) <= operation.ends_at[0] <= max(z):
            return "through, for what follows"
        return "for what follows"
    return _CLEARS.get(operation.kind, "")


def _outside(setup: Setup, operation: Operation, known: Mapping[str, Segment], inch: bool) -> str:
    """How far the outside is roughed: whole, or first where a steady then runs and outwards."""
    if not operation.leaves:
        return "the outside"
    if operation.support == "steady":
        return "the rest of the outside, to the chuck"
    low = setup.toward_chuck == "low"
    ends = [p[0] for s in operation.leaves for p in (known[s].curve.start, known[s].curve.end)]
    again = {s for o in setup.operations if o.support == "steady" for s in o.leaves}
    if setup.steady_z_mm is not None and not again.isdisjoint(operation.leaves):
        # behind the pads their own cylinder is roughed with the rest
        ends = [setup.steady_z_mm[0 if low else 1]]
    return (
        f"the outside from the free end to z {number_text(min(ends) if low else max(ends), inch)}"
    )


def _waits(setup: Setup) -> bool:
    """Whether an outside is in fact finished when the bore is done: not on a centre before it."""
    kinds = [o.kind for o in setup.operations]
    late = [n for n, o in enumerate(setup.operations) if o.after_bore]
    return bool(late) and not {"drill", "bore"}.isdisjoint(kinds[: late[0]])


def _where(segment: Segment, inch: bool) -> str:
    """A surface by its name, z and diameter."""
    # a ball is wider between its ends than at either
    points = segment.curve.flatten(_CHORD_MM)
    z, r = ((float(points[:, n].min()), float(points[:, n].max())) for n in (0, 1))
    z = (round(z[0], 3), round(z[1], 3))
    d = (round(2.0 * r[0], 3), round(2.0 * r[1], 3))
    if segment.surface == "end" or z[0] == z[1]:
        return f"{segment.id} face z {number_text(z[0], inch)}"
    return f"{segment.id} ⌀{_span(d, inch)} z {_span(z, inch)}"


def _span(values: Sequence[float], inch: bool) -> str:
    low, high = (number_text(value, inch) for value in values)
    return low if low == high else f"{low}–{high}"
