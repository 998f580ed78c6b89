"""Judges in the worker's process that fail as the kernel can: by the name of the part."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any

from turnability.batch.judge import judged as really
from turnability.batch.model import Judged


def judged(part: Any, shop: Any, shop_sha256: str, intents: Any, path: str) -> Judged:
    if path.startswith("crash"):
        os.kill(os.getpid(), signal.SIGSEGV)
    if path.startswith("hang"):
        time.sleep(60.0)
    if path.startswith("hungry"):
        bytearray(16 << 30)  # refused at once: filling it up takes time
    if path.startswith("once"):
        mark = Path(os.environ["TURNABILITY_TEST_MARK"])
        if not mark.exists():
            mark.write_text("died")
            os.kill(os.getpid(), signal.SIGKILL)
    return really(part, shop, shop_sha256, intents, path)
