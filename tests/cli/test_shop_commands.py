"""`turnability shop check | new | show`: exit codes, streams, files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from turnability.cli import app
from turnability.shop.load import load_shop, starter_shop, starter_shop_text


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["shop", *map(str, arguments)])


def test_check_tells_all_faults_by_line_with_exit_3(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(
        '[tool]\nname = "a\nkind = "grooving"\nwidth_mm = 3,0\n[[tool]]\nkind = "drill"\n'
        '[[machine]]\nname = "m"\ncontrol = "hand"\n'
    )
    result = run("check", file)
    assert result.exit_code == 3
    assert result.stdout == ""
    lines = [int(entry.split(":")[0]) for entry in result.stderr.split("\n  line ")[1:]]
    assert lines == [1, 2, 4, 5, 9]
    assert str(file) in result.stderr


def test_check_of_a_sound_file_says_what_it_holds_with_exit_0(tmp_path: Path) -> None:
    file = tmp_path / "good.toml"
    file.write_text('[[tool]]\nname = "a"\nkind = "grooving"\nwidth_mm = 3.0\n')
    result = run("check", file)
    assert result.exit_code == 0
    assert "good.toml: usable" in result.stdout
    assert "1 tool: 1 grooving" in result.stdout
    assert "no lathes" in result.stdout
    assert result.stderr == ""
    assert "the starter shop: usable" in run("check").stdout


def test_missing_file_is_exit_3() -> None:
    result = run("check", "none.toml")
    assert result.exit_code == 3
    assert "no such file" in result.stderr


def test_new_writes_the_commented_starter_shop_and_never_over_another(tmp_path: Path) -> None:
    file = tmp_path / "sub" / "mine.toml"
    nowhere = run("new", file)
    assert nowhere.exit_code == 3
    assert f"there is no folder {file.parent} to write it in" in nowhere.stderr
    assert not file.parent.exists()
    file.parent.mkdir()
    result = run("new", file)
    assert result.exit_code == 0
    assert str(file) in result.stdout
    own = starter_shop_text().replace('name = "starter"', 'name = "mine"', 1)
    assert file.read_text(encoding="utf-8") == own
    assert starter_shop_text().count("#") > 20, "people read what each part is"
    shop = load_shop(file)
    assert shop.name == "mine", "reports name it"
    assert replace(shop, name="starter", sha256=starter_shop().sha256) == starter_shop()

    file.write_text("mine")
    again = run("new", file)
    assert again.exit_code == 3
    assert "is there already" in again.stderr
    assert "--force" in again.stderr
    assert file.read_text() == "mine"

    assert run("new", "--force", file).exit_code == 0
    assert file.read_text(encoding="utf-8") == own
    quoted = tmp_path / 'Bänke "2" \\n.toml'
    assert run("new", quoted).exit_code == 0
    assert load_shop(quoted).name == 'Bänke "2" \\n'


def test_new_minds_folders_and_links(tmp_path: Path) -> None:
    assert run("new", tmp_path).exit_code == 3
    link = tmp_path / "link.toml"
    link.symlink_to(tmp_path / "nowhere.toml")
    assert run("new", link).exit_code == 3, "a link to nothing is there already too"


def test_show_writes_one_sheet(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    assert run("new", file).exit_code == 0
    result = run("show", file, "--out", tmp_path / "out")
    assert result.exit_code == 0
    assert [f.name for f in (tmp_path / "out").iterdir()] == ["mine.shop.html"]
    assert "mine.shop.html" in result.stdout
    assert run("show", "--out", tmp_path / "out").exit_code == 0
    assert (tmp_path / "out" / "starter.shop.html").exists()


@pytest.mark.parametrize("arguments", [("show",), ("show", "--out", "FILE"), ("new",), ("draw",)])
def test_wrong_use_is_exit_2(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    file = tmp_path / "f"
    file.write_text("")
    assert run(*(file if a == "FILE" else a for a in arguments)).exit_code == 2


def test_show_of_an_unusable_file_writes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text("x = 1\n")
    assert run("show", file, "--out", tmp_path / "out").exit_code == 3
    assert not (tmp_path / "out").exists()
