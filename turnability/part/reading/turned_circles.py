"""Balls stored as a whole circle turned about its own diameter.

Such a surface covers its sphere twice, with normals both ways, and the file's senses count by the
half of the circle that a face lies on. Nothing in the file need tell which that is; exporters that
make such surfaces of balls lay them on the half that begins where the circle does (its parameters
from -90 to 90 degrees), as a sphere's own meridian runs. The kernel lays the circle anew as it
reads, so that only the text still knows.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from turnability.part.reading.records import Records, Value, at, number_in, references
from turnability.part.reading.step_text import StepText

_JUST_BEGUN = 0.01
"""Radians from where a circle begins; it may begin on the axis that it is turned about."""

Array = NDArray[np.float64]


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

    def _counts_outward(self, placement: Value, axis: Value) -> bool | None:
        z, x = (self._direction(placement, "AXIS2_PLACEMENT_3D", place) for place in (2, 3))
        about = self._direction(axis, "AXIS1_PLACEMENT", 2)
        z = np.array([0.0, 0.0, 1.0]) if z is None else z
        about = np.array([0.0, 0.0, 1.0]) if about is None else about
        if x is None:  # the standard's own choice: first_proj_axis of ISO 10303-42
            x = np.array([1.0, 0.0, 0.0] if abs(z[0]) < 1.0 - 1e-9 else [0.0, 1.0, 0.0])
        x = x - (x @ z) * z
        x = x / max(float(np.linalg.norm(x)), 1e-300)
        y = np.cross(z, x)
        out = np.cos(_JUST_BEGUN) * x + np.sin(_JUST_BEGUN) * y
        onward = np.cos(_JUST_BEGUN) * y - np.sin(_JUST_BEGUN) * x
        return bool(np.cross(np.cross(about, out), onward) @ out > 0.0)

    def _direction(self, placement: Value, keyword: str, place: int) -> Array | None:
        for number in references(placement):
            for direction in references(at(self._records.simple(number, keyword), place)):
                ratios = at(self._records.simple(direction, "DIRECTION"), 1)
                if isinstance(ratios, Sequence) and len(ratios) == 3:
                    found = np.array([number_in(r) or 0.0 for r in ratios])
                    length = float(np.linalg.norm(found))
                    return found / length if length > 0.0 else None
        return None
