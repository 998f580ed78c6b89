"""Tapers turned with the tailstock set over, in words: what holds them, the dial, the way back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from turnability.outputs.route_sheet.offset import OffsetSheet
from turnability.outputs.route_sheet.tapers import degrees_text, proof_text
from turnability.units import length_text, number_text, span_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.setups.taper_model import TaperChucking

DOG = (
    "The dog stands out as it turns, and so does its driver: a guard over them, sleeves and hands "
    "away. The centre at the tailstock is oiled and not tight; slender work can whip: begin slowly."
)


def taper_sheets(report: Report) -> Iterator[OffsetSheet]:
    """One for each, numbered after the plan's setups and those set over for eccentrics."""
    if report.plan is None:
        return
    first = first_taper(report)
    for order, one in enumerate(report.plan.tapers, start=first):
        yield OffsetSheet(
            title=f"Setup {order}: between centres, the tailstock set over by "
            f"{_set_over(one, report.inch)} for {', '.join(one.segments)}",
            hold=_hold(report, one),
            datum=_datum(one, report.inch),
            steps=(_step(report, one),),
            measure=tuple(_measure(report, one)),
            cautions=(DOG,),
        )


def first_taper(report: Report) -> int:
    """The number of the first of them."""
    assert report.plan is not None
    return len(report.setups) + len(report.plan.set_over) + 1


def taper_row(one: TaperChucking, inch: bool) -> str:
    """One such chucking in a line, for the summary."""
    return (
        f"{one.toward_chuck} end to the headstock, between centres, the tailstock set over by "
        f"{_set_over(one, inch)} for the taper {', '.join(one.segments)}: {', '.join(one.tools)}"
    )


def straight_texts(report: Report) -> dict[str, str]:
    """Of each such taper, that the setup before leaves it straight, and which turns it."""
    if report.plan is None:
        return {}
    return {
        s: f" (straight to ⌀{length_text(round(one.straight_mm, 3), report.inch)}: its taper in "
        f"setup {order})"
        for order, one in enumerate(report.plan.tapers, start=first_taper(report))
        for s in one.segments
    }


def _set_over(one: TaperChucking, inch: bool) -> str:
    by = length_text(round(one.set_over_mm, 2), inch)
    return f"{by} {'toward' if one.toward_you else 'away from'} you"


def _hold(report: Report, one: TaperChucking) -> str:
    inch = report.inch
    centres = one.holding or "centres and a dog, of which the shop file lists none"
    dog = "no straight outside beside the taper that they take has room for the dog: ask for one"
    if one.dog_z_mm is not None and one.dog_diameter_mm is not None:
        dog = (
            f"dog on ⌀{length_text(round(one.dog_diameter_mm, 3), inch)}, "
            f"z {span_text(one.dog_z_mm, inch)}, copper or brass under it"
        )
    return (
        f"{centres}, the {one.toward_chuck} end to the headstock; {dog}; centre holes with a ball "
        "or a radius seat best"
    )


def _datum(one: TaperChucking, inch: bool) -> str:
    angle = f"{degrees_text(one.half_angle_deg)} ({one.half_angle_deg:.3f}°)"
    proof = proof_text(math.tan(math.radians(one.half_angle_deg)), inch)
    return (
        f"the whole length times the tangent of the half angle {angle}, by a dial on the "
        f"tailstock's barrel; proven by one carried along a straight outside of the work: {proof} "
        "of travel"
    )


def _step(report: Report, one: TaperChucking) -> tuple[str, str]:
    profile = report.part.profile
    assert profile is not None
    z = [
        p[0] for s in profile.segments if s.id in one.segments for p in (s.curve.start, s.curve.end)
    ]
    tools = " and ".join(one.tools)
    return (
        f"turn, {tools}: {', '.join(one.segments)} z {span_text((min(z), max(z)), report.inch)}, "
        "its point at the height of the centres",
        f"as in setup {one.cut_in}, in light cuts under power feed",
    )


def _measure(report: Report, one: TaperChucking) -> Iterator[str]:
    profile = report.part.profile
    assert profile is not None
    inch = report.inch
    points = [
        p for s in profile.segments if s.id in one.segments for p in (s.curve.start, s.curve.end)
    ]
    small, large = (2.0 * f(p[1] for p in points) for f in (min, max))
    long = max(p[0] for p in points) - min(p[0] for p in points)
    yield (
        f"taper ⌀{number_text(round(small, 3), inch)} to {length_text(round(large, 3), inch)} over "
        f"{length_text(round(long, 3), inch)}, half angle {degrees_text(one.half_angle_deg)} "
        f"({', '.join(one.segments)}): by gauge or sine bar, before it is at size"
    )
    yield "after it the tailstock back in line: prove that by a parallel cut"
