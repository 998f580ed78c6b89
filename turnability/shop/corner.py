"""The cutting corner of an indexable insert in the half plane, drawn as an outside tool.

Frame: the part is held at its low end, +z away from the chuck; the insert comes from +r and
feeds toward -z (right hand). The programmed point (0, 0) is the usual imaginary tool tip: where
the nose circle's tangents at its least z and its least r meet. For a neutral corner it lies below
the nose circle's centre, at its least r.

Two edges leave the corner, their directions measured from +z toward +r: the leading edge at
180 - kappa, the trailing edge at the minor cutting edge angle 180 - kappa - eps (ISO 3002-1). The
outline's trailing edge is lowered by the trailing clearance, so that a slope the true edge would
rub on is refused; a neutral corner feeds either way, so both its edges are. All else is the insert
as ISO 1832 has it. Inside tools are this drawing mirrored in r.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from turnability.half_plane.curves import Point, Ring
from turnability.shop.rings import box, circle_ring, clip_r, rounded_ring

_NEEDLE_MM = 0.1
"""Half the width of the thin edge that stands for an opened trailing edge at a sharp nose."""
_STEM_MM = 0.02
"""Width of the stem that carries it, where the leading edge leaves no more."""


@dataclass(frozen=True, slots=True)
class Corner:
    """An insert held at an approach angle.

    `angles_deg` are the interior angles of the insert, anticlockwise from the working corner;
    empty for a round insert, whose nose radius is half its diameter. All edges touch the inscribed
    circle of `ic_mm`.
    """

    angles_deg: tuple[float, ...]
    ic_mm: float
    nose_mm: float
    kappa_deg: float
    clearance_deg: float
    neutral: bool

    @property
    def leading_deg(self) -> float:
        """Direction of the leading edge from the corner, from +z."""
        return 180.0 - self.kappa_deg

    @property
    def minor_deg(self) -> float:
        """Minor cutting edge angle: the true trailing edge's direction from the corner."""
        return self.leading_deg - self.angles_deg[0]

    @property
    def trailing_deg(self) -> float | None:
        """The steepest falling flank that the outline follows; None for a round insert."""
        return self.minor_deg - self.clearance_deg if self.angles_deg else None

    @property
    def _outline_leading_deg(self) -> float:
        return self.leading_deg + (self.clearance_deg if self.neutral else 0.0)

    def nose_centre(self) -> Point:
        """Centre of the nose circle."""
        return (0.0 if self.neutral else self.nose_mm, self.nose_mm)

    def sharp(self) -> Point:
        """The theoretical sharp corner: where the outline's two edges would meet."""
        lead, trail = self._outline_leading_deg, self.minor_deg - self.clearance_deg
        middle, half = math.radians((lead + trail) / 2.0), math.radians((lead - trail) / 2.0)
        away = self.nose_mm / math.sin(half)
        z, r = self.nose_centre()
        return (z - away * math.cos(middle), r - away * math.sin(middle))

    def points(self) -> list[Point]:
        """The insert's sharp corners, anticlockwise from the working one, clearance included."""
        corners = self._true_points()
        at = corners[0]
        turned = {1: self.minor_deg - self.clearance_deg}
        if self.neutral:
            turned[len(corners) - 1] = self._outline_leading_deg
        for i, degrees in turned.items():
            length, a = math.dist(at, corners[i]), math.radians(degrees)
            corners[i] = (at[0] + length * math.cos(a), at[1] + length * math.sin(a))
        return corners

    def ring(self, r_most: float | None = None, sharp: bool = False) -> Ring:
        """The cutting outline, every corner rounded by the nose radius.

        `sharp` leaves the working corner unrounded. Cut off above `r_most` only the working corner
        is rounded, and a round insert is whole.
        """
        if not self.angles_deg:
            return circle_ring(self.nose_centre(), self.nose_mm)
        corners = self.points()
        if r_most is None:
            nose = 0.0 if sharp else self.nose_mm
            return rounded_ring(corners, [nose] + [self.nose_mm] * (len(corners) - 1))
        cut = clip_r(corners, r_most)
        return rounded_ring(cut, [self.nose_mm] + [0.0] * (len(cut) - 1))

    def seat(self, setback_mm: float) -> list[Point]:
        """Corners of what holds the insert: its true shape drawn in by `setback_mm` all round.

        The first is behind the working corner, the second along the trailing edge, the last along
        the leading edge (round inserts: 24 points round the circle).
        """
        if not self.angles_deg:
            z, r = self.nose_centre()
            radius = self.nose_mm - setback_mm
            turn = [math.tau * i / 24.0 for i in range(24)]
            return [(z + radius * math.cos(a), r + radius * math.sin(a)) for a in turn]
        corners = self._true_points()
        inscribed = self.ic_mm / 2.0
        half = math.radians(self.angles_deg[0] / 2.0)
        middle = math.radians(self.minor_deg) + half
        away = inscribed / math.sin(half)
        z = corners[0][0] + away * math.cos(middle)
        r = corners[0][1] + away * math.sin(middle)
        share = 1.0 - setback_mm / inscribed
        return [(z + share * (p[0] - z), r + share * (p[1] - r)) for p in corners]

    def needle(self, stem_mm: float) -> tuple[Ring, Ring] | None:
        """The corner's nose and leading edge with the trailing flank opened to the vertical.

        The edge ends where the leading edge, leaning back, meets that flank; the second ring is
        the stem that carries it, up to `stem_mm`. None for a round insert.
        """
        if not self.angles_deg:
            return None
        nose, lead = self.nose_mm, math.radians(self._outline_leading_deg)
        centre = self.nose_centre()[0]
        right = centre + max(nose, _NEEDLE_MM)
        foot = centre - nose / math.tan(lead / 2.0)
        top = min(max(p[1] for p in self.points()), stem_mm - _STEM_MM)
        if self.leading_deg < 90.0 - 1e-9:
            top = min(top, (right - _STEM_MM - foot) * math.tan(lead))
        left = foot + top / math.tan(lead)
        corners = [(foot, 0.0), (right, 0.0), (right, top), (left, top)]
        stem = box(left, top, right, stem_mm)
        return rounded_ring(corners, [nose, nose, 0.0, 0.0]), stem

    def _true_points(self) -> list[Point]:
        z, r = self.sharp()
        heading = self.minor_deg
        halves = [math.radians(a / 2.0) for a in self.angles_deg]
        corners = [(z, r)]
        for i in range(len(halves) - 1):
            edge = self.ic_mm / 2.0 * (1.0 / math.tan(halves[i]) + 1.0 / math.tan(halves[i + 1]))
            z += edge * math.cos(math.radians(heading))
            r += edge * math.sin(math.radians(heading))
            corners.append((z, r))
            heading += 180.0 - self.angles_deg[i + 1]
        return corners
