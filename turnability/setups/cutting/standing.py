"""Which diameter runs past a tool when it cuts: the blank's, until what stands there is turned.

A face is finished while the blank stands round it, unless the outside that comes to it was turned
in the same chucking before: the allowance behind the part's end is turned by nobody else. So with
a groove or a shoulder: its rim is the blank's where the outside beside it waits. A roughing pass
that goes "as far as it gets" is trusted with nothing. Too large a diameter only turns slower.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from turnability.part.model import Profile, Segment

_SAME_MM = 1e-3
_CHORD_MM = 1e-3


def standing_mm(
    profile: Profile,
    own: Sequence[Segment],
    kind: str,
    cut: Collection[str],
    size_mm: float,
) -> float:
    """Largest diameter in mm that the finishing pass of an operation of this kind meets.

    `own` are its surfaces, `cut` those finished before it (of a face those in its own chucking),
    `size_mm` the blank's outside. What is turned is near its own size when its finish comes.
    """
    largest = largest_mm(own)
    inside = all(s.surface in ("inner", "axis") for s in own)
    if not own:
        return size_mm
    if kind not in ("face", "groove", "turn") or (kind == "groove" and inside):
        return largest
    outside = [s for s in profile.segments if s.surface == "outer" and s not in own]
    if kind == "turn":
        rims = [max((s.curve.start, s.curve.end), key=lambda p: p[1]) for s in own if _is_end(s)]
        waits = any(
            s.id not in cut and _comes_to(s, z) and largest_mm([s]) >= 2.0 * r - _SAME_MM
            for z, r in rims
            for s in outside
        )
        return size_mm if waits else largest
    z = [p[0] for s in own for p in (s.curve.start, s.curve.end)]
    beside = [s for s in outside if _meets(s, min(z), max(z))]
    alone = not all(any(_comes_to(s, end) for s in beside) for end in (min(z), max(z)))
    if alone or any(s.id not in cut for s in beside):
        return size_mm
    return largest_mm([*own, *beside])


def largest_mm(segments: Sequence[Segment]) -> float:
    """Largest diameter in mm of these surfaces, a ball's between its poles too; 0 of none."""
    return 2.0 * max((float(s.curve.flatten(_CHORD_MM)[:, 1].max()) for s in segments), default=0.0)


def _is_end(segment: Segment) -> bool:
    return segment.surface == "end"


def _comes_to(segment: Segment, z: float) -> bool:
    return any(abs(p[0] - z) <= _SAME_MM for p in (segment.curve.start, segment.curve.end))


def _meets(segment: Segment, low: float, high: float) -> bool:
    least, most = segment.ends_z_mm
    return least <= high + _SAME_MM and most >= low - _SAME_MM
