"""A part drawn with letters: the upper half of its section, for a terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import flatten_ring
from turnability.half_plane.inside import polygon_holds
from turnability.outputs.rule_page.shown import Shown
from turnability.units import length_text, number_text

COLUMNS = 56
_MOST_ROWS = 12
_LEAST_ROWS = 4
_LEAST_COLUMNS = 12
_CHORD_MM = 0.05
MATERIAL, UNCUT, AXIS = "#", "x", "-"
KEY = f"{MATERIAL} part, {UNCUT} left uncut, ^ the place that is meant"


def text_sketch(shown: Shown) -> list[str]:
    """The lines of the drawing, its sizes below it; plain ASCII but for the sign for diameters.

    A letter is taken to be twice as high as it is wide. What is very thin is drawn thicker.
    """
    profile = shown.view.part.profile
    if profile is None:
        return ["(no axis carries it, so there is no section to draw)"]
    inch = shown.view.shop.inch
    length, top = profile.length_mm, 0.5 * profile.max_diameter_mm
    wide = max(length / COLUMNS, top / (2.0 * _MOST_ROWS))
    columns = max(_LEAST_COLUMNS, round(length / wide))
    rows = min(_MOST_ROWS, max(_LEAST_ROWS, math.ceil(top / (2.0 * wide))))
    z = (np.arange(columns) + 0.5) * length / columns
    r = (rows - np.arange(rows) - 0.5) * top / rows
    cells = np.stack(np.meshgrid(z, r), axis=-1).reshape(-1, 2)
    part = np.zeros(len(cells), dtype=bool)
    for loop in profile.loops:
        part ^= polygon_holds(flatten_ring(loop.ring, _CHORD_MM), cells)
    letters = np.where(part, MATERIAL, " ")
    for region in shown.view.reach.left if shown.view.reach else ():
        polygon = np.array(region.polygon, dtype=float)
        # a region smaller than a cell still shows, in the cell that its middle lies in
        held = polygon_holds(polygon, cells)
        if not held.any():
            held = _nearest(cells, polygon.mean(axis=0), part)
        letters[held & ~part] = UNCUT
    lines = ["".join(row).rstrip() for row in letters.reshape(rows, columns)]
    lines.append((AXIS + " ") * (columns // 2))
    if (mark := _mark(shown, length, columns)) is not None:
        lines.append(mark)
    across = number_text(profile.max_diameter_mm, inch)
    lines.append(f"z 0 to {length_text(length, inch)}; largest ⌀{across}")
    return [line.rstrip() for line in lines]


def _nearest(
    cells: NDArray[np.float64], point: Sequence[float], part: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """The free cell nearest to a point."""
    apart = np.hypot(*(cells - np.asarray(point)).T)
    apart[part] = np.inf
    held = np.zeros(len(cells), dtype=bool)
    held[int(np.argmin(apart))] = True
    return held


def _mark(shown: Shown, length_mm: float, columns: int) -> str | None:
    """Signs under the z ranges of all findings; nothing where they concern the whole part."""
    marked: set[int] = set()
    for finding in shown.findings:
        if finding.where.z_mm is not None:
            low, high = (int(z / length_mm * columns) for z in finding.where.z_mm)
            marked.update(range(max(0, low), min(columns - 1, max(low, high - 1)) + 1))
    if not marked or len(marked) >= columns:
        return None
    return "".join("^" if i in marked else " " for i in range(columns))
