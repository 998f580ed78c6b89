"""Outlines of no sense at all: whatever is drawn, every segment finds one place."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_parts import random_part

from turnability.features.drawing import ArcTo, Drawing, SplineThrough, Step, drawn
from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.half_plane.curves import Point
from turnability.part.model import Profile


@settings(max_examples=300, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_every_segment_of_any_outline_has_one_place(seed: int) -> None:
    profile = drawn(zigzag(Random(seed)))
    check_places(profile, recognise(profile))


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, 2**32 - 1))
def test_the_noise_of_files_changes_nothing(seed: int, noise: int) -> None:
    """Corners off by up to 0.5 µm, as kernels and exporters leave them."""
    drawing = random_part(seed).drawing
    clean = recognise(drawn(drawing))
    shaken = recognise(drawn(shake(drawing, Random(noise))))
    assert sorted(told(f) for f in clean) == sorted(told(f) for f in shaken)


def told(feature: Feature) -> tuple[str, str, int, str]:
    bottom = feature.parameters.get("bottom", feature.parameters.get("entry_side"))
    return feature.kind, feature.surface, len(feature.segments), str(bottom)


def check_places(profile: Profile, features: tuple[Feature, ...]) -> None:
    owned = Counter(name for feature in features for name in feature.segments)
    assert owned == Counter(s.id for s in profile.segments if s.surface != "axis")
    ids = {feature.id for feature in features}
    for feature in features:
        assert feature.parent is None or feature.parent in ids - {feature.id}
        assert feature.z_mm[0] <= feature.z_mm[1]
        assert 0.0 <= feature.diameter_mm[0] <= feature.diameter_mm[1]
        if feature.kind in ("groove", "recess") and feature.parameters["depth_mm"] is not None:
            lips = feature.diameter_mm[1] - feature.diameter_mm[0]
            assert feature.parameters["depth_mm"] == pytest.approx(lips / 2.0)
            width = feature.z_mm[1] - feature.z_mm[0]
            assert feature.parameters["width_mm"] == pytest.approx(width, abs=2e-3)


def zigzag(random: Random) -> Drawing:
    """A band between two wandering walls, some pieces curved."""
    n = random.randint(3, 14)
    places = sorted(random.sample(range(0, 60), n))
    low, high = places[0], places[-1]
    solid = random.random() < 0.5
    inside: list[Step] = [(low, 0), (high, 0)]
    if not solid:
        inside = [(z, random.choice([3, 4, 5, 5, 6, 8])) for z in places]
    outside: list[Step] = [(high, random.randint(14, 20))]
    at: Point = (outside[0][0], outside[0][1])  # type: ignore[index]
    for z in places[-2::-1]:
        kind = random.choice(["line", "line", "step", "arc", "spline"])
        r = random.randint(12, 20)
        if kind == "step":
            outside += [(at[0], r), (z, r)]
        elif kind == "arc":
            gap = (z - at[0], r - at[1])
            centre = (at[0] + gap[0] / 2 + gap[1], at[1] + gap[1] / 2 - gap[0])
            outside.append(ArcTo(z, r, centre, random.random() < 0.5))
        elif kind == "spline":
            half = (0.5 * (at[0] + z), 0.5 * (at[1] + r) + random.uniform(-1.0, 1.0))
            outside.append(SplineThrough((half, (z, r))))
        else:
            outside.append((z, r))
        at = (z, r)
    return (*inside, *outside)


def shake(drawing: Drawing, random: Random) -> Drawing:
    def off(value: float) -> float:
        return value + random.uniform(-5e-7, 5e-7) if value else value

    def moved(step: Step) -> Step:
        if isinstance(step, ArcTo):
            return ArcTo(off(step.z), off(step.r), step.centre, step.clockwise)
        if isinstance(step, SplineThrough):
            return step
        return (off(step[0]), off(step[1]))

    return tuple(moved(step) for step in drawing)
