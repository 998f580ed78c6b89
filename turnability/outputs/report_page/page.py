"""The page put together: one file that asks no host for anything and works from disk."""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from turnability.outputs._palette import MARKS, MARKS_ON_DARK, ON_MARK, ON_MARK_ON_DARK, Mark
from turnability.outputs.drawing.set_over_style import set_over_style
from turnability.outputs.report_page.findings import findings_block
from turnability.outputs.report_page.head import head_block
from turnability.outputs.report_page.making import compare_block, setups_block, tools_block
from turnability.outputs.report_page.section import section
from turnability.outputs.report_page.tables import tables_block
from turnability.outputs.report_page.words import text

_HERE = Path(__file__).parent
_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; "
    "form-action 'none'; base-uri 'none'"
)


def page(document: Mapping[str, Any], model: bytes | None = None) -> str:
    """The page of a report's document (as `Report.document()` gives it, or read from JSON).

    `model`: the solid as a GLB of `part.writing.mesh`; without it the view in the round turns the
    section about its axis, which shows no departures, and says so. Nothing else is looked up.
    """
    report = dict(document)
    inch = report["inputs"]["shop"].get("units") == "inch"
    title = f"{name_of(report)}: {report['verdict']}"
    drawn = section(report)
    blocks = [
        head_block(report, name_of(report), inch),
        '<main id="content">',
        _bench(drawn),
        '<div class="sheets">',
        findings_block(report, inch),
        '<div class="stack">',
        tools_block(report) if drawn else "",
        setups_block(report, inch) if drawn else "",
        _round(model is not None, bool(drawn)),
        compare_block(report, inch),
        "</div></div>",
        tables_block(report, inch),
        "</main>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en" data-units="'
        + ("inch" if inch else "mm")
        + '">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{text(title)}</title>\n<style>\n{_style()}</style>\n</head>\n<body>\n"
        + "\n".join(block for block in blocks if block)
        + f'\n<script type="application/json" id="report">{_data(report)}</script>\n'
        + _model(model)
        + _library(model is not None or bool(drawn))
        + f"<script>\n{_script()}</script>\n</body>\n</html>\n"
    )


def name_of(document: Mapping[str, Any]) -> str:
    """What people call the part: the file's name without its ending, else the product's."""
    source = document["source"]
    if source["path"]:
        last = str(source["path"]).replace("\\", "/").rsplit("/", 1)[-1]
        return last.rsplit(".", 1)[0]
    return str(source["product"] or "shape")


def _bench(drawn: str) -> str:
    if not drawn:
        return ""
    return f"""<section class="bench" aria-label="Section of the part">
<div class="strip" role="toolbar" aria-label="Drawing">
<button type="button" id="closer">Closer</button>
<button type="button" id="farther">Farther</button>
<button type="button" id="whole">Whole part</button>
<button type="button" id="alone">Cut half alone</button>
<label><input type="checkbox" id="show-sizes"> all sizes</label>
<label><input type="checkbox" id="show-names"> feature names</label>
<label><input type="checkbox" id="cut-both"> cut both halves</label>
<label><input type="checkbox" id="turn-round"> high end to the left</label>
</div>
<div id="table" tabindex="0" role="application" aria-roledescription="drawing"
aria-label="Section; arrow keys walk along the contour and show its sizes, plus and minus change \
the scale, Escape clears" aria-describedby="caption">{drawn}</div>
<p id="caption" role="status" aria-live="polite">Pick a finding, a tool or a setup below, or a line
of the section.</p>
<div id="carriage" hidden></div>
</section>
{_legend()}"""


def _legend() -> str:
    """Every mark with its shape or hatch beside its colour."""
    entries = [
        ("sign error", "must change"),
        ("sign warning", "better changed"),
        ("sign note", "good to know"),
        ("sign warning accepted", "accepted"),
        ("swatch uncut", "left uncut"),
        ("swatch reached", "cut by the tool"),
        ("swatch grip", "held"),
        ("swatch kept-clear", "no tool beyond"),
        ("swatch hit", "body in the part"),
        ("swatch departure", "not turned"),
        ("swatch earlier", "earlier report"),
    ]
    listed = "".join(
        f'<li><svg class="{kind}" width="22" height="14" aria-hidden="true">{_mark(kind)}</svg>'
        f"{words}</li>"
        for kind, words in entries
    )
    hatches = "".join(
        f'<pattern id="key-{name}" class="hatch" width="1" height="1" '
        f'patternUnits="userSpaceOnUse" patternTransform="scale(5) rotate({angle})">'
        '<rect width="1" height="1"/><path d="M0 .5H1"/></pattern>'
        for name, angle in (("left", -45), ("grip", 0), ("hit", 0))
    )
    return (
        f'<svg width="0" height="0" aria-hidden="true"><defs>{hatches}</defs></svg>'
        f'<ul class="legend" aria-label="Marks in the drawing">{listed}</ul>'
    )


def _mark(kind: str) -> str:
    shapes = {
        "sign error": '<path d="M6 1h10l4 6-4 6H6L2 7z"/>',
        "sign warning": '<path d="M11 1l9 12H2z"/>',
        "sign note": '<circle cx="11" cy="7" r="6"/>',
        "swatch reached": '<path d="M1 7H21"/>',
        "swatch kept-clear": '<path d="M1 7H21"/>',
        "swatch earlier": '<path d="M1 7H21"/>',
    }
    return shapes.get(kind.removesuffix(" accepted"), '<rect x="1" y="1" width="20" height="12"/>')


def _round(has_model: bool, has_profile: bool) -> str:
    if not has_model and not has_profile:
        return ""
    what = (
        "The solid as the CAD kernel divides it into triangles."
        if has_model
        else "The section turned about its axis: what departs from it (holes, flats, slots) is not "
        "shown, for the solid itself was not at hand."
    )
    return f"""<section id="round" aria-labelledby="round-name">
<h2 id="round-name">In the round</h2>
<p class="faint">{what}</p>
<canvas id="view" tabindex="0" role="application" aria-roledescription="view in the round"
aria-label="The part in the round; arrow keys turn it, plus and minus change the distance"></canvas>
<canvas id="view-copy" class="on-paper" role="img" aria-label="The part in the round"></canvas>
<div class="strip" role="toolbar" aria-label="View in the round">
<button type="button" id="view-left" aria-label="Turn left">◀</button>
<button type="button" id="view-right" aria-label="Turn right">▶</button>
<button type="button" id="view-up" aria-label="Turn up">▲</button>
<button type="button" id="view-down" aria-label="Turn down">▼</button>
<button type="button" id="view-closer" aria-label="Closer">+</button>
<button type="button" id="view-farther" aria-label="Farther">−</button>
<button type="button" id="view-reset">Start again</button>
<label><input type="checkbox" id="view-cut"> cut open</label>
</div>
<p id="view-says" role="status" aria-live="polite"></p></section>"""


def _data(report: Mapping[str, Any]) -> str:
    """JSON that no text can break out of; without times, so that equal parts have one page."""
    told = {key: value for key, value in report.items() if key != "timings_s"}
    plain = json.dumps(told, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for letter in "<>&\u2028\u2029":
        plain = plain.replace(letter, f"\\u{ord(letter):04x}")
    return plain


def _model(model: bytes | None) -> str:
    if model is None:
        return ""
    packed = base64.b64encode(zlib.compress(model, 9)).decode("ascii")
    return f'<script type="model/gltf-binary" id="model" data-packing="zlib">{packed}</script>\n'


def _library(wanted: bool) -> str:
    return f"<script>\n{_read('library/ogl.min.js')}</script>\n" if wanted else ""


@lru_cache(maxsize=1)
def _script() -> str:
    files = sorted((_HERE / "script").glob("*.js"))
    inner = "\n".join(file.read_text(encoding="utf-8") for file in files)
    return f'(() => {{\n"use strict";\n{inner}}})();\n'


@lru_cache(maxsize=1)
def _style() -> str:
    light, dark = _colours(MARKS, ON_MARK), _colours(MARKS_ON_DARK, ON_MARK_ON_DARK)
    chosen, system = ':root[data-ground="dark"]', ':root:not([data-ground="light"])'
    return (
        f":root {{ {light} }}\n{chosen} {{ {dark} }}\n"
        f"@media (prefers-color-scheme: dark) {{ {system} {{ {dark} }} }}\n"
        f"@media print {{ :root, {chosen}, {system} {{ {light} }} }}\n{_read('style.css')}"
        + set_over_style(
            "var(--ink)",
            "var(--faint)",
            "var(--sheet)",
            work="var(--cut)",
            cut="var(--reached)",
            grip="var(--jaw)",
            body="color-mix(in srgb, var(--jaw) 35%, var(--sheet))",
        )
    )


def _colours(marks: Mapping[Mark, str], words: Mapping[Mark, str]) -> str:
    named = [*marks.items(), *((f"on-{name}", colour) for name, colour in words.items())]
    return " ".join(f"--{name}: {colour};" for name, colour in named)


@lru_cache(maxsize=4)
def _read(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")
