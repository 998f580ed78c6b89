"""Circles and ellipses of a STEP file, in the file's own units."""

from __future__ import annotations

import math

import numpy as np

from turnability.part.reading.placements import Array, axes_of, origin_of
from turnability.part.reading.records import Records, at, number_in, references

ROUND = ("CIRCLE", "ELLIPSE")
_ALONG_FACES = ("SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE")


class Oval:
    """A circle or an ellipse: `centre + a cos t x + b sin t y`."""

    def __init__(self, centre: Array, along: Array, across: Array) -> None:
        self.centre, self.along, self.across = centre, along, across
        self.size = float(max(np.linalg.norm(along), np.linalg.norm(across)))

    @classmethod
    def of(cls, records: Records, curve: int) -> Oval | None:
        """The curve of an entity, also that of one along two faces; None for any other."""
        along = [n for k in _ALONG_FACES for n in references(at(records.simple(curve, k), 1))]
        curve = along[0] if along else curve
        for keyword in ROUND:
            if not (values := records.simple(curve, keyword)):
                continue
            centre = origin_of(records, at(values, 1))
            radii = [number_in(value) or 0.0 for value in values[2:]]
            if centre is None or not radii or min(radii) <= 0.0:
                return None
            axes = axes_of(records, at(values, 1))
            if np.linalg.norm(axes.x) < 0.5 or np.linalg.norm(axes.y) < 0.5:
                return None  # its directions are one
            return cls(centre, radii[0] * axes.x, radii[-1] * axes.y)
        return None

    def point(self, t: float) -> Array:
        """The place at an angle in radians."""
        return self.centre + math.cos(t) * self.along + math.sin(t) * self.across

    def angle(self, place: Array) -> tuple[float, float]:
        """Where a place in the plane is along the curve, and how far off, of its distance."""
        rel = place - self.centre
        x = float(rel @ self.along) / float(self.along @ self.along)
        y = float(rel @ self.across) / float(self.across @ self.across)
        return math.atan2(y, x), abs(math.hypot(x, y) - 1.0)
