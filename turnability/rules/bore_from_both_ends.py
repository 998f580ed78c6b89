"""Bores that must run true to one another, stepped down from both ends to what is narrower."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.half_plane.curves import Point
from turnability.part.model import Profile, Segment
from turnability.rules.drawn import BORING_BAR, CHUCK, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.speak import run_out_text, segments_by_id, set_true_text, where_of
from turnability.rules.wall_under_tool import LEAST_MM, THIN
from turnability.setups.model import Datum, Grip, Operation, Plan, Rechucked, Setup
from turnability.setups.surfaces.finer import is_bore
from turnability.units import length_text, span_text

NAME = "bore-from-both-ends"
LEVELS = ("warning", "note")
WHY = (
    "Each is bored from its own end, and what is chucked again runs no truer than its holding "
    "brings it back."
)
LIMIT = "the run-out that is stated; where none is, that one chucking bores them all"
BASIS = "run-out of a part chucked again, by the shop file or common practice for each holding"
_SAME_MM = 1e-3
_CHORD_MM = 0.01


@dataclass(frozen=True, slots=True)
class Stepped:
    """Two bores of a group, low one first, and the least diameter between them (0: a wall)."""

    low: Segment
    high: Segment
    throat_mm: float


def check(view: View) -> Judgement:
    """A warning where the second chucking is expected to cost more than is stated.

    A note where no run-out is.
    """
    if view.plan is None or view.setups is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    told = ((one, stepped(view, one)) for one in view.plan.rechucked)
    return [_finding(view, one, bores) for one, bores in told if bores is not None]


def stepped(view: View, one: Rechucked) -> Stepped | None:
    """Two bores of these surfaces on either side of a narrower place, bored in two setups."""
    if one.holds or view.part.profile is None:
        return None
    known = segments_by_id(view.part)
    bores = sorted(
        (known[s] for s in one.segments if s in known and is_bore(known[s])),
        key=lambda bore: bore.ends_z_mm,
    )
    for low, high in ((a, b) for n, a in enumerate(bores) for b in bores[n + 1 :]):
        throat = _least_mm(view.part.profile, "inner", _between(low, high))
        narrow = 2.0 * min(low.curve.start[1], high.curve.start[1])
        if throat < narrow - _SAME_MM and _setup(view, low.id) != _setup(view, high.id):
            return Stepped(low, high, throat)
    return None


def _between(low: Segment, high: Segment) -> tuple[float, float]:
    return low.ends_z_mm[1], high.ends_z_mm[0]


def _least_mm(profile: Profile, side: str, z_mm: tuple[float, float]) -> float:
    """Least diameter of the inside (the axis is 0), or of the outside, over this range."""
    points: Iterator[Point] = (
        (float(p[0]), float(p[1]))
        for s in profile.outline.segments
        if s.surface == side or (side == "inner" and s.surface == "axis")
        if min(s.curve.end[0], s.curve.start[0]) < z_mm[1] - _SAME_MM
        if max(s.curve.end[0], s.curve.start[0]) > z_mm[0] + _SAME_MM
        for p in s.curve.flatten(_CHORD_MM)
    )
    return 2.0 * min((r for _, r in points), default=float("inf"))


def _setup(view: View, segment: str) -> int | None:
    """The setup that finishes it."""
    at = [
        setup.order
        for setup in view.setups or ()
        for o in setup.operations
        if segment in o.segments and not o.only_roughs
    ]
    return max(at, default=None)


def _finding(view: View, one: Rechucked, bores: Stepped) -> Finding:
    inch, low, high = view.shop.inch, bores.low, bores.high
    places = [
        f"⌀{length_text(2.0 * b.curve.start[1], inch)} at z {span_text(b.ends_z_mm, inch)}"
        for b in (low, high)
    ]
    between = (
        f"the ⌀{length_text(bores.throat_mm, inch)} between them is narrower"
        if bores.throat_mm > _SAME_MM
        else "a wall stands between them"
    )
    change = _change(view, bores)
    set_true = set_true_text(view.shop, "in the bore that is finished before the other is cut")
    instead = f"S{set_true[1:]}" if change is None else f"{change.text} Or {set_true}"
    return Finding(
        rule=NAME,
        level="note" if one.limit_mm is None else "warning",
        message=(
            f'"{one.name}": {places[0]} and {places[1]} are to run true, but {between}. {WHY} '
            f"Here {run_out_text(one, inch)}. {instead}, or state a "
            "wider run-out."
        ),
        where=where_of(view, (low.id, high.id)),
        basis=Basis(BASIS, "common-practice"),
        measured=None if one.mismatch is None else one.mismatch.value,
        limit=one.limit_mm,
        unit="mm",
        change=change,
    )


def _change(view: View, bores: Stepped) -> Change | None:
    """To open what lies between, where the wall there allows it and a bar gets through to the far
    bore; then one chucking bores them both.
    """
    profile = view.part.profile
    assert profile is not None
    inch, (z0, z1) = view.shop.inch, _between(bores.low, bores.high)
    to = 2.0 * min(bores.low.curve.start[1], bores.high.curve.start[1])
    outside = _least_mm(profile, "outer", (z0, z1))
    if 0.5 * (outside - to) < max(LEAST_MM, outside / THIN):
        return None
    deep = min(bores.high.ends_z_mm[1], profile.length_mm - bores.low.ends_z_mm[0])
    able = [
        tool
        for tool in view.shop.tools
        if tool.access == "inner"
        and not tool.on_axis
        and tool.limits.get("min_bore_mm", 0.0) <= to
        and tool.limits.get("overhang_mm", float("inf")) >= deep
    ]
    if not able:
        return None
    size = length_text(to, inch)
    text = (
        f"Open what lies between them to ⌀{size}, so that one chucking bores both, and let a "
        "retaining ring, a sleeve or a shoulder of what goes in stop it there."
    )
    return Change(text, "through_bore_mm", bores.throat_mm, to, proven=False)


_SEATS: tuple[Point, ...] = (
    (0, 15), (20, 15), (20, 10), (40, 10), (40, 15), (60, 15), (60, 25), (0, 25)
)  # fmt: skip
_ONE_END: tuple[Point, ...] = (
    (0, 10), (20, 10), (20, 12), (40, 12), (40, 15), (60, 15), (60, 25), (0, 25)
)  # fmt: skip


def _view(points: Sequence[Point], limit: float | None, setups: tuple[int, ...] = (1, 2)) -> View:
    """Seats S1 (low) and S5 (high) that must run true, bored in these setups."""
    off = Cited(0.1, "mm", "common practice", "three-jaw, hard jaws", verified=False)
    one = Rechucked("seats", ("S1", "S5"), setups, off if len(setups) > 1 else None, limit)
    grip = Grip(CHUCK.name, "outer", (20.0, 45.0), 50.0, 25.0)
    made = tuple(
        Setup(n, "low" if n == 1 else "high", grip, Datum(None, "drawn"), "none",
              (Operation(BORING_BAR.name, ("S5",) if n == 1 else ("S1",), "bore"),), ())
        for n in setups
    )  # fmt: skip
    view = drawn_view(points, setups=made, shop=drawn_shop((55, 60)))
    return replace(view, plan=Plan(made, (one,)))


EXAMPLES = (
    Example("a pin", lambda: replace(drawn_view(), plan=Plan((), ()))),
    Example("seats in one setup", lambda: _view(_SEATS, 0.02, (1,))),
    Example("seats in two, where that is true enough", lambda: _view(_SEATS, 0.2)),
    Example("stepped from one end", lambda: _view(_ONE_END, 0.02)),
    Example("seats from both ends, nothing stated", lambda: _view(_SEATS, None), ("note",)),
    Example("seats from both ends that must be true", lambda: _view(_SEATS, 0.02), ("warning",)),
)
