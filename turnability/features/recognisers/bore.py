"""Bores: inside cylinders, each constant diameter one bore, whatever recesses interrupt it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from turnability.features import limits
from turnability.features.candidates import near_thread
from turnability.features.chain import Chain, spread
from turnability.features.doubts import near_step
from turnability.features.drawing import ArcTo
from turnability.features.found import Example, Found
from turnability.features.grooving import recesses
from turnability.features.model import Alternative, FeatureKind
from turnability.features.places import COUNTERBORE_DEPTH, opens_to, throat
from turnability.features.sides import Side, is_drill_point, is_parallel, is_radial, is_slanted
from turnability.half_plane.curves import Line, Point
from turnability.part.model import HelicalThread, Parameter

KIND: FeatureKind = "bore"
RANK = 50
_SAG_PITCHES = 0.1
"""How far a thread's crests may lie off their diameter."""


@dataclass(frozen=True, slots=True)
class _Link:
    """A side of the bores with the recesses filled in, or the mouth of a recess (`sides` in it)."""

    start: Point
    end: Point
    side: Side | None
    sides: tuple[Side, ...]

    def is_level(self, r: float) -> bool:
        """A cylinder or a mouth at this radius."""
        level = abs(self.start[1] - r) <= limits.SAME_MM and abs(self.end[1] - r) <= limits.SAME_MM
        return level and (self.side is None or is_parallel(self.side.curve))


def find(chain: Chain) -> list[Found]:
    """Every bore: its length between sharp corners, whether it goes through, how it ends."""
    links = _filled(chain)
    found = []
    i = 0
    while i < len(links):
        side = links[i].side
        if side is None or not _is_bore(side):
            i += 1
            continue
        r = side.curve.start[1]
        first, last = i, i
        while first > 0 and links[first - 1].is_level(r):
            first -= 1
        while last + 1 < len(links) and links[last + 1].is_level(r):
            last += 1
        bore = _bore(chain, links, first, last, r)
        if bore:
            found.append(bore)
        i = last + 1
    return found + _wound(chain, links, found) + _elsewhere(chain)


def _wound(chain: Chain, links: Sequence[_Link], found: Sequence[Found]) -> list[Found]:
    """Bores of threads whose crests sag between their turns: no side of theirs is a cylinder."""
    made: list[Found] = []
    for thread in chain.threads:
        spare = _SAG_PITCHES * thread.pitch_mm
        if thread.surface != "inner" or thread.taper:
            continue
        crests = [
            i
            for i, link in enumerate(links)
            if (names := {name for side in _sides(link) for name in side.ids})
            and names <= chain.threaded
            and all(abs(2.0 * r - thread.minor_mm) <= spare for _, r in (link.start, link.end))
        ]
        if not crests or any(
            abs(one.diameter_mm[0] - thread.minor_mm) <= spare
            and min(one.z_mm[1], thread.z_mm[1]) > max(one.z_mm[0], thread.z_mm[0])
            for one in found
        ):
            continue
        r = min(min(links[i].start[1], links[i].end[1]) for i in crests)
        bore = _bore(chain, links, crests[0], crests[-1], r)
        made += [bore] if bore else []
    return made


def _is_bore(side: Side) -> bool:
    return side.surface == "inner" and is_parallel(side.curve)


def _filled(chain: Chain) -> list[_Link]:
    """The bores' sides in running order (low to high), each outermost recess one link."""
    outermost = [
        cut.hollow
        for cut in recesses(chain)
        if not any(cut.hollow.within(other) for other in chain.inside)
    ]
    links: list[_Link] = []
    for side in chain.zone("inner", "axis"):
        here = [h for h in outermost if any(side is other for other in h.sides)]
        start, end = side.curve.start, side.curve.end
        for hollow in here:
            if side is hollow.sides[0] and math.dist(start, hollow.mouth[0]) > limits.SAME_MM:
                links.append(_Link(start, hollow.mouth[0], side, ()))
            if side is hollow.sides[-1]:
                links.append(_Link(*hollow.mouth, None, hollow.sides))
        if not here:
            links.append(_Link(start, end, side, ()))
        elif side is here[-1].sides[-1] and math.dist(end, here[-1].mouth[1]) > limits.SAME_MM:
            links.append(_Link(here[-1].mouth[1], end, side, ()))
    return links


def _bore(chain: Chain, links: Sequence[_Link], first: int, last: int, r: float) -> Found | None:
    run = links[first : last + 1]
    owns = chain.owned(link.side for link in run if link.side)
    names = {name for link in run if link.side for name in link.side.ids}
    threaded = names & chain.threaded
    if not owns and not threaded:
        return None
    z = [p[0] for link in run for p in (link.start, link.end)]
    through = all(
        min(link.start[1], link.end[1]) >= r - limits.SAME_MM
        and (link.side is None or link.side.zone != "axis")
        for link in links
    )
    floor = _floor(links, first, last, r)
    form = _form(chain, run, floor, max(z) - min(z), r)
    recessed = {name for link in run for side in link.sides for name in side.ids}
    closing = {name for link in floor for side in _sides(link) for name in side.ids}
    inside = (recessed | closing | threaded) - set(owns)
    parameters: dict[str, Parameter] = {
        "depth_mm": max(z) - min(z),
        "through": through,
        "bottom": "open" if through else _bottom(floor),
        "opens_to": opens_to(chain, (min(z), max(z)), 2.0 * r),
        "form": form,
    }
    return Found(
        KIND,
        "inner",
        (min(z), max(z)),
        (2.0 * r, 2.0 * r),
        owns,
        parameters,
        frozenset(inside)
        | chain.finishing({*owns, *threaded})
        | chain.finishing_both({*owns, *inside}),
        alternative=_other(chain, run, max(z) - min(z), 2.0 * r, form) if owns else None,
    )


def _other(
    chain: Chain, run: Sequence[_Link], depth: float, diameter: float, form: str | None
) -> Alternative | None:
    threads = (near_thread(chain, link.side) for link in run if link.side)
    return next((told for told in threads if told), None) or near_step(depth, diameter, form)


def _form(
    chain: Chain, run: Sequence[_Link], floor: Sequence[_Link], depth: float, r: float
) -> str | None:
    """A "counterbore" round a smaller hole with a flat seat, or a nozzle's "throat"."""
    if any(link.side and throat(chain, link.side) for link in run):
        return "throat"
    seat = floor[0].side if len(floor) == 1 else None
    flat = seat is not None and is_radial(seat.curve)
    goes_on = flat and min(floor[0].start[1], floor[0].end[1]) > limits.SAME_MM
    if goes_on and depth <= COUNTERBORE_DEPTH.value * 2.0 * r:
        return "counterbore"
    return None


def _sides(link: _Link) -> tuple[Side, ...]:
    return ((link.side,) if link.side else ()) + link.sides


def _floor(links: Sequence[_Link], first: int, last: int, r: float) -> list[_Link]:
    """What follows where the bore narrows, up to the next bore or the axis; none if it widens."""
    for step, at in ((1, last + 1), (-1, first - 1)):
        floor: list[_Link] = []
        k = at
        while 0 <= k < len(links):
            link = links[k]
            if max(link.start[1], link.end[1]) > r + limits.SAME_MM:
                break
            if link.side and (link.side.zone == "axis" or _is_bore(link.side)):
                break
            floor.append(link)
            if min(link.start[1], link.end[1]) <= limits.SAME_MM:
                break
            k += step
        if floor:
            return floor
    return []


def _bottom(floor: Sequence[_Link]) -> str | None:
    """How a bore ends: open into the next bore or a taper, or by what meets the axis.

    A bottom that is a curve over the greater part of its width is round, one that is faced over it
    flat: a drill's point may be left in its middle.
    """
    on_axis = [
        link for link in floor if min(link.start[1], link.end[1]) <= limits.SAME_MM and link.side
    ]
    if not on_axis:
        return "open"
    side, first = on_axis[0].side, floor[0].side
    assert side is not None
    if first is not None and first is not side and is_slanted(first.curve):
        return "open"
    curved = [link for link in floor if link.side and not isinstance(link.side.curve, Line)]
    width = max(max(link.start[1], link.end[1]) for link in floor)
    if sum(abs(link.end[1] - link.start[1]) for link in curved) > 0.5 * width:
        return "round"
    level = [link for link in floor if link.side and is_radial(link.side.curve)]
    if is_radial(side.curve) or sum(abs(a.end[1] - a.start[1]) for a in level) > 0.5 * width:
        return "flat"
    if is_drill_point(side):
        return "drill-point"
    return None if isinstance(side.curve, Line) else "round"


def _elsewhere(chain: Chain) -> list[Found]:
    """Inside cylinders that no bore's mouth leads to: the inner side of a skirt or a ring."""
    found = []
    for side, segment in chain.free():
        if side.zone in ("inner", "axis") or not _is_bore(side):
            continue
        z, diameter = spread([side.curve])
        parameters: dict[str, Parameter] = {
            "depth_mm": z[1] - z[0],
            "through": False,
            "bottom": "flat",
            "opens_to": None,
            "form": None,
        }
        held = chain.finishing([segment.id])
        found.append(Found(KIND, "inner", z, diameter, (segment.id,), parameters, held))
    return found


EXAMPLES = (
    Example("a solid pin", ((0, 0), (20, 0), (20, 5), (0, 5))),
    Example("a conical ring", ((0, 5), (20, 8), (20, 12), (0, 12))),
    Example(
        "through, interrupted by a groove",
        ((0, 10), (20, 10), (20, 11), (23, 11), (23, 10), (40, 10), (40, 16), (0, 16)),
        ({"z_mm": (0, 40), "diameter_mm": (20, 20), "depth_mm": 40.0, "through": True,
          "bottom": "open", "surface": "inner"},),
    ),
    Example(
        "blind with a drill point, its edge broken",
        ((0, 0), (20, 0), (23.004303, 5), (39.5, 5), (40, 5.5), (40, 16), (0, 16)),
        ({"z_mm": (23.004303, 40), "depth_mm": 16.995697, "through": False,
          "bottom": "drill-point"},),
    ),
    Example(
        "a tap drill's hole with its countersink may be meant for a thread",
        ((0, 4.25), (15, 4.25), (20, 4.25), (21, 5.25), (21, 12), (0, 12)),
        ({"z_mm": (0, 21), "diameter_mm": (8.5, 8.5), "alternative": "thread"},),
    ),
    Example(
        "counterbored from both ends: the seats are shoulders, the throat goes through",
        ((0, 10), (10, 10), (10, 5), (30, 5), (30, 8), (40, 8), (40, 15), (0, 15)),
        ({"z_mm": (0, 10), "diameter_mm": (20, 20), "through": False, "bottom": "open",
          "opens_to": "low", "form": "counterbore"},
         {"z_mm": (10, 30), "diameter_mm": (10, 10), "through": True, "bottom": "open",
          "depth_mm": 20.0, "opens_to": "both", "form": None},
         {"z_mm": (30, 40), "diameter_mm": (16, 16), "through": False, "bottom": "open",
          "opens_to": "high", "form": "counterbore"}),
    ),
    Example(
        "the straight throat of a venturi",
        ((0, 16), (20, 8), (30, 8), (80, 16), (80, 25), (0, 25)),
        ({"z_mm": (20, 30), "diameter_mm": (16, 16), "through": True, "form": "throat"},),
    ),
    Example(
        "a long bore between two countersinks is no throat",
        ((0, 8), (4, 5), (76, 5), (80, 8), (80, 15), (0, 15)),
        ({"z_mm": (4, 76), "diameter_mm": (10, 10), "through": True, "form": None},),
    ),
    Example(
        "blind with an undercut at its flat floor: the bore goes down to the floor",
        ((0, 0), (10, 0), (10, 12), (14, 12), (14, 10), (40, 10), (40, 16), (0, 16)),
        ({"z_mm": (10, 40), "depth_mm": 30.0, "bottom": "flat"},),
    ),
    Example(
        "faced over the point of a smaller drill",
        ((0, 0), (18.197418, 0), (20, 3), (20, 8), (60, 8), (60, 20), (0, 20)),
        ({"z_mm": (20, 60), "bottom": "flat"},),
    ),
    Example(
        "a round bottom, and a blind bore from the other end",
        ((0, 5), (10, 5), (10, 0), (20, 0), ArcTo(24, 4, (24, 0), True), (40, 4), (40, 16),
         (0, 16)),
        ({"z_mm": (0, 10), "bottom": "flat"}, {"z_mm": (24, 40), "bottom": "round"}),
    ),
    Example(
        "threaded G1/4 right through, its rounded crests drawn as waves",
        ((0, 5.7225), (1, 5.7195), (2, 5.7225), (3, 5.7195), (4, 5.7225), (5, 5.7195), (6, 5.7225),
         (6, 11), (0, 11)),
        ({"z_mm": (0, 6), "diameter_mm": (11.439, 11.439), "through": True, "bottom": "open"},),
        threads=(
            HelicalThread("inner", "right", 1, 1.337, 13.157, 11.445, (27.5, 27.5), (0.0, 6.0), ()),
        ),
    ),
)  # fmt: skip
