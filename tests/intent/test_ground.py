"""What is ground after turning: what is left on it, and what the lathe is asked for instead."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from tests.intent.drawn import drawn_cap, intent_of
from turnability import analyze
from turnability.analysis.stages import walk
from turnability.errors import IntentUnusable
from turnability.intent.ground import as_turned, left_to_grind
from turnability.intent.model import Ground, Intent, Named, Related, Roughness, Tolerance
from turnability.intent.settle import settled
from turnability.outputs.json_document import schema_text
from turnability.outputs.route_sheet.route import route_of
from turnability.part.model import Part, Place, Stated, StatedSize
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.grinding import centred_ends, drilled_mm, held_for_grinding
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.surfaces.limits import diameter_limit
from turnability.shop.load import starter_shop
from turnability.shop.material import with_material

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
SEAT = Named(diameter_mm=(20.0, 20.0), z_mm=(0.5, 27.5))
OTHER = Named(diameter_mm=(20.0, 20.0), z_mm=(92.5, 119.5))
COLLAR = Named(diameter_mm=(30.0, 30.0))
SHAFT = (
    (0, 0), (120, 0), (120, 9.5), (119.5, 10), (92.5, 10), (92.5, 9.7), (90, 9.7), (90, 15),
    (30, 15), (30, 9.7), (27.5, 9.7), (27.5, 10), (0.5, 10), (0, 9.5),
)  # fmt: skip
"""Two seats of 20 with necks before the shoulders of a collar of 30."""


def told(folder: Path, text: str, part: Part) -> str:
    with pytest.raises(IntentUnusable) as raised:
        settled(intent_of(folder, text), part)
    return str(raised.value)


def ground(*places: Named, **more: object) -> Intent:
    return settled(
        Intent(ground=tuple(Ground(place) for place in places), **more),  # type: ignore[arg-type]
        drawn_part(SHAFT),
    )


def test_the_file_says_what_is_ground_and_how_much_is_left(tmp_path: Path) -> None:
    text = """[[ground]]
diameter_mm = 44
z_mm = [14, 33]
by = "lapping"
leave_mm = [0.1, 0.15]
"""
    one = settled(intent_of(tmp_path, text), drawn_cap()).ground[0]
    assert (one.by, one.leave_mm, one.basis) == ("lapping", (0.1, 0.15), None)
    assert one.surface == "outer"
    assert one.turned_mm == pytest.approx((44.1, 44.15))


def test_faults_are_told_with_their_line_and_the_way_out(tmp_path: Path) -> None:
    part = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    mixed = told(tmp_path, "[[ground]]\nz_mm = [0, 30]\n", part)
    assert "line 1" in mixed
    assert "more than one sort" in mixed
    honed = told(tmp_path, '[[ground]]\nend = "low"\nby = "honing"\n', part)
    assert 'Write "grinding" or "lapping"' in honed
    assert "leaf_mm" in told(tmp_path, '[[ground]]\nend = "low"\nleaf_mm = [0.1, 0.2]\n', part)
    assert "says no tolerance" not in told(tmp_path, '[[ground]]\nend="low"\nby="filing"\n', part)


def test_what_another_machine_cannot_do_is_a_fault(tmp_path: Path) -> None:
    """A hone works bores; a grinding allowance is tenths (common practice, no source)."""
    part = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    outside = told(tmp_path, '\n[[ground]]\ndiameter_mm = 40\nby = "honing"\n', part)
    assert "line 2" in outside
    assert "is honing, of an outside surface. A hone follows a bore" in outside
    bore = "[[ground]]\ndiameter_mm = 20\n"
    much = told(tmp_path, f"{bore}leave_mm = [5, 6]\n", part)
    assert "key leave_mm, is 5 to 6 mm, far more than grinding takes off ⌀20" in much
    assert "Write at most 1.25 mm, or leave this key out" in much  # five times the usual 0.25
    done = settled(intent_of(tmp_path, f"{bore}leave_mm = [1, 1.25]\n"), part)
    assert done.ground[0].leave_mm == (1.0, 1.25)


def test_nothing_is_a_thread_and_ground_to_a_size(tmp_path: Path) -> None:
    part = drawn_part([(0, 0), (40, 0), (40, 20), (0, 20)])
    thread = '[[thread]]\ndiameter_mm = 40\nz_mm = [0, 20]\ndesignation = "M40x1.5"\n'
    both = told(tmp_path, f"[[ground]]\ndiameter_mm = 40\n{thread}", part)
    assert "line 1" in both
    assert "of which line 3 states the thread M40x1.5" in both
    assert "Leave out one of the two, or name by z_mm which stretch is which" in both
    apart = f"[[ground]]\ndiameter_mm = 40\nz_mm = [20, 40]\n{thread}"
    assert len(settled(intent_of(tmp_path, apart), part).ground) == 1


def test_an_edge_is_not_broken_by_more_than_its_surfaces(tmp_path: Path) -> None:
    """A tube of ⌀40 with a wall of 10 mm."""
    part = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    edge = "[[edge]]\ndiameter_mm = 40\nz_mm = 30\nbreak_mm = [0.5, {}]\n"
    message = told(tmp_path, edge.format(50), part)
    assert "line 1" in message
    assert "is 0.5 to 50 mm, where a surface beside this edge is only 10 mm long" in message
    assert settled(intent_of(tmp_path, edge.format(2)), part).edges[0].break_mm == (0.5, 2.0)


@pytest.mark.parametrize(
    ("diameter_in", "length_in", "most_in"),
    # a handbook's table of allowances for grinding between centres, recalled (no source at hand)
    [(0.5, 3, 0.010), (1, 6, 0.010), (1, 18, 0.015), (2, 6, 0.015), (2, 30, 0.020), (4, 6, 0.020)],
)
def test_the_usual_allowance_is_a_handbooks_within_a_tenth(
    diameter_in: float, length_in: float, most_in: float
) -> None:
    d, long = 25.4 * diameter_in, 25.4 * length_in
    part = drawn_part([(0, 0), (long, 0), (long, d / 2), (0, d / 2)])
    one = settled(Intent(ground=(Ground(Named(diameter_mm=(d, d))),)), part).ground[0]
    assert one.leave_mm is not None
    assert one.basis is not None
    assert not one.basis.verified
    assert one.leave_mm[1] == pytest.approx(25.4 * most_in, abs=0.1)


def test_what_is_left_counts_from_the_limit_with_the_most_material() -> None:
    # ISO 286: k5 of 20 is +11 / +2 µm
    seat = ground(SEAT, tolerances=(Tolerance("diameter", SEAT, "k5", "k5"),)).ground[0]
    assert seat.turned_mm == pytest.approx((20.2, 20.3))  # 20.211 to 20.311 to the nearest 0.05
    over = Tolerance("diameter", SEAT, "+0.2 to +0.3", deviations_mm=(0.2, 0.3), width_mm=0.1)
    assert ground(SEAT, tolerances=(over,)).ground[0].turned_mm == pytest.approx((20.5, 20.6))
    bush = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    bore = Named(diameter_mm=(20.0, 20.0))
    found = settled(Intent(ground=(Ground(bore), Ground(bore, "grinding"))), bush).ground[0]
    assert found.turned_mm == pytest.approx((19.75, 19.85))
    honed = settled(Intent(ground=(Ground(bore, "honing"),)), bush).ground[0]
    assert honed.turned_mm == pytest.approx((19.92, 19.96))


def test_the_lathe_is_asked_for_the_turned_size_and_nothing_finer() -> None:
    part = drawn_part(SHAFT)
    close = Tolerance("diameter", SEAT, "k5", "k5")
    collar = Tolerance("diameter", COLLAR, "h7", "h7")
    intent = ground(
        SEAT,
        tolerances=(close, collar),
        roughness=(Roughness(SEAT, 0.2),),
        related=(Related("seats", (SEAT, OTHER), 0.005),),
    )
    _, asked = as_turned(part, intent)
    assert asked is not None
    seat, other = intent.ground[0].place.segments, intent.tolerances[1].place.segments
    width, stated = diameter_limit(seat, 20.0, asked, part.stated)
    assert stated
    assert width is not None
    assert width.value == pytest.approx(0.1)
    kept, _ = diameter_limit(other, 30.0, asked, part.stated)
    assert kept is not None
    assert kept.value == pytest.approx(0.021)  # IT7 over 18 to 30 mm
    assert [r.ra_um for r in asked.roughness] == [3.2]
    assert asked.related == ()
    again, same = as_turned(part, asked)
    assert (again.stated, same) == (part.stated, asked)
    assert as_turned(part, None) == (part, None)


def test_what_the_file_itself_states_of_it_holds_once_it_is_ground() -> None:
    bare = drawn_part(SHAFT)
    assert bare.profile is not None
    names = ground(SEAT).ground[0].place.segments
    at = Place((), names)
    size = StatedSize(7, "diameter", "diameter", "mm", 20.0, 19.995, 20.0, None, (), at)
    part = replace(bare, stated=Stated((size,)))
    turned, asked = as_turned(part, settled(Intent(ground=(Ground(SEAT),)), part))
    width, _ = diameter_limit(names, 20.0, asked, turned.stated)
    assert width is not None
    assert width.value == pytest.approx(0.1)
    before, _ = diameter_limit(names, 20.0, None, part.stated)
    assert before is not None
    assert before.value == pytest.approx(0.005)


def test_a_hone_makes_a_bore_no_truer() -> None:
    bush = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    bore, out = Named(diameter_mm=(20.0, 20.0)), Named(diameter_mm=(40.0, 40.0))
    related = (Related("bore", (bore, out), 0.01),)
    for by, left in (("grinding", 0), ("honing", 1)):
        one = Ground(bore, by)  # type: ignore[arg-type]
        _, asked = as_turned(bush, settled(Intent(ground=(one,), related=related), bush))
        assert asked is not None
        assert len(asked.related) == left


def test_the_bar_is_large_enough_for_what_is_left() -> None:
    part = drawn_part(SHAFT)
    assert left_to_grind(part, ground(SEAT), 30.0) == 0.0
    assert left_to_grind(part, ground(COLLAR), 30.0) == pytest.approx(0.3)


@pytest.fixture(scope="module")
def shaft() -> Report:
    intent = Intent(
        material="1.7225",
        tolerances=tuple(Tolerance("diameter", p, "h5", "h5") for p in (SEAT, OTHER)),
        roughness=(Roughness(SEAT, 0.05),),
        related=(Related("seats", (SEAT, OTHER), 0.005),),
        ground=(Ground(SEAT, "lapping"), Ground(OTHER)),
    )
    return walk(drawn_part(SHAFT), with_material(starter_shop(), "1.7225", None), intent=intent)


def test_what_is_ground_is_no_error_and_stays_to_be_centred(shaft: Report) -> None:
    assert not [f for f in shaft.findings if f.level != "note"]
    assert not [f for f in shaft.findings if f.rule == "tighter-than-turning"]
    (note,) = [f for f in shaft.findings if f.rule == "ground-after-turning"]
    assert note.level == "note"
    assert "between centres: the holes in both ends stay" in note.message
    assert note.message.count("turn it to ⌀20.2 to 20.3 mm") == 2
    assert "(S12) is ground, then lapped to ⌀20 mm h5 (19.991 to 20 mm), Ra 0.05 µm" in note.message
    assert [s.toward_chuck for s in shaft.setups] == ["low", "high"]
    assert shaft.plan is not None
    assert shaft.plan.rechucked == ()


def test_the_sheet_says_to_which_size_and_where_centres_stay(shaft: Report) -> None:
    sheet = route_of(shaft, with_material(starter_shop(), "1.7225", None))
    steps = [step.where for one in sheet.setups for step in one.steps]
    assert sum("(to ⌀20.2–20.3 for" in where for where in steps) >= 2
    centred = [where for where in steps if "stays for grinding" in where]
    assert len(centred) == 2
    measured = [line for one in sheet.setups for line in one.measure]
    assert sum(line.startswith("diameter 20.2 to 20.3 mm") for line in measured) == 2
    assert not [line for line in measured if "run-out" in line or line.startswith("Ra")]
    assert sum(line.startswith("After turning") for line in sheet.not_turned) == 1


def test_lengths_to_ground_faces_are_measured_with_what_is_left_on_them() -> None:
    bush = drawn_part([(0, 10), (30, 10), (30, 20), (0, 20)])
    faces = tuple(Ground(Named(end=end)) for end in ("low", "high"))  # type: ignore[arg-type]
    length = Tolerance("length", Named(z_mm=(0.0, 30.0)), "±0.005", width_mm=0.01)
    report = walk(bush, starter_shop(), intent=Intent(ground=faces, tolerances=(length,)))
    assert not [f for f in report.findings if f.rule in ("tighter-than-turning", "parting-pip")]
    sheet = route_of(report, starter_shop())
    measured = " ".join(line for one in sheet.setups for line in one.measure)
    assert "overall length 30 mm and what is left for grinding" in measured
    assert "0.1 to 0.2 mm left for grinding on" in measured


@pytest.mark.parametrize(
    ("ends", "points", "says"),
    [
        ((), SHAFT, "(at either end the drawing lets no centre hole stay there)"),
        (("low",), SHAFT, "(at the high end the drawing lets no centre hole stay there)"),
        (None, [(0, 0), (10, 0), (10, 20), (0, 20)], "(it is shorter than its diameter)"),
        (None, [(0, 10), (30, 10), (30, 20), (0, 20)], "on a mandrel in the bore"),
    ],
)
def test_how_it_is_held_for_grinding(ends: object, points: object, says: str) -> None:
    part = drawn_part(points)  # type: ignore[arg-type]
    assert part.profile is not None
    across = part.profile.max_diameter_mm
    place = Named(diameter_mm=(across, across))
    intent = settled(Intent(ground=(Ground(place),), centre_holes=ends), part)  # type: ignore[arg-type]
    assert says in held_for_grinding(part.profile, intent, ())
    assert centred_ends(part.profile, intent) == frozenset()


def test_a_bored_end_has_its_mouth_for_a_centre() -> None:
    """A 60° centre fills a mouth of ⌀10 (common practice): only the other end is centre-drilled."""
    part = drawn_part([(0, 0), (40, 0), (40, 5), (60, 5), (60, 15), (0, 15)])
    assert part.profile is not None
    intent = settled(Intent(ground=(Ground(Named(diameter_mm=(30.0, 30.0))),)), part)
    assert centred_ends(part.profile, intent) == {"low"}


def test_a_bore_that_drills_alone_have_made_is_told_by_the_widest() -> None:
    """A bar that cuts it too, or a face that a slot drill squares, makes it none of a drill's."""
    bush = drawn_part([(0, 6), (40, 6), (40, 20), (0, 20)])
    places = (Named(diameter_mm=(12.0, 12.0)), Named(end="low"))
    bore, face = settled(Intent(ground=tuple(Ground(one) for one in places)), bush).ground
    own = (*bore.place.segments, *face.place.segments)

    def setup(*tools: str) -> Setup:
        grip = Grip("raw bar", "outer", (-15.0, -5.0), 40.0, 10.0)
        made = tuple(Operation(tool, own, "drill") for tool in tools)
        return Setup(1, "low", grip, Datum(None, "raw bar"), "none", made, ())

    tools = starter_shop().tools
    two = [setup("drill 11.5"), setup("drill 8")]
    assert drilled_mm(bore, two, tools) == ("drill 11.5", 11.5)
    assert drilled_mm(face, two, tools) is None
    assert drilled_mm(bore, [setup("drill 11.5", "bore 8")], tools) is None
    assert drilled_mm(bore, [setup()], tools) is None


def test_the_effort_counts_the_grinding(shaft: Report) -> None:
    assert shaft.effort is not None
    parts = {(p.what, p.per): p.minutes for p in shaft.effort.parts}
    # our own rates: 20 min to make ready for grinding, as much again for lapping; 8 a surface
    assert parts["grinding", "order"] == pytest.approx(60.0)
    assert parts["grinding", "piece"] == pytest.approx(24.0)


def test_the_document_has_it_within_the_schema() -> None:
    spigot = Named(diameter_mm=(44.0, 44.0), z_mm=(14.0, 33.0))
    cap = analyze(FIXTURES / "end_cap.step", intent=Intent(ground=(Ground(spigot, "lapping"),)))
    document = cap.document()
    jsonschema.Draft202012Validator(json.loads(schema_text())).validate(document)
    one = document["intent"]["ground"][0]
    assert (one["by"], one["leave_mm"], one["turned_mm"]) == ("lapping", [0.2, 0.3], [44.2, 44.3])
    assert "from memory" in one["basis"]


def test_without_the_statement_the_same_sizes_are_errors() -> None:
    fine = Tolerance("diameter", SEAT, "0.004", width_mm=0.004)
    plain = walk(drawn_part(SHAFT), starter_shop(), intent=Intent(tolerances=(fine,)))
    told = [f for f in plain.findings if f.rule == "tighter-than-turning"]
    assert [f.level for f in told] == ["error"]
    assert "[[ground]]" in told[0].message
