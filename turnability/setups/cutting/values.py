"""What to set at the lathe for each operation of a setup: starting values with what limits them."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from turnability.intent.model import Intent
from turnability.part.model import Profile, Segment
from turnability.setups.cutting.depths import grip_share
from turnability.setups.cutting.forces import WEAR, Cut, main_force_n, power_kw
from turnability.setups.cutting.passes import Passes, passes_of
from turnability.setups.cutting.speeds import Speed, cutting_speed_m_per_min, highest_speed
from turnability.setups.cutting.standing import largest_mm, standing_mm
from turnability.setups.cutting.starting import (
    BLADE_FEED,
    PILOT_OVER,
    PILOT_SHARE,
    drill_feed_mm,
    ream_feed_mm,
)
from turnability.setups.cutting.threads import Carried
from turnability.setups.cutting.whip import critical_rpm
from turnability.setups.holding.free import (
    speed_share,
    standing_out,
    stands_free,
)
from turnability.setups.holding.grips import holding_of
from turnability.setups.model import ROUGH, Operation, Setup
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Shop, Tool
from turnability.shop.told_apart import COUNTERSINK, diameter_of, is_twist
from turnability.stock.model import Stock, raw_circle_mm

_ALONG = ("drill", "ream")
"""What pushes along the axis."""
HALF_POINT_DEG = 59.0
"""Half the point of a common twist drill."""


@dataclass(frozen=True, slots=True)
class Pass:
    """Depth a side, feed a turn, speed, main force of a worn edge and power at the motor."""

    depth_mm: float
    feed_mm: float
    speed: Speed
    force_n: float
    power_kw: float


@dataclass(frozen=True, slots=True)
class Values:
    """Starting values of one operation; `rough` is None where nothing is roughed.

    `diameter_mm` is the largest that runs past the tool, for which the speeds are. Drills have
    one pass, as wide as half their diameter, its force as if at their rim; reamers one of what is
    left to them a side; `pilot_mm` is the hole
    that is to be drilled before. Where another tool roughs, both passes are its own.
    """

    operation: Operation
    diameter_mm: float
    rough: Pass | None
    finish: Pass
    pilot_mm: float | None = None
    into_full: bool = False
    """Whether a pointed drill begins in the full, where a centre drill leads it in."""
    pointed: bool = False
    """Whether it is a twist drill."""
    times: int = 1
    """How often the finish is taken, each time as deep."""


def values_of(
    profile: Profile,
    setup: Setup,
    stock: Stock | None,
    shop: Shop,
    material: Material,
    lathe: Machine | None,
    intent: Intent | None = None,
    before: Sequence[Setup] = (),
) -> tuple[Values, ...]:
    """Starting values of a setup's operations, in their order; `before` are the setups before.

    On a short grip what pushes across the axis runs slower than usual. A drill or a reamer pushes
    along it, back into the jaws: it turns the work no faster than that, at its usual speed else.
    """
    by_id = {segment.id: segment for segment in profile.segments}
    holding = holding_of(setup, shop)
    circle = raw_circle_mm(stock, profile.max_diameter_mm)
    plate = holding.max_rpm if holding is not None else None
    earlier = {s for one in before for o in one.operations for s in o.segments}
    taken = passes_of(profile, setup, stock, shop, material, lathe, intent, before)
    far, drawn = standing_out(profile, setup, stock, shop, lathe, before)
    free = stands_free(far, drawn)
    gripped = grip_share(setup, holding)
    made: dict[int, Values] = {}
    numbers = range(len(setup.operations))
    for n in sorted(numbers, key=lambda n: setup.operations[n].kind in _ALONG):
        o, cuts = setup.operations[n], taken[n]
        here = {s for done in setup.operations[:n] for s in done.segments}
        own = [by_id[s] for s in o.segments or o.leaves if s in by_id]
        cut = here if o.kind == "face" else here | earlier
        meets = _meets_mm(profile, own, o, cuts.tool, cut, circle)
        whips = None if n in drawn else _critical_rpm(setup, o)
        turns = _fastest_rpm(made.values()) if gripped < 1.0 and o.kind in _ALONG else None
        share = gripped if turns is None else 1.0
        limits = _Limits(material, lathe, plate, whips, speed_share(free[n]), share, turns)
        made[n] = _values(o, own, cuts, (circle, meets), limits)
    return tuple(made[n] for n in numbers)


def _fastest_rpm(made: Iterable[Values]) -> float | None:
    """The fastest that those that push across the axis turn the work; None where none does."""
    across = [one for one in made if one.operation.kind not in _ALONG]
    passes = [p for one in across for p in (one.rough, one.finish) if p is not None]
    return max((one.speed.rpm for one in passes), default=None)


def carried_in(setup: Setup, number: int, shop: Shop, free: float, drawn: bool) -> Carried:
    """What holds a thread's speed down when it is cut as the work is held in this operation.

    `free` are the diameters that stand free then, `drawn` whether it is drawn into the spindle.
    """
    holding = holding_of(setup, shop)
    return Carried(
        None if holding is None else holding.max_rpm,
        None if drawn else _critical_rpm(setup, setup.operations[number]),
        speed_share(free),
        grip_share(setup, holding),
    )


def _meets_mm(
    profile: Profile,
    own: Sequence[Segment],
    operation: Operation,
    tool: Tool | None,
    cut: Collection[str],
    size_mm: float,
) -> float:
    if tool is not None and tool.access == "inner":
        return largest_mm(own) or size_mm
    return standing_mm(profile, own, operation.kind, cut, size_mm)


def _critical_rpm(setup: Setup, operation: Operation) -> float | None:
    """Where the work begins to whip, as it is carried during this operation."""
    bending = setup.bending
    if bending is None:
        return None
    free = operation.support == "none" and setup.support != "none"
    return bending.critical_free_rpm if free else bending.critical_rpm


@dataclass(frozen=True, slots=True)
class _Limits:
    """What holds a speed down in this setup."""

    material: Material
    lathe: Machine | None
    chuck_rpm: float | None
    critical_rpm: float | None
    share: float = 1.0
    """Of the usual speed, where long work stands free."""
    grip_share: float = 1.0
    """The same where little is gripped."""
    grip_rpm: float | None = None
    """As fast as others turn it there."""

    def run(self, kind: str, diameter_mm: float, cut: Cut, width_mm: float | None = None) -> Pass:
        """One pass at the highest speed that nothing forbids and the lathe has power for."""
        force = WEAR.value * (
            main_force_n(self.material, cut)
            if width_mm is None
            else self.material.kc11.value * width_mm * cut.feed_mm ** (1.0 - self.material.mc.value)
        )
        return self._run(kind, diameter_mm, cut, force)

    def _run(self, kind: str, diameter_mm: float, cut: Cut, force: float) -> Pass:
        lathe = self.lathe
        speed = highest_speed(
            cutting_speed_m_per_min(self.material, kind),
            diameter_mm,
            lathe.max_rpm if lathe is not None else None,
            self.chuck_rpm,
            self.critical_rpm,
            self.share,
            self.grip_share,
            self.grip_rpm,
        )
        needed = power_kw(force, speed.cutting_m_per_min)
        power = lathe.power_kw if lathe is not None else None
        if power and needed > power:
            share = power / needed
            speed = Speed(share * speed.rpm, share * speed.cutting_m_per_min, "power")
            needed = power
        return Pass(cut.depth_mm, cut.feed_mm, speed, force, needed)

    def drilled(self, diameter_mm: float, hole_mm: float = 0.0, kind: str = "drill") -> Pass:
        """A drill's run in a hole that stands already; where power is short its speed gives way.

        Both lips take chips of half the feed; their force acts at the middle of the ring that they
        cut, so that from the solid P = kc f v d / 240000 (handbooks, from memory).
        """
        feed = drill_feed_mm(diameter_mm)
        chip = feed / 2.0 * math.sin(math.radians(HALF_POINT_DEG))
        # as if at the rim: area f (d - p) / 2 at the radius (d + p) / 4, over d / 2
        width = (diameter_mm**2 - hole_mm**2) / (4.0 * diameter_mm)
        kc = self.material.kc11.value * chip**-self.material.mc.value
        cut = Cut(diameter_mm / 2.0, feed, 90.0, 0.0)
        return self._run(kind, diameter_mm, cut, WEAR.value * kc * width * feed)

    def reamed(self, diameter_mm: float, hole_mm: float) -> Pass:
        """A reamer's run through its hole: it takes what that is narrower, at its rim."""
        depth, feed = (diameter_mm - hole_mm) / 2.0, ream_feed_mm(diameter_mm)
        cut = Cut(depth, feed, 45.0, 0.0)
        return self._run("reamer", diameter_mm, cut, WEAR.value * main_force_n(self.material, cut))


def _values(
    operation: Operation,
    segments: Sequence[Segment],
    taken: Passes,
    past_mm: tuple[float, float],
    limits: _Limits,
) -> Values:
    """`past_mm`: what runs past the tool, the blank and then what the finish meets."""
    tool = taken.tool
    kind = tool.kind if tool is not None else operation.kind
    size, meets = past_mm
    own, hole = largest_mm(segments), taken.hole_mm
    if operation.kind == "drill":
        diameter = tool.limits.get("diameter_mm", own) if tool is not None else own
        diameter = diameter or own or size / 4.0
        pilot = None
        if tool is not None and is_twist(tool) and not (taken.led or 0.0 < hole < diameter):
            pilot = PILOT_SHARE.value * diameter if diameter > PILOT_OVER.value else None
        twist = tool is not None and is_twist(tool)
        full = twist and not hole and not taken.led
        hole = (hole if hole < diameter else 0.0) if pilot is None else pilot
        sinks = "countersink" if tool is not None and tool.kind == COUNTERSINK else "drill"
        return Values(
            operation, diameter, None, limits.drilled(diameter, hole, sinks), pilot, full, twist
        )
    if operation.kind == "ream":
        diameter = diameter_of(tool) if tool is not None else own
        return Values(operation, diameter, None, limits.reamed(diameter, hole))
    if operation.kind in ("groove", "end groove", "part off"):
        width = tool.limits.get("width_mm", 3.0) if tool is not None else 3.0
        diameter = size if operation.kind == "part off" else meets
        cut = Cut(width, BLADE_FEED.value, 90.0, 0.0)
        return Values(operation, diameter, None, limits.run("grooving", diameter, cut, width))
    if operation.only_roughs:
        past = size if operation.kind == ROUGH else meets
        whole = limits.run(kind, past, taken.finish)
        return Values(operation, past, whole, whole)
    first = size if operation.kind == "turn" and not taken.roughed else meets
    rough = None if taken.rough is None else limits.run(kind, first, taken.rough)
    # the finish of what nobody here has roughed meets the blank
    unroughed = rough is None and not taken.roughed
    finish = limits.run(kind, first if unroughed else meets, taken.finish)
    return Values(operation, first, rough, finish, times=taken.times)


def bar_behind_mm(rpm: float, size_mm: float, bore_mm: float, material: Material) -> float:
    """Length in mm that bar may stick out behind the spindle, unsupported, at this speed.

    So that the speed stays at half of the first critical one of an overhanging bar.
    """
    at_one = critical_rpm(
        size_mm,
        1.0,
        "overhanging",
        e=material.e.value,
        density_kg_per_mm3=material.density_kg_per_mm3,
        bore_mm=bore_mm,
    )
    return math.sqrt(at_one / (2.0 * rpm))
