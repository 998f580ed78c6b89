"""The frame in a browser: shows each new report, keeps the reader's place, tells what is wrong."""

from __future__ import annotations

from pathlib import Path

from tests.outputs.browser import browser
from turnability.watch.serve import Server, Shelf

LONG = "<!DOCTYPE html><title>x</title><p>{}</p><div style='height:4000px'></div>"


def test_the_open_page_follows(tmp_path: Path) -> None:
    page = tmp_path / "part.html"
    other = tmp_path / "other.html"
    other.write_text(LONG.format("other"))
    shelf = Shelf("<b>part.step")
    server = Server(shelf)
    with browser() as made:
        tab = made.new_page()
        faults: list[str] = []
        tab.on("console", lambda message: faults.append(message.text))
        tab.on("pageerror", lambda error: faults.append(str(error)))
        tab.goto(server.url)
        assert tab.is_hidden("#page")
        page.write_text(LONG.format("one"))
        shelf.put([("<i>part", page)])
        shelf.say("fine", "<b>part.step: turnable")
        inner = tab.frame_locator("#page")
        inner.get_by_text("one").wait_for()
        tab.get_by_text("<b>part.step: turnable").wait_for()
        assert tab.title() == "✓ <b>part.step"
        assert tab.is_hidden("#choice")
        tab.frames[1].evaluate("window.scrollTo(0, 700)")
        page.write_text(LONG.format("two"))
        shelf.put([("<i>part", page), ("other", other)])
        shelf.say("wrong", "the file is cut off")
        inner.get_by_text("two").wait_for(state="attached")
        tab.frames[1].wait_for_function("window.scrollY === 700")
        tab.get_by_text("the file is cut off").wait_for()
        assert tab.get_by_label("Solid").inner_text().split() == ["<i>part", "other"]
        tab.get_by_label("Solid").select_option("other")
        inner.get_by_text("other").wait_for()
        assert faults == []
        server.close()
        tab.get_by_text("has ended").wait_for()
