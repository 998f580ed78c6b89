"""A little off the largest diameter would let a smaller bar do, and that would save much.

That a diameter is a bar's own size is no trouble by itself: the next size up is the trade's usual
choice. What is told is a saving that pays for a changed drawing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from turnability.cited import Cited
from turnability.half_plane.curves import Arc, line_ring
from turnability.part.model import Departure, Face, FaceRole
from turnability.part.profile import make_profile
from turnability.rules.as_the_bar import offer
from turnability.rules.drawn import Example, drawn_part, drawn_shop, drawn_view
from turnability.rules.followable import largest_is_turned, modest
from turnability.rules.model import (
    Basis,
    BasisKind,
    Change,
    Finding,
    Judgement,
    Level,
    NotJudged,
    View,
    Where,
)
from turnability.rules.speak import cost_text
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import StockSize
from turnability.stock.allowance import HOT_ROLLED, is_hot_rolled, policy_for
from turnability.stock.choose import LITTLE, largest_diameter_mm, least_size_mm, section_mm2
from turnability.stock.model import StockPiece
from turnability.stock.own_outside import SAME_SIZE_MM, hexagon_mm, own_sizes, turns_corners
from turnability.stock.worth import cost_of
from turnability.units import length_text, mass_text, rounded_down, rounded_up

NAME = "outside-near-stock-size"
LEVELS = ("warning", "note")
WHY = (
    "A bar is neither quite round nor quite straight and must be larger than what is turned from "
    "it; where its size is just missed, all of the next one is bought and turned away."
)
LEAST_SHARE = 0.1
MUCH_SHARE = 0.25
LEAST_KG = 0.1
MUCH_KG = 1.0
MUCH_ORDER_KG = 10.0
LIMIT = (
    "at most 5 % off the largest diameter saves a bar's size, and with it a tenth of the stock and "
    "1 kg a piece (or 10 kg over the stated quantity): a warning; a quarter of it and 100 g a "
    "piece: a note. A ball's diameter is not asked to change"
)
BASIS = (
    "common practice, no source: the next size up is the usual choice, so only such a saving is "
    "told; 0.050 in on diameter under a bright bar's size, unless the shop file states its own "
    "allowance"
)

_CHORD_MM = 1e-3
_TOP_MM = SAME_SIZE_MM / 2.0


@dataclass(frozen=True, slots=True)
class _Saving:
    """What a smaller bar saves of one piece's stock; None where no density or price is stated."""

    share: float
    mass_kg: float | None
    cost: float | None


def check(view: View) -> Judgement:
    """A warning or a note where a little off the largest diameter saves much of the stock.

    A note where the part's outside is a hexagon whose bar is listed.
    """
    profile, stock = view.part.profile, view.stock
    if profile is None or stock is None:
        return NotJudged("the shop file holds no stock list")
    if turns_corners(profile, view.part.departures):
        hexagon = _as_hexagon(view, profile.max_diameter_mm)
        if hexagon or _stays(view):
            return hexagon
    if not largest_is_turned(view):
        return _as_hexagon(view, profile.max_diameter_mm)
    choice, largest = stock.choice, profile.max_diameter_mm
    if choice is None or choice.form in ("tube", "pipe") or _stays(view):
        return ()
    if _is_ball(view, largest):
        return ()
    policy = view.shop.stock_policy or COMMON_POLICY
    smaller = [
        (to, size)
        for size in view.shop.stock
        if size.form in ("bar", choice.form) and section_mm2(size) < _section(choice)
        for most in [largest_diameter_mm(size.across_mm, policy_for(size, policy))]
        for to in [rounded_down(most, view.shop.inch, 4)]
        if to < largest and modest(largest, to, LITTLE)
    ]
    for to, size in sorted(smaller, key=lambda one: (-one[0], one[1].name)):
        saving = _saving(view, size, choice)
        told = _level(view, saving)
        if told is not None:
            return (_finding(view, size, to, saving, *told),)
    return ()


def _level(view: View, saving: _Saving) -> tuple[Level, float, float, str] | None:
    """Whether a saving matters: its level, what was measured, the limit and its unit."""
    if saving.share < LEAST_SHARE:
        return None
    if saving.mass_kg is None:
        return ("note", saving.share, MUCH_SHARE, "-") if saving.share >= MUCH_SHARE else None
    pieces = (view.intent.quantity if view.intent else None) or 1
    if saving.mass_kg >= MUCH_KG:
        return "warning", saving.mass_kg, MUCH_KG, "kg"
    if pieces * saving.mass_kg >= MUCH_ORDER_KG:
        return "warning", pieces * saving.mass_kg, MUCH_ORDER_KG, "kg"
    if saving.share >= MUCH_SHARE and saving.mass_kg >= LEAST_KG:
        return "note", saving.share, MUCH_SHARE, "-"
    return None


def _finding(
    view: View,
    size: StockSize,
    to: float,
    saving: _Saving,
    level: Level,
    measured: float,
    limit: float,
    unit: str,
) -> Finding:
    assert view.part.profile is not None
    assert view.stock is not None
    assert view.stock.choice is not None
    inch, largest = view.shop.inch, view.part.profile.max_diameter_mm
    own_policy = policy_for(size, view.shop.stock_policy or COMMON_POLICY)
    allowance = own_policy.diameter_allowance
    needed = least_size_mm(largest, own_policy) - largest
    text = (
        f"Reduce the largest diameter from {length_text(largest, inch)} to "
        f"{length_text(to, inch)} and take {size.name}, which saves {_saving_text(view, saving)}."
    )
    spare = size.across_mm - largest
    own = abs(spare) <= SAME_SIZE_MM
    side = "under" if spare > 0.0 else "over"
    near = "is" if own else f"lies {length_text(abs(spare), inch)} {side}"
    as_bar = offer(view) if own and not is_hot_rolled(size) else None
    stays = f" Or {as_bar.text[0].lower()}{as_bar.text[1:]}" if as_bar else ""
    return Finding(
        rule=NAME,
        level=level,
        message=(
            f"The largest ⌀{length_text(largest, inch)} {near} the size of {size.name}, which does "
            f"not clean up with less than {length_text(rounded_up(needed, inch), inch)} to spare: "
            f"{view.stock.choice.name} must be taken. {text}{stays}"
        ),
        where=_largest_place(view, largest),
        basis=Basis(
            f"{allowance.source}: {_place(allowance)}; {_told(inch)}", _kind(view, allowance)
        ),
        measured=measured,
        limit=limit,
        unit=unit,
        change=Change(text, "max_diameter_mm", largest, to, False),
    )


def _told(inch: bool) -> str:
    """From which saving on it is told."""
    much, least = mass_text(MUCH_KG, inch), mass_text(LEAST_KG, inch)
    return f"what is told of it (5 %, a tenth and {much}, a quarter and {least}) is common practice"


def _stays(view: View) -> bool:
    """Whether the outside stays as the bar comes, so that its size is the right one."""
    choice = view.stock.choice if view.stock is not None else None
    return choice is not None and choice.own_outside


def _is_ball(view: View, largest: float) -> bool:
    """Whether the largest diameter is a ball's, round the axis: another one is another ball."""
    names = set(_largest_place(view, largest).segments)
    return any(
        isinstance(s.curve, Arc) and abs(s.curve.centre[1]) <= SAME_SIZE_MM
        for s in (view.part.profile.outline.segments if view.part.profile else ())
        if s.id in names
    )


def _as_hexagon(view: View, across_corners: float) -> tuple[Finding, ...]:
    """A note where the largest diameter is a hexagon's corners and its bar is listed.

    Nothing else can be said: the corners follow from the flats, which a spanner's size gives.
    """
    assert view.part.profile is not None
    flats = hexagon_mm(view.part.profile, view.part.departures)
    bars = [
        s
        for s in own_sizes(
            view.part.profile,
            view.part.departures,
            view.shop.stock,
            view.shop.stock_policy or COMMON_POLICY,
        )
        if s.form == "hex"
    ]
    if flats is None or not bars or _stays(view):
        return ()
    as_bar = offer(view)
    if as_bar is None:
        return ()
    inch = view.shop.inch
    down = turns_corners(view.part.profile, view.part.departures)
    corners = "what the corners are turned down to" if down else "the corners"
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"The largest ⌀{length_text(across_corners, inch)} is {corners} of a hexagon of "
                f"{length_text(flats, inch)} across flats: {bars[0].name} has it already, and its "
                f"flats need no milling. {as_bar.text}"
            ),
            where=_largest_place(view, across_corners),
            basis=Basis("the stock list in the shop file", "shop"),
            measured=flats,
            limit=bars[0].across_mm,
            unit="mm",
        ),
    )


def _kind(view: View, allowance: Cited) -> BasisKind:
    if allowance is HOT_ROLLED:
        return "handbook"
    ours = view.shop.stock_policy is None or allowance.source.startswith("common practice")
    return "common-practice" if ours else "shop"


def _place(allowance: Cited) -> str:
    """Where the allowance stands, for people: a shop file's key is no word of theirs."""
    return "the shop file's allowance" if allowance.place.startswith("key ") else allowance.place


def _section(piece: StockPiece) -> float:
    return section_mm2(StockSize(piece.form, piece.name, piece.across_mm, piece.inner_diameter_mm))


def _saving(view: View, size: StockSize, choice: StockPiece) -> _Saving:
    """What this bar saves of the chosen piece, cut to the same length."""
    area = section_mm2(size)
    density = (view.shop.stock_policy or COMMON_POLICY).density_kg_per_mm3
    mass = None if density is None else density * choice.length_mm * area
    cost = cost_of(size, mass, view.shop)
    return _Saving(
        1.0 - area / _section(choice),
        None if density is None or mass is None
        else density * choice.length_mm * _section(choice) - mass,
        None if cost is None or choice.cost is None else choice.cost - cost,
    )  # fmt: skip


def _saving_text(view: View, saving: _Saving) -> str:
    if saving.mass_kg is None:
        return f"{saving.share:.0%} of the stock"
    text = f"{mass_text(saving.mass_kg, view.shop.inch)} of stock ({saving.share:.0%})"
    if saving.cost is not None and saving.cost > 0.0:
        text += f", {cost_text(saving.cost, view.shop)}"
    pieces = view.intent.quantity if view.intent else None
    return f"{text} a piece" if pieces and pieces > 1 else text


def _largest_place(view: View, largest: float) -> Where:
    assert view.part.profile is not None
    at = [
        s
        for s in view.part.profile.outline.segments
        if s.surface == "outer"
        and float(s.curve.flatten(_CHORD_MM)[:, 1].max()) >= largest / 2.0 - _TOP_MM
    ]
    z = [p[0] for s in at for p in (s.curve.start, s.curve.end)]
    return Where(
        tuple(s.id for s in at),
        tuple(sorted({face for s in at for face in s.faces})),
        (),
        (min(z), max(z)) if z else None,
        (largest, largest),
    )


def _hexagon(stock: tuple[StockSize, ...]) -> View:
    """A hexagon of 19 mm across flats, its corners at 21.94 mm, with a turned spigot."""
    corners = 9.5 / math.cos(math.pi / 6.0)
    outline = line_ring([(0, 0), (20, 0), (20, 6), (8, 6), (8, corners), (0, corners)])
    sides = (4, 5, 6, 7, 8, 9)
    faces = ((), (1,), (2,), (3,), sides, (10,))
    profile = make_profile([list(zip(outline, faces, strict=True))])
    roles: dict[int, FaceRole] = {1: "end", 2: "outer", 3: "end", 10: "end"}
    part = drawn_part(
        profile,
        (Departure("D1", "other", sides, None, (0.0, 8.0), {"r_mm": (9.5, corners)}),),
        tuple(Face(i, None, roles.get(i, "milled")) for i in range(1, 11)),
    )
    shop = drawn_shop((20, 22, 30))
    return drawn_view(part=part, shop=replace(shop, stock=shop.stock + stock))


def _cylinder(diameter: float, length: float, *bars: float) -> View:
    half = diameter / 2.0
    return drawn_view([(0, 0), (length, 0), (length, half), (0, half)], shop=drawn_shop(bars))


EXAMPLES = (
    Example("⌀22 from round 25", drawn_view),
    Example(
        "⌀40 beside a bar of 40: the next size is the usual choice, and saves little",
        lambda: _cylinder(40.0, 60.0, 40.0, 45.0),
    ),
    Example("⌀12 from round 14, where 12 wants a tenth off", lambda: _cylinder(12, 2000, 12, 14)),
    Example(
        "⌀40 and 60 long, for which 50 must be taken where 40 is missed",
        lambda: _cylinder(40.0, 60.0, 40.0, 50.0),
        ("note",),
    ),
    Example("⌀40 and 500 long", lambda: _cylinder(40.0, 500.0, 40.0, 45.0), ("warning",)),
    Example("⌀100 just over a bar of 98", lambda: _cylinder(100, 150, 98, 110), ("warning",)),
    Example("a hexagon across its corners, no such bar listed", lambda: _hexagon(())),
    Example(
        "the same hexagon, its bar listed",
        lambda: _hexagon((StockSize("hex", "hexagon 19", 19.0),)),
        ("note",),
    ),
)
