"""The types that the room `setups` hands up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from turnability.cited import Cited
from turnability.half_plane.curves import Point, Ring
from turnability.reach.model import Toward, other_end
from turnability.setups.bending_model import Bending
from turnability.setups.taper_model import TaperChucking
from turnability.shop.model import Cause, Holding

ROUGH = "rough"
"""The kind of an operation that leaves no surface finished."""
Support: TypeAlias = Literal["none", "tailstock", "steady", "between-centres"]


@dataclass(frozen=True, slots=True)
class Land:
    """A straight, unbroken cylinder of the profile that a chuck could hold.

    Or the flats of a hexagon that the bar brings with it: `diameter_mm` is then over its corners.
    """

    segments: tuple[str, ...]
    surface: Literal["outer", "inner"]
    z_mm: tuple[float, float]
    diameter_mm: float
    across_flats_mm: float | None = None

    @property
    def held_mm(self) -> float:
        """What a chuck opens to: the diameter, of a hexagon what is across its flats."""
        return self.diameter_mm if self.across_flats_mm is None else self.across_flats_mm


@dataclass(frozen=True, slots=True)
class Grip:
    """What is held: raw stock or a land. `kind` is the holding's name, "raw bar" or "raw piece".

    A raw bar is held behind the part, a raw piece on the end that the part itself comes out of.
    `across_flats_mm` of a hexagon that jaws hold by its flats, whose corners `diameter_mm` spans.
    """

    kind: str
    surface: Literal["outer", "inner"]
    z_mm: tuple[float, float]
    diameter_mm: float
    length_mm: float
    across_flats_mm: float | None = None

    @property
    def held_mm(self) -> float:
        """What a chuck opens to: the diameter, of a hexagon what is across its flats."""
        return self.diameter_mm if self.across_flats_mm is None else self.across_flats_mm


@dataclass(frozen=True, slots=True)
class Datum:
    """What the setup is located on; `segment` is None for raw stock."""

    segment: str | None
    why: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One tool's work in a setup, and what carries the free end meanwhile.

    `roughs`: a pointed corner takes more than a finishing cut, for no sturdy one gets in there.
    `over_thin_wall`: what it finishes stands over a thin wall, and waits until that is bored.
    `after_bore`: it waits for that too, as what it finishes is toleranced closely, and drilling and
    boring warm the work, free its stresses and may shift it.
    `leaves`: surfaces that it only roughs, for each is finished by another operation after it.
    `out_mm`: it is done while raw work is drawn into the spindle, and no more than so much of it
    stands out of the jaws; None where that is as the grip says.
    `one_pass`: all that stands over its surfaces is taken to size at once, from the free end on.
    `sinks`: those at which a corner gets only by being sunk into the full: nothing opens the way.
    `ends_at` is where its programmed point is at the end of its work, in the part's frame; for
    those who draw it, None until somebody asked (`last_place`) or where there is no such place.
    """

    tool: str
    segments: tuple[str, ...]
    kind: str
    support: Support = "none"
    ends_at: Point | None = None
    roughs: bool = False
    over_thin_wall: bool = False
    after_bore: bool = False
    sinks: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    out_mm: float | None = None
    one_pass: bool = False

    @property
    def only_roughs(self) -> bool:
        """Whether it leaves no surface finished, but stock for a later one."""
        return self.kind == ROUGH or (bool(self.leaves) and not self.segments)


@dataclass(frozen=True, slots=True)
class SetupLeft:
    """Segments that the plan leaves uncut, and why; how thick that is where it was measured."""

    segments: tuple[str, ...]
    causes: tuple[Cause, ...]
    thick_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Setup:
    """One chucking.

    `support` is the most that carries the free end in it; which operation has it, and which is
    done without, each says itself. `steady_z_mm` is the cylinder that a steady runs on.
    `holding` is what of the shop holds it; `kept_clear` the outlines (z, r) that it put in the
    tools' way while the plan was made, jaws reaching farther than real ones do. `light`: its last
    passes are lighter than usual, for by those the work would bend by more than it may.
    """

    order: int
    toward_chuck: Toward
    grip: Grip
    datum: Datum
    support: Support
    operations: tuple[Operation, ...]
    left: tuple[SetupLeft, ...]
    bending: Bending | None = None
    steady_z_mm: tuple[float, float] | None = None
    holding: Holding | None = None
    kept_clear: tuple[Ring, ...] = ()
    light: bool = False

    @property
    def free_end(self) -> Toward:
        """The end that is not held."""
        return other_end(self.toward_chuck)

    @property
    def how_held(self) -> HowHeld:
        """No more of it than how it is held."""
        return HowHeld(self.order, self.toward_chuck, self.grip, self.support, self.holding)


@dataclass(frozen=True, slots=True)
class HowHeld:
    """How one chucking holds the work, as `Setup` has it, of a plan that is not made."""

    order: int
    toward_chuck: Toward
    grip: Grip
    support: Support
    holding: Holding | None


@dataclass(frozen=True, slots=True)
class Rechucked:
    """Surfaces related by a tolerance, the setups that finish them, the run-out to expect.

    `mismatch` is what the holdings between those setups are off; None in one setup, or where it is
    not known. `limit_mm` is the run-out that is stated, None where only the relation is. `drilled`
    are bores of them that a drill finishes, alone or with a reamer after it.
    """

    name: str
    segments: tuple[str, ...]
    setups: tuple[int, ...]
    mismatch: Cited | None
    limit_mm: float | None
    drilled: tuple[str, ...] = ()

    @property
    def split(self) -> bool:
        """Whether more than one setup finishes them."""
        return len(self.setups) > 1

    @property
    def holds(self) -> bool:
        """Whether they come true as far as is known: in one setup, or within the stated limit."""
        if not self.split:
            return True
        if self.mismatch is None or self.limit_mm is None:
            return False
        return self.mismatch.value <= self.limit_mm


@dataclass(frozen=True, slots=True)
class Rival:
    """The next best plan, and why it lost."""

    setups: tuple[HowHeld, ...]
    why: str


@dataclass(frozen=True, slots=True)
class InTheWay:
    """What no plan found cuts although tools would reach it unheld, and what would let it.

    `change` is the least that would, in words; None where none was found.
    """

    segments: tuple[str, ...]
    change: str | None


@dataclass(frozen=True, slots=True)
class LatheJudged:
    """One lathe of the shop: what keeps it from making the part, and what only hinders it.

    `measured` and `limit` are the first length in mm that is too large, None where none is.
    """

    name: str
    stops: tuple[str, ...]
    hinders: tuple[str, ...]
    measured: float | None = None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class OffsetCut:
    """Work on an eccentric; no `tools` where none of the shop is known to do it.

    `diameter_mm` is the eccentric's own, of a drill its own (`solid`: nothing is open there yet);
    `over_mm` the most that stands over it a side. `rpm` is held down by `limit`; the depth a side
    and the feed are those to begin with. `needs_mm`: how deep a tool would have to reach down to it
    in how wide a gap, where none of the shop does for what swings beside it. `ends_at`: for each of
    the tools where its programmed point is at the end (z; r from the axis turned about), for those
    who draw it; None where there is no such place.
    """

    departure: str
    tools: tuple[str, ...]
    kind: Literal["turn", "drill", "bore"]
    diameter_mm: float
    z_mm: tuple[float, float]
    over_mm: float
    depth_mm: float
    feed_mm: float
    rpm: float
    limit: str
    solid: bool = False
    needs_mm: tuple[float, float] | None = None
    ends_at: tuple[Point | None, ...] = ()


@dataclass(frozen=True, slots=True)
class Packing:
    """Packing so thick under one jaw of a three-jaw chuck that holds this diameter."""

    chuck: str
    thick_mm: float
    on_mm: float


@dataclass(frozen=True, slots=True)
class SetOver:
    """A chucking after those of the plan: eccentrics of one axis, the work set over to that.

    `grip` and `holding` are None where nothing of the shop holds it so; `missing` then says what
    would, and `packed` in which chuck packing under one jaw would do. `dial_mm` is
    what a dial on what is gripped reads in a turn: twice the offset. `swung_mm` is the circle that
    the work needs, `free` the diameters that stand out of the jaws.
    """

    departures: tuple[str, ...]
    offset_mm: float
    dial_mm: float
    swung_mm: float
    cuts: tuple[OffsetCut, ...]
    toward_chuck: Toward | None = None
    grip: Grip | None = None
    holding: Holding | None = None
    segments: tuple[str, ...] = ()
    free: float = 0.0
    missing: str | None = None
    packed: Packing | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """The setups in order, what related surfaces come to, the runner-up, what stands in the way.

    `lathe` is the one that it is made for, by name, `lathes` what is to be said of each;
    `set_over` are the chuckings that turn eccentrics after all of them, `tapers` those after these
    that turn tapers with the tailstock set over.
    """

    setups: tuple[Setup, ...]
    rechucked: tuple[Rechucked, ...] = ()
    runner_up: Rival | None = None
    in_the_way: InTheWay | None = None
    lathe: str | None = None
    lathes: tuple[LatheJudged, ...] = ()
    set_over: tuple[SetOver, ...] = ()
    tapers: tuple[TaperChucking, ...] = ()

    @property
    def own_end(self) -> bool:
        """Whether a sawn piece is first held on its own end, so that it is no longer than that."""
        return bool(self.setups) and self.setups[0].grip.kind == "raw piece"
