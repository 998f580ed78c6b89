"""An intent settled on one part: its places found, its tolerances given their numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import dist
from typing import TypeVar

from turnability.errors import IntentUnusable
from turnability.intent.agree import together
from turnability.intent.fits import LARGEST_MM, FitClass, fit_class, fit_limits, letters_for
from turnability.intent.ground import most_left, sized
from turnability.intent.model import (
    EdgeBreak,
    Ground,
    Intent,
    Named,
    NoGrip,
    Related,
    Roughness,
    Span,
    StatedThread,
    Tolerance,
    span_words,
)
from turnability.intent.place import NotFound, find, find_corner, find_length, is_cylinder
from turnability.part.model import Part, Segment
from turnability.toml_file.keys import Fault
from turnability.toml_file.read import Found, error_of
from turnability.units import length_text, span_text

_FAR = 0.05
_FAR_MM = 0.5
"""Limits whose middle is farther than these from the size are another size's (common practice)."""
_OFF_MM = 2e-3
_T = TypeVar("_T")
_Finder = Callable[[Named, Part, bool], Named]


def settled(intent: Intent, part: Part, inch: bool = False) -> Intent:
    """The intent with every place found on the part and every tolerance's limits worked out.

    A part without a profile has no places: its intent comes back as it is. `inch`: how messages
    write lengths. Raises IntentUnusable, which tells all places that match nothing at once, each
    with its line and what comes nearest.
    """
    if part.profile is None:
        return intent
    work = _Settling(part, inch)
    done = replace(
        intent,
        tolerances=work.each(intent.tolerances, work.tolerance),
        roughness=work.each(intent.roughness, work.roughness),
        related=work.each(intent.related, work.related),
        threads=work.each(intent.threads, work.thread),
        no_grip=work.each(intent.no_grip, work.no_grip),
        edges=work.each(intent.edges, work.edge),
        ground=work.each(intent.ground, work.ground),
    )
    work.once([(t.place, t.of, t.stated) for t in done.tolerances])
    work.once([(r.place, "ra_um", f"Ra {r.ra_um:g}") for r in done.roughness])
    work.once([(t.place, "designation", t.designation) for t in done.threads])
    work.once([(e.place, "break_mm", span_words(e.break_mm, inch)) for e in done.edges])
    work.once([(g.place, "ground", g.by) for g in done.ground])
    work.apart(done.threads, done.ground)
    if work.found:
        raise error_of(work.found, intent.what, IntentUnusable)
    return _with_ground(done, part)


def _with_ground(intent: Intent, part: Part) -> Intent:
    """The intent with what turning leaves on what is ground, beside the finished sizes."""
    if not intent.ground:
        return intent
    meant = together(intent, part)
    return replace(intent, ground=tuple(sized(one, meant, part) for one in intent.ground))


def resettled(intent: Intent, part: Part) -> Intent:
    """A settled intent taken over to a changed version of its part (segments numbered anew).

    A place that the change has moved is taken by its z range and side, so that no protection is
    lost on the way; one that is not there any more names no segments.
    """
    if part.profile is None:
        return intent

    def again(named: Named, finder: Callable[[Named, Part], Named] = find) -> Named:
        if not named.segments or named.on_z_mm is None:
            return named
        # a corner that is not there any more has no range to be found by
        for one in (named,) if finder is find_corner else (named, _by_extent(named)):
            try:
                return replace(finder(one, part), line=named.line, where=named.where)
            except NotFound:
                continue
        return replace(named, segments=(), faces=())

    taken = replace(
        intent,
        tolerances=tuple(
            replace(t, place=again(t.place, find_length if t.of == "length" else find))
            for t in intent.tolerances
        ),
        roughness=tuple(replace(r, place=again(r.place)) for r in intent.roughness),
        related=tuple(
            replace(r, places=tuple(again(place) for place in r.places)) for r in intent.related
        ),
        threads=tuple(replace(t, place=again(t.place)) for t in intent.threads),
        no_grip=tuple(replace(n, place=again(n.place)) for n in intent.no_grip),
        edges=tuple(replace(e, place=again(e.place, find_corner)) for e in intent.edges),
        ground=tuple(replace(g, place=again(g.place)) for g in intent.ground),
    )
    return _with_ground(taken, part)


def _by_extent(named: Named) -> Named:
    return replace(
        named, diameter_mm=None, z_mm=named.on_z_mm, end=None, face=None, face_index=None
    )


class _Settling:
    """One part's surfaces, and the faults found so far."""

    def __init__(self, part: Part, inch: bool) -> None:
        assert part.profile is not None
        self.part = part
        self.inch = inch
        self.segments = {s.id: s for s in part.profile.segments}
        self.found: list[Found] = []

    def each(self, stated: tuple[_T, ...], settle: Callable[[_T], _T]) -> tuple[_T, ...]:
        return tuple(settle(one) for one in stated)

    def place(self, named: Named, finder: _Finder = find) -> Named:
        """The place found, or as it was where it is not there, which is remembered."""
        try:
            return finder(named, self.part, self.inch)
        except NotFound as lost:
            self.fault(named, None, lost.cause, lost.remedy)
            return named

    def fault(self, named: Named, key: str | None, cause: str, remedy: str) -> None:
        self.found.append(Found(named.line, named.where or "a place", Fault(key, cause, remedy)))

    def once(self, stated: list[tuple[Named, str, str]]) -> None:
        """Places, what is stated of them, and how: one place, one statement of a kind."""
        first: dict[object, tuple[Named, str]] = {}
        for named, of, how in stated:
            if not named.segments or named.on_z_mm is None:
                continue
            key = (of, named.segments, named.on_z_mm, named.on_diameter_mm, _one(named.z_mm))
            other, said = first.setdefault(key, (named, how))
            if said != how:
                cause = f"states {how} of a place of which line {other.line} states {said}"
                self.fault(named, None, cause, "Leave the one that holds")

    def tolerance(self, stated: Tolerance) -> Tolerance:
        place = self.place(stated.place, find_length if stated.of == "length" else find)
        if place.segments == () or place.on_z_mm is None or place.on_diameter_mm is None:
            return stated
        if stated.of == "surface":
            return replace(stated, place=place)
        if stated.of == "length":
            assert place.z_mm is not None
            nominal = place.on_z_mm[1] - place.on_z_mm[0]
            return self._sized(stated, place, nominal)
        segments = [self.segments[name] for name in place.segments]
        gauged = _one(place.diameter_mm) if _one(place.z_mm) is not None else None
        if gauged is None and not _one_diameter(segments):
            self.fault(
                place,
                None,
                f"names {place.text(self.inch)}, which has no one diameter",
                "Name one cylinder, or a taper by one diameter_mm and the z_mm where it has it",
            )
            return stated
        if stated.fit is not None:
            self._hole_or_shaft(stated, place, segments)
        return self._sized(stated, place, _one(place.diameter_mm) or place.on_diameter_mm[1])

    def _hole_or_shaft(self, stated: Tolerance, place: Named, segments: list[Segment]) -> None:
        fit = fit_class(stated.fit or "")
        inside = any(s.surface == "inner" for s in segments)
        if fit is not None and fit.hole != inside:
            other = stated.stated.swapcase()
            kind, here = ("holes", "an outside") if fit.hole else ("shafts", "an inside")
            cause = f"is {fit}, a class for {kind}, on {here} surface"
            self.fault(place, "fit", cause, f"Write {other}")

    def _sized(self, stated: Tolerance, place: Named, nominal_mm: float) -> Tolerance:
        nominal = round(nominal_mm, 6)
        if stated.limits_mm is not None:
            low, high = stated.limits_mm
            if abs(0.5 * (low + high) - nominal) > max(_FAR * nominal, _FAR_MM):
                self.fault(
                    place,
                    "limits_mm",
                    f"is {span_words(stated.limits_mm, self.inch)}, far from the size there, "
                    f"{span_words((nominal, nominal), self.inch)}",
                    "Correct limits_mm, or the place",
                )
            deviations = (round(low - nominal, 6), round(high - nominal, 6))
            return replace(stated, place=place, nominal_mm=nominal, deviations_mm=deviations)
        fit = None if stated.fit is None else fit_class(stated.fit)
        if fit is None:
            return replace(stated, place=place, nominal_mm=nominal)
        limits = fit_limits(fit, nominal)
        if limits.deviations_mm is None and nominal <= LARGEST_MM:
            self._no_limits(stated, place, fit, nominal)
        return replace(
            stated,
            place=place,
            nominal_mm=nominal,
            deviations_mm=limits.deviations_mm,
            width_mm=None if limits.width_mm is None else limits.width_mm.value,
            basis=limits.width_mm,
        )

    def _no_limits(self, stated: Tolerance, place: Named, fit: FitClass, nominal: float) -> None:
        size = f"{'⌀' if stated.of == 'diameter' else ''}{length_text(nominal, self.inch)}"
        known = [f"{letter}{fit.grade_text}" for letter in letters_for(fit, nominal)]
        may = f"It may be {', '.join(known)}" if known else "Grades go to 14 here"
        self.fault(
            place,
            "fit",
            f"is {fit}, for which ISO 286-1 has no limits at {size} in the tables here",
            f"{may}; or state limits_{'in' if self.inch else 'mm'} in place of fit",
        )

    def roughness(self, stated: Roughness) -> Roughness:
        return replace(stated, place=self.place(stated.place))

    def related(self, stated: Related) -> Related:
        places = tuple(self.place(named) for named in stated.places)
        known = places and all(place.segments for place in places)
        if known and len({name for place in places for name in place.segments}) < 2:
            self.fault(
                places[0],
                None,
                "relates one surface to itself alone",
                "Add the surface that it runs true to",
            )
        return replace(stated, places=places)

    def thread(self, stated: StatedThread) -> StatedThread:
        return replace(stated, place=self.place(stated.place))

    def no_grip(self, stated: NoGrip) -> NoGrip:
        return replace(stated, place=self.place(stated.place))

    def edge(self, stated: EdgeBreak) -> EdgeBreak:
        place = self.place(stated.place, find_corner)
        sides = [self.segments[name] for name in place.segments]
        short = min((dist(s.curve.start, s.curve.end) for s in sides), default=None)
        if short is not None and stated.break_mm[1] > short + _OFF_MM:
            self.fault(
                place,
                "break_mm",
                f"is {span_text(stated.break_mm, self.inch)}, where a surface beside this edge is "
                f"only {length_text(short, self.inch)} long",
                "Write a break that leaves something of both surfaces, or draw the chamfer",
            )
        return replace(stated, place=place)

    def ground(self, stated: Ground) -> Ground:
        place = self.place(stated.place)
        sorts = {self.segments[name].surface for name in place.segments}
        if len(sorts) > 1:
            self.fault(
                place,
                None,
                f"names {place.text(self.inch)}, which is of more than one sort",
                'Name outside, inside and faces each by itself, with side = "outside" or "inside"',
            )
        elif "end" in sorts and stated.by == "honing":
            self.fault(place, "by", "is honing, of a face", 'Write "grinding" or "lapping"')
        elif "outer" in sorts and stated.by == "honing":
            way = 'A hone follows a bore: write "grinding" or "lapping", or name the bore'
            self.fault(place, "by", "is honing, of an outside surface", way)
        elif stated.leave_mm is not None and place.segments:
            self.left(replace(stated, place=place), stated.leave_mm)
        return replace(stated, place=place)

    def left(self, ground: Ground, leave_mm: Span) -> None:
        """That no more is left than another machine takes off in reason."""
        most = most_left(ground, self.part)
        if most is not None and leave_mm[1] > most + _OFF_MM:
            self.fault(
                ground.place,
                "leave_mm",
                f"is {span_text(leave_mm, self.inch)}, far more than {ground.by} takes off "
                f"{ground.place.text(self.inch)}",
                f"Write at most {length_text(most, self.inch)}, or leave this key out for "
                "what is usual",
            )

    def apart(self, threads: tuple[StatedThread, ...], ground: tuple[Ground, ...]) -> None:
        """That nothing is both a thread and ground to a size."""
        for one in ground:
            for thread in threads:
                if _meet(one.place, thread.place):
                    self.fault(
                        one.place,
                        None,
                        f"is of a surface of which line {thread.place.line} states the thread "
                        f"{thread.designation}: a thread's crests are not ground to a size",
                        "Leave out one of the two, or name by z_mm which stretch is which",
                    )


def _meet(one: Named, other: Named) -> bool:
    """Whether two places have some length of a surface in common."""
    if not set(one.segments) & set(other.segments):
        return False
    a, b = one.on_z_mm, other.on_z_mm
    return a is None or b is None or min(a[1], b[1]) - max(a[0], b[0]) > _OFF_MM


def _one(span: tuple[float, float] | None) -> float | None:
    """The number of a range without width; None of any other."""
    return span[0] if span is not None and span[0] == span[1] else None


def _one_diameter(segments: list[Segment]) -> bool:
    sizes = [2.0 * p[1] for s in segments for p in (s.curve.start, s.curve.end)]
    return all(is_cylinder(s) for s in segments) and max(sizes) - min(sizes) <= 2e-3
