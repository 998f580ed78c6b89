"""A headless Chromium for the page's tests: the system's own, driven by playwright."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
ARGUMENTS = (
    "--no-sandbox",  # build servers run as root
    "--use-angle=swiftshader",  # WebGL without a graphics card
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
)


def chromium() -> str | None:
    """Where Chromium is: as TURNABILITY_CHROMIUM says, else on the path."""
    named = os.environ.get("TURNABILITY_CHROMIUM")
    return named or next((found for name in NAMES if (found := shutil.which(name))), None)


def why_not() -> str | None:
    """Why the page cannot be tested in a browser here; None where it can."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "playwright is not installed (it is among the dev dependencies)"
    if chromium() is None:
        return "there is no Chromium (apt-get install chromium, or name it: TURNABILITY_CHROMIUM)"
    return None


@contextmanager
def browser() -> Iterator[Any]:
    """A browser; skips where there is none, and fails in CI."""
    if (why := why_not()) is not None:
        why = f"the browser tests did not run: {why}"
        if os.environ.get("CI"):
            pytest.fail(why)
        pytest.skip(why)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=chromium(), args=list(ARGUMENTS))
        try:
            yield made
        finally:
            made.close()


@contextmanager
def opened(made: Any, file: Path, **options: Any) -> Iterator[Any]:
    """The page in a tab of its own; afterwards nothing may have complained or asked the network."""
    options.setdefault("viewport", {"width": 1280, "height": 1000})
    tab = made.new_page(**options)
    tab.set_default_timeout(10_000)
    faults: list[str] = []
    tab.on("console", lambda message: faults.append(f"{message.type}: {message.text}"))
    tab.on("pageerror", lambda error: faults.append(f"error: {error}"))
    tab.on("dialog", lambda dialog: (faults.append(f"dialog: {dialog.message}"), dialog.dismiss()))
    tab.on(
        "request",
        lambda asked: None if asked.url == file.as_uri() else faults.append(f"asks {asked.url}"),
    )
    tab.add_init_script("window.printed = 0; window.print = () => { window.printed += 1; };")
    try:
        tab.goto(file.as_uri())
        yield tab
        assert faults == [], "\n".join(faults)
    finally:
        tab.close()
