"""The intent through the whole house: what the report says, assumes, weighs and holds by."""

from __future__ import annotations

import hashlib
import json
import math
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.intent.drawn import intent_of
from turnability import analyze, analyze_all
from turnability.analysis.stages import walk
from turnability.errors import IntentUnusable, TurnabilityError
from turnability.intent.model import Intent, Named, NoGrip, Roughness, StatedThread, Tolerance
from turnability.intent.settle import settled
from turnability.outputs.json_document import schema_text
from turnability.outputs.summary import summary_lines
from turnability.report import Report
from turnability.rules.assume import assumptions_for
from turnability.rules.drawn import PIN, drawn_part, drawn_shop, drawn_view
from turnability.setups.holding.lands import find_lands

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
SCHEMA = json.loads(schema_text())


@pytest.fixture(scope="module")
def cap(reports_of: Any) -> Report:
    return reports_of(FIXTURES / "end_cap.step")[0]


@pytest.fixture(scope="module")
def without() -> Report:
    """The same with nothing stated."""
    return analyze(FIXTURES / "end_cap.step", intent=False)


def assumed(report: Report) -> set[str]:
    return {assumption.what for assumption in report.assumptions}


def test_the_demo_part_finds_its_intent_beside_it(cap: Report) -> None:
    document: Any = cap.document()
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    data = (FIXTURES / "end_cap.intent.toml").read_bytes()
    assert document["inputs"]["intent"] == {"sha256": hashlib.sha256(data).hexdigest()}
    assert document["intent"]["material"] == "6082-T6"
    assert document["intent"]["density_kg_per_m3"] == pytest.approx(2700.0)
    spigot, floor, width = document["intent"]["tolerances"]
    # ISO 286-2: f7 over 30 to 50 mm is -25 / -50 µm
    assert (spigot["nominal_mm"], spigot["deviations_mm"]) == (44.0, [-0.05, -0.025])
    assert (floor["nominal_mm"], floor["width_mm"]) == (pytest.approx(38.2), 0.05)
    assert (width["of"], width["nominal_mm"]) == ("length", pytest.approx(4.8))
    for place in (spigot, floor, width):
        assert place["segments"]
        assert place["faces"]
    assert cap.crashed == ()


def test_the_readme_shows_the_demo_parts_intent() -> None:
    readme = (FIXTURES.parent / "README.md").read_text("utf-8")
    assert (FIXTURES / "end_cap.intent.toml").read_text("utf-8") in readme


def test_what_is_stated_is_not_assumed(cap: Report, without: Report) -> None:
    assert without.intent is None
    assert without.document()["inputs"]["intent"] is None
    assert without.document()["intent"] is None
    gone = assumed(without) - assumed(cap)
    assert gone >= {
        "material", "condition", "quantity", "tolerances", "surface finish", "edges",
        "centre holes",
    }  # fmt: skip
    for assumption in without.assumptions:
        if assumption.what in gone:
            assert "in the intent file" in assumption.how_to_state


def test_mass_follows_the_material(cap: Report, without: Report) -> None:
    """Volume times density: 2.70 against the starter shop's 7.85 g/cm³."""
    assert cap.stock is not None
    assert without.stock is not None
    mine, other = cap.stock.choice, without.stock.choice
    assert mine is not None
    assert other is not None
    assert mine.mass_kg == pytest.approx((other.mass_kg or 0.0) * 2.70 / 7.85)


def test_people_read_material_and_quantity(cap: Report) -> None:
    text = "\n".join(str(line) for line in summary_lines(cap))
    assert "of 6082-T6; 4 pieces" in text


def walked(intent: Intent, part: Any = None) -> Report:
    return walk(drawn_part(PIN) if part is None else part, drawn_shop(), intent=intent)


def test_the_mass_of_another_material_is_unknown_not_the_shops() -> None:
    report = walked(Intent(material="unheard-of 9"))
    assert report.stock is not None
    assert report.stock.choice is not None
    assert report.stock.choice.mass_kg is None
    assert {"density", "forces and speeds"} <= set(assumed(report))
    titanium = walked(Intent(material="Ti-6Al-4V"))
    assert titanium.stock is not None
    assert titanium.stock.choice is not None
    volume_mm3 = math.pi / 4.0 * 25.0**2 * titanium.stock.choice.length_mm
    assert titanium.stock.choice.mass_kg == pytest.approx(volume_mm3 * 4.43e-6)  # handbooks
    assert "density" in assumed(titanium)
    same = walked(Intent(material="Steel "))
    assert same.stock is not None
    assert same.stock.choice is not None
    assert same.stock.choice.mass_kg is not None
    assert "density" not in assumed(same)


def test_a_single_tolerance_leaves_the_others_assumed() -> None:
    place = Named(diameter_mm=(16.0, 16.0))
    intent = Intent(
        tolerances=(Tolerance("diameter", place, "r6", fit="r6"),),
        roughness=(Roughness(place, 0.8),),
    )
    by_name = {a.what: a.assumed for a in walked(intent).assumptions}
    assert by_name["tolerances"].startswith("on all other sizes")
    assert by_name["surface finish"].startswith("elsewhere")
    assert "limits of r6" not in by_name
    great = drawn_part([(0, 0), (60, 0), (60, 300), (0, 300)])
    sized = Tolerance("diameter", Named(diameter_mm=(600.0, 600.0)), "h7", fit="h7")
    told = {
        a.what: a
        for a in assumptions_for(drawn_view(part=great, intent=Intent(tolerances=(sized,))))
    }
    assert "end at 500 mm" in told["limits of h7"].why


def test_a_protected_surface_is_no_land() -> None:
    part = drawn_part(PIN)
    thin = Named(diameter_mm=(16.0, 16.0))

    def lands(*places: Named) -> set[tuple[float, tuple[float, float]]]:
        return {(land.diameter_mm, land.z_mm) for land in find_lands(part, places)}

    both = {(22.0, (0.0, 18.0)), (16.0, (18.0, 30.0))}
    assert lands() == both
    kept = settled(Intent(no_grip=(NoGrip(thin),)), part).ungripped
    assert lands(*kept) == {(22.0, (0.0, 18.0))}
    some = NoGrip(replace(thin, z_mm=(18.0, 22.0)))
    kept = settled(Intent(no_grip=(some,)), part).ungripped
    assert lands(*kept) == {(22.0, (0.0, 18.0)), (16.0, (22.0, 30.0))}
    thread = settled(Intent(threads=(StatedThread(thin, "M16"),)), part).ungripped
    assert lands(*thread) == {(22.0, (0.0, 18.0))}


def test_a_lost_place_is_an_error_not_a_report() -> None:
    with pytest.raises(IntentUnusable, match="nearest: ⌀16 at z 18–30"):
        walked(Intent(no_grip=(NoGrip(Named(diameter_mm=(17.0, 17.0))),)))


def test_an_intent_made_in_python_has_a_digest_of_its_own(tmp_path: Path) -> None:
    one, two = Intent(quantity=1), Intent(quantity=2)
    digests = {walked(i).document()["inputs"]["intent"]["sha256"] for i in (one, one, two)}
    assert len(digests) == 2
    from_file = walked(intent_of(tmp_path, "quantity = 1")).document()["inputs"]["intent"]
    assert from_file["sha256"] == hashlib.sha256(b"quantity = 1").hexdigest()


def test_each_solid_of_a_file_may_have_its_own(tmp_path: Path) -> None:
    step = tmp_path / "pair.step"
    shutil.copy(FIXTURES / "release_pin.step", step)
    (tmp_path / "pair.intent.toml").write_text("quantity = 2\n")
    (tmp_path / "pair.2.intent.toml").write_text("quantity = 3\n[[no_grip]]\ndiameter_mm = 99\n")
    shop = drawn_shop()
    first, second = analyze_all(step, shop)
    assert isinstance(first, Report)
    assert first.intent is not None
    assert first.intent.quantity == 2
    assert isinstance(second, IntentUnusable)
    assert "pair.2.intent.toml line 2" in str(second)
    with pytest.raises(TurnabilityError, match=r"2 solids, and one intent.*pair\.1\.intent\.toml"):
        analyze_all(step, shop, intent=tmp_path / "pair.intent.toml")
    (tmp_path / "pair.intent.toml").write_text("quantity = 'two'\n")
    with pytest.raises(IntentUnusable, match="line 1"):
        analyze_all(step, shop)


def finer_than_turning(folder: Path, stated: str) -> list[tuple[str, float | None]]:
    """Level and width told of ⌀16 of the pin, stated so."""
    report = walk(drawn_part(PIN), drawn_shop(), intent=intent_of(folder, stated))
    return [(f.level, f.measured) for f in report.findings if f.rule == "tighter-than-turning"]


@pytest.mark.parametrize("fit", ["h4", "h3", "f4", "r2", "js1", "h01"])
def test_a_class_finer_than_it5_is_an_error_as_its_limits_are(tmp_path: Path, fit: str) -> None:
    """ISO 286-1, over 10 to 18 mm: IT01 0.5, IT1 1.2, IT2 2, IT3 3, IT4 5 µm; IT5 is 8."""
    um = {"4": 5.0, "3": 3.0, "2": 2.0, "js1": 1.2, "h01": 0.5}
    width = um.get(fit, um.get(fit[-1]))
    assert width is not None
    table = "[[tolerance]]\ndiameter_mm = 16\n"
    told = finer_than_turning(tmp_path, f'{table}fit = "{fit}"\n')
    asked = [("error", pytest.approx(width / 1000.0))]
    assert told == asked
    as_limits = finer_than_turning(tmp_path, f"{table}limits_mm = [{16.0 - width / 1000.0}, 16]\n")
    assert as_limits == asked


def test_a_class_of_it5_or_it6_is_no_error(tmp_path: Path) -> None:
    table = "[[tolerance]]\ndiameter_mm = 16\n"
    assert finer_than_turning(tmp_path, f'{table}fit = "r5"\n') == [
        ("warning", pytest.approx(0.008))
    ]
    assert finer_than_turning(tmp_path, f'{table}fit = "r6"\n') == []
