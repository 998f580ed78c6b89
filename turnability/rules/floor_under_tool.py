"""A floor so thin for its width that it gives way under the tool that faces its other side."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from turnability.part.model import Profile, Segment
from turnability.rules.drawn import CHUCK, Example, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.cutting.forces import Cut, passive_force_n
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.operations.parting import length_width_mm
from turnability.setups.surfaces.limits import UNSTATED, general_width
from turnability.shop.materials import Material, material_of
from turnability.units import length_text, rounded_up

NAME = "floor-under-tool"
LEVELS = ("warning", "note")
WHY = (
    "A thin floor is pushed in by the tool that faces it and springs back: it stays thicker there."
)
LIMIT = (
    "how far its middle gives, against what its thickness may vary by (ISO 2768-1 medium without a "
    "tolerance): over a quarter of that is a note, over half a warning"
)
BASIS = (
    "a round plate clamped at its rim with the force at its centre, F a² / 16 π D (plate theory, "
    "from memory), under the passive force of a light cut"
)
LIGHT = Cut(depth_mm=0.5, feed_mm=0.1)
_SAME_MM = 1e-3
_NOTE, _WARNING = 0.25, 0.5


@dataclass(frozen=True, slots=True)
class _Floor:
    """A flat floor that closes a bore, and the flat end behind it."""

    floor: Segment
    end: Segment
    radius_mm: float

    @property
    def thickness_mm(self) -> float:
        return abs(self.floor.curve.start[0] - self.end.curve.start[0])


def check(view: View) -> Judgement:
    """A finding for each floor whose two sides are cut in different chuckings."""
    view = view.as_turned()
    profile = view.part.profile
    if view.setups is None or profile is None:
        return NotJudged("no plan of setups was made, so it is not known what is faced when")
    chosen = material_of(view.shop)
    if chosen is None:
        return NotJudged("the material stands in no table here, so its forces are not known")
    found = (_finding(view, one, chosen.material) for one in _floors(profile))
    return [finding for finding in found if finding is not None]


def _floors(profile: Profile) -> Iterator[_Floor]:
    planes = [
        s
        for s in profile.outline.segments
        if s.surface != "axis"
        and abs(s.curve.start[0] - s.curve.end[0]) <= _SAME_MM
        and min(s.curve.start[1], s.curve.end[1]) <= _SAME_MM
    ]
    ends = [s for s in planes if _at(s) <= _SAME_MM or _at(s) >= profile.length_mm - _SAME_MM]
    for floor in planes:
        for end in ends:
            if len(planes) == 2 and floor not in ends:
                radius = min(_radius(floor), _radius(end))
                yield _Floor(floor, end, radius)


def _at(segment: Segment) -> float:
    return segment.curve.start[0]


def _radius(segment: Segment) -> float:
    return max(segment.curve.start[1], segment.curve.end[1])


def _gives_mm(force_n: float, radius_mm: float, thick_mm: float, material: Material) -> float:
    """How far the middle of a clamped round plate gives under a force there."""
    stiff = material.e.value * thick_mm**3 / 12.0 / (1.0 - material.poisson**2)
    return force_n * radius_mm**2 / (16.0 * math.pi * stiff)


def _finding(view: View, one: _Floor, material: Material) -> Finding | None:
    inch, thick = view.shop.inch, one.thickness_mm
    orders = [
        max((s.order for s in view.setups or () if _cuts(s, side.id)), default=0)
        for side in (one.floor, one.end)
    ]
    if 0 in orders or orders[0] == orders[1]:
        return None  # one side stays as a blade leaves it, or stock still backs the other up
    allowed = _allowed_mm(view, one)
    force = passive_force_n(material, LIGHT)
    gives = _gives_mm(force, one.radius_mm, thick, material)
    if allowed is None or gives <= _NOTE * allowed:
        return None
    enough = thick * (gives / (_NOTE * allowed)) ** (1.0 / 3.0)
    wanted = rounded_up(enough, inch)
    text = f"Draw the floor at least {length_text(wanted, inch)} thick."
    plug = "in the bore, against the floor" if orders[1] > orders[0] else "behind the end"
    return Finding(
        rule=NAME,
        level="warning" if gives > _WARNING * allowed else "note",
        message=(
            f"The floor of ⌀{length_text(round(2.0 * one.radius_mm, 3), inch)} is "
            f"{length_text(round(thick, 3), inch)} thick when its other side is faced in setup "
            f"{max(orders)}: a light cut in {material.name} pushes with about {force:.0f} N, and "
            f"its middle gives by {length_text(round(gives, 3), inch)}. {WHY} {text} Else set a "
            f"plug {plug}, and take light cuts with a sharp tool."
        ),
        where=where_of(view, (one.floor.id, one.end.id)),
        basis=Basis(BASIS, "handbook"),
        measured=gives,
        limit=_NOTE * allowed,
        unit="mm",
        change=Change(text, "floor_thickness_mm", thick, wanted, proven=False),
    )


def _cuts(setup: Setup, segment: str) -> bool:
    return any(segment in o.segments and o.kind != "part off" for o in setup.operations)


def _allowed_mm(view: View, one: _Floor) -> float | None:
    """What its thickness may vary by: as stated between these two faces, else in general."""
    for tolerance in () if view.intent is None else view.intent.tolerances:
        width = length_width_mm(tolerance)
        if width is not None and {one.floor.id, one.end.id} <= set(tolerance.place.segments):
            return width
    general = view.intent.general_tolerance if view.intent is not None else None
    usual = general_width(general or UNSTATED, one.thickness_mm)
    return None if usual is None else usual.value


def _cup(floor_mm: float, orders: tuple[int, int] = (1, 2)) -> View:
    """⌀60, bored ⌀56 down to this floor; its two sides are cut in these setups."""
    points = [(0, 0), (floor_mm, 0), (floor_mm, 28), (50, 28), (50, 30), (0, 30)]
    grip = Grip(CHUCK.name, "outer", (0.0, 30.0), 60.0, 30.0)
    sides = (("S2", orders[0]), ("S6", orders[1]))
    made = tuple(
        Setup(n, "low", grip, Datum("S6", "drawn"), "none", operations=tuple(
            Operation("bar", (name,), "face") for name, order in sides if order == n
        ), left=())
        for n in (1, 2)
    )  # fmt: skip
    return drawn_view(points, setups=made)


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a cup of ⌀56 with a floor of 3 mm", lambda: _cup(3.0)),
    Example("one of 0.8 mm, both sides cut while stock backs it up", lambda: _cup(0.8, (1, 1))),
    Example("one of 1 mm, faced when it is bored", lambda: _cup(1.0), ("note",)),
    Example("one of 0.7 mm", lambda: _cup(0.7), ("warning",)),
)
