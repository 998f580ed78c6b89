"""Real turned parts told in one line each, as `tests/remembered/shared_features.txt` keeps them.

The lines are remembered: made by the program, then held by a person against the part's picture and
its manifest. They are not published truth; a change of one is to be looked at.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from turnability.features.describe import described
from turnability.features.recognise import recognise
from turnability.part.model import Part

REMEMBERED = Path(__file__).parents[1] / "remembered" / "shared_features.txt"


def lines() -> dict[str, str]:
    """What is remembered of each file."""
    told = [
        line.split(" | ", 1)
        for line in REMEMBERED.read_text("utf-8").splitlines()
        if line and not line.startswith("#")
    ]
    return dict(told)


def description(part: Part) -> str:
    """A part in one line; what is milled is another room's to remember."""
    assert part.profile is not None, part.symmetry.reason
    features = recognise(part.profile, part.threads, (), part.departures)
    return described(part.profile, features)


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", sorted(lines()))
def test_a_real_part_is_told_as_it_is_remembered(
    name: str, shared_parts: Path, parts_of: Any
) -> None:
    first, *_ = parts_of(shared_parts / name)
    assert description(first) == lines()[name]


@pytest.mark.shared_parts
def test_every_turned_part_is_remembered(shared_parts: Path) -> None:
    rows = (shared_parts / "manifest.csv").read_text("utf-8").splitlines()[1:]
    turned = {row.split(",")[0] for row in rows if row.split(",")[1].startswith("turned")}
    assert set(lines()) == turned
