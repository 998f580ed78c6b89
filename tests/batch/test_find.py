"""Which files of a repository are analysed, and what is passed over."""

from __future__ import annotations

import gzip
import os
import zipfile
from pathlib import Path

import pytest

from turnability.batch.find import find
from turnability.batch.unzip import unzip
from turnability.errors import PartUnreadable, ProjectUnusable, TurnabilityError
from turnability.standing.project_file import load_project

POINTER = (
    "version https://git-lfs.github.com/spec/v1\n"
    "oid sha256:4d7a214614ab2935c943f9e0ff69d22eadbb8f32b1258daaa5e2ca24d17e2393\nsize 12345\n"
)
"""The example of the Git LFS specification, "The Pointer"."""


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("ISO-10303-21;")


def paths(folder: Path, **more: object) -> list[str]:
    return [part.path for part in find(folder, **more).parts]  # type: ignore[arg-type]


def test_step_files_by_their_endings(tmp_path: Path) -> None:
    put(tmp_path, "b.STEP", "a.stp", "deep/er/c.p21", "d.stpz", "e.txt", ".git/f.step", ".g.step")
    found = find(tmp_path)
    assert [(p.path, p.zipped) for p in found.parts] == [
        ("a.stp", False), ("b.STEP", False), ("d.stpz", True), ("deep/er/c.p21", False),
    ]  # fmt: skip
    assert found.passed_over == ()


@pytest.mark.parametrize(
    ("pattern", "left"),
    [
        ("old", ["a.step", "x/b_draft.step"]),
        ("old/**", ["a.step", "x/b_draft.step"]),
        ("*_draft.step", ["a.step", "x/old/c.step"]),
        ("x/*.step", ["a.step", "x/old/c.step"]),
        ("**/c.step", ["a.step", "x/b_draft.step"]),
        ("/a.step", ["x/b_draft.step", "x/old/c.step"]),
        ("?.step", ["x/b_draft.step"]),
    ],
)
def test_patterns(tmp_path: Path, pattern: str, left: list[str]) -> None:
    put(tmp_path, "a.step", "x/b_draft.step", "x/old/c.step")
    if pattern == "old/**":
        pattern = "x/old/**"
    assert paths(tmp_path, ignored=(pattern,)) == left


def test_pointers_of_git_lfs_are_told(tmp_path: Path) -> None:
    (tmp_path / "a.step").write_text(POINTER)
    found = find(tmp_path)
    assert not found.parts
    assert "git lfs pull" in found.passed_over[0].why


def test_no_link_is_followed(tmp_path: Path) -> None:
    put(tmp_path, "outside/secret.step", "in/a.step")
    (tmp_path / "in" / "door").symlink_to(tmp_path / "outside")
    (tmp_path / "in" / "window.step").symlink_to(tmp_path / "outside" / "secret.step")
    (tmp_path / "in" / "loop").symlink_to("loop")
    found = find(tmp_path / "in")
    assert [p.path for p in found.parts] == ["a.step"]
    assert {o.path for o in found.passed_over} == {"door", "window.step"}


def test_one_file_says_shop_intent_and_owners(tmp_path: Path) -> None:
    put(tmp_path, "a.step", "pumps/b.step", "pumps/shafts/c.step", "old/d.step")
    put(tmp_path, "pumps/b.intent.toml", "pumps/b.2.intent.toml", "pumps/bb.intent.toml")
    (tmp_path / "turnability.toml").write_text(
        """
[repository]
shop = "shop.toml"
intent = "usual.toml"
[[ignore]]
pattern = "old/**"
[[folder]]
path = "pumps"
owner = "pump team"
[[folder]]
path = "pumps/shafts/"
intent = "shafts.toml"
"""
    )
    project = load_project(tmp_path / "turnability.toml")
    parts = {p.path: p for p in find(tmp_path, project).parts}
    assert list(parts) == ["a.step", "pumps/b.step", "pumps/shafts/c.step"]
    assert [p.owner for p in parts.values()] == [None, "pump team", "pump team"]
    names = [[i.name for i in p.intents] for p in parts.values()]
    assert names == [["usual.toml"], ["b.2.intent.toml", "b.intent.toml"], ["shafts.toml"]]
    assert project.repository.shop == "shop.toml"
    below = find(tmp_path / "pumps", project).parts
    assert [(p.path, p.owner) for p in below] == [
        ("b.step", "pump team"), ("shafts/c.step", "pump team"),
    ]  # fmt: skip


@pytest.mark.parametrize("path", ["../a", "/etc", "a/../../b", "C:\\\\x"])
def test_paths_stay_below_the_file(tmp_path: Path, path: str) -> None:
    (tmp_path / "turnability.toml").write_text(f'[[folder]]\npath = "{path}"\n')
    with pytest.raises(ProjectUnusable, match=r"line 2.*below this file's folder"):
        load_project(tmp_path / "turnability.toml")


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(TurnabilityError, match="no such folder"):
        find(tmp_path / "none")


class TestZipped:
    def test_a_zip_and_a_gzip_give_the_same(self, tmp_path: Path) -> None:
        text = b"ISO-10303-21;" * 1000
        with zipfile.ZipFile(tmp_path / "a.stpz", "w", zipfile.ZIP_DEFLATED) as pack:
            pack.writestr("../../evil.stp", text)
        (tmp_path / "b.stpz").write_bytes(gzip.compress(text))
        for name in ("a", "b"):
            unzip(tmp_path / f"{name}.stpz", tmp_path / "out")
            assert (tmp_path / "out").read_bytes() == text
        assert not (tmp_path.parent.parent / "evil.stp").exists()

    def test_what_grows_beyond_the_limit_is_refused(self, tmp_path: Path) -> None:
        with zipfile.ZipFile(tmp_path / "a.stpz", "w", zipfile.ZIP_DEFLATED) as pack:
            pack.writestr("a.stp", b"0" * (5 << 20))
        with pytest.raises(PartUnreadable, match="more than 1 MB"):
            unzip(tmp_path / "a.stpz", tmp_path / "out", 1 << 20)
        assert (tmp_path / "out").stat().st_size <= 1 << 20

    @pytest.mark.parametrize("data", [b"", b"PK\x03\x04nonsense", b"\x1f\x8bnonsense"])
    def test_damaged_archives_are_told(self, tmp_path: Path, data: bytes) -> None:
        (tmp_path / "a.stpz").write_bytes(data)
        with pytest.raises(PartUnreadable, match="unpacked"):
            unzip(tmp_path / "a.stpz", tmp_path / "out")

    def test_two_parts_in_one_archive(self, tmp_path: Path) -> None:
        with zipfile.ZipFile(tmp_path / "a.stpz", "w") as pack:
            pack.writestr("a.stp", b"a")
            pack.writestr("b.stp", b"b")
        with pytest.raises(PartUnreadable, match="2 STEP files"):
            unzip(tmp_path / "a.stpz", tmp_path / "out")


@pytest.mark.skipif(os.name == "nt", reason="names are always text there")
def test_a_name_that_is_no_text_is_told(tmp_path: Path) -> None:
    with open(os.fsencode(tmp_path) + b"/caf\xe9.step", "w") as file:  # noqa: PTH123
        file.write("ISO-10303-21;")
    found = find(tmp_path)
    assert not found.parts
    assert "UTF-8" in found.passed_over[0].why
