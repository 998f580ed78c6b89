"""What stands in the tools' way because the part is held: raw stock and the jaws, as boxes.

Nothing is known of a chuck but its stand-off, so its jaws are taken to reach farther out and back
than any tool could pass: what is promised beside them can be cut beside slimmer ones too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from turnability.half_plane.curves import Ring, line_ring
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.holding.grips import least_grip_mm
from turnability.setups.holding.slender import largest_outside_mm
from turnability.setups.model import Grip, Land
from turnability.shop.holding import way_through
from turnability.shop.model import Holding, Shop

RAW_BAR, RAW_PIECE = "raw bar", "raw piece"
"""Kinds of grip: stock behind the part, or the end of a piece that the part itself comes out of."""
BEYOND_MM = 60.0
"""How far jaws are taken to reach outward beyond the part, and back behind it."""
JAW_DEPTH_MM = 30.0
"""So much of a part may lie between the jaws' grip and the chuck's face (common practice)."""
CHUCK_DEPTH = 0.4
"""Depth of a chuck's body over its diameter (usual proportion, no source)."""
CHUCK_HOLE = 0.25
"""Hole through a chuck's body over its diameter: 42 mm of 160 (DIN 6350, from memory)."""
_CHUCKS = ("three-jaw", "four-jaw", "soft-jaws")
CENTRE_MM = 4.0
"""Radius of a centre where it enters the end, taken alike for all work (common practice)."""


@dataclass(frozen=True, slots=True)
class Held:
    """A part held at one end: the grip, the outlines (z, r) that it puts in the way, by what.

    `spared` are outlines of stock that is left to the chucking after this one. `over`: the jaws are
    opened over something larger that lies behind their grip.
    """

    toward: Toward
    grip: Grip
    holding: Holding
    land: Land | None
    obstacles: tuple[Ring, ...]
    spared: tuple[Ring, ...] = ()
    over: bool = False

    @property
    def raw(self) -> bool:
        """Whether the stock that the part is cut from is held."""
        return self.grip.kind in (RAW_BAR, RAW_PIECE)


def held_by_bar(
    profile: Profile,
    toward: Toward,
    holding: Holding,
    size_mm: float,
    parting_mm: float,
    grip_mm: float | None = None,
) -> Held:
    """Held by the raw bar behind the part, with room for a parting blade between part and jaws.

    The bar of `size_mm` begins a parting width behind the part, bored like the part where that has
    a through bore (drills and bars go on into it); the jaws keep their stand-off from that cut.
    `Grip.z_mm` lies outside the part. `grip_mm` is how much is gripped, None for as much as of a
    land.
    """
    least = least_grip_mm(holding, size_mm) if grip_mm is None else grip_mm
    gap = parting_mm + holding.jaw_standoff_mm
    out = _outward(profile, size_mm)
    ends = (-gap - least, -gap)
    bore = (profile.through_bore_mm or 0.0) / 2.0
    boxes = [
        _box(-gap - least - BEYOND_MM, bore, -parting_mm, size_mm / 2.0),
        _box(-gap - least - BEYOND_MM, size_mm / 2.0, -gap, out),
    ]
    if toward == "high":
        ends = (profile.length_mm + gap, profile.length_mm + gap + least)
        boxes = [_mirrored(box, profile.length_mm) for box in boxes]
    grip = Grip(RAW_BAR, "outer", ends, size_mm, least)
    return Held(toward, grip, holding, None, tuple(line_ring(box) for box in boxes))


def held_by_piece(
    profile: Profile,
    toward: Toward,
    holding: Holding,
    size_mm: float,
    end_mm: float,
    grip_mm: float,
) -> Held:
    """Held on the end of a sawn piece, which the part reaches into but for the end's allowance.

    What the jaws cover stays stock, and is turned in the next chucking.
    """
    near = grip_mm - end_mm
    out = _outward(profile, size_mm)
    # the jaws, and the skin of the stock under them, out to where tools keep clear
    box = _box(-BEYOND_MM, profile.max_diameter_mm / 2.0, near + holding.jaw_standoff_mm, out)
    span = (-end_mm, near)
    if toward == "high":
        box = _mirrored(box, profile.length_mm)
        span = (profile.length_mm - near, profile.length_mm + end_mm)
    grip = Grip(RAW_PIECE, "outer", span, size_mm, grip_mm)
    return Held(toward, grip, holding, None, (line_ring(box),))


def held_by_land(
    profile: Profile,
    toward: Toward,
    holding: Holding,
    land: Land,
    length_mm: float,
    *,
    out_mm: float | None = None,
    kind: str | None = None,
) -> Held:
    """Held on `length_mm` of a land, on its side toward the chuck, tools keeping the stand-off.

    `out_mm`: so much of the land stands out of the jaws instead, and the rest goes into the chuck.
    `kind`: of the grip, where it is none on a cylinder that was cut (`RAW_PIECE`).
    """
    low, high = land.z_mm
    away = 0.0 if out_mm is None else max(0.0, high - low - length_mm - out_mm)
    begin = low + away if toward == "low" else high - away - length_mm
    span = (begin, begin + length_mm)
    clear = holding.jaw_standoff_mm
    whole, r = profile.length_mm, land.diameter_mm / 2.0
    out = _outward(profile, land.diameter_mm)
    near = span[1] if toward == "low" else whole - span[0]
    if land.surface == "outer":
        boxes = [_box(-BEYOND_MM, r, near + clear, out)]
    elif holding.kind == "mandrel":
        # it fills the bore to its end, and stands out of the part by its own width alone
        boxes = [_box(-BEYOND_MM, 0.0, whole + clear, r)]
    else:
        # jaws within the bore, and the chuck's face behind the part
        boxes = [
            _box(-BEYOND_MM, 0.0, near + clear, r),
            _box(-BEYOND_MM, 0.0, -clear, out),
        ]
    if toward == "high":
        boxes = [_mirrored(box, whole) for box in boxes]
    grip = Grip(
        kind or holding.name, land.surface, span, land.diameter_mm, length_mm, land.across_flats_mm
    )
    return Held(toward, grip, holding, land, tuple(line_ring(box) for box in boxes))


def held_between(
    profile: Profile, toward: Toward, holding: Holding, land: Land, length_mm: float
) -> Held:
    """Held between centres, driven by a dog on `length_mm` of a land at the chuck's end."""
    whole = profile.length_mm
    low, high = land.z_mm
    span = (low, low + length_mm) if toward == "low" else (high - length_mm, high)
    near = span[1] if toward == "low" else whole - span[0]
    out = _outward(profile, land.diameter_mm)
    boxes = [
        _box(-BEYOND_MM, 0.0, 0.0, land.diameter_mm / 2.0),
        _box(-BEYOND_MM, land.diameter_mm / 2.0, near + holding.jaw_standoff_mm, out),
        _box(whole, 0.0, whole + BEYOND_MM, CENTRE_MM),
    ]
    if toward == "high":
        boxes = [_mirrored(box, whole) for box in boxes]
    grip = Grip(holding.name, "outer", span, land.diameter_mm, length_mm)
    return Held(toward, grip, holding, land, tuple(line_ring(box) for box in boxes))


def let_in(profile: Profile, toward: Toward, holding: Holding, land: Land) -> Held | None:
    """Held by hard jaws behind which something larger lies: opened over it, they close on the land.

    What is larger goes into the hole through the chuck's body, and the jaws grip by all of their
    depth. None where it does not go in, or the land is too short for them.
    """
    if holding.kind not in ("three-jaw", "four-jaw") or holding.outside_mm is None:
        return None
    room = JAW_DEPTH_MM + holding.jaw_standoff_mm
    if land.surface != "outer" or land.across_flats_mm or land.z_mm[1] - land.z_mm[0] < room:
        return None
    low, high = land.z_mm
    behind = (0.0, low) if toward == "low" else (high, profile.length_mm)
    hole = CHUCK_HOLE * holding.outside_mm[1]
    if behind[0] >= behind[1] or largest_outside_mm(profile, behind) > hole:
        return None
    out = holding.jaw_standoff_mm
    held = held_by_land(profile, toward, holding, land, JAW_DEPTH_MM, out_mm=out)
    return replace(held, over=True)


def fits_behind(profile: Profile, held: Held, shop: Shop) -> bool:
    """Whether what lies behind the jaws is short, or passes through a spindle as far as known.

    What feeds bar narrows the spindle's bore: the lathe's bar capacity counts before that.
    """
    return not_let_in(profile, held, shop) is None


def not_let_in(profile: Profile, held: Held, shop: Shop) -> float | None:
    """The largest outside behind the jaws, where it goes into no spindle; None where it does."""
    ways = [way_through(machine) for machine in shop.machines]
    known = [way[1] for way in ways if way is not None]
    if len(known) < len(ways) or not known:
        return None
    return too_wide_behind(profile, held.toward, held.grip, held.holding, max(known))


def too_wide_behind(
    profile: Profile, toward: Toward, grip: Grip, holding: Holding | None, way_mm: float
) -> float | None:
    """The largest outside behind the jaws, where it does not go in; None where it does.

    What lies within the jaws' depth goes in, the hole through the chuck's body takes what it is
    wide enough for, and only what is longer goes into the spindle, whose way is so wide.
    """
    low, high = grip.z_mm
    whole = profile.length_mm
    deep = low if toward == "low" else whole - high
    takes = holding.outside_mm if holding is not None and holding.kind in _CHUCKS else None
    chuck = 0.0 if takes is None else takes[1]
    body = JAW_DEPTH_MM + CHUCK_DEPTH * chuck

    def widest(near: float, far: float) -> float:
        if far <= near:
            return 0.0
        span = (low - far, low - near) if toward == "low" else (high + near, high + far)
        return largest_outside_mm(profile, span)

    inside = widest(JAW_DEPTH_MM, min(body, deep))
    beyond = widest(max(body, JAW_DEPTH_MM), deep)
    most = [
        w for w, way in ((inside, max(way_mm, CHUCK_HOLE * chuck)), (beyond, way_mm)) if w > way
    ]
    return max(most, default=None)


Corners = list[tuple[float, float]]


def _box(z0: float, r0: float, z1: float, r1: float) -> Corners:
    return [(z0, r0), (z1, r0), (z1, r1), (z0, r1)]


def _mirrored(corners: Corners, length: float) -> Corners:
    return [(length - z, r) for z, r in reversed(corners)]


def _outward(profile: Profile, size_mm: float) -> float:
    return max(profile.max_diameter_mm, size_mm) / 2.0 + BEYOND_MM
