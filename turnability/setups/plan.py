"""A plan of one or two chuckings: what is held, what is cut, what stays.

The first setup grips the raw bar at either end. If all that tools can cut at all is cut there and
a blade can part the work off, that is the plan; else the part is turned round and gripped on a
land that the first setup has finished. Jaws and bar stand in the way of every tool meanwhile.
Only where no full grip will do is a short one taken (see `grips`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from turnability.half_plane.regions import Region, box
from turnability.part.model import Part, Profile
from turnability.reach.model import Reach, Toward
from turnability.reach.removal import Removal, removed_by
from turnability.setups.cuts import (
    Samples,
    bore_of_tube,
    hidden,
    samples_of,
    thick,
    touched,
    volume_mm3,
)
from turnability.setups.grips import (
    SHORT_STICK_OUT,
    LandGrip,
    grips_for,
    holdings_for_bar,
    is_short,
    passable,
)
from turnability.setups.jaws import Held, fits_behind, held_by_bar, held_by_land
from turnability.setups.model import Datum, Land, Setup, SetupLeft
from turnability.setups.operations import (
    Shares,
    cut_segments,
    end_face,
    is_blade,
    operations_of,
)
from turnability.setups.slender import stick_out_mm
from turnability.setups.support import support_of
from turnability.shop.model import Shop, Tool
from turnability.stock.choose import COMMON_POLICY
from turnability.stock.model import Stock

TRIALS = 8
"""So many second grips are tried at most, the sturdiest first, and as many short ones."""
_ENDS: tuple[Toward, Toward] = ("low", "high")
_SKIN_MM = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """What all trials share."""

    profile: Profile
    reach: Reach
    shop: Shop
    samples: Samples
    before: Region
    parting_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class _Trial:
    """One way to do it: the chuckings with what each removes, and what stays because of them."""

    chuckings: tuple[tuple[Held, Removal], ...]
    parting: Tool | None
    stays: tuple[Region, ...]

    @property
    def volume(self) -> float:
        return sum(volume_mm3(piece) for piece in self.stays)

    @property
    def sawn(self) -> bool:
        """Whether one end stays as the saw leaves it."""
        return len(self.chuckings) == 1 and self.parting is None

    @property
    def rank(self) -> tuple[bool, float, bool, int, float, float]:
        """Those that leave nothing, else least; full grips, few setups, sturdy ones first."""
        held = self.chuckings[-1][0]
        return (
            bool(self.stays) or self.sawn,
            round(self.volume, 3),  # mirrored setups leave the same but for rounding
            _held_short(held),
            len(self.chuckings),
            -held.grip.diameter_mm,
            -held.grip.length_mm,
        )


def plan_setups(
    part: Part, reach: Reach, lands: Sequence[Land], stock: Stock | None, shop: Shop
) -> tuple[Setup, ...] | None:
    """The best plan found: fewest setups of those that leave nothing, else the one leaving least.

    None where nothing can be said: no profile, or a shop file without holdings. Empty where no
    holding takes the raw bar. The last setup's `left` is what the whole plan leaves: what no tool
    reaches, with its causes, and what only the grips hide, with the cause "jaws". Without a stock
    list the raw bar is taken as large as the part.
    """
    profile = part.profile
    if profile is None or not shop.holdings:
        return None
    piece = stock.choice if stock else None
    size = piece.across_mm if piece else profile.max_diameter_mm
    raw = holdings_for_bar(size, shop)
    if not raw:
        return ()
    job = _Job(
        profile,
        reach,
        shop,
        samples_of(profile),
        bore_of_tube(profile, piece.inner_diameter_mm if piece else None),
        (shop.stock_policy or COMMON_POLICY).parting_width_mm,
    )
    firsts = [
        _first(job, held_by_bar(profile, toward, raw[0], size, job.parting_mm)) for toward in _ENDS
    ]
    best = min(firsts, key=_first_rank)
    if best.stays or best.sawn:
        best = min([best, *_seconds(job, firsts, lands)], key=lambda trial: trial.rank)
    return _written(job, best)


def _first_rank(trial: _Trial) -> tuple[bool, bool, float]:
    return (bool(trial.stays), trial.parting is None, trial.volume)


def _first(job: _Job, held: Held) -> _Trial:
    """The raw bar gripped at one end, and the blade that parts the work off, if one can."""
    removal = _removed(job, held, job.before)
    return _Trial(
        ((held, removal),),
        _parting(job, held, removal),
        _stays(job, removal),
    )


def _removed(job: _Job, held: Held, before: Region) -> Removal:
    return removed_by(job.profile, job.shop.tools, (held.toward,), held.obstacles, before)


def _stays(job: _Job, removal: Removal) -> tuple[Region, ...]:
    """What stays because of the holding, and is no mere rim of what no tool reaches anyway."""
    pieces = hidden(removal.stock, job.reach.left)
    return tuple(piece for piece in pieces if touched(job.samples, piece))


def _held_short(held: Held) -> bool:
    return held.land is not None and is_short(held.grip, held.holding)


def _parting(job: _Job, held: Held, removal: Removal) -> Tool | None:
    """A blade, a parting one if there is one, that sweeps the plane behind the part."""
    at_end = [
        p
        for s in job.profile.outline.segments
        if s.id in end_face(job.profile, held.toward)
        for p in (s.curve.start, s.curve.end)
    ]
    if not at_end:
        return None
    inner, outer = min(p[1] for p in at_end), max(p[1] for p in at_end)
    depth = min(0.05, 0.5 * job.parting_mm)
    z = -depth if held.toward == "low" else job.profile.length_mm
    strip = box(z + 0.2 * depth, inner, z + 0.8 * depth, outer)
    able = [
        work.tool
        for work in removal.works
        if work.tool.access == "outer"
        and _width(work.tool) <= job.parting_mm + 2.0 * _SKIN_MM
        and not thick((strip - work.swept).grown(0.5 * _SKIN_MM, "mitre"))
    ]
    return min(
        able, key=lambda t: ("part" not in t.kind, not is_blade(t), _width(t), t.name), default=None
    )


def _width(tool: Tool) -> float:
    z = [p[0] for ring in tool.outlines.cutting for c in ring for p in (c.start, c.end)]
    return max(z) - min(z) if z else 0.0


def _seconds(job: _Job, firsts: Sequence[_Trial], lands: Sequence[Land]) -> Iterator[_Trial]:
    """The part turned round, gripped on what the first setup finished; ends at one that does."""
    for first, held in _second_grips(job, firsts, lands):
        before = first.chuckings[0][1].standing.gone
        removal = _removed(job, held, before)
        trial = _Trial(
            (first.chuckings[0], (held, removal)),
            first.parting,
            _stays(job, removal),
        )
        yield trial
        if not trial.stays:
            return


def _second_grips(
    job: _Job, firsts: Sequence[_Trial], lands: Sequence[Land]
) -> list[tuple[_Trial, Held]]:
    """Grips on a land that a first setup has bared: full before short, sturdiest first.

    The first setup that leaves less to the second goes first: what one chucking cuts runs true.
    """
    found: list[tuple[float, _Trial, Held]] = []
    for first in firsts:
        toward: Toward = "high" if first.chuckings[0][0].toward == "low" else "low"
        taken: set[Land] = set()
        for grip in grips_for(lands, job.shop):
            land = grip.land
            if (grip.obstacle is not None and grip.shortest_mm is None) or land in taken:
                continue
            if not passable(job.profile, land, toward):
                continue
            for length in _lengths(grip):
                held = held_by_land(job.profile, toward, grip.holding, land, length)
                if _stands_well(job, held) and _clears_end(job, held) and _bared(job, first, held):
                    taken.add(land)
                    found.append((land.diameter_mm * length, first, held))
    found.sort(key=lambda entry: -entry[0])
    tried: list[tuple[_Trial, Held]] = []
    for short in (False, True):
        for first in sorted(firsts, key=_first_rank):
            own = [h for _, f, h in found if f is first and _held_short(h) is short]
            tried += [(first, held) for held in own[: TRIALS // len(firsts)]]
    return tried


def _lengths(grip: LandGrip) -> list[float]:
    """Long grip and short: up to a diameter of the land, most of it, just enough, or less."""
    whole = grip.length_mm
    lengths: set[float] = set()
    if grip.obstacle is None:
        least = min(whole, grip.least_mm)
        longest = min(whole, max(least, grip.land.diameter_mm))
        lengths |= {longest, max(least, min(longest, 0.75 * whole)), least}
    if grip.shortest_mm is not None:
        most = min(whole, grip.least_mm)
        shorter = (most, whole - grip.holding.jaw_standoff_mm, 0.5 * most, grip.shortest_mm)
        lengths |= {n for n in shorter if grip.shortest_mm <= n <= most}
    return sorted(lengths, reverse=True)


def _stands_well(job: _Job, held: Held) -> bool:
    """Whether a short grip carries what stands out of it, and the chuck has room for the rest."""
    if not fits_behind(job.profile, held, job.shop):
        return False
    if not _held_short(held):
        return True
    low, high = stick_out_mm(job.profile, held.toward, held.grip.z_mm)
    return high - low <= SHORT_STICK_OUT.value * held.grip.diameter_mm


def _clears_end(job: _Job, held: Held) -> bool:
    """Whether the jaws keep their stand-off from the free end, so that it can be faced."""
    low, high = held.grip.z_mm
    room = job.profile.length_mm - high if held.toward == "low" else low
    return room >= held.holding.jaw_standoff_mm - _SKIN_MM


def _bared(job: _Job, first: _Trial, held: Held) -> bool:
    """Whether the first setup has cut what is gripped, and all that jaws pass on their way."""
    low, high = held.grip.z_mm
    z0, z1 = (0.0, high) if held.toward == "low" else (low, job.profile.length_mm)
    r = held.grip.diameter_mm / 2.0
    if held.grip.surface == "outer":
        room = box(z0, r + _SKIN_MM, z1, job.profile.max_diameter_mm / 2.0 + 1.0)
    elif r > _SKIN_MM:
        room = box(z0, 0.0, z1, r - _SKIN_MM)
    else:
        return False
    return not thick(first.chuckings[0][1].stock & room)


def _written(job: _Job, trial: _Trial) -> tuple[Setup, ...]:
    """The plan in the report's words."""
    setups: list[Setup] = []
    done: set[str] = set()
    for order, (held, removal) in enumerate(trial.chuckings, start=1):
        shares = Shares(job.samples, removal)
        cut = set(cut_segments(shares)) - done
        behind = end_face(job.profile, held.toward)
        if held.land is None:
            # what the saw or the blade leaves behind the part is faced in the next setup
            cut -= set(behind)
        else:
            cut -= set(held.land.segments)
        operations = operations_of(
            job.profile,
            shares,
            held.toward,
            wanted=cut,
            chosen=job.reach.chosen_tools,
            parting=trial.parting if order == 1 else None,
            parted=tuple(behind) if len(trial.chuckings) == 1 else (),
        )
        done |= cut
        last = order == len(trial.chuckings)
        setups.append(
            Setup(
                order=order,
                toward_chuck=held.toward,
                grip=held.grip,
                datum=_datum(job, held, setups),
                support=support_of(job.profile, held.toward, held.grip, operations, job.shop),
                operations=operations,
                left=_left(job, trial) if last else (),
            )
        )
    return tuple(setups)


def _datum(job: _Job, held: Held, before: Sequence[Setup]) -> Datum:
    if held.land is None:
        return Datum(
            None,
            "raw bar: set to length by a stop, true only to the bar; everything that must run "
            "true to one another is best cut in this setup",
        )
    cut = {s for setup in before for operation in setup.operations for s in operation.segments}
    face = next((s for s in end_face(job.profile, held.toward) if s in cut), None)
    runout = held.holding.runout
    true = (
        f"runs true to it within {runout.value:g} {runout.unit} ({runout.source})"
        if runout is not None
        else "how true it runs after re-chucking is not stated for this holding"
    )
    where = "against the end face cut before" if face else "by its gripped cylinder alone"
    return Datum(face, f"located {where}, on a cylinder cut in setup 1; {true}")


def _left(job: _Job, trial: _Trial) -> tuple[SetupLeft, ...]:
    """What no tool reaches, and what only the holding hides."""
    anyway = [SetupLeft(left.segments, left.causes) for left in job.reach.left]
    by_jaws = [SetupLeft(touched(job.samples, piece), ("jaws",)) for piece in trial.stays]
    if trial.sawn:
        # sawn off behind the part: that face is left as sawn
        by_jaws.append(SetupLeft(end_face(job.profile, trial.chuckings[-1][0].toward), ("jaws",)))
    return tuple(anyway + by_jaws)
