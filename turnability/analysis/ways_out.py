"""Other ways out of what stays uncut in a hollow: each the smallest that works, least of all first.

A rule proposes what its arithmetic tells. Here the hollow itself is drawn otherwise: its walls
opened, wider, with a wider entry, shallower, or the part split there. Each number is searched for
until a percent less does not do, and then proven like any other change. How much a change asks of
the design is measured by the volume that it adds to the part or takes away; splitting comes last.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from turnability.analysis.changed import changed_profiles, halves, with_entry, with_floor_filled
from turnability.analysis.hollow import MOST_OPEN_DEG, SIDES, Hollow, Side, hollow_of
from turnability.analysis.prove import Judge, bears_out, changed_part
from turnability.features.model import Feature
from turnability.part.model import Part, Profile
from turnability.reach.causes import Why, causes_of
from turnability.reach.left import LeftRegion, left_regions
from turnability.reach.model import Left, Reach
from turnability.reach.removal import Removal, removed_by
from turnability.rules.model import Change, Finding, NotJudged, View
from turnability.rules.recess_behind_small_entry import NAME as RECESS
from turnability.rules.unreached_surface import NAME, check
from turnability.shop.model import Tool
from turnability.units import length_text, mm_text

_KINDS = ("groove", "recess", "end-groove")
RULES = (NAME, RECESS)
"""Rules whose errors speak of what stays uncut in a hollow."""
MOST_HOLLOWS = 3
"""So many hollows of one part are drawn otherwise."""
MOST_TRIALS, MOST_TRIED_SEGMENTS = 80, 2000
"""So many other shapes of one are tried, fewer where each has many segments: it takes longer."""
MOST_TOLD = 4
"""So many ways out of one are told."""
SHARE = 0.01
"""A number that is smaller by this share does not do any more."""
MOST_WIDER = 3.0
"""A hollow is drawn no wider than this many times its width (ours)."""
LEAST_DEEP = 0.3
"""Nor shallower than this share of its depth (ours): a dome would be no dome any more."""
_TRIALS = 12
_FILLET, _ANYTHING = Why(("nose-radius",), None, None), Why(("no-tool",), None, None)
"""What is an error though a nose leaves it, and what may be one."""
_SAME_MM = 1e-3

Clears: TypeAlias = Callable[[Profile, float], bool]
"""Whether no error of such a rule stays of a changed profile, whose z count from that z."""


@dataclass(frozen=True, slots=True)
class _Way:
    change: Change
    profiles: tuple[Profile, ...]
    asks_mm3: float


def with_ways_out(view: View, findings: Sequence[Finding], judge: Judge) -> tuple[Finding, ...]:
    """The findings; those of a hollow with the least change that helps, and the others listed."""
    profile = view.part.profile
    by_hollow: dict[tuple[str, ...], tuple[Hollow, list[Finding]]] = {}
    for finding in findings:
        if profile is None or finding.rule not in RULES or finding.level != "error":
            continue
        hollow = hollow_of(profile, finding.where.segments)
        if hollow is not None and not _is_a_standards(hollow, view):
            by_hollow.setdefault(hollow.segments, (hollow, []))[1].append(finding)
    told: dict[str, Finding] = {}
    errors = [finding for finding in findings if finding.level == "error"]
    for hollow, own in list(by_hollow.values())[:MOST_HOLLOWS]:
        told |= _with_ways(view, hollow, own, [e for e in errors if e not in own], judge)
    return tuple(told.get(finding.id, finding) for finding in findings)


def _is_a_standards(hollow: Hollow, view: View) -> bool:
    """Whether it is a standard's groove, which is as what lies in it wants it."""
    return any(feature.matches for feature in _named(hollow, view))


def _named(hollow: Hollow, view: View) -> list[Feature]:
    own = set(hollow.segments)
    return [f for f in view.features or () if f.kind in _KINDS and own & set(f.segments)]


def _with_ways(
    view: View, hollow: Hollow, own: Sequence[Finding], others: Sequence[Finding], judge: Judge
) -> dict[str, Finding]:
    """Findings of one hollow, by their ids."""
    word = next((f.kind.replace("-", " ") for f in _named(hollow, view)), "hollow")
    told = _Words(hollow, word, view.shop.inch)
    found = [
        way
        for way in _ways(hollow, told, _clears(view, own), view.shop.tools)
        if _proves(view.part, way, others, judge)
    ]
    answers: dict[str, Finding] = {}
    for finding in own:
        ways, change = found, finding.change
        if change is not None and change.proven:
            made = changed_profiles(hollow.profile, finding, view.features or ())
            asks = min((_asks(hollow, one) for one in made), default=0.0)
            ways = [way for way in found if way.change.parameter != change.parameter]
            ways.append(_Way(change, (), asks))
        if ways:
            changes = [w.change for w in sorted(ways, key=lambda w: w.asks_mm3)][:MOST_TOLD]
            answers[finding.id] = replace(
                finding,
                change=changes[0],
                other_changes=tuple(changes[1:]),
                message=_message(finding, changes),
            )
    return answers


def _clears(view: View, own: Sequence[Finding]) -> Clears:
    """Asked of what stays alone, which is quick: what is found so is proven by a whole walk."""
    # what stays of a recess is an error however thin it is
    levels = ("error", "warning") if any(f.rule == RECESS for f in own) else ("error",)

    def errors(
        profile: Profile, regions: Sequence[LeftRegion], whys: Sequence[Why]
    ) -> list[Finding]:
        left = tuple(
            Left(f"L{n}", one.segments, one.area_mm2, one.volume_mm3, one.polygon, one.deepest_mm,
                 why.causes, why.nearest_tool, None)
            for n, (one, why) in enumerate(zip(regions, whys, strict=True), 1)
        )  # fmt: skip
        part = changed_part(view.part, profile)
        reach = Reach((), left, (), ())
        judged = check(View(part, view.shop, (), reach, None, None, None, None))
        return [] if isinstance(judged, NotJudged) else [f for f in judged if f.level in levels]

    def left_by_all(profile: Profile) -> tuple[Removal, tuple[LeftRegion, ...]]:
        removal = removed_by(profile, view.shop.tools, first=first)
        return removal, left_regions(removal)

    def new(found: Sequence[Finding], begins_mm: float) -> bool:
        return not all(any(_meet(e, one, begins_mm) for one in known) for e in found)

    def clears(profile: Profile, begins_mm: float) -> bool:
        trials.append(profile)
        if len(trials) > most:
            return False
        removal, regions = left_by_all(profile)
        # causes take as long as all else: they are asked only where something hangs on them
        if new(errors(profile, regions, [_FILLET] * len(regions)), begins_mm):
            return False
        in_doubt = [r for r in regions if new(errors(profile, [r], [_ANYTHING]), begins_mm)]
        whys = causes_of(removal, in_doubt, numbers=False)
        return not new(errors(profile, in_doubt, whys), begins_mm)

    profile = view.part.profile
    assert profile is not None
    trials: list[Profile] = []
    most = min(MOST_TRIALS, MOST_TRIED_SEGMENTS // len(profile.segments))
    first = () if view.reach is None else view.reach.chosen_tools
    removal, regions = left_by_all(profile)
    stays = errors(profile, regions, causes_of(removal, regions, numbers=False))
    known = [one for one in stays if not any(_meet(one, f, 0.0) for f in own)]
    return clears


def _meet(one: Finding, other: Finding, begins_mm: float) -> bool:
    """Whether two places meet, the first one's z counting from another z."""
    (a, b), (c, d) = one.where.z_mm or (0.0, 0.0), other.where.z_mm or (0.0, 0.0)
    (e, f), (g, h) = (w.where.diameter_mm or (0.0, 0.0) for w in (one, other))
    return a + begins_mm <= d and c <= b + begins_mm and e <= h and g <= f


def _proves(part: Part, way: _Way, others: Sequence[Finding], judge: Judge) -> bool:
    """Whether a whole analysis of the changed part, or of both that it falls into, bears it out."""
    if len(way.profiles) == 1:
        return bears_out(judge, changed_part(part, way.profiles[0]), others)
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
        head, tail = finding.message.removesuffix(finding.advice), ""
    first, *rest = (change.text for change in changes)
    others = "".join(f" Or {text[0].lower()}{text[1:]}" for text in rest)
    return f"{head}{first}{tail}{others}"


@dataclass(frozen=True, slots=True)
class _Words:
    """The changes in the drawing's terms."""

    hollow: Hollow
    word: str
    inch: bool

    def wider(self, to_mm: float) -> str:
        now = length_text(self.hollow.width_mm, self.inch)
        return f"Widen the {self.word} at its mouth from {now} to {length_text(to_mm, self.inch)}."

    def opened(self, to_deg: float, sides: Sequence[Side]) -> str:
        own = [self.hollow.wall_deg(side) for side in SIDES if side in sides]
        now = " and ".join(dict.fromkeys(f"{mm_text(round(a, 2))}°" for a in own if a is not None))
        walls = "both walls" if len(sides) > 1 else f"the wall at {self._at(sides[0])}"
        return f"Open {walls} of the {self.word} from {now} to {mm_text(to_deg)}° (square is 0°)."

    def shallower(self, to_mm: float) -> str:
        now = length_text(self.hollow.depth_mm, self.inch)
        return f"Make the {self.word} no deeper than {length_text(to_mm, self.inch)} (drawn {now})."

    def entry(self, to_mm: float, end: str) -> str:
        now = length_text(-2.0 * self.hollow.lip, self.inch)
        side = f" from the {end} end" if end else ""
        return f"Enlarge the entry{side} from ⌀{now} to ⌀{length_text(to_mm, self.inch)}."

    def split(self, at_mm: float) -> str:
        return (
            f"Split the part at z {length_text(at_mm, self.inch)}, where the {self.word} then lies "
            "open, and join the halves."
        )

    def _at(self, side: Side) -> str:
        frame, lip = self.hollow.frame, self.hollow.lips[side]
        if frame.in_end:
            return f"⌀{length_text(2.0 * lip[1], self.inch)}"
        return f"z {length_text(lip[0], self.inch)}"


def _ways(hollow: Hollow, told: _Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[_Way]:
    if clears(hollow.profile, 0.0):
        return  # what is wrong there only a whole analysis sees
    for some in (_opened, _wider, _with_entry, _shallower):
        yield from some(hollow, told, clears, tools)
    yield from _split(hollow, told, clears)


def _asks(hollow: Hollow, made: Profile) -> float:
    return abs(made.volume_mm3 - hollow.profile.volume_mm3)


def _opened(hollow: Hollow, told: _Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[_Way]:
    now = [hollow.wall_deg(side) for side in SIDES]
    flanks = {
        90.0 - t.limits["trailing_angle_deg"] for t in tools if "trailing_angle_deg" in t.limits
    }
    alone: Side = 0 if hollow.room_mm(0) >= hollow.room_mm(1) else 1
    every: tuple[tuple[Side, ...], ...] = ((0, 1), (alone,))
    found: list[_Way] = []
    for sides in every:
        own = [a for side in sides if (a := now[side]) is not None]
        if len(own) < len(sides):
            continue

        def made(to: float, sides: Sequence[Side] = sides) -> Profile | None:
            turned = [a if s in sides and (a := now[s]) is not None else None for s in SIDES]
            return hollow.opened([None if a is None else max(a, to) for a in turned])

        least, most = min(own), _most(made, min(own), MOST_OPEN_DEG)
        to = _least(made, (least, most), clears, {0.0, *flanks})
        profile = None if to is None else made(to)
        if to is not None and profile is not None:
            moved = [side for side in sides if (a := now[side]) is not None and a < to]
            change = Change(told.opened(to, moved), "wall_angle_deg", least, to, proven=True)
            found.append(_Way(change, (profile,), _asks(hollow, profile)))
    yield from sorted(found, key=lambda way: way.asks_mm3)[:1]


def _wider(hollow: Hollow, told: _Words, clears: Clears, tools: Sequence[Tool]) -> Iterator[_Way]:
    width = hollow.width_mm
    side: Side = 0 if hollow.room_mm(0) >= hollow.room_mm(1) else 1
    room = min(hollow.room_mm(side), (MOST_WIDER - 1.0) * width)

    def made(to: float) -> Profile | None:
        return hollow.wider(to - width, side)

    to = _least(made, (width, width + room), clears, _limits(tools, "width_mm"))
    profile = None if to is None else made(to)
    if to is not None and profile is not None:
        change = Change(told.wider(to), "width_mm", width, to, proven=True)
        yield _Way(change, (profile,), _asks(hollow, profile))


def _with_entry(
    hollow: Hollow, told: _Words, clears: Clears, tools: Sequence[Tool]
) -> Iterator[_Way]:
    if hollow.frame.in_end or hollow.frame.sign > 0.0 or hollow.lip >= -_SAME_MM:
        return
    entry, floor = -2.0 * hollow.lip, -2.0 * hollow.floor
    found: list[_Way] = []
    for end in ("low", "high"):

        def made(to: float, end: str = end) -> Profile | None:
            return with_entry(hollow.profile, hollow.span(), 0.5 * to, (end,))

        to = _least(made, (entry, floor - _SAME_MM), clears, _limits(tools, "min_bore_mm"))
        profile = None if to is None else made(to)
        if to is not None and profile is not None:
            change = Change(told.entry(to, end), "entry_diameter_mm", entry, to, proven=True)
            found.append(_Way(change, (profile,), _asks(hollow, profile)))
    yield from sorted(found, key=lambda way: way.asks_mm3)[:1]


def _shallower(
    hollow: Hollow, told: _Words, clears: Clears, tools: Sequence[Tool]
) -> Iterator[_Way]:
    depth = hollow.depth_mm

    def made(less: float) -> Profile | None:
        return with_floor_filled(hollow, depth + less)

    deep = {-t for name in ("depth_mm", "recess_depth_mm") for t in _limits(tools, name)}
    less = _least(made, (-depth, -LEAST_DEEP * depth), clears, deep)
    profile = None if less is None else made(less)
    if less is not None and profile is not None:
        change = Change(told.shallower(-less), "depth_mm", depth, -less, proven=True)
        yield _Way(change, (profile,), _asks(hollow, profile))


def _limits(tools: Sequence[Tool], name: str) -> set[float]:
    return {tool.limits[name] for tool in tools if name in tool.limits}


def _split(hollow: Hollow, told: _Words, clears: Clears) -> Iterator[_Way]:
    if hollow.frame.in_end:
        return
    low, high = hollow.floor_span()
    for at in dict.fromkeys((high, low)):
        parts = halves(hollow.profile, at)
        if len(parts) == 2 and clears(parts[0], 0.0) and clears(parts[1], at):
            change = Change(told.split(at), "split_at_mm", None, at, proven=True)
            yield _Way(change, parts, math.inf)
            return


def _most(made: Callable[[float], Profile | None], least: float, most: float) -> float:
    """The largest number with which there is a part at all, nearly."""
    if made(most) is not None:
        return most
    low, high = least, most
    for _ in range(_TRIALS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if made(middle) is not None else (low, middle)
    return low


def _least(
    made: Callable[[float], Profile | None],
    span: tuple[float, float],
    clears: Clears,
    guesses: Collection[float],
) -> float | None:
    """The smallest number that clears: a round one if one is, else to a share of the change.

    `span` are the number as drawn, which does not, and the largest of all. `guesses` are tried
    first: mostly it is a tool's own number that decides.
    """

    def does(value: float) -> bool:
        profile = made(value)
        return profile is not None and clears(profile, 0.0)

    begin, most = span
    if most <= begin + _SAME_MM or not does(most):
        return None
    fails, works = begin, most
    for guess in sorted(value for value in guesses if begin + _SAME_MM < value < most):
        if does(guess):
            works = guess
            break
        fails = guess
    less = works - SHARE * (works - begin)
    if works < most and less > fails:
        if not does(less):
            return works
        works = less
    for _ in range(_TRIALS):
        if works - fails <= SHARE * (works - begin):
            break
        middle = 0.5 * (fails + works)
        fails, works = (fails, middle) if does(middle) else (middle, works)
    step = 10.0 ** math.ceil(math.log10(works - fails))
    for digits in (step, 0.5 * step, 0.2 * step, 0.1 * step):
        rounded = round(math.floor(works / digits) * digits, 6)
        if rounded > fails:
            if rounded == works or does(rounded):
                return rounded
            fails = rounded
    told = math.ceil(works * 1000.0) / 1000.0  # as it is said
    return told if told <= most and does(told) else works
