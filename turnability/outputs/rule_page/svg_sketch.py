"""A part drawn as the drawing of a report draws it, small: its section with what a rule found."""

from __future__ import annotations

from dataclasses import replace

from turnability.outputs import _palette as palette
from turnability.outputs._marked import coloured_by
from turnability.outputs.drawing.broken import draw_break, fitting_scale
from turnability.outputs.drawing.sheet import Sheet
from turnability.outputs.rule_page.shown import Shown
from turnability.rules.model import Level
from turnability.units import length_text

WIDTH = 380.0
_MARGIN = 30.0
_TALLEST = 220.0
_LEVELS: tuple[Level, ...] = ("note", "warning", "error")


def svg_sketch(shown: Shown, number: int) -> str:
    """The drawing as SVG text; `number` keeps its names apart from others' on one page."""
    sheet = Sheet(f"{shown.verdict}: {shown.text}", "Section along the axis")
    profile = shown.view.part.profile
    if profile is None:
        sheet.text(_MARGIN, 40.0, "No axis carries it: there is no section to draw.", size=12.0)
        return sheet.done(WIDTH, 64.0)
    left = shown.view.reach.left if shown.view.reach else ()
    regions = [region.polygon for region in left]
    scale = fitting_scale(profile, regions, (), WIDTH - 2.0 * _MARGIN, _TALLEST)
    half = scale.height(0.5 * profile.max_diameter_mm)
    x = 0.5 * (WIDTH - profile.length_mm * scale.px_per_mm)
    scale = replace(scale, x=x, y=16.0 + half)
    marks = {
        segment: level
        for level in _LEVELS
        for finding in shown.findings
        if finding.level == level
        for segment in coloured_by(finding.where, profile)
    }
    uncut = sheet.hatch(f"uncut{number}", palette.MARKS["uncut"])
    for below in (False, True):
        body = "".join(scale.ring_data(loop.ring, below) for loop in profile.loops)
        sheet.path(body, fill=palette.MATERIAL)
        for segment in profile.segments:
            if segment.surface != "axis":
                mark = marks.get(segment.id)
                data = scale.curve_data(segment.curve, below)
                ink = palette.MARKS[mark] if mark else palette.INK
                sheet.path(data, stroke=ink, width=3.4 if mark else 1.3)
        for polygon in regions:
            data = scale.polygon_data(polygon, below)
            sheet.path(data, fill=uncut, stroke=palette.MARKS["uncut"], width=0.8)
    draw_break(sheet, scale, profile.length_mm)
    x0, y = scale.place((0.0, 0.0))
    x1, _ = scale.place((profile.length_mm, 0.0))
    axis = f"M{x0 - 16.0:.3f} {y:.3f}H{x1 + 16.0:.3f}"
    sheet.path(axis, stroke=palette.FAINT_INK, width=0.9, dashes="14 4 3 4")
    for finding in shown.findings:  # below the part, where along it the rule points
        if finding.where.z_mm is not None:
            ends = (scale.place((z, 0.0))[0] for z in finding.where.z_mm)
            low, high = ends
            run = [(low - 1.5, y + half + 8.0), (high + 1.5, y + half + 8.0)]
            sheet.polyline(run, palette.MARKS[finding.level], 3.0)
    inch = shown.view.shop.inch
    words = (
        f"length {length_text(profile.length_mm, inch)}, "
        f"largest ⌀{length_text(profile.max_diameter_mm, inch)}"
    )
    base = y + half + 28.0
    sheet.text(0.5 * WIDTH, base, words, size=11.0, colour=palette.FAINT_INK, anchor="middle")
    return sheet.done(WIDTH, base + 12.0)
