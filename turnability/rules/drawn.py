"""Small drawn parts and a tiny drawn shop, in which every rule shows what it finds.

An example's stages stand as drawn: they show a rule at work and prove nothing about reach.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.features.model import Feature
from turnability.half_plane.curves import Point, line_ring
from turnability.intent.model import Intent
from turnability.intent.settle import settled
from turnability.part.model import Departure, Face, Part, Profile, Source, Symmetry
from turnability.part.profile import drawn_profile
from turnability.reach.model import Left, Needed, Reach
from turnability.rules.model import Level, View
from turnability.setups.holding.lands import find_lands
from turnability.setups.model import Datum, Grip, Plan, Setup, SetupLeft
from turnability.setups.set_over.eccentrics import set_overs_of
from turnability.shop.model import (
    Cause,
    Holding,
    Machine,
    Outlines,
    Relaxation,
    Shop,
    StockPolicy,
    StockSize,
    Tool,
)
from turnability.stock.choose import choose_stock


@dataclass(frozen=True, slots=True)
class Example:
    """A drawn part, and the levels a rule reports on it (none: it passes)."""

    text: str
    view: Callable[[], View]
    levels: tuple[Level, ...] = ()


DRAWN_SOURCE = Source(
    path=None,
    sha256=None,
    product="drawn",
    solid=1,
    solids=1,
    length_unit="mm",
    step_schema=None,
    originating_system=None,
)
PIN: tuple[Point, ...] = ((0, 0), (30, 0), (30, 8), (18, 8), (18, 11), (0, 11))
"""A plain stepped pin: 12 mm of diameter 22, then 18 mm of diameter 16."""
HEADS: tuple[Point, ...] = (
    (0, 0), (30, 0), (30, 11), (22, 11), (22, 6), (8, 6), (8, 11), (0, 11)
)  # fmt: skip
"""A neck of 14 mm and diameter 12 between two heads of 8 mm and diameter 22."""


def drawn_shop(
    bars_mm: Iterable[float] = (20, 25, 30, 40, 50, 60),
    holdings: tuple[Holding, ...] | None = None,
    machines: tuple[Machine, ...] | None = None,
    tools: tuple[Tool, ...] | None = None,
    inch: bool = False,
) -> Shop:
    """A shop of one turning tool, one boring bar, one chuck, one lathe and a few bright bars."""
    return Shop(
        name="drawn",
        sha256="0" * 64,
        inch=inch,
        tools=(TURNING_TOOL, BORING_BAR) if tools is None else tools,
        holdings=(CHUCK,) if holdings is None else holdings,
        machines=(LATHE,) if machines is None else machines,
        stock=tuple(StockSize("bar", f"round {d:g}", float(d)) for d in bars_mm),
        stock_policy=StockPolicy(
            diameter_allowance=Cited(1.27, "mm", "common practice", "bright bar", verified=False),
            end_allowance_mm=1.0,
            parting_width_mm=3.0,
            density_kg_per_mm3=7.85e-6,
            material="steel",
        ),
    )


_POINT = Outlines(
    cutting=(line_ring([(0, 0), (4, 4), (0, 4)]),),
    body=(line_ring([(0, 4), (20, 4), (20, 60), (0, 60)]),),
)
TURNING_TOOL = Tool(
    name="turning tool",
    kind="outline",
    access="outer",
    on_axis=False,
    hand="right",
    outlines=_POINT,
    relaxations=(Relaxation("nose-radius", _POINT, "nose_radius_mm", 0.4, "mm"),),
    limits={"nose_radius_mm": 0.4},
)
BORING_BAR = Tool(
    name="bar 8",
    kind="outline",
    access="inner",
    on_axis=False,
    hand="right",
    outlines=Outlines(
        cutting=(line_ring([(0, 0), (0, -3), (4, -3)]),),
        body=(line_ring([(0, -10), (80, -10), (80, -2), (0, -2)]),),
    ),
    limits={"bar_diameter_mm": 8.0, "f_mm": 6.0, "min_bore_mm": 10.0},
)
CHUCK = Holding(
    name="three-jaw chuck",
    kind="three-jaw",
    outside_mm=(3.0, 160.0),
    inside_mm=(40.0, 150.0),
    least_grip_mm=10.0,
    least_grip_per_diameter=0.5,
    jaw_standoff_mm=2.0,
)
LATHE = Machine(
    name="bench lathe",
    control="manual",
    swing_mm=250.0,
    swing_over_cross_slide_mm=150.0,
    between_centres_mm=500.0,
    spindle_bore_mm=26.0,
    bar_capacity_mm=None,
    max_rpm=2500.0,
    power_kw=1.1,
    tailstock=True,
    steady=False,
)


def drawn_part(
    profile: Profile | Sequence[Point] | None,
    departures: tuple[Departure, ...] = (),
    faces: tuple[Face, ...] = (),
    reason: str | None = None,
) -> Part:
    """A part of this profile (or of lines through these corners), read from nowhere."""
    drawn = profile if profile is None or isinstance(profile, Profile) else drawn_profile(profile)
    return Part(
        source=DRAWN_SOURCE,
        axis=None,
        symmetry=Symmetry(1.0 if drawn else 0.0, tuple(d.id for d in departures), reason),
        faces=faces,
        profile=drawn,
        departures=departures,
    )


def drawn_view(
    profile: Profile | Sequence[Point] | None = PIN,
    *,
    shop: Shop | None = None,
    left: tuple[Left, ...] = (),
    features: tuple[Feature, ...] = (),
    setup_left: tuple[SetupLeft, ...] = (),
    setups: tuple[Setup, ...] | None = None,
    part: Part | None = None,
    intent: Intent | None = None,
) -> View:
    """All stages of a drawn part, with the regions that its reach and its plan are to leave.

    `intent` is settled on it here.
    """
    whole = part or drawn_part(profile)
    stands = shop or drawn_shop()
    meant = None if intent is None else settled(intent, whole, stands.inch)
    if whole.profile is None:
        return View(whole, stands, None, None, None, None, None, meant)
    if setups is None:
        bar = Grip("raw bar", "outer", (-15.0, -5.0), whole.profile.max_diameter_mm + 3.0, 10.0)
        setups = (Setup(1, "low", bar, Datum(None, "raw bar"), "none", (), setup_left),)
    return View(
        part=whole,
        shop=stands,
        features=features,
        reach=Reach((), left, (), ()),
        lands=find_lands(whole, () if meant is None else meant.ungripped),
        setups=setups,
        stock=choose_stock(whole.profile, stands, departures=whole.departures),
        intent=meant,
    )


def drawn_set_over(part: Part, four_jaw: bool = True) -> View:
    """A part turned from a bar, its eccentrics set over where the shop has independent jaws."""
    jaws = replace(CHUCK, name="four-jaw 100", kind="four-jaw")
    bar = replace(BORING_BAR, kind="boring", limits={**BORING_BAR.limits, "overhang_mm": 80.0})
    holdings = (CHUCK, jaws) if four_jaw else (CHUCK,)
    shop = drawn_shop(holdings=holdings, tools=(TURNING_TOOL, bar))
    view = drawn_view(part=part, shop=shop)
    assert view.setups is not None
    over = set_overs_of(part, view.lands or (), view.setups, shop, LATHE)
    return replace(view, plan=Plan(view.setups, set_over=over))


def drawn_left(
    segments: tuple[str, ...],
    polygon: Sequence[Point],
    causes: tuple[Cause, ...],
    deepest_mm: float,
    *,
    nearest_tool: str | None = None,
    needed: Needed | None = None,
    volume_mm3: float = 1.0,
) -> Left:
    """A region that no tool removes, as drawn."""
    return Left(
        id="L1",
        segments=segments,
        area_mm2=1.0,
        volume_mm3=volume_mm3,
        polygon=tuple(polygon),
        deepest_mm=deepest_mm,
        causes=causes,
        nearest_tool=nearest_tool,
        needed=needed,
    )
