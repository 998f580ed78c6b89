"""A hollow part in the jaws of a chuck: how far it is squeezed out of round, and how hard.

The wall under the jaws is taken as a ring (`ring.squeezed`), together with what the tube goes on
beside them, up to one mean radius on either side (our choice, no source): a tube spreads the load
along itself. Collets close evenly and are not looked at; nor are walls thicker than a third of
their mean radius, which hardly give.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from turnability.part.model import Part, Profile, Segment
from turnability.setups.bending.ring import Squeezed, squeezed
from turnability.setups.bending.shape import sections_of
from turnability.setups.cutting.forces import WEAR, clamping_force_n, main_force_n
from turnability.setups.cutting.starting import finish_cut
from turnability.setups.model import Setup
from turnability.shop.materials import Material
from turnability.shop.model import Holding, Shop

THIN = 3.0
"""Mean radius over wall from which a wall counts as a ring that gives (our choice, no source)."""
_PLACES = 9
_JAWS = {"three-jaw": 3, "four-jaw": 4}


@dataclass(frozen=True, slots=True)
class Gripped:
    """A thin wall in the jaws of one setup, for the hold that a roughing or finishing cut wants.

    `wall_mm` is that under the jaws; `across` are the segments cut in this
    setup on the wall's other side, over the grip, which come out lobed. `rough` is None where the
    setup roughs nothing. The diameters are those of the ring, `force_n` that at each jaw for the
    finishing cut.
    """

    setup: Setup
    wall_mm: float
    width_mm: float
    across: tuple[str, ...]
    finish: Squeezed
    rough: Squeezed | None
    outer_mm: float
    inner_mm: float
    force_n: float
    jaws: int
    e: float

    def thicker(self, by_mm: float) -> Squeezed:
        """The same hold for the finishing cut with the outside larger on diameter by so much."""
        outer = self.outer_mm + by_mm
        # held outside, a larger diameter turns the cut with less force
        force = self.force_n
        if self.setup.grip.surface == "outer":
            force *= self.outer_mm / outer
        return squeezed(force, outer, self.inner_mm, self.width_mm, self.e, self.jaws)


def gripped_walls(
    part: Part, setups: Sequence[Setup], shop: Shop, material: Material
) -> tuple[Gripped, ...]:
    """Thin walls in plain jaws, setup by setup, in the shape that the setup leaves."""
    profile = part.profile
    found: list[Gripped] = []
    cut: frozenset[str] = frozenset()
    for setup in setups:
        own = frozenset(s for operation in setup.operations for s in operation.segments)
        holding = next((h for h in shop.holdings if h.name == setup.grip.kind), None)
        if profile is not None and holding is not None and holding.kind in _JAWS:
            one = _gripped(profile, setup, holding, shop, material, cut | own, own)
            if one is not None:
                found.append(one)
        cut |= own
    return tuple(found)


def _gripped(
    profile: Profile,
    setup: Setup,
    holding: Holding,
    shop: Shop,
    material: Material,
    cut: frozenset[str],
    own: frozenset[str],
) -> Gripped | None:
    grip = setup.grip
    finishing, roughing = _forces(setup, shop, material)
    if finishing is None:
        return None
    low, high = grip.z_mm
    places = np.linspace(low, high, _PLACES + 2)[1:-1]
    sections = sections_of(profile, places, profile.max_diameter_mm / 2.0, 0.0)
    bore = sections.hollow(cut) ** 0.25
    outside = sections.outside(cut)
    held = grip.diameter_mm / 2.0
    outer, inner = (held, float(bore.min())) if grip.surface == "outer" else (
        float(outside.max()),
        held,
    )  # fmt: skip
    wall, radius = outer - inner, (outer + inner) / 2.0
    if inner <= 0.0 or wall <= 0.0 or radius < THIN * wall:
        return None
    width = high - low
    width += min(radius, max(low, 0.0)) + min(radius, max(profile.length_mm - high, 0.0))
    side = "inner" if grip.surface == "outer" else "outer"
    across = tuple(
        s.id
        for s in profile.segments
        if s.surface == side and s.id in own and _over(s, (low, high))
    )
    widest = 2.0 * max(
        (
            max(s.curve.start[1], s.curve.end[1])
            for s in profile.segments
            if s.id in own and s.surface != "axis"
        ),
        default=held,
    )
    jaws = _JAWS[holding.kind]

    def at_each(force_n: float) -> float:
        return clamping_force_n(WEAR.value * force_n, widest, grip.diameter_mm) / jaws

    def under(force_n: float) -> Squeezed:
        return squeezed(at_each(force_n), 2.0 * outer, 2.0 * inner, width, material.e.value, jaws)

    return Gripped(
        setup,
        wall,
        width,
        across,
        under(finishing),
        None if roughing is None else under(roughing),
        2.0 * outer,
        2.0 * inner,
        at_each(finishing),
        jaws,
        material.e.value,
    )


def _forces(setup: Setup, shop: Shop, material: Material) -> tuple[float | None, float | None]:
    """Main forces of the setup's finishing and roughing cuts in N; None for what it has not.

    Where an end alone is faced, which bends nothing, that cut's: what is faced can be taken light.
    """
    bending = setup.bending
    if bending is not None and bending.finishing is not None:
        rough = bending.roughing
        return bending.finishing.main_force_n, None if rough is None else rough.main_force_n
    tools = {tool.name: tool for tool in shop.tools}
    facing = [tools.get(o.tool) for o in setup.operations if o.kind == "face"]
    cuts = [finish_cut(material, tool, setup.grip.diameter_mm) for tool in facing]
    return max((main_force_n(material, cut) for cut in cuts), default=None), None


def _over(segment: Segment, span: tuple[float, float]) -> bool:
    low, high = segment.ends_z_mm
    return low < span[1] and high > span[0]
