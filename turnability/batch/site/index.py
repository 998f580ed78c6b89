"""The index: all solids to search, sort and filter, and how the run compares with earlier ones."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files

from turnability.batch.memory import Run
from turnability.batch.run import Outcome
from turnability.batch.site.page import listed, page, text
from turnability.units import counted

_COLUMNS = ("path", "owner", "verdict", "errors", "warnings", "new", "fixed", "minutes")
_HEADS = ("Part", "Owner", "Verdict", "Errors", "Warnings", "New", "Fixed", "Minutes")
_VERDICTS = {
    "turnable": "turnable",
    "needs-changes": "to be changed, each change proven",
    "not-turnable": "not turnable as drawn",
    "not-axisymmetric": "no turned part",
    "undetermined": "undetermined",
    "unusable": "not to be used (a damaged file, no STEP file, a time limit)",
}
_MOST_RUNS = 60


def index_page(outcome: Outcome, runs: Sequence[Run], ids: Mapping[str, str]) -> str:
    """The page with its data and script in it: browsers load no data beside a page from disk."""
    rows = [
        {
            "id": ids[row.title],
            "title": row.title.encode("utf-8", "replace").decode(),
            "path": row.path.encode("utf-8", "replace").decode(),
            "owner": row.owner,
            "verdict": row.verdict or "unusable",
            "errors": row.errors if row.failed is None else None,
            "warnings": row.warnings if row.failed is None else None,
            "new": None if row.new is None else len(row.new),
            "fixed": None if row.fixed is None else len(row.fixed),
            "minutes": None if row.minutes is None else round(row.minutes),
            "rules": row.rules,
        }
        for row in outcome.rows
    ]
    # within a script element nothing but </script> and <!-- ends the text: no < stays
    data = json.dumps(rows).replace("<", "\\u003c")
    heads = "".join(
        f'<th><button type="button" data-key="{key}">{head}</button></th>'
        for key, head in zip(_COLUMNS, _HEADS, strict=True)
    )
    selects = "".join(
        f'<label>{name.title()} <select id="{name}"><option value="">any</option></select></label>'
        for name in ("folder", "owner", "verdict", "rule")
    )
    gone = [text(path) for path in outcome.gone]
    over = [f"{text(one.path)}: {text(one.why)}" for one in outcome.passed_over]
    counts = outcome.counts
    against = (
        "the first run"
        if outcome.since is None
        else f"{counts['new']} new and {counted(counts['fixed'], 'fixed finding')} since the "
        "earlier run"
    )
    told = [f"{counts[key]} {words}" for key, words in _VERDICTS.items() if counts.get(key)]
    said = ", ".join(told) or "none"
    body = (
        f"<h1>{counted(len(outcome.rows), 'part')}</h1>\n<p>{said[0].upper()}{said[1:]}; "
        f"{against}. "
        '<a href="whole.html">What they have in common</a> · <a href="feed.xml">RSS</a> · '
        '<a href="feed.json">JSON feed</a></p>\n'
        f"{_trend(runs[-_MOST_RUNS:])}\n"
        '<form onsubmit="return false"><label>Search <input id="words" type="search"></label>'
        f"{selects}</form>\n"
        '<p id="count" aria-live="polite"></p>\n<div class="wide"><table id="parts">'
        f"<thead><tr>{heads}</tr></thead><tbody></tbody></table></div>\n"
        '<p><button type="button" id="more" hidden>More</button></p>\n'
        + (f"<h2>Gone</h2>{listed(gone)}" if gone else "")
        + (f"<h2>Passed over</h2>{listed(over)}" if over else "")
        + f'<script type="application/json" id="rows">{data}</script>'
    )
    script = files(__package__).joinpath("index.js").read_text(encoding="utf-8")
    return page("Turnability of all parts", body, script)


def _trend(runs: Sequence[Run]) -> str:
    """Errors and warnings run by run, as lines."""
    counts = [json.loads(run.counts) for run in runs if run.counts]
    if len(counts) < 2:
        return ""
    most = max(1, *(one[key] for one in counts for key in ("errors", "warnings")))
    lines = []
    for key, dash in (("errors", "none"), ("warnings", "6 4")):
        # where both are as many, the dashes would lie under the line: they are drawn beside it
        beside = 3 * (key == "warnings")
        points = " ".join(
            f"{10 + 580 * i / (len(counts) - 1):.1f},{110 + beside - 90 * one[key] / most:.1f}"
            for i, one in enumerate(counts)
        )
        lines.append(
            f'<polyline points="{points}" fill="none" stroke="currentColor" stroke-width="2" '
            f'stroke-dasharray="{dash}"/>'
        )
    last = counts[-1]
    return (
        '<svg viewBox="0 0 840 130" role="img" aria-label="Errors and warnings run by run" '
        f'width="840">{"".join(lines)}<text x="600" y="40">errors {last["errors"]} (line)</text>'
        f'<text x="600" y="60">warnings {last["warnings"]} (dashes)</text>'
        f'<text x="10" y="126">{counted(len(counts), "run")}, at most {most}</text></svg>'
    )
