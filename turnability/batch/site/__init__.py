"""The static site of a run: an index, a page a part, what parts have in common, and feeds.

Nothing is loaded from elsewhere and no script runs on the parts' pages, so it opens from disk and
from any web server. Text of files is escaped wherever it stands.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from itertools import groupby
from pathlib import Path

from turnability import __version__
from turnability.batch.compare import Row
from turnability.batch.crib import Crib
from turnability.batch.hands import Hands
from turnability.batch.memory import Memory
from turnability.batch.prove import remembered, replanner
from turnability.batch.run import Outcome
from turnability.batch.site.feeds import json_feed, rss_feed
from turnability.batch.site.index import index_page
from turnability.batch.site.part_page import part_page
from turnability.batch.site.whole_page import whole_page
from turnability.batch.whole import Named, whole_of
from turnability.whole_files import make_folder, told, write_whole

_PAGES = ".pages.json"
_MOST_CHANGES = 200


def write_site(
    outcome: Outcome,
    memory: Memory,
    hands: Hands,
    folder: Path,
    tell: Callable[[int, int], None] = lambda done, of: None,
    tell_crib: Callable[[Crib, float | None], None] = lambda crib, seconds: None,
) -> None:
    """Write the pages that have changed, and take away those of parts that are gone.

    After a run over some of the parts only, their pages alone are written: the index stays that of
    the last whole run. `hands` prove what is said of all parts together; `tell`: how many parts of
    how many are done with that, `tell_crib`: the fewest tools, and how many seconds they were
    sought (None where they were known). Raises OutputUnwritable.
    """
    make_folder(folder / "parts")
    ids = {row.title: page_id(row) for row in outcome.rows}
    partial = outcome.wish.changed_since is not None
    known = _known(folder)
    pages = dict(known) if partial else {}
    for row in outcome.rows:
        page = ids[row.title]
        state = hashlib.sha256(repr((__version__, row)).encode("utf-8", "replace")).hexdigest()
        pages[page] = f"{state} {row.result}"
        if known.get(page) != pages[page] or not (folder / "parts" / f"{page}.html").is_file():
            same_result = known.get(page, "").partition(" ")[2] == str(row.result)
            _write_part(row, memory, folder / "parts", page, same_result)
    for page in known.keys() - pages.keys():
        for kind in (".html", ".json", ".svg"):
            with told(folder), suppress(FileNotFoundError):
                (folder / "parts" / f"{page}{kind}").unlink()
    if not partial:
        write_whole(folder / "index.html", index_page(outcome, memory.runs(), ids))
        shop = outcome.wish.shop
        make = replanner(
            memory, hands, None if shop is None else str(shop), outcome.shop.sha256, tell
        )
        known_crib = remembered(memory, outcome.shop.sha256, tell_crib)
        whole = whole_of(_named(outcome.rows, memory), outcome.shop, make, known_crib)
        write_whole(folder / "whole.html", whole_page(whole, ids))
        changes = memory.changes(_MOST_CHANGES)
        write_whole(folder / "feed.json", json_feed(changes, outcome.rows, ids))
        write_whole(folder / "feed.xml", rss_feed(changes, outcome.rows, ids))
    if hasattr(os, "sync"):
        os.sync()  # all pages are on the disk before it is said that they are there
    write_whole(folder / _PAGES, json.dumps(pages))


def page_id(row: Row) -> str:
    """A page's name: of path and solid, without any letter that a path may hold."""
    words = f"{row.path}\0{row.solid}".encode("utf-8", "surrogateescape")
    return hashlib.sha256(words).hexdigest()[:20]


def _named(rows: Sequence[Row], memory: Memory) -> Iterator[Named]:
    """Each solid as kept; those of one file follow each other and are read once."""
    for result, some in groupby(rows, key=lambda row: row.result):
        judged = {one.solid: one for one in memory.judged(result)}
        for row in some:
            yield Named(row.title, result, judged[row.solid])


def _write_part(row: Row, memory: Memory, folder: Path, page: str, same_result: bool) -> None:
    """The page and, where they are not those of this result, drawing and report beside it."""
    judged = next(one for one in memory.judged(row.result) if one.solid == row.solid)
    drawn = folder / f"{page}.svg"
    if not same_result:
        document, drawing = memory.texts(row.result).get(row.solid, ("", ""))
        if document and (judged.source is None or judged.source.path != row.path):
            report = json.loads(document)  # of a file with the same content
            report["source"]["path"] = row.path
            document = json.dumps(report, allow_nan=False, separators=(",", ":"))
        for file, content in ((drawn, drawing), (folder / f"{page}.json", document)):
            if content:
                _write(file, content)
            else:
                with told(file), suppress(FileNotFoundError):
                    file.unlink()
    _write(folder / f"{page}.html", part_page(row, judged, page, drawn.is_file()))


def _write(file: Path, content: str) -> None:
    """One of very many files: put in its place whole, but not waited for until the disk has it."""

    def fill(beside: Path) -> None:
        beside.write_text(content, encoding="utf-8", newline="\n")

    write_whole(file, fill)


def _known(folder: Path) -> dict[str, str]:
    try:
        pages = json.loads((folder / _PAGES).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {str(k): str(v) for k, v in pages.items()} if isinstance(pages, dict) else {}
