"""How a thread is measured: its crest between the limits of its class, then by gauges."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.features.standards.designations import parse
from turnability.features.standards.thread_limits import (
    CrestLimits,
    class_of,
    crest_limits,
)
from turnability.features.standards.threads import ThreadSize, thread_sizes
from turnability.rules.speak import thread_name
from turnability.units import length_text, number_text

_RING, _PLUG = "ring gauge, go and no-go", "plug gauge, go and no-go"
_TAPER = {"NPT", "pipe-taper"}


def thread_gauge_text(feature: Feature, inch: bool) -> str:
    """The limits of what is turned or bored before it is cut, and what proves the thread."""
    outer = feature.surface == "outer"
    on = ", ".join(feature.segments) or "the part"
    name = thread_name(feature, inch)
    form = feature.parameters.get("form")
    if form in _TAPER or feature.parameters.get("taper"):
        gauge = "ring gauge" if outer else "plug gauge"
        return f"taper thread {name} on {on}: by its {gauge}, to the step for hand-tight engagement"
    gauge = _RING if outer else _PLUG
    limits = _limits(feature)
    if _size(feature) is None and not isinstance(feature.parameters.get("designation"), str):
        return f"thread {name} on {on}: of no standard's size, by a template and its mating part"
    if limits is None:
        stated = class_of(str(feature.parameters.get("designation", "")))
        crest = "" if stated is None else f"the crest of {stated} stands in no table here; "
        return f"thread {name} on {on}: {crest}{gauge}"
    crest = "major" if outer else "minor"
    assumed = "" if limits.stated else ", taken as none is stated"
    return (
        f"thread {name} on {on}: {crest} {_span_text(limits, inch)} ({limits.called} of "
        f"{limits.standard}{assumed}); {gauge}"
    )


def crest_text(feature: Feature, inch: bool, is_cut: bool = True) -> str:
    """To what the surface is turned or bored before its thread is cut; empty where unknown.

    Where nothing cuts it, it stays as the bar comes, which may be larger.
    """
    limits = _limits(feature)
    if limits is None:
        return ""
    if not is_cut and feature.surface == "outer":
        return (
            f", as the bar comes, which is to be {_span_text(limits, inch)}: skim it first where "
            "it is larger"
        )
    how = "turned" if feature.surface == "outer" else "bored or drilled"
    return f", {how} to {_span_text(limits, inch)} before"


def _span_text(limits: CrestLimits, inch: bool) -> str:
    return f"⌀{number_text(limits.low_mm, inch)} to {length_text(limits.high_mm, inch)}"


def _limits(feature: Feature) -> CrestLimits | None:
    size, stated = _size(feature), feature.parameters.get("designation")
    if size is None or feature.surface == "end":
        return None
    return crest_limits(size, feature.surface, stated if isinstance(stated, str) else "")


def _size(feature: Feature) -> ThreadSize | None:
    """The standard's size that it is stated, drawn or matched as."""
    stated = feature.parameters.get("designation")
    read = parse(stated) if isinstance(stated, str) else None
    if read is not None:
        return read.size
    names = {match.designation.removesuffix("-LH").removesuffix("LH") for match in feature.matches}
    return next((size for size in thread_sizes() if size.designation in names), None)
