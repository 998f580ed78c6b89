"""Damage that keeps the kernel from reading, or kills it, is named by entity and line."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from turnability.errors import PartUnreadable
from turnability.part.reading.damage import damage_of
from turnability.part.reading.read import read_solids, solids_in
from turnability.part.reading.step_text import read_step_text

FIXTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures").glob("*.step"))
PIN = next(p for p in FIXTURES if p.stem == "release_pin").read_text()


def at(begin: str, text: str = PIN) -> int:
    """The line in which something first stands."""
    return 1 + text[: text.index(begin)].count("\n")


def number_of(keyword: str) -> str:
    return re.findall(rf"(#\d+) = {keyword}\(", PIN)[0]


def without_header_end(text: str) -> str:
    return text.replace("ENDSEC;", "", 1)


def without_data(text: str) -> str:
    return text.replace("DATA;", "DATE;", 1)


def with_open_comment(text: str) -> str:
    return re.sub(r"VECTOR\(''", "VECTOR(/* ", text, count=1)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (without_header_end, "its header has no end (ENDSEC)"),
        (without_data, "it has no data section"),
        (
            with_open_comment,
            f"the comment that begins in line {at(number_of('VECTOR') + ' =')} has no end",
        ),
    ],
)
def test_why_the_kernel_cannot_read_a_text(tmp_path, change, says):
    path = tmp_path / "pin.step"
    path.write_text(change(PIN))
    with pytest.raises(PartUnreadable) as told:
        read_solids(path)
    assert f"the file is damaged: {says}; so the CAD kernel cannot read" in str(told.value)
    assert told.value.remedy.startswith("Copy it again")


def one_less(text: str) -> str:
    return re.sub(r"(VECTOR\('',#\d+),[^)]*", r"\1", text, count=1)


def one_more(text: str) -> str:
    return re.sub(r"(VECTOR\('',#\d+),", r"\1,,", text, count=1)


def deep(text: str) -> str:
    return re.sub(r"(VECTOR\('',#\d+,)", rf"\1{'(' * 5000}{')' * 5000}", text, count=1)


def with_nul(text: str) -> str:
    return re.sub(r"VECTOR\(''", "VECTOR('\x00'", text, count=1)


VECTOR = f"{number_of('VECTOR')} (line {at(number_of('VECTOR') + ' =')})"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (one_less, f"{VECTOR} is a VECTOR of 2 parameters, where ISO 10303-42 gives it 3"),
        (one_more, f"{VECTOR} is a VECTOR of 4 parameters, where ISO 10303-42 gives it 3"),
        (deep, f"{VECTOR} nests its lists 5001 deep"),
        (with_nul, f"line {at(number_of('VECTOR') + ' =')} holds what is no text"),
    ],
)
def test_what_kills_the_kernel_is_found_in_the_text(tmp_path, change, says):
    """The parent looks at the text alone, once the kernel has died on it."""
    path = tmp_path / "pin.step"
    path.write_text(change(PIN))
    assert damage_of(read_step_text(path)) == says


@pytest.mark.parametrize("path", FIXTURES, ids=lambda p: p.stem)
def test_whole_files_are_accused_of_nothing(path):
    assert damage_of(read_step_text(path)) is None


@pytest.mark.shared_parts
def test_real_files_are_accused_of_nothing(shared_parts):
    """Of many exporters: a count of parameters that were wrong here would show."""
    paths = sorted(shared_parts.glob("*.step"))
    assert len(paths) > 50
    assert {p.name: said for p in paths if (said := damage_of(read_step_text(p)))} == {}


def test_a_solid_whose_shell_lists_no_face_is_told_as_lost(tmp_path):
    """Nothing refers to faces of it, so that the kernel passes it over without a word."""
    second = PIN.index("CLOSED_SHELL", PIN.index("CLOSED_SHELL") + 1)
    text = PIN[:second] + re.sub(r"\('',\([^)]*\)", "('',()", PIN[second:], count=1)
    path = tmp_path / "pin.step"
    path.write_text(text)
    sound, lost = solids_in(path)
    assert not isinstance(sound, PartUnreadable)
    assert (sound.source.solid, sound.source.solids) == (1, 2)
    assert isinstance(lost, PartUnreadable)
    assert f"{path}, solid 2 of 2: the CAD kernel could make no solid of #" in str(lost)
