"""An end that is sawn off its bar and squared by hand, where nothing holds the part to face it."""

from __future__ import annotations

from collections.abc import Collection

from turnability.part.model import Profile
from turnability.rules.model import Basis, Finding, View
from turnability.rules.speak import place_text, segments_by_id, stated_segments, where_of
from turnability.setups.holding.slender import PARTED_FREE_LIMIT, slenderness
from turnability.setups.surfaces.edges import end_face
from turnability.units import length_text

FILED_MM = 25.0
FILED_RA_UM = 3.2
LEFT_TO_FILE_MM = 0.5
"""What a file or a grinding disc squares by hand: how wide, how smooth, how much it takes off."""
_SAME_MM = 0.01


def squared_by_hand(
    view: View, profile: Profile, names: Collection[str], rule: str
) -> Finding | None:
    """A warning of `rule` where no more is left than a small end face that was sawn off.

    None where anything is stated of it, or surfaces finer than a file leaves of the whole part.
    """
    assert view.setups
    setup, inch, intent = view.setups[-1], view.shop.inch, view.intent
    end = setup.toward_chuck
    face = set(end_face(profile, end))
    fine = intent is not None and intent.ra_um is not None and intent.ra_um < FILED_RA_UM
    parted = any(o.kind == "part off" for one in view.setups for o in one.operations)
    if parted or fine or not names or not set(names) <= face or stated_segments(view) & face:
        return None
    known = segments_by_id(view.part)
    across = 2.0 * max(p[1] for s in face for p in (known[s].curve.start, known[s].curve.end))
    if across > FILED_MM + _SAME_MM:
        return None
    far = slenderness(profile, end, setup.grip.z_mm) > PARTED_FREE_LIMIT.value
    why = "no blade parts off what hangs so far out" if far else "no blade listed parts it off"
    where = where_of(view, names)
    left = length_text(LEFT_TO_FILE_MM, inch)
    return Finding(
        rule=rule,
        level="warning",
        message=(
            f"The face of the {end} end ({place_text(where, inch)}) is sawn off, for {why}, and "
            f"nothing can be held to face it in a second chucking. Saw it off {left} behind, and "
            "file or grind it to length by hand, square by eye. Where it must be truer, draw a "
            "straight cylinder near the other end to be held by, or let a stub stay there."
        ),
        where=where,
        basis=Basis(
            f"common practice, no source: faces up to {length_text(FILED_MM, inch)} across are "
            f"squared by hand, to about Ra {FILED_RA_UM:g} µm",
            "common-practice",
        ),
        measured=across,
        limit=FILED_MM,
        unit="mm",
    )
