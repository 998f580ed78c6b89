"""Numbers that cannot be meant, told in the unit they are written in; what is no shop at all."""

from __future__ import annotations

import pytest

from turnability.analysis import analyze
from turnability.errors import ShopUnusable, TurnabilityError
from turnability.shop.load import _shop_of, load_shop
from turnability.shop.model import Shop

TOOL = '[[tool]]\nname = "a"\nkind = "grooving"\nwidth_mm = 3.0\n'


def shop(text: str) -> Shop:
    return _shop_of(text.encode(), "my.toml", "my")


def fault(text: str) -> str:
    with pytest.raises(ShopUnusable) as caught:
        shop(text)
    return str(caught.value)


def policy(density: str) -> str:
    return TOOL + f"[stock_policy]\ndiameter_allowance_mm = 1\ndensity_kg_per_mm3 = {density}\n"


@pytest.mark.parametrize(
    ("density", "hint"),
    [
        ("7.85", "If 7.85 g/cm³ is meant, write density_kg_per_mm3 = 7.85e-06"),
        ("7850", "If 7850 kg/m³ is meant, write density_kg_per_mm3 = 7.85e-06"),
        ("7.85e-9", "If 7.85e-09 t/mm³ is meant, write density_kg_per_mm3 = 7.85e-06"),
        ("0", "leave the key out"),
        ("-7.85e-6", "leave the key out"),
        ("1e9", "leave the key out"),
    ],
)
def test_a_density_that_nothing_solid_has(density: str, hint: str) -> None:
    told = fault(policy(density))
    assert "my.toml line 7: stock_policy, key density_kg_per_mm3, is " in told
    assert "kg/mm³" in told
    assert hint in told


@pytest.mark.parametrize("g_per_cm3", [0.95, 1.41, 1.74, 2.70, 4.43, 7.85, 8.5, 11.34, 19.3])
def test_densities_of_what_is_turned(g_per_cm3: float) -> None:
    """Polyethylene, POM, magnesium, aluminium, titanium, steel, brass, lead, tungsten.

    Handbook values, from memory.
    """
    made = shop(policy(f"{g_per_cm3}e-6"))
    assert made.stock_policy is not None
    assert made.stock_policy.density_kg_per_mm3 == pytest.approx(g_per_cm3 * 1e-6)


@pytest.mark.parametrize(
    ("text", "says", "never"),
    [
        (
            '[[tool]]\nkind = "grooving"\nwidth_in = 0.1\n',
            ["line 3", "key width_in, is 0.1 in: the blade's depth", "Add depth_in"],
            "mm",
        ),
        (
            '[[tool]]\nkind = "parting"\nwidth_in = 0.1\n',
            ["is 0.1 in", "Add max_diameter_in"],
            "mm",
        ),
        (
            '[[tool]]\nkind = "grooving"\nwidth_in = 0.125\ndepth_in = 0.5\n'
            "corner_radius_in = 0.1\n",
            ["line 5", "is 0.1 in: more than half the width of 0.125 in", "at most 0.0625 in"],
            "mm",
        ),
        (
            '[[tool]]\nkind = "internal-grooving"\nwidth_in = 0.1\nbar_diameter_in = 0.5\n'
            "f_in = 0.2\n",
            ["key f_in, is 0.2 in", "Write more than 0.25 in"],
            "mm",
        ),
        (
            '[[tool]]\nkind = "drill"\ndiameter_in = 3\n',
            ["key diameter_in, is 3 in: its flute length is not known", "Add flute_length_in"],
            "mm",
        ),
        (
            '[[tool]]\nkind = "internal-grooving"\nwidth_in = 0.1\nbar_diameter_in = 0.5\n',
            ["has neither depth_in nor f_in"],
            "mm",
        ),
        (
            TOOL + '[[stock]]\nform = "tube"\ntubes_in = [[0.5, 1.0]]\n',
            ["is a tube of 0.5 in with a bore of 1 in"],
            "mm",
        ),
        (
            TOOL + '[[holding]]\nname = "c"\nkind = "collet"\noutside_in = [1.0, 0.5]\n',
            ["runs from 1 in down to 0.5 in"],
            "mm",
        ),
        (TOOL + "depth_in = -1\n", ["is -1 in"], " mm"),
        (TOOL + "depth_mm = -1\n", ["is -1 mm"], " in."),
        ('[[tool]]\nkind = "grooving"\nwidth_mm = 2.3\n', ["is 2.3 mm", "Add depth_mm"], "_in"),
    ],
)
def test_lengths_are_told_in_the_unit_they_are_given_in(
    text: str, says: list[str], never: str
) -> None:
    told = fault(text)
    for part in says:
        assert part in told, told
    assert never not in told


def test_names_and_sizes_keep_the_unit_of_the_file() -> None:
    made = shop(
        '[[tool]]\nkind = "drill"\ndiameters_in = [0.25, 0.5]\n[[tool]]\nkind = "grooving"\n'
        'width_in = 0.125\ndepth_in = 0.5\n[[tool]]\nkind = "drill"\ndiameter_mm = 9\n'
        '[[stock]]\nform = "tube"\nname = "DOM"\ntubes_in = [[1.0, 0.75]]\n'
    )
    names = [tool.name for tool in made.tools]
    assert names == ["drill 0.25 in", "drill 0.5 in", "grooving 0.125 in", "drill 9"]
    assert made.stock[0].name == "DOM 1 in × 0.75 in"


@pytest.mark.parametrize(
    "text",
    [
        TOOL + "depth_mm = 1e300\n",
        TOOL + "depth_in = 1e300\n",
        TOOL + "depth_mm = 1e-300\n",
        TOOL + '[[machine]]\nname = "m"\ncontrol = "cnc"\nswing_mm = 1e12\n',
        TOOL + '[[stock]]\nform = "bar"\nsizes_mm = [10, 1e9]\n',
    ],
)
def test_lengths_that_no_workshop_has(text: str) -> None:
    assert "Write at " in fault(text)


LATHE = TOOL + '[[machine]]\nname = "m"\ncontrol = "manual"\n'
CHUCK = TOOL + '[[holding]]\nname = "c"\nkind = "three-jaw"\noutside_mm = [3, 160]\n'
BAR = '[[tool]]\nkind = "boring"\nbar = "S12M-SCLCR 06"\ninsert = "CCMT 060204"\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            LATHE + "swing_mm = 25\nswing_over_cross_slide_mm = 35000\n",
            'line 9: machine 1 "m", key swing_over_cross_slide_mm, is 35000 mm, but the swing over '
            "the bed is 25 mm. What turns over the cross slide passes over the bed too",
        ),
        (
            LATHE + "spindle_bore_in = 1\nbar_capacity_in = 2\n",
            "key bar_capacity_in, is 2 in, but the spindle bore is 1 in. Bar is fed through that",
        ),
        (
            LATHE + "swing_mm = 20\nspindle_bore_mm = 26\n",
            "key spindle_bore_mm, is 26 mm, but the swing over the bed is 20 mm",
        ),
        # pi 0.25 m x 45 a minute = 35 m/min, which is slow for steel even at the rim
        (
            LATHE + "swing_mm = 250\nmax_rpm = 45\n",
            'line 9: machine 1 "m", key max_rpm, is 45: all that it swings, 250 mm, would turn at '
            "35 m/min only. Write the highest speed engraved on the lathe",
        ),
        (LATHE + "max_rpm = 1e6\n", "key max_rpm, is 1e+06. Write at most 100000"),
        (
            LATHE + "power_kw = 1500\n",
            "key power_kw, is 1500, but lathes have 0.01 to 500 kW. If 1500 W are meant, write "
            "power_kw = 1.5",
        ),
        (LATHE + "power_kw = 0\n", "Write what the lathe's plate says, in kW"),
        (CHUCK + "least_grip_per_diameter = 50\n", "is 50. Write at most 5"),
        (CHUCK + "jaw_standoff_mm = 2000\n", "is 2000 mm. Write at most 200 mm"),
        # f of an S12 bar is 9 mm in the table: nose and bar are 9 + 12 / 2 = 15 mm wide
        (
            BAR + "min_bore_in = 12\n",
            "key min_bore_in, is 12 in, but nose and bar are f + d/2 = 0.590551 in wide. Write "
            "the smallest bore that this bar goes into",
        ),
        (BAR + "f_mm = 90\n", "key f_mm, is 90 mm: no nose stands so far off the axis of a bar"),
    ],
)
def test_numbers_that_contradict_one_another_or_that_no_workshop_has(text: str, says: str) -> None:
    assert says in fault(text)


def test_all_that_a_lathe_says_wrong_is_told_at_once() -> None:
    told = fault(
        LATHE + "swing_mm = 25\nswing_over_cross_slide_mm = 35000\nspindle_bore_mm = 20\n"
        "bar_capacity_mm = 50\nmax_rpm = 45\npower_kw = 1500\n"
    )
    for line in (9, 11, 12, 13):
        assert f"  line {line}: machine 1 " in told


@pytest.mark.parametrize(
    "lathe",
    [
        # a watchmaker's, a bench lathe, one for rolls, a vertical one: plates, from memory
        "swing_mm = 50\nspindle_bore_mm = 8\nbar_capacity_mm = 8\nmax_rpm = 6000\npower_kw = 0.06",
        "swing_mm = 180\nswing_over_cross_slide_mm = 110\nmax_rpm = 2500\npower_kw = 0.25",
        "swing_mm = 1800\nswing_over_cross_slide_mm = 1400\nmax_rpm = 160\npower_kw = 110",
        "swing_mm = 16000\nmax_rpm = 4\npower_kw = 200",
    ],
)
def test_lathes_small_and_large_are_taken(lathe: str) -> None:
    assert shop(LATHE + lathe + "\n").machines[0].power_kw is not None


OUTLINE = '[[tool]]\nname = "o"\nkind = "outline"\naccess = "outer"\ncutting = '


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ("[[0, 0], [1e300, 0], [0, 1]]", "at most 5000 mm from the programmed point"),
        ("[[0, 0], [9e3, 0], [0, 1]]", "at most 5000 mm from the programmed point"),
        ("[[0, 0], [nan, 0], [0, 1]]", "finite"),
        ("[[0, 0], [1, -inf], [0, 1]]", "finite"),
        ("[[0, 0], [2, 2], [2, 0], [0, 2]]", "crosses itself"),
        ("[[0, 0], [2, 0], [1, 0]]", "all but a line"),
        ("[[0, 0], [100, 0], [50, 1e-6]]", "all but a line"),
        ("[[0, 0], [1e-200, 0], [0, 1e-200]]", "all but a line"),
    ],
)
def test_outlines_that_cannot_be_are_refused_with_their_line(points: str, says: str) -> None:
    told = fault(OUTLINE + f"[{points}]\n")
    assert "my.toml line 5: " in told
    assert "polygon 1" in told
    assert says in told


def test_clockwise_and_anticlockwise_outlines_are_one_tool() -> None:
    corners = ["[0, 0]", "[4, 0]", "[4, 9]", "[0, 9]"]
    ways = [f"[[{', '.join(way)}]]\n" for way in (corners, [corners[0], *corners[:0:-1]])]
    assert shop(OUTLINE + ways[0]).tools[0].outlines == shop(OUTLINE + ways[1]).tools[0].outlines


@pytest.mark.parametrize("given", [3, {}, [], b"x", True, 1.5])
def test_what_is_no_shop_is_told_with_the_types_that_are(given: object) -> None:
    """A library's user may catch the package's errors, or Python's TypeError."""
    for call in (lambda: analyze("none.step", shop=given), lambda: load_shop(given)):  # type: ignore[arg-type]
        with pytest.raises(TurnabilityError) as caught:
            call()
        assert isinstance(caught.value, ShopUnusable)
        assert isinstance(caught.value, TypeError)
        for part in (type(given).__name__, "turnability.Shop", "os.PathLike", "None"):
            assert part in str(caught.value)


def test_names_taken_twice_are_told_as_they_came_about() -> None:
    nameless = '[[tool]]\nkind = "grooving"\nwidth_mm = 3.0\n'
    told = fault(nameless + nameless)
    assert 'line 4: tool 2 has no name, and "grooving 3"' in told
    assert "taken by the one in line 1. Add name" in told
    twice = fault('[[tool]]\nkind = "drill"\ndiameters_mm = [3, 3]\n')
    assert 'makes two tools called "drill 3". Give each size once' in twice
    assert "key name, is empty" in fault('[[tool]]\nname = " "\nkind = "drill"\ndiameter_mm = 3\n')
