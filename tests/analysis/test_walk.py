"""The walk from part to report: stages in order, crashes shown, nothing good said of them."""

from __future__ import annotations

import json
import pickle
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.outputs.sample import housing_report, plate_report
from turnability.analysis import analyze, analyze_all, shop_of, walk
from turnability.errors import PartUnreadable, ShopUnusable, TurnabilityError
from turnability.outputs.json_document import schema_text
from turnability.part.model import Part
from turnability.part.profile import drawn_profile
from turnability.report import STAGES, Report
from turnability.rules.drawn import drawn_part, drawn_shop
from turnability.setups.bending.carry import carried
from turnability.setups.model import Plan
from turnability.shop.load import starter_shop
from turnability.shop.model import Shop

PART = housing_report().part
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture(scope="module")
def report() -> Report:
    return walk(PART, starter_shop())


def test_the_report_is_valid_and_judges_every_stage(report: Report) -> None:
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(report.document())
    assert report.crashed == ()
    assert report.reach is not None
    assert report.features
    assert report.stock is not None
    assert set(report.timings_s) <= set(STAGES)
    assert report.timings_s["reach"] > 0.0


def test_the_same_part_gives_the_same_document() -> None:
    first, second = (walk(PART, drawn_shop()).document() for _ in range(2))
    del first["timings_s"], second["timings_s"]
    assert first == second


def test_the_drawn_trap_is_found(report: Report) -> None:
    """A recess with sharp corners behind a bore: no bar has a nose without radius."""
    assert report.verdict in ("needs-changes", "not-turnable")
    recess = next(f for f in report.features if f.kind == "recess")
    concerned = {s for f in report.findings if f.level == "error" for s in f.where.segments}
    assert concerned & set(recess.segments)


def test_a_part_without_axis_has_its_verdict_only() -> None:
    document = walk(plate_report().part, drawn_shop()).document()
    assert document["verdict"] == "not-axisymmetric"
    assert [f["level"] for f in document["findings"]] == ["error"]
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(document)


STAGES_AND_HOMES = {
    "features": "turnability.features.recognise.recognise",
    "reach": "turnability.reach.compute.reach_of",
    "stock": "turnability.stock.choose.choose_stock",
    "lands": "turnability.setups.holding.lands.find_lands",
    "setups": "turnability.setups.plan.plan_of",
    "bending": "turnability.setups.bending.carry.carried",
    "rules": "turnability.rules.judge.judge",
    "verdict": "turnability.rules.verdict.verdict_of",
}


@pytest.mark.parametrize("stage", STAGES_AND_HOMES)
def test_a_stage_that_crashes_is_shown_and_never_passed(
    stage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def crash(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("drawn to fail")

    monkeypatch.setattr(STAGES_AND_HOMES[stage], crash)
    report = walk(PART, drawn_shop())
    statuses = {status.rule: status for status in report.crashed}
    assert statuses[f"stage-{stage}"].reason == "ZeroDivisionError: drawn to fail"
    assert report.verdict == "undetermined"
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(report.document())


@pytest.mark.parametrize("crashes", [False, True])
def test_nothing_of_the_search_for_plans_stays_in_the_report(
    crashes: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A pin is held as well at either end: its second plan could still be made, until bending."""
    told: list[Any] = []

    def kept(part: Part, plan: Plan, *others: Any) -> Plan:
        told.append(others[-1])
        if crashes:
            raise ZeroDivisionError("drawn to fail")
        return carried(part, plan, *others)

    monkeypatch.setattr(STAGES_AND_HOMES["bending"], kept)
    profile = drawn_profile([(0.0, 0.0), (0.0, 10.0), (40.0, 10.0), (40.0, 0.0)])
    report = walk(drawn_part(profile), starter_shop())
    assert report.plan is not None
    assert [callable(next_best) for next_best in told] == [True]
    # such reports go from process to process: with the trials in it one has a megabyte
    assert len(pickle.dumps(report)) < 300_000


def test_an_expected_error_is_not_taken_for_a_crash(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any, **_named: Any) -> None:
        raise ShopUnusable("shop.toml", "its stock is odd", "Mend it")

    monkeypatch.setattr(STAGES_AND_HOMES["stock"], refuse)
    with pytest.raises(ShopUnusable):
        walk(PART, drawn_shop())


class TestAnalyze:
    """Which solids are analysed, with the reading drawn."""

    @pytest.fixture
    def two_parts(self, monkeypatch: pytest.MonkeyPatch) -> list[Any]:
        parts: list[Any] = [PART, replace(PART, source=replace(PART.source, solid=2, solids=2))]

        def read(path: Path, solid: int | None = None, **_: Any) -> tuple[Any, ...]:
            return tuple(parts if solid is None else parts[solid - 1 : solid])

        monkeypatch.setattr("turnability.part.apart.child.read_parts", read)
        return parts

    def test_several_solids_ask_for_a_choice(self, two_parts: list[Any]) -> None:
        with pytest.raises(TurnabilityError, match=r"2 solids.*solid=1.*analyze_all"):
            analyze("pair.step", drawn_shop())
        assert analyze("pair.step", drawn_shop(), solid=2).part.source.solid == 2

    def test_all_of_them_are_analysed_and_a_bad_one_stands_in_its_place(
        self, two_parts: list[Any]
    ) -> None:
        bad = PartUnreadable("pair.step", "solid 1 is open", "Close it")
        two_parts[0] = bad
        first, second = analyze_all("pair.step", drawn_shop())
        assert first is bad
        assert isinstance(second, Report)
        with pytest.raises(PartUnreadable, match="open"):
            analyze("pair.step", drawn_shop(), solid=1)

    def test_the_shop_may_be_itself_a_file_or_left_out(
        self, two_parts: list[Any], tmp_path: Path
    ) -> None:
        own = drawn_shop()
        assert isinstance(own, Shop)
        assert analyze("x.step", own, solid=1).shop_name == own.name
        assert shop_of(None).sha256 == starter_shop().sha256
        file = tmp_path / "shop.toml"
        file.write_text("nonsense = 1\n")
        with pytest.raises(ShopUnusable, match="nonsense"):
            analyze("x.step", file, solid=1)


def test_the_public_face_is_light_and_whole() -> None:
    import turnability

    for name in turnability.__all__:
        assert getattr(turnability, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'analyse'"):
        turnability.analyse  # noqa: B018
