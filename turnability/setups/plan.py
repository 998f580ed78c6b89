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

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TypeAlias

from turnability.half_plane.curves import Line
from turnability.half_plane.regions import Region, box
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile, Segment
from turnability.reach.ground import ground_of
from turnability.reach.model import Reach, Toward
from turnability.setups.chucking import Chucking
from turnability.setups.cuts import (
    SKIN_MM,
    bore_of_tube,
    hopeless_segments,
    nooks_of,
    samples_of,
    thickness_mm,
    touched,
    volume_mm3,
)
from turnability.setups.cutting.starting import lathe_for
from turnability.setups.datum import datum_of
from turnability.setups.drilling import drilled_core
from turnability.setups.edges import at_end, end_face
from turnability.setups.effort import effort_of
from turnability.setups.first_trials import first_trial
from turnability.setups.grinding import centred_ends
from turnability.setups.grips import holdings_for_bar
from turnability.setups.in_the_way import bars_too_short, in_the_way
from turnability.setups.jaws import held_by_bar
from turnability.setups.lathes import able_lathe, lathes_of
from turnability.setups.model import Land, Operation, Plan, Rival, Setup, SetupLeft, Support
from turnability.setups.offset_cuts import not_opened, without_unopened
from turnability.setups.operations import operations_of
from turnability.setups.own_end import from_own_end, with_partly_cut
from turnability.setups.parting import clean_ends, no_pip_ends, true_ends
from turnability.setups.plunges import plunges_of
from turnability.setups.reaming import to_ream_of
from turnability.setups.relations import groups_of, to_bore_of, with_drilled
from turnability.setups.search import own_firsts, pieces
from turnability.setups.set_over import set_overs_of
from turnability.setups.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.support import Supported, support_of
from turnability.setups.trial import Job, Trial
from turnability.setups.tried import tried_ways
from turnability.setups.why_lost import EQUAL, OF_GRIP, why_lost
from turnability.setups.wishes import wishes_of
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Cause, Machine, Shop
from turnability.stock.model import Stock, raw_across_mm
from turnability.stock.own_outside import own_segments
from turnability.stock.piece import bar_grip_mm, body_of, is_sawn

_ENDS: tuple[Toward, Toward] = ("low", "high")
_ALIKE = 1e-6
_Cost: TypeAlias = tuple[int, int, int, float]
"""What a blade copies, lines on tapers, which mate, and on close outsides; minutes a piece."""
_NONE: _Cost = (0, 0, 0, 0.0)
_COPIED = 2.0
"""Slopes and curves longer than so many of its widths a blade would have to copy (our choice)."""
_A_TRIFLE_MIN = 0.05
"""Half of what minutes are told to."""


def plan_of(
    part: Part,
    reach: Reach,
    lands: Sequence[Land],
    stock: Stock | None,
    shop: Shop,
    intent: Intent | None = None,
) -> Plan | None:
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
        return Plan(())
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
        nooks=nooks_of(profile),
        sawn=is_sawn(through, shop),
        heavy=_heavy_end(profile),
        plunges=plunges_of(profile),
        wishes=wishes,
        to_bore=to_bore_of(profile, groups, reach, shop.tools),
        to_ream=to_ream_of(wishes.bores, shop.tools),
        own=own_segments(profile, part.departures) if piece and piece.own_outside else frozenset(),
        no_pip=no_pip_ends(intent) | centred_ends(profile, intent) | clean_ends(profile, intent),
        true_ends=true_ends(profile, groups),
        bar_mm=size,
    )
    grip = bar_grip_mm(raw[0], size, body_of(profile), shop, through)
    firsts = [
        first_trial(job, held_by_bar(profile, toward, raw[0], size, job.parting_mm, grip))
        for toward in _ENDS
    ]
    own = own_firsts(job, lands) if job.own else []
    if own and slenderness(profile, "low", (-grip, 0.0)) > CHUCK_ONLY_LIMIT.value:
        firsts = own  # nobody lets all of it stand out to part it off
    tried = tried_ways(job, firsts, lands)
    if job.sawn:
        tried += pieces(job, min(tried, key=lambda trial: trial.rank), lands, raw[0], size)
    cost = _costs(tried, lands, stock)
    tried.sort(key=lambda trial: _order(trial, cost))
    best = tried[0]
    setups = _written(best, lands, job.lathe)
    cnc = bool(reach.cnc_only_segments)
    # grips alone stop a lathe, so another one's supports need no second look
    named = able_lathe(lathes_of(profile, piece, setups, shop, cnc), job.lathe)
    lathe = next((machine for machine in shop.machines if machine.name == named), None)
    if lathe is not None and lathe is not job.lathe:
        setups = _written(best, lands, lathe)
    return Plan(
        setups=setups,
        set_over=set_overs_of(part, lands, setups, shop, lathe, intent),
        rechucked=with_drilled(best.related(), setups, profile, shop),
        runner_up=_runner_up(tried, cost, lands),
        in_the_way=in_the_way(best, lands),
        lathe=named,
    )


def _order(trial: Trial, cost: Mapping[Trial, _Cost]) -> tuple[float, ...]:
    """Less is better; a line that matters sets it back before how stout the last grip is."""
    *lines, minutes = cost.get(trial, _NONE)
    grip = trial.rank[-OF_GRIP:]
    return (*trial.rank[:-OF_GRIP], *lines, *grip, minutes, not _heavy_first(trial))


def _runner_up(
    tried: Sequence[Trial], cost: Mapping[Trial, _Cost], lands: Sequence[Land]
) -> Rival | None:
    """The best of those that are held otherwise than the first."""
    best = tried[0]
    grips = [held.grip for held, _ in best.chuckings]
    rival = next((t for t in tried if [held.grip for held, _ in t.chuckings] != grips), None)
    if rival is None:
        return None
    near = (why := why_lost(rival, best)) == EQUAL
    alike = rival.rank[:-OF_GRIP] == best.rank[:-OF_GRIP]
    ours, theirs = cost.get(best, _NONE), cost.get(rival, _NONE)
    more = theirs[-1] - ours[-1]
    if alike and theirs[0] > ours[0]:
        near, why = False, "a blade would have to copy a slope or curve that a corner feeds along"
    elif alike and theirs[:-1] > ours[:-1]:
        what = "a taper" if theirs[1] > ours[1] else "a close surface"
        near, why = False, f"two tools share {what}, which leaves a line"
    elif near and more >= _A_TRIFLE_MIN:
        why = f"by the estimate of its work it takes {more:.1f} min more a piece"
    # what it leaves is told only where it is made in the best one's place
    written = partial(_written, rival, lands, rival.job.lathe)
    return Rival(written(leaves=False), why, near, written if near else None)


def _costs(
    tried: Sequence[Trial], lands: Sequence[Land], stock: Stock | None
) -> dict[Trial, _Cost]:
    """Of those that are equal in all else the lines that matter, and minutes a piece.

    None where one is alone. A line stands where two tools meet on a surface in one chucking; on an
    outside of which nothing close is stated nobody puts up another tool for it.
    """
    best = min(trial.rank for trial in tried)[:-OF_GRIP]
    equal = [trial for trial in tried if trial.rank[:-OF_GRIP] == best]
    if len(equal) < 2:
        return {}
    return {trial: _cost(trial, lands, stock) for trial in equal}


def _cost(trial: Trial, lands: Sequence[Land], stock: Stock | None) -> _Cost:
    job = trial.job
    setups = _written(trial, lands, job.lathe, leaves=False)
    effort = effort_of(
        job.part,
        setups,
        stock,
        job.shop,
        reach=job.reach,
        intent=job.intent,
        made_for=job.lathe.name if job.lathe is not None else None,
    )
    outer = {s.id: _is_taper(s) for s in job.profile.segments if s.surface == "outer"}
    lines = [
        s
        for setup in setups
        for s, n in Counter(
            s for o in setup.operations if o.kind in ("turn", "groove") for s in o.segments
        ).items()
        if s in outer and n > 1 and (outer[s] or s in job.wishes.close)
    ]
    minutes = 0.0 if effort is None else round(effort.minutes_per_piece, 1)
    return (_copied(setups, job), sum(outer[s] for s in lines), len(lines), minutes)


def _copied(setups: Sequence[Setup], job: Job) -> int:
    """How many slopes and curves of the outside blades would have to copy."""
    widths = {tool.name: tool.limits.get("width_mm", 0.0) for tool in job.shop.tools}
    curved = {
        s.id: s.curve.length()
        for s in job.profile.segments
        if s.surface == "outer" and (_is_taper(s) or not isinstance(s.curve, Line))
    }
    return sum(
        curved.get(s, 0.0) > _COPIED * widths.get(o.tool, 0.0)
        for setup in setups
        for o in setup.operations
        if o.kind == "groove"
        for s in o.segments
    )


def _is_taper(segment: Segment) -> bool:
    (_, r0), (_, r1) = segment.curve.start, segment.curve.end
    return isinstance(segment.curve, Line) and abs(r0 - r1) > SKIN_MM


def _heavy_first(trial: Trial) -> bool:
    return trial.chuckings[0][0].toward == trial.job.heavy


def _heavy_end(profile: Profile) -> Toward:
    """The end that more of the part stands at; low where neither is."""
    half = profile.length_mm / 2.0
    body, out = ground_of(profile).part_half, profile.max_diameter_mm / 2.0
    low, high = (volume_mm3(body & box(z, 0.0, z + half, out + 1.0)) for z in (0.0, half))
    return "high" if high > low * (1.0 + _ALIKE) else "low"


def _written(
    trial: Trial, lands: Sequence[Land], lathe: Machine | None, leaves: bool = True
) -> tuple[Setup, ...]:
    """The plan on a lathe in the report's words, with or without what it leaves."""
    job = trial.job
    finished = with_partly_cut(trial, from_own_end(trial, trial.finished()))
    setups: list[Setup] = []
    for order, (held, _) in enumerate(trial.chuckings, start=1):
        # nobody reads the order of one that is not made
        operations = without_unopened(
            job.profile,
            job.part.departures,
            _operations(trial, order, finished[order - 1], asked=leaves),
        )
        last = order == len(trial.chuckings)
        if held.holding.kind == "between-centres" and not held.raw:
            kept: Support = "between-centres"
            way = Supported(kept, tuple(replace(o, support=kept) for o in operations))
        else:
            cut = {s for one in setups for o in one.operations for s in o.segments}
            done = job.own | cut
            way = support_of(
                job.profile,
                held.toward,
                held.grip,
                operations,
                lathe,
                job.intent,
                lands,
                done,
            )
        setups.append(
            Setup(
                order=order,
                toward_chuck=held.toward,
                grip=held.grip,
                datum=datum_of(job, held, setups),
                support=way.support,
                operations=way.operations,
                left=_left(trial) if last and leaves else (),
                steady_z_mm=way.steady_z_mm,
                holding=held.holding,
                kept_clear=held.obstacles,
            )
        )
    return tuple(setups)


def _operations(trial: Trial, order: int, wanted: set[str], asked: bool) -> tuple[Operation, ...]:
    """What is done in one chucking; remembered, for a trial is written more than once.

    `asked`: in an order in which each tool gets at its surfaces, not only the usual one.
    """
    job, (held, removal) = trial.job, trial.chuckings[order - 1]
    known = job.operations.get((trial, order, asked))
    if known is None:
        earlier = [job.operations[trial, n, asked] for n in range(1, order)]
        chucking = Chucking(
            job.profile,
            job.shares(removal),
            held.toward,
            wanted=wanted.union(*(postponed for _, postponed in earlier)),
            chosen=job.reach.chosen_tools,
            used={o.tool for operations, _ in earlier for o in operations},
            wishes=job.wishes,
            parting=trial.parting if order == 1 else None,
            parted=end_face(job.profile, held.toward) if len(trial.chuckings) == 1 else (),
            before=job.before if order == 1 else trial.chuckings[order - 2][1].standing.gone,
            later=[other for _, other in trial.chuckings[order:]],
            begun={s for operations, _ in earlier for o in operations for s in o.segments},
            opened=_opened(trial, [operations for operations, _ in earlier]),
            bar_mm=job.bar_mm if order == 1 else 0.0,
        )
        known = job.operations[trial, order, asked] = operations_of(chucking, asked=asked)
    return known[0]


def _opened(trial: Trial, earlier: Sequence[Sequence[Operation]]) -> Region:
    """What a tube's bore, and drills in the chuckings before, have opened along the axis."""
    profile, opened = trial.job.profile, trial.job.before
    for (held, removal), operations in zip(trial.chuckings, earlier, strict=False):
        names = {o.tool for o in operations}
        works = [work for work in removal.works if work.tool.name in names]
        opened = opened | drilled_core(profile, held.toward, works)
    return opened


def _left(trial: Trial) -> tuple[SetupLeft, ...]:
    """What no tool reaches, and what only the holding hides."""
    job = trial.job
    anyway = [SetupLeft(left.segments, left.causes) for left in job.reach.left]
    outer = {s.id for s in job.profile.segments if s.surface != "inner"}
    by_jaws: list[SetupLeft] = []
    for piece, by_turns in zip(trial.stays, trial.by_turns(), strict=True):
        beside = touched(job.samples, piece)
        cause: Cause = "jaws"
        causes: tuple[Cause, ...]
        if by_turns:
            # outside a tool of the other hand does in one chucking what this one does from both
            cause = "hand" if set(beside) <= outer else "no-tool"
        causes = ("bar-length", cause) if bars_too_short(trial, beside, piece) else (cause,)
        by_jaws.append(SetupLeft(beside, causes, thickness_mm(piece)))
    if trial.sawn:
        # sawn off behind the part: that face is left as sawn
        by_jaws.append(SetupLeft(at_end(job.profile, trial.chuckings[-1][0].toward), ("jaws",)))
    return tuple(anyway + by_jaws)
