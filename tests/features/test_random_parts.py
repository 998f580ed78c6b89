"""Parts made of known features: none is missed, none is claimed that is not there; and the laws."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import Any

from confusion import agrees, confusion, facts
from hypothesis import given, settings
from hypothesis import strategies as st
from random_mixes import mixed_part
from random_parts import RandomPart, random_part

from turnability.features.drawing import ArcTo, Drawing, SplineThrough, Step, drawn
from turnability.features.model import Feature
from turnability.features.recognise import recognise

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=250, deadline=None)
@given(SEEDS)
def test_a_part_reads_as_it_was_put_together(seed: int) -> None:
    part = random_part(seed)
    found = [facts(feature) for feature in read(part)]
    for truth in part.truths:
        match = next((one for one in found if agrees(one, truth)), None)
        assert match is not None, (truth, [one for one in found if one["kind"] == truth["kind"]])
        found.remove(match)
    assert not found, ("claimed, but never put there", found)


def test_nothing_is_confused_over_numbered_parts() -> None:
    """`scripts/confusion` runs more of them; kinds that a part can have are all among these."""
    found = confusion(range(5000, 5200))
    assert found.worst == []
    seen = {truth for truth, _ in found.counts}
    assert seen == {
        "bore", "centre-hole", "chamfer", "contour", "cylinder", "drill-point", "end-groove",
        "face", "fillet", "groove", "knurl", "recess", "shoulder", "taper", "thread",
    }  # fmt: skip


def test_nothing_is_confused_where_features_interact() -> None:
    """In tapers and curves, nested, side by side, thread and undercut, spigot and end groove."""
    found = confusion(range(7000, 7150), mixed_part)
    assert found.worst == []
    assert found.counts[("groove", "groove")] > 200
    assert found.counts[("recess", "recess")] > 100


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.sampled_from((random_part, mixed_part)))
def test_every_segment_has_one_place(seed: int, part_of: Callable[[int], RandomPart]) -> None:
    part = part_of(seed)
    profile = drawn(part.drawing)
    features = recognise(profile, part.threads, (), part.departures)
    owned = Counter(name for feature in features for name in feature.segments)
    assert owned == Counter(s.id for s in profile.segments if s.surface != "axis")
    assert [feature.id for feature in features] == [f"F{i + 1}" for i in range(len(features))]
    starts = [feature.z_mm[0] for feature in features]
    assert all(a <= b + 1e-5 for a, b in pairwise(starts))


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.sampled_from((random_part, mixed_part)))
def test_a_part_turned_end_for_end_has_its_features_turned(
    seed: int, part_of: Callable[[int], RandomPart]
) -> None:
    part = part_of(seed)
    length = drawn(part.drawing).length_mm
    here = [facts(feature) for feature in read(part)]
    there = [facts(feature) for feature in read(part_turned(part, length))]
    for one in here:
        match = next((other for other in there if agrees(other, turned(one, length))), None)
        assert match is not None, one
        there.remove(match)
    assert not there


PLAIN, LEAST = partial(random_part, rich=False), {mixed_part: 0.62}
"""What scales: parts of nothing that a standard decides, and mixed ones. Those have necks from 14
mm on, which stay wider than a groove (8) down to 0.62 of their size."""


@settings(max_examples=120, deadline=None)
@given(SEEDS, st.floats(0.0, 1.0), st.sampled_from((PLAIN, mixed_part)))
def test_sizes_scale(seed: int, share: float, part_of: Callable[[int], RandomPart]) -> None:
    """Down only: the stated limits in mm (groove 8, chamfer 5) are then passed by neither part."""
    part = part_of(seed)
    least = LEAST.get(part_of, 0.4)
    by = least + share * (1.0 - least)
    here = [facts(feature) for feature in read(part)]
    there = [facts(feature) for feature in read(part_scaled(part, by))]
    assert len(here) == len(there)
    for one in here:
        larger = {
            key: grown(value, by) if key.endswith("_mm") else value
            for key, value in one.items()
            if key not in unscaled(one)
        }
        assert any(agrees(other, larger) for other in there), one


def read(part: RandomPart) -> tuple[Feature, ...]:
    """All that is recognised of a part."""
    return recognise(drawn(part.drawing), part.threads, (), part.departures)


def part_turned(part: RandomPart, length: float) -> RandomPart:
    """The part turned end for end: a thread keeps its hand."""
    threads = [
        replace(
            thread,
            z_mm=(length - thread.z_mm[1], length - thread.z_mm[0]),
            flank_angles_deg=thread.flank_angles_deg[::-1],
        )
        for thread in part.threads
    ]
    departures = [
        replace(one, z_mm=(length - one.z_mm[1], length - one.z_mm[0])) for one in part.departures
    ]
    return RandomPart(mirrored(part.drawing, length), (), tuple(threads), tuple(departures))


def part_scaled(part: RandomPart, by: float) -> RandomPart:
    """The part in another size: a thread's pitch with it."""
    threads = [
        replace(
            thread,
            z_mm=grown(thread.z_mm, by),
            pitch_mm=by * thread.pitch_mm,
            major_mm=by * thread.major_mm,
            minor_mm=by * thread.minor_mm,
        )
        for thread in part.threads
    ]
    departures = [replace(one, z_mm=grown(one.z_mm, by)) for one in part.departures]
    return RandomPart(
        tuple(scaled(step, by) for step in part.drawing), (), tuple(threads), tuple(departures)
    )


def unscaled(one: dict[str, Any]) -> set[str]:
    """Keys that a standard's sizes decide."""
    standard = (
        {"form", "run_out_limit_mm", "usable_length_mm"} if one["kind"] == "thread" else set()
    )
    return {"alternative"} | standard


def turned(one: dict[str, Any], length: float) -> dict[str, Any]:
    """The same facts of the part turned end for end."""
    swap = {"low": "high", "high": "low"}
    other = {key: swap.get(value, value) if isinstance(value, str) else value
             for key, value in one.items()}  # fmt: skip
    other["z_mm"] = (length - one["z_mm"][1], length - one["z_mm"][0])
    if "corner_z_mm" in one:
        other["corner_z_mm"] = length - one["corner_z_mm"]
    if one.get("wall_angles_deg"):
        other["wall_angles_deg"] = one["wall_angles_deg"][::-1]
    if one["kind"] == "contour":
        other["steepest_toward_low_deg"] = one["steepest_toward_high_deg"]
        other["steepest_toward_high_deg"] = one["steepest_toward_low_deg"]
    return other


def mirrored(drawing: Drawing, length: float) -> Drawing:
    def flip(step: Step) -> Step:
        if isinstance(step, ArcTo):
            return ArcTo(
                length - step.z, step.r, (length - step.centre[0], step.centre[1]),
                not step.clockwise,
            )  # fmt: skip
        if isinstance(step, SplineThrough):
            return SplineThrough(tuple((length - z, r) for z, r in step.points))
        return (length - step[0], step[1])

    return tuple(flip(step) for step in drawing)


def scaled(step: Step, by: float) -> Step:
    if isinstance(step, ArcTo):
        centre = (by * step.centre[0], by * step.centre[1])
        return ArcTo(by * step.z, by * step.r, centre, step.clockwise)
    if isinstance(step, SplineThrough):
        return SplineThrough(tuple((by * z, by * r) for z, r in step.points))
    return (by * step[0], by * step[1])


def grown(value: Any, by: float) -> Any:
    if isinstance(value, tuple):
        return tuple(by * v for v in value)
    return by * value if isinstance(value, float | int) and math.isfinite(value) else value
