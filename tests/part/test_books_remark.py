"""Where the books do not close the part says whether the file's own gaps can be why."""

import cadquery as cq
import pytest
from OCP.BRep import BRep_Builder
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from turnability.part import about, turned
from turnability.part.model import Source

SOURCE = Source(None, None, None, 1, 1, "mm", None, None)


@pytest.mark.parametrize(
    ("gap_mm", "words"),
    [
        # a pin of 20 by 40: 3,142 mm2 round it and at its ends, 12,566 mm3
        (1e-3, "by up to 1 µm, which over all faces makes 0.0003 at most and does not explain it"),
        (1e-2, "by up to 10 µm, which over all faces may make up to 0.003"),
    ],
)
def test_gaps_are_blamed_only_for_what_they_can_make(gap_mm, words, monkeypatch):
    pin = cq.Workplane().circle(10.0).extrude(40.0).val().wrapped
    walk = TopExp_Explorer(pin, TopAbs_EDGE)
    while walk.More():
        BRep_Builder().UpdateEdge(TopoDS.Edge_s(walk.Current()), gap_mm)
        walk.Next()
    right = about.volume_of
    for asking in (about, turned):
        monkeypatch.setattr(asking, "volume_of", lambda *asked: 0.999 * right(*asked))
    part = turned.part_of(pin, SOURCE, ())
    (remark,) = [r for r in part.remarks if r.startswith("the books close to 0.001")]
    assert remark.endswith(words)
