"""Unusable shop files say file, key, line, cause and way out; good ones give the shop."""

from __future__ import annotations

import hashlib
import random
import re
from pathlib import Path

import pytest

from turnability.errors import ShopUnusable
from turnability.shop.books import weight
from turnability.shop.load import _shop_of, load_shop, starter_shop, starter_shop_text
from turnability.shop.usual_stock import usual_sizes
from turnability.stock.allowance import least_size_mm

TOOL = '[[tool]]\nkind = "grooving"\nwidth_mm = 3.0\n'


def fault(tmp_path: Path, text: str | bytes) -> ShopUnusable:
    file = tmp_path / "my.toml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(ShopUnusable) as caught:
        load_shop(file)
    return caught.value


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (TOOL + "wdith_mm = 2.0\n", 4, ["key wdith_mm", "no key here", "Did you mean width_mm?"]),
        ('[[tool]]\nkind = "grooving"\nwidth = 3.0\n', 3, ["key width,", "width_mm or width_in"]),
        ('[[tool]]\nkind = "grooving"\nwidth_cm = 3.0\n', 3, ["unit cm", "width_mm or width_in"]),
        (TOOL + "width_in = 0.1\n", 4, ["key width_in", "given beside width_mm"]),
        ('[[tool]]\nkind = "groovin"\nwidth_mm = 3\n', 2, ["groovin", "Did you mean grooving?"]),
        ("[[tool]]\nwidth_mm = 3\n", 1, ["has no kind", "drill"]),
        ('[[tool]]\nkind = "grooving"\n', 1, ["has no width_mm (or width_in)"]),
        (TOOL + 'depth_mm = "9 mm"\n', 4, ["key depth_mm", 'text "9 mm"', "without its unit"]),
        (TOOL + "depth_mm = true\n", 4, ["key depth_mm", "true", "a number"]),
        (TOOL + "depth_mm = -1\n", 4, ["key depth_mm", "-1", "greater than 0"]),
        (TOOL + "depth_mm = nan\n", 4, ["key depth_mm", "finite"]),
        (TOOL + "depth_mm = 0x" + "f" * 400 + "\n", 4, ["key depth_mm", "finite"]),
        (TOOL + 'hand = "rihgt"\n', 4, ["key hand", "Did you mean right?"]),
        (TOOL + "[[tol]]\n", 4, ["tol", "Did you mean tool?"]),
        (TOOL + "[[reamer]]\n", 4, ["reamer", 'write [[tool]], with kind = "reamer"']),
        ('units = "inches"\n' + TOOL, 1, ["key units", "Did you mean inch?"]),
        (TOOL + "depth_mm = \n", 4, ["key depth_mm, has no value", "depth_mm = ..."]),
        (TOOL + "width_mm = 4.0\n", 4, ["key width_mm, is given twice, first in line 3"]),
        (TOOL + 'name = "a\n', 4, ['key name, has a quote (") without its partner']),
        ("tool = 3\n", 1, ["not a list of tables", "[[tool]]"]),
        ("[tool]\nkind = 'grooving'\nwidth_mm = 3\n", 1, ["single brackets", "[[tool]]"]),
        (TOOL + 'name = "a"\n' + TOOL + 'name = "a"\n', 8, ['"a" is taken', "line 1"]),
        (
            TOOL + "[stock_policy]\ndiameter_allowance = 1\n",
            5,
            ["says no unit", "diameter_allowance_mm or diameter_allowance_in"],
        ),
        (TOOL + "[[stock_policy]]\n", 4, ["[stock_policy] in single brackets"]),
        (TOOL + '[[holding]]\nname = "c"\nkind = "three-jaw"\n', 4, ["neither outside nor inside"]),
        (
            TOOL + '[[holding]]\nname = "c"\nkind = "collet"\noutside_mm = [20, 1]\n',
            7,
            ["smaller first"],
        ),
        (TOOL + '[[machine]]\nname = "m"\ncontrol = "hand"\n', 6, ["key control", "cnc, manual"]),
        (TOOL + '[[machine]]\nname = "m"\ncontrol = "cnc"\nsteady = "yes"\n', 7, ["true or false"]),
        (TOOL + '[[stock]]\nform = "tube"\nsizes_mm = [30]\n', 6, ["does not go", "tubes_mm"]),
        (TOOL + '[[stock]]\nform = "tube"\ntubes_mm = [[20, 30]]\n', 6, ["[outside, inside]"]),
        (TOOL + '[[stock]]\nform = "bar"\nsizes_mm = []\n', 6, ["is empty"]),
        (
            '[[tool]]\nname = "o"\nkind = "outline"\naccess = "outer"\ncutting = [\n'
            " [[0, 0], [2, 2], [2, 0], [0, 2]],\n]\n",
            5,
            ["key cutting", "polygon 1", "crosses itself"],
        ),
    ],
)
def test_fault_names_line_key_and_way_out(
    tmp_path: Path, text: str, line: int, says: list[str]
) -> None:
    error = fault(tmp_path, text)
    assert f"my.toml line {line}:" in str(error), str(error)
    for part in says:
        assert part in str(error), str(error)
    assert error.remedy


def test_all_faults_at_once_in_order_of_lines(tmp_path: Path) -> None:
    error = fault(
        tmp_path,
        '[[holding]]\nname = "c"\nkind = "vise"\n'
        + TOOL
        + "colour = 1\nhand = 3\n"
        + '[[tool]]\nkind = "turning"\nholder = "PCLNX 2020K12"\ninsert = "CNMG 120408"\n'
        + '[[tool]]\nkind = "drill"\ndiameter_mm = 9\n[[machine]]\n',
    )
    first, *rest = str(error).splitlines()
    assert first.endswith("my.toml: 6 faults. Mend these lines:")
    lines = [int(entry.split("line ")[1].split(":")[0]) for entry in rest]
    assert lines == sorted(lines)
    assert set(lines) == {3, 7, 8, 11, 16}
    assert any('letter 5 of "PCLNX 2020K12" (hand) is X. It may be R, L, N' in r for r in rest)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ('[[tool]]\nkind = "turning"\nholder = "PCLNX 2020K12"\ninsert = "CNMG 99"\n', [3, 4]),
        ('[[tool]]\nkind = "boring"\ninsert = "X"\nbar = "S16"\n', [3, 4]),
        (
            '[[tool]]\nkind = "outline"\nname = "o"\naccess = "outer"\n'
            "body = [[[0, 0]]]\ncutting = [[[0, 0], [1, 1], [2, 2]]]\n",
            [5, 6],
        ),
        (
            '[[tool]]\nkind = "outline"\naccess = "outer"\n'
            "cutting = [[[0, 0], [3, 0], [0, 3], [3, 3]], [[0, 0], [1, 1]]]\n"
            'body = [[[0, 3], [3, 3]], [[0, 0], [0, 1], ["a", 2]]]\n',
            [1, 4, 4, 5, 5],
        ),
        (
            '[[tool]]\nkind = "boring"\nbar = "S12M-SCLCR 06"\ninsert = "CCMT 060204"\n'
            "f_mm = 5\noverhang_mm = 500\n",
            [5, 6],
        ),
        (
            '[[tool]]\nkind = "internal-grooving"\nwidth_mm = 3\nbar_diameter_mm = 16\n'
            "corner_radius_mm = 2\n",
            [1, 5],
        ),
        (
            '[[tool]]\nkind = "end-grooving"\nwidth_mm = 3\ndepth_mm = 12\n'
            "first_cut_mm = [4, 40]\ncorner_radius_mm = 2\n",
            [5, 6],
        ),
        (
            '[[tool]]\nkind = "reamer"\ndiameter_mm = 8\ncutting_length_mm = 40\n'
            'allowance_mm = 9\nfit = "h7"\nlead_mm = 5\noverall_length_mm = 30\n',
            [5, 6, 7, 8],
        ),
    ],
)
def test_all_faults_of_one_tool_are_told(tmp_path: Path, text: str, lines: list[int]) -> None:
    told = str(fault(tmp_path, text)).splitlines()[1:]
    assert [int(entry.split("line ")[1].split(":")[0]) for entry in told] == lines


def test_every_bad_value_of_a_list_is_told_in_its_own_line(tmp_path: Path) -> None:
    text = (
        '[[tool]]\nname = "a"\nkind = "drill"\ndiameters_mm = [\n  3.0, -4.0,  # x, y [\n'
        '  "5 mm", 6.0,\n  true]\n'
        '[[tool]]\nname = "b"\nkind = "drill"\ndiameters_in = [0.25, 50.0,\n 0.5, 60.0]\n'
        '[[stock]]\nform = "tube"\ntubes_mm = [[20, 30], [30, 20],\n [30, 40]]\n'
    )
    assert str(fault(tmp_path, text)).splitlines()[1:] == [
        '  line 5: tool 1 "a", key diameters_mm, value 2, is -4 mm. Write a length greater than 0',
        '  line 6: tool 1 "a", key diameters_mm, value 3, is the text "5 mm". Write a number '
        "without its unit, in mm",
        '  line 7: tool 1 "a", key diameters_mm, value 5, is true. Write a number without its '
        "unit, in mm",
        '  line 11: tool 2 "b", key diameters_in, value 2, is 50 in: its flute length is not '
        "known. Add flute_length_in",
        '  line 12: tool 2 "b", key diameters_in, value 4, is 60 in: its flute length is not '
        "known. Add flute_length_in",
        "  line 15: stock 1, key tubes_mm, value 1, is a tube of 20 mm with a bore of 30 mm. "
        "Write [outside, inside]",
        "  line 16: stock 1, key tubes_mm, value 3, is a tube of 30 mm with a bore of 40 mm. "
        "Write [outside, inside]",
    ]


def test_of_many_bad_values_the_rest_are_counted(tmp_path: Path) -> None:
    text = (
        TOOL + '[[stock]]\nform = "bar"\nsizes_mm = ["6", "8", "9", 10, "12", "14", "15", "16"]\n'
    )
    told = str(fault(tmp_path, text)).splitlines()[1:]
    assert [line.split("value ")[1].split(",")[0] for line in told] == list("123567")
    assert "value 7, and 1 more after it are wrong too" in told[-1]


def test_names_given_twice_are_told_beside_other_faults(tmp_path: Path) -> None:
    text = (
        '[[tool]]\nname = "a"\nkind = "grooving"\nwidth_mm = -3\n'
        '[[tool]]\nname = "a"\nkind = "turning"\nholder = "PCLNR 2020K12"\ninsert = "CNMG 99"\n'
        'hand = "left"\n'
        '[[tool]]\nname = "d"\nkind = "drill"\ndiameters_mm = [3, 900, 3]\n'
        '[[machine]]\nname = "m"\n[[machine]]\nname = "m"\ncontrol = "cnc"\n'
    )
    told = [
        line.removeprefix("  line ").split(". ")[0]
        for line in str(fault(tmp_path, text)).splitlines()
    ]
    assert '4: tool 1 "a", key width_mm, is -3 mm' in told
    assert '6: tool 2, key name, "a" is taken by the one in line 1' in told
    assert any(line.startswith('9: tool 2 "a", key insert, "CNMG 99"') for line in told)
    assert '10: tool 2 "a", key hand, is no key here' in told
    assert any(
        line.startswith('14: tool 3 "d", key diameters_mm, value 2, is 900 mm') for line in told
    )
    assert '11: tool 3 makes two tools called "d 3"' in told
    assert '17: machine 2, key name, "m" is taken by the one in line 15' not in told
    assert '18: machine 2, key name, "m" is taken by the one in line 15' in told


def test_other_keys_are_judged_where_the_kind_is_misspelt_unknown_or_missing(
    tmp_path: Path,
) -> None:
    text = (
        '[[tool]]\nname = "a"\nkind = "turing"\nholder = "SDJCR 2020K11"\ninsret = "DCMT 11T304"\n'
        'note = 3\n[[tool]]\nkind = "zzz"\nwidht_mm = 3\ndepth_mm = "no kind to judge it by"\n'
        "[[tool]]\ndiameters_mm = [3]\ncolour = 1\n"
    )
    told = [line.strip() for line in str(fault(tmp_path, text)).splitlines()[1:]]
    assert told[0] == 'line 3: tool 1 "a", key kind, is "turing". Did you mean turning?'
    assert told[1] == 'line 5: tool 1 "a", key insret, is no key here. Did you mean insert?'
    assert told[2].startswith('line 6: tool 1 "a", key note, is 3. Write text')
    assert told[3].startswith('line 8: tool 2, key kind, is "zzz". It may be boring, ')
    assert told[4] == "line 9: tool 2, key widht_mm, is no key here. Did you mean width_mm?"
    assert told[5].startswith("line 11: tool 3 has no kind. It may be ")
    assert told[6].startswith("line 13: tool 3, key colour, is a key of no kind of tool. Take it")
    assert len(told) == 7


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"   \n\n", "is empty"),
        (b'name = "x"\n', "no tool is given"),
        (b"name = 'x'\nb = '\xff\xfe'\n", "line 2: is not UTF-8"),
        (b"\x00\x01", 'line 1: "??" is neither a key with its value nor a heading'),
        (b"a = " + b"[" * 5000, "line 1: top of the file, key a, opens a list"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "nested too deeply"),
        (b"a = " + b"9" * 5000, "line 1: top of the file, key a"),
    ],
)
def test_files_that_are_no_shop(tmp_path: Path, data: bytes, says: str) -> None:
    assert says in str(fault(tmp_path, data))


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(ShopUnusable, match="no such file"):
        load_shop(tmp_path / "none.toml")
    with pytest.raises(ShopUnusable, match="is a folder"):
        load_shop(tmp_path)


def test_inch_keys_are_converted(tmp_path: Path) -> None:
    """1/8 in = 3.175 mm exactly (international inch, 1959)."""
    file = tmp_path / "inch.toml"
    file.write_text(
        'units = "inch"\n[[tool]]\nkind = "grooving"\nwidth_in = 0.125\ndepth_mm = 10.0\n'
        '[[stock]]\nform = "tube"\nname = "DOM"\ntubes_in = [[1.0, 0.75]]\n'
        '[[holding]]\nname = "c"\nkind = "collet"\noutside_in = [0.0625, 1.0]\n'
    )
    shop = load_shop(file)
    assert shop.inch
    assert shop.tools[0].limits["width_mm"] == pytest.approx(3.175)
    assert shop.tools[0].limits["depth_mm"] == 10.0
    assert shop.stock[0].across_mm == pytest.approx(25.4)
    assert shop.stock[0].inner_diameter_mm == pytest.approx(19.05)
    assert shop.holdings[0].outside_mm == pytest.approx((1.5875, 25.4))


def test_byte_order_mark_and_windows_line_ends(tmp_path: Path) -> None:
    file = tmp_path / "windows.toml"
    file.write_bytes(b"\xef\xbb\xbf" + TOOL.replace("\n", "\r\n").encode())
    assert load_shop(file).tools[0].kind == "grooving"
    error = fault(tmp_path, (TOOL + "x = 1\n").replace("\n", "\r\n"))
    assert "line 4:" in str(error)


def test_weight_and_note_may_be_given(tmp_path: Path) -> None:
    file = tmp_path / "w.toml"
    file.write_text(TOOL + 'weight = 7.5\nnote = "only for brass"\n')
    (tool,) = load_shop(file).tools
    assert tool.weight == 7.5
    assert "only for brass" in tool.notes


def test_starter_shop_is_a_small_whole_shop() -> None:
    shop = starter_shop()
    assert shop == starter_shop()
    assert shop.sha256 == hashlib.sha256(starter_shop_text().encode()).hexdigest()
    kinds = [tool.kind for tool in shop.tools]
    assert kinds.count("boring") >= 2
    assert {"turning", "grooving", "parting", "internal-grooving", "drill"} <= set(kinds)
    assert {m.control for m in shop.machines} == {"manual", "cnc"}
    assert any(h.kind == "three-jaw" and h.inside_mm and h.outside_mm for h in shop.holdings)
    assert shop.stock_policy is not None
    assert shop.stock_policy.diameter_allowance.value == pytest.approx(1.27)
    assert not shop.stock_policy.diameter_allowance.verified
    assert all(size.source for size in shop.stock)


def test_a_stock_policy_leaves_what_it_does_not_state_to_common_practice(tmp_path: Path) -> None:
    """0.050 in on diameter, 1 mm at either end, 3 mm for parting: common practice, no source."""
    file = tmp_path / "my.toml"
    whole = {"diameter_allowance", "end_allowance_mm", "parting_width_mm"}
    for text, allowance_mm, ends_mm, unstated in (
        ("", 1.27, 1.0, whole),
        ("diameter_allowance_mm = 2\n", 2.0, 1.0, whole - {"diameter_allowance"}),
        ("end_allowance_in = 0.1\nparting_width_mm = 2\n", 1.27, 2.54, {"diameter_allowance"}),
    ):
        file.write_text(TOOL + "[stock_policy]\n" + text)
        policy = load_shop(file).stock_policy
        assert policy is not None
        assert least_size_mm(0.0, policy) == pytest.approx(allowance_mm)
        assert policy.end_allowance_mm == pytest.approx(ends_mm)
        assert policy.unstated == unstated


def test_the_sturdy_and_ordinary_are_the_first_to_be_chosen() -> None:
    """Design: strong corners before pointed ones, outside and drill before bars, right before left,
    inside blades last, special outlines dearer than all.
    """
    cheapest_first = ["rough right", "rough left", "copy 55 right", "copy 35 right", "copy 35 left"]
    weights = {tool.name: tool.weight for tool in starter_shop().tools}
    chosen = [weights[name] for name in cheapest_first]
    assert chosen == sorted(set(chosen))
    assert weights["rough right"] < weights["finish 80 right"] < weights["copy 55 right"]
    assert weights["drill 9"] < weights["bore 12"] < weights["bore 20"] < weights["groove inside 3"]
    assert weights["groove 2"] < weights["part 3"]
    assert weights["drill 10"] < weights["slot drill 10"] < weights["bore 8"]
    assert max(weights.values()) < weight("outline")


def test_starter_shop_is_the_same_read_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "copy.toml"
    file.write_text(starter_shop_text(), encoding="utf-8")
    assert load_shop(file) == starter_shop()
    assert load_shop(str(file)) == starter_shop()


def test_what_stands_from_memory_is_said() -> None:
    shop = starter_shop()
    notes = {tool.name: " ".join(tool.notes) for tool in shop.tools}
    assert "f 25 mm from memory (ISO 5610:1998 series), unverified" in notes["rough right"]
    assert "common practice" in notes["groove 3"]
    assert "drill 9" in notes
    assert "unverified" not in notes["drill 9"]


def test_no_damage_to_a_shop_file_is_more_than_a_fault_with_its_line() -> None:
    """Lines dropped, doubled, cut short, or given another value: a shop, or ShopUnusable."""
    chance = random.Random(2026)
    lines = starter_shop_text().splitlines()
    values = ['"x"', "-1", "0", "1e400", "nan", "true", "[]", "[[1, 2]]", "{ a = 1 }", "9" * 400]
    values += ["1979-05-27", '""', '"outline"', "1e-300", "1e12"]
    seen = {True: 0, False: 0}
    for _ in range(150):
        damaged = list(lines)
        for _ in range(chance.randint(1, 3)):
            at, how = chance.randrange(len(damaged)), chance.randrange(4)
            if how == 0:
                del damaged[at]
            elif how == 1:
                damaged.insert(at, chance.choice(lines))
            elif how == 2:
                damaged[at] = damaged[at].split("=")[0] + "= " + chance.choice(values)
            else:
                damaged[at] = damaged[at][: chance.randrange(len(damaged[at]) + 1)]
        told = _told("\n".join(damaged))
        seen[told is None] += 1
        if told is not None:
            assert "line " in str(told)
            assert told.cause
            assert told.remedy
    assert seen[False] > 50
    assert seen[True] > 0


def _told(text: str) -> ShopUnusable | None:
    try:
        _shop_of(text.encode(), "damaged.toml", "damaged")
    except ShopUnusable as error:
        return error
    return None


def test_what_the_starter_shop_shows_in_comments_is_sound() -> None:
    """Its commented tables, uncommented, are a shop of their own, but for the bare outline's."""
    text = starter_shop_text()
    spans = (
        ("more kinds, to be uncommented", "tools of one's own"),
        ("More holdings, to be uncommented", "lathes\n"),
        ("More stock, to be uncommented", None),
    )
    tables = []
    for first, last in spans:
        shown = text[text.index(first) :].partition(last or "\0")[0]
        lines = [line[2:] for line in shown.splitlines() if line.startswith("# ")]
        tables += [line for line in lines if re.match(r"\[|[a-z_]+ = ", line)]
    shop = _shop_of("\n".join(tables).encode(), "shown.toml", "shown")
    assert {tool.kind for tool in shop.tools} == {"end-grooving", "reamer"}
    assert {tool.kind for tool in shop.thread_tools} == {"die"}
    kinds = {holding.kind for holding in shop.holdings}
    arbors = {"bolt-arbor", "glued-arbor"}
    assert kinds == {"soft-jaws", "mandrel", "four-jaw", "between-centres"} | arbors
    assert {size.form for size in shop.stock} == {"hex", "tube"}
    hexagons = [size for size in shop.stock if size.form == "hex"]
    assert "hexagon 19" in {size.name for size in hexagons}
    usual = {size.across_mm for size in usual_sizes("metric hex")}
    assert {size.across_mm for size in hexagons} <= usual
    assert shop.rates is not None


@pytest.mark.parametrize(
    ("written", "meant"), [("lathe", "machine"), ("chuck", "holding"), ("bars", "stock")]
)
def test_tables_by_what_people_call_them(tmp_path: Path, written: str, meant: str) -> None:
    file = tmp_path / "shop.toml"
    file.write_text(f'[[{written}]]\nname = "ours"\n')
    with pytest.raises(ShopUnusable, match=f"Did you mean {meant}"):
        load_shop(file)


def test_a_part_given_as_the_shop_is_one_fault(tmp_path: Path) -> None:
    path = tmp_path / "part.step"
    path.write_text("ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('X'));\nENDSEC;\n")
    with pytest.raises(ShopUnusable, match="this is a STEP file") as told:
        load_shop(path)
    assert "\n" not in str(told.value)
