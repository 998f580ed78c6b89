"""A slot across the axis leaves a bore in every section, which is milled and never drilled."""

from __future__ import annotations

import cadquery as cq
import pytest

from turnability.analysis import analyze
from turnability.outputs.route_sheet.route import route_of
from turnability.report import Report
from turnability.setups.surfaces.swept import crossed_bores
from turnability.shop.load import starter_shop

SHOP = starter_shop()


def cup(*, slot: bool, hole: bool = False) -> Report:
    """⌀50 by 60 with a bore ⌀30 from one end, and a slot of 4 by 3 across the other."""
    body = (
        cq.Workplane()
        .circle(25)
        .extrude(60)
        .cut(cq.Workplane("XY", (0, 0, 20)).circle(15).extrude(40))
    )
    if slot:
        body = body.faces("<Z").workplane(origin=(0, 0, 0)).rect(4, 60).cutBlind(-3)
    if hole:
        body = body.cut(cq.Workplane().circle(4).extrude(30))
    return analyze(body, SHOP, intent=False)


def test_nobody_drills_or_measures_what_a_slot_leaves_round_the_axis() -> None:
    """By hand: one chucking, bored from the free end, parted off solid; the slot is milled."""
    report, plain = cup(slot=True), cup(slot=False)
    profile = report.part.profile
    assert profile is not None
    crossed = crossed_bores(profile, report.part.departures)
    radii = {s.id: max(s.curve.start[1], s.curve.end[1]) for s in profile.segments}
    assert sorted(radii[name] for name in crossed) == pytest.approx([2.0, 2.0]), "wall and floor"

    def drills(one: Report) -> list[tuple[str, str]]:
        return [(o.kind, o.tool) for s in one.setups for o in s.operations]

    assert drills(report) == drills(plain)
    assert not crossed & {s for one in report.setups for o in one.operations for s in o.segments}
    assert not any(set(left.segments) & crossed for one in report.setups for left in one.left)
    (sheet,) = route_of(report, SHOP).setups
    assert not any(name in " ".join(sheet.measure) for name in crossed)
    # it is solid when it is parted off, though a section of the finished part shows a bore there
    assert sheet.then is not None
    assert "pip and burr" in sheet.then
    assert [d.called for d in report.part.departures] == ["slot"]


def test_a_bore_that_a_slot_crosses_is_bored() -> None:
    """A through hole of ⌀8 behind the slot of 4: its faces turn, and a drill makes it."""
    report = cup(slot=True, hole=True)
    profile = report.part.profile
    assert profile is not None
    assert crossed_bores(profile, report.part.departures) == frozenset()
    drilled = {o.tool for one in report.setups for o in one.operations if o.kind == "drill"}
    assert "drill 8" in drilled
    (sheet,) = route_of(report, SHOP).setups
    assert sheet.then is not None
    assert "pip" not in sheet.then
