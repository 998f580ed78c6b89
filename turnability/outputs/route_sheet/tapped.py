"""How far a tap or a die goes: its lead must run out, or leaves the last threads shallow."""

from __future__ import annotations

from turnability.features.model import Feature
from turnability.outputs.route_sheet.thread_ends import thread_ends
from turnability.part.model import Profile
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.model import Setup
from turnability.shop.model import Tool
from turnability.units import length_text, place_text

DIE_LEAD_PITCHES = 2.5
"""Of a die, before its full thread (common practice, no source)."""


def tapped_text(feature: Feature, setup: Setup, profile: Profile, tool: Tool, inch: bool) -> str:
    """To where the full thread goes and the tip with it; empty where its pitch is not known."""
    pitch, major = feature.number("pitch_mm"), feature.number("major_mm")
    if pitch is None or major is None:
        return ""
    # taps and dies come from the free end, whatever the hand
    low, high = feature.z_mm
    step = -1.0 if setup.toward_chuck == "low" else 1.0
    stop = low if step < 0.0 else high
    right = feature.parameters.get("hand") != "left"
    ends = thread_ends(feature, setup, profile, pitch, major)
    room = ends.stop_room_mm if right else ends.start_room_mm
    lead = tool.limits.get("lead_mm", DIE_LEAD_PITCHES * pitch)
    at = place_text(stop, inch)
    tip = place_text(stop + step * lead, inch)
    if tool.kind == "die":
        if room is None or room >= lead:
            return ""
        return (
            f"Its lead is about {length_text(round(lead, 2), inch)} long: turn the die round for "
            f"the last threads before z {at}"
        )
    if room is None:
        raw = setup.grip.kind in (RAW_BAR, RAW_PIECE)
        end = 0.0 if step < 0.0 else profile.length_mm
        past = stop + step * (lead + pitch)
        if raw and step * (past - end) > 0.0:
            on = place_text(past, inch)
            return (
                f"Through: full thread to z {at}, its tip to z {tip} in the bar, where the hole "
                f"goes on as wide to z {on}; oil, turn back to break chips"
            )
        return f"Through: full thread to z {at}, its tip to z {tip}; oil, turn back to break chips"
    bottom = place_text(stop + step * room, inch)
    if room >= lead:
        return (
            f"Blind: full thread to z {at}, its tip to z {tip} and no deeper than z {bottom}; the "
            "last turns by hand, chips cleared"
        )
    return (
        f"Blind: its lead of {length_text(round(lead, 2), inch)} does not fit behind z {at}, for "
        f"the hole ends at z {bottom}: finish with a bottoming tap, by hand; chips cleared"
    )
