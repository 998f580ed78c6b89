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
from turnability.outputs.route_sheet.threads import NO_TOOL
from turnability.report import Report
from turnability.rules.drawn import drawn_part
from turnability.setups.threading import tool_for
from turnability.shop.load import load_shop, starter_shop, starter_shop_text
from turnability.shop.model import Shop

STUD = [(0, 0), (36, 0), (36, 5), (35, 6), (16, 6), (13.9, 4.7), (10, 4.7), (10, 12), (0, 12)]
PLAIN = [(0, 0), (40, 0), (40, 6), (12, 6), (12, 10), (0, 10)]
M12 = {"form": "metric", "major_mm": 12.0, "pitch_mm": 1.75, "hand": "right", "starts": 1}


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
    assert step.where == "M12 on S3 z 12 to 40 mm; whether it gets there is not checked"
    assert step.finish == "1.75 mm a turn"


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
    """By hand: 120 of ⌀12 on the centre; threaded before that is taken away to part it off."""
    rod = [(0, 0), (120, 0), (120, 5), (90, 5), (90, 4), (86, 4), (86, 6), (0, 6)]
    report = threaded(rod, ("M10", 10.0, None))
    (sheet,) = route_of(report, starter_shop()).setups
    assert sheet.setup.support == "tailstock"
    kinds = [step.kind for step in sheet.steps]
    assert kinds[-2:] == ["thread", "part off"]
    assert sheet.steps[-1].first == "Take the centre away"


def test_a_thread_that_ends_at_the_bar_runs_out_in_the_parting_cut() -> None:
    """By hand: M10 to the parted end: its core is 10 - 1.22687 * 1.5 = 8.16 (ISO 68-1), so the
    blade is sunk to ⌀8.1 first. 5 mm from it, over 3 pitches, it needs no such cut."""
    relief = [(39, 3.9), (35, 3.9), (35, 7), (25, 7), (25, 3.9), (21, 3.9)]
    stud = [(0, 0), (60, 0), (60, 5), (39, 5), *relief, (21, 5), (0, 5)]
    report = threaded(stud, ("M10", 10.0, (0.0, 21.0)), ("M10", 10.0, (39.0, 60.0)))
    (sheet,) = route_of(report, starter_shop()).setups
    told = "Sink part 3 to ⌀8.1 mm behind the end first: the thread runs out there"
    assert sorted(step.first for step in sheet.steps if step.kind == "thread") == ["", told]
    far = [(0, 0), (60, 0), (60, 3.9), (55, 3.9), (55, 5), (39, 5), *relief, (21, 5), (5, 5)]
    far += [(5, 3.9), (0, 3.9)]
    report = threaded(far, ("M10", 10.0, (5.0, 21.0)), ("M10", 10.0, (39.0, 55.0)))
    (sheet,) = route_of(report, starter_shop()).setups
    assert [step.first for step in sheet.steps if step.kind == "thread"] == ["", ""]


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
