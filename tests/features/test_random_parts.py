"""Parts made of known features: none is missed, none is claimed that is not there; and the laws."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_parts import random_part

from turnability.features.drawing import ArcTo, Drawing, SplineThrough, Step, drawn
from turnability.features.model import Feature
from turnability.features.recognise import recognise

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=250, deadline=None)
@given(SEEDS)
def test_a_part_reads_as_it_was_put_together(seed: int) -> None:
    part = random_part(seed)
    found = [facts(feature) for feature in recognise(drawn(part.drawing))]
    for truth in part.truths:
        match = next((one for one in found if agrees(one, truth)), None)
        assert match is not None, (truth, [one for one in found if one["kind"] == truth["kind"]])
        found.remove(match)
    assert not found, "claimed, but never put there"


@settings(max_examples=100, deadline=None)
@given(SEEDS)
def test_every_segment_has_one_place(seed: int) -> None:
    profile = drawn(random_part(seed).drawing)
    features = recognise(profile)
    owned = Counter(name for feature in features for name in feature.segments)
    assert owned == Counter(s.id for s in profile.segments if s.surface != "axis")
    assert [feature.id for feature in features] == [f"F{i + 1}" for i in range(len(features))]
    starts = [feature.z_mm[0] for feature in features]
    assert all(a <= b + 1e-5 for a, b in pairwise(starts))


@settings(max_examples=100, deadline=None)
@given(SEEDS)
def test_a_part_turned_end_for_end_has_its_features_turned(seed: int) -> None:
    drawing = random_part(seed).drawing
    length = drawn(drawing).length_mm
    here = [facts(feature) for feature in recognise(drawn(drawing))]
    there = [facts(feature) for feature in recognise(drawn(mirrored(drawing, length)))]
    for one in here:
        match = next((other for other in there if agrees(other, turned(one, length))), None)
        assert match is not None, one
        there.remove(match)
    assert not there


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.floats(0.4, 1.0))
def test_sizes_scale(seed: int, by: float) -> None:
    """Down only: the stated limits in mm (groove 8, chamfer 5) are then passed by neither part."""
    drawing = random_part(seed).drawing
    here = [facts(feature) for feature in recognise(drawn(drawing))]
    there = [facts(feature) for feature in recognise(drawn(tuple(scaled(s, by) for s in drawing)))]
    assert len(here) == len(there)
    for one in here:
        larger = {
            key: grown(value, by) if key.endswith("_mm") else value
            for key, value in one.items()
            if key != "alternative"
        }
        assert any(agrees(other, larger) for other in there), one


def facts(feature: Feature) -> dict[str, Any]:
    """All that is said of a feature save its names."""
    return {
        "kind": feature.kind,
        "surface": feature.surface,
        "z_mm": feature.z_mm,
        "diameter_mm": feature.diameter_mm,
        "alternative": feature.alternative.kind if feature.alternative else None,
        **feature.parameters,
    }


def agrees(feature: dict[str, Any], truth: dict[str, Any]) -> bool:
    """Every fact of the truth is what the feature says, numbers to 1e-6."""
    return all(same(feature.get(key), value) for key, value in truth.items())


def same(a: Any, b: Any) -> bool:
    if isinstance(b, str | bool) or b is None or a is None:
        return bool(a == b)
    return bool(a == pytest.approx(b, abs=1e-6))


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
