"""Hollows of a chain: where it dips below a lip and rises again, seen from one direction.

Every edge or crest from which the chain falls is a lip; the hollow's mouth is the level chord from
the lip to where the chain first stands as high again. Hollows so found nest and never overlap.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from turnability.features import limits
from turnability.features.sides import Side, turn_deg
from turnability.half_plane.curves import Arc, Curve, Line, Point, Spline

Height = Callable[[Point], float]
"""How high a point stands, seen from where the tool comes, in mm."""


@dataclass(frozen=True, slots=True)
class Hollow:
    """One hollow of a chain.

    `sides`: the chain's sides from `mouth[0]` to `mouth[1]` in running order; `own` those of them
    that lie in it for the greater part of their length (walls that rise past the lower lip may
    not). `slopes_deg`: the walls' angles at the mouth from the direction of depth, positive where
    the hollow opens outward, negative undercut. `level` and `bottom` are heights; `depth_mm` their
    difference. `ledges`: whether the chain runs on from either end of the mouth no steeper than a
    copying tool follows. `first`, `last` are places along the chain, `heights` (place, height) of
    every corner between them; `height` tells how high a point stands.
    """

    sides: tuple[Side, ...]
    own: tuple[Side, ...]
    mouth: tuple[Point, Point]
    slopes_deg: tuple[float, float]
    level: float
    bottom: float
    ledges: tuple[bool, bool]
    first: float
    last: float
    heights: tuple[tuple[float, float], ...]
    height: Height

    @property
    def width_mm(self) -> float:
        """The mouth's width between sharp corners."""
        return math.dist(*self.mouth)

    @property
    def depth_mm(self) -> float:
        """From the lower lip to the deepest point."""
        return self.level - self.bottom

    def floor(self, nested: Sequence[Hollow]) -> float:
        """The deepest height outside of the nested hollows."""
        outermost = [h for h in nested if not any(h.within(other) for other in nested)]
        heights = [hollow.level for hollow in outermost]
        for place, height in self.heights:
            if not any(h.first + 1e-9 < place < h.last - 1e-9 for h in nested):
                heights.append(height)
        return min(heights, default=self.bottom)

    def within(self, other: Hollow) -> bool:
        """It lies in the other hollow and is not the same."""
        inside = other.first <= self.first + 1e-9 and self.last <= other.last + 1e-9
        return inside and (self.first, self.last) != (other.first, other.last)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of a side whose height only rises or only falls."""

    side: int
    begin: float
    end: float
    curve: Curve
    start: float
    stop: float


def find_hollows(sides: Sequence[Side], height: Height) -> tuple[Hollow, ...]:
    """All hollows of an open chain of sides that are deeper than the tolerance, widest last."""
    pieces = [piece for i, side in enumerate(sides) for piece in _pieces(i, side.curve, height)]
    found: list[Hollow] = []
    for forward in (True, False):
        for at in _lips(pieces, forward):
            hollow = _from_lip(sides, pieces, at, forward, height)
            if hollow and not any(_same(hollow, other) for other in found):
                found.append(hollow)
    real = [hollow for hollow in found if not _is_noise(hollow, found)]
    return tuple(sorted(real, key=lambda hollow: hollow.last - hollow.first))


def _is_noise(hollow: Hollow, found: Sequence[Hollow]) -> bool:
    """It dips below its level only in hollows nested in it: its lip is a land not quite level."""
    nested = [other for other in found if other.within(hollow)]
    return hollow.level - hollow.floor(nested) <= 2.0 * limits.SAME_MM


def _same(a: Hollow, b: Hollow) -> bool:
    return all(math.dist(p, q) <= limits.SAME_MM for p, q in zip(a.mouth, b.mouth, strict=True))


def _pieces(index: int, curve: Curve, height: Height) -> list[_Piece]:
    if isinstance(curve, Spline):
        runs = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(curve.points))]
        whole = runs[-1]
        return [
            _Piece(index, s / whole, t / whole, Line(a, b), height(a), height(b))
            for (a, b), (s, t) in zip(pairwise(curve.points), pairwise(runs), strict=True)
        ]
    shares = [0.0, 1.0]
    if isinstance(curve, Arc):
        begin, sweep = curve.start_angle(), curve.sweep()
        quarters = [(k * math.pi / 2.0 - begin) / sweep for k in range(-8, 9)]
        shares = [0.0, *sorted(t for t in quarters if 1e-6 < t < 1.0 - 1e-6), 1.0]
    made = []
    for s, t in pairwise(shares):
        part = curve
        if isinstance(curve, Arc):
            part = Arc(curve.at(s), curve.at(t), curve.centre, curve.radius, curve.clockwise)
        made.append(_Piece(index, s, t, part, height(part.start), height(part.end)))
    return made


def _lips(pieces: list[_Piece], forward: bool) -> list[int]:
    """Pieces that fall away from an edge or crest, going forward or backward."""
    lips = []
    for k, piece in enumerate(pieces):
        near, far = (piece.start, piece.stop) if forward else (piece.stop, piece.start)
        if far >= near:
            continue
        beyond = k - 1 if forward else k + 1
        if not 0 <= beyond < len(pieces):
            lips.append(k)
            continue
        other = pieces[beyond]
        reaching = other.start if forward else other.stop
        crest = reaching <= near + 1e-9
        edge = turn_deg(other.curve, piece.curve) if forward else turn_deg(piece.curve, other.curve)
        if crest or edge >= limits.EDGE_DEG:
            lips.append(k)
    return lips


def _from_lip(
    sides: Sequence[Side], pieces: list[_Piece], at: int, forward: bool, height: Height
) -> Hollow | None:
    step = 1 if forward else -1
    level = pieces[at].start if forward else pieces[at].stop
    lip = pieces[at].curve.start if forward else pieces[at].curve.end
    k = at + step
    while 0 <= k < len(pieces):
        far = pieces[k].stop if forward else pieces[k].start
        if far >= level - limits.SAME_MM:
            break
        k += step
    else:
        return None
    share = _share_at(pieces[k], level, height, forward)
    other = pieces[k].curve.at(share)
    lo, hi = (at, k) if forward else (k, at)
    begin, end = (0.0, share) if forward else (share, 1.0)
    mouth = (lip, other) if forward else (other, lip)
    run = pieces[lo : hi + 1]
    bottom = min(min(p.start, p.stop) for p in run)
    if level - bottom <= 2.0 * limits.SAME_MM or math.dist(*mouth) <= limits.SAME_MM:
        return None
    if not _is_free(run, mouth, begin, end):
        return None
    indices = sorted({piece.side for piece in run})
    spans = _spans(pieces, lo, hi, begin, end)
    return Hollow(
        sides=tuple(sides[i] for i in indices),
        own=tuple(sides[i] for i in indices if spans[i] > 0.5 + 1e-6),
        mouth=mouth,
        slopes_deg=_slopes(run, mouth, begin, end, height),
        level=level,
        bottom=bottom,
        ledges=(_ledge(pieces, lo, begin, -1, height), _ledge(pieces, hi, end, 1, height)),
        first=lo + begin,
        last=hi + end,
        heights=tuple((lo + i, piece.start) for i, piece in enumerate(run) if i > 0),
        height=height,
    )


def _share_at(piece: _Piece, level: float, height: Height, forward: bool) -> float:
    """Where along a piece the level is reached: its far end if it is no higher."""
    far_share, far = (1.0, piece.stop) if forward else (0.0, piece.start)
    if far <= level + limits.SAME_MM:
        return far_share
    low, high = 1.0 - far_share, far_share
    if isinstance(piece.curve, Line):
        near = piece.start if forward else piece.stop
        return low + (high - low) * (level - near) / (far - near)
    for _ in range(60):
        middle = 0.5 * (low + high)
        if height(piece.curve.at(middle)) < level:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _is_free(run: list[_Piece], mouth: tuple[Point, Point], begin: float, end: float) -> bool:
    """The hollow holds no material: the run lies to the right of its chord, clockwise."""
    points: list[Point] = [mouth[0]]
    for i, piece in enumerate(run):
        s = begin if i == 0 else 0.0
        t = end if i == len(run) - 1 else 1.0
        inner = (0.25, 0.5, 0.75) if isinstance(piece.curve, Arc) else ()
        points += [piece.curve.at(s + u * (t - s)) for u in (*inner, 1.0)]
    area = sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)
    )
    return area < 0.0


def _spans(pieces: list[_Piece], lo: int, hi: int, begin: float, end: float) -> dict[int, float]:
    """The share of each side's length that lies in the hollow."""
    spans: dict[int, float] = {}
    for k in range(lo, hi + 1):
        piece = pieces[k]
        s = begin if k == lo else 0.0
        t = end if k == hi else 1.0
        share = (piece.end - piece.begin) * (t - s)
        spans[piece.side] = spans.get(piece.side, 0.0) + share
    return spans


def _slopes(
    run: list[_Piece], mouth: tuple[Point, Point], begin: float, end: float, height: Height
) -> tuple[float, float]:
    """The walls' angles at the mouth from the direction of depth."""
    width = math.dist(*mouth)
    across = ((mouth[1][0] - mouth[0][0]) / width, (mouth[1][1] - mouth[0][1]) / width)
    angles = []
    for piece, share, sign in ((run[0], begin, 1.0), (run[-1], end, -1.0)):
        dz, dr = piece.curve.direction(share)
        into = dz * across[0] + dr * across[1]
        down = sign * (height((0.0, 0.0)) - height((dz, dr)))
        angles.append(math.degrees(math.atan2(into, down)))
    return (_zeroed(angles[0]), _zeroed(angles[1]))


def _zeroed(angle: float) -> float:
    return 0.0 if abs(angle) < 1e-9 else angle


def _ledge(pieces: list[_Piece], k: int, share: float, step: int, height: Height) -> bool:
    """Beyond the mouth the chain runs on flatter than a copying tool's limit, or ends."""
    at_edge = share <= 0.0 if step < 0 else share >= 1.0
    if not at_edge:
        return False
    beyond = k + step
    if not 0 <= beyond < len(pieces):
        return True
    dz, dr = pieces[beyond].curve.direction(1.0 if step < 0 else 0.0)
    rise = abs(height((dz, dr)) - height((0.0, 0.0)))
    return math.degrees(math.asin(min(1.0, rise))) <= limits.STEEPEST_FOLLOWED.value
