"""Files that are put in place whole: links are followed, devices and pipes are never replaced."""

from __future__ import annotations

import os
import stat
import threading
from pathlib import Path

from turnability.whole_files import write_whole


def test_a_link_stays_and_its_target_is_replaced(tmp_path: Path) -> None:
    target, link = tmp_path / "kept" / "target.json", tmp_path / "link.json"
    target.parent.mkdir()
    target.write_text("old")
    link.symlink_to(target)
    write_whole(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"
    assert sorted(p.name for p in target.parent.iterdir()) == ["target.json"]


def test_a_pipe_is_written_to_and_stays_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    heard: list[str] = []
    reader = threading.Thread(target=lambda: heard.append(pipe.read_text()), daemon=True)
    reader.start()
    write_whole(pipe, "new")
    reader.join(10.0)
    assert heard == ["new"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)
