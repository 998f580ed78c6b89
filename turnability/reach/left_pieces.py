"""Pieces of stock that stay, made whole again: which of those that meet are one."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence

import numpy as np

from turnability.half_plane.distances import distances
from turnability.half_plane.places import TOUCH_MM, Box
from turnability.half_plane.regions import Region, union
from turnability.half_plane.sharing import shared_lengths
from turnability.reach.ground import Ground

_CUSP_MM = 0.2
_SMALL_SHARE = 0.05
"""A piece shorter than this share of one that it meets belongs to it."""
_NEARLY_ALL = 0.75


def whole_pieces(counted: Sequence[Region], stock: Region, ground: Ground) -> list[Region]:
    """The pieces with their thin ends, which cleaning cut off; some that meet are made one."""
    parts: list[Region] = []
    whole: list[tuple[Region, set[int]]] = []
    met: list[tuple[int, int]] = []
    for raw in stock.components() if counted else ():
        mine = [piece for piece in counted if _meet(piece.bounds, raw.bounds)]
        mine = [piece for piece in mine if (piece & raw).area > 0.5 * piece.area]
        first = len(parts)
        if len(mine) == 1:
            parts += [_without_skin(raw, mine[0])]
            continue
        whole.append((raw, set(range(first, first + len(mine)))))
        # slivers along a wall join them: each keeps what lies near it, and those that meet there
        # are as if they met in a point
        near, rest = [raw & piece.grown(_CUSP_MM) for piece in mine], raw
        for place, one in enumerate(near):
            own = rest & one
            for other in mine[place + 1 :]:
                own = own - other
            parts.append(own)
            rest = rest - own
            met += [(first + k, first + place) for k in range(place) if not (near[k] & one).empty]
    met += [
        (i, j)
        for j in range(len(parts))
        for i in range(j)
        if (i, j) not in met and _touch(parts[i], parts[j])
    ]
    groups = _joined(parts, met, ground)
    found = []
    for group in groups:
        thin = [raw for raw, own in whole if own and own <= group]
        found.append(union([*(parts[k] for k in sorted(group)), *thin]))
    return [piece for piece in found if not piece.empty]


def _without_skin(raw: Region, piece: Region) -> Region:
    """The piece with its thin ends, and no skin on the wall that runs on from them without end.

    Rounding leaves one along a whole taper, from what counts in its corner to what does not.
    """
    (z0, r0, z1, r1), (u0, v0, u1, v1) = piece.bounds, raw.bounds
    ends = min(u0 - z0, v0 - r0, z1 - u1, r1 - v1)
    return raw if ends >= -_CUSP_MM else raw & piece.grown(_CUSP_MM)


def _joined(
    pieces: Sequence[Region], met: Sequence[tuple[int, int]], ground: Ground
) -> list[set[int]]:
    """Which of the pieces are one: of those that meet, those that lie along the same segment (what
    drills of several sizes leave of a taper), and a small one with the longest that it meets.

    Whether those that meet in a point hang together is a matter of rounding.
    """
    groups = [{k} for k in range(len(pieces))]
    if not met:
        return groups
    along = [_lies_along(piece, ground) for piece in pieces]
    boxes = [piece.bounds for piece in pieces]

    def of(k: int) -> set[int]:
        return next(group for group in groups if k in group)

    def join(one: set[int], other: set[int]) -> None:
        groups.remove(other)
        one |= other

    def small() -> tuple[set[int], set[int]] | None:
        for one in sorted(groups, key=lambda group: _size(boxes, group)):
            others = [of(i if j in one else j) for i, j in met if (i in one) != (j in one)]
            longest = max(others, key=lambda other: _size(boxes, other), default=one)
            if _size(boxes, one) < _SMALL_SHARE * _size(boxes, longest):
                return longest, one
        return None

    for i, j in met:
        if along[i] is not None and along[i] == along[j] and of(i) is not of(j):
            join(of(i), of(j))
    while pair := small():
        join(*pair)
    return groups


def _lies_along(region: Region, ground: Ground) -> int | None:
    """The place in the profile of the one segment that nearly all its border on the part is of.

    What a nose leaves in a corner has none.
    """
    shared = shared_lengths(*region.edges(), ground.edge_starts, ground.edge_ends, TOUCH_MM / 10)
    along = np.bincount(ground.edge_segments, shared)
    return int(along.argmax()) if along.max() > _NEARLY_ALL * along.sum() else None


def _size(boxes: Sequence[Box], group: Collection[int]) -> float:
    """From corner to corner of the box about some of the boxes, mm."""
    z0, r0, z1, r1 = zip(*(boxes[k] for k in group), strict=True)
    return math.hypot(max(z1) - min(z0), max(r1) - min(r0))


def _touch(one: Region, other: Region) -> bool:
    """Do two regions meet, or nearly?"""
    (z0, r0, z1, r1), off = one.bounds, TOUCH_MM
    if not _meet((z0 - off, r0 - off, z1 + off, r1 + off), other.bounds):
        return False
    return any(
        bool((distances(np.concatenate(a.rings()), *b.edges()) <= off).any())
        for a, b in ((one, other), (other, one))
    )


def _meet(a: Iterable[float], b: Iterable[float]) -> bool:
    z0, r0, z1, r1 = a
    u0, v0, u1, v1 = b
    return z0 <= u1 and u0 <= z1 and r0 <= v1 and v0 <= r1
