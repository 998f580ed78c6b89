"""Solids of a file that are the same part are told once; their data stay each one's own."""

from __future__ import annotations

import json
from pathlib import Path

import cadquery as cq
import pytest

from tests.cli.conftest import Run
from turnability.outputs._words import numbers_text
from turnability.outputs.summary import summary_lines


def turned(x: float, length: float = 30.0, bore: float = 0.0) -> cq.Workplane:
    """A stepped pin of its own at x: 20 over 10 long, then 12; `bore` into its small end."""
    foot = cq.Workplane(origin=(x, 0, 0)).circle(10).extrude(10)
    pin = foot.faces(">Z").workplane().circle(6).extrude(length)
    return pin.faces(">Z").workplane().hole(bore, 8) if bore else pin


def saved(folder: Path, *parts: cq.Workplane) -> Path:
    file = folder / "tray.step"
    cq.exporters.export(cq.Workplane(cq.Compound.makeCompound([p.val() for p in parts])), str(file))
    return file


def test_equal_solids_are_told_once_with_their_count(run: Run, tmp_path: Path) -> None:
    file = saved(
        tmp_path, turned(0), turned(50), turned(100, 31), turned(150), turned(200, 30, 5.0)
    )
    _, out, err = run("check", file, "--no-project", "--out", tmp_path / "out")
    assert err == ""
    heads = [line for line in out.splitlines() if line.startswith("tray, solid")]
    assert [head.split(":")[0] for head in heads] == [f"tray, solid {n} of 5" for n in (1, 3, 5)]
    told = [line for line in out.splitlines() if "equal solids" in line]
    assert told == ["3 equal solids in this file, told once: 1, 2, 4"]
    for n in range(1, 6):
        for ending in ("json", "svg", "html", "txt"):
            assert (tmp_path / "out" / f"tray.{n}.turnability.{ending}").is_file()
    text = (tmp_path / "out" / "tray.2.turnability.txt").read_text("utf-8")
    assert text.startswith("tray, solid 2 of 5")
    assert "told once" not in text

    _, out, _ = run("check", file, "--no-project", "--json", "-")
    documents = [json.loads(line) for line in out.splitlines()]
    assert [one["source"]["solid"] for one in documents] == [1, 2, 3, 4, 5]
    assert len({json.dumps(one["axis"]) for one in documents}) == 5, "each its own place"


def test_a_finding_that_only_one_has_is_told(run: Run, tmp_path: Path) -> None:
    """What the project accepts of one solid is said of that one."""
    file = saved(tmp_path, turned(0), turned(50))
    assert run("check", file, "--no-project")[1].count("tray, solid") == 1
    (tmp_path / "turnability.toml").write_text(
        '[[accepted]]\nrule = "sharp-inside-corner"\nsolid = 2\npart = "tray"\n'
        'reason = "drawn"\nby = "lead"\nuntil = 2999-01-01\n'
    )
    _, out, _ = run("check", file)
    assert out.count("tray, solid") == 2
    assert "told once" not in out


@pytest.mark.parametrize(
    ("solids", "text"),
    [
        ((1,), "1"),
        ((2, 1), "1, 2"),
        ((1, 2, 3, 5), "1–3, 5"),
        ((4, 9, 10, 12, 13, 14), "4, 9, 10, 12–14"),
    ],
)
def test_numbers_in_runs(solids: tuple[int, ...], text: str) -> None:
    assert numbers_text(solids) == text


def test_the_summary_of_one_solid_names_no_others() -> None:
    from tests.outputs.sample import housing_report

    assert not any("told once" in str(line) for line in summary_lines(housing_report()))


def test_a_solid_turned_end_for_end_is_the_same_part_and_its_mirror_image_is_not(
    run: Run, tmp_path: Path
) -> None:
    """Solids that share nothing in the file. A pin with a hole across turned by half a turn about x
    and about an odd line is the same part in another place; so is what is drawn anew elsewhere.
    """
    pin = turned(0).cut(cq.Workplane("XZ").center(2, 5).circle(1.5).extrude(30))
    rotated = pin.rotate((0, 0, 0), (1, 0, 0), 180).translate((50, 0, 0))
    skew = pin.rotate((0, 0, 0), (3, 1, 0), 180).translate((100, 7, 3))
    file = saved(tmp_path, pin, rotated, skew, turned(150))
    _, out, err = run("check", file, "--no-project", "--out", tmp_path / "out")
    assert err == ""
    heads = [line for line in out.splitlines() if line.startswith("tray, solid")]
    assert [head.split(":")[0] for head in heads] == ["tray, solid 1 of 4", "tray, solid 4 of 4"]
    said = " ".join(out.split())
    assert "3 times in this file, as solid 1" in said
    assert said.count("turned end for end") == 2
    first, second, third, other = (
        json.loads((tmp_path / "out" / f"tray.{n}.turnability.json").read_text("utf-8"))
        for n in range(1, 5)
    )
    assert [i["solid"] for i in first["source"]["instances"]] == [1, 2, 3]
    turned_there = [i["turned_end_for_end"] for i in third["source"]["instances"]]
    assert turned_there == [False, True, True]
    ids = [{face["step_id"] for face in one["faces"]} for one in (first, second, third)]
    assert len(set.union(*ids)) == sum(map(len, ids)), "each its own faces of the file"
    for one in (second, third):
        assert one["profile"] == first["profile"]
        assert one["axis"] == first["axis"]
        assert one["setups"] == first["setups"]
    assert other["source"]["instances"][0]["solid"] == 4
    assert len(other["source"]["instances"]) == 1
    assert not (tmp_path / "out" / "tray.2.turnability.svg").exists()


def test_a_mirrored_solid_of_another_hand_is_another_part(run: Run, tmp_path: Path) -> None:
    """Two holes off the middle, each from one side only, at odd heights: the part has a hand."""
    pin = turned(0).cut(cq.Workplane("XZ").center(3, 5).circle(1.5).extrude(30))
    right = pin.cut(cq.Workplane("YZ").center(2, 27).circle(1).extrude(30))
    left = right.mirror("XY").translate((50, 0, 0))
    again = right.rotate((0, 0, 0), (1, 0, 0), 180).translate((100, 0, 0))
    file = saved(tmp_path, right, left, again)
    _, out, _ = run("check", file, "--no-project", "--json", "-")
    documents = [json.loads(line) for line in out.splitlines()]
    places = [[i["solid"] for i in one["source"]["instances"]] for one in documents]
    assert places == [[1, 3], [2], [1, 3]]
