"""What is named beside the drawing, and where it points; what is left out for want of room."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from enum import IntEnum
from typing import TYPE_CHECKING

from turnability.outputs import _palette as palette
from turnability.outputs._findings import grouped
from turnability.outputs._marked import mark_of, tag_text
from turnability.outputs.drawing import labels
from turnability.outputs.drawing.labels import Label
from turnability.outputs.drawing.scale import Scale, highest_at, point_inside

if TYPE_CHECKING:
    from turnability.half_plane.curves import Point
    from turnability.part.model import Departure, Profile, Segment
    from turnability.report import Report
    from turnability.rules.model import Finding

_SPOTS = 100
_LONG_WORDS_ROWS = 2
"""Above so many rows of labels the features stand there by number alone."""


class Rank(IntEnum):
    """What may be left out where there is no room for all labels, the last first."""

    FIRST_OF_ITS_RULE = 0
    ERROR = 1
    WARNING = 2
    UNCUT = 3
    NOTE = 4
    UNCUT_BY_NOSE = 5
    FEATURE = 6


_RANKS = {"error": Rank.ERROR, "warning": Rank.WARNING}


def labels_of(
    report: Report, profile: Profile, scale: Scale, upward: bool, room: float
) -> tuple[list[Label], bool]:
    """The labels of the upper or the lower side, and whether all of them fit into the width.

    What does not fit is left out by its rank; the lists under the drawing have it all.
    """
    by_id = {segment.id: segment for segment in profile.segments}
    both = [*_finding_tags(report, profile, by_id, scale), *_left_tags(report, profile, scale)]
    tags = [(rank, tag) for rank, tag, up in both if up == upward]
    plain = _plain(report, profile, by_id, scale, upward)
    words = [Label(f"{name} {kind}", x, y) for name, kind, x, y in plain]
    if labels.rows_for([*(tag for _, tag in tags), *words], room) > _LONG_WORDS_ROWS:
        words = [Label(name, x, y) for name, _, x, y in plain]
    ranked = [*tags, *((Rank.FEATURE, label) for label in words)]
    for last in reversed(Rank):
        kept = [label for rank, label in ranked if rank <= last]
        if labels.fit(kept, room):
            break
    return kept, len(kept) == len(ranked)


def _plain(
    report: Report,
    profile: Profile,
    by_id: Mapping[str, Segment],
    scale: Scale,
    upward: bool,
) -> list[tuple[str, str, float, float]]:
    """Features and departures of one side: name, kind, x and y."""
    plain: list[tuple[str, str, float, float]] = []
    for feature in report.features:
        at = anchor(profile, by_id, feature.segments, feature.surface)
        if at is not None and at[1] == upward:
            plain.append((feature.id, feature.kind, *scale.point_at(at[0], below=not upward)))
    for departure in report.part.departures:
        extent = radial_extent(departure)
        if extent is not None and (extent[1] >= 0.45 * profile.max_diameter_mm) == upward:
            point = (0.5 * sum(departure.z_mm), extent[1])
            plain.append((departure.id, departure.called, *scale.point_at(point, below=not upward)))
    return plain


def _finding_tags(
    report: Report, profile: Profile, by_id: Mapping[str, Segment], scale: Scale
) -> Iterator[tuple[Rank, Label, bool]]:
    firsts = {first.id for first, _ in grouped(report.findings)}
    for finding in report.findings:
        at = finding_anchor(finding, profile, by_id)
        if at is None:
            continue
        point, up = at
        x, y = scale.point_at(point, below=not up)
        mark = mark_of(finding)
        if mark is not None:
            first = finding.id in firsts and not finding.may_stay
            rank = Rank.FIRST_OF_ITS_RULE if first else _RANKS.get(mark, Rank.NOTE)
            words = tag_text(finding)
            yield rank, Label(words, x, y, palette.MARKS[mark], palette.ON_MARK[mark]), up


def _left_tags(
    report: Report, profile: Profile, scale: Scale
) -> Iterator[tuple[Rank, Label, bool]]:
    for region in report.reach.left if report.reach else ():
        z, r = point_inside(region.polygon)
        up = r >= highest_at(profile.outline.ring, z) - 1e-6
        x, y = scale.point_at((z, r), below=not up)
        rank = Rank.UNCUT_BY_NOSE if region.causes == ("nose-radius",) else Rank.UNCUT
        yield rank, Label(region.id, x, y, palette.MARKS["uncut"], palette.ON_MARK["uncut"]), up


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


def finding_anchor(
    finding: Finding, profile: Profile, by_id: Mapping[str, Segment]
) -> tuple[Point, bool] | None:
    """Where a finding's label points (z, r), and whether from above; None where it has no place."""
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
    if not corner:  # what is said of a whole stretch is shown on the part, not beside it
        r = min(r, top)
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
