"""Where a chucking must sink a tool deep into the full, that in another comes in from the end.

What stands between a flange and the bar behind it is got at by a blade, a pointed corner or a
left-hand tool, that all cut their way down to it first. A machinist turns such a part round.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from turnability.cited import Cited
from turnability.half_plane.curves import Ring, line_ring
from turnability.half_plane.regions import Region
from turnability.half_plane.rings import box_ring
from turnability.half_plane.sums import convex_of, minkowski
from turnability.part.model import Profile
from turnability.reach.ground import ground_of
from turnability.reach.model import Toward
from turnability.setups.surfaces.cuts import thick

DEEP = Cited(
    10.0,
    "mm",
    "common practice",
    "how deep a tool is sunk into the full beside the chuck where one comes in from the other end, "
    "from memory",
    verified=False,
)


@dataclass(frozen=True, slots=True)
class Plunges:
    """For either end in the chuck what lies open to the free end of the other way round alone.

    That is what lies behind something larger seen from the free end, and not seen from the chuck:
    a neck between two collars is sunk into whatever end is held.
    """

    behind: dict[Toward, Region]

    def of(self, toward: Toward, before: Region, after: Region) -> tuple[Region, ...]:
        """Pieces of this deeper than `DEEP` that a chucking takes; stock before and after it."""
        behind = self.behind[toward]
        if not _deep(behind):
            return ()
        taken = (behind & before) - after
        return tuple(piece for piece in taken.components() if _deep(piece) and thick(piece))


def plunges_of(profile: Profile) -> Plunges:
    """Seen from an end, everything lies behind what is larger between it and that end."""
    body, length = ground_of(profile).part_half, profile.length_mm
    down = profile.max_diameter_mm / 2.0
    to_low, to_high = (
        minkowski(body, [convex_of(np.array(box_ring(z, -down, z + length, 0.0)))])
        for z in (-length, 0.0)
    )
    return Plunges({"low": to_low - to_high, "high": to_high - to_low})


def rings_of(pieces: tuple[Region, ...]) -> tuple[Ring, ...]:
    """Their outlines, for tools to keep out of."""
    return tuple(line_ring(ring) for piece in pieces for ring in piece.rings())


def _deep(piece: Region) -> bool:
    r = piece.edges()[0][:, 1]
    return len(r) > 0 and float(r.max() - r.min()) > DEEP.value
