"""What the room `part` hands up: frozen, plain, picklable, free of the kernel.

Frame (see the report contract): z along the spindle axis from the part's low end, r the distance
from the axis, both in mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from turnability.half_plane.curves import Curve, Ring

Vector: TypeAlias = tuple[float, float, float]
Surface: TypeAlias = Literal["outer", "inner", "end", "axis"]
FaceRole: TypeAlias = Literal["outer", "inner", "end", "milled", "thread", "unknown"]
DepartureKind: TypeAlias = Literal[
    "hole", "bolt-circle", "flat", "hex", "square", "keyway", "slot", "pocket", "eccentric", "other"
]
Parameter: TypeAlias = float | int | str | bool | tuple[float, ...] | None


@dataclass(frozen=True, slots=True)
class Source:
    """Where a solid came from."""

    path: str | None
    sha256: str | None
    product: str | None
    solid: int
    solids: int
    length_unit: str
    step_schema: str | None
    originating_system: str | None


@dataclass(frozen=True, slots=True)
class Axis:
    """The turning axis in the product's own coordinates (mm); `origin_mm` is its point at z = 0."""

    origin_mm: Vector
    direction: Vector


@dataclass(frozen=True, slots=True)
class Face:
    """One face of the solid: 1-based index, entity number in the file, role and segments."""

    index: int
    step_id: int | None
    role: FaceRole
    segments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """One piece of the meridian, material on its left, with the faces it comes from."""

    id: str
    curve: Curve
    surface: Surface
    faces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed run of segments: the outline (anticlockwise) or a cavity's wall (clockwise)."""

    role: Literal["outline", "cavity"]
    segments: tuple[Segment, ...]

    @property
    def ring(self) -> Ring:
        """The curves alone."""
        return tuple(segment.curve for segment in self.segments)


@dataclass(frozen=True, slots=True)
class Profile:
    """The meridian of the turned body and its measures (mm, mm3).

    Build it with `turnability.part.profile.make_profile`, which keeps the contract.
    """

    length_mm: float
    max_diameter_mm: float
    through_bore_mm: float | None
    volume_mm3: float
    solid_volume_mm3: float | None
    departures_volume_mm3: float | None
    loops: tuple[Loop, ...]

    @property
    def segments(self) -> tuple[Segment, ...]:
        """All segments of all loops, in order."""
        return tuple(segment for loop in self.loops for segment in loop.segments)

    @property
    def outline(self) -> Loop:
        """The loop round the whole body."""
        return self.loops[0]


@dataclass(frozen=True, slots=True)
class Departure:
    """A place where the solid lacks material that its turned body has."""

    id: str
    kind: DepartureKind
    faces: tuple[int, ...]
    volume_mm3: float | None
    z_mm: tuple[float, float]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Symmetry:
    """How much of the solid turns about the axis, and why it is no turned body (`reason`)."""

    turned_area_fraction: float
    departures: tuple[str, ...]
    reason: str | None


@dataclass(frozen=True, slots=True)
class Part:
    """All that was learnt from one solid. `profile` is None where no axis carries the part.

    `remarks` say what was bridged or recovered while reading, `doubts` why the profile itself is
    not to be trusted.
    """

    source: Source
    axis: Axis | None
    symmetry: Symmetry
    faces: tuple[Face, ...]
    profile: Profile | None
    departures: tuple[Departure, ...]
    remarks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    read_s: float = 0.0
    axis_s: float = 0.0
    profile_s: float = 0.0
