"""Uncut regions that are not the tools' to cut: in closed hollows, or beside what is milled.

The turned body is a union over all angles. Where a boss, a hexagon's corner, a slot or a helix
makes its boundary, no lathe is asked for that surface: one turns the envelope and mills the rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from turnability.half_plane.curves import Point, Points
from turnability.part.model import Segment
from turnability.reach.model import Left
from turnability.rules.model import View
from turnability.rules.speak import segments_by_id
from turnability.setups.surfaces.swept import swept_hollows

MILLED_SHARE = 1.0 / 3.0
"""A region of whose length along the part so much lies on milled surfaces is theirs (our choice).

What cuts such a wall down to its foot comes to the surface beside it as well.
"""
MOST_ROUND = 0.5
_NOT_TURNED = ("milled", "thread")
_ON_MM = 0.01
_CHORD_MM = 0.002


def closed_hollows(view: View) -> tuple[tuple[Segment, ...], ...]:
    """Runs of segments round hollows without an opening, those on the axis too.

    The room between the axis and a pin beside it is none: that is cut with the pin.
    """
    profile = view.part.profile
    if profile is None:
        return ()
    hollows = [loop.segments for loop in profile.loops if loop.role == "cavity"]
    outline = profile.outline.segments
    axis = [i for i, segment in enumerate(outline) if segment.surface == "axis"]
    axis.sort(key=lambda i: outline[i].curve.start[0])
    hollows += [outline[a + 1 : b] for a, b in pairwise(axis) if b > a + 1]
    swept = swept_hollows(profile, view.part.departures)
    return tuple(h for h in hollows if not {s.id for s in h if s.surface != "axis"} <= swept)


def in_closed_hollow(left: Left, view: View) -> bool:
    """Whether the region fills a hollow that no tool enters: that is said once, of the hollow.

    Or one of which only what is set over cuts all that there is.
    """
    profile, known = view.part.profile, segments_by_id(view.part)
    real = {s for s in left.segments if s in known and known[s].surface != "axis"}
    inside = {segment.id for hollow in closed_hollows(view) for segment in hollow}
    if not real or profile is None:
        return False
    return real <= inside or real <= swept_hollows(profile, view.part.departures)


def milled_segments(view: View) -> frozenset[str]:
    """Segments made by faces alone that do not turn about the axis."""
    roles = {face.index: face.role for face in view.part.faces}
    return frozenset(
        segment.id
        for segment in segments_by_id(view.part).values()
        if segment.faces and all(roles.get(face) in _NOT_TURNED for face in segment.faces)
    )


def left_to_milling(left: Left, view: View) -> bool:
    """Whether the region lies along milled surfaces for a good part of what it borders.

    What is mostly the skin of a turned bore or cylinder that ends at a milled surface is not.
    """
    milled = _share(left, view, milled_segments(view))
    return milled >= MILLED_SHARE and round_share(left, view) <= MOST_ROUND


def round_share(left: Left, view: View) -> float:
    """The share of what the region borders that is round and turned: it cannot be turned there."""
    milled = milled_segments(view)
    known = segments_by_id(view.part).values()
    turned = frozenset(
        s.id for s in known if s.surface in ("outer", "inner") and s.id not in milled
    )
    return _share(left, view, turned)


def _share(left: Left, view: View, of: frozenset[str]) -> float:
    """How much of the length along which the region borders the part lies on these segments."""
    known = segments_by_id(view.part)
    if not of.intersection(left.segments):
        return 0.0
    beside = {s: _border_mm(left.polygon, known[s]) for s in left.segments if s in known}
    whole = sum(beside.values())
    return sum(n for name, n in beside.items() if name in of) / whole if whole > 0.0 else 0.0


def departures_at(segments: Iterable[str], view: View) -> str:
    """The departures whose faces make these segments, as words: "D1 other, D3 flat"."""
    known, milled = segments_by_id(view.part), milled_segments(view)
    faces = {face for s in segments if s in milled for face in known[s].faces}
    there = [d for d in view.part.departures if faces.intersection(d.faces)]
    return ", ".join(f"{d.id} {d.called}" for d in there)


def _border_mm(polygon: tuple[Point, ...], segment: Segment) -> float:
    """Length of a polygon's edges that run along a segment."""
    corners = np.array(polygon, dtype=float)
    after = np.roll(corners, -1, axis=0)
    chain = segment.curve.flatten(_CHORD_MM)
    along = _on(corners, chain) & _on(after, chain) & _on((corners + after) / 2.0, chain)
    return float(np.hypot(*(after - corners).T)[along].sum())


def _on(points: Points, chain: Points) -> NDArray[np.bool_]:
    """Which points (n, 2) lie on a chain (m, 2)."""
    a, step = chain[:-1], np.diff(chain, axis=0)
    rel = points[:, None, :] - a[None, :, :]
    square = np.maximum((step * step).sum(axis=1), 1e-300)
    t = np.clip((rel * step).sum(axis=2) / square, 0.0, 1.0)
    gap = rel - t[:, :, None] * step
    return np.asarray((gap * gap).sum(axis=2).min(axis=1) <= _ON_MM**2)
