"""Threads, by what is evidence of them: a helix in the solid, or rings that stand in for one.

A plain cylinder of a thread's diameter is never called a thread here.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.drawing import Drawing
from turnability.features.found import Example, Found
from turnability.features.hollows import Hollow
from turnability.features.model import Alternative, FeatureKind, StandardMatch
from turnability.features.sides import Side
from turnability.features.standards.pipe_tapers import wound
from turnability.features.standards.threads import as_matches, matches
from turnability.features.thread_room import room
from turnability.half_plane.curves import Point
from turnability.part.model import HelicalThread, Parameter

KIND: FeatureKind = "thread"
RANK = 5
_LEAST_RINGS = 4
_FORMS_DEG = (30.0, 27.5, 15.0, 14.5)
"""Half angles of the common forms: metric and unified, Whitworth pipe, trapezoidal, Acme."""
_FLANK_DEG = 1.0
_SAME_SHARE = 0.005
_NEAR_PITCHES = 1.0
"""A run-out ends within so many pitches of the last full turn."""


def find(chain: Chain) -> list[Found]:
    """Every modelled thread, and every run of equal V rings at one pitch."""
    found = [_helical(chain, thread) for thread in chain.threads]
    for side, hollows in (("outer", chain.outside), ("inner", chain.inside)):
        for run in _ring_runs(hollows):
            low, high = run[0], run[-1]
            z = sorted(p[0] for h in (low, high) for p in h.mouth)
            wound = [t for t in chain.threads if t.surface == side]
            if any(t.z_mm[0] < z[-1] and z[0] < t.z_mm[1] for t in wound):
                continue
            found.append(_rings(chain, "outer" if side == "outer" else "inner", run))
    return found


def _helical(chain: Chain, thread: HelicalThread) -> Found:
    low, high = thread.z_mm
    spare = _NEAR_PITCHES * thread.pitch_mm
    own = _own_sides(chain, thread, low - spare, high + spare)
    holder = None if own else _holder(chain, thread)
    stated = next(
        (
            statement.designation
            for statement in chain.statements
            if {name for side in own for name in side.ids}.intersection(statement.segments)
            or holder in statement.segments
        ),
        None,
    )
    named = _named(thread)
    form = named[0][0] if named else None
    return Found(
        KIND,
        thread.surface,
        (max(low, 0.0), min(high, chain.length_mm)),
        (thread.minor_mm, thread.major_mm),
        chain.owned(own),
        {
            "form": form,
            "major_mm": thread.major_mm,
            "minor_mm": thread.minor_mm,
            "pitch_mm": thread.pitch_mm,
            "length_mm": min(high, chain.length_mm) - max(low, 0.0),
            "evidence": "helix",
            "hand": thread.hand,
            "starts": thread.starts,
            "flank_angles_deg": thread.flank_angles_deg,
            **({"taper": thread.taper} if thread.taper else {}),
            **({"designation": stated} if stated else {}),
            **room(
                chain,
                thread.surface,
                thread.z_mm,
                thread.major_mm,
                thread.minor_mm,
                thread.pitch_mm,
                form,
            ),
        },
        matches=tuple(match for _, match in named),
        within=holder,
    )


def _named(thread: HelicalThread) -> list[tuple[str, StandardMatch]]:
    """Form and standard's size of a modelled thread, the nearest first."""
    if thread.taper:
        return wound(thread)
    sizes = matches(
        thread.surface,
        thread.major_mm,
        thread.minor_mm,
        thread.pitch_mm,
        thread.flank_angles_deg,
    )
    return [
        (size.form, match)
        for size, off in sizes
        for match in as_matches(size, thread.surface, off, thread.hand, thread.starts)
    ]


def _own_sides(chain: Chain, thread: HelicalThread, low: float, high: float) -> list[Side]:
    """Sides between the thread's diameters, and beyond its flanks the root that its run-out leaves.

    What lies beyond joins the thread's own sides without a step.
    """
    sides = chain.zone(thread.surface)
    slack = 0.1 * thread.pitch_mm
    root = thread.minor_mm if thread.surface == "outer" else thread.major_mm
    own: set[int] = set()
    beyond: set[int] = set()
    for i, side in enumerate(sides):
        if side.segment is None or side.surface == "end":
            continue
        (z0, z1), (d0, d1) = spread([side.segment.curve])
        if not (low <= z0 and z1 <= high):
            continue
        if not (thread.minor_mm - slack <= d0 and d1 <= thread.major_mm + slack):
            continue
        if z1 > thread.z_mm[0] + limits.SAME_MM and z0 < thread.z_mm[1] - limits.SAME_MM:
            own.add(i)
        elif max(abs(d0 - root), abs(d1 - root)) <= slack:
            beyond.add(i)
    while joined := {i for i in beyond - own if {i - 1, i + 1} & own}:
        own |= joined
    return [sides[i] for i in sorted(own)]


def _holder(chain: Chain, thread: HelicalThread) -> str | None:
    """The longer surface that the thread is cut into."""
    size = thread.major_mm if thread.surface == "outer" else thread.minor_mm
    for side in chain.zone(thread.surface):
        if side.segment is None or side.surface == "end":
            continue
        (z0, z1), (d0, d1) = spread([side.segment.curve])
        over = min(z1, thread.z_mm[1]) - max(z0, thread.z_mm[0])
        near = min(abs(d0 - size), abs(d1 - size)) <= 0.1 * thread.pitch_mm
        if near and over > 0.5 * (thread.z_mm[1] - thread.z_mm[0]):
            return side.segment.id
    return None


def _rings(chain: Chain, surface: Literal["outer", "inner"], run: Sequence[Hollow]) -> Found:
    low = min(p[0] for hollow in run for p in hollow.mouth)
    high = max(p[0] for hollow in run for p in hollow.mouth)
    pitch = _pitch(run)
    mouths = [2.0 * abs(hollow.level) for hollow in run]
    floors = [2.0 * abs(hollow.bottom) for hollow in run]
    major, minor = max((*mouths, *floors)), min((*mouths, *floors))
    flanks = (
        sum(h.slopes_deg[0] for h in run) / len(run),
        sum(h.slopes_deg[1] for h in run) / len(run),
    )
    sizes = matches(surface, major, minor, pitch, flanks)
    own = [
        side
        for side in chain.zone(surface)
        if side.segment is not None and _between(side, low, high, minor, major)
    ]
    return Found(
        KIND,
        surface,
        (low, high),
        (minor, major),
        chain.owned(own),
        {
            "form": sizes[0][0].form if sizes else None,
            "major_mm": major,
            "minor_mm": minor,
            "pitch_mm": pitch,
            "length_mm": high - low,
            "evidence": "rings",
            "hand": None,
            "flank_angles_deg": flanks,
            **room(
                chain,
                surface,
                (low, high),
                major,
                minor,
                pitch,
                sizes[0][0].form if sizes else None,
                rings=True,
            ),
        },
        matches=tuple(
            match for size, off in sizes for match in as_matches(size, surface, off, "right", 1)
        ),
        alternative=Alternative(
            "groove",
            f"{len(run)} closed rings, none of which winds: a thread drawn so, or V grooves",
            "likely" if sizes else "either",
        ),
    )


def _between(side: Side, low: float, high: float, minor: float, major: float) -> bool:
    assert side.segment is not None
    (z0, z1), (d0, d1) = spread([side.segment.curve])
    same = limits.SAME_MM
    return low - same <= z0 and z1 <= high + same and minor - same <= d0 and d1 <= major + same


def _pitch(run: Sequence[Hollow]) -> float:
    middles = sorted(_middle(hollow) for hollow in run)
    return (middles[-1] - middles[0]) / (len(run) - 1)


def _middle(hollow: Hollow) -> float:
    return (hollow.mouth[0][0] + hollow.mouth[1][0]) / 2.0


def _ring_runs(hollows: Sequence[Hollow]) -> list[list[Hollow]]:
    """Runs of at least four equal V hollows of a thread's form, at one pitch."""
    rings = sorted((h for h in hollows if _is_ring(h)), key=_middle)
    runs: list[list[Hollow]] = []
    for ring in rings:
        if runs and _goes_on(runs[-1], ring):
            runs[-1].append(ring)
        else:
            runs.append([ring])
    return [run for run in runs if len(run) >= _LEAST_RINGS]


def _is_ring(hollow: Hollow) -> bool:
    first, last = hollow.slopes_deg
    return abs(first - last) <= _FLANK_DEG and any(
        abs(first - form) <= _FLANK_DEG for form in _FORMS_DEG
    )


def _goes_on(run: Sequence[Hollow], ring: Hollow) -> bool:
    """The ring equals the run's last one and stands off it as they stand off one another."""
    last = run[-1]
    pitch = _middle(ring) - _middle(last)
    if pitch > 2.0 * ring.width_mm or any(
        abs(a - b) > 2.0 * limits.SAME_MM
        for a, b in (
            (last.level, ring.level),
            (last.bottom, ring.bottom),
            (last.width_mm, ring.width_mm),
        )
    ):
        return False
    steps = [_middle(b) - _middle(a) for a, b in pairwise(run)]
    return all(abs(pitch - step) <= _SAME_SHARE * step for step in steps)


def _v_rings(count: int, pitch: float, half: float, crest: float = 10.0) -> Drawing:
    depth = half * 3**0.5
    steps: list[Point] = []
    for k in reversed(range(count)):
        z = 10.0 + k * pitch
        steps += [(z + half, crest), (z, crest - depth), (z - half, crest)]
    return tuple(steps)


_SHAFT: Drawing = ((0, 0), (60, 0), (60, 10))
_M20: dict[str, Parameter] = {"pitch_mm": 2.5, "hand": "right", "starts": 1}

EXAMPLES = (
    Example("a shaft of a thread's diameter is none", (*_SHAFT, (0, 10))),
    Example(
        "three belt grooves are none",
        (*_SHAFT, *_v_rings(3, 5.0, 2.0), (0, 10)),
    ),
    Example(
        "square rings are no thread",
        (
            *_SHAFT, (36, 10), (36, 8), (34, 8), (34, 10), (32, 10), (32, 8), (30, 8), (30, 10),
            (28, 10), (28, 8), (26, 8), (26, 10), (24, 10), (24, 8), (22, 8), (22, 10), (0, 10),
        ),
    ),
    Example(
        "rings of 60 degrees at 2.5, as M20 has them",
        (*_SHAFT, *_v_rings(8, 2.5, 1.0), (0, 10)),
        ({"z_mm": (9.0, 28.5), "pitch_mm": 2.5, "evidence": "rings", "major_mm": 20.0,
          "form": "metric", "surface": "outer", "hand": None, "alternative": "groove",
          "usable_length_mm": 19.5},),
    ),
    Example(
        "a modelled right-hand M20, its crests a cylinder in the profile",
        ((0, 0), (60, 0), (60, 15), (30, 15), (30, 10), (0, 10)),
        ({"z_mm": (0.0, 28.0), "diameter_mm": (16.933, 20.0), "evidence": "helix",
          "form": "metric", "length_mm": 28.0, **_M20},),
        threads=(
            HelicalThread("outer", "right", 1, 2.5, 20.0, 16.933, (30.0, 30.0), (0.0, 28.0), ()),
        ),
    ),
)  # fmt: skip
