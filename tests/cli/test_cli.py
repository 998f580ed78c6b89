"""The command line: exit codes of the report contract, clear messages, no traceback, no clutter."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability import __version__, cli
from turnability.errors import PartUnreadable
from turnability.outputs.json_document import schema_text

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
LIGHT = "numpy scipy OCP cadquery jsonschema manifold3d rich turnability.analysis".split()  # noqa: SIM905


def in_a_process(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "turnability.cli", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, **environment},
        timeout=120,
        check=False,
    )


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, Any]:
    """Files whose analysis is drawn: name -> results, or an exception to raise."""
    results: dict[str, Any] = {
        "fine.step": [disc_report()],
        "bad.step": [housing_report()],
        "plate.step": [plate_report()],
        "warned.step": [replace(housing_report(), findings=housing_report().findings[1:])],
    }

    def analyze_all(
        part: Path, shop: Any, intent: Any = None, solid: int | None = None, **limits: float
    ) -> tuple[Any, ...]:
        found = results[part.name]
        if isinstance(found, BaseException):
            raise found
        return tuple(found if solid is None else found[solid - 1 : solid])

    monkeypatch.setattr("turnability.analysis.analyze_all", analyze_all)
    monkeypatch.chdir(tmp_path)
    return results


def test_help_and_version_import_nothing_slow() -> None:
    code = (
        "import sys; from turnability import cli\n"
        "for words in (['--help'], ['check', '--help'], ['--version']):\n"
        "    sys.argv = ['turnability', *words]\n"
        "    try: cli.main()\n"
        "    except SystemExit as left: assert not left.code\n"
        f"print([name for name in {LIGHT} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert f"turnability {__version__}" in done.stdout
    assert "Exit codes" in done.stdout
    assert "  PART.step  STEP files." in done.stdout  # and no type of Python's beside it


@pytest.mark.parametrize("module", ["turnability", "turnability.cli"])
def test_it_runs_as_a_module(module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", module, "explain", "nothing-like-it"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("turnability: nothing-like-it: there is no such rule")


def test_import_of_the_package_is_light() -> None:
    code = f"import sys, turnability; print([name for name in {LIGHT} if name in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "[]\n"


def test_schema_is_printed_as_it_is_shipped(run: Any) -> None:
    code, out, err = run("schema")
    assert (code, err) == (0, "")
    assert json.loads(out) == json.loads(schema_text())


@pytest.mark.parametrize(
    ("names", "fail_on", "code"),
    [
        (["fine.step"], "error", 0),
        (["fine.step"], "warning", 0),
        (["bad.step"], "error", 1),
        (["bad.step"], "never", 0),
        (["warned.step"], "error", 0),
        (["warned.step"], "warning", 1),
        (["plate.step"], "error", 1),
        (["fine.step", "bad.step"], "error", 1),
    ],
)
def test_exit_codes_follow_the_findings(
    names: list[str], fail_on: str, code: int, run: Any, drawn: Any
) -> None:
    left, _, err = run("check", *names, "--fail-on", fail_on)
    assert (left, err) == (code, "")


def test_an_unusable_file_outranks_findings_and_the_others_go_on(run: Any, drawn: Any) -> None:
    drawn["broken.step"] = PartUnreadable("broken.step", "it ends in the middle", "Export again")
    code, out, err = run("check", "bad.step", "broken.step", "fine.step")
    assert code == 3
    assert err == "turnability: broken.step: it ends in the middle. Export again.\n"
    assert "NEEDS CHANGES" in out
    assert "TURNABLE in this shop" in out


def test_a_bad_solid_leaves_the_good_ones(run: Any, drawn: Any) -> None:
    drawn["pair.step"] = [PartUnreadable("pair.step", "solid 1 is open", "Close it"), disc_report()]
    code, out, err = run("check", "pair.step")
    assert code == 3
    assert "solid 1 is open" in err
    assert "TURNABLE" in out
    assert run("check", "pair.step", "--solid", 2)[0] == 0


def test_a_crashed_rule_is_told_and_exits_with_3(run: Any, drawn: Any) -> None:
    crashed = replace(housing_report().rules[0], status="crashed", reason="KeyError: 'S9'")
    drawn["bad.step"] = [replace(housing_report(), rules=(crashed,))]
    code, _, err = run("check", "bad.step", "--fail-on", "never")
    assert code == 3
    assert "bad.step: unreached-surface failed (KeyError: 'S9')" in err


def test_a_fault_of_the_program_is_one_line(run: Any, drawn: Any) -> None:
    drawn["bad.step"] = RuntimeError("drawn to fail")
    code, _, err = run("check", "bad.step", "fine.step")
    assert code == 3
    assert err.count("\n") == 1
    assert "bad.step: turnability itself failed (RuntimeError: drawn to fail)" in err
    assert "report it" in err


def test_the_fault_is_shown_whole_where_asked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], drawn: Any
) -> None:
    drawn["bad.step"] = RuntimeError("drawn to fail")
    monkeypatch.setenv("TURNABILITY_DEBUG", "1")
    monkeypatch.setattr(sys, "argv", ["turnability", "check", "bad.step"])
    with pytest.raises(SystemExit):
        cli.main()
    assert "Traceback" in capsys.readouterr().err


def test_ctrl_c_ends_quietly(run: Any, drawn: Any) -> None:
    drawn["bad.step"] = KeyboardInterrupt()
    code, _, err = run("check", "bad.step")
    assert code == 130
    assert err == "turnability: stopped; results already written are whole.\n"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["check"], "Missing argument"),
        (["check", "fine.step", "--fail-on", "sometimes"], "--fail-on"),
        (["check", "fine.step", "--solid", "0"], "--solid"),
        (["check", "fine.step", "--nonsense"], "--nonsense"),
        (["chek"], "chek"),
        (["check", "fine.step", "--out", "in_the_way"], "this is a file"),
    ],
)
def test_wrong_use_exits_with_2(arguments: list[str], says: str, run: Any, drawn: Any) -> None:
    Path("in_the_way").write_text("x")
    code, _, err = run(*arguments)
    assert code == 2
    assert says in err


def test_a_shop_file_that_cannot_be_used_exits_with_3(run: Any, drawn: Any, tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("naem = 'x'\n")
    code, out, err = run("check", "fine.step", "--shop", tmp_path / "shop.toml")
    assert (code, out) == (3, "")
    assert "shop.toml" in err
    assert "naem" in err
    code, _, err = run("check", "fine.step", "--shop", tmp_path / "missing.toml")
    assert code == 3
    assert "missing.toml" in err


def test_out_writes_each_part_under_its_own_name(run: Any, drawn: Any, tmp_path: Path) -> None:
    report = housing_report()
    source = replace(report.part.source, path=str(FIXTURES / "float_housing.step"))
    drawn["bad.step"] = [replace(report, part=replace(report.part, source=source))]
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
    code, out, err = run("check", "a/bad.step", "b/bad.step", "--out", "results")
    assert (code, err) == (1, "")
    written = {path.relative_to("results").as_posix() for path in Path("results").rglob("*.*")}
    assert written == {
        f"{folder}/bad{suffix}"
        for folder in ("a", "b")
        for suffix in (
            ".turnability.json", ".turnability.svg", ".turnability.txt", ".turnability.html",
            ".annotated.step",
        )
    }  # fmt: skip
    assert out.count("wrote results/") == 10
    assert not list(Path().glob("*.json")), "nothing is written beside the part"


def test_the_same_file_twice_is_analysed_once(run: Any, drawn: Any) -> None:
    _, out, _ = run("check", "fine.step", "./fine.step")
    assert out.count("TURNABLE") == 1


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="needs a user who may be refused")
def test_a_folder_that_refuses_is_told(run: Any, drawn: Any, tmp_path: Path) -> None:
    (tmp_path / "closed").mkdir(mode=0o500)
    code, _, err = run("check", "fine.step", "--out", tmp_path / "closed" / "out")
    assert code == 3
    assert "Permission denied" in err


def test_a_folder_that_cannot_be_made_is_told(run: Any, drawn: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    code, _, err = run("check", "fine.step", "--out", tmp_path / "file" / "out")
    assert code == 3
    assert "folder" in err


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("missing.step", None),
        ("empty.step", b""),
        ("not_step.step", b"solid ascii stl\nendsolid\n"),
        ("binary.step", bytes(range(256)) * 8),
        ("truncated.step", (FIXTURES / "end_cap.step").read_bytes()[:9000]),
        ("name with ' and ü.step", b"ISO-10303-21;\n"),
    ],
)
def test_bad_files_give_one_clear_sentence(
    name: str, content: bytes | None, run: Any, tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    code, out, err = run("check", tmp_path / name, "--out", tmp_path / "out")
    assert (code, out) == (3, "")
    assert err.startswith(f"turnability: {tmp_path / name}: ")
    assert err.count("\n") == 1
    assert list((tmp_path / "out").iterdir()) == []


def test_a_reader_that_goes_away_does_no_harm(tmp_path: Path) -> None:
    """`turnability schema | head -1`: the schema is larger than a pipe holds."""
    command = f"{sys.executable} -m turnability.cli schema; echo $? >&2"
    done = subprocess.run(
        ["sh", "-c", f"({command}) | head -1"],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert done.stdout == "{\n"
    assert done.stderr == "0\n"


def test_a_pipe_gets_neither_colour_nor_bar() -> None:
    done = in_a_process("check", str(FIXTURES / "mooring_clamp.step"), "--fail-on", "never")
    assert done.returncode == 0, done.stderr
    assert "\x1b" not in done.stdout + done.stderr
    assert done.stderr == ""
    assert "mooring_clamp: NOT A TURNED PART" in done.stdout


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_a_terminal_gets_colours_and_a_bar(tmp_path: Path) -> None:
    import pty

    leader, follower = pty.openpty()
    clamp, again = FIXTURES / "mooring_clamp.step", tmp_path / "again.step"
    again.write_bytes(clamp.read_bytes())
    with subprocess.Popen(
        [sys.executable, "-m", "turnability.cli", "check", str(clamp), str(again)],
        stdout=follower,
        stderr=follower,
        env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "100"},
    ) as child:
        os.close(follower)
        seen = b""
        while True:
            try:
                piece = os.read(leader, 4096)
            except OSError:  # Linux says so when the other end has closed
                break
            if not piece:
                break
            seen += piece
    os.close(leader)
    assert child.returncode == 1
    text = seen.decode("utf-8")
    assert "\x1b[" in text
    assert "2/2" in text or "1/2" in text
    assert "NOT A TURNED PART" in text


def test_the_children_wake_before_shop_and_part_are_read(monkeypatch, run, tmp_path) -> None:
    """Loading the kernel takes the longest of all; nothing waits for it before it must."""
    from turnability.part.apart.child import READING, Kernel

    order = []
    monkeypatch.setattr(Kernel, "start", lambda self, work=READING: order.append(work.doer))
    monkeypatch.setattr("turnability.analysis.shop_of", lambda shop: order.append("shop") or 1 / 0)
    (tmp_path / "any.step").write_text("ISO-10303-21;")
    run("check", tmp_path / "any.step")
    assert order == ["the CAD kernel", "the analysis", "shop"]
    order.clear()
    run("check", tmp_path / "any.step", "--solid", "0")
    assert order == []
