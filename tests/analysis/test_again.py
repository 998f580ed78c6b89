"""Equal solids that share nothing in their file are analysed once, others never."""

import cadquery as cq
import pytest

from turnability import analysis
from turnability.analysis import analyze_all

X = cq.Vector(1, 0, 0)


def pin(length=40.0, hole=3.0):
    body = cq.Solid.makeCylinder(8, length, cq.Vector(), X)
    return body.cut(cq.Solid.makeCylinder(hole, 40, cq.Vector(15, 0, -20), cq.Vector(0, 0, 1)))


def elsewhere(solid):
    return solid.rotate(cq.Vector(), cq.Vector(0.3, 1, 0.2), 20).translate(cq.Vector(70, -31.7, 12))


@pytest.fixture
def walked(monkeypatch):
    """The parts that the stages after reading were asked for."""
    asked, walk = [], analysis.walk

    def counted(part, shop, **others):
        asked.append(part.source.solid)
        return walk(part, shop, **others)

    monkeypatch.setattr(analysis, "walk", counted)
    return asked


def test_a_flat_assembly_has_each_equal_solid_analysed_once(walked):
    """The second is the first, elsewhere, its axis still roughly along x; 2 µm part the others."""
    solids = [pin(), elsewhere(pin()), elsewhere(pin(40.002)), pin(hole=3.002).moved()]
    reports = analyze_all(cq.Compound.makeCompound(solids))
    assert [report.part.source.solid for report in reports] == [1, 2, 3, 4]
    assert walked == [1, 3, 4]
    assert reports[1].verdict == reports[0].verdict
    assert reports[1].findings == reports[0].findings
    assert reports[1].part.axis != reports[0].part.axis
    assert reports[1].part.axis.direction == pytest.approx(
        elsewhere(cq.Edge.makeLine(cq.Vector(), X)).tangentAt(0).toTuple(), abs=1e-9
    )


def test_solids_that_no_axis_carries_are_each_told(walked):
    block = cq.Solid.makeBox(10, 20, 30)
    first, second = analyze_all(cq.Compound.makeCompound([block, elsewhere(block)]))
    assert walked == [1, 2]
    assert first.verdict == second.verdict == "not-axisymmetric"
