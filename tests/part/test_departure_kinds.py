"""One contract for every kind of departure: what its own drawn parts say, harmless ones first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import cadquery as cq
import pytest

from turnability.part.departures.cut import Example
from turnability.part.departures.naming import Kind, all_kinds
from turnability.part.model import Departure, Part, Source
from turnability.part.turned import part_of

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)
CASES = [
    pytest.param(kind, example, id=f"{kind.name}: {example.name}")
    for kind in all_kinds()
    for example in kind.examples
]


def read(shape: Any) -> Part:
    return part_of(shape.val().wrapped, SOURCE, ())


@pytest.mark.parametrize(("kind", "example"), CASES)
def test_finds_what_its_example_says(kind: Kind, example: Example) -> None:
    part = read(example.draw(cq))
    assert part.profile is not None, part.symmetry.reason
    mine = [
        departure
        for departure in part.departures
        if departure.kind == kind.kind
        and (kind.form is None or departure.parameters.get("form") == kind.form)
    ]
    shown = [(d.kind, d.parameters) for d in part.departures]
    assert len(mine) == len(example.expected), shown
    for departure, expected in zip(mine, example.expected, strict=True):
        for key, value in expected.items():
            assert said(departure)[key] == approximately(value), (key, shown)


def said(departure: Departure) -> Mapping[str, Any]:
    return {
        **departure.parameters,
        "z_mm": departure.z_mm,
        "faces": len(departure.faces),
    }


def approximately(value: Any) -> Any:
    if isinstance(value, bool | str) or value is None:
        return value
    return pytest.approx(value, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("kind", all_kinds(), ids=lambda kind: kind.name)
def test_begins_with_a_harmless_example(kind: Kind) -> None:
    first, *others = kind.examples
    assert not first.expected
    assert any(example.expected for example in others)


def test_ranks_are_distinct() -> None:
    ranks = [kind.rank for kind in all_kinds()]
    assert len(set(ranks)) == len(ranks)
