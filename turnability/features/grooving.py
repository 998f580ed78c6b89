"""Which hollows are grooves, necks or recesses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.hollows import Height, Hollow
from turnability.features.model import Alternative, Confidence
from turnability.features.reliefs import Relief, relief_of
from turnability.features.sides import Side, is_parallel, is_radial, is_slanted, slope_deg
from turnability.features.standards import thread_reliefs, undercuts
from turnability.features.standards.threads import SAME_PITCH, thread_sizes, within
from turnability.half_plane.curves import Arc, Curve, Line


@dataclass(frozen=True, slots=True)
class Cut:
    """A hollow that was accepted: its own sides and floor without the hollows nested in it.

    `floor` is a height as the hollow's finder sees it; `relief` its shape beside a shoulder.
    """

    hollow: Hollow
    own: tuple[Side, ...]
    nested: tuple[Hollow, ...]
    floor: float
    relief: Relief | None = None

    @property
    def depth_mm(self) -> float:
        """From the lower lip to its own floor."""
        return self.hollow.level - self.floor


def is_steep(hollow: Hollow, spare_deg: float = 0.0) -> bool:
    """Both walls are steeper at the mouth than a copying tool follows (undercut ones always)."""
    most = 90.0 - limits.STEEPEST_FOLLOWED.value + spare_deg + limits.STRAIGHT_DEG
    return max(hollow.slopes_deg) < most


def is_narrow(chain: Chain, hollow: Hollow) -> bool:
    """Narrow enough for a blade, and its flanks too steep to be read as surfaces of their own."""
    if hollow.width_mm > limits.GROOVE_WIDTH.value + limits.SAME_MM:
        return False
    flattest = 90.0 - max(hollow.slopes_deg) + limits.STRAIGHT_DEG
    outside = any(hollow is other for other in chain.outside)
    if outside and flattest >= limits.UNDERCUT_RAMP_DEG:
        relief = relief_of(hollow, chain.sides, chain.finishes)
        if relief is not None and relief.rise_mm >= relief.depth_mm - limits.SAME_MM:
            return True
    if len(hollow.own) == 1 and isinstance(hollow.own[0].curve, Arc):
        return flattest >= limits.SHALLOW_FLANK_DEG
    # a flank that goes on past the mouth is a surface of its own
    return flattest >= limits.NARROW_FLANK_DEG and all(
        is_radial(wall.curve)
        or (isinstance(wall.curve, Line) and any(wall is own for own in hollow.own))
        for wall in (hollow.sides[0], hollow.sides[-1])
    )


def widest_groove_mm(depth_mm: float) -> float:
    """A hollow of this depth is a groove up to this width, else a neck."""
    return max(limits.GROOVE_WIDTH.value, limits.GROOVE_WIDTH_PER_DEPTH.value * depth_mm)


def cut(chain: Chain, hollow: Hollow, accepted: Sequence[Cut]) -> Cut:
    """A hollow less what is nested in it, with the ramp of a face that is relieved too."""
    nested = tuple(other.hollow for other in accepted if other.hollow.within(hollow))
    theirs = {id(side) for other in accepted if other.hollow in nested for side in other.own}
    own = tuple(side for side in hollow.own if id(side) not in theirs)
    if taper_deg(chain, hollow) is not None:
        # both walls are its own, however far the upper one rises over the lower lip
        walls = [side for side in (hollow.sides[0], hollow.sides[-1]) if side not in own]
        own = (*own, *(side for side in walls if not is_parallel(side.curve)))
        return Cut(hollow, own, nested, _floor(chain, hollow, own, nested))
    relief = relief_of(hollow, chain.sides, chain.finishes)
    if relief is not None and relief.rise_mm < relief.depth_mm - limits.SAME_MM:
        # between lips of unlike height it is a groove, unless a standard draws it for a relief
        outside = any(hollow is other for other in chain.outside)
        relief = relief if outside and is_standard(chain, hollow) else None
    if relief is not None and relief.face is not None:
        if any(undercuts.fitting(relief)) or hollow.width_mm <= limits.GROOVE_WIDTH.value:
            own = (*own, *(() if relief.face in own else (relief.face,)))
        else:
            relief = None
    return Cut(hollow, own, nested, _floor(chain, hollow, own, nested), relief)


def _floor(chain: Chain, hollow: Hollow, own: Sequence[Side], nested: Sequence[Hollow]) -> float:
    """The deepest height of its own, as its corners' roundings leave it: a V's lift its floor."""
    sharp = hollow.floor(nested)
    names = {name for side in own for name in side.ids}
    at_floor = [
        finish.curve
        for finish in chain.finishes
        if finish.corner is not None
        and finish.between
        and names.issuperset(finish.between)
        and abs(hollow.height(finish.corner) - sharp) <= limits.SAME_MM
    ]
    if not at_floor:
        return sharp
    curves = [*at_floor, *(side.segment.curve for side in own if side.segment is not None)]
    return max(sharp, min(_lowest(curve, hollow.height) for curve in curves))


def _lowest(curve: Curve, height: Height) -> float:
    """The deepest height of a curve."""
    (low, high), (small, large) = spread([curve])
    corners = [(z, 0.5 * d) for z in (low, high) for d in (small, large)]
    return min(height(p) for p in corners)


def is_standard(chain: Chain, hollow: Hollow) -> bool:
    """An undercut or a relief of a thread of the land's diameter, as a standard draws it: a groove,
    whatever its ramp."""
    relief = relief_of(hollow, chain.sides, chain.finishes)
    if relief is None:
        return False
    level, bottom = 2.0 * hollow.level, 2.0 * hollow.bottom
    return any(undercuts.fitting(relief)) or any(
        any(
            within(size, "outer", level) is not None
            and abs(size.pitch_mm / float(fit.pitch) - 1.0) <= SAME_PITCH
            for size in thread_sizes()
        )
        for fit in thread_reliefs.fitting(relief, "outer", level, bottom)
    )


def grooves(chain: Chain, hollows: Sequence[Hollow]) -> list[Cut]:
    """The hollows that a blade plunges, smallest first, and those that a standard has so."""
    accepted: list[Cut] = []
    for hollow in hollows:
        standard = hollows is chain.outside and is_standard(chain, hollow)
        if not standard and not is_steep(hollow) and not is_narrow(chain, hollow):
            continue
        candidate = cut(chain, hollow, accepted)
        if not any(side.segment for side in candidate.own):
            continue
        if standard or (hollow.width_mm <= widest_groove_mm(candidate.depth_mm) + limits.SAME_MM):
            accepted.append(candidate)
    return accepted


def recesses(chain: Chain) -> list[Cut]:
    """The hollows of the inside that nothing encloses, and those sunk into their floors."""
    accepted: list[Cut] = []
    hollows = chain.inside
    for hollow in hollows:
        outermost = not any(hollow.within(other) for other in hollows)
        sunk = is_steep(hollow) or is_narrow(chain, hollow)
        if outermost or (sunk and any(hollow.ledges)):
            candidate = cut(chain, hollow, accepted)
            if any(side.segment and side.surface != "axis" for side in candidate.own):
                accepted.append(candidate)
    return accepted


def near_groove(chain: Chain, side: Side) -> Alternative | None:
    """Why a side, though no part of a groove, could be read as one's."""
    for hollow in chain.outside:
        if not any(side is other for other in hollow.own):
            continue
        limit = widest_groove_mm(hollow.depth_mm)
        plunged = is_steep(hollow) or is_narrow(chain, hollow)
        shallow = hollow.width_mm <= limits.GROOVE_WIDTH.value and (
            90.0 - max(hollow.slopes_deg) >= limits.SHALLOW_FLANK_DEG - limits.STRAIGHT_DEG
        )
        doubtful = shallow or is_steep(hollow, limits.DOUBT_DEG)
        if not plunged and doubtful and hollow.width_mm <= limit:
            flank = 90.0 - max(hollow.slopes_deg)
            return Alternative(
                "groove",
                f"its flatter flank rises {flank:.4g}° from the axis: a pointed copying tool may"
                f" follow it (up to {limits.STEEPEST_FOLLOWED.value:g}°), a blade or form tool"
                " would plunge it",
                "either",
            )
        if is_steep(hollow) and limit < hollow.width_mm <= (1.0 + limits.DOUBT) * limit:
            return Alternative(
                "groove",
                f"{hollow.width_mm:.4g} mm wide and {hollow.depth_mm:.4g} mm deep is a neck; up to"
                f" {limit:.4g} mm it would be a groove",
                _sure(hollow.width_mm, limit),
            )
    return None


def near_neck(chain: Chain, groove: Cut) -> Alternative | None:
    """Why a groove could be read as a neck; one that a standard draws so could not."""
    limit = widest_groove_mm(groove.depth_mm)
    width = groove.hollow.width_mm
    near = (1.0 - limits.DOUBT) * limit <= width <= limit + limits.SAME_MM
    if (
        is_standard(chain, groove.hollow)
        or not near
        or not any(is_parallel(s.curve) for s in groove.own)
    ):
        return None
    return Alternative(
        "cylinder",
        f"{width:.4g} mm wide and {groove.depth_mm:.4g} mm deep is nearly a neck, which begins"
        f" over {limit:.4g} mm",
        _sure(width, limit),
    )


def near_cones(chain: Chain, groove: Cut) -> Alternative | None:
    """Why a narrow groove could be read as cones or a curve: a copying tool follows its flanks.

    One that a standard draws so leaves no doubt.
    """
    hollow = groove.hollow
    if is_steep(hollow) or is_standard(chain, hollow):
        return None
    flank = 90.0 - max(hollow.slopes_deg)
    curved = any(not isinstance(side.curve, Line) for side in groove.own)
    return Alternative(
        "contour" if curved else "taper",
        f"its flatter flank rises {flank:.4g}° from the axis: a pointed copying tool may follow it"
        f" (up to {limits.STEEPEST_FOLLOWED.value:g}°); as narrow as it is, it reads as one groove",
        "likely" if groove.relief is not None or curved else "either",
    )


def _sure(width: float, limit: float) -> Confidence:
    """A tenth of the limit away neither reading is the likelier."""
    return "either" if abs(width / limit - 1.0) <= limits.EITHER else "likely"


def held(chain: Chain, groove: Cut) -> frozenset[str]:
    """Segments of other features in it, and the finishes of all corners that it makes."""
    own = {name for side in groove.own for name in side.ids}
    inside = {name for hollow in groove.nested for side in hollow.own for name in side.ids}
    return (frozenset(inside) | chain.finishing(own | inside)) - own


def taper_deg(chain: Chain, hollow: Hollow) -> float | None:
    """The slope of the taper that both its lips stand on; None where they stand on none."""
    ends = [next(i for i, s in enumerate(chain.sides) if s is hollow.sides[k]) for k in (0, -1)]
    before, after = chain.sides[ends[0] - 1], chain.sides[(ends[1] + 1) % len(chain.sides)]
    if not (is_slanted(before.curve) and is_slanted(after.curve)):
        return None
    slopes = (slope_deg(before.curve), slope_deg(after.curve))
    (za, ra), (zb, rb) = before.curve.end, after.curve.start
    gap = math.degrees(math.atan2(abs(rb - ra), abs(zb - za)))
    if max(*slopes, gap) - min(*slopes, gap) > 2.0 * limits.STRAIGHT_DEG:
        return None
    return slopes[0]
