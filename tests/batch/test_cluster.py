"""The same run on a Dask scheduler: a real one, with worker processes that come and go."""

from __future__ import annotations

import json
import os
import pickle
import pickletools
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from tests.batch.test_run import FIXTURES, SHOP, go
from turnability.batch import cluster, cluster_side
from turnability.batch.compare import Row
from turnability.batch.run import Outcome, Step, Wish, run
from turnability.batch.worker import Task, Worker
from turnability.errors import TurnabilityError

pytest.importorskip("distributed")
ROOT = Path(__file__).resolve().parents[2]


@contextmanager
def dask(*arguments: str) -> Iterator[subprocess.Popen[bytes]]:
    """A process of the library's own command line, ended at the end."""
    paths = [str(ROOT), *os.environ.get("PYTHONPATH", "").split(os.pathsep)]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(paths)}
    command = [sys.executable, "-m", f"distributed.cli.dask_{arguments[0]}", *arguments[1:]]
    with subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL) as process:
        try:
            yield process
        finally:
            process.kill()


@pytest.fixture
def scheduler(tmp_path: Path) -> Iterator[Path]:
    """A scheduler's own file, for its workers to find it by."""
    file = tmp_path / "scheduler.json"
    options = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--no-show")
    with dask("scheduler", *options, "--scheduler-file", str(file)) as process:
        until = time.monotonic() + 60.0
        while not file.exists():
            assert process.poll() is None
            assert time.monotonic() < until
            time.sleep(0.05)
        yield file


def address_of(scheduler: Path) -> str:
    return str(json.loads(scheduler.read_text())["address"])


def worker(scheduler: Path, *more: str) -> AbstractContextManager[subprocess.Popen[bytes]]:
    options = ("--no-nanny", "--no-dashboard", "--nthreads", "1", "--host", "127.0.0.1")
    return dask("worker", *options, "--scheduler-file", str(scheduler), *more)


def plain(outcome: Outcome) -> list[Row]:
    return [replace(row, result=0) for row in outcome.rows]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Six parts of their own content, one of them damaged, one with an intent that cannot be."""
    folder = tmp_path / "parts"
    folder.mkdir()
    for i, name in enumerate(("mooring_clamp", "flow_venturi") * 3):
        text = (FIXTURES / f"{name}.step").read_text()
        (folder / f"{i}.step").write_text(text.replace("DATA;", f"DATA;\n/* copy {i} */", 1))
    (folder / "4.step").write_text(text[: len(text) // 2])
    (folder / "5.intent.toml").write_text('colour = "no such key"\n')
    (folder / "shop.toml").write_text(SHOP)
    return folder


def test_a_worker_that_is_lost_or_blind_costs_nothing(folder: Path, scheduler: Path) -> None:
    alone = go(folder, shop=folder / "shop.toml", home=folder.parent / "alone")
    assert [row.failed is None for row in alone.rows] == [True] * 4 + [False] * 2
    steps: list[Step] = []
    with ExitStack() as stack:
        first, _ = (stack.enter_context(worker(scheduler)) for _ in range(2))

        def kill_one(step: Step) -> None:
            steps.append(step)
            if len(steps) == 1:  # while it is at the next part
                first.send_signal(signal.SIGKILL)
                stack.enter_context(worker(scheduler))

        wish = Wish(folder, folder.parent / "there", shop=folder / "shop.toml", jobs=None)
        there = run(replace(wish, cluster=address_of(scheduler)), kill_one)
        assert first.wait(10.0) == -signal.SIGKILL
        assert there.analysed == len(steps) == 6
        assert plain(there) == plain(alone)
        # nothing is asked of the cluster where everything is known
        assert go(folder, shop=wish.shop, home=wish.home, cluster="tcp://127.0.0.1:1").analysed == 0
    # and workers that do not see the files are sent them
    with worker(scheduler, "--preload", str(Path(__file__).with_name("blind.py"))):
        sent = go(
            folder,
            shop=folder / "shop.toml",
            home=folder.parent / "sent",
            cluster=address_of(scheduler),
            jobs=None,
        )
    assert sent.analysed == 6
    assert plain(sent) == plain(alone)
    assert str(folder / "5.intent.toml") in str(sent.rows[5].failed)


def test_what_cannot_be_used_is_told(
    folder: Path, scheduler: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster, "CONNECT_S", 1.0)
    with pytest.raises(TurnabilityError, match="no Dask scheduler answers"):
        go(folder, cluster="tcp://127.0.0.1:1")
    with pytest.raises(TurnabilityError, match="no Dask scheduler answers"):
        go(folder, cluster="nonsense://")
    with pytest.raises(TurnabilityError, match="no worker within 1 s"):
        go(folder, cluster=address_of(scheduler))
    monkeypatch.setattr(cluster, "CONNECT_S", 60.0)
    with worker(scheduler):
        monkeypatch.setattr(cluster, "program_id", lambda: "another")
        with pytest.raises(TurnabilityError, match="has not this run's program another"):
            go(folder, cluster=address_of(scheduler))
        monkeypatch.undo()
        assert len(go(folder, cluster=address_of(scheduler)).rows) == 6, "a worker is unharmed"


def test_a_scheduler_that_goes_away_ends_the_run(
    folder: Path, scheduler: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster, "CONNECT_S", 5.0)
    close = "import sys, distributed; distributed.Client(sys.argv[1]).shutdown()"

    def stop(step: Step) -> None:
        command = [sys.executable, "-c", close, address_of(scheduler)]
        subprocess.run(command, check=True, capture_output=True)

    wish = Wish(folder, folder.parent / "there", jobs=None, cluster=address_of(scheduler))
    with worker(scheduler), pytest.raises(TurnabilityError, match="has gone"):
        run(wish, stop)
    assert go(folder, home=folder.parent / "there").analysed < 6, "what was done is kept"


def test_nothing_of_the_kernel_goes_over_the_wire(folder: Path) -> None:
    file = folder / "1.step"
    from turnability.batch.content import content_of

    task = Task("1.step", str(file), content_of(file), "", False, None, "", ())
    lone = Worker(60.0, 4 << 30)
    try:
        result = lone.do(task)
    finally:
        lone.close()
    assert result.parts is not None
    known = replace(task, parts=result.parts)
    for one in (known, result):
        names = {
            str(argument)
            for code, argument, _ in pickletools.genops(pickle.dumps(one, 2))
            if code.name == "GLOBAL"
        }
        assert any(name.startswith("turnability.") for name in names)
        rooms = {name.split()[0].split(".")[0] for name in names}
        assert rooms <= {"turnability", "builtins", "datetime", "copyreg", "__builtin__"}


def test_files_that_are_sent_keep_their_names(folder: Path) -> None:
    shutil.copy(folder / "5.intent.toml", folder / "1.2.intent.toml")
    job = Task("1.step", str(folder / "1.step"), "other content", "", False, None, "", ())
    assert cluster_side.work(
        job, Worker.do, (1.0, 1), ("me", "other"), None
    ) == cluster_side.OtherProgram(cluster_side.program_id())
    run_of = ("me", cluster_side.program_id())
    try:
        answer = cluster_side.work(job, Worker.do, (1.0, 1), run_of, None)
        assert answer == cluster_side.FilesWanted()
        sent = cluster._read(job)
        seen: list[str] = []
        cluster_side.work(
            job, lambda w, j: seen.append(Path(j.file).read_text()), (1.0, 1), run_of, sent
        )
        assert seen == [(folder / "1.step").read_text()]
    finally:
        cluster_side.put_away("me")
