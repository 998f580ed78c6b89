"""Open the throat of a nozzle until a boring bar of the shop gets behind it.

python scripts/examples/open_throat.py
"""

from __future__ import annotations

import math

import cadquery as cq

import turnability.cadquery

CHAMBER_MM, OUTSIDE_MM, LENGTH_MM = 30.0, 42.0, 60.0
THROATS_MM = range(20, 30)
SLOPE_DEG = 19.0


def nozzle(throat_mm: float) -> cq.Workplane:
    """A chamber behind a throat that is 10 mm long; the feed comes in at its other end by ⌀10."""
    feed, throat, chamber = 5.0, throat_mm / 2.0, CHAMBER_MM / 2.0
    slope = (chamber - throat) / math.tan(math.radians(SLOPE_DEG))
    section = [
        (feed, 0.0), (feed, 24.0 - (chamber - feed)), (chamber, 24.0), (chamber, 50.0 - slope),
        (throat, 50.0), (throat, LENGTH_MM), (OUTSIDE_MM / 2.0, LENGTH_MM), (OUTSIDE_MM / 2.0, 0.0),
    ]  # fmt: skip
    return cq.Workplane("XZ").polyline(section).close().revolve(360.0, (0, 0, 0), (0, 1, 0))


def open_throat() -> tuple[int, turnability.cadquery.ShapeReport]:
    """The smallest throat, in whole mm, with which the shop can make the nozzle, and its report."""
    for throat_mm in THROATS_MM:
        report = nozzle(throat_mm).turnability(name=f"nozzle, throat {throat_mm}")
        errors = [finding for finding in report.findings if finding.level == "error"]
        print(f"throat ⌀{throat_mm} mm: {errors[0].message if errors else report.verdict}")
        if not errors and report.verdict == "turnable":
            return throat_mm, report
    raise SystemExit("no throat here lets a bar in: make the chamber shallower")


if __name__ == "__main__":
    open_throat()
