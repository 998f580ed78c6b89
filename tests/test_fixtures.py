"""The demo parts, through the whole house, against what a person says of them.

`fixtures/<part>.toml` is written from the drawing in `scripts/make_fixtures`: closed-form sizes.
"""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeAlias

import jsonschema
import pytest

from turnability.features.model import Feature
from turnability.outputs.json_document import schema_text
from turnability.report import Report

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures"
SAID = {
    file.stem: tomllib.loads(file.read_text("utf-8"))
    for file in sorted(FIXTURES.glob("*.toml"))
    if not file.name.endswith(".intent.toml")  # what the drawing asks for, not what it shows
}
TURNED = [name for name, said in SAID.items() if said["turned"]]
WITHIN_MM = 2e-3  # either end within the 1 µm that a profile promises
Reports: TypeAlias = Callable[[str], tuple[Report, ...]]


@pytest.fixture
def reported(reports_of: Callable[[Path], tuple[Report, ...]]) -> Reports:
    return lambda name: reports_of(FIXTURES / f"{name}.step")


def test_every_part_has_its_words_and_every_word_its_part() -> None:
    assert {file.stem for file in FIXTURES.glob("*.step")} == set(SAID)
    assert len(SAID) >= 6


@pytest.mark.parametrize("name", SAID)
def test_reports_are_valid_and_nothing_crashed(name: str, reported: Reports) -> None:
    reports = reported(name)
    assert len(reports) == SAID[name].get("solids", 1)
    for number, report in enumerate(reports, 1):
        jsonschema.Draft202012Validator(json.loads(schema_text())).validate(report.document())
        assert report.crashed == ()
        assert report.part.source.solid == number


@pytest.mark.parametrize("name", SAID)
def test_turned_or_not(name: str, reported: Reports) -> None:
    axisless = reported(name)[0].verdict == "not-axisymmetric"
    assert axisless is not SAID[name]["turned"]


@pytest.mark.parametrize("name", TURNED)
def test_sizes(name: str, reported: Reports) -> None:
    said, profile = SAID[name], reported(name)[0].part.profile
    assert profile is not None
    assert profile.length_mm == pytest.approx(said["length_mm"], abs=WITHIN_MM)
    assert profile.max_diameter_mm == pytest.approx(said["max_diameter_mm"], abs=WITHIN_MM)
    bore = said.get("through_bore_mm")
    assert profile.through_bore_mm == (None if bore is None else pytest.approx(bore, abs=WITHIN_MM))


@pytest.mark.parametrize("name", TURNED)
def test_the_books_close(name: str, reported: Reports) -> None:
    """Turned body less departures is the solid: 1e-6 of the volume where all of it turns."""
    part = reported(name)[0].part
    assert part.profile is not None
    volume, solid = part.profile.volume_mm3, part.profile.solid_volume_mm3
    departures = part.profile.departures_volume_mm3
    assert solid is not None
    if not part.departures:
        assert volume == pytest.approx(solid, rel=1e-6)
    elif departures is not None:
        assert volume - departures == pytest.approx(solid, rel=1e-5)


def test_the_housings_holes_have_their_own_volume(reported: Reports) -> None:
    """Six plain holes through a flange: n pi d^2 t / 4."""
    (report,) = reported("float_housing")
    volume = sum(d.volume_mm3 or 0.0 for d in report.part.departures)
    assert volume == pytest.approx(6 * math.pi * 6.6**2 * 12.0 / 4.0, rel=1e-6)


@pytest.mark.parametrize("name", TURNED)
def test_departures(name: str, reported: Reports) -> None:
    found = list(reported(name)[0].part.departures)
    for wanted in SAID[name]["departures"]:
        if "kind" in wanted:
            matching = [d for d in found if d.kind == wanted["kind"]]
            assert matching, f"no {wanted['kind']} among {[d.kind for d in found]}"
            for key, value in wanted.items():
                if key != "kind":
                    assert matching[0].parameters[key] == pytest.approx(value, abs=WITHIN_MM)
        else:
            assert found, "something departs from the turned body"
    if not SAID[name]["departures"]:
        assert found == []


@pytest.mark.parametrize("name", TURNED)
def test_features(name: str, reported: Reports) -> None:
    features = reported(name)[0].features
    missing = [
        wanted
        for wanted in SAID[name].get("feature", [])
        if not any(agrees(feature, wanted) for feature in features)
    ]
    assert not missing, [f"{f.kind} {f.z_mm} {f.diameter_mm} {f.parameters}" for f in features]


def agrees(feature: Feature, wanted: dict[str, Any]) -> bool:
    has: dict[str, Any] = {
        **feature.parameters,
        "kind": feature.kind,
        "surface": feature.surface,
        "z_mm": feature.z_mm,
        "diameter_mm": feature.diameter_mm,
    }
    return all(key in has and same(has[key], value) for key, value in wanted.items())


def same(has: Any, wanted: Any) -> bool:
    if isinstance(wanted, list):
        return len(has) == len(wanted) and all(map(same, has, wanted))
    if isinstance(wanted, float):
        return has is not None and abs(has - wanted) <= WITHIN_MM
    return bool(has == wanted)


@pytest.mark.parametrize("name", [name for name in TURNED if "groove" in str(SAID[name])])
def test_square_corners_are_remarked_on(name: str, reported: Reports) -> None:
    """Every groove of the drawn parts has square corners, and no blade has (common practice)."""
    (report, *_) = reported(name)
    grooves = {s for f in report.features if f.kind == "groove" for s in f.segments}
    concerned = {s for finding in report.findings for s in finding.where.segments}
    assert grooves & concerned
