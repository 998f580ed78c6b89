"""The terminal summary: what it says, that it fits, that text from files cannot play tricks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.outputs.sample import disc_report, housing_report, plate_report
from turnability.features.recognise import recognise
from turnability.outputs._findings import finding_text, likewise_text
from turnability.outputs._phrases import kinds_text, not_turned_text
from turnability.outputs._short import shortened
from turnability.outputs.summary import places_text, size_text, summary_lines
from turnability.part.model import Instance, called
from turnability.part.profile import drawn_profile
from turnability.report import Report
from turnability.rules.judge import all_rules
from turnability.rules.model import Change
from turnability.setups.model import SetupLeft
from turnability.units import length_text, span_text


def text_of(report: Report, width: int = 100) -> str:
    return "\n".join(str(line) for line in summary_lines(report, width))


def one_line(text: str) -> str:
    return " ".join(text.split())


def test_it_says_verdict_place_numbers_and_change() -> None:
    text = text_of(housing_report())
    assert text.startswith("float_housing: NEEDS CHANGES")
    assert "⌀90 × 112 mm; through bore ⌀40" in text
    assert "N1 unreached-surface  F9" in text
    assert "Give the recess corners a radius of 0.4 mm (proven" in one_line(text)
    assert "bar round 95, 117 mm a piece, 6.51 kg; 71% becomes chips" in text
    assert "Setup 2 high end to the chuck, three-jaw ⌀60 over 18 mm: turn 95" in text
    assert (
        "L2 150 mm³ (the blade is wider than the room and the blade is not deep enough)"
        in one_line(text)
    )
    assert "L1 by the nose radius alone, 0.9 mm from the cut" in one_line(text)


def test_it_owns_up_to_what_was_not_judged_or_crashed() -> None:
    report = housing_report()
    crashed = replace(report.rules[0], status="crashed", reason="ZeroDivisionError: division")
    text = text_of(replace(report, rules=(crashed, *report.rules[1:])))
    assert "unreached-surface crashed: ZeroDivisionError" in text
    assert "long-slender: the shop states no machine" in text


def test_a_caution_stands_wherever_work_is_proposed() -> None:
    assert "qualified machinist" in text_of(housing_report()).replace("\n", " ")
    assert "machinist" not in text_of(plate_report())


def test_a_part_without_axis_says_why() -> None:
    assert "31 % of the surface turns about the nearest axis" in text_of(plate_report())
    report = plate_report()
    (finding,) = report.findings
    reason = size_text(report)
    said = replace(finding, message=f"This is not a turned part: {reason}. So it is milled.")
    text = one_line(text_of(replace(report, findings=(said,))))
    assert text.count(one_line(reason)) == 1, "once, in the finding"


@pytest.mark.parametrize("width", [60, 80, 100, 200])
@pytest.mark.parametrize("report", [housing_report(), plate_report(), disc_report()])
def test_lines_keep_to_the_width(report: Report, width: int) -> None:
    assert max(len(str(line)) for line in summary_lines(report, width)) <= width


def test_it_fits_a_screen() -> None:
    assert len(summary_lines(housing_report(), 100)) <= 40


def test_names_from_files_cannot_move_the_cursor() -> None:
    report = housing_report()
    finding = replace(report.findings[0], message="\x1b[2J\x1b[31mred\u202e")
    text = text_of(replace(report, findings=(finding,), shop_name="a\x07b"))
    assert not any(letter in text for letter in "\x1b\x07\u202e")


def test_many_findings_of_one_rule_are_told_once_and_counted() -> None:
    report = housing_report()
    corner = report.findings[1]
    many = tuple(replace(corner, id=f"N{i}") for i in range(1, 31))
    lines = [str(line) for line in summary_lines(replace(report, findings=many))]
    text = "\n".join(lines)
    assert "Better changed (30)" in text
    assert text.count(corner.message) == 1
    assert "Likewise N2 F7, z 86–92, ⌀54; N3" in text
    assert "; and 25 more." in one_line(text)
    assert len(lines) < 40


def test_another_number_is_told_as_what_to_change_to() -> None:
    report = housing_report()
    corner = report.findings[1]
    assert corner.change is None
    changes = [
        Change(f"Draw {to} mm.", "tolerance_width_mm", 0.01, to, False) for to in (0.02, 0.03)
    ]
    alike = tuple(
        replace(corner, id=f"N{n}", change=change, where=replace(corner.where, z_mm=(n, n + 1.0)))
        for n, change in enumerate(changes)
    )
    text = one_line(text_of(replace(report, findings=alike)))
    assert "⌀54 (change to tolerance width 0.03 mm)." in text


def test_a_change_that_the_message_names_is_not_told_twice() -> None:
    report = housing_report()
    finding = report.findings[0]
    assert finding.change is not None
    told = replace(finding, message=f"{finding.message} {finding.change.text}.")
    text = text_of(replace(report, findings=(told,))).replace("\n     ", " ")
    assert text.count(finding.change.text) == 1
    assert "The change is proven" in text


def test_inch_shops_read_inches() -> None:
    text = text_of(replace(housing_report(), inch=True))
    assert "⌀3.5433 × 4.4094 in" in text  # 90 and 112 mm
    assert "4.61 in a piece" in text
    assert "three-jaw ⌀2.3622 over 0.71 in" in text
    told = text.replace(housing_report().findings[0].message, "")
    assert " mm" not in told.replace("radius of 0.4 mm", "")


def test_what_the_grip_hides_is_named_by_its_place() -> None:
    report = housing_report()
    last = report.setups[-1]
    recess = report.features[8].segments[1]
    hides = replace(last, left=(SetupLeft((recess,), ("jaws",)),))
    setups = (report.setups[0], hides)
    assert report.reach is not None
    text = text_of(replace(report, setups=setups, reach=replace(report.reach, left=())))
    assert "the grip hides some of z 60–75" in text
    # a rim of what no tool finishes is no grip's doing
    assert recess in report.reach.left[0].segments
    assert "hides" not in text_of(replace(report, setups=setups))


def test_only_an_error_is_asked_for_its_proof() -> None:
    finding = housing_report().findings[0]
    assert finding.change is not None
    open_ = replace(finding.change, proven=False)
    said = replace(finding, change=open_, message=f"It stays. {open_.text}.")
    assert finding_text(said).endswith("(The change is not proven.)")
    assert finding_text(replace(said, level="warning")) == said.message


def test_findings_of_one_place_keep_their_own_words() -> None:
    report = housing_report()
    note = report.findings[2]
    other = replace(note, id="N4", message="Something else of the same place.")
    text = text_of(replace(report, findings=(note, other)))
    assert note.message in text
    assert other.message in text
    assert "Likewise" not in text


def test_a_blind_bore_is_no_solid_part() -> None:
    """A ⌀40 body of 50 with a ⌀12 hole 30 deep, one with a taper into its end, and one without; a
    slot across an end shows as a hole in the section, and is none."""
    report = housing_report()

    def head(corners: list[tuple[float, float]], **milled: str) -> str:
        profile = drawn_profile(corners)
        part = replace(report.part, profile=profile, departures=())
        features = tuple(
            replace(f, parameters={**f.parameters, **milled}) for f in recognise(profile)
        )
        return size_text(replace(report, part=part, features=features))

    blind = [(0.0, 0.0), (20.0, 0.0), (20.0, 6.0), (50.0, 6.0), (50.0, 20.0), (0.0, 20.0)]
    dished = [(0.0, 0.0), (45.0, 0.0), (50.0, 15.0), (50.0, 20.0), (0.0, 20.0)]
    plain = [(0.0, 0.0), (50.0, 0.0), (50.0, 20.0), (0.0, 20.0)]
    assert head(blind).startswith("⌀40 × 50 mm; blind bore ⌀12")
    assert "bore" not in head(blind, left_by="slot").split("shop")[0]
    assert "solid through" not in head(dished)
    assert head(plain).startswith("⌀40 × 50 mm; solid through")


def test_inches_have_the_same_digits_in_sizes_and_ranges() -> None:
    """10 mm is 0.3937 in; a bar of 3 m 118.11 in (an inch is 25.4 mm exactly)."""
    assert length_text(10.0, inch=True) == "0.3937 in"
    assert span_text((0.0, 10.0), inch=True) == "0 to 0.3937 in"
    assert length_text(3000.0, inch=True) == "118.11 in"
    assert span_text((0.0, 10.126)) == "0 to 10.13 mm"


def test_where_a_screen_has_no_room_warnings_and_notes_say_what_is_wrong_and_what_to_do() -> None:
    whip = "Stands out 5.5 diameters. {} It chatters. Make it thicker. Caution: a long bar whips."
    report = housing_report()
    error, first = report.findings[0], report.findings[1]
    slender = next(rule for rule in all_rules() if rule.name == "long-slender")
    message = whip.format(slender.why)
    warnings = [
        replace(first, id=f"N{i}", rule=slender.name, level="warning", change=None, message=m)
        for i, m in enumerate((message, message.replace("5.5", "6.5")), 2)
    ]
    warnings[1] = replace(warnings[1], where=error.where, state="new")
    long = f"A. B. C{' c' * 60}."
    note = replace(warnings[0], id="N4", rule="flat-bottom", level="note", message=long)
    report = replace(report, findings=(error, *warnings, note))

    def told(height: int) -> str:
        return one_line("\n".join(map(str, summary_lines(report, 100, (), height))))

    whole = told(1000)
    assert whole.count("Caution: a long bar whips.") == 1, "the same words once"
    assert whole.count(one_line(slender.why)) == 2
    assert "A. B. C c c" in whole
    assert "In short" not in whole
    told_by_height = [told(height) for height in range(100, 0, -1)]
    steps = list(dict.fromkeys(told_by_height))
    assert steps[0] == whole
    gist = next(step for step in steps if "It chatters" not in step)
    assert one_line(error.message) in gist
    assert slender.why not in gist
    assert "Stands out 5.5 diameters. Make it thicker. Caution: a long bar whips." in gist
    assert "Stands out 6.5 diameters. Make it thicker. Note (1)" in gist
    assert any("A. Stock" in step for step in steps), "of a note what is wrong alone"
    for step in steps[1:]:
        assert "In short; the report (--out) has it all." in step
        assert step.count("Caution: a long bar whips.") == 1, "however short"
    least = steps[-1]
    assert "N2 long-slender F7, z 86–92, ⌀54; N3 long-slender F9, z 60–62, ⌀48–52, new" in least
    assert "N4 flat-bottom F7, z 86–92, ⌀54 Stock" in least
    assert "Not judged long-slender; why, the report says" in least
    heights = [len(summary_lines(report, 100, (), height)) for height in range(100, 0, -1)]
    for height, lines in zip(range(100, 0, -1), heights, strict=True):
        assert lines <= max(height, heights[-1]), "it fits where it can"


@pytest.mark.parametrize(
    ("message", "change", "left"),
    [
        ("It is so. Why. Draw it. So would a cone.", "Draw it.", "It is so. Draw it."),
        ("So. Draw it. Or split it. Or buy. End.", "Draw", "So. Draw it. Or split it. Or buy."),
        ("It is so. Why. Make it short. Or let be.", None, "It is so. Make it short. Or let be."),
        ("It is so. Why. Make it short.", None, "It is so. Make it short."),
        ("It is so. Why.", "Told elsewhere", "It is so. Why."),
        ("It is so.", None, "It is so."),
        ("Or so.", None, "Or so."),
    ],
)
def test_the_gist_is_what_is_wrong_and_what_to_do(
    message: str, change: str | None, left: str
) -> None:
    warning = housing_report().findings[1]
    asked = None if change is None else Change(change, "width_mm", 1.0, 2.0, False)
    cut = shortened(replace(warning, message=message, change=asked), 3, set())
    assert cut.level == "warning"
    assert cut.message == left


def test_an_error_keeps_its_places_however_short_the_screen() -> None:
    report = housing_report()
    error = report.findings[0]
    message = "It stays. A bar of 8 mm is needed. It is so and so. Widen it. Caution: bars whip."
    many = tuple(
        replace(
            error,
            id=f"N{i}",
            message=message,
            where=replace(error.where, z_mm=(2.0 * i, 2.0 * i + 1.0)),
        )
        for i in range(1, 15)
    )
    text = one_line(
        "\n".join(str(line) for line in summary_lines(replace(report, findings=many), height=1))
    )
    for i in range(2, 15):
        assert f"N{i} F9, z {2 * i}–{2 * i + 1}" in text
    assert "It stays. A bar of 8 mm is needed. Widen it. Caution: bars whip." in text
    assert "more" not in text.split("Likewise")[1].split("Stock")[0]


def test_names_that_nobody_gave_are_no_place() -> None:
    """What the CAD kernel writes for products without a name; `unnamed` is ours for none at all."""
    report = housing_report()

    def places(*paths: tuple[str, ...]) -> str:
        instances = tuple(Instance(number, path) for number, path in enumerate(paths, 1))
        return places_text(replace(report.part.source, instances=instances))

    made_up = "Open CASCADE STEP translator 7.8 1"
    assert places(("unnamed", "COMPOUND")) == ""
    assert places((made_up, "SOLID")) == ""
    assert places((made_up, "buoy", "cap")) == "In buoy / cap"
    assert places(("unnamed", "cap"), ("unnamed", "COMPOUND (2)")) == (
        "2 times in this file, as solid 1 cap; 2 no named place"
    )
    assert places(("SOLIDWORK", "ASSEMBLY LINE")) == "In SOLIDWORK / ASSEMBLY LINE"


def test_kinds_of_departures_are_counted_in_words() -> None:
    kinds = ["hole", "flat", "hole", "bolt-circle", "hex", "other", "hex", "other"]
    assert kinds_text(kinds) == "2 holes, flat, bolt circle, 2 hexes, 2 other"


def test_what_has_no_name_is_told_by_its_number_and_place() -> None:
    """Of six lugs of a bayonet the word "other" says nothing to whoever drew them."""
    lugs = ("cut-out", {"count": 6, "r_mm": (66.3, 71.12)}, (17.27, 30.48))
    hole = ("hole", {"diameter_mm": 3.0}, (2.0, 5.0))
    told = "hole, 6 cut-outs at z 17.27–30.48, ⌀132.6–142.24"
    assert not_turned_text([lugs, hole], inch=False) == told
    assert not_turned_text([lugs], inch=True) == "6 cut-outs at z 0.68–1.2, ⌀5.22–5.6"
    many = [("cut-out", {}, (float(n), float(n + 1))) for n in range(4)]
    assert (
        not_turned_text(many, inch=False) == "cut-out at z 0–1, cut-out at z 1–2, 2 more cut-outs"
    )
    assert called("other", {"count": 6}) == "cut-out"


def test_an_error_of_another_place_names_a_change_of_another_kind_in_its_words() -> None:
    first = next(f for f in housing_report().findings if f.level == "error" and f.change)
    assert first.change is not None
    wider = replace(first, id="N8", change=Change("Cut it shorter.", "length_mm", 9.0, 8.0, True))
    deeper = replace(first, id="N9", change=replace(first.change, to=7.5))
    told = likewise_text(first, (wider, deeper), inch=False)
    assert "(Cut it shorter)" in told
    assert "7.5 mm)" in told.split("N9")[1]
