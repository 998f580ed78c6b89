"""What the room `intent` hands up: what the design asks for that no solid says.

Lengths in mm, roughness in micrometres, the frame is the report's (z from the part's low end).
A field that is None or empty was not stated. Places know their segments once `settle.settled` has
found them on a part.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from turnability.cited import Cited
from turnability.units import number_text

End: TypeAlias = Literal["low", "high"]
Side: TypeAlias = Literal["outer", "inner"]
Span: TypeAlias = tuple[float, float]
Of: TypeAlias = Literal["diameter", "length", "surface"]
By: TypeAlias = Literal["grinding", "honing", "lapping"]


@dataclass(frozen=True, slots=True)
class Named:
    """A place on the part as people name it, and the segments it turned out to be.

    One diameter or one z is a span of two equal numbers. `line` and `where` say where it is
    stated, for messages (0 and "" where no file says it). `segments`, `faces`, `on_z_mm` and
    `on_diameter_mm` are empty until the place has been found on a part.
    """

    diameter_mm: Span | None = None
    z_mm: Span | None = None
    end: End | None = None
    side: Side | None = None
    face: str | None = None
    face_index: int | None = None
    line: int = 0
    where: str = ""
    segments: tuple[str, ...] = ()
    faces: tuple[int, ...] = ()
    on_z_mm: Span | None = None
    on_diameter_mm: Span | None = None

    def text(self, inch: bool = False) -> str:
        """The place in words: "⌀20 at z 10–30"."""
        words = []
        if self.side is not None:
            words.append("outside" if self.side == "outer" else "inside")
        if self.diameter_mm is not None:
            words.append(f"⌀{span_words(self.diameter_mm, inch)}")
        if self.z_mm is not None:
            words.append(f"{'at ' if words else ''}z {span_words(self.z_mm, inch)}")
        if self.end is not None:
            words.append(f"the {self.end} end")
        if self.face is not None:
            words.append(f'face "{self.face}"')
        if self.face_index is not None:
            words.append(f"face {self.face_index}")
        return " ".join(words)


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far one size may be off.

    `stated` is as written: "h6", "±0.05", "19.98 to 20", "-0.02 to 0", "zone 0.05".
    `deviations_mm` (lower, upper) count from `nominal_mm`; None where no table here holds the class
    at this size. `width_mm` is the width of the tolerance, which the grade alone
    gives. `basis` cites what a fit class was read from.
    """

    of: Of
    place: Named
    stated: str
    fit: str | None = None
    limits_mm: Span | None = None
    deviations_mm: Span | None = None
    width_mm: float | None = None
    nominal_mm: float | None = None
    basis: Cited | None = None


@dataclass(frozen=True, slots=True)
class Roughness:
    """The roughest a surface may be, Ra in micrometres."""

    place: Named
    ra_um: float


@dataclass(frozen=True, slots=True)
class Related:
    """Surfaces that run true to one another, within `run_out_mm` (total) where that is stated."""

    name: str
    places: tuple[Named, ...]
    run_out_mm: float | None = None


@dataclass(frozen=True, slots=True)
class StatedThread:
    """A thread by its designation, on the cylinder that the solid has in its place."""

    place: Named
    designation: str


@dataclass(frozen=True, slots=True)
class NoGrip:
    """A surface that jaws must not touch, and why."""

    place: Named
    why: str | None = None


@dataclass(frozen=True, slots=True)
class EdgeBreak:
    """How far one edge is broken, [least, greatest] in mm; (0, 0) is left sharp."""

    place: Named
    break_mm: Span


@dataclass(frozen=True, slots=True)
class Ground:
    """A surface that another machine finishes once it is turned, and how.

    `leave_mm` is what turning leaves for it, [least, most]: on the diameter, of a face along the
    axis; where nothing is stated the usual, with its `basis`, as soon as it is settled. `surface`
    says of which sort it is, `turned_mm` between which diameters it is turned; both None until
    then, and the latter of what has no one diameter.
    """

    place: Named
    by: By = "grinding"
    leave_mm: Span | None = None
    basis: Cited | None = None
    surface: Side | Literal["end"] | None = None
    turned_mm: Span | None = None


@dataclass(frozen=True, slots=True)
class Intent:
    """All that the design states. `centre_holes` and `parting_pip`: ends where they may stay.

    `what` names the file in messages. For those two, () says nowhere, None that nothing is
    stated. `edges_mm` and `ra_um` hold wherever nothing else is stated. `bar_outside`: whether the
    largest diameter, or the hexagon round it, may stay as the bar comes.
    """

    what: str = "the intent"
    sha256: str | None = None
    material: str | None = None
    condition: str | None = None
    density_kg_per_mm3: float | None = None
    quantity: int | None = None
    general_tolerance: str | None = None
    ra_um: float | None = None
    edges_mm: Span | None = None
    centre_holes: tuple[End, ...] | None = None
    parting_pip: tuple[End, ...] | None = None
    bar_outside: bool | None = None
    tolerances: tuple[Tolerance, ...] = ()
    roughness: tuple[Roughness, ...] = ()
    related: tuple[Related, ...] = ()
    threads: tuple[StatedThread, ...] = ()
    no_grip: tuple[NoGrip, ...] = ()
    edges: tuple[EdgeBreak, ...] = ()
    ground: tuple[Ground, ...] = ()

    @property
    def ungripped(self) -> tuple[Named, ...]:
        """Places that no jaw may hold: those kept from it, and threads."""
        return (*(n.place for n in self.no_grip), *(t.place for t in self.threads))


def span_words(span: Span, inch: bool = False) -> str:
    """One number or a range: "20", "10–30"."""
    low, high = (number_text(value, inch) for value in span)
    return low if low == high else f"{low}–{high}"
