"""A wall so thin for its diameter that it gives way under the tool, whatever holds the part.

The rule `thin-wall` reckons what jaws do to a wall. A bush that is bored, turned and parted off in
one chucking meets no jaws, and its wall still springs and rings under the last cuts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from turnability.half_plane.curves import Points
from turnability.part.model import Loop
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.elsewhere import milled_segments
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View
from turnability.rules.speak import where_of
from turnability.units import length_text, rounded_up, span_text

NAME = "wall-under-tool"
LEVELS = ("warning", "note")
WHY = "A wall thin for its diameter springs away from the tool and rings: it comes out uneven."
THIN = 30.0
VERY_THIN = 60.0
LEAST_MM = 0.5
EDGE = 2.44
LIMIT = (
    "a wall under 1/30 of its diameter or under 0.5 mm is a note, under 1/60 a warning, where it "
    "stands over more than its ends stiffen, 2.44 · √(radius · wall)"
)
BASIS = (
    "common practice, no source: 1/30, 1/60 and 0.5 mm; how far an edge stiffens a thin tube is "
    "π/β of shell theory, from memory. How far the wall gives is not calculated"
)
_CHORD_MM = 0.01
_SAME_MM = 1e-6
_STEPS = 240
_STEP_MM = 1e-3
_INSET_MM = 1e-5


@dataclass(frozen=True, slots=True)
class _Wall:
    """Material between two surfaces at one z: its radii and the segments that bound it."""

    z: float
    inner_mm: float
    outer_mm: float
    segments: tuple[str, str]

    @property
    def thickness_mm(self) -> float:
        return self.outer_mm - self.inner_mm

    @property
    def is_thin(self) -> bool:
        return self.thickness_mm < max(LEAST_MM, 2.0 * self.outer_mm / THIN) - _SAME_MM


def check(view: View) -> Judgement:
    """One finding for the stretch of wall that is, over half of it, thinnest for its diameter."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("there is no profile")
    milled = milled_segments(view)
    length = profile.length_mm
    stretches = [
        stretch
        for stretch in _stretches(profile.outline, length)
        if not milled.intersection(name for wall in stretch for name in wall.segments)
        and _stands_free(stretch)
    ]
    if not stretches:
        return ()
    return (_finding(view, min(stretches, key=lambda s: _share(_typical(s)))),)


def _share(wall: _Wall) -> float:
    return wall.thickness_mm / (2.0 * wall.outer_mm)


def _typical(stretch: Sequence[_Wall]) -> _Wall:
    """The median of the stretch: an edge that runs out to nothing makes no wall thin."""
    return sorted(stretch, key=_share)[len(stretch) // 2]


def _stands_free(stretch: Sequence[_Wall]) -> bool:
    """Whether it is longer than what its ends stiffen."""
    thin = _typical(stretch)
    reach = EDGE * math.sqrt(0.5 * (thin.inner_mm + thin.outer_mm) * thin.thickness_mm)
    return stretch[-1].z - stretch[0].z > reach


def _finding(view: View, stretch: Sequence[_Wall]) -> Finding:
    inch = view.shop.inch
    thin = _typical(stretch)
    across = 2.0 * thin.outer_mm
    very = thin.thickness_mm < across / VERY_THIN - _SAME_MM
    limit = max(LEAST_MM, across / THIN)
    level: Level = "warning" if very else "note"
    names = dict.fromkeys(name for wall in stretch for name in wall.segments)
    z = span_text((stretch[0].z, stretch[-1].z), inch)
    return Finding(
        rule=NAME,
        level=level,
        message=(
            f"Over half of z {z} the wall, measured square to the axis, is no thicker than "
            f"{length_text(rounded_up(thin.thickness_mm, inch), inch)} at "
            f"⌀{length_text(across, inch)}, 1/{across / thin.thickness_mm:.0f} of it. {WHY} How "
            "far is not calculated. Finish its inside while stock stands outside, then turn the "
            "outside on a mandrel or over a plug, with a sharp tool and light cuts; or draw it at "
            f"least {length_text(rounded_up(limit, inch), inch)} thick."
        ),
        where=where_of(view, names),
        basis=Basis(BASIS, "common-practice"),
        measured=thin.thickness_mm,
        limit=limit,
        unit="mm",
    )


def _stretches(outline: Loop, length: float) -> Iterator[list[_Wall]]:
    """Thin walls that follow one another along z, between two surfaces of their own or more."""
    chains = [(s.id, s.surface, s.curve.flatten(_CHORD_MM)) for s in outline.segments]
    corners = sorted({float(p[0]) for _, _, points in chains for p in (points[0], points[-1])})
    places: set[float] = set()
    for low, high in pairwise(corners):
        if high - low > _STEP_MM:  # between two corners at one z lies nothing
            places |= {low + _INSET_MM, high - _INSET_MM}
    places |= {length * (k + 0.5) / _STEPS for k in range(_STEPS)}
    open_: list[list[_Wall]] = []
    for walls in _thin_walls(chains, sorted(places)):
        going = []
        for wall in walls:
            before = next((s for s in open_ if _meets(s[-1], wall)), None)
            if before is None:
                going.append([wall])
            else:
                before.append(wall)
                open_ = [s for s in open_ if s is not before]
                going.append(before)
        yield from open_
        open_ = going
    yield from open_


def _meets(one: _Wall, other: _Wall) -> bool:
    return one.inner_mm < other.outer_mm and other.inner_mm < one.outer_mm


def _thin_walls(
    chains: Sequence[tuple[str, str, Points]], places: Sequence[float]
) -> Iterator[list[_Wall]]:
    """For each z the thin rings of material there, those round the axis itself left out."""
    starts = np.concatenate([points[:-1] for _, _, points in chains])
    ends = np.concatenate([points[1:] for _, _, points in chains])
    owners = [chain[:2] for chain in chains for _ in range(len(chain[2]) - 1)]
    (z0, r0), (z1, r1) = starts.T, ends.T
    at = np.array(places)[:, None]
    place, edge = np.nonzero((np.minimum(z0, z1) <= at) & (at < np.maximum(z0, z1)))
    share = (at[place, 0] - z0[edge]) / (z1[edge] - z0[edge])
    radii = r0[edge] + share * (r1[edge] - r0[edge])
    # nearly no part has any: that is quick to tell of all places at once
    order = np.lexsort((radii, place))
    row, out = place[order], radii[order]
    odd = (np.arange(len(row)) - row.searchsorted(row)) % 2 == 1
    outer, inner = out[1:][odd[1:]], out[:-1][odd[1:]]
    if not (outer - inner < np.maximum(LEAST_MM, 2.0 * outer / THIN)).any():
        return
    crossed: list[list[tuple[float, str, str]]] = [[] for _ in places]
    for i, k, r in zip(place.tolist(), edge.tolist(), radii.tolist(), strict=True):
        crossed[i].append((r, *owners[k]))
    for z, met in zip(places, crossed, strict=True):
        met.sort()
        walls = [
            _Wall(z, inner, outer, (a, b))
            for (inner, a, below), (outer, b, _) in zip(met[::2], met[1::2], strict=False)
            if below != "axis" and inner > _SAME_MM
        ]
        yield [wall for wall in walls if wall.is_thin]


def _sleeve(diameter: float, wall: float, length: float) -> View:
    """A sleeve of this wall between two thick ends, each a quarter of the diameter long."""
    half, end = diameter / 2.0, diameter / 4.0
    at = [0.0, end, end, end + length, end + length, 2.0 * end + length]
    inside = [0.3 * half, 0.3 * half, half - wall, half - wall, 0.3 * half, 0.3 * half]
    return drawn_view([*zip(at, inside, strict=True), (at[-1], half), (0.0, half)])


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a sleeve of ⌀40 with a wall of 2 mm", lambda: _sleeve(40.0, 2.0, 30.0)),
    Example("a sleeve of ⌀10 with a wall of 0.5 mm", lambda: _sleeve(10.0, 0.5, 8.0)),
    Example("one of ⌀40 and 0.5 mm, no longer than it stiffens", lambda: _sleeve(40.0, 0.5, 7.0)),
    Example("a sleeve of ⌀40 with a wall of 1 mm", lambda: _sleeve(40.0, 1.0, 30.0), ("note",)),
    Example("a sleeve of ⌀10 with a wall of 0.3 mm", lambda: _sleeve(10.0, 0.3, 8.0), ("note",)),
    Example("a sleeve of ⌀40 with one of 0.5 mm", lambda: _sleeve(40.0, 0.5, 30.0), ("warning",)),
)
