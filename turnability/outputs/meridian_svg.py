"""The drawing: the part cut along its axis, what its places are called, what is wrong where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._marked import mark_of, marked_segments, tag_text
from turnability.outputs._words import project_verdict
from turnability.outputs.drawing import labels
from turnability.outputs.drawing.broken import draw_break, fitting_scale
from turnability.outputs.drawing.key import draw_key
from turnability.outputs.drawing.labels import Label
from turnability.outputs.drawing.scale import Scale, highest_at, nice_step, point_inside
from turnability.outputs.drawing.sheet import Sheet
from turnability.outputs.summary import VERDICTS
from turnability.rules.speak import nearest_text
from turnability.units import MM_PER_INCH, length_text, mm_text, span_text
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.half_plane.curves import Point
    from turnability.part.model import Departure, Profile, Segment
    from turnability.report import Report
    from turnability.rules.model import Finding

NAME = "drawing"
SUFFIX = ".turnability.svg"

WIDTH = 1240.0
MARGIN = 70.0
TALLEST = 460.0
_RULER = 58.0
TINY_PX = 9.0
"""An uncut region smaller than this both ways is ringed, or nobody would see it."""
_SPOTS = 100
_LONG_WORDS_ROWS = 2
"""Above so many rows of labels the features stand there by number alone."""


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
    sheet.text(MARGIN, 44.0, f"{report.name}{solid}", size=22.0, bold=True)
    words = f"{VERDICTS[report.verdict][0]}{project_verdict(report)}; shop: {report.shop_name}"
    sheet.text(MARGIN, 66.0, words, size=14.0)
    y = 84.0
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
    above = labels.height(_labels(report, profile, scale, True), room)
    scale = replace(scale, x=left, y=top + above + half + 6.0)
    _draw_section(sheet, report, profile, scale)
    for upward in (True, False):
        named = _labels(report, profile, scale, upward)
        edge = scale.y - half if upward else scale.y + half
        labels.draw(sheet, labels.place(named, MARGIN, WIDTH - MARGIN), edge, upward)
    below = labels.height(_labels(report, profile, scale, False), room)
    y = scale.y + half + max(below, 8.0) + 10.0
    _draw_ruler(sheet, profile, scale, y, report.inch)
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
                tip=f"{region.id} uncut: {nearest_text(region.causes, region.nearest_tool)}",
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
                    tip=f"{departure.id} {departure.kind}, not turned",
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


def radial_extent(departure: Departure) -> tuple[float, float] | None:
    """Least and greatest r of a departure, as far as its own numbers say; None where they don't."""
    numbers = departure.parameters
    extent = numbers.get("r_mm")
    if isinstance(extent, tuple) and len(extent) == 2:
        return (extent[0], extent[1])
    circle, hole = numbers.get("circle_diameter_mm"), numbers.get("hole_diameter_mm")
    if isinstance(circle, int | float) and isinstance(hole, int | float):
        return (0.5 * (circle - hole), 0.5 * (circle + hole))
    return None


def _tip(report: Report, segment: Segment) -> str:
    features = [f"{f.id} {f.kind}" for f in report.features if segment.id in f.segments]
    (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
    inch = report.inch
    ends = f"z {span_text((z0, z1), inch)}, ⌀{span_text((2.0 * r0, 2.0 * r1), inch)}"
    return "; ".join([f"{segment.id} {segment.surface}", ends, *features])


def _labels(report: Report, profile: Profile, scale: Scale, upward: bool) -> list[Label]:
    """All labels of the upper or the lower side."""
    by_id = {segment.id: segment for segment in profile.segments}
    both = [*_finding_tags(report, profile, by_id, scale), *_left_tags(report, profile, scale)]
    tags = [tag for tag, up in both if up == upward]
    plain: list[tuple[str, str, float, float]] = []
    for feature in report.features:
        at = anchor(profile, by_id, feature.segments, feature.surface)
        if at is not None and at[1] == upward:
            plain.append((feature.id, feature.kind, *scale.point_at(at[0], below=not upward)))
    for departure in report.part.departures:
        extent = radial_extent(departure)
        if extent is not None and (extent[1] >= 0.45 * profile.max_diameter_mm) == upward:
            point = (0.5 * sum(departure.z_mm), extent[1])
            plain.append((departure.id, departure.kind, *scale.point_at(point, below=not upward)))
    whole = [Label(f"{name} {kind}", x, y) for name, kind, x, y in plain]
    if labels.rows_for([*tags, *whole], WIDTH - 2.0 * MARGIN) > _LONG_WORDS_ROWS:
        whole = [Label(name, x, y) for name, _, x, y in plain]
    return [*tags, *whole]


def _finding_tags(
    report: Report, profile: Profile, by_id: Mapping[str, Segment], scale: Scale
) -> Iterator[tuple[Label, bool]]:
    for finding in report.findings:
        at = _finding_anchor(finding, profile, by_id)
        if at is None:
            continue
        point, up = at
        x, y = scale.point_at(point, below=not up)
        mark = mark_of(finding)
        if mark is not None:
            words = tag_text(finding)
            yield Label(words, x, y, palette.MARKS[mark], palette.ON_MARK[mark]), up


def _left_tags(report: Report, profile: Profile, scale: Scale) -> Iterator[tuple[Label, bool]]:
    for region in report.reach.left if report.reach else ():
        z, r = point_inside(region.polygon)
        up = r >= highest_at(profile.outline.ring, z) - 1e-6
        x, y = scale.point_at((z, r), below=not up)
        yield Label(region.id, x, y, palette.MARKS["uncut"], palette.ON_MARK["uncut"]), up


def _finding_anchor(
    finding: Finding, profile: Profile, by_id: Mapping[str, Segment]
) -> tuple[Point, bool] | None:
    where = finding.where
    z_mm, diameter_mm = where.z_mm, where.diameter_mm
    at = anchor(profile, by_id, where.segments)
    corner = z_mm and diameter_mm and max(z_mm[1] - z_mm[0], diameter_mm[1] - diameter_mm[0]) < 1e-3
    if z_mm is not None and at is not None and not corner:
        if z_mm[0] <= at[0][0] <= z_mm[1]:
            return at
        # what is said of a short stretch of a long surface is shown there
        wish = 0.5 * sum(z_mm)
        there = [by_id[s] for s in where.segments if s in by_id and by_id[s].surface != "axis"]
        spots = [s.curve.at(k / _SPOTS) for s in there for k in range(_SPOTS + 1)]
        return min(spots, key=lambda spot: abs(spot[0] - wish)), at[1]
    if z_mm is None:
        return at
    z = 0.5 * sum(z_mm)
    top = highest_at(profile.outline.ring, z)
    if diameter_mm is None:
        return (z, top), True
    # In a corner the outline stands on one side only: it is seen from where it is free.
    sides = [highest_at(profile.outline.ring, z + step) for step in (-1e-4, 1e-4)]
    r = 0.25 * sum(diameter_mm)
    return (z, r), r >= min(sides) - 1e-3


def anchor(
    profile: Profile,
    by_id: Mapping[str, Segment],
    segments: Sequence[str],
    surface: str | None = None,
) -> tuple[Point, bool] | None:
    """A point on the longest of the segments, and whether it is seen from outside (up) or not.

    Those of the wished surface come first: a groove is named at its floor, not at its wall.
    """
    there = [by_id[name] for name in segments if name in by_id and by_id[name].surface != "axis"]
    if not there:
        return None
    longest = max(there, key=lambda s: (s.surface == surface, s.curve.length()))
    point = longest.curve.at(0.5)
    if longest.surface != "end":
        return point, longest.surface == "outer"
    top = max(longest.curve.start[1], longest.curve.end[1])
    ring = profile.outline.ring
    sides = [highest_at(ring, point[0] + step) for step in (-1e-4, 1e-4)]
    return point, min(sides) <= top + 1e-6


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
