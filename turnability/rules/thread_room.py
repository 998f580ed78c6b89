"""A thread that runs against a shoulder or a blind bottom, or whose relief is too shallow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.model import Feature
from turnability.features.standards.thread_reliefs import relief_mm
from turnability.half_plane.curves import Point
from turnability.part.model import Parameter
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import thread_name, where_of_feature
from turnability.units import length_text, mm_text

NAME = "thread-room"
LEVELS = ("warning",)
WHY = "A tap, a die and a threading point all need room beyond the last full thread."
LIMIT = (
    "2 pitches before a shoulder without a relief, 4 before the bottom of a blind hole; a relief "
    "as deep as the thread's root"
)
BASIS = (
    "DIN 76-1 (2024, by an open design guide's table): short distance a2, 2 pitches; in blind "
    "holes e2 to e1, about 3 to 5; a tap's lead is 2 to 4 pitches (common practice, no source)"
)
SHOULDER_PITCHES = 2.0
BOTTOM_PITCHES = 4.0
COARSEST_MM = 6.0
"""The coarsest pitch of the standard's preferred series, M64."""
_ROUNDING = 1e-6
ROOT_PITCHES = 1.22687
"""d3 = d - 1.22687 P, an outside thread's root (ISO 68-1)."""


def check(view: View) -> Judgement:
    """A warning for each thread with less room than that at the end that it cannot run out of,
    and for each that is relieved there, but less deep than its root.

    A surface that only looks drawn for a thread may be none, and is not judged.
    """
    if view.features is None:
        return NotJudged("features were not recognised")
    threads = [f for f in view.features if f.kind == "thread" and not f.only_drawn]
    return [finding for thread in threads for finding in _of(view, thread)]


def _of(view: View, thread: Feature) -> Iterator[Finding]:
    floor = thread.number("relief_diameter_mm")
    if thread.parameters.get("relieved") is False:
        if floor is not None:
            yield from _too_shallow(view, thread, floor)
        else:
            yield from _too_near(view, thread, "shoulder", SHOULDER_PITCHES)
    yield from _too_near(view, thread, "bottom_clearance", BOTTOM_PITCHES)


def _too_near(view: View, thread: Feature, key: str, limit: float) -> Iterator[Finding]:
    pitches = thread.number(f"{key}_pitches")
    room = thread.number(f"{key}_mm")
    pitch = thread.number("pitch_mm")
    if pitches is None or room is None or pitches >= limit - _ROUNDING:
        return
    if pitch is not None and pitch > COARSEST_MM:
        return  # a moulded cap's thread, or a helix that is none
    inch = view.shop.inch
    want = length_text(round(limit * pitch, 2), inch) if pitch else f"{limit:g} pitches"
    name = thread_name(thread, inch)
    side = "inside" if thread.surface == "inner" else "outside"
    if key == "shoulder":
        runs = "runs against a shoulder" if pitches < 0.5 else "ends close to a shoulder"
        way_out = (
            f"Let the full thread end {want} before it, or draw a relief as deep as the thread's "
            "root there"
        )
    else:
        runs = "runs to the bottom of its hole" if pitches < 0.5 else "ends close to its bottom"
        way_out = f"Bore it {want} deeper than the full thread, let that end sooner, or go through"
    yield Finding(
        rule=NAME,
        level="warning",
        message=(
            f"The {side} thread {name} {runs}: {length_text(round(room, 3), inch)} "
            f"({mm_text(pitches, 1)} pitches) where {limit:g} are wanted. {WHY} {way_out}."
        ),
        where=where_of_feature(thread),
        basis=Basis(BASIS, "standard"),
        measured=pitches,
        limit=limit,
        unit="pitches",
    )


def _too_shallow(view: View, thread: Feature, floor_mm: float) -> Iterator[Finding]:
    """`floor_mm`: the diameter of the hollow behind the thread."""
    major = thread.number("major_mm")
    pitch = thread.number("pitch_mm")
    if major is None or pitch is None or pitch > COARSEST_MM:
        return
    inner, inch = thread.surface == "inner", view.shop.inch
    root = major if inner else major - ROOT_PITCHES * pitch
    standard = relief_mm(major, pitch, "inner" if inner else "outer")
    wanted = root if standard is None else standard
    by = "" if standard is None else " (DIN 76-1)"
    yield Finding(
        rule=NAME,
        level="warning",
        message=(
            f"The relief behind the {'inside' if inner else 'outside'} thread "
            f"{thread_name(thread, inch)} has ⌀{length_text(round(floor_mm, 3), inch)}, its root "
            f"⌀{length_text(round(root, 3), inch)}: a point that runs out in it cuts into its "
            "floor, breaks there or must be drawn out, and a nut does not come to the shoulder. "
            f"Draw its floor at ⌀{length_text(round(wanted, 3), inch)}{by}."
        ),
        where=where_of_feature(thread),
        basis=Basis(BASIS, "standard"),
        measured=floor_mm,
        limit=root,
        unit="mm",
    )


_RELIEVED = ((0, 0), (30, 0), (30, 8), (22, 8), (22, 6.5), (18, 6.5), (18, 11), (0, 11))
_SHALLOW = ((0, 0), (30, 0), (30, 8), (22, 8), (22, 7.5), (18, 7.5), (18, 11), (0, 11))
_TAPPED = ((0, 0), (14, 0), (14, 7), (36, 7), (36, 14), (0, 14))
"""A hole of 14 mm and 22 deep, of which 18 are thread."""


def _threaded(parameters: dict[str, Parameter], profile: Sequence[Point] = PIN) -> View:
    inner = profile is _TAPPED
    z_mm = (18.0, 36.0) if inner else (min(z for z, r in profile if r == 8), 30.0)
    thread = Feature(
        "F1",
        "thread",
        "inner" if inner else "outer",
        z_mm,
        (14.0, 16.0),
        ("S3",),
        (),
        {"designation": "M16", "pitch_mm": 2.0, **parameters},
    )
    return drawn_view(profile, features=(thread,))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example(
        "a surface that only looks drawn for M16, against its shoulder",
        lambda: _threaded(
            {"shoulder_mm": 0.0, "shoulder_pitches": 0.0, "relieved": False, "evidence": "cosmetic"}
        ),
    ),
    Example(
        "M16 that ends in a relief",
        lambda: _threaded(
            {"shoulder_mm": 0.0, "shoulder_pitches": 0.0, "relieved": True}, _RELIEVED
        ),
    ),
    Example(
        "M16 that ends in a relief of ⌀15, where its root has 13.5",
        lambda: _threaded(
            {
                "shoulder_mm": 4.0,
                "shoulder_pitches": 2.0,
                "relieved": False,
                "major_mm": 16.0,
                "relief_diameter_mm": 15.0,
            },
            _SHALLOW,
        ),
        ("warning",),
    ),
    Example(
        "M16 that ends 4 mm before its shoulder",
        lambda: _threaded({"shoulder_mm": 4.0, "shoulder_pitches": 2.0, "relieved": False}),
    ),
    Example(
        "M16 that runs against its shoulder",
        lambda: _threaded({"shoulder_mm": 0.0, "shoulder_pitches": 0.0, "relieved": False}),
        ("warning",),
    ),
    Example(
        "M16 that ends 4 mm above its bottom",
        lambda: _threaded({"bottom_clearance_mm": 4.0, "bottom_clearance_pitches": 2.0}, _TAPPED),
        ("warning",),
    ),
)
