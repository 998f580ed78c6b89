"""Balls stored as a whole circle turned about its own diameter.

Such a surface covers its sphere twice, with normals both ways, and the file's senses count by the
half of the circle that a face lies on. Nothing in the file need tell which that is; exporters that
make such surfaces of balls lay them on the half that begins where the circle does (its parameters
from -90 to 90 degrees), as a sphere's own meridian runs. The kernel lays the circle anew as it
reads, so that only the text still knows.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np

from turnability.part.reading.placements import Array, axes_of, point_of, turned_about
from turnability.part.reading.records import Records, Value, at, number_in, references
from turnability.part.reading.step_text import StepText

_JUST_BEGUN = 0.01
"""Radians from where a circle begins; it may begin on the axis that it is turned about."""

_ON_BALL = 1e-4
"""Share of its radius that a vertex of a ball's face may lie off it."""


class TurnedCircles:
    """The faces of one file that lie on such surfaces."""

    def __init__(self, text: StepText) -> None:
        self._text = text

    @cached_property
    def _records(self) -> Records:
        return Records(self._text)

    def outward(self, face: int) -> bool | None:
        """Whether the surface's normal points outward where a face lies on such a circle.

        None where the face (its entity) lies on no such surface.
        """
        for surface in self._text.references(face)[-1:]:
            if surface not in self._text.by_keyword.get("SURFACE_OF_REVOLUTION", ()):
                return None
            _, curve, axis = (*self._records.simple(surface, "SURFACE_OF_REVOLUTION"), *[None] * 3)[
                :3
            ]
            for circle in references(curve):
                placed = self._records.simple(circle, "CIRCLE")
                if placed:
                    return self._counts_outward(at(placed, 1), axis)
        return None

    def within(self, face: int, centre: Array, radius_mm: float) -> Array:
        """Unit places (n, 3) within a face on such a circle: where its seams end, but at its rim.

        `centre` and `radius_mm`: its ball as the kernel has it, by which the file's unit is told.
        """
        none = np.zeros((0, 3))
        size = self._radius(face)
        if not size:
            return none
        uses: dict[int, int] = {}
        for bound in self._text.references(face)[:-1]:
            for loop in self._text.references(bound):
                for use in self._text.references(loop):
                    for edge in self._text.references(use)[-1:]:
                        uses[edge] = uses.get(edge, 0) + 1
        seams = {v for edge, times in uses.items() if times == 2 for v in self._ends(edge)}
        rim = {v for edge, times in uses.items() if times == 1 for v in self._ends(edge)}
        points = [
            place
            for vertex in seams - rim
            for point in self._text.references(vertex)
            if (place := point_of(self._records, point)) is not None
        ]
        if not points:
            return none
        ways = (np.array(points) * (radius_mm / size) - centre) / radius_mm
        return ways if np.allclose(np.linalg.norm(ways, axis=1), 1.0, atol=_ON_BALL) else none

    def _ends(self, edge: int) -> list[int]:
        return self._text.references(edge)[:2]

    def _radius(self, face: int) -> float | None:
        """The radius of the circle in the file's unit."""
        for surface in self._text.references(face)[-1:]:
            for curve in self._text.references(surface):
                if values := self._records.simple(curve, "CIRCLE"):
                    return number_in(at(values, 2))
        return None

    def _counts_outward(self, placement: Value, axis: Value) -> bool:
        axes, about = axes_of(self._records, placement), turned_about(self._records, axis)
        out = np.cos(_JUST_BEGUN) * axes.x + np.sin(_JUST_BEGUN) * axes.y
        onward = np.cos(_JUST_BEGUN) * axes.y - np.sin(_JUST_BEGUN) * axes.x
        return bool(np.cross(np.cross(about, out), onward) @ out > 0.0)
