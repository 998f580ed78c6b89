"""What is sent to be ground, honed or lapped: the size it is turned to, how it is held there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from turnability.features.standards import rows
from turnability.half_plane.curves import Arc
from turnability.intent.agree import together
from turnability.intent.ground import (
    FINEST_RA_UM,
    TURNED_RA_UM,
    finished,
    ground_segments,
    trued_segments,
)
from turnability.intent.model import Ground, Intent, Named, Roughness, Tolerance
from turnability.part.model import Profile, Segment
from turnability.rules.drawn import PIN, TURNING_TOOL, Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.holding.grinding import drilled_mm, held_for_grinding
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.shop.model import Tool
from turnability.units import length_text, mm_text, number_text, span_text

NAME = "ground-after-turning"
LEVELS = ("error", "warning", "note")
WHY = "The lathe leaves an allowance that the wheel takes off; the size comes from another machine."
LIMIT = (
    "a note on what is ground; an error where a drill leaves too little of it, a warning where one "
    "leaves more than is stated, where a wheel cannot run out at a shoulder, or where what "
    "is asked is finer than what finishes it leaves"
)
BASIS = (
    "allowances by diameter and length are common practice, no source, from memory; undercuts to "
    "DIN 509"
)
_SAME_MM = 1e-3
_STEP_MM = 0.05
_ROUND_MM = 0.1
"""What is proposed to be left lies so far about what a drill leaves (IT12 of ⌀10 to 18: 0.18)."""
_DONE = {"grinding": "ground", "honing": "honed", "lapping": "ground, then lapped"}


def check(view: View) -> Judgement:
    """A note on all that is ground, a warning for each shoulder without an undercut."""
    intent, profile = view.intent, view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    if intent is None or not intent.ground:
        return ()
    meant = together(intent, view.part)
    known = [one for one in intent.ground if one.place.segments and one.leave_mm is not None]
    if not known:
        return ()
    found = [_sent(view, profile, meant, known)]
    for one in known:
        found += _too_fine(view, meant, one)
        found += _drilled(view, one)
        found += _no_undercut(view, profile, one)
    return [*found, *_true_to_it(view, meant)]


def _sent(view: View, profile: Profile, meant: Intent, known: Sequence[Ground]) -> Finding:
    """The note: of each surface what it is finished to and turned to, then how the part is held."""
    assert view.intent is not None
    usual = (
        " What is left is usual for work not hardened in between: where it is, leave half as much "
        "again (leave_mm in the intent)."
        if any(one.basis is not None for one in known)
        else ""
    )
    told = "; ".join(_told(meant, one, view.shop.inch) for one in known)
    held = held_for_grinding(profile, view.intent, view.setups or ())
    return Finding(
        rule=NAME,
        level="note",
        message=(
            f"After turning {told}. Ra {TURNED_RA_UM.value:g} µm will do until then.{usual} {held}."
        ),
        where=where_of(view, [s for one in known for s in one.place.segments]),
        basis=Basis(BASIS, "common-practice"),
        measured=max(one.leave_mm[1] for one in known if one.leave_mm is not None),
        unit="mm",
    )


def _told(meant: Intent, one: Ground, inch: bool) -> str:
    """One surface: to what it is ground, and to what it is turned before."""
    assert one.leave_mm is not None
    on = "on the face" if one.surface == "end" else "on the diameter"
    turn = "leave"
    if one.turned_mm is not None:
        how = "bore" if one.surface == "inner" else "turn"
        turn = f"{how} it to ⌀{_span(one.turned_mm, inch)}, which leaves about"
    place = _place(one, inch)
    return (
        f"{place[0].lower()}{place[1:]} is {_DONE[one.by]}{_to(meant, one, inch)}: {turn} "
        f"{_span(one.leave_mm, inch)} {on}"
    )


def _to(meant: Intent, one: Ground, inch: bool) -> str:
    size, ra_um = finished(one, meant)
    words = []
    if size is not None and size.nominal_mm is not None:
        limits = ""
        if size.deviations_mm is not None:
            low, high = (size.nominal_mm + d for d in size.deviations_mm)
            limits = f" ({_span((low, high), inch)})"
        fit = f" {size.fit or ('' if limits else size.stated)}".rstrip()
        words.append(f"⌀{length_text(size.nominal_mm, inch)}{fit}{limits}")
    if ra_um is not None:
        words.append(f"Ra {mm_text(ra_um)} µm")
    return f" to {', '.join(words)}" if words else ""


def _too_fine(view: View, meant: Intent, one: Ground) -> Iterator[Finding]:
    _, ra_um = finished(one, meant)
    best = FINEST_RA_UM[one.by]
    if ra_um is None or ra_um >= best:
        return
    after = ' Say by = "lapping" there.' if one.by != "lapping" else ""
    yield Finding(
        rule=NAME,
        level="warning",
        message=(
            f"{_place(one, view.shop.inch)} is to have Ra {mm_text(ra_um)} µm, finer than the "
            f"{best:g} that {one.by} leaves at its best.{after}"
        ),
        where=where_of(view, one.place.segments),
        basis=Basis("what each leaves at its best is from memory of handbooks", "handbook"),
        measured=ra_um,
        limit=best,
        unit="µm",
    )


def _drilled(view: View, one: Ground) -> Iterator[Finding]:
    """That a drill leaves nothing of a bore for the wheel, or more than it is to leave."""
    inch, drilled = view.shop.inch, drilled_mm(one, view.setups or (), view.shop.tools)
    if drilled is None or one.turned_mm is None or one.leave_mm is None:
        return
    name, d = drilled
    low, high = one.turned_mm
    if low - _SAME_MM <= d <= high + _SAME_MM:
        return
    left = high + one.leave_mm[0] - d
    middle = length_text(round((low + high) / 2.0, 2), inch)
    # no drill holds less than that
    drill = f"a drill of ⌀{middle}, or " if high - low >= _ROUND_MM - 1e-9 else ""
    wanted = f"list {drill}a boring bar that gets in"
    if d > high:
        text = f"which leaves too little for {one.by}: {wanted}, or a smaller drill."
    else:
        span = (max(0.0, round(left - _ROUND_MM, 2)), round(left + _ROUND_MM, 2))
        text = (
            f"which leaves {length_text(round(left, 3), inch)} on the diameter, more than "
            f"{_span(one.leave_mm, inch)}: {one.by} takes longer. If that will do, say leave_mm = "
            f"[{span[0]:g}, {span[1]:g}] in the intent; else {wanted}."
        )
    yield Finding(
        rule=NAME,
        level="error" if d > high else "warning",
        message=(
            f"{_place(one, inch)} is to be turned to ⌀{_span(one.turned_mm, inch)}, but {name} "
            f"alone makes it, {text}"
        ),
        where=where_of(view, one.place.segments),
        basis=Basis(BASIS, "common-practice"),
        measured=round(d, 6),
        limit=high if d > high else low,
        unit="mm",
    )


def _no_undercut(view: View, profile: Profile, one: Ground) -> Iterator[Finding]:
    """Each shoulder that a ground cylinder runs into with a sharp corner."""
    inch, ground = view.shop.inch, ground_segments(view.intent)
    for segment, beside in _shoulders(profile, one):
        face = beside.id in ground
        d = 2.0 * segment.curve.start[1]
        inside = segment.surface == "inner"
        bottom = inside and min(beside.curve.start[1], beside.curve.end[1]) <= _SAME_MM
        what = "the bottom" if bottom else "the shoulder"
        yield Finding(
            rule=NAME,
            level="warning",
            message=(
                f"{_place(one, inch)} runs into {what} {beside.id} with a sharp corner, where no "
                f"{'hone or wheel' if inside else 'wheel'} runs out: it leaves its own corner's "
                f"radius and a taper before it. Draw an undercut there, {_undercut(d, face, inch)}."
            ),
            where=where_of(view, [segment.id, beside.id]),
            basis=Basis(BASIS, "standard"),
        )


def told_corners(view: View) -> frozenset[frozenset[str]]:
    """Pairs of surfaces in whose corner this rule asks for an undercut."""
    profile = view.part.profile
    ground = view.intent.ground if view.intent is not None else ()
    return frozenset(
        frozenset((segment.id, beside.id))
        for one in ground
        if profile is not None
        for segment, beside in _shoulders(profile, one)
    )


def _shoulders(profile: Profile, one: Ground) -> Iterator[tuple[Segment, Segment]]:
    """Ground cylinders, each with a flat face that rises from it (inside: falls to the axis)."""
    low, high = one.place.on_z_mm or (0.0, 0.0)
    for loop in profile.loops:
        for a, b in pairwise((*loop.segments, loop.segments[0])):
            for own, other, at, far in (
                (a, b, a.curve.end, b.curve.end),
                (b, a, b.curve.start, a.curve.start),
            ):
                if own.id not in one.place.segments or own.surface not in ("outer", "inner"):
                    continue
                if not low - _SAME_MM <= at[0] <= high + _SAME_MM:
                    continue
                rises = (far[1] - at[1]) * (1.0 if own.surface == "outer" else -1.0)
                flat = abs(far[0] - at[0]) <= _SAME_MM and not isinstance(other.curve, Arc)
                if flat and rises > _STEP_MM:
                    yield own, other


def _undercut(d: float, face: bool, inch: bool) -> str:
    """The standard's size for this diameter, type F where the face is ground too."""
    kind = "F" if face else "E"
    row = next(
        (
            row
            for row in rows("undercut_din509")
            if row["type"] == kind
            and "2006" in row["designation"]
            and float(row["d_over"]) < d
            and (not row["d_to"] or d <= float(row["d_to"]))
        ),
        None,
    )
    if row is None:
        return f"as DIN 509 type {kind}"
    r, deep, long = (length_text(float(row[key]), inch) for key in ("r", "t1", "f"))
    return f"DIN 509 {kind} {row['r']} × {row['t1']} (radius {r}, {deep} deep, {long} long)"


def _true_to_it(view: View, meant: Intent) -> Iterator[Finding]:
    """What stays as turned and must run true to what is ground: its setting must be kept."""
    ground = trued_segments(view.intent)
    for group in meant.related:
        names = {s for place in group.places for s in place.segments}
        turned = sorted(names - ground)
        if not names & ground or not turned:
            continue
        limit = group.run_out_mm
        within = "" if limit is None else f" within {length_text(limit, view.shop.inch)}"
        yield Finding(
            rule=NAME,
            level="note",
            message=(
                f"{', '.join(turned)} stays as turned and must run true{within} to what is ground "
                f"({', '.join(sorted(names & ground))}): have that ground with "
                f"{'them' if len(turned) > 1 else 'it'} set true by a dial, or on the centres that "
                f"{'they were' if len(turned) > 1 else 'it was'} turned on."
            ),
            where=where_of(view, sorted(names)),
            basis=Basis("common practice, no source", "common-practice"),
        )


def _place(one: Ground, inch: bool) -> str:
    names = ", ".join(one.place.segments)
    if one.surface == "end" and one.place.on_z_mm is not None:
        return f"The face at z {span_text(one.place.on_z_mm, inch)} ({names})"
    across, along = one.place.on_diameter_mm, one.place.on_z_mm
    assert across is not None
    assert along is not None
    inside = "Inside " if one.surface == "inner" else ""
    return f"{inside}⌀{span_text(across, inch)} at z {span_text(along, inch)} ({names})"


def _span(values: tuple[float, float], inch: bool) -> str:
    low, high = values
    return f"{number_text(low, inch)} to {length_text(high, inch)}"


def _drawn(*, size: float = 16.0, undercut: bool = True, ra_um: float = 0.4) -> View:
    """The pin with one outside ground."""
    place = Named(diameter_mm=(size, size))
    return drawn_view(
        UNDERCUT if undercut else PIN,
        intent=Intent(
            tolerances=(Tolerance("diameter", place, "h5", "h5"),),
            roughness=(Roughness(place, ra_um),),
            ground=(Ground(place),),
        ),
    )


def _bored(drill_mm: float) -> View:
    """A bush of ⌀6 to be ground, which a drill alone makes."""
    limits = {"diameter_mm": drill_mm, "point_angle_deg": 118.0}
    drill = Tool("drill", "drill", "end", True, "neutral", TURNING_TOOL.outlines, limits=limits)
    bar = Grip("raw bar", "outer", (-15.0, -5.0), 25.0, 10.0)
    made = Operation("drill", ("S1",), "drill")
    setup = Setup(1, "low", bar, Datum(None, "raw bar"), "none", (made,), ())
    return drawn_view(
        [(0, 3), (20, 3), (20, 10), (0, 10)],
        shop=drawn_shop(tools=(TURNING_TOOL, drill)),
        intent=Intent(ground=(Ground(Named(diameter_mm=(6.0, 6.0)), leave_mm=(0.1, 0.2)),)),
        setups=(setup,),
    )


UNDERCUT = (
    (0, 0), (30, 0), (30, 8), (20.5, 8), (19.4, 7.7), (18, 7.7), (18, 11), (0, 11)
)  # fmt: skip
"""The pin with a neck before its shoulder."""

EXAMPLES = (
    Example("a pin of which nothing is ground", drawn_view),
    Example("⌀16 h5 ground, an undercut before its shoulder", _drawn, ("note",)),
    Example("the same without the undercut", lambda: _drawn(undercut=False), ("note", "warning")),
    Example("⌀22, which ends at no shoulder", lambda: _drawn(size=22.0, undercut=False), ("note",)),
    Example("Ra 0.05 by grinding", lambda: _drawn(ra_um=0.05), ("note", "warning")),
    Example("a bore of ⌀6 drilled 5.5", lambda: _bored(5.5), ("note", "warning")),
    Example("a bore of ⌀6 drilled 6, which leaves nothing", lambda: _bored(6.0), ("note", "error")),
)
