"""Where a STEP file places its curves and surfaces (ISO 10303-42), in the file's own units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.reading.records import Records, Value, at, number_in, references

Array: TypeAlias = NDArray[np.float64]


class Axes(NamedTuple):
    """Unit vectors (3,) of a placement, at right angles to each other."""

    x: Array
    y: Array
    z: Array


def axes_of(records: Records, placement: Value) -> Axes:
    """The axes of an AXIS2_PLACEMENT_3D, those it leaves out by the standard's own choice."""
    z = direction(records, placement, "AXIS2_PLACEMENT_3D", 2)
    x = direction(records, placement, "AXIS2_PLACEMENT_3D", 3)
    z = np.array([0.0, 0.0, 1.0]) if z is None else z
    if x is None:  # first_proj_axis of ISO 10303-42
        x = np.array([1.0, 0.0, 0.0] if abs(z[0]) < 1.0 - 1e-9 else [0.0, 1.0, 0.0])
    x = x - (x @ z) * z
    x = x / max(float(np.linalg.norm(x)), 1e-300)
    return Axes(x, np.cross(z, x), z)


def turned_about(records: Records, axis: Value) -> Array:
    """The direction of an AXIS1_PLACEMENT."""
    about = direction(records, axis, "AXIS1_PLACEMENT", 2)
    return np.array([0.0, 0.0, 1.0]) if about is None else about


def origin_of(records: Records, placement: Value) -> Array | None:
    """Where an AXIS1_PLACEMENT or AXIS2_PLACEMENT_3D lies; None where that cannot be told."""
    for number in references(placement):
        for keyword in ("AXIS2_PLACEMENT_3D", "AXIS1_PLACEMENT"):
            for point in references(at(records.simple(number, keyword), 1)):
                return point_of(records, point)
    return None


def point_of(records: Records, point: int) -> Array | None:
    """A CARTESIAN_POINT (3,)."""
    return _three(at(records.simple(point, "CARTESIAN_POINT"), 1))


def direction(records: Records, placement: Value, keyword: str, place: int) -> Array | None:
    """The unit direction at a place of a placement; None where there is none."""
    for number in references(placement):
        for inner in references(at(records.simple(number, keyword), place)):
            found = _three(at(records.simple(inner, "DIRECTION"), 1))
            length = 0.0 if found is None else float(np.linalg.norm(found))
            return found / length if found is not None and length > 0.0 else None
    return None


def _three(numbers: Value) -> Array | None:
    if isinstance(numbers, Sequence) and len(numbers) == 3:
        return np.array([number_in(number) or 0.0 for number in numbers])
    return None
