"""Which lathes of the shop make the part as planned, and what stops or hinders the others."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.setups.cutting.forces import WEAR, Cut, main_force_n, power_kw
from turnability.setups.cutting.speeds import cutting_speed_m_per_min
from turnability.setups.cutting.starting import LEAST_ROUGH, ROUGH_FEED
from turnability.setups.holding.jaws import too_wide_behind
from turnability.setups.holding.slender import stick_out_mm
from turnability.setups.model import LatheJudged, Setup
from turnability.setups.set_over.tapers import tapers_of
from turnability.shop.holding import way_through
from turnability.shop.materials import Material, material_of
from turnability.shop.model import Machine, Shop
from turnability.stock.allowance import mill_tolerance_mm
from turnability.stock.model import StockPiece
from turnability.units import length_text

CHUCK_MM = Cited(
    80.0,
    "mm",
    "common practice",
    "what chuck and jaws take of the distance between centres, from memory",
    verified=False,
)
CLEAR_OF_SLIDE_MM = Cited(
    2.0,
    "mm",
    "common practice",
    "room on diameter between turning stock and what it must clear, from memory",
    verified=False,
)
SLOW = Cited(
    0.5,
    "-",
    "common practice",
    "share of the wanted speed below which carbide leaves a poor surface, from memory",
    verified=False,
)
TINY_MM = Cited(
    6.0,
    "mm",
    "common practice",
    "diameter below which work is turned at the lathe's highest speed, slow as that cuts, with a "
    "sharp edge, from memory",
    verified=False,
)
SPEED = "speed"
"""How a hindrance by speed alone begins: slow work is still made, by a sharp tool of HSS."""
OVER_SLIDE = "swing over cross slide"
_RAW = ("raw bar", "raw piece")


@dataclass(slots=True)
class _Told:
    """What is found of one lathe, with the first number that it fails by (value, limit)."""

    machine: Machine
    inch: bool
    stops: list[str] = field(default_factory=list)
    hinders: list[str] = field(default_factory=list)
    pairs: list[tuple[float, float]] = field(default_factory=list)

    def over(self, value: float, limit: float | None, into: list[str], text: str) -> bool:
        """Tells a length that is too large for this lathe."""
        if limit is None or value <= limit:
            return False
        at_most = length_text(limit, self.inch)
        into.append(f"{text}{length_text(round(value, 2), self.inch)}, {at_most} at most")
        self.pairs.append((value, limit))
        return True

    def judged(self) -> LatheJudged:
        """In the report's words."""
        measured, limit = self.pairs[0] if self.pairs else (None, None)
        return LatheJudged(
            self.machine.name, tuple(self.stops), tuple(self.hinders), measured, limit
        )


def lathes_of(
    profile: Profile,
    piece: StockPiece | None,
    setups: Sequence[Setup],
    shop: Shop,
    cnc_only: bool = False,
) -> tuple[LatheJudged, ...]:
    """Every lathe of the shop, in its order; what the shop file does not say stops nothing."""
    known = material_of(shop)
    material = None if known is None else known.material
    return tuple(
        _judge(machine, profile, piece, setups, shop, material, cnc_only)
        for machine in shop.machines
    )


def _judge(
    machine: Machine,
    profile: Profile,
    piece: StockPiece | None,
    setups: Sequence[Setup],
    shop: Shop,
    material: Material | None,
    cnc_only: bool,
) -> LatheJudged:
    told = _Told(machine, shop.inch)
    raw = [setup.grip.diameter_mm for setup in setups if setup.grip.kind in _RAW]
    across = piece.across_mm if piece else max([profile.max_diameter_mm, *raw])
    what = "stock" if piece or across > profile.max_diameter_mm else "part"
    if not _swings(told, what, across, piece, machine.swing_mm, "swing", told.stops):
        over = machine.swing_over_cross_slide_mm
        _swings(told, what, across, piece, over, OVER_SLIDE, told.hinders)
    _length(told, profile, piece, across, setups, what)
    for setup in setups:
        _behind(told, profile, setup)
        _room(told, profile, setup, shop)
        told.hinders += _tapers(machine, profile, setup, shop.inch)
    told.hinders += dict.fromkeys(_missing(machine, setups))
    if cnc_only and machine.control == "manual":
        told.hinders.append("contours: it moves along one slide at a time")
    if material is not None:
        told.hinders += _speed_and_power(machine, profile, material, shop.inch)
    return told.judged()


def _swings(
    told: _Told,
    what: str,
    across: float,
    piece: StockPiece | None,
    limit: float | None,
    name: str,
    into: list[str],
) -> bool:
    """Tells stock that would strike: its corners, the mill's tolerance and some room count too."""
    corners = piece.through_mm if piece else across
    of = "across its corners " if corners > across else ""
    if told.over(corners, limit, into, f"{name}: {what} {of}of ⌀"):
        return True
    if piece is None:
        return False
    upper = mill_tolerance_mm(piece)
    room = length_text(CLEAR_OF_SLIDE_MM.value, told.inch)
    size = length_text(round(corners, 2), told.inch)
    rolled = f" that the mill may leave {length_text(upper, told.inch)} larger" if upper else ""
    return told.over(
        corners + upper + CLEAR_OF_SLIDE_MM.value,
        limit,
        into,
        f"{name}: {what} {of}of ⌀{size}{rolled}, with {room} of room, wants ",
    )


def _length(
    told: _Told,
    profile: Profile,
    piece: StockPiece | None,
    across: float,
    setups: Sequence[Setup],
    what: str,
) -> None:
    """Stock and its grip between headstock and tailstock, or standing out behind the spindle."""
    length = piece.turned_mm * piece.parts if piece else profile.length_mm
    held = max((s.grip.length_mm for s in setups if s.grip.kind == "raw bar"), default=0.0)
    machine, inch = told.machine, told.inch
    if not told.over(
        length + held,
        machine.between_centres_mm,
        told.stops,
        f"between centres: {what} with its grip of ",
    ):
        return
    # a bar may stand out behind the spindle instead, but what stands out of the jaws may not
    passes = way_through(machine)
    out = [stick_out_mm(profile, s.toward_chuck, s.grip.z_mm) for s in setups]
    free = max((high - low for low, high in out), default=profile.length_mm)
    through = piece.through_mm if piece else across
    if passes is not None and through <= passes[1] and free <= told.pairs[-1][1]:
        told.stops.pop()
        told.pairs.pop()
    elif passes is not None and through > passes[1]:
        told.stops[-1] += (
            f" (nor does ⌀{length_text(round(through, 2), inch)} go through the spindle: "
            f"its {passes[0]} is {length_text(passes[1], inch)})"
        )


def _behind(told: _Told, profile: Profile, setup: Setup) -> None:
    """What of the part lies deep behind the jaws must go through the spindle."""
    passes = way_through(told.machine)
    if (
        passes is None
        or setup.grip.kind in _RAW
        or setup.grip.surface != "outer"
        or (setup.holding is not None and setup.holding.kind == "between-centres")
    ):
        return
    wide = too_wide_behind(profile, setup.toward_chuck, setup.grip, setup.holding, passes[1])
    if wide is not None:
        where = f"{passes[0]}: in setup {setup.order} the part goes into it with ⌀"
        told.over(wide, passes[1], told.stops, where)


def able_lathe(judged: Sequence[LatheJudged], first: Machine | None) -> str | None:
    """The one to plan for: `first` where nothing stops it and no other is less hindered.

    Slow work is still made: speed alone hinders none. None is for a plan that no lathe of the shop
    carries out as it stands.
    """
    able = [one for one in judged if not one.stops]
    # stock that strikes the cross slide is turned on another lathe where there is one
    able = [one for one in able if not any(h.startswith(OVER_SLIDE) for h in one.hinders)] or able
    able = [one for one in able if all(h.startswith(SPEED) for h in one.hinders)] or able
    for one in able:
        if first is not None and one.name == first.name:
            return one.name
    return min(able, key=lambda one: len(one.hinders)).name if able else None


def _room(told: _Told, profile: Profile, setup: Setup, shop: Shop) -> None:
    """What stands out of the chuck, and the drill that must come before it or the centre.

    What stands out of the jaws by more than the whole distance between centres stops a lathe,
    whatever its chuck takes; what the chuck takes is from memory, so that it only hinders.
    """
    between = told.machine.between_centres_mm
    if between is None or told.stops:
        return
    near, far = setup.grip.z_mm
    clear = profile.length_mm - far if setup.toward_chuck == "low" else near
    if setup.holding is not None and setup.holding.kind == "between-centres":
        clear = profile.length_mm
    if setup.grip.length_mm and told.over(
        clear, between, told.stops, "between centres: work that stands out of its jaws by "
    ):
        return
    low, high = stick_out_mm(profile, setup.toward_chuck, setup.grip.z_mm)
    out = high - low + (setup.grip.length_mm if setup.grip.kind not in _RAW else 0.0)
    room = between - CHUCK_MM.value
    tools = {tool.name: tool for tool in shop.tools}
    limits = [
        tools[o.tool].limits
        for o in setup.operations
        if o.kind in ("drill", "ream") and o.tool in tools
    ]
    drills = [one.get("flute_length_mm", one.get("usable_length_mm", 0.0)) for one in limits]
    words = f"between centres less {length_text(CHUCK_MM.value, told.inch)} of chuck"
    if not told.over(out, room, told.hinders, f"{words}: work that stands out by ") and drills:
        told.over(
            out + max(drills), room, told.hinders, f"{words}: work with its drill before it of "
        )


def _tapers(machine: Machine, profile: Profile, setup: Setup, inch: bool) -> Iterator[str]:
    """Tapers longer than its topslide travels, and that no set-over tailstock makes."""
    for one in tapers_of(profile, setup, [s.id for s in profile.segments], machine):
        if one.too_long and one.set_over_mm is None and one.limit_mm is not None:
            yield (
                f"topslide: taper {', '.join(one.segments)} takes "
                f"{length_text(round(one.travel_mm, 1), inch)} of travel, "
                f"{length_text(one.limit_mm, inch)} at most"
            )


def _missing(machine: Machine, setups: Sequence[Setup]) -> Iterator[str]:
    """Supports of the plan that it has not."""
    used = {o.support for s in setups for o in s.operations} | {s.support for s in setups}
    if used & {"tailstock", "between-centres"} and not machine.tailstock:
        yield "tailstock: the plan wants one, and it has none"
    if "steady" in used and not machine.steady:
        yield "steady: the plan wants one, and it has none"


def _speed_and_power(
    machine: Machine, profile: Profile, material: Material, inch: bool
) -> Iterator[str]:
    """Too slow for the largest diameter at all, or too weak for a light roughing pass.

    No lathe reaches the usual speed on tiny work: it is turned at the highest that there is.
    """
    largest = profile.max_diameter_mm
    speed = cutting_speed_m_per_min(material, "turning")
    wanted = 1000.0 * speed / (math.pi * largest)
    slow = machine.max_rpm is not None and machine.max_rpm < SLOW.value * wanted
    if slow and largest > TINY_MM.value:
        yield (
            f"{SPEED}: ⌀{length_text(largest, inch)} wants {wanted:.0f} turns a minute, "
            f"{machine.max_rpm:.0f} at most"
        )
    cut = Cut(LEAST_ROUGH.value, ROUGH_FEED.value, 95.0, 0.4)
    power = power_kw(WEAR.value * main_force_n(material, cut), SLOW.value * speed)
    if machine.power_kw is not None and machine.power_kw < power:
        yield (
            f"power: a light roughing cut at half the usual speed takes {power:.1f} kW, "
            f"{machine.power_kw:g} at most"
        )
