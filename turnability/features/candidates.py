"""Plain cylinders and bores that a thread could be meant for, by their diameter and what ends them.

Nothing in the solid winds there: these are candidates, never more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from turnability.features import limits
from turnability.features.chain import Chain, spread
from turnability.features.grooving import Cut, grooves, recesses
from turnability.features.model import Alternative
from turnability.features.sides import Finish, Side, is_parallel, slope_deg
from turnability.features.standards import DRAWN_MM, thread_reliefs
from turnability.features.standards.threads import ThreadSize, thread_sizes, within

_LEAST_PITCHES = 3.0
_MOST_DIAMETERS = 4.0
"""A longer cylinder is hardly a thread all along (common practice)."""
_LEAD_PITCHES = (0.45, 1.2)
"""How deep a lead chamfer reaches (radially) in pitches: to the root, 0.54 to 0.61 (ISO 68-1), or
a little past it."""
_LEAD_DEG = (25.0, 61.0)
_MOUTH = (0.99, 1.3)
"""A countersink's mouth in major diameters: 1.05 at least is usual (DIN 76-1; common practice)."""
_UNDER_PITCHES = 0.1
"""Blanks are drawn and turned up to this share of the pitch under size (common practice)."""
_SERIES = ("coarse", "UNC", "UNF", "G", "fine")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread that a cylinder's size and ends suit; `off_mm` how far its diameter is off.

    `lead`: its chamfer or countersink; `relief`: whether a relief to DIN 76-1 ends it too.
    """

    size: ThreadSize
    off_mm: float
    lead: bool
    relief: bool
    others: tuple[str, ...] = ()

    @property
    def why(self) -> str:
        """What speaks for it, in words."""
        signs = [sign for sign, told in (
            ("lead chamfer", self.lead), ("relief to DIN 76-1", self.relief)) if told]  # fmt: skip
        also = f" (or {', '.join(self.others)})" if self.others else ""
        return (
            f"diameter and {' and '.join(signs)} suit {self.size.designation}{also}; nothing in"
            " the solid winds"
        )


def candidate(chain: Chain, side: Side) -> Candidate | None:
    """The likeliest thread for a straight side of the outside or of a bore; None where none is."""
    if side.segment is None or not is_parallel(side.curve):
        return None
    if side.surface not in ("outer", "inner") or side.zone != side.surface:
        return None
    surface: Literal["outer", "inner"] = "outer" if side.surface == "outer" else "inner"
    (z0, z1), (d, _) = spread([side.segment.curve])
    length = z1 - z0
    if length > _MOST_DIAMETERS * d:
        return None
    leads = _leads(chain, side, surface)
    reliefs = _reliefs(chain, side, surface)
    if not leads and not reliefs:
        return None
    suited = []
    for size in thread_sizes():
        off = _off(size, surface, d)
        if off is None or length < _LEAST_PITCHES * size.pitch_mm:
            continue
        lead = any(_is_lead(size, surface, d, finish) for finish in leads)
        relief = any(_is_relief(size, surface, cut) for cut in reliefs)
        if lead or relief:
            suited.append(Candidate(size, off, lead, relief))
    suited.sort(key=lambda one: _rank(one, _off_as_drilled(one, surface, d)))
    if not suited:
        return None
    best = suited[0]
    others = tuple(c.size.designation for c in suited[1:3] if c.relief == best.relief)
    return Candidate(best.size, best.off_mm, best.lead, best.relief, others)


def near_thread(chain: Chain, side: Side) -> Alternative | None:
    """Why a plain cylinder or bore could be meant for a thread."""
    found = candidate(chain, side)
    return None if found is None else Alternative("thread", found.why)


def _rank(one: Candidate, off_mm: float) -> tuple[bool, int, int]:
    """By what speaks for it, by tenths of a millimetre, then the commoner series."""
    series = _SERIES.index(one.size.series) if one.size.series in _SERIES else len(_SERIES)
    return (not (one.lead and one.relief), int(off_mm / 0.1 + 1e-6), series)


def _off_as_drilled(one: Candidate, surface: str, d: float) -> float:
    """How far off the nut's minor diameter a bore is, or off its tap drill, the nearer: D less the
    pitch, to 0.05 mm (ISO 2306 drills 6.8 for M8)."""
    if surface == "outer":
        return abs(one.off_mm)
    return min(abs(one.off_mm), max(0.0, abs(d - (one.size.major_mm - one.size.pitch_mm)) - 0.05))


def _off(size: ThreadSize, surface: Literal["outer", "inner"], d: float) -> float | None:
    """How far the drawn diameter is off the thread's, if within its tolerance; mm."""
    if size.form == "trapezoidal" or size.series == "further":
        return None
    if surface == "outer" and d < size.major_mm - _UNDER_PITCHES * size.pitch_mm - DRAWN_MM:
        return None
    if surface == "inner" and abs(d - size.major_mm) <= DRAWN_MM:
        return None  # a bore of the screw's own size is a clearance hole
    return within(size, surface, d)


def _leads(chain: Chain, side: Side, surface: str) -> list[Finish]:
    """Chamfers of the side's outside corners."""
    assert side.segment is not None
    name = side.segment.id
    return [
        finish
        for finish in chain.finishes
        if finish.kind == "chamfer"
        and name in finish.between
        and finish.turn_deg > 0.0
        and _LEAD_DEG[0] <= slope_deg(finish.curve) <= _LEAD_DEG[1]
        and finish.segment.surface == surface
    ]


def _is_lead(size: ThreadSize, surface: str, d: float, finish: Finish) -> bool:
    _, (small, large) = spread([finish.curve])
    if surface == "inner":
        return _MOUTH[0] <= large / size.major_mm <= _MOUTH[1]
    deep = 0.5 * (large - small) / size.pitch_mm
    return _LEAD_PITCHES[0] <= deep <= _LEAD_PITCHES[1]


def _reliefs(chain: Chain, side: Side, surface: str) -> list[Cut]:
    """Hollows beside a shoulder whose land is this side."""
    cuts: Sequence[Cut] = grooves(chain, chain.outside) if surface == "outer" else recesses(chain)
    ends = (side.curve.start, side.curve.end)
    return [
        cut
        for cut in cuts
        if cut.relief is not None
        and any(
            abs(p[0] - q[0]) <= limits.SAME_MM and abs(p[1] - q[1]) <= limits.SAME_MM
            for p in ends
            for q in cut.hollow.mouth
        )
    ]


def _is_relief(size: ThreadSize, surface: Literal["outer", "inner"], cut: Cut) -> bool:
    assert cut.relief is not None
    floor = 2.0 * abs(cut.floor)
    return size.form in ("metric", "unified") and any(
        thread_reliefs.fitting(cut.relief, surface, size.major_mm, floor, size.pitch_mm)
    )
