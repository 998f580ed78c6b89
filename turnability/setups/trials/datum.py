"""What a setup is located on, and how true the work runs there, in words."""

from __future__ import annotations

from collections.abc import Sequence

from turnability.setups.holding.jaws import JAW_DEPTH_MM, RAW_PIECE, Held
from turnability.setups.model import Datum, Setup
from turnability.setups.surfaces.edges import end_face
from turnability.setups.trials.job import Job
from turnability.shop.holding import HEXAGON_RUNOUT, mismatch_of
from turnability.shop.model import HoldingKind
from turnability.units import length_text

_GENTLE: dict[HoldingKind, str] = {
    "collet": "a collet closes all round it, and leaves what is finished unmarked",
    "soft-jaws": "soft jaws bored to it leave what is finished unmarked",
    "three-jaw": "hard jaws mark what is finished: copper or brass under them",
    "four-jaw": "hard jaws mark what is finished: copper or brass under them",
    "mandrel": "in its bore, so that the outside is free and runs true to it",
}
"""What a holding does to the finished surface that it is taken on (common practice, no source)."""


def datum_of(job: Job, held: Held, before: Sequence[Setup]) -> Datum:
    """What one chucking is located on, after those `before`."""
    if held.grip.kind == RAW_PIECE and held.land is not None:
        return Datum(
            None,
            "sawn piece: held on the bar's own outside, which stays, and set to length by a stop; "
            f"true only to the bar; {_GENTLE.get(held.holding.kind, 'unmarked')}",
        )
    if held.grip.kind == RAW_PIECE:
        return Datum(
            None,
            "sawn piece: held on its own end against the chuck's face or a stop; that end, and all "
            "that lies under the jaws, is turned in the next setup; true only to the saw and the "
            "bar",
        )
    if held.raw:
        return Datum(
            None,
            "raw bar: set to length by a stop, true only to the bar; everything that must run "
            "true to one another is best cut in this setup",
        )
    cut = {
        s: setup.order
        for setup in before
        for operation in setup.operations
        for s in operation.segments
    }
    face = next((s for s in end_face(job.profile, held.toward) if s in cut), None)
    runout = mismatch_of(held.holding)
    true = (
        f"runs true to it within {length_text(runout.value, job.shop.inch)} ({runout.source})"
        if runout is not None
        else "how true it runs after re-chucking is not stated for this holding"
    )
    where = "by its gripped cylinder alone"
    if face is not None:
        behind = held.grip.z_mm[0]
        if held.toward == "high":
            behind = job.profile.length_mm - held.grip.z_mm[1]
        far = held.grip.surface == "outer" and behind > JAW_DEPTH_MM
        where = f"against {'a stop in the spindle by ' if far else ''}the end face cut before"
    if held.land is None:
        return Datum(
            face,
            f"located {where}, set true by an indicator on a cylinder cut before; {true}"
            if face
            else f"set true by an indicator on a cylinder cut before; {true}",
        )
    if held.holding.kind == "between-centres":
        soft = set(held.land.segments) & set(cut)
        under = ", with something soft under it, for its cylinder is finished" if soft else ""
        return Datum(face, f"located by the centres in both ends, driven by a dog{under}; {true}")
    if held.grip.across_flats_mm is not None:
        off = length_text(HEXAGON_RUNOUT.value, job.shop.inch)
        return Datum(
            face,
            f"located {where}, on the flats of the bar's own hexagon: true only to the bar; what "
            f"was turned runs out by up to {off} ({HEXAGON_RUNOUT.source}) unless packed until "
            "a dial shows less; copper or brass under jaws that must not mark the flats",
        )
    order = next((cut[s] for s in held.land.segments if s in cut), 1)
    own = job.own.issuperset(held.land.segments)
    cylinder = "the bar's own outside" if own else f"a cylinder cut in setup {order}"
    gentle = _GENTLE.get(held.holding.kind)
    return Datum(
        face,
        f"located {where}, on {cylinder}; {true}" + (f"; {gentle}" if gentle else ""),
    )
