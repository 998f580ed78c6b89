"""The memory: what is put comes back, old files are brought up to date, strange ones refused."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from turnability.batch.memory import STEPS, Entry, Memory
from turnability.batch.model import Judged, Key, Result
from turnability.errors import OutputUnwritable, TurnabilityError

KEY = Key("c", "i", "s", "p")


def result(text: str = "x", **more: object) -> Result:
    one = Judged(1, 1, "pin", "turnable", document=f'{{"{text}": 1}}', drawing="<svg/>")
    return Result((one,), (), 0.5, **more)  # type: ignore[arg-type]


def test_what_is_put_comes_back_after_reopening(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "deep" / "m.sqlite")
    number = memory.put(KEY, result())
    run = memory.begin("monday", True)
    memory.end(run, [Entry("a.step", number, "c", 2, 1)], "{}")
    memory.close()
    memory = Memory(tmp_path / "deep" / "m.sqlite")
    assert memory.result_of(KEY) == number
    (one,) = memory.judged(number)
    assert (one.name, one.verdict, one.document) == ("pin", "turnable", "")
    assert memory.texts(number) == {1: ('{"x": 1}', "<svg/>")}
    assert memory.entries(run) == {"a.step": Entry("a.step", number, "c", 2, 1)}
    assert [one.name for one in memory.runs()] == ["monday"]
    memory.close()


@pytest.mark.parametrize("name", ["content", "intent", "shop", "program"])
def test_each_part_of_the_key_counts(tmp_path: Path, name: str) -> None:
    memory = Memory(tmp_path / "m.sqlite")
    memory.put(KEY, result())
    other = {"content": "c", "intent": "i", "shop": "s", "program": "p", name: "other"}
    assert memory.result_of(Key(**other)) is None
    # geometry rests on the file and the program alone
    known = memory.parts_of(other["content"], other["program"]) is not None
    assert known is (name in ("intent", "shop"))
    memory.close()


def test_a_run_that_did_not_end_is_no_run_to_compare_with(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "m.sqlite")
    memory.begin(None, True)
    part = memory.begin(None, False)
    memory.end(part, [], "{}")
    assert memory.runs() == ()
    memory.close()


def test_a_file_of_version_1_is_brought_up_to_date(tmp_path: Path) -> None:
    old = sqlite3.connect(tmp_path / "m.sqlite")
    old.executescript(STEPS[0] + "PRAGMA user_version = 1;")
    old.execute("INSERT INTO run VALUES (7, 'old', 1.0, 2.0, 1)")
    old.execute("INSERT INTO entry VALUES (7, 'a.step', 3, 'c')")
    old.commit()
    old.close()
    memory = Memory(tmp_path / "m.sqlite")
    assert memory.entries(7) == {"a.step": Entry("a.step", 3, "c", 0, 0)}
    assert [one.name for one in memory.runs()] == ["old"]
    memory.close()
    again = sqlite3.connect(tmp_path / "m.sqlite")
    assert again.execute("PRAGMA user_version").fetchone() == (len(STEPS),)
    again.close()


def test_a_file_of_version_3_keeps_all_and_takes_cribs(tmp_path: Path) -> None:
    old = sqlite3.connect(tmp_path / "m.sqlite")
    old.executescript("".join(STEPS[:3]) + "PRAGMA user_version = 3;")
    old.execute("INSERT INTO run VALUES (7, 'old', 1.0, 2.0, 1, '{}', 3)")
    old.execute("INSERT INTO enough VALUES ('o', 's', 'p', '[\"a\"]', NULL)")
    old.execute("INSERT INTO result VALUES (3, 'c', 'i', 's', 'p', 0.5, 1, 0)")
    old.commit()
    old.close()
    memory = Memory(tmp_path / "m.sqlite")
    assert [one.name for one in memory.runs()] == ["old"]
    assert memory.enough("o", "s", "p") == [(frozenset({"a"}), None)]
    assert (memory.key_of(3), memory.key_of(4)) == (KEY, None)
    assert memory.crib("asked") is None
    memory.put_crib("asked", "p", False, "[]")
    memory.close()
    memory = Memory(tmp_path / "m.sqlite")
    assert memory.crib("asked") == "[]"
    memory.close()


def test_cribs_go_with_their_program_and_age_and_unproven_ones_when_asked_again(
    tmp_path: Path,
) -> None:
    memory = Memory(tmp_path / "m.sqlite")
    memory.put(KEY, result())
    memory.put_crib("sure", "p", False, "1")
    memory.put_crib("unsure", "p", True, "2")
    memory.put_crib("earlier program's", "q", False, "3")
    memory.forget_unusable()
    assert [memory.crib(asked) for asked in ("sure", "unsure")] == ["1", None]
    run = memory.begin(None, True)
    memory.end(run, [Entry("a.step", 1, "c")], "{}")
    memory.tidy(run)
    assert [memory.crib(asked) for asked in ("sure", "earlier program's")] == ["1", None]
    for number in range(7):
        memory.put_crib(f"later {number}", "p", False, "4")
    assert memory.crib("sure") == "1"
    memory.put_crib("one more", "p", False, "5")
    assert [memory.crib(asked) for asked in ("sure", "later 0", "one more")] == [None, "4", "5"]
    memory.close()


def test_a_newer_file_and_one_that_is_none_are_refused(tmp_path: Path) -> None:
    newer = sqlite3.connect(tmp_path / "m.sqlite")
    newer.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    newer.close()
    with pytest.raises(TurnabilityError, match="newer turnability"):
        Memory(tmp_path / "m.sqlite")
    (tmp_path / "n.sqlite").write_text("no database at all, but long enough to be looked at" * 9)
    with pytest.raises(OutputUnwritable, match="not a database"):
        Memory(tmp_path / "n.sqlite")


def test_a_full_disk_is_told_and_keeps_what_was_there(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "m.sqlite")
    memory.put(KEY, result())
    (pages,) = memory._db.execute("PRAGMA page_count").fetchone()
    memory._db.execute(f"PRAGMA max_page_count = {pages + 2}")
    import random

    noise = "".join(chr(random.Random(1).randrange(0x4E00, 0x9000)) for _ in range(3))
    noise += "".join(f"{random.Random(i).random()}" for i in range(9000))
    with pytest.raises(OutputUnwritable, match=r"full.*Free some space"):
        memory.put(Key("other", "i", "s", "p"), result(noise))
    assert memory.result_of(KEY) is not None
    assert memory.result_of(Key("other", "i", "s", "p")) is None
    memory.close()


def test_what_could_not_be_used_is_tried_again_where_asked(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "m.sqlite")
    bad = Result((Judged(1, 1, "bad", failed="cut off"),), None, 0.1)
    for _ in range(2):
        memory.put(KEY, bad)
        assert memory.result_of(KEY) is not None
        memory.forget_unusable()
        assert memory.result_of(KEY) is None
    memory.close()


def test_what_nothing_asks_for_any_more_is_forgotten(tmp_path: Path) -> None:
    memory = Memory(tmp_path / "m.sqlite")

    def night(content: str, name: str | None = None, whole: bool = True, new: int = 0) -> int:
        """A run in which one file has this content."""
        number = memory.begin(name, whole)
        key = Key(content, "", "s", "p")
        result = memory.result_of(key)
        if result is None:
            result = memory.put(key, Result((Judged(1, 1, content),), (), 0.1))
        memory.end(number, [Entry("part.step", result, content, new)], "{}")
        if whole:
            memory.tidy(number)
        return number

    def known() -> set[str]:
        contents = "abcdefg"
        had = {c for c in contents if memory.result_of(Key(c, "", "s", "p")) is not None}
        assert {c for c in contents if memory.parts_of(c, "p") is not None} == had
        return had

    night("a", "base")
    night("b", new=3)
    lone = memory.put(Key("f", "", "s", "p"), Result((Judged(1, 1, "f"),), (), 0.1))
    assert memory.judged(lone)
    night("g", whole=False)
    night("c")
    assert known() == set("abcg"), "f was there before the run and nothing has it"
    night("d")
    night("e")
    assert known() == set("adeg"), "b has news that feeds still tell"
    assert [one[2:4] for one in memory.changes(9)] == [("part.step", 3)]
    assert len(memory.runs()) == 5, "for trends all of them stay"
    before = memory.begin(None, True)  # one that is killed
    memory.put(Key("f", "", "s", "p"), Result((Judged(1, 1, "f"),), (), 0.1))
    assert before
    night("e", whole=False)
    assert "f" in known(), "a run over some files does not take what a killed one has done"
    night("f")
    assert known() == set("aefg")
    memory.close()
