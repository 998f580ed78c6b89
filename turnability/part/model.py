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
SizeKind: TypeAlias = Literal["diameter", "radius", "length", "distance", "angle", "other"]


@dataclass(frozen=True, slots=True)
class Instance:
    """One place of a solid in its file: its number there and the names from the root down to it.

    `scale` is 1 but where the placement itself scales or mirrors the solid, which is analysed as
    its product draws it. `turned`: written anew there, turned end for end, and told as the first.
    """

    solid: int
    path: tuple[str, ...]
    mirrored: bool = False
    scale: float = 1.0
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """Where a solid came from.

    `solid` counts all solids of the file as they are placed, repeated ones repeatedly.
    `instances` are all places of this one, itself among them; empty where there is no file.
    `unit_stated` is False where the file states no length unit and `length_unit` was assumed.
    """

    path: str | None
    sha256: str | None
    product: str | None
    solid: int
    solids: int
    length_unit: str
    step_schema: str | None
    originating_system: str | None
    solid_name: str | None = None
    instances: tuple[Instance, ...] = ()
    unit_stated: bool = True

    @property
    def repeats(self) -> int | None:
        """The first solid of the file that is this very one again; None where it is the first."""
        own = next((one for one in self.instances if one.solid == self.solid), None)
        alike = (
            one.solid
            for one in self.instances
            if own and (one.mirrored, one.scale) == (own.mirrored, own.scale)
        )
        first = min(alike, default=self.solid)
        return first if first < self.solid else None


@dataclass(frozen=True, slots=True)
class Axis:
    """The turning axis in the product's own coordinates (mm); `origin_mm` is its point at z = 0."""

    origin_mm: Vector
    direction: Vector


@dataclass(frozen=True, slots=True)
class Face:
    """One face of the solid: 1-based index, entity number in the file, role and segments.

    `name`, `colour` ("#rrggbb") and `layers` are what the file gives it, or the solid it bounds.
    """

    index: int
    step_id: int | None
    role: FaceRole
    segments: tuple[str, ...] = ()
    name: str | None = None
    colour: str | None = None
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """One piece of the meridian, material on its left, with the faces it comes from."""

    id: str
    curve: Curve
    surface: Surface
    faces: tuple[int, ...]

    @property
    def ends_z_mm(self) -> tuple[float, float]:
        """Where its two ends lie along z, the lower one first; an arc may go beyond them."""
        z0, z1 = self.curve.start[0], self.curve.end[0]
        return (z0, z1) if z0 <= z1 else (z1, z0)


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


CUT_OUT = "cut-out"
_CALLED = {"splined": "splines", "toothed": "teeth"}


def called(kind: str, parameters: Mapping[str, object]) -> str:
    """What people call a departure: "hole", or by its form "knurl", "teeth", "helix".

    One of no known kind or form is a "cut-out", for that is what all of them are.
    """
    form = parameters.get("form")
    if kind != "other":
        return kind
    return _CALLED.get(form, form) if isinstance(form, str) else CUT_OUT


@dataclass(frozen=True, slots=True)
class Departure:
    """A place where the solid lacks material that its turned body has.

    Where several run into each other their volume is known only together: the largest has it, and
    the others name that one in `parameters["volume_counted_in"]` and have none of their own.
    """

    id: str
    kind: DepartureKind
    faces: tuple[int, ...]
    volume_mm3: float | None
    z_mm: tuple[float, float]
    parameters: Mapping[str, Parameter] = field(default_factory=dict)

    @property
    def called(self) -> str:
        """What people call it: its kind, or the form of one that has no kind of its own."""
        return called(self.kind, self.parameters)

    @property
    def counted_elsewhere(self) -> bool:
        """Whether its volume is part of another departure's."""
        return self.volume_mm3 is None and "volume_counted_in" in self.parameters


@dataclass(frozen=True, slots=True)
class HelicalThread:
    """A modelled thread, as its own flanks tell it.

    `pitch_mm` is the lead over the starts; `flank_angles_deg` stand from the radial plane in the
    axial section, the flank that faces the low end first. `taper` is the change of diameter by
    length, positive where the thread widens toward the high end; `major_mm` is then the largest
    diameter, `minor_mm` the smallest, wherever along it they stand.
    """

    surface: Literal["outer", "inner"]
    hand: Literal["right", "left"]
    starts: int
    pitch_mm: float
    major_mm: float
    minor_mm: float
    flank_angles_deg: tuple[float, float]
    z_mm: tuple[float, float]
    faces: tuple[int, ...]
    taper: float = 0.0


@dataclass(frozen=True, slots=True)
class Symmetry:
    """How much of the solid turns about the axis, and why it is no turned body (`reason`)."""

    turned_area_fraction: float
    departures: tuple[str, ...]
    reason: str | None


@dataclass(frozen=True, slots=True)
class Place:
    """Faces of the solid (indices) that a statement is about, and the segments they make."""

    faces: tuple[int, ...] = ()
    segments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StatedSize:
    """A dimension that the file states, in mm, an angle in degrees (`unit`).

    `least` and `largest` are the limits of size; `fit` is a class of ISO 286 such as "H7", which
    leaves them None. `what` and `modifiers` are the file's own words; "theoretical" is a basic
    dimension, "auxiliary" one for reference. `to` is the other end of a distance.
    """

    step_id: int | None
    kind: SizeKind
    what: str
    unit: Literal["mm", "deg"]
    nominal: float | None
    least: float | None
    largest: float | None
    fit: str | None
    modifiers: tuple[str, ...]
    at: Place
    to: Place | None = None


@dataclass(frozen=True, slots=True)
class DatumReference:
    """One datum a tolerance refers to; several letters make a common datum (A-B)."""

    letters: tuple[str, ...]
    modifiers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StatedTolerance:
    """A geometric tolerance that the file states, its value in mm; datums in their order.

    `kind` is the standard's name ("flatness", "circular-runout"); `zone` the shape of its zone in
    the file's words; `per_mm` the length that the value holds for.
    """

    step_id: int | None
    kind: str
    name: str | None
    value_mm: float | None
    per_mm: float | None
    zone: str | None
    modifiers: tuple[str, ...]
    datums: tuple[DatumReference, ...]
    at: Place


@dataclass(frozen=True, slots=True)
class Datum:
    """A datum that the file names, on its features or datum targets."""

    step_id: int | None
    letter: str
    at: Place


@dataclass(frozen=True, slots=True)
class Stated:
    """What the file itself demands of the solid (semantic tolerances of AP242)."""

    sizes: tuple[StatedSize, ...] = ()
    tolerances: tuple[StatedTolerance, ...] = ()
    datums: tuple[Datum, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """All that was learnt from one solid. `profile` is None where no axis carries the part.

    `remarks` say what was bridged or recovered while reading, `doubts` why the profile itself is
    not to be trusted. `open_z_mm`: from where to where along z the books were seen not to close.
    """

    source: Source
    axis: Axis | None
    symmetry: Symmetry
    faces: tuple[Face, ...]
    profile: Profile | None
    departures: tuple[Departure, ...]
    remarks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    threads: tuple[HelicalThread, ...] = ()
    stated: Stated = Stated()
    open_z_mm: tuple[float, float] | None = None
    read_s: float = 0.0
    axis_s: float = 0.0
    profile_s: float = 0.0

    @property
    def largest_departure(self) -> str | None:
        """The departure of those with a volume of their own that has the most; None without any."""
        known = [(d.volume_mm3, d.id) for d in self.departures if d.volume_mm3 is not None]
        return max(known, key=lambda one: one[0])[1] if known else None
