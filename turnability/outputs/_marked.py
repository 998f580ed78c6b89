"""Which segments of the profile something is said of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from turnability.outputs._palette import Mark

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.setups.model import Setup

_SAME_MM = 1e-3


def gripped_segments(report: Report, setup: Setup) -> tuple[str, ...]:
    """The segments that a setup's jaws lie on; none where raw stock is held."""
    grip, profile = setup.grip, report.part.profile
    if profile is None or setup.datum.segment is None:
        return ()
    held = []
    for segment in profile.segments:
        (z0, r0), (z1, r1) = segment.curve.start, segment.curve.end
        overlap = min(max(z0, z1), grip.z_mm[1]) - max(min(z0, z1), grip.z_mm[0])
        off = max(abs(2.0 * r - grip.diameter_mm) for r in (r0, r1))
        if segment.surface == grip.surface and off <= _SAME_MM < overlap:
            held.append(segment.id)
    return tuple(held)


def marked_segments(report: Report) -> dict[str, Mark]:
    """The worst mark of each segment that a finding or a grip concerns."""
    marks: dict[str, Mark] = {}
    for setup in report.setups:
        marks.update(dict.fromkeys(gripped_segments(report, setup), "grip"))
    levels: tuple[Mark, ...] = ("note", "warning", "error")
    for level in levels:
        for finding in report.findings:
            if finding.level == level:
                marks.update(dict.fromkeys(finding.where.segments, level))
    return marks
