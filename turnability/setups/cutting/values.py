"""What to set at the lathe for each operation of a setup: starting values with what limits them."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from turnability.intent.model import Intent
from turnability.part.model import Profile, Segment
from turnability.setups.bending.whip import critical_rpm
from turnability.setups.cutting.depths import LEAST_MM, lightened, passes, stands_mm
from turnability.setups.cutting.forces import WEAR, Cut, main_force_n, power_kw
from turnability.setups.cutting.free import free_diameters, speed_share
from turnability.setups.cutting.speeds import Speed, cutting_speed_m_per_min, highest_speed
from turnability.setups.cutting.standing import largest_mm, standing_mm
from turnability.setups.cutting.starting import (
    BLADE_FEED,
    FINISH_DEPTH,
    PILOT_OVER,
    PILOT_SHARE,
    drill_feed_mm,
    finish_cut,
    rough_cut,
    stated_ra_um,
)
from turnability.setups.drilling import diameter_of, is_twist
from turnability.setups.model import Operation, Setup
from turnability.setups.roughing import ROUGH, is_pointed
from turnability.shop.materials import Material
from turnability.shop.model import Machine, Shop, Tool
from turnability.stock.allowance import COMMON_POLICY
from turnability.stock.model import Stock, raw_across_mm

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
    one pass, as wide as half their diameter, its force as if at their rim; `pilot_mm` is the hole
    that is to be drilled before. Where another tool roughs, both passes are its own.
    """

    operation: Operation
    diameter_mm: float
    rough: Pass | None
    finish: Pass
    pilot_mm: float | None = None


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
    """Starting values of a setup's operations, in their order; `before` are the setups before."""
    by_id = {segment.id: segment for segment in profile.segments}
    tools = {tool.name: tool for tool in (*shop.tools, *shop.thread_tools)}
    holding = setup.holding or next((h for h in shop.holdings if h.name == setup.grip.kind), None)
    size = raw_across_mm(stock, profile.max_diameter_mm)
    plate = holding.max_rpm if holding is not None else None
    roughed = {o.tool for o in setup.operations if o.kind == ROUGH}
    earlier = {s for one in before for o in one.operations for s in o.segments}
    allowance = (shop.stock_policy or COMMON_POLICY).end_allowance_mm
    made = []
    for n, o in enumerate(setup.operations):
        here = {s for done in setup.operations[:n] for s in done.segments}
        own = [by_id[s] for s in o.segments if s in by_id]
        cut = here if o.kind == "face" else here | earlier
        meets = _meets_mm(profile, own, o, tools.get(o.tool), cut, size)
        hole = _hole_mm([tools.get(d.tool) for d in setup.operations[:n]], tools.get(o.tool), stock)
        free = free_diameters(profile, setup, n, size, allowance, before)
        limits = _Limits(material, lathe, plate, _critical_rpm(setup, o), speed_share(free))
        over = own
        if o.kind == ROUGH:
            over = [by_id[s] for t in setup.operations if t.kind == "turn" for s in t.segments]
        stands = stands_mm(over, o.kind, size, hole, allowance)
        rough = lightened(rough_cut(material, tools.get(o.tool), lathe), setup, holding)
        cuts = _Cuts(size, meets, hole, stands, rough)
        made.append(_values(o, own, tools.get(o.tool), cuts, limits, intent))
    return tuple(
        replace(v, rough=None)
        if roughed
        and not v.operation.roughs
        and (
            v.operation.over_thin_wall
            or is_pointed(tools.get(v.operation.tool))
            or (v.operation.after_bore and v.operation.tool in roughed)
        )
        else v
        for v in made
    )


def _hole_mm(done: Sequence[Tool | None], tool: Tool | None, stock: Stock | None) -> float:
    """The widest hole that drills of this chucking or a tube leave to this tool; 0 where none."""
    piece = None if stock is None else stock.choice
    holes = [(piece.inner_diameter_mm if piece is not None else None) or 0.0]
    holes += [diameter_of(t) for t in done if t is not None and t.on_axis]
    own = math.inf if tool is None or not tool.on_axis else diameter_of(tool)
    return max((hole for hole in holes if hole < own), default=0.0)


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
        )
        needed = power_kw(force, speed.cutting_m_per_min)
        power = lathe.power_kw if lathe is not None else None
        if power and needed > power:
            share = power / needed
            speed = Speed(share * speed.rpm, share * speed.cutting_m_per_min, "power")
            needed = power
        return Pass(cut.depth_mm, cut.feed_mm, speed, force, needed)

    def drilled(self, diameter_mm: float, hole_mm: float = 0.0) -> Pass:
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
        return self._run("drill", diameter_mm, cut, WEAR.value * kc * width * feed)


@dataclass(frozen=True, slots=True)
class _Cuts:
    """The blank's outside, what runs past the finish, the hole before it, what stands, in mm."""

    size_mm: float
    meets_mm: float
    hole_mm: float
    stands_mm: float
    rough: Cut


def _values(
    operation: Operation,
    segments: Sequence[Segment],
    tool: Tool | None,
    cuts: _Cuts,
    limits: _Limits,
    intent: Intent | None,
) -> Values:
    kind = tool.kind if tool is not None else operation.kind
    own = largest_mm(segments)
    if operation.kind == "drill":
        diameter = tool.limits.get("diameter_mm", own) if tool is not None else own
        diameter = diameter or own or cuts.size_mm / 4.0
        pilot = None
        if tool is not None and is_twist(tool) and not 0.0 < cuts.hole_mm < diameter:
            pilot = PILOT_SHARE.value * diameter if diameter > PILOT_OVER.value else None
        hole = (cuts.hole_mm if cuts.hole_mm < diameter else 0.0) if pilot is None else pilot
        return Values(operation, diameter, None, limits.drilled(diameter, hole), pilot)
    if operation.kind in ("groove", "end groove", "part off"):
        width = tool.limits.get("width_mm", 3.0) if tool is not None else 3.0
        diameter = cuts.size_mm if operation.kind == "part off" else cuts.meets_mm
        cut = Cut(width, BLADE_FEED.value, 90.0, 0.0)
        return Values(operation, diameter, None, limits.run("grooving", diameter, cut, width))
    if operation.kind == ROUGH:
        deep = min(cuts.rough.depth_mm, max(LEAST_MM, cuts.stands_mm - FINISH_DEPTH.value))
        whole = limits.run(kind, cuts.size_mm, replace(cuts.rough, depth_mm=deep))
        return Values(operation, cuts.size_mm, whole, whole)
    ids = [s.id for s in segments]
    finish = finish_cut(limits.material, tool, own or cuts.size_mm, stated_ra_um(ids, intent))
    rough, finish = passes(cuts.rough, finish, cuts.stands_mm)
    first = cuts.size_mm if operation.kind == "turn" else cuts.meets_mm
    return Values(
        operation,
        first,
        None if rough is None else limits.run(kind, first, rough),
        limits.run(kind, first if rough is None else cuts.meets_mm, finish),
    )


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
