"""Where a round nose that stands against curves rests in truth.

A nose is moved with its arc in chords, and on a corner or an arc a chord lets it stand up to its
error too deep. Once it is known where it stands, the true arc's place beside it follows from what
it touches there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Arc, Curve, Points
from turnability.half_plane.flatten import CHORD_MM

_TOUCHES_MM = 3.0 * CHORD_MM
"""No farther from the arc than chords on either side can miss theirs, and no room counts."""
_APART = 0.05
"""Directions with a smaller cross product tell where a nose rests in one of them only."""
_STEPS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Touchable:
    """Curves as a round nose meets them.

    Their ends (n, 2), straight pieces from `starts` to `ends` (m, 2), and arcs by `centres` (k, 2),
    `radii`, the angle at which each begins anticlockwise, and what it sweeps (k,), rad.
    """

    corners: Points
    starts: Points
    ends: Points
    centres: Points
    radii: NDArray[np.float64]
    begins: NDArray[np.float64]
    sweeps: NDArray[np.float64]

    @staticmethod
    def of(curves: Iterable[Curve]) -> Touchable:
        """Lines and arcs as they are, splines by their chords."""
        runs, arcs = [np.zeros((0, 2))], []
        starts, ends = [np.zeros((0, 2))], [np.zeros((0, 2))]
        for curve in curves:
            if isinstance(curve, Arc):
                arcs.append(curve.reversed() if curve.clockwise else curve)
                runs.append(np.array((curve.start, curve.end)))
                continue
            run = curve.flatten(CHORD_MM)
            runs.append(run)
            starts.append(run[:-1])
            ends.append(run[1:])
        return Touchable(
            np.concatenate(runs),
            np.concatenate(starts),
            np.concatenate(ends),
            np.array([arc.centre for arc in arcs]).reshape(-1, 2),
            np.array([arc.radius for arc in arcs]),
            np.array([arc.start_angle() for arc in arcs]),
            np.array([arc.sweep() for arc in arcs]),
        )

    def feet(self, at: Points) -> tuple[Points, int]:
        """Points (n, 2) that are nearest to a point (2,) on one of the curves; how many straight.

        Those on straight pieces come first.
        """
        step = self.ends - self.starts
        square = np.einsum("ij,ij->i", step, step)
        share = np.einsum("ij,ij->i", at - self.starts, step) / np.where(square > 0.0, square, 1.0)
        on = (share > 0.0) & (share < 1.0)
        straight = self.starts[on] + share[on, None] * step[on]
        off = at - self.centres
        far = np.hypot(off[:, 0], off[:, 1])
        along = (np.arctan2(off[:, 1], off[:, 0]) - self.begins) % math.tau
        on = (along < self.sweeps) & (far > 0.0)
        bent = self.centres[on] + off[on] * (self.radii[on] / far[on])[:, None]
        return np.concatenate((straight, bent, self.corners)), len(straight)


def rests_at(centre: Points, radius: float, curves: Touchable) -> Points:
    """Centre (2,) mm of the true nose, of which the one in chords stands at `centre`.

    The same where no chord can have let it in, or where what it touches does not tell.
    """
    at = centre
    for _ in range(_STEPS):
        feet, straight = curves.feet(at)
        away = feet - at
        far = np.hypot(away[:, 0], away[:, 1])
        near = np.abs(far - radius) <= _TOUCHES_MM
        if not near[straight:].any():
            return centre
        facing = away[near] / far[near, None]
        cross = facing[:, None, 0] * facing[None, :, 1] - facing[:, None, 1] * facing[None, :, 0]
        if np.abs(cross).max() < _APART:
            return centre
        step = np.linalg.lstsq(facing, far[near] - radius, rcond=None)[0]
        at = at + step
        if np.abs(step).max() < 1e-9:
            break
    moved = at - centre
    return at if math.hypot(*moved.tolist()) <= _TOUCHES_MM / _APART else centre
