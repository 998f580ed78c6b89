"""What holds the work in a setup, as outlines to draw to scale.

Grip, its diameter and length, the bar, the stand-off and the 60° of a centre are those that the
plan reckons with. Shop files say nothing more of a chuck: its body is drawn as wide as the largest
work that it takes (chucks are named by it; common practice, no source), jaws and collets by usual
proportions of that. No judgement rests on what is drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.half_plane.curves import Point, flatten_ring
from turnability.part.model import Profile
from turnability.setups.holding.centres import centre_hole_mm
from turnability.setups.holding.jaws import BEYOND_MM, CHUCK_DEPTH, JAW_DEPTH_MM, RAW_BAR, RAW_PIECE
from turnability.setups.holding.slender import largest_outside_mm
from turnability.setups.model import Setup
from turnability.shop.holding import ON_FACE
from turnability.shop.model import Holding
from turnability.stock.model import StockPiece

Polygon = tuple[Point, ...]

_CHORD_MM = 0.01
_SAME_MM = 1e-3
_JAW = 0.34
"""How far a jaw reaches outward over the chuck's diameter, and by half of that its tallest step."""
_BEHIND_MM = 1.0
"""Room that a jaw's step leaves round what is wider behind the grip."""
_NUT = 1.25
"""Width of a collet's nut over the largest work: DIN 6499 ER32 has 50 mm for 20."""
_COLLET = 0.41
"""Radius of a collet's mouth over the largest work: DIN 6499 ER32 has 33 mm for 20."""
_COLLET_DEG = 8.0
"""Half angle of a collet (DIN 6499)."""
_CENTRE_MM = 12.0
"""Radius of a centre's shank: Morse taper 3, 23.8 mm (ISO 296)."""
_FINGER_MM = 10.0
"""Width of a steady's finger at most (usual proportion, no source)."""
_WIDE_MM = 160.0
"""Taken for the diameter of a chuck whose shop file names no largest work."""


@dataclass(frozen=True, slots=True)
class HoldingOutlines:
    """Polygons (z, r >= 0) in the part's frame in mm; all stand on both sides of the axis.

    `grips` touch the work (jaws, collet, mandrel, dog, arbor), `centres` and the `steady`'s fingers
    carry its free end in those operations that say so, `body` carries the grips, `stock` is the
    piece as it is put in, empty where the part itself is held; `kept_clear` is what tools were kept
    out of.
    """

    grips: tuple[Polygon, ...]
    centres: tuple[Polygon, ...]
    steady: tuple[Polygon, ...]
    body: tuple[Polygon, ...]
    stock: tuple[Polygon, ...]
    kept_clear: tuple[Polygon, ...]


def holding_outlines(
    profile: Profile, setup: Setup, piece: StockPiece | None
) -> HoldingOutlines | None:
    """The outlines of one setup; None where it does not say what holds it."""
    if setup.holding is None:
        return None
    length = profile.length_mm
    drawn = _Drawn(profile, setup, setup.holding)
    grips, body = drawn.held()
    laid = [
        tuple(
            tuple((length - z, r) for z, r in reversed(one)) if drawn.high else tuple(one)
            for one in some
        )
        for some in (grips, drawn.centres(), drawn.steady(), body, drawn.stock(piece))
    ]
    clear = tuple(
        tuple((float(z), float(r)) for z, r in flatten_ring(ring, _CHORD_MM))
        for ring in setup.kept_clear
    )
    return HoldingOutlines(laid[0], laid[1], laid[2], laid[3], laid[4], clear)


class _Drawn:
    """One setup, measured from the end in the chuck: x = 0 there, the part's length at the free."""

    def __init__(self, profile: Profile, setup: Setup, holding: Holding) -> None:
        self.profile, self.setup, self.holding = profile, setup, holding
        self.high = setup.toward_chuck == "high"
        self.length = profile.length_mm
        low, high = setup.grip.z_mm
        self.span = (self.length - high, self.length - low) if self.high else (low, high)
        self.r = setup.grip.diameter_mm / 2.0
        self.raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
        taken = holding.outside_mm or holding.inside_mm
        self.wide = max(taken[1] if taken else _WIDE_MM, 2.0 * self.r)

    def held(self) -> tuple[list[Polygon], list[Polygon]]:
        """What touches the work by its outside or bore, and what carries it."""
        kind = self.holding.kind
        if kind == "collet":
            return self._collet()
        if kind == "mandrel":
            return self._mandrel()
        if kind in ON_FACE:
            return self._arbor()
        if kind == "between-centres" and not self.raw:
            return self._dog()
        return self._inside_jaws() if self.setup.grip.surface == "inner" else self._jaws()

    def _body(self, face: float) -> Polygon:
        return _box(face - CHUCK_DEPTH * self.wide, 0.0, face, self.wide / 2.0)

    def _behind(self) -> float:
        """Greatest radius of the part between its end in the chuck and the grip."""
        low, high = sorted(self._z(x) for x in (0.0, max(0.0, self.span[0] - _SAME_MM)))
        return 0.0 if self.raw or high <= low else largest_outside_mm(self.profile, (low, high)) / 2

    def _z(self, x: float) -> float:
        return self.length - x if self.high else x

    def _jaws(self) -> tuple[list[Polygon], list[Polygon]]:
        near, far = self.span
        # what lies far behind them goes on into the spindle
        face = near if self.raw or near > JAW_DEPTH_MM else min(near, 0.0)
        inner = max(self.r, self._behind() + _BEHIND_MM) if near > max(face, 0.0) else self.r
        top = self.r + _JAW * self.wide
        step = self.r + 0.5 * _JAW * self.wide
        half = face + 0.5 * (far - face)
        jaw = [(face, inner), (near, inner), (near, self.r), (far, self.r)]
        if self.holding.kind == "soft-jaws":  # bored to the work in one piece
            jaw += [(far, top), (face, top)]
        else:
            jaw += [(far, step), (half, step), (half, top), (face, top)]
        return [_plain(jaw)], [self._body(face)]

    def _inside_jaws(self) -> tuple[list[Polygon], list[Polygon]]:
        near, far = self.span
        face = -self.holding.jaw_standoff_mm
        inner = max(self.r - 0.5 * _JAW * self.wide, 0.25 * self.r)
        back = min(self.r, 0.9 * self._bore_behind())
        jaw = [(face, inner), (far, inner), (far, self.r), (near, self.r), (near, back)]
        return [_plain([*jaw, (face, back)])], [self._body(face)]

    def _bore_behind(self) -> float:
        """Smallest radius of the bore between the part's end and the grip, its own at most."""
        low, high = sorted(self._z(x) for x in (0.0, max(0.0, self.span[0])))
        radii = [
            p[1]
            for s in self.profile.outline.segments
            if s.surface == "inner"
            for p in (s.curve.start, s.curve.end)
            if low - _SAME_MM <= p[0] <= high + _SAME_MM
        ]
        return min([self.r / 0.9, *radii])

    def _collet(self) -> tuple[list[Polygon], list[Polygon]]:
        near, far = self.span
        nut, mouth = 0.5 * _NUT * self.wide, _COLLET * self.wide
        slope = math.tan(math.radians(_COLLET_DEG))
        foot = max(self.r + 0.05 * self.wide, mouth - (far - near) * slope)
        shoulder = far - 0.8 * self.wide
        back = min(near, shoulder) - 0.2 * self.wide
        body = [(near, foot), (far, mouth), (far, nut), (shoulder, nut), (shoulder, 0.9 * nut)]
        body += [(back, 0.9 * nut), (back, self.r), (near, self.r)]
        return [((near, self.r), (far, self.r), (far, mouth), (near, foot))], [_plain(body)]

    def _mandrel(self) -> tuple[list[Polygon], list[Polygon]]:
        far = self.length + self.holding.jaw_standoff_mm
        return [_box(0.0, 0.0, far, self.r)], [self._body(-2.0 * self.holding.jaw_standoff_mm)]

    def _arbor(self) -> tuple[list[Polygon], list[Polygon]]:
        back, heads = self.setup.kept_clear[:1], self.setup.kept_clear[1:]
        radius = max((c.start[1] for ring in back for c in ring), default=self.r)
        made = [_box(-0.5 * BEYOND_MM, 0.0, 0.0, radius)]
        clear = self.holding.jaw_standoff_mm
        for ring in heads:  # of tools, kept off it on both sides and over it
            x, r = zip(*((self._z(c.start[0]), c.start[1]) for c in ring), strict=True)
            middle, half = 0.5 * (min(r) + max(r)), 0.5 * (max(r) - min(r)) - clear
            made.append(_box(min(x), middle - half, max(x) - clear, middle + half))
        return made, [self._body(-0.5 * BEYOND_MM)]

    def _dog(self) -> tuple[list[Polygon], list[Polygon]]:
        near, far = self.span
        dog = _box(near, self.r, far, 1.6 * self.r + 6.0)
        centre = self._centre(0.0, -1.0)
        face = centre[1][0]
        return [dog, centre], [_box(face - 12.0, 0.0, face, 1.6 * self.r + 30.0)]

    def centres(self) -> list[Polygon]:
        """The centre at the free end, where some operation has one."""
        used = {self.setup.support, *(o.support for o in self.setup.operations)}
        return [self._centre(self.length, 1.0)] if used & {"tailstock", "between-centres"} else []

    def steady(self) -> list[Polygon]:
        """The fingers of a steady in the middle of the cylinder that it runs on."""
        span = self.setup.steady_z_mm
        if span is None:
            return []
        middle = self._z(sum(span) / 2.0)
        half = min(_FINGER_MM, span[1] - span[0]) / 2.0
        r = largest_outside_mm(self.profile, span) / 2.0
        return [_box(middle - half, r, middle + half, r + 3.0 * _FINGER_MM)]

    def _centre(self, end: float, way: float) -> Polygon:
        """A 60° centre in an end: in its bore's mouth, else in the centre hole of its diameter."""
        z = self._z(end)
        radii = [
            r
            for segment in self.profile.outline.segments
            if segment.surface != "axis"
            for at, r in (segment.curve.start, segment.curve.end)
            if abs(at - z) <= _SAME_MM
        ]
        mouth = min(radii, default=0.0)
        if mouth <= _SAME_MM:
            hole = centre_hole_mm(2.0 * max(radii, default=0.0))
            mouth = 0.0 if hole is None else hole.value / 2.0
        # its flank leaves the mouth at 30° to the axis
        slope = math.sqrt(3.0)
        shank = max(_CENTRE_MM, mouth)
        tip = end - way * mouth * slope
        foot = tip + way * shank * slope
        back = foot + way * 2.0 * shank
        return ((tip, 0.0), (foot, shank), (back, shank), (back, 0.0))

    def stock(self, piece: StockPiece | None) -> list[Polygon]:
        """The bar or tube as it is put in: from the grip's far end as long as it is cut."""
        if not self.raw:
            return []
        end = self.length
        inner = 0.0
        if piece is not None:
            end = max(self.length, self.span[0] + piece.put_in_mm)
            inner = (piece.inner_diameter_mm or 0.0) / 2.0
        return [_box(self.span[0], inner, end, self.r)]


def _box(x0: float, r0: float, x1: float, r1: float) -> Polygon:
    return ((x0, r0), (x1, r0), (x1, r1), (x0, r1))


def _plain(corners: list[Point]) -> Polygon:
    """Without corners that stand on the one before."""
    return tuple(p for i, p in enumerate(corners) if math.dist(p, corners[i - 1]) > _SAME_MM)
