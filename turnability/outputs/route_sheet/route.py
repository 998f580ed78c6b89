"""What stands on the route sheet: stock, each setup's steps, what to measure, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_lowercase
from typing import TYPE_CHECKING

from turnability.intent.ground import as_turned
from turnability.outputs._making import (
    across_text,
    in_text,
)
from turnability.outputs.route_sheet.beside import (
    GRIP,
    caution_lines,
    follow_rest_text,
    lathe_lines,
    left_lines,
    let_in_text,
    runner_up_line,
    stays_uncut,
)
from turnability.outputs.route_sheet.first import caution_free, first_texts
from turnability.outputs.route_sheet.general import general_lines, no_plan_text, solid_text
from turnability.outputs.route_sheet.ground import (
    after_lines,
    centre_text,
    ground_texts,
    held_text,
)
from turnability.outputs.route_sheet.holes import as_drilled_text, led_in, point_text
from turnability.outputs.route_sheet.measures import measure_lines
from turnability.outputs.route_sheet.not_turned import not_turned_lines, still_round_text
from turnability.outputs.route_sheet.offset import OffsetSheet, offset_sheets
from turnability.outputs.route_sheet.speeds import speed_text
from turnability.outputs.route_sheet.stock import stock_lines
from turnability.outputs.route_sheet.taken_off import leave_text, taken_off
from turnability.outputs.route_sheet.taper_sheets import straight_texts, taper_sheets
from turnability.outputs.route_sheet.tapers import taper_lines
from turnability.outputs.route_sheet.threads import (
    ThreadStep,
    thread_lines,
    thread_steps,
)
from turnability.outputs.route_sheet.where import Surfaces, sideways_text, where_text
from turnability.outputs.route_sheet.whip import bar_lines
from turnability.part.model import Segment
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.cutting.values import Pass, Values, carried_in, values_of
from turnability.setups.holding.free import standing_out, stands_free
from turnability.setups.model import Operation, Setup
from turnability.setups.surfaces.swept import swept_segments
from turnability.shop.materials import Chosen, Material, all_materials, material_of
from turnability.shop.told_apart import COUNTERSINK
from turnability.stock.model import raw_across_mm
from turnability.units import MM_PER_INCH, length_text, mm_text, span_text

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.shop.model import Machine, Shop, Tool

DECIDE = "The plates on chuck and lathe, local rules and a qualified machinist decide."
START = (
    "Speeds and feeds are values to begin with, from memory of handbooks at the low end of their "
    f"range. {DECIDE}"
)
NO_LATHE = "none of the shop takes it as planned: see below"
_ONE_RUN = ("drill", "countersink", "ream", "groove", "end groove", "thread", "part off")


@dataclass(frozen=True, slots=True)
class Step:
    """One operation: number, what is done with which tool where, and the values to begin with.

    `first` is what is done to the holding before it; empty for nothing.
    """

    number: str
    kind: str
    tool: str
    where: str
    rough: str
    finish: str
    first: str = ""

    @property
    def in_one_run(self) -> bool:
        """Whether its tool makes in one what is neither roughed nor finished: a hole, a groove."""
        return self.kind in _ONE_RUN and not self.rough


@dataclass(frozen=True, slots=True)
class SetupSheet:
    """One setup in words."""

    setup: Setup
    title: str
    hold: str
    datum: str
    steps: tuple[Step, ...]
    measure: tuple[str, ...]
    cautions: tuple[str, ...]
    threads: tuple[str, ...] = ()
    tapers: tuple[str, ...] = ()
    then: str | None = None
    """How the work comes off the bar where no operation parts it off; None where nothing need."""


@dataclass(frozen=True, slots=True)
class Route:
    """The whole sheet."""

    name: str
    verdict: str
    stock: tuple[str, ...]
    lathe: str | None
    material: str | None
    setups: tuple[SetupSheet, ...]
    left: tuple[str, ...]
    not_turned: tuple[str, ...]
    lathes: tuple[str, ...]
    runner_up: str | None
    cautions: tuple[str, ...]
    offset: tuple[OffsetSheet, ...] = ()
    tapers: tuple[OffsetSheet, ...] = ()
    general: tuple[tuple[str, str], ...] = ()
    """What the design states of the whole part: a word and its text each."""
    no_plan: str | None = None
    """Why there is no setup; None where there is one."""


def route_of(report: Report, shop: Shop) -> Route:
    """The sheet of one report; `shop` is the shop as it works the part's material."""
    profile = report.part.profile
    chosen = material_of(shop)
    material = None if chosen is None else chosen.material
    lathe: Machine | None = None
    stopped = False
    if profile is not None:
        size = raw_across_mm(report.stock, profile.max_diameter_mm)
        cnc = report.reach is not None and bool(report.reach.cnc_only_segments)
        made_for = None if report.plan is None else report.plan.lathe
        lathe = lathe_for(shop, size, cnc, made_for)
        stopped = report.plan is not None and bool(report.plan.lathes) and made_for is None
    setups = tuple(_setup(report, shop, setup, material, lathe) for setup in report.setups)
    offset = tuple(offset_sheets(report, lathe))
    return Route(
        name=f"{report.name}{solid_text(report.part.source)}",
        verdict=report.verdict,
        stock=tuple(stock_lines(report)),
        lathe=NO_LATHE if stopped else lathe.name if lathe is not None and setups else None,
        material=_no_material(report, shop) if chosen is None else _material(chosen),
        setups=setups,
        left=tuple(left_lines(report)),
        not_turned=(*not_turned_lines(report), *after_lines(report)),
        lathes=tuple(lathe_lines(report)),
        runner_up=runner_up_line(report),
        cautions=tuple(_cautions(setups, offset)),
        offset=offset,
        tapers=tuple(taper_sheets(report)),
        general=tuple(general_lines(report)),
        no_plan=None if setups else no_plan_text(report, shop),
    )


def _cautions(setups: Sequence[SetupSheet], offset: Sequence[OffsetSheet]) -> Iterator[str]:
    """What belongs to the whole sheet: nothing of speeds where none are told."""
    if not setups:
        return
    told = any(step.rough or step.finish for sheet in setups for step in sheet.steps)
    yield START if told or offset else DECIDE
    yield GRIP


def _material(chosen: Chosen) -> str:
    """The material as it was named, and the one of the table whose values are told."""
    name = chosen.material.name
    if chosen.named is None:
        return f"{name}, taken since none is named: state material = in the intent"
    named = chosen.named.strip()
    if named == name:
        return name
    return f"{named} ({'taken as ' if chosen.stands_for else ''}{name})"


def _no_material(report: Report, shop: Shop) -> str | None:
    """That a material is in no table, and which are; None where nobody named one."""
    named = report.intent.material if report.intent is not None else None
    if named is None and shop.stock_policy is not None:
        named = shop.stock_policy.material
    if named is None:
        return None
    known = ", ".join(one.name for one in all_materials())
    return (
        f"{named}, which no table here holds: so no depths, feeds, speeds, forces or bending are "
        f"told, and none are made up. Take them from your handbook, or state a like material as "
        f"material = in the intent; known are {known}"
    )


def _setup(
    report: Report, shop: Shop, setup: Setup, material: Material | None, lathe: Machine | None
) -> SetupSheet:
    from turnability.setups.holding.jaws import RAW_BAR

    inch, grip, profile = report.inch, setup.grip, report.part.profile
    assert profile is not None
    before = report.setups[: setup.order - 1]
    values: Sequence[Values | None] = [None] * len(setup.operations)
    if material is not None:
        _, intent = as_turned(report.part, report.intent)
        values = values_of(profile, setup, report.stock, shop, material, lathe, intent, before)
    known = {segment.id: segment for segment in profile.segments}
    piece = None if report.stock is None else report.stock.choice
    free, drawn = standing_out(profile, setup, report.stock, shop, lathe, before)
    firsts = first_texts(setup, free, drawn, inch)
    stands = stands_free(free, drawn)
    caution = caution_free(stands, told=any(values))
    carried = [
        carried_in(setup, n, shop, stands[n], n in drawn) for n in range(len(setup.operations))
    ]
    over = f" over {length_text(round(grip.length_mm, 2), inch)}" if grip.length_mm else ""
    size = f"{across_text(setup, report.stock, inch)} {'in' if inch else 'mm'}"
    place = ""
    if grip.kind != RAW_BAR:
        place = f", z {span_text(grip.z_mm, inch)}"
    held = ""
    if grip.kind != RAW_BAR:
        held = held_text(report, setup) + still_round_text(report, setup)
        held += let_in_text(profile, setup, inch)
    support = _support(setup) + follow_rest_text(setup, inch)
    surfaces = _surfaces(report, shop, setup, known)
    return SetupSheet(
        setup=setup,
        title=f"Setup {setup.order}: {setup.toward_chuck} end to the chuck",
        hold=f"{grip.kind}, {size}{over}{in_text(setup)}{place}{held}{support}",
        datum=setup.datum.why,
        steps=_with_threads(
            [
                _step(
                    n,
                    operation,
                    value,
                    where_text(setup, operation, surfaces, inch)
                    + point_text(operation, setup, shop, profile, inch)
                    + as_drilled_text(report, operation)
                    + sideways_text(setup, operation, surfaces, shop.tools)
                    + centre_text(report, setup, operation),
                    ". ".join(
                        filter(None, (firsts[n - 1], led_in(setup, n, value, profile, inch)))
                    ),
                    shop.tools,
                    inch,
                )
                for n, (operation, value) in enumerate(
                    zip(setup.operations, values, strict=True), start=1
                )
            ],
            thread_steps(report, shop, setup, material, lathe, carried),
        ),
        measure=tuple(measure_lines(report, setup, known)),
        cautions=(
            *([caution] if caution else []),
            *bar_lines(setup, piece, values, material, lathe, inch),
            *caution_lines(report, shop, setup),
        ),
        threads=tuple(thread_lines(report, shop, setup)),
        tapers=tuple(taper_lines(report, setup, lathe)),
        then=taken_off(report, shop, setup),
    )


def _with_threads(steps: Sequence[Step], threads: Sequence[ThreadStep]) -> tuple[Step, ...]:
    """The operations keep their numbers, which the drawing shows too; threads follow as 5a, 5b."""
    made: list[Step] = []
    for n, step in enumerate((None, *steps)):
        made += [] if step is None else [step]
        for letter, one in zip(ascii_lowercase, (t for t in threads if t.after == n), strict=False):
            made.append(Step(f"{n}{letter}", "thread", one.tool, one.where, "", one.run, one.first))
    return tuple(made)


def _support(setup: Setup) -> str:
    """What carries the free end, the most first, and for how long."""
    if setup.support == "none":
        return ""
    named = [setup.support]
    if setup.support != "steady" and any(o.support == "steady" for o in setup.operations):
        named.append("steady")
    carried = {o.kind for o in setup.operations if o.support != "none"}
    kinds = {o.kind for o in setup.operations} - carried - {"face", "part off"}
    part = ", but for " + " and ".join(sorted(kinds)) if kinds else ""
    return f"; support: {', then '.join(named)}{part}"


def _surfaces(report: Report, shop: Shop, setup: Setup, known: Mapping[str, Segment]) -> Surfaces:
    assert report.part.profile is not None

    def cut(setups: Sequence[Setup]) -> dict[str, int]:
        """Surfaces cut in these, with the number of the first that cuts them."""
        return {
            s: one.order
            for one in reversed(setups)
            for o in one.operations
            if o.kind != "part off"
            for s in o.segments
        }

    return Surfaces(
        known,
        earlier=frozenset(cut(report.setups[: setup.order - 1])),
        later=cut(report.setups[setup.order :]),
        stays=stays_uncut(report),
        swept=swept_segments(report.part.profile, report.part.departures),
        ground={**ground_texts(report), **straight_texts(report)},
        leave=leave_text(report, shop, setup),
    )


def _step(
    number: int,
    operation: Operation,
    value: Values | None,
    where: str,
    first: str,
    tools: Sequence[Tool],
    inch: bool,
) -> Step:
    sinks = operation.kind == "drill" and any(
        t.name == operation.tool and t.kind == COUNTERSINK for t in tools
    )
    return Step(
        str(number),
        "countersink" if sinks else operation.kind,
        operation.tool,
        where,
        "" if value is None or value.rough is None else _pass(value.rough, inch),
        ""
        if value is None or operation.only_roughs
        else _pass(value.finish, inch, operation.kind) + _times_text(value),
        first,
    )


def _times_text(value: Values) -> str:
    """Why a finish is no usual one."""
    if value.operation.one_pass:
        return ": all in one pass, from the free end on, so that the full bar backs each place"
    return "" if value.times == 1 else ": twice, for the work would bend under a heavier last pass"


def _pass(one: Pass, inch: bool, kind: str = "turn") -> str:
    """Depth, feed, speed with what holds it down."""
    depth = f"{length_text(round(one.depth_mm, 3), inch)} deep, "
    if kind in ("drill", "ream", "groove", "end groove", "part off"):
        depth = ""
    feed = one.feed_mm / MM_PER_INCH if inch else one.feed_mm
    unit = "in" if inch else "mm"
    return f"{depth}{mm_text(feed, 4 if inch else 3)} {unit} a turn, {speed_text(one.speed, inch)}"
