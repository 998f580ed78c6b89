"""What changed, for readers of feeds: JSON Feed 1.1 and RSS 2.0."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from email.utils import format_datetime
from xml.sax.saxutils import escape

from turnability.batch.compare import Row

Change = tuple[int, float, str, int, int]
_TITLE = "Turnability of all parts"


def _items(
    changes: Sequence[Change], rows: Sequence[Row], ids: Mapping[str, str]
) -> Iterator[tuple[str, str, str, datetime]]:
    """Of each change an id, words, the page, and when."""
    pages = {row.path: f"parts/{ids[row.title]}.html" for row in reversed(rows)}
    for run, ended, path, new, fixed in changes:
        shown = path.encode("utf-8", "replace").decode()
        words = f"{shown}: {new} new, {fixed} fixed findings"
        when = datetime.fromtimestamp(ended, UTC)
        yield f"turnability:{run}:{shown}", words, pages.get(path, "index.html"), when


def json_feed(changes: Sequence[Change], rows: Sequence[Row], ids: Mapping[str, str]) -> str:
    """JSON Feed 1.1 (jsonfeed.org)."""
    items = [
        {"id": name, "url": url, "content_text": words, "date_published": when.isoformat()}
        for name, words, url, when in _items(changes, rows, ids)
    ]
    feed = {"version": "https://jsonfeed.org/version/1.1", "title": _TITLE, "items": items}
    return json.dumps(feed, indent=1) + "\n"


def rss_feed(changes: Sequence[Change], rows: Sequence[Row], ids: Mapping[str, str]) -> str:
    """RSS 2.0; links are relative to the feed, for nobody here knows where the site will lie."""
    items = "".join(
        f'<item><guid isPermaLink="false">{_xml(name)}</guid><title>{_xml(words)}</title>'
        f"<link>{_xml(url)}</link><pubDate>{format_datetime(when)}</pubDate></item>\n"
        for name, words, url, when in _items(changes, rows, ids)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<rss version="2.0"><channel><title>{_TITLE}'
        "</title><link>index.html</link><description>New and fixed findings, run by run"
        f"</description>\n{items}</channel></rss>\n"
    )


def _xml(words: str) -> str:
    """Text for XML 1.0, which has no control characters at all."""
    return escape("".join(c if c.isprintable() else "?" for c in words))
