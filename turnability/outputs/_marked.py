"""Which segments of the profile something is said of, and which of them it colours.

What is said of one corner concerns no whole cylinder. A surface is coloured where what is said
runs over half of its length or more; where it does so on none, the shortest surface is. The
report page's script (`7_round.js`) does the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from turnability.outputs._palette import MARKS, Mark

if TYPE_CHECKING:
    from turnability.part.model import Profile
    from turnability.reach.model import Left
    from turnability.report import Report
    from turnability.rules.model import Finding, Where
    from turnability.setups.model import Setup

_SAME_MM = 1e-3
_HALF = 0.5


def mark_of(finding: Finding) -> Mark | None:
    """The colour of a finding: muted where it may stay, none where the project turned it off."""
    if finding.weight == "off":
        return None
    return "accepted" if finding.may_stay else finding.weight


def tag_text(finding: Finding) -> str:
    """What stands on a finding's tag: its number, ticked where it may stay."""
    return f"{finding.id} ✓" if finding.may_stay else finding.id


def coloured_by(where: Where, profile: Profile) -> tuple[str, ...]:
    """The segments that a finding at this place colours."""
    z, across = where.z_mm, where.diameter_mm
    if z is None or across is None:
        return where.segments
    return _most_concerned(where.segments, profile, z[1] - z[0], 0.5 * (across[1] - across[0]))


def coloured_by_region(region: Left, profile: Profile) -> tuple[str, ...]:
    """The segments that an uncut region beside them colours.

    What a nose radius alone leaves in a corner colours none, unless it is half of one or more: a
    whole shoulder would look uncut for a hundredth of a millimetre at its foot.
    """
    z, r = ([point[k] for point in region.polygon] for k in (0, 1))
    along, across = max(z) - min(z), max(r) - min(r)
    mere_corner = tuple(region.causes) == ("nose-radius",)
    return _most_concerned(region.segments, profile, along, across, or_shortest=not mere_corner)


def _most_concerned(
    names: Iterable[str],
    profile: Profile,
    along_mm: float,
    across_mm: float,
    or_shortest: bool = True,
) -> tuple[str, ...]:
    """Segments of which a place so large is half or more; else the shortest."""
    wanted = set(names)
    long = {s.id: s.curve.length() for s in profile.segments if s.id in wanted}
    size = math.hypot(along_mm, across_mm)
    most = tuple(name for name, length in long.items() if size >= _HALF * length)
    if most or not long or not or_shortest:
        return most
    return (min(long, key=lambda name: long[name]),)


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
    """The worst mark of each segment that a finding or a grip colours; regions are not among it."""
    profile = report.part.profile
    marks: dict[str, Mark] = {}
    for setup in report.setups:
        marks.update(dict.fromkeys(gripped_segments(report, setup), "grip"))
    for mark in reversed(MARKS):
        for finding in report.findings:
            if profile is not None and mark_of(finding) == mark:
                marks.update(dict.fromkeys(coloured_by(finding.where, profile), mark))
    return marks
