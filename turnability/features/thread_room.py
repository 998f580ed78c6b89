"""What lies beside a thread: how much of it is usable, what it runs against, and how far off."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import pairwise
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.sides import is_parallel
from turnability.features.standards import thread_reliefs
from turnability.half_plane.curves import Curve, Line
from turnability.part.model import Parameter

Surface = Literal["outer", "inner"]
_CREST_SHARE = 0.1
"""Crests stand this near to the crest diameter, as a share of the pitch."""
_SHARES = 32
_DIN_76 = ("metric", "unified")
_TOUCHING_PITCHES = 0.5
"""A thread that ends this near to a shoulder runs against it: it has no room to end in."""


def room(
    chain: Chain,
    surface: Surface,
    z_mm: tuple[float, float],
    major_mm: float,
    minor_mm: float,
    pitch_mm: float | None,
    form: str | None,
    rings: bool = False,
) -> dict[str, Parameter]:
    """Usable length, and room at the shoulder or the bottom; lengths in mm and in pitches.

    `shoulder_mm`: from the thread's end to the nearest surface that stands in the way of its tool
    (outside higher than the crests, inside lower); None where both ends are free.
    `bottom_clearance_mm`: the same toward the closed end of a blind hole. `relieved`: whether the
    outline goes as deep as the root before the shoulder, `relief_diameter_mm` the floor of the
    hollow that lies there, be it as deep or not. `run_out_limit_mm`: DIN 76-1's a1, how far off a
    shoulder the last full thread stands at most; a thread that runs against one without a relief
    is usable so much less. Only 60 degree threads have it. `rings`: closed ones stand for the
    thread, whose crests are their flats.
    """
    limit = 0.5 * (major_mm if surface == "outer" else minor_mm)
    spare = max(limits.SAME_MM, _CREST_SHARE * (pitch_mm or 0.0))
    ways = {"low": _way(chain, surface, z_mm[0], -1.0, limit, spare),
            "high": _way(chain, surface, z_mm[1], 1.0, limit, spare)}  # fmt: skip
    blind = _closed_end(chain) if surface == "inner" else None
    found: dict[str, Parameter] = {}
    shoulders = [w for end, w in ways.items() if w is not None and end != blind]
    shoulder = min(shoulders, default=None)
    found |= _told("shoulder", shoulder, pitch_mm)
    if blind is not None:
        found |= _told("bottom_clearance", ways[blind], pitch_mm)
    row = thread_reliefs.limits_of(pitch_mm) if pitch_mm and form in _DIN_76 else None
    run_out = float(row["a1_shoulder_max"]) if row is not None else None
    lengths = _crests(chain, surface, z_mm, major_mm if surface == "outer" else minor_mm, spare)
    usable = lengths if lengths is not None and not rings else z_mm[1] - z_mm[0]
    floor = _relief_floor(chain, surface, z_mm) if shoulders else None
    relieved = floor is not None and _is_as_deep(floor, surface, major_mm, minor_mm)
    if row is not None and shoulders:
        found["run_out_limit_mm"] = run_out
    against = pitch_mm is not None and any(w < _TOUCHING_PITCHES * pitch_mm for w in shoulders)
    if against and not relieved and run_out is not None:
        usable = max(0.0, usable - run_out)
    found["relieved"] = relieved if shoulders else None
    if floor is not None:
        found["relief_diameter_mm"] = 2.0 * floor
    found["usable_length_mm"] = usable
    return found


def _told(name: str, way: float | None, pitch: float | None) -> dict[str, Parameter]:
    pitches = way / pitch if way is not None and pitch else None
    return {f"{name}_mm": way, f"{name}_pitches": pitches}


def _way(
    chain: Chain, surface: Surface, begin: float, step: float, limit: float, spare: float
) -> float | None:
    """How far along z from `begin` the outline first stands beyond the limit; None: never."""
    sign = 1.0 if surface == "outer" else -1.0

    def over(curve: Curve, t: float) -> float:
        return sign * (curve.at(t)[1] - limit) - spare

    zones = ("outer", "end") if surface == "outer" else ("inner", "axis")
    nearest: float | None = None
    for curve in (side.curve for side in chain.zone(*zones)):
        shares = (
            [0.0, 1.0] if isinstance(curve, Line) else [k / _SHARES for k in range(_SHARES + 1)]
        )
        places = [t for t in shares if over(curve, t) > 0.0]
        for s, t in pairwise(shares):
            if (over(curve, s) > 0.0) != (over(curve, t) > 0.0):
                places.append(_crossing(partial(over, curve), s, t))
        for z in (curve.at(t)[0] for t in places):
            way = step * (z - begin)
            if way >= -spare and (nearest is None or way < nearest):
                nearest = max(0.0, way)
    return nearest


def _crossing(over: Callable[[float], float], s: float, t: float) -> float:
    """Where between two shares of a curve it passes the limit."""
    below, above = (s, t) if over(s) <= 0.0 else (t, s)
    for _ in range(50):
        middle = 0.5 * (below + above)
        if over(middle) <= 0.0:
            below = middle
        else:
            above = middle
    return above


def _closed_end(chain: Chain) -> Literal["low", "high"] | None:
    """Toward which end a blind hole is closed; None where the bore goes through."""
    inner = chain.zone("inner")
    axis = chain.zone("axis")
    if not axis or not inner:
        return None
    (low, _), _ = spread([side.curve for side in axis])
    (begin, _), _ = spread([side.curve for side in inner])
    return "high" if begin < low else "low"


def _crests(
    chain: Chain, surface: Surface, z_mm: tuple[float, float], crest: float, spare: float
) -> float | None:
    """Length of the crests' cylinders within the thread; None where the profile shows none."""
    total = 0.0
    for side in chain.zone(surface):
        if not is_parallel(side.curve) or side.segment is None:
            continue
        (z0, z1), (d0, _) = spread([side.segment.curve])
        if abs(d0 - crest) <= 2.0 * spare:
            total += max(0.0, min(z1, z_mm[1]) - max(z0, z_mm[0]))
    return total if total > 0.0 else None


def _relief_floor(chain: Chain, surface: Surface, z_mm: tuple[float, float]) -> float | None:
    """Radius of the deepest hollow that begins where the thread ends; None where none does."""
    found = []
    for hollow in chain.outside if surface == "outer" else chain.inside:
        low, high = sorted(point[0] for point in hollow.mouth)
        gap = max(low - z_mm[1], z_mm[0] - high)
        within = z_mm[0] < 0.5 * (low + high) < z_mm[1]
        if gap <= limits.SAME_MM and not within:
            found.append(abs(hollow.bottom))
    return (min if surface == "outer" else max)(found, default=None)


def _is_as_deep(floor: float, surface: Surface, major: float, minor: float) -> bool:
    if surface == "outer":
        return floor <= 0.5 * minor + limits.SAME_MM
    return floor >= 0.5 * major - limits.SAME_MM
