"""A rim on a sphere, which parts it in two: what lies to the left of it, and where it is clear."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from turnability.part.reading.spheres import Array, across_of

_PLACES = 300
"""Places spread over a sphere, to tell sides apart by."""
_MEASURED = 2000
"""Places among which one clear of a side is looked for."""
_POLES = 300
_SEAMS = 24
_CLEAR = 0.02
"""Sine of the angle by which poles and seam of a new sphere keep clear of the rim."""
BESIDE = 0.02
"""Places nearer to the rim than this many radians are not asked."""
_LEAST_CAP = 0.1
"""Radians about a place that is not of the side; nearer to one that would be left of the sphere
than that, a surface without a seam is too steep."""


class Rim:
    """Lines of unit places (n, 3) each, the side to their left seen from outside the sphere."""

    def __init__(self, lines: Sequence[Array]) -> None:
        self.lines = lines
        self.all = np.concatenate(lines) if lines else np.zeros((0, 3))
        self._places = _spread(_PLACES)
        self._far = self._farthest()

    def _farthest(self) -> Array:
        """The place farthest from the rim."""
        if not len(self.all):
            return np.asarray(self._places[0])
        return np.asarray(self._places[(self._places @ self.all.T).max(axis=1).argmin()])

    def clear(self, places: Array) -> NDArray[np.bool_]:
        """Which unit places (n, 3) do not lie beside the rim."""
        if not len(self.all):
            return np.ones(len(places), dtype=bool)
        return np.asarray((places @ self.all.T).max(axis=1) < math.cos(BESIDE))

    def holds(self, places: Array) -> NDArray[np.bool_] | None:
        """Whether unit places (n, 3) are of the side; None where the rim bounds none.

        Seen from the place farthest from the rim, the sphere less that place is a plane, and
        places of the side are those that the rim runs round once more than round that place.
        """
        if not self.lines:
            return np.ones(len(places), dtype=bool)
        known = np.concatenate((places, self._places))
        far = self._far
        right, ahead = across_of(far)
        # Seen from outside, a turn to the left stays one to the left.
        across, up = right, -ahead

        def flat(p: Array) -> NDArray[np.complex128]:
            seen = ((p @ across) + 1j * (p @ up)) / np.maximum(1.0 - p @ far, 1e-9)
            return np.asarray(seen, dtype=np.complex128)

        seen, turns, area = flat(known), np.zeros(len(known)), 0.0
        for line in self.lines:
            run = flat(line)
            area += float((run[:-1].conj() * run[1:]).imag.sum())
            away = run[None, :] - seen[:, None]
            away[away == 0.0] = 1e-300
            turns += np.angle(away[:, 1:] / away[:, :-1]).sum(axis=1)
        rounds = np.rint(turns / math.tau).astype(int)
        kinds = set(rounds[len(places) :][self.clear(self._places)].tolist())
        if kinds <= {0, 1} or kinds <= {0, -1}:
            # A rim so narrow that no place is within it still runs to the left or to the right.
            inside = rounds + (1 if -1 in kinds or (1 not in kinds and area < 0.0) else 0)
            return np.asarray(inside[: len(places)] == 1)
        return None

    @property
    def share(self) -> float | None:
        """How much of its sphere the side is; None where the rim bounds none.

        From the solid angles of triangles between a place and each chord of the rim: tan of half
        of one is q (a x b) / (1 + q a + a b + b q) (van Oosterom and Strackee 1983, from memory).
        """
        if not self.lines:
            return 1.0
        if self.holds(self._places[:1]) is None:
            return None
        q, total = -self._far, 0.0
        for line in self.lines:
            a, b = line[:-1], line[1:]
            across = np.linalg.det(np.stack((np.broadcast_to(q, a.shape), a, b), axis=1))
            total += float(
                2.0 * np.arctan2(across, 1.0 + a @ q + (a * b).sum(axis=1) + b @ q).sum()
            )
        return total % (4.0 * math.pi) / (4.0 * math.pi)

    def farthest_outside(self) -> tuple[Array, float] | None:
        """The place that is not of the side and farthest from its rim, and how far (radians).

        None where there is none, or none far enough for a surface without a seam.
        """
        places = _spread(_MEASURED)
        held = self.holds(places)
        if held is None or held.all():
            return None
        outside = places[~held]
        near = (outside @ self.all.T).max(axis=1)
        apart = math.acos(min(1.0, float(near.min())))
        return (outside[near.argmin()], apart) if apart > _LEAST_CAP else None

    def frames(self) -> Iterator[tuple[Array, Array, bool]]:
        """Pole, seam's direction, and whether both are within the side; without first."""
        poles = _spread(_POLES)
        found: dict[bool, tuple[float, Array, Array]] = {}
        turns = np.arange(_SEAMS) * (math.tau / _SEAMS)
        cos, sin = np.cos(turns), np.sin(turns)
        steps = [np.linalg.norm(np.diff(line, axis=0), axis=1).max() for line in self.lines]
        least = _CLEAR + 0.5 * float(max(steps))
        within = self.holds(poles)
        if within is None:
            return
        off = np.sqrt(np.maximum(1.0 - (poles @ self.all.T) ** 2, 0.0)).min(axis=1)
        # no seam keeps clearer than its pole, so that the clearest poles tell first
        for i in np.argsort(-off).tolist():
            pole, key = poles[i], bool(within[i])
            best_yet = found[key][0] if key in found else 0.0
            if off[i] <= max(least, best_yet):
                continue
            across, up = across_of(pole)
            x, y = (self.all @ across)[:, None], (self.all @ up)[:, None]
            at_pole = np.hypot(x, y)
            ahead, beside = x * cos + y * sin, np.abs(y * cos - x * sin)
            clear = np.where(ahead > 0.0, beside, at_pole).min(axis=0)
            best = int(clear.argmax())
            if clear[best] > max(least, best_yet):
                found[key] = (float(clear[best]), pole, cos[best] * across + sin[best] * up)
        for key in (False, True):
            if key in found:
                yield found[key][1], found[key][2], key


@cache
def _spread(count: int) -> Array:
    """Unit vectors spread evenly over the sphere, shape (count, 3)."""
    k = np.arange(count) + 0.5
    z, turn = 1.0 - 2.0 * k / count, np.pi * (1.0 + 5.0**0.5) * k
    r = np.sqrt(1.0 - z * z)
    return np.column_stack((r * np.cos(turn), r * np.sin(turn), z))
