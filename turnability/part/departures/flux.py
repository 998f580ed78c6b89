"""How much faces take out of the turned body, each from itself alone.

The field F = phi r e_phi has divergence 1 and no part through a turned face. By Gauss's theorem
the volume that is missing from the turned body is minus its flux through the departures' faces,
and a whole number of turns in each cell of the half plane where phi was followed over jumps (see
`part.departures.books`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.departures.ruled import Ruled, Rulings
from turnability.part.departures.sheets import AnySheet, Sheet, Wall, place, sheet_at, turned
from turnability.part.kernel_faces import KernelFace, give_rims
from turnability.part.rims import Rim, Rims, together

Array: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]
Sheets: TypeAlias = Sequence[AnySheet]

_NODES = 8
_GRADES = (0.3, 0.06, 0.01)
_FINEST = 16
_FINEST_FREE = 4


def fluxes(
    faces: Sequence[tuple[KernelFace, Sheets]], within_mm3: float
) -> list[tuple[float, float]]:
    """Fluxes of phi r e_phi and of r e_phi through each face, out of the solid (mm3).

    Panels are doubled until the first settles within `within_mm3`, piece by piece of the rims.
    """
    known = [k for k, (_, sheets) in enumerate(faces) if sheets]
    found = [(0.0, 0.0)] * len(faces)
    if not known:
        return found
    some = [faces[k] for k in known]
    give_rims(face for face, _ in some)
    rims = together([_placed(rim, own[0]) for face, own in some if (rim := face.rim) is not None])
    # what runs along a row adds nothing
    rims = rims.of(np.abs(rims.coefficients[:, 1:, 1]).max(axis=1) > _level(rims))
    rims = rims.cut([_cuts(face, sheets) for face, sheets in some])
    finest = np.array(
        [
            _FINEST if face.is_told_quickly or isinstance(sheets[0], Ruled) else _FINEST_FREE
            for face, sheets in some
        ]
    )
    rows = _Rows([sheets for _, sheets in some])
    owners, count = rims.owner, len(some)
    pieces = np.bincount(owners, minlength=count)[owners]
    values, plains = np.zeros(len(owners)), np.zeros(len(owners))
    sums: Array = np.zeros(count)
    open_ = np.ones(len(owners), dtype=bool)
    panels = 1
    while open_.any():
        asked = rims if open_.all() else rims.of(open_)
        owner, at, step = asked.nodes(_NODES, panels)
        flux, through = rows.integrals(owner, at[:, 0], at[:, 1], panels)
        value = (flux * step[:, 1]).reshape(len(asked.owner), -1).sum(axis=1)
        plain = (through * step[:, 1]).reshape(len(asked.owner), -1).sum(axis=1)
        change = np.abs(value - values[open_])
        values[open_], plains[open_] = value, plain
        before, sums = sums, np.bincount(owners, values, count).astype(np.float64)
        panels *= 2
        if panels > 2:  # a face settles, or a piece of its rim by itself
            settled = np.abs(sums - before) <= within_mm3
            moved = change * pieces[open_] > within_mm3
            open_[open_] = moved & ~settled[asked.owner] & (panels <= finest[asked.owner])
    plain_sums = np.bincount(owners, plains, count)
    for number, k in enumerate(known):
        side = -1.0 if faces[k][0].reversed else 1.0
        found[k] = side * float(sums[number]), side * float(plain_sums[number])
    return found


def _placed(rim: Rim, sheet: AnySheet) -> Rim:
    """A rim in the sheet's own parameters."""
    c = rim.coefficients
    moved = turned(sheet, c)
    if isinstance(sheet, Wall):
        moved = moved.copy()
        moved[:, 0] = place(sheet, c[:, 0])
    return replace(rim, coefficients=moved)


def _level(rims: Rims) -> Array:
    return 1e-14 * np.maximum(np.abs(rims.coefficients[:, 0, 1]), 1e-300)


def _cuts(face: KernelFace, sheets: Sheets) -> Array:
    """Where a rim is cut: between sheets, more often beside those places, and at knots."""
    first = sheets[0]
    if isinstance(first, Wall):
        return np.empty(0)
    knots = first.knots if isinstance(first, Ruled) else np.array(face.knots()[1])
    limits = [first.low, *(sheet.high for sheet in sheets)]
    found = [*knots.tolist(), *limits[1:-1]]
    for before, at, after in zip(limits, limits[1:], limits[2:], strict=False):
        reach = min(at - before, after - at)
        found.extend(at + side * reach * share for share in _GRADES for side in (-1.0, 1.0))
    return np.unique(found)


class _Rows:
    """The integrals along rows of many faces' sheets, those of one kind together."""

    def __init__(self, faces: Sequence[Sheets]) -> None:
        self._faces = faces
        self._first = np.cumsum([0, *(len(sheets) for sheets in faces)])
        self._many = [k for k, sheets in enumerate(faces) if len(sheets) > 1]
        sheets = [sheet for some in faces for sheet in some]
        self._sheets = sheets
        self._ruled = np.array([isinstance(sheet, Ruled) for sheet in sheets])
        self._walls = np.array([isinstance(sheet, Wall) for sheet in sheets])
        lots: dict[object, list[int]] = {}
        for k, sheet in enumerate(sheets):
            if isinstance(sheet, Ruled):
                lots.setdefault(sheet.alike, []).append(k)
        self._lots = [
            (numbers, Rulings.of([s for k in numbers if isinstance(s := sheets[k], Ruled)]))
            for numbers in lots.values()
        ]

    def integrals(self, owner: Ints, a: Array, b: Array, panels: int) -> tuple[Array, Array]:
        """Of angle times g and of g, along each row up to a (n,); `owner`: the row's face."""
        which = self._first[owner]
        for k in self._many:
            mine = owner == k
            which[mine] += sheet_at(self._faces[k], b[mine])
        total, plain = np.zeros(len(a)), np.zeros(len(a))
        for numbers, rulings in self._lots:
            place_of = np.full(len(self._sheets), -1)
            place_of[numbers] = np.arange(len(numbers))
            number = place_of[which]
            mine = number >= 0
            if mine.any():
                total[mine], plain[mine] = rulings.rows(number[mine], a[mine], b[mine])
        rest = np.unique(which[~self._ruled[which]])
        for k in rest.tolist():
            mine = which == k
            sheet = self._sheets[k]
            if isinstance(sheet, Sheet | Wall):
                total[mine], plain[mine] = sheet.rows(a[mine], b[mine], panels)
        return total, plain
