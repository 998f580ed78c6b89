"""The drawing: the part cut along its axis, what its places are called, what is wrong where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._marked import marked_segments
from turnability.outputs._words import project_verdict
from turnability.outputs.drawing import labels
from turnability.outputs.drawing.broken import draw_break, fitting_scale
from turnability.outputs.drawing.key import draw_key
from turnability.outputs.drawing.named import labels_of, radial_extent
from turnability.outputs.drawing.scale import Scale, nice_step
from turnability.outputs.drawing.sheet import Sheet
from turnability.outputs.summary import VERDICTS
from turnability.rules.speak import nearest_text
from turnability.units import MM_PER_INCH, length_text, mm_text, span_text
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.part.model import Profile, Segment
    from turnability.report import Report

NAME = "drawing"
SUFFIX = ".turnability.svg"

WIDTH = 1240.0
MARGIN = 70.0
TALLEST = 460.0
_RULER = 58.0
TINY_PX = 9.0
"""An uncut region smaller than this both ways is ringed, or nobody would see it."""


def write(report: Report, target: Path) -> bool:
    """Write the drawing."""
    write_whole(target, drawing(report))
    return True


def drawing(report: Report) -> str:
    """The drawing as SVG text, 1240 px wide, true to scale, both halves of the section.

    Thin rings and discs are broken: what lies between axis and section is drawn shortened.
    """
    sheet = Sheet(
        f"{report.name}: {report.verdict}",
        "Section along the axis with features (F), findings (N) and uncut regions (L)",
    )
    source = report.part.source
    solid = f", solid {source.solid} of {source.solids}" if source.solids > 1 else ""
    room = WIDTH - 2.0 * MARGIN
    y = sheet.paragraph(MARGIN, 44.0, f"{report.name}{solid}", room, size=22.0, bold=True)
    words = f"{VERDICTS[report.verdict][0]}{project_verdict(report)}; shop: {report.shop_name}"
    y = sheet.paragraph(MARGIN, y - 7.0, words, room, size=14.0)
    if report.part.profile is not None:
        y = _draw_part(sheet, report, report.part.profile, y)
    y = draw_key(sheet, report, y + 24.0, MARGIN, WIDTH - MARGIN)
    return sheet.done(WIDTH, y + 20.0)


def _draw_part(sheet: Sheet, report: Report, profile: Profile, top: float) -> float:
    """Labels, section and ruler from `top` on; gives the y below them."""
    room = WIDTH - 2.0 * MARGIN
    extents = [radial_extent(departure) for departure in report.part.departures]
    scale = fitting_scale(
        profile,
        [region.polygon for region in (report.reach.left if report.reach else ())],
        [r for extent in extents if extent is not None for r in extent],
        room,
        TALLEST,
    )
    half = scale.height(0.5 * profile.max_diameter_mm)
    left = 0.5 * (WIDTH - profile.length_mm * scale.px_per_mm)
    # How high the labels stand depends on how many there are, not yet on where they point.
    above = labels.height(labels_of(report, profile, scale, True, room)[0], room)
    scale = replace(scale, x=left, y=top + above + half + 6.0)
    _draw_section(sheet, report, profile, scale)
    upper, all_above = labels_of(report, profile, scale, True, room)
    lower, all_below = labels_of(report, profile, scale, False, room)
    for named, edge, upward in ((upper, -half, True), (lower, half, False)):
        placed = labels.place(named, MARGIN, WIDTH - MARGIN)
        labels.draw(sheet, placed, scale.y + edge, upward)
    y = scale.y + half + max(labels.height(lower, room), 8.0) + 10.0
    _draw_ruler(sheet, profile, scale, y, report.inch)
    if not (all_above and all_below):
        words = "The drawing has no room to name everything; the lists below do."
        size, colour = 11.0, palette.FAINT_INK
        sheet.text(0.5 * WIDTH, y + 54.0, words, size=size, colour=colour, anchor="middle")
        y += 16.0
    return y + _RULER


def _draw_section(sheet: Sheet, report: Report, profile: Profile, scale: Scale) -> None:
    marked = marked_segments(report)
    uncut = sheet.hatch("uncut", palette.MARKS["uncut"])
    for segment in profile.segments:
        if segment.surface == "inner":
            # An inside corner is a circle; behind the cut it is seen as a line across the bore.
            for corner in (segment.curve.start, segment.curve.end):
                sheet.polyline(
                    [scale.place(corner), scale.place(corner, below=True)], palette.BEYOND, 0.8
                )
    for below in (False, True):
        body = "".join(scale.ring_data(loop.ring, below) for loop in profile.loops)
        sheet.path(body, fill=palette.MATERIAL)
        for segment in profile.segments:
            if segment.surface == "axis":
                continue
            mark = marked.get(segment.id)
            data = scale.curve_data(segment.curve, below)
            if mark:  # a band with the outline on it: amber alone is faint on paper
                sheet.path(data, stroke=palette.MARKS[mark], width=5.6)
            tip = _tip(report, segment)
            sheet.path(data, stroke=palette.INK, width=1.2 if mark else 1.5, tip=tip)
        for region in report.reach.left if report.reach else ():
            sheet.path(
                scale.polygon_data(region.polygon, below),
                fill=uncut,
                stroke=palette.MARKS["uncut"],
                width=0.8,
                tip=f"{region.id} uncut: {nearest_text(region.own_causes, region.nearest_tool)}",
            )
            _ring_if_tiny(sheet, [scale.place(p, below) for p in region.polygon])
        for departure in report.part.departures:
            extent = radial_extent(departure)
            if extent is not None:
                (z0, z1), (r0, r1) = departure.z_mm, extent
                corners = [(z0, r0), (z1, r0), (z1, r1), (z0, r1)]
                sheet.path(
                    scale.polygon_data(corners, below),
                    stroke=palette.FAINT_INK,
                    width=0.9,
                    dashes="5 3",
                    tip=f"{departure.id} {departure.called}, not turned",
                )
    draw_break(sheet, scale, profile.length_mm)
    x0, y = scale.place((0.0, 0.0))
    x1, _ = scale.place((profile.length_mm, 0.0))
    sheet.path(
        f"M{x0 - 22.0:.3f} {y:.3f}H{x1 + 22.0:.3f}",
        stroke=palette.FAINT_INK,
        width=0.9,
        dashes="16 4 3 4",
    )


def _ring_if_tiny(sheet: Sheet, points: Sequence[tuple[float, float]]) -> None:
    x, y = ([point[k] for point in points] for k in (0, 1))
    if max(max(x) - min(x), max(y) - min(y)) < TINY_PX:
        middle = 0.5 * (min(x) + max(x)), 0.5 * (min(y) + max(y))
        sheet.ring(*middle, 0.7 * TINY_PX, palette.MARKS["uncut"])


def _tip(report: Report, segment: Segment) -> str:
    features = [f"{f.id} {f.kind}" for f in report.features if segment.id in f.segments]
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    inch = report.inch
    ends = f"z {span_text((z0, z1), inch)}, ⌀{span_text((2.0 * r0, 2.0 * r1), inch)}"
    return "; ".join([f"{segment.id} {segment.surface}", ends, *features])


def _draw_ruler(sheet: Sheet, profile: Profile, scale: Scale, y: float, inch: bool) -> None:
    """z along the bottom, in the unit in which the findings count it."""
    unit, mm = ("inches", MM_PER_INCH) if inch else ("mm", 1.0)
    length = profile.length_mm / mm
    x0, x1 = scale.x, scale.x + profile.length_mm * scale.px_per_mm
    sheet.polyline([(x0, y), (x1, y)], palette.FAINT_INK, 1.0)
    step = nice_step(length, x1 - x0)
    marks = [k * step for k in range(int(length / step) + 1)]
    if length - marks[-1] < 0.6 * step and len(marks) > 1:
        marks.pop()
    last = marks[-1]
    for z in [*marks, length] if length > last else marks:
        x = scale.x + z * mm * scale.px_per_mm
        sheet.polyline([(x, y), (x, y + 6.0)], palette.FAINT_INK, 1.0)
        # On a thin disc the two ends are too near each other for both numbers.
        anchor = "middle"
        if z in (0.0, length) and x1 - x0 < 60.0:
            anchor = "end" if z == 0.0 else "start"
        words = mm_text(z)
        sheet.text(x, y + 20.0, words, size=11.0, colour=palette.FAINT_INK, anchor=anchor)
    words = f"z in {unit} from the low end; largest ⌀{length_text(profile.max_diameter_mm, inch)}"
    if scale.gap_mm is not None:
        words += "; shortened across between the break lines"
    sheet.text(
        0.5 * (x0 + x1), y + 38.0, words, size=11.0, colour=palette.FAINT_INK, anchor="middle"
    )
