"""The last resorts: held by an end face on an arbor, screwed by holes that the part has, or glued.

Nothing closes on the part, so that all its outside and bores are free; what screws' heads cover of
the free side is not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from turnability.cited import Cited
from turnability.half_plane.curves import line_ring
from turnability.part.model import Departure, Profile
from turnability.reach.model import Toward
from turnability.setups.holding.jaws import BEYOND_MM, Held
from turnability.setups.model import Grip
from turnability.setups.surfaces.edges import end_face
from turnability.shop.model import Holding, Shop

LEAST_FACE = Cited(
    0.5,
    "-",
    "common practice",
    "least diameter of a glued face, or of a circle of screws, over the part's largest diameter "
    "and over its length, from memory",
    verified=False,
)
"""A cut far out, aside or along, on a small face peels the joint open."""
LEAST_SCREWS = 3
_SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class Screwed:
    """How a bolt circle holds the part: its circle's and holes' diameters in mm, its screws' heads.

    `heads_z_mm` is where heads stand on the free side; None where screws come from behind into
    blind holes, which must be tapped.
    """

    circle_mm: float
    hole_mm: float
    heads_z_mm: float | None


def held_on_faces(
    profile: Profile, departures: tuple[Departure, ...], shop: Shop, toward: Toward
) -> Iterator[Held]:
    """On the shop's arbors by the face of one end: screwed first, glued last."""
    across = face_mm(profile, toward)
    for holding in (h for h in shop.holdings if h.kind == "bolt-arbor"):
        for screwed in ways_to_screw(profile, departures, toward):
            yield held_on_face(profile, toward, holding, across / 2.0, screwed)
    for holding in (h for h in shop.holdings if h.kind == "glued-arbor"):
        if glued_mm(profile, toward):
            yield held_on_face(profile, toward, holding, across / 2.0)


def face_mm(profile: Profile, toward: Toward) -> float:
    """Largest diameter of the face that closes the part at this end; 0 where there is none."""
    face = [s for s in profile.outline.segments if s.id in end_face(profile, toward)]
    return 2.0 * max((p[1] for s in face for p in (s.curve.start, s.curve.end)), default=0.0)


def glued_mm(profile: Profile, toward: Toward) -> float:
    """The same where glue on it holds the part for light cuts, else 0."""
    across = face_mm(profile, toward)
    return across if across >= least_face_mm(profile) else 0.0


def least_face_mm(profile: Profile) -> float:
    """Diameter in mm of the least face, or circle of screws, that the whole part is held by."""
    return LEAST_FACE.value * max(profile.max_diameter_mm, profile.length_mm)


def ways_to_screw(
    profile: Profile, departures: tuple[Departure, ...], toward: Toward
) -> Iterator[Screwed]:
    """Bolt circles by which an end's face is screwed to an arbor, so that the free end's is faced.

    Holes must open in that face. Of those that go through to the free end's face the heads would
    cover what is still to be faced: they are no way. Blind ones want a diameter's depth of thread.
    """
    end, free = (0.0, profile.length_mm)[:: 1 if toward == "low" else -1]
    face = [s.curve for s in profile.outline.segments if s.id in end_face(profile, toward)]
    for one in departures:
        across = one.parameters.get("circle_diameter_mm")
        hole = one.parameters.get("hole_diameter_mm")
        many = one.parameters.get("count")
        if (
            one.kind != "bolt-circle"
            or one.parameters.get("direction", "axial") != "axial"
            or not isinstance(across, int | float)
            or not isinstance(hole, int | float)
            or across < least_face_mm(profile)
            or not isinstance(many, int)
            or many < LEAST_SCREWS
        ):
            continue
        near, far = sorted(one.z_mm, key=lambda z: abs(z - end))
        seats = any(
            min(c.start[1], c.end[1]) <= (across - hole) / 2.0
            and (across + hole) / 2.0 <= max(c.start[1], c.end[1])
            for c in face
        )
        if abs(near - end) > _SAME_MM or not seats:
            continue
        if one.parameters.get("through", True):
            if abs(far - free) > _SAME_MM:
                yield Screwed(float(across), float(hole), far)
        elif abs(far - near) >= hole:
            yield Screwed(float(across), float(hole), None)


def held_on_face(
    profile: Profile,
    toward: Toward,
    holding: Holding,
    radius_mm: float,
    screwed: Screwed | None = None,
) -> Held:
    """Held by its end face on an arbor of a radius: screwed by its holes, or glued.

    Heads stand within a hole's width round each hole (common practice) and as high as a hole is
    wide (ISO 4762: as high as the thread's diameter); tools keep the arbor's stand-off from them.
    """
    whole = profile.length_mm
    back = (-BEYOND_MM, 0.0) if toward == "low" else (whole, whole + BEYOND_MM)
    rings = [line_ring(_box(back, 0.0, radius_mm))]
    across = 2.0 * radius_mm
    if screwed is not None:
        across = screwed.circle_mm
        if screwed.heads_z_mm is not None:
            clear = screwed.hole_mm + holding.jaw_standoff_mm
            z, way = screwed.heads_z_mm, 1.0 if toward == "low" else -1.0
            low, high = sorted((z, z + way * clear))
            rings.append(
                line_ring(_box((low, high), max(0.0, across / 2.0 - clear), across / 2.0 + clear))
            )
    end = 0.0 if toward == "low" else whole
    grip = Grip(holding.name, "inner", (end, end), across, 0.0)
    return Held(toward, grip, holding, None, tuple(rings))


def _box(z: tuple[float, float], r0: float, r1: float) -> list[tuple[float, float]]:
    return [(z[0], r0), (z[1], r0), (z[1], r1), (z[0], r1)]
