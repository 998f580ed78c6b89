"""Every surface is cut in some setup or said to stay; jaws hold only what was cut before."""

from pathlib import Path
from typing import Any

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, NoGrip
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.surfaces.cuts import hopeless_segments, samples_of
from turnability.shop.load import starter_shop

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
WASHER = [(0, 20), (6, 20), (6, 50), (0, 50)]
CAP = [(0, 0), (34, 0), (34, 22), (14, 22), (14, 55), (1, 55), (0, 54)]
DISC = [(0, 0), (12, 0), (12, 55), (0, 55)]
FLANGE = [(0, 10), (40, 10), (40, 20), (12, 20), (12, 60), (0, 60)]
SPOOL = [(0, 8), (50, 8), (50, 50), (40, 50), (40, 30), (10, 30), (10, 50), (0, 50)]
SHAFT = [(0, 0), (200, 0), (200, 7.5), (175, 7.5), (175, 10), (25, 10), (25, 7.5), (0, 7.5)]
BUSH = [(0, 14), (15, 14), (15, 10), (45, 10), (45, 14), (60, 14), (60, 22), (0, 22)]
HOUSING = [(0, 22), (30, 22), (30, 24), (70, 24), (70, 22), (120, 22), (120, 30), (93, 30),
           (93, 40), (12, 40), (12, 55), (0, 55)]  # fmt: skip
CARRIER = [(0, 23.5), (14, 23.5), (14, 20), (26, 20), (26, 23.5), (40, 23.5), (40, 37.5),
           (22, 37.5), (22, 50), (12, 50), (12, 37.5), (0, 37.5)]  # fmt: skip
SPIGOT_KEPT = Intent(no_grip=(NoGrip(Named(diameter_mm=(44.0, 44.0))),))


def cut_in(report: Report) -> dict[str, int]:
    """The first setup that has each segment in an operation."""
    found: dict[str, int] = {}
    for setup in report.setups:
        for operation in setup.operations:
            for name in operation.segments:
                found.setdefault(name, setup.order)
    return found


def nowhere(report: Report) -> set[str]:
    """Segments that stand in no operation and that nobody says stay."""
    profile = report.part.profile
    named = set(cut_in(report)) | hopeless_segments(samples_of(profile), report.reach)
    named |= {s for left in report.setups[-1].left for s in left.segments}
    return {s.id for s in profile.segments if s.surface != "axis"} - named


def gripped_raw(report: Report) -> set[tuple[int, str]]:
    """Setups whose jaws hold a surface that no setup before has cut."""
    cut, found = cut_in(report), set()
    for setup in report.setups[1:]:
        low, high = setup.grip.z_mm
        for s in report.part.profile.segments:
            (z0, r0), (z1, r1) = s.curve.start, s.curve.end
            held = (
                s.surface == setup.grip.surface
                and abs(r1 - r0) < 1e-3
                and abs(2.0 * r0 - setup.grip.diameter_mm) < 1e-3
                and min(max(z0, z1), high) - max(min(z0, z1), low) > 1e-3
            )
            if held and cut.get(s.id, setup.order) >= setup.order:
                found.add((setup.order, s.id))
    return found


@pytest.mark.parametrize(
    ("points", "intent"),
    [
        (WASHER, None),
        (CAP, None),
        (CAP, SPIGOT_KEPT),
        (DISC, None),
        (FLANGE, None),
        (SPOOL, None),
        (SHAFT, None),
        (BUSH, None),
        (HOUSING, None),
    ],
    ids=["washer", "cap", "cap kept", "disc", "flange", "spool", "shaft", "bush", "housing"],
)
def test_drawn_parts(points: list[tuple[float, float]], intent: Intent | None) -> None:
    report = walk(drawn_part(points), starter_shop(), intent=intent)
    assert report.setups
    assert nowhere(report) == set()
    assert gripped_raw(report) == set()


@pytest.mark.parametrize("name", sorted(file.stem for file in FIXTURES.glob("*.step")))
def test_demo_parts(name: str, reports_of: Any) -> None:
    for report in reports_of(FIXTURES / f"{name}.step"):
        if report.setups:
            assert nowhere(report) == set()
            assert gripped_raw(report) == set()


def test_what_a_bar_turns_from_its_own_end_no_blade_cuts_from_behind_before() -> None:
    """By hand: a carrier's two seats, bored from either end; each floor by the bar of its end.

    A blade would get at most of the far seat's floor (⌀40 to 47 at z 14) through the bore between
    them, sunk into the full behind it; nobody does that when the next chucking bores it anyway.
    """
    report = walk(drawn_part(CARRIER), starter_shop())
    assert [setup.toward_chuck for setup in report.setups] == ["low", "high"]
    floors = {
        segment.curve.start[0]: [
            (setup.order, operation.kind)
            for setup in report.setups
            for operation in setup.operations
            if segment.id in operation.segments
        ]
        for segment in report.part.profile.segments
        if segment.curve.start[0] == segment.curve.end[0] in (14.0, 26.0)
    }
    assert floors == {14.0: [(2, "bore")], 26.0: [(1, "bore")]}
