"""A plan of up to three chuckings: what is held, what is cut, what stays, and what came second.

The first setup grips the raw bar at either end. If all that tools can cut at all is cut there and
a blade can part the work off, that is the plan; else the part is turned round and gripped on a
land that the first setup has finished, and once more where that is not enough. Stock too thick
for a spindle is sawn: then a piece no longer than the part may be held on its own end first. Jaws
and bar stand in the way of every tool meanwhile. Surfaces that must run true to one another are
finished in one chucking where that can be (`relations`). Only where no full grip will do is a short
one taken, and only then an arbor.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from turnability.half_plane.regions import box
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.reach.ground import ground_of
from turnability.reach.model import ENDS, Reach, Toward
from turnability.setups.bores.reaming import to_finish_of
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.effort.lathes import able_lathe, lathes_of
from turnability.setups.holding.grinding import centred_ends
from turnability.setups.holding.grips import holdings_for_bar
from turnability.setups.holding.jaws import held_by_bar
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.model import Land, Plan, Rival, Setup
from turnability.setups.operations.parting import clean_ends, no_pip_ends, true_ends
from turnability.setups.set_over.eccentrics import set_overs_of
from turnability.setups.surfaces.cuts import (
    bore_of_tube,
    hopeless_segments,
    nooks_of,
    samples_of,
    volume_mm3,
)
from turnability.setups.surfaces.plunges import plunges_of
from turnability.setups.surfaces.relations import groups_of, to_bore_of, with_drilled
from turnability.setups.surfaces.swept import not_opened
from turnability.setups.surfaces.wishes import wishes_of
from turnability.setups.trials.costs import NO_COST, Cost, costs_of
from turnability.setups.trials.first_trials import first_trial
from turnability.setups.trials.in_the_way import in_the_way
from turnability.setups.trials.job import Job
from turnability.setups.trials.search import own_firsts, pieces
from turnability.setups.trials.trial import Trial
from turnability.setups.trials.tried import tried_ways
from turnability.setups.trials.why_lost import EQUAL, OF_GRIP, why_lost
from turnability.setups.trials.written import how_held, written
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Shop
from turnability.stock.model import Stock, raw_across_mm
from turnability.stock.own_outside import own_segments
from turnability.stock.piece import bar_grip_mm, body_of, is_sawn

_ALIKE = 1e-6
_A_TRIFLE_MIN = 0.05
"""Half of what minutes are told to."""


@dataclass(frozen=True, slots=True, eq=False)
class Planned:
    """A plan, and the way that lost to it by no more than an estimate of minutes, if one did."""

    plan: Plan
    near: Trial | None = None
    lands: Sequence[Land] = ()

    def next_best(self) -> tuple[Setup, ...]:
        """All of that way, to be made in the plan's place: long to tell, and seldom asked."""
        return () if self.near is None else written(self.near, self.lands, self.near.job.lathe)


def plan_of(
    part: Part,
    reach: Reach,
    lands: Sequence[Land],
    stock: Stock | None,
    shop: Shop,
    intent: Intent | None = None,
) -> Planned | None:
    """The best plan found: fewest setups of those that leave nothing, else the one leaving least.

    None where nothing can be said: no profile, or a shop file without holdings. Without setups
    where no holding takes the raw bar. The last setup's `left` is what the whole plan leaves: what
    no tool reaches, with its causes, and what only the grips hide, with the cause "jaws". Without a
    stock list the raw bar is taken as large as the part; where no size of the list fits, as large
    as it has to be bought. `intent` is settled on the part.
    """
    profile = part.profile
    if profile is None or not shop.holdings:
        return None
    piece = stock.choice if stock else None
    size = raw_across_mm(stock, profile.max_diameter_mm)
    through = size if piece is None else piece.through_mm
    raw = holdings_for_bar(size, shop, round_stock=piece is None or piece.form != "hex")
    if not raw:
        return Planned(Plan(()))
    samples = samples_of(profile)
    policy = shop.stock_policy or COMMON_POLICY
    before = bore_of_tube(profile, piece.inner_diameter_mm if piece else None)
    groups = groups_of(part, intent)
    wishes = wishes_of(part, profile, intent, {s for g in groups for s in g.segments})
    job = Job(
        part=part,
        profile=profile,
        reach=reach,
        shop=shop,
        samples=samples,
        before=before,
        parting_mm=policy.parting_width_mm,
        groups=groups,
        hopeless=hopeless_segments(samples, reach) | not_opened(profile, part.departures),
        intent=intent,
        lathe=lathe_for(shop, size, bool(reach.cnc_only_segments)),
        end_mm=policy.end_allowance_mm,
        nooks=nooks_of(profile, wishes.grooves),
        sawn=is_sawn(through, shop),
        heavy=_heavy_end(profile),
        plunges=plunges_of(profile),
        wishes=wishes,
        to_bore=to_bore_of(profile, groups, reach, shop.tools),
        to_finish=to_finish_of(wishes.bores, shop.tools, reach.tools),
        own=own_segments(profile, part.departures) if piece and piece.own_outside else frozenset(),
        no_pip=no_pip_ends(intent) | centred_ends(profile, intent) | clean_ends(profile, intent),
        true_ends=true_ends(profile, groups),
        bar_mm=size,
        through_mm=through,
    )
    grip = bar_grip_mm(raw[0], size, body_of(profile), shop, through)
    firsts = [
        first_trial(job, held_by_bar(profile, toward, raw[0], size, job.parting_mm, grip))
        for toward in ENDS
    ]
    own = own_firsts(job, lands) if job.own else []
    if own and slenderness(profile, "low", (-grip, 0.0)) > CHUCK_ONLY_LIMIT.value:
        firsts = own  # nobody lets all of it stand out to part it off
    tried = tried_ways(job, firsts, lands)
    if firsts is own and all(one.stays or len(one.chuckings) > len(ENDS) for one in tried):
        tried += tried_ways(job, own_firsts(job, lands, far=True), lands)
    if job.sawn:
        tried += pieces(job, min(tried, key=lambda trial: trial.rank), lands, raw[0], size)
    cost = costs_of(tried, lands, stock)
    tried.sort(key=lambda trial: _order(trial, cost))
    best = tried[0]
    setups = written(best, lands, job.lathe)
    cnc = bool(reach.cnc_only_segments)
    # grips alone stop a lathe, so another one's supports need no second look
    named = able_lathe(lathes_of(profile, piece, setups, shop, cnc), job.lathe)
    lathe = next((machine for machine in shop.machines if machine.name == named), None)
    if lathe is not None and lathe is not job.lathe:
        setups = written(best, lands, lathe)
    rival, near = _runner_up(tried, cost, lands)
    plan = Plan(
        setups=setups,
        set_over=set_overs_of(part, lands, setups, shop, lathe, intent),
        rechucked=with_drilled(best.related(setups), setups, profile, shop),
        runner_up=rival,
        in_the_way=in_the_way(best, lands),
        lathe=named,
    )
    return Planned(plan, near, lands)


def _order(trial: Trial, cost: Mapping[Trial, Cost]) -> tuple[float, ...]:
    """Less is better; a line that matters sets it back before how stout the last grip is."""
    *lines, minutes = cost.get(trial, NO_COST)
    grip = trial.rank[-OF_GRIP:]
    return (*trial.rank[:-OF_GRIP], *lines, *grip, minutes, not _heavy_first(trial))


def _runner_up(
    tried: Sequence[Trial], cost: Mapping[Trial, Cost], lands: Sequence[Land]
) -> tuple[Rival | None, Trial | None]:
    """The best of those that are held otherwise than the first; again where it is near that."""
    best = tried[0]
    grips = [held.grip for held, _ in best.chuckings]
    rival = next((t for t in tried if [held.grip for held, _ in t.chuckings] != grips), None)
    if rival is None:
        return None, None
    near = (why := why_lost(rival, best)) == EQUAL
    alike = rival.rank[:-OF_GRIP] == best.rank[:-OF_GRIP]
    ours, theirs = cost.get(best, NO_COST), cost.get(rival, NO_COST)
    more = theirs[-1] - ours[-1]
    if alike and theirs[0] > ours[0]:
        near, why = False, "a blade would have to copy a slope or curve that a corner feeds along"
    elif alike and theirs[:-1] > ours[:-1]:
        what = "a taper" if theirs[1] > ours[1] else "a close surface"
        near, why = False, f"two tools share {what}, which leaves a line"
    elif near and more >= _A_TRIFLE_MIN:
        why = f"by the estimate of its work it takes {more:.1f} min more a piece"
    return Rival(how_held(rival, lands, rival.job.lathe), why), rival if near else None


def _heavy_first(trial: Trial) -> bool:
    return trial.chuckings[0][0].toward == trial.job.heavy


def _heavy_end(profile: Profile) -> Toward:
    """The end that more of the part stands at; low where neither is."""
    half = profile.length_mm / 2.0
    body, out = ground_of(profile).part_half, profile.max_diameter_mm / 2.0
    low, high = (volume_mm3(body & box(z, 0.0, z + half, out + 1.0)) for z in (0.0, half))
    return "high" if high > low * (1.0 + _ALIKE) else "low"
