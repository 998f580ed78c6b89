"""The CadQuery plug-in: reports of what is on the stack, in assemblies, in other wrappers."""

from __future__ import annotations

import copy
import json
import pickle
import re
from base64 import b64decode
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import cadquery as cq
import pytest

import turnability.cadquery as plugin
from turnability import analyze
from turnability.errors import PartUnreadable, TurnabilityError
from turnability.outputs import _palette as palette
from turnability.part.reading.read import faces_of, read_solids
from turnability.report import Report


def bottle() -> cq.Workplane:
    """A chamber of ⌀28 behind an entry of ⌀20: deeper than the starter shop's bars cut."""
    section = [(0, 0), (0, 10), (14, 20), (14, 40), (10, 40), (10, 60), (22, 60), (22, 0)]
    return cq.Workplane("XZ").polyline(section).close().revolve(360, (0, 0, 0), (0, 1, 0))


@pytest.fixture(scope="module")
def report() -> plugin.ShapeReport:
    return bottle().turnability(name="bottle <b>&\"'")  # type: ignore[attr-defined, no-any-return]


def test_gives_the_report_or_keeps_the_chain(report: plugin.ShapeReport) -> None:
    part = bottle()
    assert isinstance(report.report, Report)
    assert report.verdict == analyze(part).verdict
    told: list[plugin.ShapeReport] = []
    assert part.turnability(tell=told.append) is part  # type: ignore[attr-defined]
    assert told[0].verdict == report.verdict
    assert str(report).splitlines()[0].startswith("bottle <b>&\"'")


def test_reports_can_be_copied(report: plugin.ShapeReport) -> None:
    assert copy.copy(report).report is report.report
    assert pickle.loads(pickle.dumps(report)).name == report.name
    with pytest.raises(AttributeError):
        _ = report.no_such_thing


class Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_shows_itself_in_a_notebook(report: plugin.ShapeReport) -> None:
    seen = Seen()
    seen.feed(report._repr_html_())
    assert [tag for tag, _ in seen.tags] == ["figure", "img", "figcaption", "pre"]
    image = seen.tags[1][1]
    assert image["alt"] == f"{report.name}: {report.verdict}"
    kind, data = (image["src"] or "").split(",")
    assert kind == "data:image/svg+xml;base64"
    assert b64decode(data).decode().startswith("<svg")
    assert "".join(seen.words) == str(report)
    links = re.findall(r"(?:src|href)=\"([^\"]*)", report._repr_html_())
    assert all(link.startswith("data:") for link in links)


def test_viewers_get_coloured_faces_and_uncut_bodies(report: plugin.ShapeReport) -> None:
    shown = report.assembly()
    children = {child.name: child for child in shown.children}
    assert {"part", "error", "L1 uncut"} <= children.keys()
    assert not any(name.startswith(("grip", "stock")) for name in children)
    faces = [face for name in children for face in children[name].obj.Faces()
             if "uncut" not in name]  # fmt: skip
    assert sum(face.Area() for face in faces) == pytest.approx(report.solid.Area())
    for name in ("error", "L1 uncut"):
        wanted = palette.rgb(palette.MARKS["error" if name == "error" else "uncut"])
        assert children[name].color.toTuple()[:3] == pytest.approx(wanted, abs=1e-3)
    left = max(report.reach.left, key=lambda region: region.volume_mm3)
    body = children[f"{left.id} uncut"].obj
    assert body.Volume() == pytest.approx(left.volume_mm3, rel=1e-3)
    low, high = body.BoundingBox().zmin, body.BoundingBox().zmax
    assert (low, high) == pytest.approx((min(z for z, _ in left.polygon),
                                         max(z for z, _ in left.polygon)), abs=1e-3)  # fmt: skip
    more = {child.name for child in report.assembly(grips=True, stock=True).children}
    assert any(name.startswith("stock") for name in more)
    assert "grip of setup 1" in more


def test_the_axis_may_lie_anywhere() -> None:
    """Uncut bodies lie in the part's hollow, whatever way it is turned and moved."""
    moved = bottle().rotate((0, 0, 0), (1, 2, 0), 50).translate((30, -7, 12))
    shown = plugin.report_of(moved)
    uncut = [child.obj for child in shown.assembly().children if "uncut" in child.name]
    largest = max(uncut, key=lambda body: body.Volume())
    assert largest.Volume() > 1000.0
    assert shown.solid.intersect(largest).Volume() < 1e-3 * largest.Volume()


def test_results_are_written_with_the_shape_itself(
    report: plugin.ShapeReport, tmp_path: Path
) -> None:
    written = {path.name for path in report.write(tmp_path, "a/b: c", formats=("bodies",))}
    assert {"a_b_ c.annotated.step", "a_b_ c.bodies.step", "a_b_ c.turnability.json"} <= written
    (again,) = read_solids(tmp_path / "a_b_ c.annotated.step")
    assert again.source.product == report.name
    assert len(again.step_ids) == len(faces_of(report.solid.wrapped))
    named = {facts.name for facts in again.facts.faces.values() if facts.name}
    assert any("recess-behind-small-entry" in name for name in named)
    document = json.loads((tmp_path / "a_b_ c.turnability.json").read_text("utf-8"))
    assert document["source"]["path"] is None


def test_assemblies_have_one_report_for_each_distinct_solid() -> None:
    pin = cq.Workplane().circle(5).extrude(30)
    inner = cq.Assembly(name="pair").add(pin, name="left").add(
        pin, name="right", loc=cq.Location((30, 0, 0), (0, 1, 0), 90)
    )  # fmt: skip
    whole = cq.Assembly(name="stand").add(inner).add(
        cq.Workplane().circle(20).extrude(8), name="disc", loc=cq.Location((0, 0, -8))
    )  # fmt: skip
    reports = plugin.reports_of(whole)
    assert [r.name for r in reports] == ["left", "disc"]
    places = [[(i.solid, i.path) for i in r.part.source.instances] for r in reports]
    assert places == [
        [(1, ("stand", "pair", "left")), (2, ("stand", "pair", "right"))],
        [(3, ("stand", "disc"))],
    ]
    assert {r.part.source.solids for r in reports} == {3}
    assert reports[1].part.profile.max_diameter_mm == pytest.approx(40.0)
    assert reports[0].part.profile.max_diameter_mm == pytest.approx(10.0)


def test_whatever_wraps_a_kernel_shape() -> None:
    shape = cq.Workplane().circle(5).extrude(30).val()
    for given in (shape, shape.wrapped, SimpleNamespace(wrapped=shape.wrapped, label="pin")):
        assert plugin.report_of(given).verdict == analyze(shape).verdict
    (only,) = plugin.reports_of([shape])
    assert only.part.source.instances == ()
    labelled = SimpleNamespace(wrapped=shape.wrapped, label="pin")
    assert plugin.report_of(labelled).name == "pin"


def test_a_console_shows_one_line_of_a_report(report: plugin.ShapeReport) -> None:
    errors = sum(finding.level == "error" for finding in report.findings)
    assert errors == 1
    for one in (report, report.report):
        shown = repr([one])
        assert shown.startswith(f"[<Report {report.name!r}: {report.verdict}; 1 error")
        assert len(shown) < 120
    nothing = replace(report.report, findings=())
    assert repr(nothing).endswith("; no findings>")


def test_nothing_and_too_much_are_told() -> None:
    for empty in (cq.Assembly(), [], cq.Workplane()):
        with pytest.raises(PartUnreadable, match=r"no solid in it \((Assembly|list|Workplane)\)"):
            plugin.reports_of(empty)
    with pytest.raises(PartUnreadable, match="no solid"):
        cq.Workplane().rect(3, 4).turnability()  # type: ignore[attr-defined]
    two = cq.Workplane().circle(5).extrude(30).union(
        cq.Workplane().center(40, 0).circle(6).extrude(9)
    )  # fmt: skip
    with pytest.raises(TurnabilityError, match="2 solids"):
        two.turnability()  # type: ignore[attr-defined]
    assert two.turnability(solid=2).part.source.solid == 2  # type: ignore[attr-defined]
    assert len(plugin.reports_of(two)) == 2
