"""What the command line's tests have in common."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeAlias

import pytest

from turnability import cli

Run: TypeAlias = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command line in this process: exit code, stdout, stderr."""

    def called(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["turnability", *map(str, arguments)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        out, err = capsys.readouterr()
        assert "Traceback" not in err
        return int(left.value.code or 0), out, err

    return called
