"""Real parts and our own: their departures, against what a person says of them.

`departures_of_shared_parts.toml` is written by hand from the faces' own geometry, as are the
fixtures' files from their drawings. Sizes to 2 µm: files bridge as much at their edges.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from turnability.part.model import Departure, Part

HERE = Path(__file__).resolve().parent
TRUTH = tomllib.loads((HERE / "departures_of_shared_parts.toml").read_text("utf-8"))
FIXTURES = HERE.parents[1] / "fixtures"
DRAWN = {
    file.stem: said
    for file in sorted(FIXTURES.glob("*.toml"))
    if (said := tomllib.loads(file.read_text("utf-8"))).get("turned")
}
WITHIN_MM = 2e-3


@pytest.fixture
def parted(parts_of: Callable[[Path], tuple[Any, ...]]) -> Callable[[Path], Part]:
    def first(file: Path) -> Part:
        part = parts_of(file)[0]
        assert isinstance(part, Part), part
        assert part.profile is not None, part.symmetry.reason
        return part

    return first


def compare(part: Part, wanted: list[Mapping[str, Any]], more: bool) -> None:
    """Each departure that is wanted has one found of its own; others only where there is more."""
    left = list(part.departures)
    shown = "\n".join(f"{d.id} {d.kind} {dict(d.parameters)}" for d in left)
    for said in sorted(wanted, key=len, reverse=True):
        mine = next((departure for departure in left if agrees(departure, said)), None)
        assert mine is not None, f"{said} is not among\n{shown}"
        left.remove(mine)
    assert more or left == [], f"nobody says so: {left}"


def agrees(departure: Departure, said: Mapping[str, Any]) -> bool:
    has = {**departure.parameters, "kind": departure.kind}
    return all(same(has.get(key), value) for key, value in said.items())


def same(has: Any, wanted: Any) -> bool:
    if isinstance(wanted, float):
        return isinstance(has, float | int) and abs(has - wanted) <= WITHIN_MM
    return bool(has == wanted)


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", TRUTH)
def test_departures_of_real_parts(name: str, shared_parts: Path, parted: Any) -> None:
    said = TRUTH[name]
    compare(parted(shared_parts / name), said["departures"], said.get("more", False))


@pytest.mark.shared_parts
def test_every_turned_part_has_its_words(shared_parts: Path) -> None:
    with (shared_parts / "manifest.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    turned = {r["file"] for r in rows if r["kind"] in ("turned", "turned+milled", "borderline")}
    assert set(TRUTH) == turned


@pytest.mark.shared_parts
@pytest.mark.parametrize("name", TRUTH)
def test_every_departure_has_faces_of_its_own(name: str, shared_parts: Path, parted: Any) -> None:
    part = parted(shared_parts / name)
    owned = [index for departure in part.departures for index in departure.faces]
    assert len(owned) == len(set(owned))
    assert part.profile is not None
    for departure in part.departures:
        low, high = departure.z_mm
        assert -1e-2 <= low <= high <= part.profile.length_mm + 1e-2


@pytest.mark.parametrize("name", DRAWN)
def test_departures_of_our_own_parts(name: str, parted: Any) -> None:
    compare(parted(FIXTURES / f"{name}.step"), DRAWN[name]["departures"], more=False)
