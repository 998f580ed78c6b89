"""The intent file: every key read, every fault told with its line and the way out, all at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.intent.drawn import intent_of
from turnability.errors import IntentUnusable
from turnability.intent.load import intent_beside, load_intent
from turnability.intent.model import Intent

PLACE = "diameter_mm = 44\nz_mm = [14, 33]\n"


def told(folder: Path, text: str) -> str:
    with pytest.raises(IntentUnusable) as raised:
        intent_of(folder, text)
    return str(raised.value)


def test_all_that_can_be_stated(tmp_path: Path) -> None:
    intent = intent_of(
        tmp_path,
        f"""material = "6082-T6"
condition = "T6"
density_kg_per_mm3 = 2.7e-6
quantity = 4
general_tolerance = "ISO 2768-mK"
ra_um = 3.2
edges_in = [0.01, 0.02]
centre_holes_may_stay = "low"
parting_pip_may_stay = "none"
[[tolerance]]
name = "spigot"
{PLACE}fit = "f7"
[[tolerance]]
z_mm = [19, 23.8]
plus_minus_in = 0.004
[[tolerance]]
face = "seat"
zone_mm = 0.05
[[tolerance]]
{PLACE}deviations_mm = [-0.05, -0.025]
[[tolerance]]
{PLACE}limits_mm = [43.95, 43.975]
[[roughness]]
face_index = 4
ra_um = 0.8
[[related]]
name = "true"
run_out_mm = 0.02
surface = [{{ end = "high" }}, {{ diameter_in = 1.5, side = "inside" }}]
[[thread]]
{PLACE}designation = "M44x2"
[[no_grip]]
{PLACE}why = "seals"
[[edge]]
diameter_mm = 42
z_mm = 34
break_mm = [0.0, 0.1]
""",
    )
    assert (intent.material, intent.condition, intent.quantity) == ("6082-T6", "T6", 4)
    assert intent.density_kg_per_mm3 == 2.7e-6
    assert (intent.general_tolerance, intent.ra_um) == ("ISO 2768-m", 3.2)
    assert intent.edges_mm == pytest.approx((0.254, 0.508))
    assert (intent.centre_holes, intent.parting_pip) == (("low",), ())
    fit, length, surface, deviations, limits = intent.tolerances
    assert (fit.of, fit.fit, fit.deviations_mm) == ("diameter", "f7", None)
    assert fit.place.where == 'tolerance 1 "spigot"'
    assert fit.place.line == 10
    assert (length.of, length.stated) == ("length", "±0.1016")
    assert length.width_mm == pytest.approx(0.2032)
    assert (surface.of, surface.width_mm) == ("surface", 0.05)
    assert deviations.deviations_mm == (-0.05, -0.025)
    assert limits.limits_mm == (43.95, 43.975)
    assert intent.roughness[0].place.face_index == 4
    (related,) = intent.related
    assert (related.name, related.run_out_mm, len(related.places)) == ("true", 0.02, 2)
    assert related.places[1].diameter_mm == pytest.approx((38.1, 38.1))
    assert related.places[1].side == "inner"
    assert intent.threads[0].designation == "M44x2"
    assert intent.no_grip[0].why == "seals"
    assert intent.edges[0].break_mm == (0.0, 0.1)
    assert len(intent.sha256 or "") == 64


def test_an_empty_file_states_nothing(tmp_path: Path) -> None:
    intent = intent_of(tmp_path, "# nothing yet\n")
    assert intent == Intent(what=intent.what, sha256=intent.sha256)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('materiel = "x"', 1, "Did you mean material?"),
        ("quantity = 1.5", 1, "Write a whole number"),
        ("quantity = 0", 1, "Write at least 1"),
        ('\ncentre_holes_may_stay = "yes"', 2, "It may be both, high, low, none"),
        ('general_tolerance = "ISO 2768-x"', 1, "Did you mean ISO 2768-"),
        (
            "density_kg_per_mm3 = 2700",
            1,
            "If 2700 kg/m³ is meant, write density_kg_per_mm3 = 2.7e-06",
        ),
        (
            "density_kg_per_mm3 = 7.85",
            1,
            "If 7.85 g/cm³ is meant, write density_kg_per_mm3 = 7.85e-06",
        ),
        ("ra_um = 0", 1, "Write at least 0.001"),
        ("edges_mm = [0.5, 50]", 1, "Write at most 10 mm"),
        (
            "[[no_grip]]\ndiameter_in = '1.732 in'",
            2,
            "Write one number, or two, [least, greatest], without its unit, in inch",
        ),
        ("[[no_grip]]\nz_mm = '3'", 2, "Write one number, or two"),
        ("[[edge]]\ndiameter_mm = 3\nz_mm = 1\nbreak_mm = '3'", 4, "Write two numbers"),
        ("[[tolerance]]\ndiameter_mm = 20", 1, "says no tolerance"),
        ("[[tolerance]]\ndiameter_mm = 20\nfit = 'h6'\nzone_mm = 1", 4, "in two ways"),
        ("[[tolerance]]\nfit = 'h6'", 1, "names no place"),
        ("[[tolerance]]\ndiameter_mm = 20\nfit = 'H7/g6'", 3, "class of this part alone"),
        ("[[tolerance]]\ndiameter_mm = 20\nfit = 'hh6'", 3, "such as h6 for a shaft"),
        ("[[tolerance]]\nend = 'low'\nfit = 'h6'", 2, "a face, which has no diameter"),
        ("[[tolerance]]\nof = 'length'\nz_mm = 3\nfit = 'h6'", 1, "z_mm = [from, to]"),
        ("[[tolerance]]\nof = 'surface'\nend = 'low'\nfit = 'h6'", 4, "Write zone_mm"),
        ("[[tolerance]]\ndiameter_mm = 20\nlimits_mm = [20, 20]", 3, "leaves no tolerance"),
        ("[[tolerance]]\ndiameter_mm = 20\nlimits_mm = [21, 20]", 3, "the smaller first"),
        ("[[tolerance]]\ndiametre_mm = 20\nfit = 'h6'", 2, "Did you mean diameter_mm?"),
        ("[[tolerance]]\ndiameter = 20\nfit = 'h6'", 2, "diameter_mm or diameter_in"),
        ("[[no_grip]]\nend = 'low'\nz_mm = 3", 2, "is named otherwise too"),
        ("[[no_grip]]\nface = 'a'\nface_index = 3", 2, "is named otherwise too"),
        ("[[no_grip]]\nface_index = 1.5", 2, "whole number"),
        ("[[no_grip]]\nz_mm = -1", 2, "at least 0 mm"),
        ("[[roughness]]\nend = 'low'", 1, "has no ra_um"),
        ("[[related]]\nname = 'x'", 1, "relates no surfaces"),
        ("[[related]]\nsurface = [{ end = 'low' }, { y = 1 }]", 2, "surface 2, key y,"),
        ("[[related]]\nsurface = 'low'", 2, "is not a list of places"),
        ("[[edge]]\nz_mm = [1, 2]\nbreak_mm = [0, 1]", 1, "names no one edge"),
        ("[[thread]]\nend = 'low'", 1, "has no designation"),
        ("[thread]\ndesignation = 'M20'", 1, "[[thread]]"),
        ("a = b", 1, "key a"),
    ],
)
def test_faults_name_line_and_way_out(tmp_path: Path, text: str, line: int, says: str) -> None:
    message = told(tmp_path, text)
    assert f"line {line}" in message
    assert says in message
    assert "cap.intent.toml" in message


def test_all_faults_at_once(tmp_path: Path) -> None:
    message = told(tmp_path, "colour = 1\n[[no_grip]]\nwhy = 'x'\n[[thread]]\nend = 'up'\n")
    assert [line.split(":")[0].strip() for line in message.splitlines()[1:]] == [
        "line 1", "line 2", "line 4", "line 5",
    ]  # fmt: skip


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(IntentUnusable, match=r"no such file.*intent file"):
        load_intent(tmp_path / "none.intent.toml")


def test_the_file_beside(tmp_path: Path) -> None:
    step = tmp_path / "cap.v2.STEP"
    assert intent_beside(step) is None
    (tmp_path / "cap.v2.intent.toml").touch()
    (tmp_path / "cap.v2.2.intent.toml").touch()
    assert intent_beside(step) == tmp_path / "cap.v2.intent.toml"
    assert intent_beside(step, 1, 2) == tmp_path / "cap.v2.intent.toml"
    assert intent_beside(step, 2, 2) == tmp_path / "cap.v2.2.intent.toml"
