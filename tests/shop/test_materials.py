"""Materials by name: designations of standards, plain words, and stock of one material."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from turnability.intent.model import Intent
from turnability.rules.assume import assumptions_for
from turnability.rules.drawn import PIN, drawn_part, drawn_shop, drawn_view
from turnability.shop.books import rows
from turnability.shop.load import load_shop
from turnability.shop.material import with_material
from turnability.shop.materials import all_materials, find_material, material_of, same_material
from turnability.shop.model import StockSize
from turnability.stock.choose import choose_stock

SAME = [
    # one material under the designations of several standards (EN, AISI/SAE, UNS, numbers)
    ("1.4404", "1.4404", "AISI 316L", "aisi 316l", "UNS S31603", "X2CrNiMo17-12-2"),
    ("6082-T6", "EN AW-6082", "EN AW-6082 T6", "AlSi1MgMn", "3.2315", "6082"),
    ("42CrMo4", "42CrMo4+QT", "1.7225", "AISI 4140", "4140 annealed"),
    ("C45", "1045", "C45E", "1.0503", "C45+C", "SAE 1045 cold-drawn"),
    ("Ti-6Al-4V", "TiAl6V4", "UNS R56400", "titanium grade 5"),
    ("S235", "S235JR", "1.0038", "1018"),
    ("1.4404", "stainless steel 1.4404"),
    # what hangs on a mooring: duplex steel, bronzes, pure titanium, PVC
    ("1.4462", "EN 1.4462", "2205", "UNS S31803", "X2CrNiMoN22-5-3"),
    ("CuSn8", "CW453K", "2.1030", "C52100"),
    ("CuAl10Ni5Fe4", "CW307G", "UNS C63000"),
    ("Ti grade 2", "3.7035", "titanium grade 2", "UNS R50400"),
    ("PVC", "PVC-U", "uPVC"),
]


@pytest.mark.parametrize(
    ("name", "written"), [(names[0], text) for names in SAME for text in names[1:]]
)
def test_a_designation_however_written(name: str, written: str) -> None:
    found = find_material(written)
    assert found is not None
    assert (found.material.name, found.stands_for) == (name, False)


@pytest.mark.parametrize("word", ["steel", "Stainless steel", "aluminum", "brass", "cast iron"])
def test_a_plain_word_stands_for_one_material_and_says_so(word: str) -> None:
    found = find_material(word)
    assert found is not None
    assert found.stands_for


@pytest.mark.parametrize("text", ["", "unheard-of 9", "A2", "wood", "0", "tungsten"])
def test_nothing_is_made_up_for_what_the_table_lacks(text: str) -> None:
    assert find_material(text) is None


def test_the_groups_are_those_of_iso_513() -> None:
    """ISO 513: P steel, M stainless, K cast iron, N non-ferrous, S heat-resistant and titanium."""
    group = {m.name: m.group for m in all_materials()}
    assert {group["C45"], group["42CrMo4"]} == {"P"}
    assert {group["1.4404"], group["1.4305"]} == {"M"}
    assert group["EN-GJL-250"] == "K"
    assert {group["6082-T6"], group["CuZn39Pb3"], group["Cu-ETP"]} == {"N"}
    assert {group["Ti-6Al-4V"], group["alloy 718"]} == {"S"}
    assert {m.group for m in all_materials()} <= {row["letter"] for row in rows("iso513_groups")}


def test_every_number_says_where_it_is_from_and_ranges_run_upwards() -> None:
    for m in all_materials():
        for cited in (m.density, m.e, m.kc11, m.mc, *m.carbide, *m.hss, *m.feed):
            assert cited.value > 0.0
            assert cited.source
        assert m.kc11.verified == (m.kc_doubt is None)
        for low, high in (m.carbide, m.hss, m.feed):
            assert low.value < high.value
        assert m.hss[1].value < m.carbide[1].value


def test_one_material_under_two_names() -> None:
    assert same_material("316L", "1.4404")
    assert same_material("steel", "42CrMo4")
    assert not same_material("C45", "S235")
    assert not same_material("aluminium", "brass")
    assert same_material("our own bronze", "Our own  Bronze")


SHOP = """
[[tool]]
kind = "grooving"
width_mm = 3.0

[[stock]]
form = "bar"
sizes_mm = [24]
material = "6082-T6"

[[stock]]
form = "bar"
sizes_mm = [30]

[stock_policy]
diameter_allowance_mm = 1.0
density_kg_per_mm3 = 7.85e-6
material = "steel"
"""


def test_stock_of_another_material_is_no_choice(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(SHOP)
    shop = load_shop(file)
    profile = drawn_part(PIN).profile
    assert profile is not None

    def size(material: str | None) -> float | None:
        stock = choose_stock(profile, with_material(shop, material, None))
        return stock.choice.across_mm if stock and stock.choice else None

    assert size("EN AW-6082") == 24.0
    assert size("C45") == 30.0
    assert size(None) == 30.0


def test_the_material_of_a_shop_that_names_none_is_the_usual_steel() -> None:
    from dataclasses import replace

    shop = drawn_shop()
    assert shop.stock_policy is not None
    nameless = replace(shop, stock_policy=replace(shop.stock_policy, material=None))
    for one in (nameless, replace(shop, stock_policy=None)):
        chosen = material_of(one)
        assert chosen is not None
        assert (chosen.material.name, chosen.named) == ("C45", None)
    odd = replace(shop, stock_policy=replace(shop.stock_policy, material="unheard-of 9"))
    assert material_of(odd) is None


RATES = '[rates]\ncurrency = "EUR"\nmachine_per_hour = 60\nprogramming_per_hour = 80\n'


def test_a_shop_may_say_its_rates_and_its_chucks_speed(tmp_path: Path) -> None:
    file = tmp_path / "shop.toml"
    chuck = '[[holding]]\nname = "c"\nkind = "three-jaw"\noutside_mm = [3, 100]\nmax_rpm = 2800\n'
    file.write_text(SHOP + RATES + chuck)
    shop = load_shop(file)
    assert shop.holdings[0].max_rpm == 2800.0
    assert shop.rates is not None
    assert (shop.rates.currency, shop.rates.machine_per_hour) == ("EUR", 60.0)
    assert shop.rates.material_per_kg is None


def test_the_material_named_counts_in_a_shop_without_a_stock_policy() -> None:
    """What is listed of another material is left out there too; the density is the table's."""
    listed = (
        StockSize("bar", "bar 20", 20.0, None, material="C45"),
        StockSize("bar", "bar 22", 22.0, None, material="Ti-6Al-4V"),
    )
    bare = replace(drawn_shop(), stock=listed, stock_policy=None)
    assert with_material(bare, None, None) is bare
    titanium = with_material(bare, "TiAl6V4", None)
    chosen = material_of(titanium)
    assert chosen is not None
    assert chosen.material.name == "Ti-6Al-4V"
    assert [size.name for size in titanium.stock] == ["bar 22"]
    assert titanium.stock_policy is not None
    assert titanium.stock_policy.density_kg_per_mm3 == chosen.material.density_kg_per_mm3
    assert material_of(with_material(bare, "CuSn12", None)) is None
    told = assumptions_for(drawn_view(shop=titanium, intent=Intent(material="TiAl6V4")))
    assert "material" not in [one.what for one in told]
