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

from turnability.part.reading.placements import axes_of, turned_about
from turnability.part.reading.records import Records, Value, at, references
from turnability.part.reading.step_text import StepText

_JUST_BEGUN = 0.01
"""Radians from where a circle begins; it may begin on the axis that it is turned about."""


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

    def _counts_outward(self, placement: Value, axis: Value) -> bool:
        axes, about = axes_of(self._records, placement), turned_about(self._records, axis)
        out = np.cos(_JUST_BEGUN) * axes.x + np.sin(_JUST_BEGUN) * axes.y
        onward = np.cos(_JUST_BEGUN) * axes.y - np.sin(_JUST_BEGUN) * axes.x
        return bool(np.cross(np.cross(about, out), onward) @ out > 0.0)
