"""Faces cut into sheets on which the angle round the axis is one continuous function.

The angle of a point is known up to whole turns only. On a sheet it is followed without a jump:
along the column u = `base`, and from there along the row of each v. Rows part where the axis
pierces the surface, so a face is cut there into bands of v; a thread may wind many times.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from turnability.part.departures.ruled import Ruled, ruled_sheets
from turnability.part.kernel_faces import KernelFace
from turnability.part.rims import gauss
from turnability.part.surface_points import around_axis, cross, lengths

Array: TypeAlias = NDArray[np.float64]

_NEWTON = 20
_STEP = 1.0
"""Radians that neighbouring samples may be apart, but beside the axis."""
_MOST = 4096
_GRADES = (0.3, 0.06, 0.01)
_PARALLEL = 1e-9
_SILENT = 1e-9
_INSET = 1e-7
_SAME = 1e-8
"""Share of a face's bounds by which places where the axis pierces it are told apart."""
NODES = 12
NODES_FREE = 6


@dataclass(slots=True)
class Sheet:
    """A band of a face's parameters, `low` <= v <= `high`; rows are smooth between `breaks`."""

    face: KernelFace
    low: float
    high: float
    breaks: Array
    column: Array
    turns: Array
    shift: float = 0.0

    def angle(self, u: Array, v: Array) -> Array:
        """The followed angle at parameters (n,), in radians."""
        # on a row that the axis pierces the angle leaps half a turn, either way
        v = np.clip(v, *_inset(self.low, self.high))
        x, w = gauss(4)
        return self._ends(u, v, (x + 1.0) / 2.0, w / 2.0)[2]

    def rows(self, u: Array, v: Array, panels: int) -> tuple[Array, Array]:
        """Integrals over each row from the base to u (n,): of angle times g, and of g.

        g = (Su x Sv) . (z x P); g du dv is the area of the image in the half plane times r.
        """
        total, plain = np.zeros(len(u)), np.zeros(len(u))
        long = u > self.breaks[0]
        if not long.any():
            return total, plain
        x, w = gauss(NODES if self.face.is_told_quickly else NODES_FREE)
        shares = (np.arange(panels)[:, None] + (x[None, :] + 1.0) / 2.0).ravel() / panels
        weights = np.tile(w, panels) / (2.0 * panels)
        total[long], plain[long], _ = self._ends(u[long], v[long], shares, weights)
        return total, plain

    def _ends(
        self, u: Array, v: Array, shares: Array, weights: Array
    ) -> tuple[Array, Array, Array]:
        """Both integrals from the base to u along the row of each v, and the angle at u; (n,) each.

        `shares` and `weights`: nodes within each piece between breaks. Whole pieces have the same
        nodes in all rows; the last, cut short, has its own.
        """
        b = self.breaks
        # a row that runs on beyond the last break stretches the last piece
        room = 1e-13 * (b[-1] - b[0])
        whole = np.searchsorted(b, u + room, side="right") - 1
        whole = np.clip(np.where(u > b[-1] + room, len(b) - 2, whole), 0, len(b) - 1)
        total, plain = np.zeros((2, len(u)))
        most = int(whole.max(initial=0)) * len(shares)
        width = np.diff(b)[: int(whole.max(initial=0))]
        nodes = np.concatenate((b[:1], (b[: len(width), None] + width[:, None] * shares).ravel()))
        x, y, g = self.face.lattice_turns(nodes, v)
        phi = _unwrapped(np.arctan2(y, x), np.interp(v, self.column, self.turns))
        if most:
            counts = np.arange(most)[:, None] < whole * len(shares)
            g = np.broadcast_to(g, phi.shape)[1:] * (
                (width[:, None] * weights).ravel()[:, None] * counts
            )
            total, plain = (g * phi[1:]).sum(axis=0), g.sum(axis=0)
        angle = phi[whole * len(shares), np.arange(len(v))]
        rest = u - b[whole]
        # the nodes lie within their pieces: the last of them does not tell the angle at the end
        cut = np.nonzero((np.abs(rest) > room) | (whole > 0))[0]
        if len(cut):
            begin, rest = b[whole[cut]], rest[cut]
            nodes = np.concatenate((begin + shares[:, None] * rest, u[None, cut]))
            x, y, g = self.face.row_turns(nodes, v[cut])
            phi = _unwrapped(np.arctan2(y, x), angle[cut])
            g = np.broadcast_to(g, phi.shape)[:-1] * (weights[:, None] * rest)
            total[cut] += (g * phi[:-1]).sum(axis=0)
            plain[cut] += g.sum(axis=0)
            angle[cut] = phi[-1]
        return total + self.shift * plain, plain, angle + self.shift


@dataclass(slots=True)
class Wall:
    """A plane parallel to the axis, with u across the axis from its foot and v along it.

    All is had in closed form; the foot may lie on the axis itself.
    """

    face: KernelFace
    distance: float
    foot: float
    turn: Array
    origin: Array
    shift: float = 0.0
    low: float = -math.inf
    high: float = math.inf

    def angle(self, u: Array, v: Array) -> Array:
        """The angle of points (n,), in radians."""
        sign = 1.0 if self.distance >= 0.0 else -1.0
        del v
        return self.foot + self.shift + sign * np.arctan2(u, abs(self.distance))

    def rows(self, u: Array, v: Array, panels: int) -> tuple[Array, Array]:
        """As `Sheet.rows`, from the foot."""
        del v, panels
        d, sign = abs(self.distance), 1.0 if self.distance >= 0.0 else -1.0
        half = u * u / 2.0
        swept = (half + d * d / 2.0) * np.arctan2(u, d) - d * u / 2.0
        return -((self.foot + self.shift) * half + sign * swept), -half


AnySheet: TypeAlias = Sheet | Ruled | Wall


def sheets_of(face: KernelFace) -> Sequence[AnySheet]:
    """The sheets of a face in order of v; none for a face that turns, which has no g."""
    u, v, points = face.even.u, face.even.v, face.even.points
    g = around_axis(points, face.even.along_u, face.even.along_v)[2]
    if float(np.abs(g).max()) <= _SILENT * float(np.abs(points).max()) ** 2:
        return []
    wall = _wall(face)
    if wall is not None:
        return [wall]
    pierced = _pierced(face, u, v, points)
    ruled = ruled_sheets(face, pierced)
    if ruled is not None:
        return ruled
    _, _, v0, v1 = face.bounds
    room = 1e-9 * (v1 - v0)
    levels: list[float] = []
    for q in sorted(q for _, q in pierced):
        if v0 + room < q < v1 - room and (not levels or q - levels[-1] > room):
            levels.append(q)
    breaks = _breaks(face, [p for p, _ in pierced])
    return [_sheet(face, low, high, breaks) for low, high in itertools.pairwise([v0, *levels, v1])]


def place(sheet: AnySheet, uv: Array) -> Array:
    """The face's own parameters (n, 2) on the sheet's."""
    if isinstance(sheet, Wall):
        return sheet.origin + uv @ sheet.turn
    return turned(sheet, uv)


def turned(sheet: AnySheet, way: Array) -> Array:
    """Steps (..., 2) of the face's own parameters as steps of the sheet's."""
    if isinstance(sheet, Wall):
        return way @ sheet.turn
    return way[..., ::-1] if isinstance(sheet, Ruled) and sheet.swapped else way


def sheet_at(sheets: Sequence[AnySheet], v: Array) -> NDArray[np.intp]:
    """Which sheet of a face each v (n,) lies on."""
    return np.searchsorted([sheet.high for sheet in sheets[:-1]], v).astype(np.intp)


def angles(sheets: Sequence[AnySheet], uv: Array) -> Array:
    """The followed angle at a face's own parameters (n, 2)."""
    at = place(sheets[0], uv)
    which = sheet_at(sheets, at[:, 1])
    found = np.empty(len(at))
    for k, sheet in enumerate(sheets):
        mine = which == k
        if mine.any():
            found[mine] = sheet.angle(at[mine, 0], at[mine, 1])
    return found


def _unwrapped(angles: Array, before: Array) -> Array:
    """Angles (n, m) followed down each column from `before` (m,) on, without jumps."""
    step = np.diff(angles, axis=0, prepend=before[None, :])
    turns = np.rint(step / math.tau)
    return angles - math.tau * turns.cumsum(axis=0) if turns.any() else angles


def _wall(face: KernelFace) -> Wall | None:
    if face.kind != "plane" or not face.has_formula:
        return None
    o, su, sv = (a[0] for a in face.points(np.zeros(1), np.zeros(1)))
    n = cross(su, sv)
    if abs(n[2]) > _PARALLEL:
        return None
    t = np.array([-n[1], n[0], 0.0])
    distance = float(o @ n)
    foot = math.atan2(n[1], n[0]) + (0.0 if distance >= 0.0 else math.pi)
    turn = np.array([[su @ t, su[2]], [sv @ t, sv[2]]])
    return Wall(face, distance, foot, turn, np.array([o @ t, o[2]]))


def _pierced(face: KernelFace, u: Array, v: Array, points: Array) -> list[tuple[float, float]]:
    """Parameters where the axis meets the surface within the bounds, by Newton's iteration."""
    r = np.hypot(points[..., 0], points[..., 1])
    size = float(np.abs(points).max())
    step = max(float(lengths(np.diff(points, axis=axis)).max()) for axis in (0, 1))
    # every sample beside the axis, for two places may lie between neighbours: a hole that only
    # just reaches the axis with its wall is pierced twice
    begin = np.argwhere(r <= 2.0 * step)
    if not len(begin):
        return []
    a, b = u[begin[:, 0]].copy(), v[begin[:, 1]].copy()
    for _ in range(_NEWTON):
        p, su, sv = face.points(a, b)
        det = su[:, 0] * sv[:, 1] - su[:, 1] * sv[:, 0]
        det[det == 0.0] = np.inf
        a = a - (p[:, 0] * sv[:, 1] - p[:, 1] * sv[:, 0]) / det
        b = b - (su[:, 0] * p[:, 1] - su[:, 1] * p[:, 0]) / det
        a = np.clip(a, 2.0 * u[0] - u[-1], 2.0 * u[-1] - u[0])
        b = np.clip(b, 2.0 * v[0] - v[-1], 2.0 * v[-1] - v[0])
    p, _, _ = face.points(a, b)
    room = 1e-9 * np.array([u[-1] - u[0], v[-1] - v[0]])
    good = (
        (np.hypot(p[:, 0], p[:, 1]) <= 1e-9 * max(size, 1.0))
        & (a >= u[0] - room[0])
        & (a <= u[-1] + room[0])
        & (b >= v[0] - room[1])
        & (b <= v[-1] + room[1])
    )
    found: list[tuple[float, float]] = []
    same = _SAME * np.array([u[-1] - u[0], v[-1] - v[0]])
    for place in np.column_stack((a[good], b[good])):
        if not any((np.abs(place - other) <= same).all() for other in found):
            found.append((float(place[0]), float(place[1])))
    return found


def _breaks(face: KernelFace, pierced: Sequence[float]) -> Array:
    """Where rows are cut: knots, places beside the axis, and often enough to follow the angle."""
    u0, u1, v0, v1 = face.bounds
    inner = [k for k in face.knots()[0] if u0 < k < u1]
    if face.swept is not None or (face.has_formula and face.kind != "plane"):  # u is an angle
        count = math.ceil((u1 - u0) / (math.pi / 2.0) - 1e-9)
        inner.extend(u0 + (u1 - u0) * k / count for k in range(1, count))
    inner.extend(pierced)
    for p in pierced:
        reach = min(abs(p - k) for k in (u0, u1, *inner) if abs(p - k) > 1e-9 * (u1 - u0))
        inner.extend(p + side * reach * share for share in _GRADES for side in (-1.0, 1.0))
    breaks = np.unique([u0, *(k for k in inner if u0 < k < u1), u1])
    breaks = breaks[np.concatenate(([True], np.diff(breaks) > 1e-12 * (u1 - u0)))]
    breaks[-1] = u1
    if len(pierced):
        return breaks
    for v in np.linspace(v0, v1, 5)[1:-1]:
        breaks = _followed(face, breaks, float(v))
    return breaks


def _followed(face: KernelFace, breaks: Array, v: float) -> Array:
    """Breaks halved where the angle turns by more than `_STEP` between them."""
    while len(breaks) < _MOST:
        at = np.sort(np.concatenate((breaks, (breaks[1:] + breaks[:-1]) / 2.0)))
        x, y, _ = face.lattice_turns(at, np.array([v]))
        turn = np.abs((np.diff(np.arctan2(y, x)[:, 0]) + math.pi) % math.tau - math.pi)
        far = np.maximum(turn[::2], turn[1::2]) > _STEP
        if not far.any():
            break
        middles = ((breaks[1:] + breaks[:-1]) / 2.0)[far]
        if np.diff(breaks)[far].min() < 1e-4 * (breaks[-1] - breaks[0]):
            break  # beside the axis, where the shorter way is the right one
        breaks = np.sort(np.concatenate((breaks, middles)))
    return breaks


def _inset(low: float, high: float) -> tuple[float, float]:
    """A hair's breadth within a band of v."""
    by = _INSET * (high - low)
    return low + by, high - by


def _sheet(face: KernelFace, low: float, high: float, breaks: Array) -> Sheet:
    count = 33
    while True:
        column = np.linspace(*_inset(low, high), count)
        x, y, _ = face.lattice_turns(breaks[:1], column)
        turns = np.unwrap(np.arctan2(y, x)[0])
        if float(np.abs(np.diff(turns)).max()) <= _STEP or count > 500:
            return Sheet(face, low, high, breaks, column, turns)
        count = 4 * count - 3
