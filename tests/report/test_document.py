"""The report's document keeps the report contract: keys, rounding, nulls, schema."""

from __future__ import annotations

import copy
import json
import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.outputs.json_document import schema_text
from turnability.part.model import Axis, Departure

CONTRACT_KEYS = (  # noqa: SIM905 (short to read)
    "report_version turnability_version source inputs verdict axis symmetry faces profile features "
    "departures reach setups stock findings rules assumptions timings_s"
).split()


@pytest.fixture(scope="module")
def validator() -> Any:
    schema = json.loads(schema_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("report", [housing_report(), plate_report(), disc_report()])
def test_documents_are_valid(report: Any, validator: Any) -> None:
    validator.validate(json.loads(report.to_json()))


def test_keys_stand_in_the_contracts_order() -> None:
    document = housing_report().document()
    assert [key for key in document if key in CONTRACT_KEYS] == CONTRACT_KEYS
    assert list(housing_report().document()["timings_s"]) == [
        "read", "axis", "profile", "features", "reach", "setups", "outputs",
    ]  # fmt: skip


def test_a_part_without_axis_has_one_error_and_nothing_else() -> None:
    document = plate_report().document()
    assert [finding["level"] for finding in document["findings"]] == ["error"]
    assert document["profile"] is document["reach"] is document["stock"] is None
    for key in ("faces", "features", "departures", "setups", "rules", "assumptions"):
        assert document[key] == [], key


def test_the_largest_departure_is_named() -> None:
    report = disc_report()
    three = tuple(
        Departure(f"D{n}", "hole", (1,), volume, (0.0, 5.0))
        for n, volume in enumerate((20.0, 300.0, None), 1)
    )
    told = replace(report, part=replace(report.part, departures=three)).document()
    assert told["symmetry"]["largest_departure"] == "D2"
    none = replace(report, part=replace(report.part, departures=three[2:])).document()
    assert none["symmetry"]["largest_departure"] is None


def test_numbers_are_rounded_and_have_no_minus_nought() -> None:
    report = housing_report()
    assert report.document()["axis"]["origin_mm"] == [1.0, 2.0, 0.0]
    assert math.copysign(1.0, report.document()["axis"]["origin_mm"][2]) == 1.0
    part = replace(report.part, axis=Axis((1 / 3, -4e-7, 1e-5), (0.0, 1.0, 0.0)))
    assert replace(report, part=part).document()["axis"]["origin_mm"] == [0.333333, 0.0, 1e-5]
    assert "-0.0" not in replace(report, part=part).to_json()


def test_numpy_numbers_come_out_plain() -> None:
    report = housing_report()
    setup = replace(report.setups[0], order=np.int64(1))  # type: ignore[arg-type]
    document = replace(report, setups=(setup,)).document()
    assert json.loads(json.dumps(document)) == document


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_no_nan_or_infinity_leaves(bad: float) -> None:
    part = replace(housing_report().part, axis=Axis((0.0, bad, 0.0), (1.0, 0.0, 0.0)))
    with pytest.raises(ValueError, match=re.escape("report.axis.origin_mm[1]")):
        replace(housing_report(), part=part).document()


def test_curves_have_their_own_keys_only() -> None:
    segments = housing_report().document()["profile"]["loops"][0]["segments"]
    kinds = {segment["kind"]: segment for segment in segments}
    assert set(kinds) == {"line", "arc", "spline"}
    own = {kind: set(s) - set(kinds["line"]) for kind, s in kinds.items()}
    assert own == {"line": set(), "arc": {"centre", "radius_mm", "clockwise"}, "spline": {"points"}}
    for before, after in zip(segments, segments[1:] + segments[:1], strict=True):
        assert before["end"] == after["start"]


def test_stock_is_named_by_the_sizes_of_its_form() -> None:
    stock = housing_report().document()["stock"]
    assert list(stock["choice"])[:5] == ["form", "diameter_mm", "length_mm", "mass_kg", "name"]
    tube, hexagon = stock["alternatives"]
    assert (tube["outer_diameter_mm"], tube["inner_diameter_mm"], tube["wall_mm"]) == (95, 35, 30)
    assert hexagon["across_flats_mm"] == 100.0
    assert hexagon["why"] == "heavier"


def test_a_change_says_from_and_to() -> None:
    change = housing_report().document()["findings"][0]["change"]
    assert (change["from"], change["to"], change["proven"]) == (0.0, 0.4, True)


def test_same_report_same_text() -> None:
    assert housing_report().to_json() == housing_report().to_json()


def _drop(*path: Any) -> Callable[[Any], None]:
    def damage(document: Any) -> None:
        for step in path[:-1]:
            document = document[step]
        del document[path[-1]]

    return damage


def _put(value: Any, *path: Any) -> Callable[[Any], None]:
    def damage(document: Any) -> None:
        for step in path[:-1]:
            document = document[step]
        document[path[-1]] = value

    return damage


@pytest.mark.parametrize(
    "damage",
    [
        *(_drop(key) for key in CONTRACT_KEYS),
        _drop("source", "sha256"),
        _drop("inputs", "intent"),
        _drop("profile", "through_bore_mm"),
        _drop("profile", "loops", 0, "segments", 0, "faces"),
        _drop("features", 6, "parameters", "floor_radius_mm"),
        _drop("features", 7, "parameters", "bottom"),
        _drop("departures", 0, "parameters", "count"),
        _drop("reach", "left", 0, "causes"),
        _drop("setups", 1, "grip", "z_mm"),
        _drop("stock", "choice", "diameter_mm"),
        _drop("stock", "alternatives", 0, "why"),
        _drop("findings", 0, "change", "proven"),
        _drop("findings", 0, "where", "z_mm"),
        _drop("timings_s", "outputs"),
        _put(2, "report_version"),
        _put("fine", "verdict"),
        _put(None, "profile"),
        _put("not-axisymmetric", "verdict"),
        _put("sideways", "faces", 0, "role"),
        _put("S0", "profile", "loops", 0, "segments", 0, "id"),
        _put("bezier", "profile", "loops", 0, "segments", 0, "kind"),
        _put("dent", "features", 0, "kind"),
        _put("bad-luck", "reach", "left", 0, "causes", 0),
        _put("fatal", "findings", 0, "level"),
        _put("hearsay", "findings", 0, "basis", "kind"),
        _put("skipped", "rules", 0, "status"),
        _put("12 mm", "profile", "length_mm"),
        _put([1.0, 2.0], "axis", "direction"),
        _put("abc", "source", "sha256"),
    ],
)
def test_a_damaged_document_is_refused(damage: Callable[[Any], None], validator: Any) -> None:
    document = copy.deepcopy(housing_report().document())
    assert validator.is_valid(document)
    damage(document)
    assert not validator.is_valid(document)


def test_more_keys_may_stand_beside_them(validator: Any) -> None:
    document = housing_report().document()
    document["note"] = document["profile"]["note"] = "added later"
    validator.validate(document)


@given(st.floats(allow_nan=False, allow_infinity=False, width=64))
def test_rounding_never_moves_a_number_further_than_half_a_step(value: float) -> None:
    part = replace(housing_report().part, axis=Axis((value, 0.0, 0.0), (0.0, 0.0, 1.0)))
    written = replace(housing_report(), part=part).document()["axis"]["origin_mm"][0]
    assert abs(written - value) <= 0.5e-6 + 1e-9 * abs(value)
