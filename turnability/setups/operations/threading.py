"""Which tool of the shop cuts a thread, a tap or die of its size or a threading point, and when."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.holding.slender import largest_outside_mm
from turnability.setups.model import Setup
from turnability.shop.model import Shop, Tool

_SAME_MM = 0.05
_SAME_PITCH = 0.005
POINTED = ("metric", "unified")
"""Forms with flanks of 60 degrees (ISO 68-1, ASME B1.1), which threading points cut."""


def tool_for(feature: Feature, shop: Shop) -> Tool | None:
    """The shop's tap or die for a thread, else a threading point; None where no tool cuts it.

    Taps and dies are taken to cut right-hand threads of one start, as they do unless marked.
    """
    pitch, major = feature.number("pitch_mm"), feature.number("major_mm")
    if pitch is None or major is None:
        return None
    if feature.parameters.get("taper") or feature.parameters.get("form") == "pipe-taper":
        return None
    inside = feature.surface == "inner"
    kinds = ("tap", "internal-threading") if inside else ("die", "threading")
    whole, pointed = ([t for t in shop.thread_tools if t.kind == kind] for kind in kinds)
    return next(_whole(feature, whole, major, pitch), None) or next(
        _pointed(feature, pointed, pitch), None
    )


def _whole(feature: Feature, tools: Sequence[Tool], major: float, pitch: float) -> Iterator[Tool]:
    if feature.parameters.get("hand") == "left" or feature.parameters.get("starts") not in (
        None,
        1,
    ):
        return
    form = feature.parameters.get("form")
    for tool in tools:
        trapezoidal = " TR" in (tool.designation or "").upper()
        same = abs(tool.limits["major_mm"] - major) <= _SAME_MM
        close = abs(tool.limits["pitch_mm"] - pitch) <= _SAME_PITCH * pitch
        if same and close and trapezoidal == (form == "trapezoidal"):
            yield tool


def _pointed(feature: Feature, tools: Sequence[Tool], pitch: float) -> Iterator[Tool]:
    if feature.parameters.get("form") not in POINTED:
        return
    slack = _SAME_PITCH * pitch
    for tool in tools:
        least, most = tool.limits["least_pitch_mm"], tool.limits["most_pitch_mm"]
        enters = tool.limits.get("min_bore_mm", 0.0) <= feature.diameter_mm[0] + _SAME_MM
        if least - slack <= pitch <= most + slack and (enters or feature.surface == "outer"):
            yield tool


def threads_of(
    features: Sequence[Feature], setups: Sequence[Setup], setup: Setup, profile: Profile
) -> Iterator[Feature]:
    """The threads whose surfaces this one of the setups is the last to cut."""
    for feature in features:
        if feature.kind == "thread" and _setup_of(feature, setups, profile) is setup:
            yield feature


def beyond_for_taps(
    features: Sequence[Feature],
    setups: Sequence[Setup],
    setup: Setup,
    profile: Profile,
    shop: Shop,
) -> dict[str, float]:
    """By each drill of this setup how far its full diameter goes on into the bar for a tap's lead.

    A pitch more than the tap's tip; nothing where the thread ends farther than that from the end,
    or no bar stands behind it.
    """
    beyond: dict[str, float] = {}
    if setup.grip.kind not in (RAW_BAR, RAW_PIECE):
        return beyond
    for feature in threads_of(features, setups, setup, profile):
        tool = None if feature.only_drawn else tool_for(feature, shop)
        if tool is None or tool.kind != "tap":
            continue
        stop = feature.z_mm[0]
        if setup.toward_chuck == "high":
            stop = profile.length_mm - feature.z_mm[1]
        room = tool.limits["lead_mm"] + tool.limits["pitch_mm"] - stop
        for o in setup.operations:
            # its own drill, or one that goes before the bar that bores it
            if o.kind == "drill" and (not o.segments or set(feature.segments) & set(o.segments)):
                beyond[o.tool] = max(room, beyond.get(o.tool, 0.0))
    return beyond


def _setup_of(feature: Feature, setups: Sequence[Setup], profile: Profile) -> Setup | None:
    """The last setup that cuts the thread's surface, else the last that cuts anything beside it.

    Of a bar whose outside stays nothing cuts that: its chamfer and relief are cut where it is free.
    """
    low, high = feature.z_mm
    beside = {
        s.id
        for s in profile.segments
        if s.surface == feature.surface and s.ends_z_mm[0] < high and s.ends_z_mm[1] > low
    }
    own = [s for s in profile.segments if s.id in feature.segments]
    ends = {p for s in own for p in (s.curve.start, s.curve.end)}
    meeting = {s.id for s in profile.segments if s.curve.start in ends or s.curve.end in ends}
    for mine in (set(feature.segments), beside, meeting):
        for n, setup in reversed(list(enumerate(setups))):
            if any(mine & set(operation.segments) for operation in setup.operations):
                return _from_its_end(feature, setup, setups[n + 1 :], profile)
    return setups[-1] if setups else None


def _from_its_end(
    feature: Feature, setup: Setup, later: Sequence[Setup], profile: Profile
) -> Setup:
    """The setup itself, or one after it where alone a point comes to an outside thread in the open.

    Turned with the cylinder that it ends, a thread by the chuck waits until it is the free end.
    """
    if feature.surface != "outer" or _is_open(feature, setup, profile):
        return setup
    return next((one for one in later if _is_open(feature, one, profile)), setup)


def _is_open(feature: Feature, setup: Setup, profile: Profile) -> bool:
    """Whether nothing as wide stands between it and the free end, and no jaws on it."""
    low, high = feature.z_mm
    held = setup.grip.z_mm
    if held[0] < high - _SAME_MM and held[1] > low + _SAME_MM:
        return False
    free = setup.toward_chuck == "low"
    before = (high + _SAME_MM, profile.length_mm) if free else (0.0, low - _SAME_MM)
    if before[1] - before[0] <= _SAME_MM:
        return True
    return largest_outside_mm(profile, before) < feature.diameter_mm[1] - _SAME_MM
