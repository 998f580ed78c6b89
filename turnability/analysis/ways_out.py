"""Other ways out of what stays uncut: each the smallest that works, the least of all first.

A rule proposes what its arithmetic tells. Here the place itself is drawn otherwise, a hollow or a
bore. Each number is searched for until a percent less does not do, and then proven like any other
change. How much a change asks of the design is measured by the volume that it adds to the part or
takes away; splitting comes last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from turnability.analysis.changed import changed_profiles
from turnability.analysis.hollow import Hollow, hollow_of, hollows_of
from turnability.analysis.least import Clears, Way, asks
from turnability.analysis.prove import Judge, bears_out, changed_part, still_there
from turnability.analysis.ways_of_bore import ways_of_bore
from turnability.analysis.ways_of_hollow import Words, ways_of_hollow
from turnability.features.model import Feature
from turnability.half_plane.curves import Point
from turnability.half_plane.regions import Region
from turnability.part.model import Part, Profile
from turnability.reach.causes import Why, causes_of
from turnability.reach.compute import gone_by
from turnability.reach.ground import ground_of
from turnability.reach.left import LeftRegion, left_regions
from turnability.reach.model import Left, Reach
from turnability.reach.removal import removed_by
from turnability.rules.model import Change, Finding, NotJudged, View
from turnability.rules.narrow_throat import THROAT
from turnability.rules.recess_behind_small_entry import NAME as RECESS
from turnability.rules.unreached_surface import NAME, check

_KINDS = ("groove", "recess", "end-groove")
RULES = (NAME, RECESS)
"""Rules whose errors speak of what stays uncut in a hollow or a bore."""
MOST_PLACES = 3
"""So many places of one part are drawn otherwise."""
MOST_TRIALS, MOST_TRIED_SEGMENTS = 80, 2000
"""So many other shapes of one are tried, fewer where each has many segments: it takes longer."""
MOST_TOLD = 4
"""So many ways out of one are told."""
_FILLET, _ANYTHING = Why(("nose-radius",), None, None), Why(("no-tool",), None, None)
"""What is an error though a nose leaves it, and what may be one."""
_WIDER = (THROAT, "bore_diameter_mm")
"""One change by two names: all along the bore, or as far as need be."""
_SAME, _SAME_MM = 1e-3, 2e-3
"""What stays is the same as before where area and place agree so well."""


def with_ways_out(view: View, findings: Sequence[Finding], judge: Judge) -> tuple[Finding, ...]:
    """The findings; those of what stays with the least change that helps, and the others listed."""
    told: dict[str, Finding] = {}
    errors = [finding for finding in findings if finding.level == "error"]
    for hollow, own in list(_places(view, errors))[:MOST_PLACES]:
        others = [error for error in errors if error not in own]
        told |= _with_ways(view, hollow, own, others, judge)
    return tuple(told.get(finding.id, finding) for finding in findings)


def _places(view: View, errors: Sequence[Finding]) -> Iterator[tuple[Hollow | None, list[Finding]]]:
    """Findings of one hollow together, any other by itself; none of what a standard draws so."""
    profile = view.part.profile
    by_hollow: dict[tuple[str, ...], tuple[Hollow | None, list[Finding]]] = {}
    for finding in errors:
        if profile is None or finding.rule not in RULES:
            continue
        hollow = hollow_of(profile, finding.where.segments)
        if hollow is not None and _is_a_standards(hollow, view):
            continue
        key = (finding.id,) if hollow is None else hollow.segments
        by_hollow.setdefault(key, (hollow, []))[1].append(finding)
    yield from by_hollow.values()


def _is_a_standards(hollow: Hollow, view: View) -> bool:
    """Whether it is a standard's groove, which is as what lies in it wants it."""
    return any(feature.matches for feature in _named(hollow, view))


def _named(hollow: Hollow, view: View) -> list[Feature]:
    own = set(hollow.segments)
    return [f for f in view.features or () if f.kind in _KINDS and own & set(f.segments)]


def _with_ways(
    view: View,
    hollow: Hollow | None,
    own: Sequence[Finding],
    others: Sequence[Finding],
    judge: Judge,
) -> dict[str, Finding]:
    """Findings of one place, by their ids."""
    profile = view.part.profile
    assert profile is not None
    clears = _clears(view, own)
    if clears(profile, 0.0):
        return {}  # what is wrong there only a whole analysis sees
    found: list[Way] = []
    for tried in _searches(view, hollow, own, clears):
        found = [way for way in tried if _proves(view.part, way, (own, others), judge)]
        if found:
            break
    answers: dict[str, Finding] = {}
    for finding in own:
        ways, change = found, finding.change
        if change is not None and change.proven:
            made = changed_profiles(profile, finding, view.features or ())
            asked = min((asks(profile, one) for one in made), default=0.0)
            same = _WIDER if change.parameter in _WIDER else (change.parameter,)
            ways = [way for way in found if way.change.parameter not in same]
            ways.append(Way(change, (), asked))
        if ways:
            changes = [w.change for w in sorted(ways, key=lambda w: w.asks_mm3)][:MOST_TOLD]
            answers[finding.id] = replace(
                finding,
                change=changes[0],
                other_changes=tuple(changes[1:]),
                message=_message(finding, changes),
            )
    return answers


def _searches(
    view: View, hollow: Hollow | None, own: Sequence[Finding], clears: Clears
) -> Iterator[Iterator[Way]]:
    """What the place may be drawn as, one after another: the next where one yields nothing."""
    profile, inch = view.part.profile, view.shop.inch
    assert profile is not None
    others = hollows_of(profile, own[0].where.segments) if len(own) == 1 else ()
    for one in dict.fromkeys((hollow, *others) if hollow is not None else ()):
        if one is not None and (one == hollow or one.frame.in_end):
            word = next((f.kind.replace("-", " ") for f in _named(one, view)), "hollow")
            yield ways_of_hollow(Words(one, word, inch), clears, view.shop.tools)
    if len(own) == 1:
        yield ways_of_bore(profile, own[0].where, inch, clears, view.shop.tools)


def _clears(view: View, own: Sequence[Finding]) -> Clears:
    """Asked of what stays alone, which is quick: what is found so is proven by a whole walk."""
    profile, reach = view.part.profile, view.reach
    assert profile is not None
    assert reach is not None
    # what stays of a recess is an error however thin it is
    levels = ("error", "warning") if any(f.rule == RECESS for f in own) else ("error",)
    stays = _judged(view, profile, reach.left, levels)
    known = [one for one in stays if not any(_meet(one, f, 0.0) for f in own)]
    trials: list[Profile] = []
    most = min(MOST_TRIALS, MOST_TRIED_SEGMENTS // len(profile.segments))
    first = reach.chosen_tools
    drawn, gone = ground_of(profile), gone_by(profile, view.shop.tools, first)

    def gone_too(changed: Profile) -> Region | None:
        """What is gone of the part is gone of any that is less; None where this one is not."""
        more = ground_of(changed).part_half - drawn.part_half
        return gone if more.without_slivers().empty else None

    def new(changed: Profile, left: Sequence[Left], begins_mm: float) -> bool:
        found = _judged(view, changed, left, levels)
        return not all(
            any(_meet(e, one, begins_mm) for one in known)
            and not any(still_there(e, one, begins_mm) for one in own)
            for e in found
        )

    def clears(changed: Profile, begins_mm: float) -> bool:
        trials.append(changed)
        if len(trials) > most:
            return False
        before = gone_too(changed) if begins_mm == 0.0 else None
        removal = removed_by(changed, view.shop.tools, gone_before=before, first=first)
        regions = left_regions(removal)
        # causes take as long as all else: they are asked only where something hangs on them
        if new(changed, [_as_left(one, _FILLET) for one in regions], begins_mm):
            return False
        whys = [_same_why(one, reach.left, begins_mm) for one in regions]
        told = [_as_left(one, why) for one, why in zip(regions, whys, strict=True) if why]
        if new(changed, told, begins_mm):
            return False
        in_doubt = [
            one
            for one, why in zip(regions, whys, strict=True)
            if why is None and new(changed, [_as_left(one, _ANYTHING)], begins_mm)
        ]
        asked = causes_of(removal, in_doubt, numbers=False)
        left = [_as_left(one, why) for one, why in zip(in_doubt, asked, strict=True)]
        return not new(changed, left, begins_mm)

    return clears


def _judged(
    view: View, profile: Profile, left: Sequence[Left], levels: Sequence[str]
) -> list[Finding]:
    """What of that is said to stay uncut of a changed profile, at these levels."""
    part, reach = changed_part(view.part, profile), Reach((), tuple(left), (), ())
    judged = check(View(part, view.shop, (), reach, None, None, None, None))
    return [] if isinstance(judged, NotJudged) else [f for f in judged if f.level in levels]


def _as_left(one: LeftRegion, why: Why) -> Left:
    return Left("", one.segments, one.area_mm2, one.volume_mm3, one.polygon, one.deepest_mm,
                why.causes, why.nearest_tool, None)  # fmt: skip


def _same_why(one: LeftRegion, known: Sequence[Left], begins_mm: float) -> Why | None:
    """Why it stays where the same stays of the part as drawn; its z count from another z."""
    for left in known:
        if abs(left.area_mm2 - one.area_mm2) > _SAME * left.area_mm2:
            continue
        (z0, r0), (z1, r1) = _span(left.polygon)
        (u0, v0), (u1, v1) = _span(one.polygon)
        off = (u0 + begins_mm - z0, u1 + begins_mm - z1, v0 - r0, v1 - r1)
        if max(map(abs, off)) <= _SAME_MM:
            return Why(left.causes, left.nearest_tool, None)
    return None


def _span(points: Sequence[Point]) -> tuple[Point, Point]:
    z, r = zip(*points, strict=True)
    return (min(z), min(r)), (max(z), max(r))


def _meet(one: Finding, other: Finding, begins_mm: float) -> bool:
    """Whether two places meet, the first one's z counting from another z."""
    (a, b), (c, d) = one.where.z_mm or (0.0, 0.0), other.where.z_mm or (0.0, 0.0)
    (e, f), (g, h) = (w.where.diameter_mm or (0.0, 0.0) for w in (one, other))
    return a + begins_mm <= d and c <= b + begins_mm and e <= h and g <= f


def _proves(
    part: Part, way: Way, known: tuple[Sequence[Finding], Sequence[Finding]], judge: Judge
) -> bool:
    """Whether a whole analysis of the changed part, or of both that it falls into, bears it out.

    `known`: the errors that it is to take away, and all others.
    """
    own, others = known
    if len(way.profiles) == 1:
        return bears_out(judge, changed_part(part, way.profiles[0]), others, own)
    # each is held and made in its own way: only what stays uncut counts
    for one in way.profiles:
        outcome = next(judge(changed_part(part, one), None, ()), None)
        if outcome is None or any(
            f.level == "error" and f.rule not in {other.rule for other in others}
            for f in outcome.findings
        ):
            return False
    return True


def _message(finding: Finding, changes: Sequence[Change]) -> str:
    """What was said, with the changes in the place of the advice."""
    own = finding.change
    if own is not None and own.text in finding.message:
        head, _, tail = finding.message.partition(own.text)
    else:
        head, tail = finding.message.removesuffix(finding.advice).rstrip() + " ", ""
    first, *rest = (change.text for change in changes)
    others = "".join(f" Or {text[0].lower()}{text[1:]}" for text in rest)
    return f"{head}{first}{tail}{others}"
