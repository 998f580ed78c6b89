"""While designing: each save is analysed, a damaged one waited out, and the page follows."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from queue import Empty, Queue

import pytest

from tests.outputs.sample import housing_report
from turnability.cli.watch import _tell as tell_round
from turnability.errors import OutputUnwritable, PartUnreadable
from turnability.watch.rounds import Round, Wish, rounds
from turnability.watch.script import run_script
from turnability.watch.serve import HOST, Server, Shelf

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
PIN = (FIXTURES / "winch_spindle.step").read_bytes()
CAP = (FIXTURES / "end_cap.step").read_bytes()
LONG_S = 90.0
"""For what takes a second or two; only a fault ever waits so long."""


class Following:
    """Rounds taken by a thread, as the command takes them."""

    def __init__(self, wish: Wish) -> None:
        self.done: Queue[Round | BaseException] = Queue()
        self.wish = wish
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self) -> None:
        try:
            for done in rounds(self.wish):
                self.done.put(done)
        except BaseException as error:
            self.done.put(error)

    def next(self) -> Round:
        try:
            found = self.done.get(timeout=LONG_S)
        except Empty:
            pytest.fail("nothing was analysed")
        if isinstance(found, BaseException):
            raise found
        return found


def replaced(path: Path, data: bytes) -> None:
    """Written beside and put in its place, as most programs save."""
    beside = path.with_suffix(".new")
    beside.write_bytes(data)
    beside.replace(path)


def test_each_save_is_analysed_and_a_damaged_one_waited_out(tmp_path: Path) -> None:
    part = tmp_path / "part.step"
    part.write_bytes(PIN)
    following = Following(Wish(part, tmp_path / "out"))
    first = following.next()
    assert [r.part.profile.length_mm for r in first.reports if r.part.profile] == [260.0]
    assert [page.parent for page in first.pages] == [tmp_path / "out"]
    part.write_bytes(PIN[: len(PIN) // 2])
    damaged = following.next()
    assert not damaged.reports
    assert "cut off" in str(damaged.errors[0])
    part.unlink()
    gone = following.next()
    assert "no such file" in str(gone.errors[0])
    replaced(part, CAP)
    second = following.next()
    assert not second.errors
    assert second.reports[0].part.source.sha256 != first.reports[0].part.source.sha256
    (tmp_path / "part.intent.toml").write_text('material = "C45"\nno_such_key = 3\n')
    assert "no_such_key" in str(following.next().errors[0])
    (tmp_path / "part.intent.toml").write_text('material = "C45"\n')
    stated = following.next()
    assert stated.reports[0].intent is not None
    assert stated.reports[0].intent.material == "C45"


SCRIPT = """
import cadquery as cq
from sizes import DIAMETER
print("drawing", DIAMETER)
part = cq.Workplane().circle(DIAMETER / 2).extrude(30)
show_object(part, name="pin", options={"alpha": 0.5})
debug(cq.Workplane().box(1, 1, 1))
"""


def test_a_script_and_its_own_modules_are_followed(tmp_path: Path) -> None:
    script = tmp_path / "my model.py"
    script.write_text(SCRIPT)
    sizes = tmp_path / "sizes.py"
    sizes.write_text("DIAMETER = = 12\n")
    following = Following(Wish(script, tmp_path / "out"))
    broken = following.next()
    assert "SyntaxError" in str(broken.errors[0])
    sizes.write_text("DIAMETER = 12\n")
    first = following.next()
    assert (first.said, [r.name for r in first.reports]) == ("drawing 12", ["pin"])
    assert first.reports[0].part.profile is not None
    assert first.reports[0].part.profile.max_diameter_mm == pytest.approx(12.0)
    sizes.write_text("DIAMETER = 14\n")
    second = following.next()
    assert second.reports[0].part.profile is not None
    assert second.reports[0].part.profile.max_diameter_mm == pytest.approx(14.0)


def script_in(folder: Path, text: str) -> Path:
    path = folder / "model.py"
    path.write_text(textwrap.dedent(text))
    (folder / "out").mkdir(exist_ok=True)
    return path


def test_without_show_object_a_variable_is_shown(tmp_path: Path) -> None:
    text = "import cadquery as cq\nresult = None\npart = cq.Workplane().circle(5).extrude(9)\n"
    script = script_in(tmp_path, text + "assembly = 3")
    shown = run_script(script, tmp_path / "out")
    assert [file.name for file in shown.files] == ["model.step"]
    assert shown.error is None


def test_an_assembly_keeps_its_tree_and_equal_names_are_told_apart(tmp_path: Path) -> None:
    from turnability.part.reading.read import read_solids

    script = script_in(
        tmp_path,
        """
        import cadquery as cq
        pin = cq.Workplane().circle(5).extrude(9)
        whole = cq.Assembly(name="stand").add(pin, name="left")
        whole.add(pin, name="right", loc=cq.Location((20, 0, 0)))
        show_object(whole, name="a/b")
        show_object(pin, name="A b")
        show_object(pin, name="A b")
        """,
    )
    shown = run_script(script, tmp_path / "out")
    assert [file.name for file in shown.files] == ["a_b.step", "A b.step", "A b-2.step"]
    solids = read_solids(shown.files[0])
    assert [s.source.instances[i].path[-1] for i, s in enumerate(solids)] == ["left", "right"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x = 3", "shows nothing"),
        ("x = 3\nraise ValueError('too thin')", "failed at line 2: ValueError: too thin"),
        ("import cadquery as cq; result = cq.Workplane().rect(1, 2)", "there is no solid in it"),
        ("import os; os.abort()", "SIGABRT"),
        ("import sys; sys.exit(7)", "code 7"),
    ],
)
def test_scripts_that_show_nothing_say_why(text: str, told: str, tmp_path: Path) -> None:
    shown = run_script(script_in(tmp_path, text), tmp_path / "out")
    assert not shown.files
    assert told in str(shown.error)


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="groups of processes are POSIX's")
def test_a_script_without_end_is_ended_with_all_it_started(tmp_path: Path) -> None:
    script = script_in(
        tmp_path,
        """
        import pathlib, subprocess, sys
        child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
        pathlib.Path("pid").write_text(str(child.pid))
        while True: pass
        """,
    )
    shown = run_script(script, tmp_path / "out", limit_s=2.0)
    assert "did not end within 2 s" in str(shown.error)
    pid = int((tmp_path / "pid").read_text())
    assert wait_for(lambda: not running(pid))


def running(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
    except OSError:
        return False
    return state != "Z"


def wait_for(holds: Callable[[], bool]) -> bool:
    until = time.monotonic() + LONG_S
    while not holds() and time.monotonic() < until:
        time.sleep(0.05)
    return holds()


def test_what_is_not_there_is_told_at_once(tmp_path: Path) -> None:
    part = tmp_path / "p.step"
    part.write_bytes(PIN)
    gone = tmp_path / "gone.toml"
    for wish in (
        Wish(gone, tmp_path),
        Wish(part, tmp_path, gone),
        Wish(part, tmp_path, None, gone),
    ):
        with pytest.raises(PartUnreadable, match="no such file"):
            next(rounds(wish))
    with pytest.raises(PartUnreadable, match="this is a folder"):
        next(rounds(Wish(tmp_path, tmp_path)))


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Shelf, Server]]:
    shelf = Shelf("part <b>.step")
    server = Server(shelf)
    yield shelf, server
    server.close()


def get(server: Server, path: str, host: str | None = None) -> tuple[int, bytes, dict[str, str]]:
    port = int(server.url.rstrip("/").rsplit(":", 1)[1])
    connection = http.client.HTTPConnection(HOST, port, timeout=LONG_S)
    connection.request("GET", path, headers={"Host": host or f"{HOST}:{port}"})
    answer = connection.getresponse()
    return answer.status, answer.read(), dict(answer.getheaders())


def test_the_page_is_for_this_machine_alone(served: tuple[Shelf, Server], tmp_path: Path) -> None:
    shelf, server = served
    assert server.url.startswith("http://127.0.0.1:")
    (tmp_path / "a.html").write_text("<p>one</p>")
    shelf.put([("a", tmp_path / "a.html")])
    assert get(server, "/page/0")[:2] == (200, b"<p>one</p>")
    assert get(server, "/page/0", host="elsewhere.example")[0] == 403
    for path in (
        "/page/1",
        "/page/-1",
        "/page/../frame.js",
        "/etc/passwd",
        "/page/x",
        "/../a.html",
    ):
        assert get(server, path)[0] == 404
    with pytest.raises(OutputUnwritable, match="port"):
        Server(shelf, int(server.url.rstrip("/").rsplit(":", 1)[1]))


def test_the_frame_asks_nobody_else(served: tuple[Shelf, Server]) -> None:
    _, server = served
    status, frame, headers = get(server, "/")
    assert status == 200
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    for name in re.findall(rb'(?:src|href)="([^"]+)"', frame):
        assert name.startswith(b"/")
        assert get(server, name.decode())[0] == 200


def test_the_state_counts_new_pages(served: tuple[Shelf, Server], tmp_path: Path) -> None:
    shelf, server = served
    (tmp_path / "a.html").write_text("x")
    shelf.put([("a", tmp_path / "a.html")])
    shelf.say("wrong", "it is damaged")
    state = json.loads(get(server, "/state")[1])
    assert state == {
        "name": "part <b>.step", "number": 1, "kind": "wrong", "words": "it is damaged",
        "titles": ["a"],
    }  # fmt: skip
    shelf.put([("a", tmp_path / "a.html")])
    assert json.loads(get(server, "/state")[1])["number"] == 2


@pytest.mark.skipif(os.name == "nt", reason="Ctrl-C is another thing there")
def test_the_command_follows_a_file_and_ends_with_130(tmp_path: Path) -> None:
    part = tmp_path / "part.step"
    part.write_bytes(PIN)
    temporary = tmp_path / "tmp"
    temporary.mkdir()
    command = [sys.executable, "-m", "turnability.cli", "watch", str(part), "--no-browser"]
    child = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "TMPDIR": str(temporary)},
        # a shell's background jobs, such as a build server's, are started with Ctrl-C ignored
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL) and None,  # noqa: PLW1509
    )  # fmt: skip
    assert child.stdout is not None
    assert child.stderr is not None
    lines: list[str] = []
    threading.Thread(
        target=lambda: lines.extend(iter(child.stdout.readline, "")), daemon=True
    ).start()  # type: ignore[union-attr, arg-type]
    try:
        assert wait_for(lambda: any(line.startswith("watching") for line in lines))
        before = len(lines)
        part.write_bytes(CAP)
        assert wait_for(lambda: any(line.startswith("part: ") for line in lines[before:]))
        child.send_signal(signal.SIGINT)
        assert child.wait(LONG_S) == 130
        assert "stopped" in child.stderr.read()
    finally:
        child.kill()
        child.wait()
    assert not list(temporary.iterdir())


def test_a_wrong_name_ends_with_3(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "turnability.cli", "watch", str(tmp_path / "no.step")]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stdout) == (3, "")
    assert "no such file" in run.stderr


def test_the_page_says_in_sentences_how_it_stands(capsys: pytest.CaptureFixture[str]) -> None:
    shelf = Shelf("my-part.step")
    tell_round(Round(errors=[PartUnreadable("a.step", "it is cut off", "Export it again")]), shelf)
    assert shelf.words == "a.step: it is cut off. Export it again. Waiting for the next save."
    assert "a.step: it is cut off. Export it again.\n" in capsys.readouterr().err
    report = replace(housing_report(), verdict="needs-changes")
    tell_round(Round(reports=[report]), shelf)
    assert (shelf.kind, shelf.words) == ("fine", "my-part.step: needs changes")
