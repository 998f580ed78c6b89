"""The page of one solid: its drawing, what changed, and its findings."""

from __future__ import annotations

from turnability.batch.compare import Row
from turnability.batch.model import Judged
from turnability.batch.site.page import listed, page, text
from turnability.rules.model import Finding


def part_page(row: Row, one: Judged, name: str, drawn: bool) -> str:
    """The page; drawing and JSON lie beside it under the same name."""
    parts = [
        '<p><a href="../index.html">All parts</a></p>',
        f"<h1>{text(row.title)}</h1>",
        f"<p><strong>{text(row.verdict or 'unusable')}</strong>"
        + (f", owner {text(row.owner)}" if row.owner else "")
        + (f", stock {text(row.stock)}" if row.stock else "")
        + (f", about {row.minutes:.0f} min a piece" if row.minutes is not None else "")
        + (f"; moved from {text(row.moved_from)}" if row.moved_from else "")
        + "</p>",
    ]
    if row.failed is not None:
        parts.append(f'<p class="error">{text(row.failed)}</p>')
    if drawn:
        parts.append(f'<p><img src="{name}.svg" alt="Section along the axis"></p>')
    if row.new is not None:
        parts += ["<h2>New since the earlier run</h2>", listed([_told(f) for f in row.new])]
        parts += ["<h2>Fixed since then</h2>", listed([_told(f) for f in row.fixed or ()])]
    if one.verdict is not None:
        parts += ["<h2>Findings</h2>", listed([_told(f) for f in one.findings])]
        bad = [s for s in one.statuses if s.status in ("crashed", "not-judged")]
        if bad:
            told = [f"{text(s.rule)}: {text(s.status)}, {text(s.reason)}" for s in bad]
            parts += ["<h2>Not judged</h2>", listed(told)]
        parts.append(f'<p><a href="{name}.json">The report as JSON</a></p>')
    return page(row.title, "\n".join(parts))


def _told(finding: Finding) -> str:
    return (
        f'<span class="{finding.level}">{finding.level}</span> {text(finding.rule)}: '
        f"{text(finding.message)} <small>({text(finding.basis.text)})</small>"
    )
