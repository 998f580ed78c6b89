"""One part through all stages above it, in order; pure, and free of the CAD kernel.

A stage that fails by a fault of the program leaves None behind and is remembered among
the rules as crashed, so that it is never taken for passed.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from time import perf_counter
from typing import TYPE_CHECKING, Any, Literal, TypeAlias, TypeVar

from turnability import __version__
from turnability.errors import TurnabilityError
from turnability.features.model import Feature, ThreadStatement
from turnability.intent.model import Intent
from turnability.part.model import Part, Profile
from turnability.reach.model import Reach
from turnability.report import Report, Verdict
from turnability.rules.model import Finding, RuleOutcome, RuleStatus, View
from turnability.setups.effort.model import Effort
from turnability.setups.model import LatheJudged, Plan, Setup
from turnability.setups.taper_model import TaperChucking
from turnability.shop.model import Machine, Shop, Tool

if TYPE_CHECKING:
    from turnability.analysis.restated import Restated

T = TypeVar("T")
NextBest: TypeAlias = Callable[[], tuple[Setup, ...]]

_log = logging.getLogger("turnability")


def walk(
    part: Part,
    shop: Shop,
    options: Mapping[str, Any] | None = None,
    intent: Intent | None = None,
) -> Report:
    """All stages above the part, in order; pure, and free of the kernel.

    The changes that rules propose for errors are proven by a second walk where that can be done.
    Raises IntentUnusable where the intent names a place that the part does not have.
    """
    from turnability.shop.material import with_material

    if intent is None:
        shop = with_material(shop, None, None)
    else:
        from turnability.intent.settle import settled

        intent = settled(intent, part, shop.inch)
        shop = with_material(shop, intent.material, intent.density_kg_per_mm3)
    run = _Run({"read": part.read_s, "axis": part.axis_s, "profile": part.profile_s})
    view = _view(part, shop, run, intent)
    outcome = run.stage("rules", "setups", lambda: _judged(view)) or RuleOutcome((), ())
    proven = run.stage("proofs", "setups", lambda: _proven(view, outcome))
    outcome = proven or outcome
    effort = run.stage("effort", "setups", lambda: _effort(view)) if view.setups else None
    reach = run.stage("stands", "reach", lambda: _with_stands(view)) or view.reach
    setups = run.stage("last places", "setups", lambda: _with_last_places(view)) or view.setups
    # A crashed stage stands among the rules: what it would have said is not known, so the
    # verdict must not be a good one.
    statuses = (*outcome.statuses, *run.crashed)
    verdict = run.stage("verdict", "setups", lambda: _verdict(part, outcome.findings, statuses))
    return Report(
        turnability_version=__version__,
        part=part,
        shop_name=shop.name,
        shop_sha256=shop.sha256,
        options=dict(options or {}),
        verdict=verdict or "undetermined",
        features=view.features or (),
        reach=reach,
        setups=setups or (),
        stock=view.stock,
        findings=outcome.findings,
        rules=(*outcome.statuses, *run.crashed),
        assumptions=outcome.assumptions,
        timings_s=run.timings_s,
        inch=shop.inch,
        intent=intent,
        effort=effort,
        plan=view.plan,
        tools=shop.tools,
    )


class _Run:
    """What one walk remembers on its way: times and stages that crashed."""

    def __init__(self, timings_s: Mapping[str, float]) -> None:
        self.timings_s = dict(timings_s)
        self.crashed: list[RuleStatus] = []

    def stage(self, name: str, timed_as: str, work: Callable[[], T]) -> T | None:
        """Do one stage's work; a fault of the program is kept as a crash and gives None.

        Want of memory is none: what comes after would want it too.
        """
        begin = perf_counter()
        try:
            return work()
        except (TurnabilityError, MemoryError):
            raise
        except Exception as fault:
            _log.debug("stage %s crashed", name, exc_info=True)
            self.crashed.append(
                RuleStatus(f"stage-{name}", "crashed", f"{type(fault).__name__}: {fault}")
            )
            return None
        finally:
            spent = perf_counter() - begin
            self.timings_s[timed_as] = self.timings_s.get(timed_as, 0.0) + spent


def _view(part: Part, shop: Shop, run: _Run, intent: Intent | None = None) -> View:
    """Features, reach, stock, lands and setups of a part; all None where it has no profile."""
    return _bent(*_held(_freely(part, shop, run, intent), run), run)


def _bent(view: View, next_best: NextBest | None, run: _Run) -> View:
    """The same with the free end carried where it bends, and how far each setup then does."""
    plan = view.plan
    if plan is None or not plan.setups:
        return view
    from turnability.intent.ground import as_turned
    from turnability.setups.bending.carry import carried

    part, intent = as_turned(view.part, view.intent)
    shop, lands, stock = view.shop, view.lands or (), view.stock
    bent = run.stage(
        "bending", "setups", lambda: carried(part, plan, lands, stock, shop, intent, next_best)
    )
    if bent is None:
        return view
    made = bent
    lathes = run.stage("lathes", "setups", lambda: _lathes(view, made))
    tapers = run.stage("tapers", "setups", lambda: _tapers(view, made))
    made = replace(made, lathes=lathes or (), tapers=tapers or ())
    return replace(view, setups=made.setups, plan=made)


def _tapers(view: View, plan: Plan) -> tuple[TaperChucking, ...]:
    from turnability.setups.set_over.taper_chuckings import taper_chuckings

    assert view.part.profile is not None
    lathe = next((m for m in view.shop.machines if m.name == plan.lathe), None)
    lands, features = view.lands or (), view.features or ()
    return taper_chuckings(
        view.part.profile, plan.setups, features, lands, view.shop, lathe, view.intent
    )


def _lathes(view: View, plan: Plan) -> tuple[LatheJudged, ...]:
    from turnability.setups.effort.lathes import lathes_of

    piece = view.stock.choice if view.stock is not None else None
    cnc = view.reach is not None and bool(view.reach.cnc_only_segments)
    assert view.part.profile is not None
    return lathes_of(view.part.profile, piece, plan.setups, view.shop, cnc)


def _freely(part: Part, shop: Shop, run: _Run, intent: Intent | None, numbers: bool = True) -> View:
    """What is known with the part held by nothing: its features and reach."""
    if part.profile is None:
        return View(part, shop, None, None, None, None, None, intent)
    from turnability.features.recognise import recognise
    from turnability.reach.compute import reach_of
    from turnability.rules.implausible_size import LARGEST_MM, SMALLEST_MM

    profile: Profile = part.profile
    features = run.stage(
        "features",
        "features",
        lambda: _on_the_part(
            recognise(profile, part.threads, _stated_threads(part, intent), part.departures), part
        ),
    )
    # a part in the wrong unit: hand tools would creep over tens of metres for minutes, and below
    # the smallest size the tolerances of reach are no longer small
    reach = None
    if SMALLEST_MM <= max(profile.length_mm, profile.max_diameter_mm) <= LARGEST_MM:
        reach = run.stage("reach", "reach", lambda: reach_of(profile, shop.tools, numbers))
    return View(part, shop, features, reach, None, None, None, intent)


def _on_the_part(features: Sequence[Feature], part: Part) -> tuple[Feature, ...]:
    """Without the hollows that eccentrics leave about the part's own axis: no bores of the part."""
    from turnability.setups.surfaces.swept import swept_hollows

    assert part.profile is not None
    hollow = swept_hollows(part.profile, part.departures)
    kept = [f for f in features if not f.segments or not hollow.issuperset(f.segments)]
    if len(kept) == len(features):
        return tuple(features)
    named = {one.id: f"F{n}" for n, one in enumerate(kept, start=1)}
    return tuple(replace(one, id=named[one.id], parent=named.get(one.parent or "")) for one in kept)


def _held(view: View, run: _Run) -> tuple[View, NextBest | None]:
    """The same with stock, lands and setups, none of them bent, and what tells the next best."""
    part, shop, intent, reach = view.part, view.shop, view.intent, view.reach
    if part.profile is None:
        return view, None
    from turnability.intent.ground import as_turned, left_to_grind
    from turnability.setups.holding.lands import find_lands
    from turnability.setups.plan import plan_of
    from turnability.stock.choose import choose_stock, is_as_told
    from turnability.stock.own_outside import why_turned

    profile: Profile = part.profile
    stays = bool(intent and intent.bar_outside) and why_turned(part, intent) is None
    part, intent = as_turned(part, intent)
    more = left_to_grind(part, intent, profile.max_diameter_mm)
    quantity = (intent.quantity if intent is not None else None) or 1
    cut = partial(
        choose_stock,
        profile if not more else replace(profile, max_diameter_mm=profile.max_diameter_mm + more),
        shop,
        departures=part.departures,
        outside_stays=stays,
        quantity=quantity,
    )
    stock = run.stage("stock", "setups", cut)
    ungripped = intent.ungripped if intent is not None else ()
    piece = None if stock is None else stock.choice
    lands = run.stage("lands", "setups", lambda: find_lands(part, ungripped, piece))
    planned = None
    if reach is not None and lands is not None:
        planned = run.stage(
            "setups", "setups", lambda: plan_of(part, reach, lands, stock, shop, intent)
        )
    plan = None if planned is None else planned.plan
    next_best = None if planned is None or planned.near is None else planned.next_best
    if plan is not None:
        own = plan.own_end
        lathe: Machine | Literal["none"] | None = next(
            (m for m in shop.machines if m.name == plan.lathe), None
        )
        if lathe is None and plan.setups and shop.machines:
            lathe = "none"
        if stock is None or not is_as_told(stock, shop, own, lathe):
            again = run.stage("stock", "setups", lambda: cut(own_end=own, lathe=lathe))
            stock = again or stock
    setups = None if plan is None else plan.setups
    return replace(view, lands=lands, setups=setups, stock=stock, plan=plan), next_best


def _stated_threads(part: Part, intent: Intent | None) -> tuple[ThreadStatement, ...]:
    """Threads that the intent states, and those that faces of the file are named for."""
    stated = [
        ThreadStatement(thread.place.segments, thread.designation, "intent", thread.place.on_z_mm)
        for thread in (intent.threads if intent is not None else ())
    ]
    stated += [
        ThreadStatement(face.segments, face.name, "file")
        for face in part.faces
        if face.name and face.segments
    ]
    return tuple(stated)


def _effort(view: View) -> Effort | None:
    from turnability.intent.ground import as_turned
    from turnability.setups.effort.estimate import effort_of

    part, intent = as_turned(view.part, view.intent)
    made = effort_of(
        part,
        view.setups,
        view.stock,
        view.shop,
        view.features or (),
        view.reach,
        intent,
        None if view.plan is None else view.plan.lathe,
        () if view.plan is None else view.plan.set_over,
    )
    if made is not None and view.plan is not None and view.plan.lathe is None:
        return replace(made, lathe=None)  # reckoned as on one that is stopped
    return made


def _with_stands(view: View) -> Reach | None:
    """Reach with where the nearest tools would stand; not for every proof, only for the report."""
    from turnability.reach.stand import with_stands

    if view.reach is None or view.part.profile is None:
        return None
    return with_stands(view.reach, view.part.profile, view.shop.tools)


def _with_last_places(view: View) -> tuple[Setup, ...] | None:
    """The setups with where each tool ends its work, to draw it there; for the report alone."""
    from turnability.setups.operations.last_place import with_last_places
    from turnability.setups.operations.threading import beyond_for_taps

    profile, setups = view.part.profile, view.setups
    if not setups or profile is None:
        return None
    features = view.features or ()
    beyond = [beyond_for_taps(features, setups, one, profile, view.shop) for one in setups]
    return with_last_places(setups, profile, view.shop.tools, beyond)


def _judged(view: View) -> RuleOutcome:
    from turnability.rules.judge import judge

    return judge(view)


def _proven(view: View, outcome: RuleOutcome) -> RuleOutcome:
    """The outcome with those changes marked that a walk on the changed profile proves."""
    from turnability.analysis.inside_corners import with_corners_proven
    from turnability.analysis.prove import with_proofs
    from turnability.analysis.ways_out import with_ways_out
    from turnability.intent.settle import resettled

    def judge_again(
        part: Part, told: Restated | None, tools: tuple[Tool, ...]
    ) -> Iterator[RuleOutcome | None]:
        # only errors count: none of them hangs on what a tool would need
        again = _Run({})
        intent = None if view.intent is None else resettled(view.intent, part)
        if told is not None:
            intent = told(intent or Intent(), part)
        shop = replace(view.shop, tools=(*view.shop.tools, *tools)) if tools else view.shop
        known = _freely(part, shop, again, intent, numbers=False)
        yield None if again.crashed else _judged(known)
        held, next_best = _held(known, again)
        yield None if again.crashed else _judged(held)
        judged = _judged(_bent(held, next_best, again))
        yield None if again.crashed else judged

    if view.part.profile is None or view.features is None:
        return outcome
    findings = with_proofs(view.part, view.features, outcome.findings, judge_again)
    findings = with_ways_out(view, findings, judge_again)
    return replace(outcome, findings=with_corners_proven(view, findings))


def judged_once(
    part: Part, shop: Shop, intent: Intent | None
) -> tuple[tuple[Finding, ...], float | None] | None:
    """Findings of a changed part and the minutes that one takes, without proofs of changes.

    `intent` is settled, as reports have it. What tools would need is not asked, so of the findings
    only errors are as in a whole walk. None where a stage crashed.
    """
    found = planned_once(part, shop, intent)
    return None if found is None else found[1:]


def planned_once(
    part: Part, shop: Shop, intent: Intent | None
) -> tuple[View, tuple[Finding, ...], float | None] | None:
    """The same with what was planned."""
    from turnability.intent.settle import resettled
    from turnability.shop.material import with_material

    if intent is None:
        shop = with_material(shop, None, None)
    else:
        intent = resettled(intent, part)
        shop = with_material(shop, intent.material, intent.density_kg_per_mm3)
    run = _Run({})
    view = _bent(*_held(_freely(part, shop, run, intent, numbers=False), run), run)
    outcome = run.stage("rules", "setups", lambda: _judged(view))
    effort = run.stage("effort", "setups", lambda: _effort(view)) if view.setups else None
    if outcome is None or run.crashed or any(s.status == "crashed" for s in outcome.statuses):
        return None
    return view, outcome.findings, None if effort is None else effort.minutes_per_piece


def _verdict(
    part: Part, findings: tuple[Finding, ...], statuses: tuple[RuleStatus, ...]
) -> Verdict:
    from turnability.rules.verdict import verdict_of

    return verdict_of(part, findings, statuses)
