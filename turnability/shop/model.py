"""The types that the room `shop` hands up: tools as outlines, holding, machines, stock sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from turnability.cited import Cited
from turnability.half_plane.curves import Ring

Access: TypeAlias = Literal["outer", "inner", "end"]
Hand: TypeAlias = Literal["right", "left", "neutral"]
Cause: TypeAlias = Literal[
    "nose-radius",
    "trailing-edge",
    "blade-width",
    "blade-depth",
    "holder",
    "entry-bore",
    "opposite-wall",
    "recess-depth",
    "bar-length",
    "drill-length",
    "face-groove-curve",
    "hand",
    "no-tool",
    "jaws",
]

HoldingKind: TypeAlias = Literal[
    "three-jaw",
    "four-jaw",
    "soft-jaws",
    "collet",
    "mandrel",
    "between-centres",
    "bolt-arbor",
    "glued-arbor",
]


@dataclass(frozen=True, slots=True)
class Below:
    """What of a body stands at a height (mm) below its edge, in the plane at that height.

    Rings (z, x) about the programmed point like those of the body, x being measured along r as it
    runs through the edge. Nothing turned is wider there, so bodies as thin as the half plane shows
    them need none; a blade that is curved round the axis does. Heights between those at which it
    meets stock that still stands may be asked of the part alone (`part_only`): what stands of stock
    beside them goes in rounds as deep as the least of them stands back.
    """

    height_mm: float
    body: tuple[Ring, ...]
    part_only: bool = False


@dataclass(frozen=True, slots=True)
class Outlines:
    """A tool's two outlines about its programmed point at (0, 0), +z away from the chuck.

    `cutting` may touch stock, `body` may touch nothing. Rings run anticlockwise and may be
    concave; a side may be several rings. The body's edge at greatest r (access `outer`) or
    greatest z (`inner`, `end`) goes on without end that way. Drawn for a part held at its low end.
    """

    cutting: tuple[Ring, ...]
    body: tuple[Ring, ...]
    below: tuple[Below, ...] = ()


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The same tool with one constraint taken away: is that constraint the cause?

    `parameter`, `value`, `unit` say what stands there now (nose_radius_mm, 0.8, mm), null where
    the constraint has no number.
    """

    cause: Cause
    outlines: Outlines
    parameter: str | None = None
    value: float | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Tool:
    """One tool of the shop.

    `kind` names its file in `shop/tools/` ("outline" for a bare outline), `designation` what is
    engraved on it, `weight` how dear it is to choose it (sturdy and ordinary low, pointed and
    special high). `limits` are the numbers people see; `sources`, by the same keys, has those that
    stem from a table. The others come from the shop file or from geometry. `fit` is the class of
    hole that a reamer is ground for.
    """

    name: str
    kind: str
    access: Access
    on_axis: bool
    hand: Hand
    outlines: Outlines
    designation: str | None = None
    weight: float = 1.0
    relaxations: tuple[Relaxation, ...] = ()
    limits: Mapping[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    sources: Mapping[str, Cited] = field(default_factory=dict)
    fit: str | None = None


@dataclass(frozen=True, slots=True)
class Holding:
    """A chuck, collet set or arbor: what it grips (diameters in mm), how long a land it asks for.

    `collets_mm` are the ranges of a set's single collets, where it is not closed without gaps;
    `jaw_length_mm` is how far along the axis its jaws grip, None where the shop file does not say.
    """

    name: str
    kind: HoldingKind
    outside_mm: tuple[float, float] | None
    inside_mm: tuple[float, float] | None
    least_grip_mm: float
    least_grip_per_diameter: float
    jaw_standoff_mm: float
    runout: Cited | None = None
    max_rpm: float | None = None
    collets_mm: tuple[tuple[float, float], ...] = ()
    jaw_length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Machine:
    """One lathe. Lengths and diameters in mm; None where the shop file does not say."""

    name: str
    control: Literal["manual", "cnc"]
    swing_mm: float | None
    swing_over_cross_slide_mm: float | None
    between_centres_mm: float | None
    spindle_bore_mm: float | None
    bar_capacity_mm: float | None
    max_rpm: float | None
    power_kw: float | None
    tailstock: bool
    steady: bool
    follow_rest: bool = False
    topslide_travel_mm: float | None = None


@dataclass(frozen=True, slots=True)
class StockSize:
    """One size the shop keeps or buys; `across_mm` is the outside, `inner_diameter_mm` a tube's.

    `material` is None where the list does not say: then it is kept in every material. `allowance`
    is this stock's own, before the policy's; `eccentricity_mm` how far a tube's bore may lie off
    its outside; `bar_length_mm` how long it is delivered; `price_per_kg` in the shop's currency.
    """

    form: Literal["bar", "tube", "hex", "pipe"]
    name: str
    across_mm: float
    inner_diameter_mm: float | None = None
    source: str | None = None
    material: str | None = None
    finish: Literal["bright", "hot-rolled"] | None = None
    allowance: Cited | None = None
    eccentricity_mm: float = 0.0
    bar_length_mm: float | None = None
    price_per_kg: float | None = None


@dataclass(frozen=True, slots=True)
class StockPolicy:
    """How much larger than the part its stock must be.

    `bore_allowance` is by how much a tube's bore must be smaller; None for the same as outside.
    `unstated` names the fields that the shop file leaves to common practice.
    """

    diameter_allowance: Cited
    end_allowance_mm: float
    parting_width_mm: float
    density_kg_per_mm3: float | None
    material: str | None
    bore_allowance: Cited | None = None
    unstated: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Rates:
    """What work costs here, in `currency`; None where the shop file does not say.

    `machine_per_hour` is the price of an hour at the lathe with whoever stands there,
    `programming_per_hour` that of preparing the work, `material_per_kg` that of stock.
    """

    currency: str
    machine_per_hour: float | None
    programming_per_hour: float | None
    material_per_kg: float | None
    source: str | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """A whole shop file. Without holdings, machines and stock only reach is judged.

    `thread_tools` (taps, dies, threading inserts) cut threads alone. They are kept apart from the
    `tools` that make surfaces, for a profile has a thread's crests only, and reach must not take
    them for drills or turning tools.
    """

    name: str
    sha256: str
    inch: bool
    tools: tuple[Tool, ...]
    holdings: tuple[Holding, ...] = ()
    machines: tuple[Machine, ...] = ()
    stock: tuple[StockSize, ...] = ()
    stock_policy: StockPolicy | None = None
    thread_tools: tuple[Tool, ...] = ()
    rates: Rates | None = None
