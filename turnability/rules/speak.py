"""Words and places that all rules say alike."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from turnability.features.model import Feature
from turnability.intent.agree import together
from turnability.part.model import Part, Segment
from turnability.reach.model import Left
from turnability.rules.model import View, Where
from turnability.setups.model import Rechucked
from turnability.shop.model import Cause, Shop, Tool
from turnability.units import MM_PER_INCH, length_text, mm_text, span_text

CAUSE_WORDS: Mapping[str, str] = {
    "nose-radius": "its nose radius does not fit in",
    "trailing-edge": "its trailing edge meets the slope",
    "blade-width": "the blade is wider than the room",
    "blade-depth": "the blade is not deep enough",
    "holder": "the holder meets the part",
    "entry-bore": "the bar does not pass the entry bore",
    "opposite-wall": "the bar's far side meets the opposite wall",
    "recess-depth": "the bar meets the lip before its edge reaches the floor",
    "bar-length": "the bar is too short",
    "drill-length": "the drill is too short",
    "face-groove-curve": "the blade's curve fits end grooves of other diameters",
    "hand": "only a tool of the other hand would get there",
    "no-tool": "no single change to a tool would clear it",
    "jaws": "the jaws are in the way",
}
_CHORD_MM = 0.01


def cause_text(causes: Sequence[str]) -> str:
    """The causes as one clause; one that an earlier or later report has stays as it is there."""
    words = [CAUSE_WORDS.get(cause, cause) for cause in causes]
    if len(words) < 2:
        return "".join(words) or "the cause is not known"
    return f"{', '.join(words[:-1])} and {words[-1]}"


def nearest_text(causes: Sequence[str], nearest_tool: str | None) -> str:
    """What keeps a region from being cut, with the tool that comes nearest where one is known."""
    if nearest_tool is None:
        return cause_text(causes)
    return f"{nearest_tool} comes nearest, but {cause_text(causes)}"


def cost_text(cost: float, shop: Shop) -> str:
    """What stock costs, in the shop's currency where it names one."""
    if shop.rates is None:
        return f"{cost:.2f} by the shop file's prices"
    return f"{shop.rates.currency} {cost:.2f}"


def place_text(where: Where, inch: bool) -> str:
    """Where on the part, as a designer finds it: "z 12 to 20 mm, ⌀30 mm"."""
    parts = []
    if where.z_mm is not None:
        parts.append(f"z {span_text(where.z_mm, inch)}")
    if where.diameter_mm is not None:
        parts.append(f"⌀{span_text(where.diameter_mm, inch)}")
    return ", ".join(parts) or "the whole part"


_WHOLE_FROM = 1000.0


def volume_text(volume_mm3: float, inch: bool) -> str:
    """A volume in mm3, or in cubic inch for inch shops, to three figures and without powers."""
    value, unit = (volume_mm3 / MM_PER_INCH**3, "in³") if inch else (volume_mm3, "mm³")
    least = 0.00001 if inch else 0.001
    if 0.0 < value < least:
        return f"less than {least:.5f}".rstrip("0") + f" {unit}"
    if value >= _WHOLE_FROM:
        return f"{value:.0f} {unit}"
    digits = max(0, 2 - math.floor(math.log10(abs(value)))) if value else 0
    told = f"{float(f'{value:.3g}'):.{digits}f}"
    return f"{told.rstrip('0').rstrip('.') if '.' in told else told} {unit}"


def stays_text(left: Left, inch: bool) -> str:
    """How much stays, and how far its farthest point lies from what was cut (`deepest_mm`)."""
    volume = volume_text(left.volume_mm3, inch)
    z, r = ([point[k] for point in left.polygon] for k in (0, 1))
    if left.deepest_mm > math.hypot(max(z) - min(z), max(r) - min(r)):
        return f"{volume} stays, and nothing beside it is cut."
    return f"{volume} stays, up to {length_text(left.deepest_mm, inch)} from the nearest cut."


def segments_by_id(part: Part) -> dict[str, Segment]:
    """The profile's segments by their names; empty without a profile."""
    return {} if part.profile is None else {s.id: s for s in part.profile.segments}


def where_of_feature(one: Feature) -> Where:
    """The place of all of a feature."""
    return Where(one.segments, one.faces, (one.id,), one.z_mm, one.diameter_mm)


def where_of(view: View, segments: Iterable[str], points: Iterable[Sequence[float]] = ()) -> Where:
    """The place of these segments, or of these points (z, r) where they are given."""
    known = segments_by_id(view.part)
    ids = tuple(s for s in segments if s in known)
    cloud = np.array([(p[0], p[1]) for p in points], dtype=float).reshape(-1, 2)
    if not len(cloud) and ids:
        cloud = np.concatenate([known[s].curve.flatten(_CHORD_MM) for s in ids])
    faces = tuple(sorted({face for s in ids for face in known[s].faces}))
    features = tuple(f.id for f in features_on(view, ids))
    if not len(cloud):
        return Where(ids, faces, features)
    (z0, r0), (z1, r1) = cloud.min(axis=0), cloud.max(axis=0)
    return Where(
        ids,
        faces,
        features,
        (float(z0), float(z1)),
        (max(0.0, 2.0 * float(r0)), 2.0 * float(r1)),
    )


def features_on(view: View, segments: Iterable[str]) -> list[Feature]:
    """Features that own any of these segments."""
    wanted = set(segments)
    return [f for f in view.features or () if wanted.intersection(f.segments)]


def stated_segments(view: View) -> set[str]:
    """Surfaces of which the design states something, beside it or in the file."""
    intent = together(view.intent, view.part)
    places = [t.place for t in intent.tolerances] + [r.place for r in intent.roughness]
    places += [place for group in intent.related for place in group.places]
    return {s for place in places for s in place.segments}


def tool_named(view: View, name: str | None) -> Tool | None:
    """The shop's tool of that name."""
    return next((tool for tool in view.shop.tools if tool.name == name), None)


def tool_number(tool: Tool | None, cause: Cause) -> tuple[str, float] | None:
    """What the tool measures in the respect that is the cause: (parameter, value)."""
    for relaxation in tool.relaxations if tool else ():
        if relaxation.cause == cause and relaxation.parameter and relaxation.value is not None:
            return relaxation.parameter, relaxation.value
    return None


def number_text(parameter: str, value: float, inch: bool) -> str:
    """A tool's or a place's number with its name and unit: "nose radius 0.4 mm"."""
    for suffix, unit in (("_mm", "mm"), ("_deg", "°")):
        if parameter.endswith(suffix):
            name = parameter.removesuffix(suffix).replace("_", " ")
            if unit == "mm":
                return f"{name} {length_text(value, inch)}"
            return f"{name} {mm_text(value)}{unit}"
    return f"{parameter.replace('_', ' ')} {mm_text(value)}"


def thread_name(thread: Feature, inch: bool) -> str:
    """What a thread is called: its standard's designation, else its diameter."""
    stated = thread.parameters.get("designation")
    if isinstance(stated, str):
        return stated
    if thread.matches:
        return thread.matches[0].designation
    return f"⌀{length_text(thread.diameter_mm[1], inch)}"


def run_out_text(one: Rechucked, inch: bool) -> str:
    """The run-out that chucking again is expected to leave, and what is stated against it."""
    off = one.mismatch
    expected = (
        "how far that brings them off is not stated for its holding"
        if off is None
        else f"expect {length_text(off.value, inch)} of run-out ({off.source})"
    )
    against = (
        "no run-out is stated for them"
        if one.limit_mm is None
        else f"{length_text(one.limit_mm, inch)} are stated"
    )
    return f"{expected}, and {against}"


def set_true_text(shop: Shop, on: str) -> str:
    """How the work is set true by an indicator: a scroll moves all its jaws, a collet none."""
    able = next((h.name for h in shop.holdings if h.kind == "four-jaw"), None)
    where = "in independent jaws, of which the shop lists none" if able is None else f"in {able}"
    return f"set the part true by an indicator {on} {where}"
