"""One contract for every recogniser: what its own drawings say, harmless ones first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from turnability.features.drawing import drawn
from turnability.features.found import Example
from turnability.features.model import Feature
from turnability.features.recognise import Recogniser, all_recognisers, recognise

CASES = [
    pytest.param(recogniser, example, id=f"{recogniser.name}: {example.name}")
    for recogniser in all_recognisers()
    for example in recogniser.examples
]


@pytest.mark.parametrize(("recogniser", "example"), CASES)
def test_finds_what_its_example_says(recogniser: Recogniser, example: Example) -> None:
    features = recognise(
        drawn(example.drawing, example.cavities),
        example.threads,
        example.statements,
        example.departures,
    )
    mine = [feature for feature in features if feature.kind == recogniser.kind]
    assert len(mine) == len(example.expected), mine
    for feature, expected in zip(mine, example.expected, strict=True):
        for key, value in expected.items():
            assert said(feature)[key] == approximately(value), (key, feature)


@pytest.mark.parametrize("recogniser", all_recognisers(), ids=lambda r: r.name)
def test_begins_with_a_harmless_example(recogniser: Recogniser) -> None:
    first, *others = recogniser.examples
    assert not first.expected
    assert any(example.expected for example in others)


def test_ranks_and_kinds_are_distinct() -> None:
    ranks = [recogniser.rank for recogniser in all_recognisers()]
    assert len(set(ranks)) == len(ranks)


def said(feature: Feature) -> Mapping[str, Any]:
    """What an example may expect of a feature, by key."""
    return {
        "surface": feature.surface,
        "z_mm": feature.z_mm,
        "diameter_mm": feature.diameter_mm,
        "alternative": feature.alternative.kind if feature.alternative else None,
        "matches": tuple(match.designation for match in feature.matches),
        **feature.parameters,
    }


def approximately(value: Any) -> Any:
    """Numbers to 2e-6 (the report rounds to 1e-6), all else exactly."""
    if isinstance(value, bool | str) or value is None:
        return value
    if isinstance(value, tuple) and any(isinstance(item, str) for item in value):
        return value
    return pytest.approx(value, abs=2e-6)
