"""The outside lies just under a bar's size: too near to clean up, so the next size is bought."""

from __future__ import annotations

import math
from dataclasses import replace

from turnability.cited import Cited
from turnability.half_plane.curves import line_ring
from turnability.part.model import Departure, Face, FaceRole
from turnability.part.profile import make_profile
from turnability.rules.drawn import Example, drawn_part, drawn_shop, drawn_view
from turnability.rules.followable import MOST_OF_OUTSIDE, largest_is_turned, modest
from turnability.rules.model import (
    Basis,
    BasisKind,
    Change,
    Finding,
    Judgement,
    NotJudged,
    View,
    Where,
)
from turnability.rules.speak import mass_text
from turnability.shop.model import StockSize
from turnability.stock.allowance import HOT_ROLLED, is_hot_rolled, policy_for
from turnability.stock.choose import (
    COMMON_POLICY,
    SAME_SIZE_MM,
    largest_diameter_mm,
    least_size_mm,
    section_mm2,
)
from turnability.stock.model import StockPiece
from turnability.units import length_text

NAME = "outside-near-stock-size"
LEVELS = ("warning", "note")
WHY = "A bar is neither quite round nor quite straight; without an allowance it does not clean up."
LIMIT = "the allowance on diameter of the shop's stock policy under the next bar size"
BASIS = (
    "common practice: 0.050 in on diameter under a bright bar's size, unless the shop file "
    "states its own allowance"
)

_SIDES = 6


def check(view: View) -> Judgement:
    """A warning where a bar at least as large as the part leaves less than the allowance.

    A note where the part's outside is a hexagon whose bar is listed.
    """
    profile, stock = view.part.profile, view.stock
    if profile is None or stock is None:
        return NotJudged("the shop file holds no stock list")
    if not largest_is_turned(view):
        return _as_hexagon(view, profile.max_diameter_mm)
    choice = stock.choice
    policy = view.shop.stock_policy or COMMON_POLICY
    largest = profile.max_diameter_mm
    near = [
        size
        for size in view.shop.stock
        if size.form == "bar"
        and largest - SAME_SIZE_MM
        <= size.across_mm
        < least_size_mm(largest, policy_for(size, policy)) - 1e-9
    ]
    if not near or choice is None or choice.form in ("tube", "pipe"):
        return ()
    size = min(near, key=lambda s: s.across_mm)
    own_policy = policy_for(size, policy)
    allowance = own_policy.diameter_allowance
    needed = least_size_mm(largest, own_policy)
    if section_mm2(size) >= _section(choice):
        return ()
    inch = view.shop.inch
    to = largest_diameter_mm(size.across_mm, own_policy)
    saving = _saving(size, choice, policy.density_kg_per_mm3)
    text = (
        f"Reduce the largest diameter from {length_text(largest, inch)} to "
        f"{length_text(to, inch)} and take {size.name}, which saves {saving}."
    )
    spare = max(0.0, size.across_mm - largest)
    own = spare <= SAME_SIZE_MM
    near_text = "is" if own else f"lies {length_text(spare, inch)} under"
    near_text += f" the size of {size.name}"
    as_drawn = own and not is_hot_rolled(size)
    can = modest(largest, to, MOST_OF_OUTSIDE)
    if not can and not as_drawn:
        return ()  # a bar that suits it needs another part
    stays = "if the bar's own surface and tolerance will do there."
    advice = [text] if can else []
    if as_drawn:
        advice.append(f"{'Or leave it' if can else 'It may stay'} as drawn, {stays}")
    return (
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The largest ⌀{length_text(largest, inch)} {near_text}, which does not clean up "
                f"with less than {length_text(needed - largest, inch)} to spare: {choice.name} "
                f"must be taken. {' '.join(advice)}"
            ),
            where=_largest_place(view, largest),
            basis=Basis(
                f"{allowance.source}: {_place(allowance)}",
                _kind(view, allowance),
            ),
            measured=spare,
            limit=needed - largest,
            unit="mm",
            change=Change(text, "max_diameter_mm", largest, to, False) if can else None,
        ),
    )


def _as_hexagon(view: View, across_corners: float) -> tuple[Finding, ...]:
    """A note where the largest diameter is a hexagon's corners and its bar is listed.

    Nothing else can be said: the corners follow from the flats, which a spanner's size gives.
    """
    flats = across_corners * math.cos(math.pi / 6.0)
    hexagons = [
        d
        for d in view.part.departures
        if (d.kind == "hex" or len(d.faces) == _SIDES)
        and abs(_across_flats(d) - flats) <= SAME_SIZE_MM
    ]
    bars = [
        s for s in view.shop.stock if s.form == "hex" and abs(s.across_mm - flats) <= SAME_SIZE_MM
    ]
    if not hexagons or not bars:
        return ()
    inch = view.shop.inch
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"The largest ⌀{length_text(across_corners, inch)} is the corners of a hexagon of "
                f"{length_text(flats, inch)} across flats: {bars[0].name} has it already, and its "
                "flats need no milling, if the bar's own surface and tolerance will do."
            ),
            where=_largest_place(view, across_corners),
            basis=Basis("the stock list in the shop file", "shop"),
            measured=flats,
            limit=bars[0].across_mm,
            unit="mm",
        ),
    )


def _across_flats(departure: Departure) -> float:
    """The width over its flats, mm: as it is named, else twice its least distance from the axis."""
    named, extent = (departure.parameters.get(key) for key in ("across_flats_mm", "r_mm"))
    if isinstance(named, int | float):
        return float(named)
    return 2.0 * extent[0] if isinstance(extent, tuple) and len(extent) == 2 else 0.0


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


def _saving(size: StockSize, choice: StockPiece, density: float | None) -> str:
    share = 1.0 - section_mm2(size) / _section(choice)
    if density is None:
        return f"{share:.0%} of the stock"
    saved = density * choice.length_mm * (_section(choice) - section_mm2(size))
    return f"{mass_text(saved)} of stock ({share:.0%})"


def _largest_place(view: View, largest: float) -> Where:
    assert view.part.profile is not None
    at = [
        s
        for s in view.part.profile.outline.segments
        if s.surface == "outer"
        and max(s.curve.start[1], s.curve.end[1]) >= largest / 2.0 - SAME_SIZE_MM / 2.0
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


EXAMPLES = (
    Example("⌀22 from round 25", drawn_view),
    Example("⌀22 from round 23.5", lambda: drawn_view(shop=drawn_shop((23.5, 30)))),
    Example(
        "⌀22 beside a bar of 22.5, so that 30 must be taken",
        lambda: drawn_view(shop=drawn_shop((20, 22.5, 30))),
        ("warning",),
    ),
    Example(
        "⌀22 beside a bar of 22, which may stay as drawn",
        lambda: drawn_view(shop=drawn_shop((20, 22, 30))),
        ("warning",),
    ),
    Example("a hexagon across its corners, no such bar listed", lambda: _hexagon(())),
    Example(
        "the same hexagon, its bar listed",
        lambda: _hexagon((StockSize("hex", "hexagon 19", 19.0),)),
        ("note",),
    ),
)
