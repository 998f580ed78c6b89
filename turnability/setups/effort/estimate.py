"""Minutes and money as an honest estimate with its parts, to compare two versions of a part.

Every rate is common practice without a source and stands in `rates`; a shop that states its prices
(`[rates]` in the shop file) is told money too. Absolute numbers are rough: no quotation.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Curve, Line
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.reach.model import Reach
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.cutting.values import Values, values_of
from turnability.setups.effort.chips import removed_mm3
from turnability.setups.effort.model import Effort, EffortPart, Money
from turnability.setups.effort.rates import ORDINARY_GRADE, RATES, thread_minutes, tolerance_minutes
from turnability.setups.model import SetOver, Setup
from turnability.setups.set_over.offset_cuts import minutes_of
from turnability.setups.set_over.tapers import set_over_tapers
from turnability.shop.materials import Material, material_of
from turnability.shop.model import Machine, Shop
from turnability.stock.model import Stock, StockPiece, raw_across_mm
from turnability.units import counted

_SAME_MM = 1e-3
BASIS = (
    "common practice without a source, from memory: to compare two versions of a part, no quotation"
)


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """What the parts of the estimate look at."""

    part: Part
    profile: Profile
    setups: Sequence[Setup]
    stock: Stock | None
    shop: Shop
    material: Material
    lathe: Machine | None
    features: Sequence[Feature]
    reach: Reach | None
    intent: Intent | None
    set_over: Sequence[SetOver] = ()

    @property
    def piece(self) -> StockPiece | None:
        return self.stock.choice if self.stock is not None else None


def effort_of(
    part: Part,
    setups: Sequence[Setup] | None,
    stock: Stock | None,
    shop: Shop,
    features: Sequence[Feature] = (),
    reach: Reach | None = None,
    intent: Intent | None = None,
    made_for: str | None = None,
    set_over: Sequence[SetOver] = (),
) -> Effort | None:
    """What the plan takes on the lathe that it is made for; None where there is nothing to tell.

    That is without a plan, a profile or a known material. Chuckings `set_over` count as well.
    """
    chosen, profile = material_of(shop), part.profile
    if profile is None or not setups or chosen is None:
        return None
    size = raw_across_mm(stock, profile.max_diameter_mm)
    cnc = reach is not None and bool(reach.cnc_only_segments)
    lathe = lathe_for(shop, size, cnc, made_for)
    material = chosen.material
    job = _Job(
        part, profile, setups, stock, shop, material, lathe, features, reach, intent, set_over
    )
    parts = tuple(
        found
        for kind in (
            _ready,
            _preparing,
            _loading,
            _set_over_tapers,
            _cutting,
            _threads,
            _tolerances,
            _ground,
        )
        for found in kind(job)
    )
    quantity = intent.quantity if intent is not None and intent.quantity else 1
    once = sum(p.minutes for p in parts if p.per == "order")
    each = sum(p.minutes for p in parts if p.per == "piece")
    return Effort(
        quantity=quantity,
        lathe=lathe.name if lathe is not None else None,
        parts=parts,
        minutes_once=once,
        minutes_each=each,
        minutes_per_piece=once / quantity + each,
        money=_money(job, parts, quantity),
        basis=BASIS,
    )


def _ready(job: _Job) -> Iterator[EffortPart]:
    n = len(job.setups) + len(job.set_over)
    yield EffortPart(
        "setups", n * RATES["setup"].value, "order", f"{n} to make ready: chuck, stops, datums"
    )
    tools = {o.tool for setup in job.setups for o in setup.operations} | _offset_tools(job.set_over)
    yield EffortPart(
        "tools", len(tools) * RATES["tool"].value, "order", f"{len(tools)} to set and measure"
    )


def _preparing(job: _Job) -> Iterator[EffortPart]:
    if job.lathe is None or job.lathe.control != "cnc":
        yield EffortPart(
            "preparing", RATES["read"].value, "order", "reading the drawing, for manual work"
        )
        return
    chuckings = len(job.setups) + len(job.set_over)
    tools = sum(len({o.tool for o in setup.operations}) for setup in job.setups)
    tools += sum(len(_offset_tools([one])) for one in job.set_over)
    kinds = Counter(_surfaces(job))
    kinds["straight"] += sum(len(one.cuts) for one in job.set_over)
    minutes = (
        RATES["program"].value
        + chuckings * RATES["program chucking"].value
        + tools * RATES["program tool"].value
        + sum(many * RATES[kind].value for kind, many in kinds.items())
    )
    why = f"program of {counted(chuckings, 'chucking')}, {counted(tools, 'tool')} in them and "
    why += counted(kinds.total(), "surface")
    bent = [counted(kinds[kind], kind) for kind in ("arc", "curve") if kinds[kind]]
    yield EffortPart("programming", minutes, "order", why + ", ".join(["", *bent]))


def _surfaces(job: _Job) -> Iterator[str]:
    """The kind of each surface that an operation finishes or helps to, as it is programmed.

    What only roughs goes along the same surfaces once more, offset.
    """
    known = {s.id: s.curve for s in job.profile.segments}
    for setup in job.setups:
        for operation in setup.operations:
            if operation.only_roughs:
                continue
            for s in operation.segments:
                if s in known:
                    yield _kind_of(known[s])


def _kind_of(curve: Curve) -> str:
    if isinstance(curve, Arc):
        return "arc"
    if not isinstance(curve, Line):
        return "curve"
    (z0, r0), (z1, r1) = curve.start, curve.end
    return "straight" if min(abs(z1 - z0), abs(r1 - r0)) <= _SAME_MM else "sloped"


def _loading(job: _Job) -> Iterator[EffortPart]:
    n = len(job.setups) + len(job.set_over)
    yield EffortPart("loading", n * RATES["loading"].value, "piece", counted(n, "chucking"))
    if job.set_over:
        many = len(job.set_over)
        why = f"{counted(many, 'chucking')} set over by a dial"
        yield EffortPart("setting over", many * RATES["set over"].value, "piece", why)
    changes = sum(len({o.tool for o in setup.operations}) for setup in job.setups)
    changes += sum(len(_offset_tools([one])) for one in job.set_over)
    yield EffortPart(
        "tool changes", changes * RATES["change"].value, "piece", counted(changes, "change")
    )


def _cutting(job: _Job) -> Iterator[EffortPart]:
    values = [
        v
        for n, setup in enumerate(job.setups)
        for v in values_of(
            job.profile,
            setup,
            job.stock,
            job.shop,
            job.material,
            job.lathe,
            job.intent,
            job.setups[:n],
        )
    ]
    removed = removed_mm3(job.profile, job.setups, job.stock, job.shop, job.reach)
    rates = [_per_minute_mm3(v) for v in values if v.rough is not None]
    roughing = removed / max(rates) if rates else 0.0
    shared = Counter(s for v in values for s in v.operation.segments)
    finishing = sum(_finishing_min(job.profile, v, shared) for v in values)
    finishing += sum(minutes_of(cut) for one in job.set_over for cut in one.cuts)
    yield EffortPart(
        "cutting",
        RATES["air"].value * (roughing + finishing),
        "piece",
        f"{removed / 1000.0:.1f} cm³ of {job.material.name} to chips and every surface once more, "
        "as long again beside the cut",
    )


def _set_over_tapers(job: _Job) -> Iterator[EffortPart]:
    """Tapers too long for the topslide: one more chucking each, the tailstock set over for it."""
    many = len(set_over_tapers(job.profile, job.setups, job.features, job.lathe, job.intent))
    if many:
        why = f"{counted(many, 'chucking')} between centres, the tailstock set over for a taper"
        once = RATES["setup"].value + RATES["tailstock"].value
        yield EffortPart("tailstock set over", many * once, "order", why)
        each = RATES["loading"].value
        yield EffortPart("tailstock set over", many * each, "piece", why)


def _offset_tools(chuckings: Sequence[SetOver]) -> set[str]:
    return {tool for one in chuckings for cut in one.cuts for tool in cut.tools}


def _threads(job: _Job) -> Iterator[EffortPart]:
    threads = [f for f in job.features if f.kind == "thread"]
    if threads:
        minutes = sum(thread_minutes(f.surface == "inner", f.diameter_mm[1]) for f in threads)
        doubtful = sum(1 for f in threads if f.only_drawn)
        only = f", of which {doubtful} only by its diameter and relief" if doubtful else ""
        yield EffortPart("threads", minutes, "piece", f"{len(threads)} to cut and gauge{only}")


def _tolerances(job: _Job) -> Iterator[EffortPart]:
    widths = [
        (t.width_mm, t.nominal_mm)
        for t in (job.intent.tolerances if job.intent is not None else ())
        if t.width_mm is not None
    ]
    widths += [
        (size.largest - size.least, size.nominal)
        for size in job.part.stated.sizes
        if size.unit == "mm" and size.least is not None and size.largest is not None
    ]
    first = [tolerance_minutes(width, nominal) for width, nominal in widths if width > 0.0]
    minutes, again = sum(first), RATES["again"].value
    if minutes > 0.0:
        sizes = counted(sum(1 for one in first if one > 0.0), "size")
        finer = f"{sizes} finer than IT{ORDINARY_GRADE}"
        yield EffortPart(
            "tolerances", minutes * (1.0 - again), "order", f"{finer} to approach on the first"
        )
        yield EffortPart("tolerances", minutes * again, "piece", f"{finer} to measure")


def _ground(job: _Job) -> Iterator[EffortPart]:
    """What is finished on another machine; lapping is a second operation after grinding."""
    found = job.intent.ground if job.intent is not None else ()
    times = [2 if one.by == "lapping" else 1 for one in found]
    settings = {(one.by, one.surface): n for one, n in zip(found, times, strict=True)}
    if found:
        what = f"{counted(len(found), 'surface')} on another machine, at the rate of the lathe"
        once, each = (RATES[key].value for key in ("grinding", "ground"))
        yield EffortPart("grinding", sum(settings.values()) * once, "order", what)
        yield EffortPart("grinding", sum(times) * each, "piece", what)


def _per_minute_mm3(values: Values) -> float:
    rough = values.rough
    assert rough is not None
    return rough.depth_mm * rough.feed_mm * rough.speed.cutting_m_per_min * 1000.0


def _finishing_min(profile: Profile, values: Values, shared: Mapping[str, int]) -> float:
    """Every surface of an operation at its feed, at one speed; what `shared` others cut, in parts.

    A cylinder turned on either side of a steady, or a ball from either hand, is travelled once.
    """
    own = set(values.operation.segments)
    lengths = {
        s.id: s.curve.length() / max(1, shared[s.id]) for s in profile.segments if s.id in own
    }
    travel = sum(lengths.get(s, 0.0) for s in values.operation.segments)
    if values.operation.kind == "part off":
        travel = max(travel, values.diameter_mm / 2.0)
    return values.times * travel / (values.finish.feed_mm * values.finish.speed.rpm)


def _money(job: _Job, parts: Sequence[EffortPart], quantity: int) -> Money | None:
    rates = job.shop.rates
    if rates is None or rates.machine_per_hour is None:
        return None
    planning = rates.programming_per_hour
    work = 0.0
    for part in parts:
        prepares = part.what in ("programming", "preparing") and planning is not None
        hour = planning if prepares and planning is not None else rates.machine_per_hour
        work += part.minutes / 60.0 * hour / (quantity if part.per == "order" else 1)
    return Money(rates.currency, work, None if job.piece is None else job.piece.cost)
