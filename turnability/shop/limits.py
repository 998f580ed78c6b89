"""What people call a tool's limits, and what is said of those that nobody has verified."""

from __future__ import annotations

from collections.abc import Mapping

from turnability.cited import Cited

LIMIT_WORDS: Mapping[str, str] = {
    "allowance_mm": "takes off at most",
    "approach_angle_deg": "approach angle",
    "bar_diameter_mm": "bar diameter",
    "corner_angle_deg": "corner angle",
    "corner_radius_mm": "corner radius",
    "cutting_length_mm": "length of flutes",
    "depth_mm": "depth",
    "diameter_mm": "diameter",
    "f_mm": "f",
    "first_cut_least_mm": "first cut, least diameter",
    "first_cut_most_mm": "first cut, greatest diameter",
    "flute_length_mm": "flute length",
    "height_mm": "height below the edge",
    "lead_mm": "lead",
    "least_hole_mm": "least hole",
    "least_pitch_mm": "least pitch",
    "major_mm": "major diameter",
    "max_diameter_mm": "largest diameter parted",
    "max_overhang_mm": "most overhang",
    "min_bore_mm": "smallest bore",
    "most_pitch_mm": "greatest pitch",
    "mouth_diameter_mm": "greatest mouth",
    "nose_radius_mm": "nose radius",
    "outside_diameter_mm": "outside diameter",
    "overhang_mm": "overhang",
    "pilot_diameter_mm": "pilot diameter",
    "pilot_length_mm": "pilot length",
    "pitch_mm": "pitch",
    "point_angle_deg": "point angle",
    "recess_depth_mm": "deepest recess",
    "shank_mm": "shank width",
    "side_mm": "point to side",
    "tap_drill_mm": "tap drill",
    "thickness_mm": "thickness",
    "thread_depth_mm": "deepest thread",
    "thread_length_mm": "thread length",
    "trailing_angle_deg": "steepest slope behind",
    "usable_length_mm": "usable length",
    "width_mm": "width",
}
"""The words for each limit that a tool may have."""


def doubts(sources: Mapping[str, Cited]) -> tuple[str, ...]:
    """A note for each limit whose source is not verified, as people see it."""
    return tuple(
        f"{LIMIT_WORDS[name]} {value.value:g} {value.unit} {doubt_of(value)}"
        for name, value in sources.items()
        if not value.verified
    )


def doubt_of(value: Cited) -> str:
    """Why an unverified value is in doubt, without the value."""
    if "no source" in value.source or value.source.startswith("common practice"):
        return "is common practice"
    source = value.source.replace(", recalled", "").replace(", memory", "")
    return f"from memory ({source}), unverified"
