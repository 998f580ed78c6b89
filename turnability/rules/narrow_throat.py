"""A bore between two wider ends that is too narrow for the bars that its flanks ask for."""

from __future__ import annotations

from turnability.reach.model import Left
from turnability.rules.followable import MOST_OF_HOLE, hole_fits, modest
from turnability.rules.model import Change, View
from turnability.rules.speak import segments_by_id, tool_named
from turnability.shop.model import Cause
from turnability.units import length_text

THROAT = "throat_diameter_mm"
_TOO_THICK: frozenset[Cause] = frozenset({"entry-bore", "opposite-wall"})


def own_numbers(view: View, left: Left) -> str:
    """How far the bar that comes nearest goes, and into what."""
    tool = tool_named(view, left.nearest_tool)
    limits = {} if tool is None or tool.access != "inner" else tool.limits
    inch, words = view.shop.inch, []
    if "entry-bore" in left.own_causes and "min_bore_mm" in limits:
        words.append(f"enters bores from ⌀{length_text(limits['min_bore_mm'], inch)}")
    if "bar-length" in left.own_causes and "overhang_mm" in limits:
        words.append(f"stands out {length_text(limits['overhang_mm'], inch)}")
    return f" ({left.nearest_tool} {' and '.join(words)})" if words else ""


def wider_throat(view: View, left: Left) -> Change | None:
    """The narrowest of a through bore as wide as the shop's slimmest bar asks for, if modest.

    Only for what tapers or is curved inside: of a cylinder it would be another bore.
    """
    profile, known = view.part.profile, segments_by_id(view.part)
    bars = [
        (t.limits["min_bore_mm"], t.name)
        for t in view.shop.tools
        if t.access == "inner" and "min_bore_mm" in t.limits and "width_mm" not in t.limits
    ]
    throat = None if profile is None else profile.through_bore_mm
    if profile is None or not bars or throat is None or not _TOO_THICK & set(left.causes):
        return None
    least, name = min(bars)
    inside = [known[s].curve for s in left.segments if s in known]
    if all(curve.start[1] == curve.end[1] for curve in inside):
        return None
    z = [p[0] for curve in inside for p in (curve.start, curve.end)]
    if not (throat < least and modest(throat, least, MOST_OF_HOLE)):
        return None
    if not hole_fits(view, least, (min(z), max(z))):
        return None
    inch = view.shop.inch
    text = (
        f"Make the narrowest of the bore ⌀{length_text(least, inch)} (drawn "
        f"⌀{length_text(throat, inch)}), which {name} enters."
    )
    return Change(text, THROAT, throat, least, proven=False)
