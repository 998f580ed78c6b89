"""How far the work bends in each setup of a plan, along each land, by the passes that cut it.

The passive force at the tool bends the work away: it comes out larger there, by twice what it gave
way. Where it gives, the tool cuts less and pushes less, so it never gives way by more than the
depth. A light last pass cuts what the pass before it left, too; of two alike the second comes to
what the work would give way under the whole of its force, which may be more than its depth. What is
the same along a land is measured out; what varies stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from turnability.intent.model import Intent
from turnability.part.model import Part
from turnability.setups.bending.boring_bar import bent_bars
from turnability.setups.bending.cuttings import CutLand, Cutting, Shared, cuttings_of
from turnability.setups.bending.follow_rest import followed_lands
from turnability.setups.bending.held import FOLLOW_REST, Along, along
from turnability.setups.bending.work import (
    Kept,
    Passing,
    Work,
    held_by,
    with_out,
    work_of,
)
from turnability.setups.bending_model import Bending, BendingPass, BentLand
from turnability.setups.cutting.forces import Cut, main_force_n, passive_force_n
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.holding.slender import slenderness, stick_out_mm
from turnability.setups.model import Setup, Support
from turnability.setups.surfaces.limits import diameter_limit
from turnability.shop.materials import material_of
from turnability.shop.model import Shop
from turnability.stock.model import Stock, raw_across_mm

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Pass:
    """A tool's pass along one of its lands, which leaves so much a side on the finished shape."""

    cutting: Cutting
    land: CutLand
    cut: Cut
    on_mm: float


def with_bending(
    part: Part,
    setups: Sequence[Setup],
    stock: Stock | None,
    shop: Shop,
    intent: Intent | None = None,
    *,
    lathe: str | None = None,
    lands_alone: bool = False,
    followed: bool = False,
) -> tuple[Setup, ...]:
    """The setups with how far their work bends; None where the material stands in no table.

    None too for a setup that neither turns nor bores anything. `intent` is settled on the part;
    `lathe` is the name of the one that it is planned for, None for the first that swings it.
    `lands_alone`: how the lands vary, which is all that one way is compared with another by;
    neither roughing nor critical speeds. `followed`: with a follow rest behind the tool along
    every cylinder outside.
    """
    chosen, profile = material_of(shop), part.profile
    if chosen is None or profile is None:
        return tuple(setups)
    piece = stock.choice if stock is not None else None
    size = raw_across_mm(stock, profile.max_diameter_mm)
    bore = piece.inner_diameter_mm if piece is not None else None
    shared = Shared(
        part,
        profile,
        chosen.material,
        intent,
        shop,
        stock,
        size / 2.0,
        (bore or 0.0) / 2.0,
        lathe_for(shop, size, named=lathe),
        followed,
    )
    done: frozenset[str] = frozenset()
    made = []
    for n, setup in enumerate(setups):
        bending = _bending(shared, setup, setups[:n], done, lands_alone)
        made.append(replace(setup, bending=bending))
        done |= {s for operation in setup.operations for s in operation.segments}
    return tuple(made)


def _bending(
    shared: Shared, setup: Setup, before: Sequence[Setup], done: frozenset[str], lands_alone: bool
) -> Bending | None:
    line = along(shared.profile, setup)
    cuttings = tuple(cuttings_of(shared, setup, line, before, done))
    if not cuttings:
        return None
    works = _works(shared, setup, cuttings)
    finish = [
        _Pass(cutting, land, _finishes(works, cutting, land), 0.0)
        for cutting in cuttings
        for land in cutting.lands
    ]
    rough = [] if lands_alone else list(_roughing(shared, works, cuttings))
    errors = _errors(shared, works, [*finish, *rough], line)
    curve: dict[float, float] = {}
    lands: list[tuple[BentLand, BendingPass]] = []
    for one, told in zip(finish, errors, strict=False):
        for z, error in told:
            curve[z] = max(error, curve.get(z, 0.0))
        lands.append((_bent(shared, one.land, told), _told_pass(shared, one.cut, told)))
    roughed = [
        _told_pass(shared, one.cut, told)
        for one, told in zip(rough, errors[len(finish) :], strict=True)
    ]
    worst, finishing = max(lands, key=lambda entry: entry[0].error_mm)
    low, high = stick_out_mm(shared.profile, setup.toward_chuck, setup.grip.z_mm)
    states = [cutting.state for cutting in cuttings]
    first = replace(states[0], after=states[0].before)

    def critical(support: Support) -> float | None:
        return None if lands_alone else works[support, None].critical_rpm([first, states[-1]])

    told_lands = tuple(land for land, _ in lands)
    slender = slenderness(shared.profile, setup.toward_chuck, setup.grip.z_mm)
    return Bending(
        worst_diametral_error_mm=worst.error_mm,
        at_z_mm=worst.worst[0],
        force_n=finishing.passive_force_n,
        unsupported_length_mm=high - low,
        length_to_diameter=slender,
        curve=tuple(sorted(curve.items())),
        lands=told_lands,
        roughing=max(roughed, key=lambda entry: entry.worst_mm, default=None),
        finishing=finishing,
        critical_rpm=critical(setup.support),
        critical_free_rpm=critical("none") if setup.support in ("tailstock", "steady") else None,
        material=shared.material.name,
        bars=tuple(
            bent_bars(shared.material, ((c.tool, c.finish) for c in cuttings if not c.outside))
        ),
        followed=followed_lands(shared.profile, setup.support, told_lands, slender, shared.lathe),
    )


def _finishes(works: dict[Kept, Work], cutting: Cutting, land: CutLand) -> Cut:
    """The finishing cut along a land: as deep as what stands there, where one pass takes all."""
    if not cutting.one_pass:
        return cutting.finish
    work = works[cutting.kept]
    deep = max(work.to_spare(float(x), cutting.state) for x in land.places)
    return replace(cutting.finish, depth_mm=deep)


def _works(shared: Shared, setup: Setup, cuttings: Sequence[Cutting]) -> dict[Kept, Work]:
    """The work as each support of the setup carries it, and without any; so as it is drawn in."""
    kinds: set[Kept] = {(setup.support, None), *(cutting.kept for cutting in cuttings)}
    if setup.support != "between-centres":
        kinds.add(("none", None))
    works: dict[Kept, Work] = {}
    for out in {out for _, out in kinds}:
        held = setup if out is None else with_out(shared.profile, setup, out)
        some = [c for c in cuttings if out is None or c.kept[1] == out]
        places = sorted({float(x) for c in some for land in c.lands for x in land.places})
        whole = work_of(
            shared.profile, held, places, shared.stock_radius, shared.stock_bore, shared.material
        )
        for support in {support for support, its in kinds if its == out}:
            works[support, out] = held_by(whole, shared.profile, replace(held, support=support))
    return works


def _errors(
    shared: Shared, works: dict[Kept, Work], passes: Sequence[_Pass], line: Along
) -> list[list[tuple[float, float]]]:
    """For each pass along its land: (z, diametral error) in mm. Those carried alike go together."""
    found: dict[int, list[tuple[float, float]]] = {}
    for kept, work in works.items():
        some = [(i, one) for i, one in enumerate(passes) if one.cutting.kept == kept]
        if not some:
            continue
        sizes = [len(one.land.places) for _, one in some]
        places = np.concatenate([one.land.places for _, one in some])
        depth = np.repeat([one.cut.depth_mm for _, one in some], sizes)
        force = np.repeat([passive_force_n(shared.material, one.cut) for _, one in some], sizes)
        followed = [shared.followed and p.land.rides(p.cutting.outside) for _, p in some]
        pads = FOLLOW_REST.value * np.repeat(followed, sizes)
        free = force / (1.0 / work.give([_passing(work, one) for _, one in some]) + pads)
        # a light pass finds what the one before it left bent, too: alike ones end at this
        light = np.repeat([one.cutting.light and one.on_mm == 0.0 for _, one in some], sizes)
        bent = (2.0 * free / (1.0 + np.where(light, 0.0, free / depth))).tolist()
        told = [(line.z(x), error) for x, error in zip(places.tolist(), bent, strict=True)]
        ends = np.cumsum([0, *sizes]).tolist()
        for (i, _), (low, high) in zip(some, pairwise(ends), strict=True):
            found[i] = told[low:high]
    return [found[i] for i in range(len(passes))]


def _passing(work: Work, one: _Pass) -> Passing:
    cutting = one.cutting
    left_hand = cutting.tool is not None and cutting.tool.hand == "left"
    # a bar's depth lies inside, where the shape is taken as bored already
    depth, on = (one.cut.depth_mm, one.on_mm) if cutting.outside else (0.0, 0.0)
    return work.passing(one.land.places, cutting.state, depth, on, left_hand)


def _bent(shared: Shared, land: CutLand, told: Sequence[tuple[float, float]]) -> BentLand:
    worst, least = max(told, key=lambda p: p[1]), min(told, key=lambda p: p[1])
    ids = tuple(s.id for s in land.segments)
    limit, stated = diameter_limit(ids, land.diameter_mm, shared.intent, shared.part.stated)
    z = [p[0] for s in land.segments for p in (s.curve.start, s.curve.end)]
    return BentLand(
        ids, (min(z), max(z)), land.diameter_mm, worst[1] - least[1], worst, least, limit, stated
    )


def _told_pass(shared: Shared, cut: Cut, told: Sequence[tuple[float, float]]) -> BendingPass:
    at, worst = max(told, key=lambda p: p[1])
    return BendingPass(
        depth_mm=cut.depth_mm,
        feed_mm=cut.feed_mm,
        main_force_n=main_force_n(shared.material, cut),
        passive_force_n=passive_force_n(shared.material, cut),
        worst_mm=worst,
        at_z_mm=at,
    )


def _roughing(
    shared: Shared, works: dict[Kept, Work], cuttings: Sequence[Cutting]
) -> Iterator[_Pass]:
    """A roughing pass along each land, as deep as there is stock for it."""
    for cutting in cuttings:
        work = works[cutting.kept]
        if cutting.rough is None:
            continue
        for land in cutting.lands:
            on, most = cutting.finish.depth_mm, cutting.rough.depth_mm
            if cutting.outside:
                spare = max(work.to_spare(float(x), cutting.state) for x in land.places)
                most = min(most, spare - on)
            if most > 0.0:
                yield _Pass(cutting, land, replace(cutting.rough, depth_mm=most), on)
