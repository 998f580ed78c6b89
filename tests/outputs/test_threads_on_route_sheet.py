"""Threads on the route sheet: named where their surface is cut, with the shop's tool or none."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from turnability.analysis.stages import walk
from turnability.features.model import Feature
from turnability.intent.model import Intent, Named, StatedThread
from turnability.intent.settle import settled
from turnability.outputs.route_sheet import route_text
from turnability.outputs.route_sheet.page import page
from turnability.outputs.route_sheet.route import route_of
from turnability.outputs.route_sheet.thread_ends import thread_ends
from turnability.outputs.route_sheet.threads import NO_TOOL, lead_text
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Datum, Grip, Setup
from turnability.setups.operations.threading import tool_for
from turnability.shop.load import load_shop, starter_shop, starter_shop_text
from turnability.shop.material import with_material
from turnability.shop.model import Shop

STUD = [(0, 0), (36, 0), (36, 5), (35, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12)]
PLAIN = [(0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10)]
M12 = {"form": "metric", "major_mm": 12.0, "pitch_mm": 1.75, "hand": "right", "starts": 1}


@pytest.mark.parametrize(
    ("lead_mm", "in_mm", "in_inch"),
    [
        (1.5, "1.5 mm a turn", "1.5 mm a turn (0.0591 in)"),
        # 63.5 to the inch exactly, which no quadrant has
        (0.4, "0.4 mm a turn", "0.4 mm a turn (0.0157 in)"),
        (1.27, "1.27 mm a turn (20 to the inch)", "0.05 in a turn (20 to the inch)"),
        # G 1/2 has 14 to the inch, 1.814 mm in the table of ISO 228-1
        (1.814, "1.814 mm a turn (14 to the inch)", "0.0714 in a turn (14 to the inch)"),
        # NPT 1 has 11 1/2 (ASME B1.20.1)
        (25.4 / 11.5, "2.209 mm a turn (11.5 to the inch)", "0.087 in a turn (11.5 to the inch)"),
    ],
)
def test_a_lead_is_told_as_the_gears_are_set(lead_mm: float, in_mm: str, in_inch: str) -> None:
    """A metric one in mm on an inch sheet too; whole threads to the inch as such on either."""
    assert lead_text(lead_mm, False) == in_mm
    assert lead_text(lead_mm, True) == in_inch


def shop_with(tmp_path: Any, *tables: str) -> Shop:
    file = tmp_path / "shop.toml"
    more = "".join(f"\n[[tool]]\n{table}\n" for table in tables)
    text = starter_shop_text()
    begin, end = (text.index(f"# {64 * '-'} {part}") for part in ("threads", "tools of one's own"))
    file.write_text(text[:begin] + text[end:] + more, "utf-8")
    return load_shop(file)


DIE = 'kind = "die"\nthread = "M12"\noutside_diameter_mm = 38.0\nthickness_mm = 14.0'
TAP = 'kind = "tap"\nthread = "M12"\nthread_length_mm = 30.0'
POINT = 'kind = "threading"\npitch_mm = [0.5, 3.0]'
BAR = 'kind = "internal-threading"\npitch_mm = [0.5, 3.0]\nbar_diameter_mm = 10.0\nf_mm = 7.5'
TRAPEZOID = 'kind = "tap"\nthread = "Tr12x3"\nthread_length_mm = 30.0'


def stated(shop: Shop) -> Report:
    part = drawn_part(PLAIN)
    intent = Intent(threads=(StatedThread(Named(diameter_mm=(12.0, 12.0)), "M12"),))
    return walk(part, shop, intent=settled(intent, part))


def lines(report: Report, shop: Shop) -> list[tuple[int, str]]:
    sheets = route_of(report, shop).setups
    return [(sheet.setup.order, line) for sheet in sheets for line in sheet.threads]


def test_a_stated_thread_without_a_tool_is_said_to_be_left_out() -> None:
    shop = replace(starter_shop(), thread_tools=())
    report = stated(shop)
    ((order, line),) = lines(report, shop)
    assert line == f"cut thread M12 on S3 z 12 to 40 mm: {NO_TOOL}"
    cut = [s.order for s in report.setups for o in s.operations if "S3" in o.segments]
    assert order == cut[-1]
    assert f"  Thread    {line}" in route_text(report, shop)
    assert line in page(route_of(report, shop), report, shop)


def steps(report: Report, shop: Shop) -> list[tuple[str, str, str]]:
    """Number, kind and tool of the only setup's steps."""
    (sheet,) = route_of(report, shop).setups
    return [(step.number, step.kind, step.tool) for step in sheet.steps]


def test_the_shops_die_is_named_and_nothing_promised(tmp_path: Any) -> None:
    shop = shop_with(tmp_path, DIE)
    report = stated(shop)
    assert lines(report, shop) == []
    (sheet,) = route_of(report, shop).setups
    (step,) = [step for step in sheet.steps if step.kind == "thread"]
    assert "die M12x1.75" in step.tool
    crest = "turned to ⌀11.701 to 11.966 mm before"  # 6g
    assert step.where == f"M12 on S3 z 12 to 40 mm, {crest}; whether it gets there is not checked"
    # HSS in C45 taps at 10 m/min and more, 270 a minute on ⌀12: a hand leads it
    assert step.finish == "1.75 mm a turn, 100 rpm (4 m/min, held down by the hand feed)"
    assert step.first == (
        "Its lead is about 4.38 mm long: turn the die round for the last threads before z 12"
    )


def threaded(points: list[tuple[float, float]], *threads: tuple[str, float, Any]) -> Report:
    part = drawn_part(points)
    meant = tuple(StatedThread(Named(diameter_mm=(d, d), z_mm=z), name) for name, d, z in threads)
    intent = Intent(threads=meant)
    return walk(part, starter_shop(), intent=settled(intent, part))


def test_a_thread_is_cut_when_its_relief_is_and_before_parting_off() -> None:
    """By hand: turn, relieve, thread, part off; the thread keeps the number of what it follows."""
    bolt = [(0, 0), (40, 0), (40, 6), (16, 6), (16, 4.7), (12, 4.7), (12, 10), (0, 10)]
    report = threaded(bolt, ("M12", 12.0, None))
    made = steps(report, starter_shop())
    kinds = [kind for _, kind, _ in made]
    assert kinds.index("groove") + 1 == kinds.index("thread")
    assert kinds[-2:] == ["thread", "part off"]
    numbers = {kind: number for number, kind, _ in made}
    assert numbers["thread"] == numbers["groove"] + "a"
    assert f"  {numbers['thread']}  thread, thread outside: M12 on" in route_text(
        report, starter_shop()
    )


def test_a_thread_on_a_centre_is_cut_while_it_stands() -> None:
    """By hand: 60 of ⌀12 on the centre; threaded before that is taken away to part it off."""
    rod = [(0, 0), (60, 0), (60, 5), (30, 5), (30, 4), (26, 4), (26, 6), (0, 6)]
    report = threaded(rod, ("M10", 10.0, None))
    (sheet,) = route_of(report, starter_shop()).setups
    assert sheet.setup.support == "tailstock"
    kinds = [step.kind for step in sheet.steps]
    assert kinds[-2:] == ["thread", "part off"]
    assert sheet.steps[-1].first == "Take the centre away"


def test_a_thread_that_ends_at_the_bar_runs_out_in_the_parting_cut() -> None:
    """By hand: M10 to the parted end: its core is 10 - 1.22687 * 1.5 = 8.16 (ISO 68-1), and a
    point with the nose of pitch 0.5 (0.0722) goes to 10 - 2 (7/8 * 1.299 - 0.0722) = 7.871: the
    blade is sunk to ⌀7.8 first. 5 mm from it, over 3 pitches, it needs no such cut."""
    relief = [(39, 3.9), (35, 3.9), (35, 7), (25, 7), (25, 3.9), (21, 3.9)]
    stud = [(0, 0), (60, 0), (60, 5), (39, 5), *relief, (21, 5), (0, 5)]
    report = threaded(stud, ("M10", 10.0, (0.0, 21.0)), ("M10", 10.0, (39.0, 60.0)))
    (sheet,) = route_of(report, starter_shop()).setups
    told = "Sink part 3 to ⌀7.8 mm behind the end first: the thread runs out there"
    first = sorted(step.first for step in sheet.steps if step.kind == "thread")
    assert [text.startswith(told) for text in first] == [True, False]
    far = [(0, 0), (60, 0), (60, 3.9), (55, 3.9), (55, 5), (39, 5), *relief, (21, 5), (5, 5)]
    far += [(5, 3.9), (0, 3.9)]
    report = threaded(far, ("M10", 10.0, (5.0, 21.0)), ("M10", 10.0, (39.0, 55.0)))
    (sheet,) = route_of(report, starter_shop()).setups
    assert not any("Sink" in step.first for step in sheet.steps)


def test_an_inside_thread_follows_its_bore_and_recess() -> None:
    """By hand: outside, drill, bore, recess, thread, part off."""
    cap = [(0, 0), (5, 0), (5, 13.5), (8, 13.5), (8, 12.15), (20, 12.15), (20, 16), (0, 16)]
    report = threaded(cap, ("M26x1.5", 24.3, None))
    kinds = [kind for _, kind, _ in steps(report, starter_shop())]
    assert kinds == ["face", "turn", "drill", "bore", "groove", "thread", "part off"]


def test_what_is_drawn_as_if_for_a_thread_is_to_be_stated() -> None:
    shop = starter_shop()
    ((_, line),) = lines(walk(drawn_part(STUD), shop), shop)
    assert line.startswith("S4 z 16 to 35 mm is drawn as if for M12:")
    assert "[[thread]] in the intent" in line


def test_a_thread_of_no_standard_is_told_by_diameter_and_pitch() -> None:
    shop = starter_shop()
    report = walk(drawn_part(PLAIN), shop)
    odd = {**M12, "form": None, "pitch_mm": 1.4}
    thread = Feature("F9", "thread", "outer", (12.0, 40.0), (10.5, 12.0), ("S3",), (), odd)
    ((_, line),) = lines(replace(report, features=(thread,)), shop)
    assert line == f"cut thread ⌀12 mm, pitch 1.4 mm, on S3 z 12 to 40 mm: {NO_TOOL}"
    sheets = route_of(replace(report, features=(thread,)), shop).setups
    measured = [m for one in sheets for m in one.measure if m.startswith("thread")]
    assert measured == [
        "thread ⌀12 mm on S3: of no standard's size, by a template and its mating part"
    ]


def test_a_part_without_threads_has_no_line() -> None:
    shop = starter_shop()
    assert lines(walk(drawn_part(PLAIN), shop), shop) == []


@pytest.mark.parametrize(
    ("surface", "small", "change", "tools", "kind"),
    [
        ("outer", 10.0, {}, (DIE, POINT), "die"),
        ("outer", 10.0, {}, (POINT,), "threading"),
        ("outer", 10.0, {}, (TAP, BAR), None),
        ("inner", 10.2, {}, (TAP,), "tap"),
        ("inner", 10.2, {}, (DIE, POINT), None),
        ("inner", 10.2, {}, (BAR,), None),  # point and bar are f + d/2 = 12.5 wide
        ("inner", 12.5, {"major_mm": 14.5}, (TAP, BAR), "internal-threading"),
        ("inner", 10.2, {"pitch_mm": 1.5}, (TAP,), None),
        ("outer", 10.0, {"pitch_mm": 3.5}, (DIE, POINT), None),
        ("outer", 10.0, {"hand": "left"}, (DIE,), None),
        ("outer", 10.0, {"hand": "left"}, (DIE, POINT), "threading"),
        ("outer", 10.0, {"starts": 2}, (DIE,), None),
        ("outer", 10.0, {"taper": 0.0625}, (DIE, POINT), None),
        ("outer", 10.0, {"form": "trapezoidal"}, (DIE, POINT), None),
        ("inner", 9.0, {"form": "trapezoidal", "pitch_mm": 3.0}, (TRAPEZOID,), "tap"),
        ("inner", 9.0, {"pitch_mm": 3.0}, (TRAPEZOID,), None),
        ("outer", 10.0, {"pitch_mm": None}, (DIE, POINT), None),
    ],
)
def test_which_tool_cuts_which_thread(
    tmp_path: Any,
    surface: Any,
    small: float,
    change: dict[str, Any],
    tools: tuple[str, ...],
    kind: str | None,
) -> None:
    """M12 has a pitch of 1.75 (ISO 261); points of 60 degrees cut ISO 68-1's profile alone."""
    thread = Feature(
        "F1", "thread", surface, (0.0, 20.0), (small, 12.0), ("S3",), (), {**M12, **change}
    )
    shop = replace(starter_shop(), thread_tools=shop_with(tmp_path, *tools).thread_tools)
    found = tool_for(thread, shop)
    assert (found.kind if found else None) == kind


def first_of(
    points: list[tuple[float, float]], thread: tuple[str, float, Any], control: str = "manual"
) -> tuple[str, str, tuple[str, ...]]:
    """What is said before its one thread, what it runs with, what is measured; on C45."""
    shop = with_material(starter_shop(), "C45", None)
    shop = replace(shop, machines=tuple(m for m in shop.machines if m.control == control))
    part = drawn_part(points)
    name, d, z = thread
    intent = Intent(threads=(StatedThread(Named(diameter_mm=(d, d), z_mm=z), name),))
    report = walk(part, shop, intent=settled(intent, part))
    sheets = route_of(report, shop).setups
    ((step, sheet),) = [(st, sh) for sh in sheets for st in sh.steps if st.kind == "thread"]
    return step.first, step.finish, sheet.measure


RELIEVED = [(0, 0), (40, 0), (40, 6), (16, 6), (16, 4.5), (12, 4.5), (12, 10), (0, 10)]


def test_a_half_nut_is_opened_in_the_relief_in_a_second() -> None:
    """By hand: M12 from z 40 to 16, relief to z 12. The run-in is 3 * 1.75 = 5.25. The point of
    60 degrees and nose 0.0722 goes 7/8 * 1.5155 - 0.0722 = 1.254 deep and is (1.254 + 0.072) tan 30
    = 0.766 wide on each side, so that 4 - 0.766 = 3.234 are free: 1.848 turns, in 1 s 110 a minute.
    8 passes of a carbide point, by hand 12; the first 1.254 / root 12 = 0.362."""
    first, run, measure = first_of(RELIEVED, ("M12", 12.0, None))
    assert first == (
        "Start at z 45.25 and feed toward the chuck; open the half nut in the relief at z 12 to "
        "16: it takes 1.0 s to cross at this speed"
    )
    assert run == (
        "1.75 mm a turn, 110 rpm (4 m/min, held down by the half nut), to 1.25 mm a side in about "
        "12 passes: 0.36 mm first, then less each time, the last without infeed; finish by the "
        "gauge"
    )
    assert measure[0].startswith("thread M12 on S3: major ⌀11.701 to 11.966 mm (6g of ISO 965-1")
    assert measure[0].endswith("; ring gauge, go and no-go")
    assert not any(line.startswith("⌀12 mm") for line in measure)


def test_a_driven_lathe_threads_as_fast_as_its_point_may_cut() -> None:
    """By hand: a quarter of the carbide speed for C45 on ⌀12; no half nut, 8 passes."""
    first, run, _ = first_of(RELIEVED, ("M12", 12.0, None), "cnc")
    assert first.endswith("; stop in the relief at z 12 to 16")
    assert "about 8 passes: 0.44 mm first" in run  # 1.254 / root 8
    assert "half nut" not in run


def test_a_thread_against_a_shoulder_is_told_how_it_ends() -> None:
    """By hand: PLAIN's M12 ends at the shoulder z 12 with no room at all; DIN 76-1: a1 5.3."""
    first, run, _ = first_of(PLAIN, ("M12", 12.0, None))
    assert first == (
        "Start at z 45.25 and feed toward the chuck; no relief before the shoulder at z 12: turn "
        "the spindle by hand over the last turns, the last threads stay incomplete (up to 5.3 mm, "
        "DIN 76-1); better ask for a relief"
    )
    assert " 30 rpm " in run


BOTH_SIDES = [(0, 0), (0, 9), (1, 10), (17, 10), (17, 14), (27, 14), (27, 10), (43, 10), (44, 9),
              (44, 0)]  # fmt: skip


@pytest.mark.parametrize(
    ("hand", "z", "told"),
    [
        # by hand: behind the flange a right-hand one starts in the groove of the blade, as wide as
        # that, 3 mm, and feeds to the flange by a spindle that turns backwards
        ("", (1, 17), (
            "Sink part 3 to ⌀17.8 mm behind the end first: the thread starts there. No room to "
            "start at the shoulder at z 17: begin at the other end. Start in the room at z -3 to 1 "
            "and feed away from the chuck with the spindle backwards and the tool upside down, "
            "never with a chuck that is screwed on, which comes off; no relief before the shoulder "
            "at z 17: turn the spindle by hand over the last turns, the last threads stay "
            "incomplete (up to 4.5 mm, DIN 76-1); better ask for a relief"
        )),
        # a left-hand one does so as it is, 3 pitches before the free end one on the other side
        ("-LH", (1, 17), (
            "Sink part 3 to ⌀17.8 mm behind the end first: the thread starts there. Start in the "
            "room at z -3 to 1 and feed away from the chuck, as it is left-hand; no relief before "
            "the shoulder at z 17: turn the spindle by hand over the last turns, the last threads "
            "stay incomplete (up to 4.5 mm, DIN 76-1); better ask for a relief"
        )),
        ("-LH", (27, 43), (
            "No room to start at the shoulder at z 27: begin at the other end. Start at z 47.5 and "
            "feed toward the chuck with the spindle backwards and the tool upside down, never with "
            "a chuck that is screwed on, which comes off; no relief before the shoulder at z 27: "
            "turn the spindle by hand over the last turns, the last threads stay incomplete (up to "
            "4.5 mm, DIN 76-1); better ask for a relief"
        )),
    ],
)  # fmt: skip
def test_a_thread_that_a_flange_leaves_no_room_to_start_begins_at_its_other_end(
    hand: str, z: tuple[float, float], told: str
) -> None:
    first, run, _ = first_of(BOTH_SIDES, (f"M20x1.5{hand}", 20.0, z))
    assert first == told
    assert " 30 rpm " in run, "by hand over the last turns"


def test_a_thread_stated_by_its_diameter_on_both_sides_of_a_flange_is_two() -> None:
    shop = with_material(starter_shop(), "C45", None)
    part = drawn_part(BOTH_SIDES)
    intent = Intent(threads=(StatedThread(Named(diameter_mm=(20.0, 20.0)), "M20x1.5"),))
    report = walk(part, shop, intent=settled(intent, part))
    spans = sorted(f.z_mm for f in report.features if f.kind == "thread")
    assert spans == [(1.0, 17.0), (27.0, 43.0)]


def test_a_relief_less_deep_than_the_root_is_told_with_the_thread() -> None:
    """RELIEVED with ⌀11: M12 has d3 9.853 (ISO 68-1); this fine point goes 2 * 1.254 deep."""
    shallow = [(z, 5.5 if r == 4.5 else r) for z, r in RELIEVED]
    first, _, _ = first_of(shallow, ("M12", 12.0, None))
    assert "; open the half nut drawing the point out at z 12 to 16" in first
    assert first.endswith(
        "the relief of ⌀11 mm is less deep than the point goes, to ⌀9.492 mm, and it would cut the "
        "floor: ask for a deeper one"
    )


def test_a_left_hand_thread_starts_in_the_relief_beside_the_chuck() -> None:
    first, _, _ = first_of(RELIEVED, ("M12-LH", 12.0, None))
    assert first.startswith(
        "Start in the room at z 12 to 16 and feed away from the chuck, as it is left-hand; "
    )
    assert first.endswith("; run out past z 40")


def test_a_stated_class_is_measured_instead() -> None:
    """M12-6h: no deviation, 12 - 0.265 (ISO 965-1), which has no crest of grade 7 outside."""
    _, _, measure = first_of(RELIEVED, ("M12-6h", 12.0, None))
    assert measure[0] == (
        "thread M12-6h on S3: major ⌀11.735 to 12 mm (6h of ISO 965-1); ring gauge, go and no-go"
    )
    _, _, measure = first_of(RELIEVED, ("M12-7h", 12.0, None))
    assert measure[0] == (
        "thread M12-7h on S3: the crest of 7h stands in no table here; ring gauge, go and no-go"
    )


@pytest.mark.parametrize(
    ("deep", "told"),
    [
        # a tap's lead of 4 pitches is 5 mm on M8; the full thread ends at z 20
        (12.0, "Blind: full thread to z 20, its tip to z 15 and no deeper than z 12"),
        (17.0, "Blind: its lead of 5 mm does not fit behind z 20, for the hole ends at z 17"),
    ],
)
def test_a_blind_tapped_hole_is_told_how_deep_the_tap_goes(deep: float, told: str) -> None:
    hole = [(0, 0), (0, 10), (40, 10), (40, 3.4), (20, 3.4), (20, 3.3), (deep, 3.3), (deep, 0)]
    first, run, measure = first_of(hole, ("M8", 6.8, None))
    assert first.startswith(told)
    assert run.startswith("1.25 mm a turn, 100 rpm (3 m/min, held down by the hand feed)")
    assert measure[0].startswith("thread M8 on S5: minor ⌀6.647 to 6.912 mm (6H of ISO 965-1")


def test_a_stud_of_bright_bar_is_threaded_at_each_end_where_that_end_is_free() -> None:
    """M16 at both ends of a bar whose outside stays: what is in the chuck or spindle is not cut.

    Reliefs of 4 mm at z 40 and 140; behind them the bar is as high as the crest, so that the point
    has these 4 mm, and not the 96 or 140 beyond, to run out in.
    """
    end = [(0, 0), (180, 0), (180, 6.5), (178.5, 8), (144, 8), (144, 6.6), (140, 6.6), (140, 8)]
    stud = [*end, (44, 8), (44, 6.6), (40, 6.6), (40, 8), (1.5, 8), (0, 6.5)]
    shop, part = starter_shop(), drawn_part(stud)
    threads = tuple(
        StatedThread(Named(diameter_mm=(16.0, 16.0), z_mm=z), "M16")
        for z in ((1.5, 40.0), (144.0, 178.5))
    )
    intent = Intent(threads=threads, bar_outside=True)
    report = walk(part, shop, intent=settled(intent, part))
    sheets = route_of(report, shop).setups
    cut = [(sheet.setup, st) for sheet in sheets for st in sheet.steps if st.kind == "thread"]
    assert len(cut) == 2
    for setup, step in cut:
        upper = "z 144 to 178.5" in step.where
        assert setup.toward_chuck == ("low" if upper else "high")
        assert ("z 140 to 144" if upper else "z 40 to 44") in step.first
        assert "as the bar comes, which is to be ⌀15.682 to 15.962 mm" in step.where


def test_stock_over_what_a_later_chucking_cuts_ends_the_relief() -> None:
    """M12 to z 17, a relief to z 14, and ⌀7 below the root from there to the chuck.

    While ⌀7 is still to be cut the point has the 3 mm of the relief, once it is cut all 17 mm.
    """
    stem = [(0, 0), (60, 0), (60, 5), (37, 5), (37, 6), (17, 6), (17, 5), (14, 5), (14, 3.5)]
    part = drawn_part([*stem, (0, 3.5)])
    profile = part.profile
    assert profile is not None
    below = {s.id for s in profile.segments if max(s.curve.start[0], s.curve.end[0]) <= 14.0}
    below -= {s.id for s in profile.segments if s.curve.start[0] == s.curve.end[0] == 0.0}
    thread = Feature("F1", "thread", "outer", (17.0, 37.0), (12.0, 12.0), ("S5",), (), M12)
    grip = Grip("raw bar", "outer", (-20.0, -5.0), 14.0, 15.0)
    setup = Setup(1, "low", grip, Datum(None, "raw bar"), "none", (), ())
    rooms = [
        thread_ends(thread, setup, profile, 1.0, 10.6, None, uncut).stop_room_mm
        for uncut in (below, set())
    ]
    assert rooms == [pytest.approx(3.0), pytest.approx(17.0)]
