"""Rules that seldom speak, asked from a STEP file by the command line with the starter shop."""

import json
from math import pi

import cadquery
import pytest

from turnability.setups.cutting.forces import main_force_n
from turnability.setups.cutting.starting import finish_cut
from turnability.shop.load import starter_shop
from turnability.shop.materials import material_of


def found(run, path, rule, outline, rounded_mm=0.0):
    """Findings of one rule on a solid of revolution, its far outside edge rounded or not."""
    solid = cadquery.Workplane("XY").polyline(outline).close().revolve(360, (0, 0), (1, 0))
    if rounded_mm:
        solid = solid.faces(">X").edges().fillet(rounded_mm)
    solid.export(str(path))
    code, out, err = run("check", path, "--json", "-")
    assert (code, err) == (0, "")
    report = json.loads(out)
    return report, [f for f in report["findings"] if f["rule"] == rule]


@pytest.mark.parametrize(("wall", "levels"), [(1.0, ["warning"]), (3.0, [])])
def test_a_thin_ring_turned_round_to_be_faced(run, tmp_path, wall, levels):
    """By hand: a ring of ⌀150 x 78 is bored from one end by a bar that stands out 80, and where no
    burr may stay it is turned round to be faced; jaws hold half its diameter.

    Ring theory (Roark's, three equal loads, from memory): the moment under a jaw is
    W·R/2·(3/π - cot 60°) = 0.1888 W·R, with W a third of what holds the facing cut. The ring that
    gives is the 75 mm under the jaws and the 3 mm beside them.
    """
    (tmp_path / "ring.intent.toml").write_text('parting_pip_may_stay = "none"\n')
    outline = [(0, 75 - wall), (78, 75 - wall), (78, 75), (0, 75)]
    report, told = found(run, tmp_path / "ring.step", "thin-wall", outline)
    assert [setup["grip"]["length_mm"] for setup in report["setups"]][1] == 75.0
    assert [one["level"] for one in told] == levels
    for one in told:
        shop = starter_shop()
        steel = material_of(shop).material
        tool = next(t for t in shop.tools if t.name == "rough right")
        cut = 1.3 * main_force_n(steel, finish_cut(steel, tool, 150.0))
        at_a_jaw = 2.5 * cut * 150.0 / (0.2 * 150.0) / 3.0
        radius = 75.0 - wall / 2.0
        moment = at_a_jaw * radius / 2.0 * (3.0 / pi - 1.0 / 3.0**0.5)
        hoop = at_a_jaw / (2.0 * 3.0**0.5) / (78.0 * wall)
        assert one["measured"] == pytest.approx(6.0 * moment / (78.0 * wall**2) + hoop, rel=1e-3)
        assert "even to finish it" in one["message"]
        assert "leave that end as it was cut off" in one["message"]


@pytest.mark.parametrize(("radius", "levels"), [(2.0, ["note"]), (6.0, []), (0.0, [])])
def test_a_small_rounding_alone_asks_for_a_driven_lathe(run, tmp_path, radius, levels):
    """By hand: a chamfer does as well as a rounding of 2 mm; one of 6 mm is there for its shape."""
    outline = [(0, 0), (40, 0), (40, 8), (15, 8), (15, 15), (0, 15)]
    _, told = found(run, tmp_path / "pin.step", "needs-cnc", outline, radius)
    assert [one["level"] for one in told] == levels
    assert all("bench" in one["message"] for one in told)
