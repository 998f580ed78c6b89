"""Broken TOML: each fault told with its line and way out, the rest of the file still read."""

from __future__ import annotations

import random
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.errors import TurnabilityError
from turnability.shop.load import starter_shop_text
from turnability.toml_file.broken import mend
from turnability.toml_file.read import parse

LISTS = ("tool", "holding")


def faults(text: str) -> list[tuple[int, str | None, str]]:
    return [(b.line, b.key, f"{b.cause}. {b.remedy}") for b in mend(text, LISTS)[1]]


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ('"a', 'has a quote (") without its partner'),
        ('a"', 'has a quote (") without its partner'),
        ("'a", "has a quote (') without its partner"),
        ('["a", "b]', 'has a quote (") without its partner'),
        ("", "has no value"),
        ("# only a remark", "has no value"),
        ("3,5", "Write a point: x = 3.5"),
        ("3.5 mm", "Write the number alone, x = 3.5"),
        ("3mm", "Write the number alone, x = 3"),
        (".5", "Write x = 0.5"),
        ("-5.", "Write x = -5.0"),
        ("True", "Write x = true, in small letters"),
        ("no", "Write x = false, in small letters"),
        ("grooving", 'Write x = "grooving"'),
        ("CNMG 120408", 'Write x = "CNMG 120408"'),
        ("“CNMG 120408”", 'Write straight ones: x = "CNMG 120408"'),
        (r'"C:\shop"', "between ' and '"),
        ("3 y = 4", "is no value"),
        ('"a" "b"', "has more behind its value"),
        ("012", "is no value"),
        ("1979-13-05", "is no value"),
    ],
)
def test_a_value_that_toml_does_not_take(value: str, says: str) -> None:
    text = f"a = 1\nx = {value}\nb = 2\n"
    with pytest.raises(tomllib.TOMLDecodeError):  # the standard library is the judge
        tomllib.loads(text)
    ((line, key, told),) = faults(text)
    assert (line, key) == (2, "x")
    assert says in told
    read = tomllib.loads(mend(text, LISTS)[0])
    assert read == {"a": 1, "x": {}, "b": 2}


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("a = [\n 1,\n 2\nb = 2\n", 1, "opens a list with [ that is not closed"),
        ("a = [\n [1, 2],\n [3\n[[tool]]\nb = 1\n", 3, "opens a list with [ that is not closed"),
        ("a = { b = 1\nc = 2\n", 1, "opens a table with {"),
        ('a = """\nmore\n', 1, 'a text with """ that is not closed'),
        ("[[tool]\na = 1\n", 1, "Write [[tool]] alone in its line"),
        ("[tool]]\na = 1\n", 1, "Write [[tool]] alone in its line"),
        ("[[tool\na = 1\n", 1, "Write [[tool]] alone in its line"),
        ("[one\na = 1\n", 1, "Write [one] alone in its line"),
        ("[]\na = 1\n", 1, "Headings look like"),
        ("[one]\na = 1\n[one]\nb = 1\n", 3, "[one] stands there twice, first in line 1"),
        ("[tool]\na = 1\n", 1, "[tool] stands in single brackets. Begin each tool with [[tool]]"),
        ("[[tool]]\na = 1\nb = 2\na = 3\n", 4, "is given twice, first in line 2"),
        ("hello\n", 1, "neither a key with its value nor a heading"),
        ("width mm = 3\n", 1, "is no key"),
        ("width_mm: 3\n", 1, "Write width_mm = 3"),
        ("width_mm 3 # wide\n", 1, "Write width_mm = 3"),
        ("= 3\n", 1, "is no key"),
    ],
)
def test_a_statement_that_is_none(text: str, line: int, says: str) -> None:
    ((at, _, told),) = faults(text)
    assert at == line
    assert says in told
    tomllib.loads(mend(text, LISTS)[0])


def test_all_faults_at_once_each_in_its_line() -> None:
    text = (
        'name = "x\n[tool]\na = 3,5\nb = 1\nb = 2\n[[tool]]\na = yes\nc = [1,\n 2]\n'
        "d = \"# no remark [\"\n[tool]\ne = '[[tool]]'\nf 3\n"
    )
    mended, found = mend(text, LISTS)
    assert [one.line for one in found] == [1, 2, 3, 5, 7, 11, 13]
    assert [one.table for one in found][2:5] == [("tool", 0), ("tool", 0), ("tool", 1)]
    assert tomllib.loads(mended) == {
        "name": {},
        "tool": [
            {"a": {}, "b": 1},
            {"a": {}, "c": [1, 2], "d": "# no remark ["},
            {"e": "[[tool]]", "f": {}},
        ],
    }
    assert mended.count("\n") == text.count("\n")


def test_sound_text_stays_as_it_is() -> None:
    text = starter_shop_text()
    assert mend(text, ("tool", "holding", "machine", "stock")) == (text, [])


@given(st.text(alphabet="ab=[]{}\"'#\n ,.3\\", max_size=60))
def test_whatever_parses_is_not_called_broken_and_the_rest_is(text: str) -> None:
    """The standard library's parser is the judge of what is TOML."""
    try:
        tomllib.loads(text)
        sound = True
    except tomllib.TOMLDecodeError:
        sound = False
    told = told_of(text)
    assert (told == "") == sound
    assert sound or "line " in told


def told_of(text: str) -> str:
    """All that is said of a text; nothing where it is sound."""
    try:
        file = parse(text.encode(), "t", "file", TurnabilityError, LISTS)
    except TurnabilityError as error:
        return str(error)
    return str(file.error()) if file.found else ""


def test_damaged_shop_files_give_faults_not_crashes() -> None:
    chance = random.Random(7)
    text = starter_shop_text()
    for _ in range(60):
        damaged = list(text)
        for _ in range(chance.randint(1, 6)):
            at = chance.randrange(len(damaged))
            damaged[at] = chance.choice(["", '"', "[", "]", "=", "\n", "#", "'", "x"])
        told = told_of("".join(damaged))
        assert told == "" or "line " in told
