"""Parsed entities of STEP files: every kind of value of ISO 10303-21, and text that is none."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from tests.part.stated_files import NECK, Wanted, write_stated
from turnability.errors import PartUnreadable
from turnability.part.reading.facts import FileFacts
from turnability.part.reading.names import clean
from turnability.part.reading.records import (
    Records,
    Reference,
    Typed,
    Word,
    number_in,
    references,
    words_in,
)
from turnability.part.reading.step_text import read_step_text

FILE = """ISO-10303-21;
HEADER;FILE_DESCRIPTION((''),'2;1');FILE_NAME('','',(''),(''),'','','');FILE_SCHEMA(('AP242'));
ENDSEC;
DATA;
{}
ENDSEC;
END-ISO-10303-21;
"""


def records(tmp_path: Path, entities: str) -> Records:
    path = tmp_path / "a.step"
    path.write_text(FILE.format(entities))
    return Records(read_step_text(path))


def test_every_kind_of_value(tmp_path: Path) -> None:
    found = records(
        tmp_path,
        "#1=THING('it''s #2, (a);',#7 ,.NR2.,-1.5E-3,$,*,(1,(#3)),LENGTH_MEASURE(2.),\"0F\""
        " /* , 9 */);",
    )
    assert found.simple(1, "THING") == (
        "it's #2, (a);", Reference(7), Word("NR2"), -0.0015, None, None,
        (1.0, (Reference(3),)), Typed("LENGTH_MEASURE", (2.0,)), None,
    )  # fmt: skip
    assert list(references(found.simple(1, "THING"))) == [7, 3]
    assert list(words_in(found.simple(1, "THING"))) == ["NR2"]
    assert number_in(found.simple(1, "THING")[7]) == 2.0


def test_complex_entities_are_found_by_each_keyword(tmp_path: Path) -> None:
    found = records(tmp_path, "#5=(B_PART((#1,#2))A_PART('x')\nC_PART());\n#4=A_PART('y');")
    assert found.named("A_PART") == [5, 4]
    assert found.keywords(5) == {"A_PART", "B_PART", "C_PART"}
    assert found.simple(5, "A_PART") == ("x",)
    assert found.simple(5, "C_PART") == ()
    assert found.keywords(99) == frozenset()


@pytest.mark.parametrize(
    "text", ["((1,2)", "(1))", "(1,&)", "(1.2.3)", "(" * 60 + "1" + ")" * 60, ""]
)
def test_what_is_no_list_of_parameters_is_nothing(tmp_path: Path, text: str) -> None:
    assert records(tmp_path, f"#1=THING{text};")[1] in ({}, {"THING": ()})


def test_names_are_cleared_of_control_characters_and_cut() -> None:
    assert clean("a\x1b[2J\r\n b\u202ec\u0000") == "a [2J b c"
    assert len(clean("word " * 10_000)) <= 200
    assert clean("ø 12 – 日本") == "ø 12 – 日本"


def test_facts_of_damaged_texts_are_told_or_left_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """References, values and keywords exchanged at random: nothing of it may even go wrong."""
    path = write_stated(
        tmp_path / "a.step",
        Wanted(names={NECK: "seat"}, colours={NECK: (1.0, 0.0, 0.0)}, layers={None: ["one"]}),
    )
    text, random_ = path.read_text(), random.Random(12)
    patterns = (r"#\d+", r"=\s*[A-Z_]+", r"\$|\.T\.|\(#\d+\)|'[^']*'")
    for round_ in range(60):
        places = list(re.finditer(patterns[round_ % 3], text[text.index("DATA;") :]))
        others = [place.group() for place in places] + ["$", "((#1))", "*", "A(#2)"]
        chosen = {random_.randrange(len(places)) for _ in range(60)}
        count = iter(range(len(places)))

        def exchanged(
            hit: re.Match[str],
            count: object = count,
            chosen: set[int] = chosen,
            others: list[str] = others,
        ) -> str:
            return random_.choice(others) if next(count) in chosen else hit.group()  # type: ignore[call-overload]

        head, data = text.split("DATA;", 1)
        path.write_text(head + "DATA;" + re.sub(patterns[round_ % 3], exchanged, data))
        try:
            step = read_step_text(path)
        except PartUnreadable:
            continue
        FileFacts(step)._of(tuple(step.faces) or (None,))
