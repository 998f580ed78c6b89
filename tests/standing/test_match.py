"""Findings of two revisions matched by rule and place, whatever numbers the exports gave."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from tests.part.step_files import write_step
from turnability.analysis import analyze
from turnability.analysis.standing import against
from turnability.cli import app
from turnability.half_plane.curves import Point
from turnability.part.model import Profile
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.rules.model import Basis, Finding, Level, RuleStatus, Where
from turnability.standing.match import TOLERANCE_MM, Matched, match, seems_another
from turnability.standing.model import Corners, OldReport
from turnability.standing.old_report import read_old

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
# a pin with two collars: unlike at its two ends
PIN: tuple[Point, ...] = (
    (0, 0), (0, 10), (20, 10), (20, 15), (30, 15), (30, 8), (70, 8), (70, 12), (76, 12), (76, 6),
    (100, 6), (100, 0),
)  # fmt: skip
PASSED = (RuleStatus("sharp-inside-corner", "found"), RuleStatus("long-slender", "passed"))


def lengthened(points: Sequence[Point], after: float, by: float) -> list[Point]:
    """The outline with everything beyond z = after moved by so much."""
    return [(z + by if z > after else z, r) for z, r in points]


def end_for_end(points: Sequence[Point]) -> list[Point]:
    length = max(z for z, _ in points)
    return [(length - z, r) for z, r in points][::-1]


def corners(points: Sequence[Point]) -> Corners:
    return Corners(max(z for z, _ in points), tuple(points))


def profile(points: Sequence[Point]) -> Profile:
    return drawn_profile(list(points)[::-1])


def corner(
    z: float, r: float, level: Level = "warning", measured: float = 0.0, id_: str = "N1"
) -> Finding:
    return Finding(
        rule="sharp-inside-corner",
        level=level,
        message=f"at {z}",
        where=Where(("S1",), (1,), ("F1",), (z, z), (2 * r, 2 * r)),
        basis=Basis("b", "geometry"),
        measured=measured,
        limit=0.4,
        unit="mm",
        id=id_,
    )


def old(points: Sequence[Point] | None, findings: Sequence[Finding]) -> OldReport:
    return OldReport(
        "old.json", "0" * 64, "0.0.1", None, "0" * 64, 1, 1,
        None if points is None else corners(points), tuple(findings),
    )  # fmt: skip


def compared(
    now: Sequence[Point], new: Sequence[Finding], then: Sequence[Point], before: Sequence[Finding]
) -> Matched:
    return match(new, profile(now), PASSED, old(then, before))


AT = ((20.0, 10.0), (30.0, 8.0), (70.0, 8.0), (76.0, 6.0))
CORNERS = [corner(*place, id_=f"N{n}") for n, place in enumerate(AT, 1)]


def states(matched: Matched) -> list[str | None]:
    return [finding.state for finding in matched.findings]


def test_the_same_again_is_unchanged() -> None:
    matched = compared(PIN, CORNERS, PIN, CORNERS)
    assert states(matched) == ["unchanged"] * 4
    assert matched.fixed == matched.not_judged == ()


def test_a_finding_more_is_new_and_one_less_is_fixed() -> None:
    matched = compared(PIN, CORNERS[1:], PIN, CORNERS[:-1])
    assert states(matched) == ["unchanged", "unchanged", "new"]
    assert matched.fixed == (CORNERS[0],)


@given(st.permutations(range(4)), st.integers(1, 500))
def test_numbers_of_everything_may_change(order: list[int], number: int) -> None:
    anew = [
        replace(
            CORNERS[i],
            id=f"N{n}",
            where=replace(CORNERS[i].where, faces=(number,), segments=(f"S{number}",)),
        )
        for n, i in enumerate(order, 1)
    ]
    assert states(compared(PIN, anew, PIN, CORNERS)) == ["unchanged"] * 4


def test_the_part_may_lie_the_other_way_round() -> None:
    turned = [corner(100 - z, r) for z, r in AT]
    matched = compared(end_for_end(PIN), turned, PIN, CORNERS)
    assert states(matched) == ["unchanged"] * 4
    assert matched.fixed == ()


@pytest.mark.parametrize("after", [0.0, 25.0, 50.0, 90.0])
@pytest.mark.parametrize("turned", [False, True])
def test_the_part_may_be_longer_somewhere(after: float, turned: bool) -> None:
    """Each corner keeps its distance from one end, whichever of the two has moved."""
    longer = lengthened(PIN, after, 7.0)
    places = lengthened(AT, after, 7.0)
    if turned:
        places = [(107.0 - z, r) for z, r in places]
        longer = end_for_end(longer)
    moved = [corner(*place) for place in places]
    matched = compared(longer, moved, PIN, CORNERS)
    assert states(matched) == ["unchanged"] * 4
    assert matched.fixed == ()


def test_both_ends_may_have_moved_against_the_middle() -> None:
    changed = lengthened(lengthened(PIN, 10.0, 2.0), 90.0, -1.0)
    places = [(22.0, 10.0), (32.0, 8.0), (72.0, 8.0), (78.0, 6.0)]
    assert (
        states(compared(changed, [corner(*p) for p in places], PIN, CORNERS)) == ["unchanged"] * 4
    )


@pytest.mark.parametrize(("off", "state"), [(0.9, "unchanged"), (-0.9, "unchanged"), (1.2, "new")])
def test_places_agree_within_the_tolerance(off: float, state: str) -> None:
    for moved in (corner(20 + off * TOLERANCE_MM, 10), corner(20, 10 + 0.5 * off * TOLERANCE_MM)):
        assert states(compared(PIN, [moved], PIN, CORNERS[:1])) == [state]


def test_a_range_across_a_changed_length_is_the_same_place() -> None:
    """How far a rod stands free, from the jaws to its end, when the rod has become longer."""
    before = replace(corner(0, 0), where=Where(z_mm=(30.0, 100.0)), rule="long-slender")
    now = replace(before, where=Where(z_mm=(30.0, 103.0)))
    assert states(compared(lengthened(PIN, 90.0, 3.0), [now], PIN, [before])) == ["unchanged"]


def test_another_rule_is_another_finding() -> None:
    other = replace(CORNERS[0], rule="unreached-surface")
    matched = compared(PIN, [other], PIN, CORNERS[:1])
    assert states(matched) == ["new"]
    assert matched.fixed == (CORNERS[0],)


def test_what_has_become_worse_is_new() -> None:
    error = replace(CORNERS[0], level="error")
    assert states(compared(PIN, [error], PIN, CORNERS[:1])) == ["new"]
    assert states(compared(PIN, CORNERS[:1], PIN, [error])) == ["unchanged"], "milder"
    milder = corner(20, 10, measured=0.2)
    assert states(compared(PIN, CORNERS[:1], PIN, [milder])) == ["new"], "further from its limit"
    assert states(compared(PIN, [milder], PIN, CORNERS[:1])) == ["unchanged"], "nearer to it"


def test_each_earlier_finding_stands_for_one_at_most() -> None:
    matched = compared(PIN, [CORNERS[0], replace(CORNERS[0], id="N9")], PIN, CORNERS[:1])
    assert sorted(map(str, states(matched))) == ["new", "unchanged"]


def test_the_nearest_is_taken() -> None:
    near, far = corner(20.0, 10), corner(20.15, 10, id_="N2")
    matched = compared(PIN, [corner(20.14, 10)], PIN, [near, far])
    assert states(matched) == ["unchanged"]
    assert matched.fixed == (near,)


def test_whole_part_findings_match_by_their_rule() -> None:
    whole = replace(CORNERS[0], where=Where(), measured=None)
    assert states(compared(PIN, [whole], PIN, [whole])) == ["unchanged"]
    assert states(compared(PIN, [whole], PIN, CORNERS[:1])) == ["new"]


@pytest.mark.parametrize("status", ["not-judged", "crashed", None])
def test_nothing_is_fixed_by_a_rule_that_did_not_judge(status: str | None) -> None:
    statuses = [RuleStatus("long-slender", "passed")]
    if status is not None:
        statuses.append(RuleStatus("sharp-inside-corner", status))  # type: ignore[arg-type]
    matched = match((), profile(PIN), statuses, old(PIN, CORNERS))
    assert matched.fixed == ()
    assert matched.not_judged == tuple(CORNERS)


def test_a_part_that_had_no_axis_has_lost_that_error_where_it_has_one_now() -> None:
    error = replace(CORNERS[0], rule="not-axisymmetric", where=Where((), (1,)), level="error")
    matched = match(CORNERS, profile(PIN), PASSED, old(None, [error]))
    assert matched.fixed == (error,)
    assert states(matched) == ["new"] * 4
    again = match([error], None, (), old(None, [error]))
    assert states(again) == ["unchanged"]
    lost = match([error], None, (), old(PIN, CORNERS))
    assert (lost.fixed, lost.not_judged) == ((), tuple(CORNERS))


@pytest.fixture(scope="module")
def housing(reports_of: Any) -> Report:
    return reports_of(FIXTURES / "float_housing.step")[0]


def test_a_real_report_compared_with_its_own_json(housing: Report, tmp_path: Path) -> None:
    file = tmp_path / "old.json"
    file.write_text(housing.to_json(), "utf-8")
    compared_ = against(housing, read_old(file))
    assert {finding.state for finding in compared_.findings} == {"unchanged"}
    assert compared_.baseline is not None
    assert compared_.baseline.fixed == compared_.baseline.not_judged == ()
    assert compared_.baseline.same_shop
    assert not compared_.fails
    assert compared_.verdict == housing.verdict
    assert housing.fails


@pytest.mark.parametrize("change", ["turned about", "moved", "another unit"])
def test_the_same_housing_drawn_elsewhere(change: str, housing: Report, tmp_path: Path) -> None:
    """Exported anew by a modelling kernel: faces renumbered, the part moved, mirrored, in inch."""
    shape = cq.importers.importStep(str(FIXTURES / "float_housing.step"))
    if change == "turned about":
        shape = shape.rotate((0, 0, 0), (1, 0, 0), 180.0)
    elif change == "moved":
        shape = shape.rotate((0, 0, 0), (0, 1, 1), 77.0).translate((120.0, -3.0, 8.0))
    unit = "INCH" if change == "another unit" else "MM"
    file = write_step(shape.val().wrapped, tmp_path / "housing.step", unit=unit)
    again = analyze(file)
    assert (again.part.source.length_unit == "inch") is (change == "another unit")
    if change == "turned about":
        assert [f.where.z_mm for f in again.findings] != [f.where.z_mm for f in housing.findings]
    (tmp_path / "old.json").write_text(housing.to_json(), "utf-8")
    compared_ = against(again, read_old(tmp_path / "old.json"))
    assert [f.state for f in compared_.findings] == ["unchanged"] * len(housing.findings)
    assert compared_.baseline is not None
    assert compared_.baseline.fixed == ()
    document = json.loads(compared_.to_json())
    assert document["baseline"]["fixed"] == []


BUSH: tuple[Point, ...] = ((0, 4), (0, 11), (18, 11), (18, 4))


@pytest.mark.parametrize(
    ("points", "name", "another"),
    [
        (BUSH, "bush.step", True),
        (BUSH, r"old\PIN.stp", False),  # the same name: it was drawn anew
        (PIN, "pin_rev_a.step", False),
        (end_for_end(PIN), "pin_rev_a.step", False),
        (lengthened(PIN, 30.0, 12.5), "pin_rev_a.step", False),
    ],
)
def test_a_report_of_another_part_is_told_from_an_earlier_state(
    points: Sequence[Point], name: str, another: bool
) -> None:
    old = OldReport("o.json", "", "0", None, "", 1, 1, corners(points), (), part=name)
    assert seems_another(profile(PIN), "new/pin.step", old) == another


def test_it_is_told_at_the_command_line(tmp_path: Path) -> None:
    names = [FIXTURES / name for name in ("winch_spindle.step", "end_cap.step")]
    run = CliRunner().invoke
    run(app, ["check", str(names[0]), "--out", str(tmp_path), "--quiet"])
    earlier = str(tmp_path / "winch_spindle.turnability.json")
    for name, told in zip(names, (False, True), strict=True):
        result = run(app, ["check", str(name), "--baseline", earlier, "--quiet"])
        assert ("If that is another part" in result.stderr) == told
