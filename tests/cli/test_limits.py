"""What one file does to the process that analyses it: told in its own words, and no other pays."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.cli.dying import ENDS, RULE
from turnability.analysis import analyze, analyze_all, apart, walk
from turnability.errors import AnalysisDied, PartUnreadable
from turnability.part.apart.child import Kernel
from turnability.part.model import Instance, Part
from turnability.report import Report
from turnability.rules.drawn import PIN, drawn_part, drawn_shop
from turnability.shop.load import starter_shop

PART = drawn_part(PIN)
"""Sound, and soon analysed."""
LIMIT_S = 8.0
"""Enough for the sound part on a busy machine: in vain waits the hanging one alone."""
SAYS = {
    "hang": f"the analysis did not finish within {LIMIT_S:g} s. Give it more time (--time-limit; "
    "time_limit_s= in a script), or simplify the part",
    "hungry": "the analysis needed more than 4 GiB of memory. Simplify the part, or split the file",
    "hungry_rule": "the analysis needed more than 4 GiB of memory. "
    "Simplify the part, or split the file",
    "segfault": "the analysis died on it (SIGSEGV). "
    "Please report it, with the file if you may share it",
    "killed": "the analysis was killed, most likely for want of memory (SIGKILL). "
    "Free memory and try again, or simplify the part",
    "quits": "the process of the analysis ended with code 7. "
    "Please report it, with the file if you may share it",
    "fails": "the analysis stopped with ZeroDivisionError: drawn to fail. "
    "Please report it, with the file if you may share it",
    "stage_fails": "stage-reach failed (ZeroDivisionError: drawn to fail). "
    "Please report this as a fault of turnability",
    "rule_fails": f"{RULE} failed (ZeroDivisionError: drawn to fail). "
    "Please report this as a fault of turnability",
}


def source_at(path: Path, **more: Any) -> Part:
    return replace(PART, source=replace(PART.source, path=str(path), **more))


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Reading gives one drawn part for any file; its name says how the analysis ends."""

    def read(path: Path, solid: int | None = None, **_: Any) -> tuple[Part, ...]:
        return (source_at(path),)

    monkeypatch.setattr("turnability.part.apart.child.read_parts", read)
    monkeypatch.setattr(Kernel, "start", lambda *_: None)  # the kernel is not needed
    monkeypatch.setattr(apart, "_WALKED", "tests.cli.dying:walked")
    yield
    apart._child.close()


@pytest.mark.usefixtures("drawn")
def test_each_end_has_its_own_message_and_the_other_files_go_on(tmp_path: Path, run: Any) -> None:
    assert SAYS.keys() == ENDS.keys()
    files = []
    for name in ("first", *SAYS, "last"):
        (tmp_path / f"{name}.step").touch()
        files.append(tmp_path / f"{name}.step")
    code, out, err = run("check", *files, "--json", "-", "--time-limit", LIMIT_S)
    assert code == 3
    assert err.splitlines() == [
        f"turnability: {tmp_path / name}.step: {said}." for name, said in SAYS.items()
    ]
    told = {Path(one["source"]["path"]).stem: one for one in map(json.loads, out.splitlines())}
    assert list(told) == ["first", "stage_fails", "rule_fails", "last"]
    assert told["stage_fails"]["verdict"] == "undetermined"
    assert {one["rule"]: one["status"] for one in told["rule_fails"]["rules"]}[RULE] == "crashed"
    here = walk(source_at(files[-1]), starter_shop())
    expected = {**json.loads(here.to_json()), "timings_s": None}
    assert {**told["last"], "timings_s": None, "inputs": expected["inputs"]} == expected
    assert told["last"]["inputs"]["options"] == {"fail_on": "error"}


@pytest.mark.usefixtures("drawn")
def test_plan_says_so_too(tmp_path: Path, run: Any) -> None:
    code, out, err = run("plan", tmp_path / "segfault.step")
    assert (code, out) == (3, "")
    assert err == f"turnability: {tmp_path / 'segfault.step'}: {SAYS['segfault']}.\n"


@pytest.mark.usefixtures("drawn")
def test_a_script_gets_an_error_that_it_may_expect(tmp_path: Path) -> None:
    with pytest.raises(AnalysisDied, match=r"hang\.step: .* within 0\.5 s") as died:
        analyze(tmp_path / "hang.step", drawn_shop(), time_limit_s=0.5)
    assert isinstance(died.value, PartUnreadable)
    assert analyze(tmp_path / "fine.step", drawn_shop()).crashed == ()


@pytest.mark.usefixtures("drawn")
def test_what_repeats_a_solid_that_its_analysis_died_on_is_not_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "quits.step"
    places = tuple(Instance(n, ()) for n in (1, 2))
    parts = [source_at(path, solid=n, solids=3, instances=places) for n in (1, 2)]
    parts.append(source_at(path, solid=3, solids=3))
    monkeypatch.setattr("turnability.part.apart.child.read_parts", lambda *_, **__: tuple(parts))
    found = analyze_all(path, drawn_shop())
    assert [str(one) for one in found] == [
        f"{path}, solid {n} of 3: {SAYS['quits']}" for n in (1, 2, 3)
    ]
    assert path.with_suffix(".tried").read_text() == "xx"


def test_the_report_is_the_one_made_here() -> None:
    """All of it, not the document alone."""
    shop = starter_shop()
    try:
        report = apart.walk_apart(PART, shop, None, LIMIT_S * 4)
        (number,) = apart._child.items("os:getpid", what="x")
    finally:
        apart._child.close()
    assert number != os.getpid()
    assert isinstance(report, Report)
    assert replace(report, timings_s={}) == replace(walk(PART, shop), timings_s={})
    assert report.tools is shop.tools


def test_a_shop_is_sent_as_the_same_text_and_another_as_its_own() -> None:
    """So that the child has one shop for all parts, with what it remembers of its tools."""
    shop, other = drawn_shop(), replace(drawn_shop(), name="another")
    assert apart._pickled(shop) is apart._pickled(shop)
    assert apart._shop(apart._pickled(shop)) is apart._shop(apart._pickled(shop))
    assert apart._shop(apart._pickled(other)) == other != shop
    assert apart._shop(apart._pickled(shop)) == shop


def test_want_of_memory_is_no_fault_of_a_stage(monkeypatch: pytest.MonkeyPatch) -> None:
    def hoard(*_: Any, **__: Any) -> None:
        raise MemoryError

    monkeypatch.setattr("turnability.reach.compute.reach_of", hoard)
    with pytest.raises(MemoryError):
        walk(PART, drawn_shop())
