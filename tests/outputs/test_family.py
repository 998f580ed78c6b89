"""What holds for every output, and for files that are written whole or not at all."""

from __future__ import annotations

import errno
import json
import os
import pkgutil
from dataclasses import replace
from pathlib import Path

import pytest

import turnability.outputs as package
from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.errors import OutputUnwritable
from turnability.outputs import (
    all_outputs,
    format_names,
    formats,
    formats_named,
    target_name,
    write_all,
)
from turnability.outputs._names import stems_for
from turnability.report import Report
from turnability.whole_files import write_whole

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
EVERY = (*all_outputs(), *formats_named(format_names()))


def housing_from_file() -> Report:
    report = housing_report()
    source = replace(report.part.source, path=str(FIXTURES / "float_housing.step"))
    return replace(report, part=replace(report.part, source=source))


def test_every_module_of_the_family_is_found() -> None:
    files = {
        info.name
        for info in pkgutil.iter_modules(package.__path__)
        if not info.name.startswith("_") and not info.ispkg
    }
    assert len(all_outputs()) == len(files) >= 4


def test_formats_are_found_and_written_only_where_asked_for(tmp_path: Path) -> None:
    files = {path.stem for path in Path(formats.__file__).parent.glob("[!_]*.py")}
    assert set(format_names()) == files >= {"sarif", "junit", "markdown", "csv"}
    plain = {path.name for path in write_all(housing_from_file(), tmp_path / "a", Path("part"))}
    asked = write_all(housing_from_file(), tmp_path / "b", Path("part"), formats=("csv", "sarif"))
    assert {path.name for path in asked} - plain == {
        "part.turnability.csv",
        "part.turnability.sarif",
    }


@pytest.mark.parametrize("output", EVERY, ids=lambda output: output.NAME)
class TestEveryOutput:
    def test_has_a_name_and_a_suffix_of_its_own(self, output: package.Output) -> None:
        assert output.NAME.strip()
        assert output.SUFFIX.startswith(".")
        others = [other.SUFFIX for other in EVERY if other is not output]
        assert output.SUFFIX not in others

    @pytest.mark.parametrize("report", [housing_from_file(), plate_report(), disc_report()])
    def test_writes_its_one_file_and_nothing_else(
        self, output: package.Output, report: Report, tmp_path: Path
    ) -> None:
        source = replace(report.part.source, path=str(FIXTURES / "float_housing.step"))
        report = replace(report, part=replace(report.part, source=source))
        target = tmp_path / "new" / f"part{output.SUFFIX}"
        assert output.write(report, target)
        assert list(tmp_path.rglob("*")) == [target.parent, target]
        assert target.stat().st_size > 100
        first = target.read_bytes()
        assert output.write(report, target)
        assert target.read_bytes() == first

    def test_says_clearly_that_it_cannot_write(
        self, output: package.Output, tmp_path: Path
    ) -> None:
        (tmp_path / "file").write_text("in the way")
        with pytest.raises(OutputUnwritable) as raised:
            output.write(housing_from_file(), tmp_path / "file" / f"x{output.SUFFIX}")
        assert "file" in str(raised.value)
        assert list(tmp_path.iterdir()) == [tmp_path / "file"]


def test_files_are_named_by_part_and_solid() -> None:
    report = housing_report()
    assert target_name(report, "a", ".turnability.json") == "a.turnability.json"
    source = replace(report.part.source, solid=2, solids=3)
    several = replace(report, part=replace(report.part, source=source))
    assert target_name(several, "a", ".turnability.json") == "a.2.turnability.json"


def test_the_json_comes_last_and_knows_what_the_others_took(tmp_path: Path) -> None:
    written = tuple(write_all(housing_from_file(), tmp_path, Path("sub/part")))
    assert {path.name for path in written} == {
        "part.turnability.json", "part.turnability.svg", "part.turnability.txt",
        "part.turnability.html", "part.annotated.step",
    }  # fmt: skip
    assert all(path.parent == tmp_path / "sub" for path in written)
    assert written[-1].name == "part.turnability.json"
    assert json.loads(written[-1].read_text("utf-8"))["timings_s"]["outputs"] > 0.0


def test_a_shape_from_memory_has_no_file_to_annotate(tmp_path: Path) -> None:
    report = housing_report()
    source = replace(report.part.source, path=None)
    report = replace(report, part=replace(report.part, source=source))
    names = {path.name for path in write_all(report, tmp_path, Path("part"))}
    assert names == {f"part.turnability.{ending}" for ending in ("html", "json", "svg", "txt")}


def test_a_full_disk_leaves_the_old_file_and_no_crumbs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "report.json"
    write_whole(target, "old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("turnability.whole_files.os.fsync", full)
    with pytest.raises(OutputUnwritable, match="No space left on device"):
        write_whole(target, "new")
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_an_interruption_leaves_no_crumbs(tmp_path: Path) -> None:
    def stopped(beside: Path) -> None:
        beside.write_text("half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "x", stopped)
    assert list(tmp_path.iterdir()) == []


def test_a_name_as_long_as_the_file_system_allows_still_works(tmp_path: Path) -> None:
    target = tmp_path / ("n" * 255)
    write_whole(target, "fits")
    assert target.read_text() == "fits"
    with pytest.raises(OutputUnwritable, match="shorter name"):
        write_whole(tmp_path / ("n" * 256), "does not")


@pytest.mark.parametrize(
    ("files", "stems"),
    [
        (["a/x.step", "b/y.step"], ["x", "y"]),
        (["x.step"], ["x"]),
        (["deep/in/x.step"], ["x"]),
        (["a/x.step", "b/x.step"], ["a/x", "b/x"]),
        (["a/x.step", "b/x.step", "c/y.step"], ["a/x", "b/x", "y"]),
        (["p/a/x.step", "p/b/c/x.step"], ["a/x", "b/c/x"]),
        (["x.step", "sub/x.step"], ["x", "sub/x"]),
        (["a/X.step", "b/x.step"], ["a/X", "b/x"]),
        (["x.step", "x.stp"], ["x.step", "x.stp"]),
        (["x.step", "x.1.step"], ["x", "x.1.step"]),
        (["x.2.step"], ["x.2"]),
        (["../x.step", "x.step"], ["x", "here/x"]),
    ],
)
def test_no_part_overwrites_anothers_results(
    files: list[str], stems: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    assert [stem.as_posix() for stem in stems_for([Path(file) for file in files])] == stems


def test_a_shape_from_memory_is_written_with_the_shape(tmp_path: Path) -> None:
    from cadquery import Workplane

    from turnability.part.reading.read import read_solids

    shape = Workplane().circle(20).extrude(30)
    report = housing_report()
    source = replace(report.part.source, path=None, product="pin")
    report = replace(report, part=replace(report.part, source=source))
    written = write_all(report, tmp_path, Path("part"), formats=("bodies",), shape=shape)
    names = {path.name for path in written}
    assert {"part.annotated.step", "part.bodies.step"} <= names
    (solid,) = read_solids(tmp_path / "part.annotated.step")
    assert solid.source.product == "pin"
    assert len(read_solids(tmp_path / "part.bodies.step")) > 1
