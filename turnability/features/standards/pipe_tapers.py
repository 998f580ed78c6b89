"""Taper pipe threads of 1:16: NPT (ASME B1.20.1) and R, Rc (ISO 7-1), wound or on a plain cone.

NPT outside: the cone's small end stands at E0 + 0.8 p (the crests' diameter there); inside its
mouth stands at the pitch diameter E1 less 0.8 p. R outside: the small end stands a gauge length
before the gauge plane, where the crests have the gauge diameter; Rc: the mouth is the gauge plane.
A plain cone is no longer than the effective thread L2 with its vanish cone (NPT). Ends may be a
pitch longer or shorter, for leads.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import Alternative, FeatureKind, StandardMatch
from turnability.features.standards import rows
from turnability.features.standards.threads import SAME_PITCH
from turnability.part.model import HelicalThread

KINDS: tuple[FeatureKind, ...] = ("taper",)
OTHER_READING = Alternative(
    "thread",
    "a cone of 1:16 with a taper pipe thread's diameters; nothing in the solid winds, so that no"
    " pitch tells which one",
    "either",
)
_INCH = 25.4
_TAPER = 1.0 / 16.0
_ANGLE_SHARE = 0.02
_WOUND_SHARE = 0.05
"""A wound thread's taper is told from its edges: less exactly than a plain cone's."""
_ENDS_MM = 0.1
"""How far the diameters at the cone's ends may be off beside a pitch's share of the taper (our
choice; a turn of the thread by hand is a tenth of a millimetre)."""
_VANISH_PITCHES = 3.47
"""Length of the vanish threads, L4 less L2, in pitches (ASME B1.20.1)."""
_FLANK_DEG = 1.5
_DEPTH_PITCHES = {"NPT": (0.55, 0.87), "pipe-taper": (0.54, 0.74)}
"""Depth of thread in pitches: 0.8 at most (ASME B1.20.1, crests and roots truncated more or less),
0.640 (ISO 7-1); room for truncation is ours."""


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The pipe threads' sizes; the residual is that of the small end (outside) or mouth (inside).

    A plain cone has no pitch, and at 1 inch NPT (11.5 to the inch) and R (11) begin at 32.593 and
    32.599 mm: both agree. Wound ones are told apart by their pitch (`wound`).
    """
    small, large = one.diameter_mm
    length = one.z_mm[1] - one.z_mm[0]
    if length <= 0.0 or abs((large - small) / length / _TAPER - 1.0) > _ANGLE_SHARE:
        return []
    outside = one.surface == "outer"
    matches = []
    for row in rows("thread_pipe_npt"):
        pitch = float(row["pitch"]) * _INCH
        if length < 2.0 * pitch:
            continue
        if outside:
            off = small - (float(row["E0"]) * _INCH + 0.8 * pitch)
            if length > float(row["L2"]) * _INCH + (_VANISH_PITCHES + 1.0) * pitch:
                continue
        else:
            off = large - (float(row["E1"]) * _INCH - 0.8 * pitch)
        if abs(off) <= _spare(pitch):
            matches.append(StandardMatch("ASME B1.20.1", row["designation"], off))
    for row in rows("thread_pipe_r"):
        pitch = float(row["pitch"])
        if length < 2.0 * pitch:
            continue
        off = small - _r_small_mm(row) if outside else large - float(row["minor"])
        if abs(off) <= _spare(pitch):
            name = f"{'R' if outside else 'Rc'} {row['designation']}"
            matches.append(StandardMatch("ISO 7-1", name, off))
    return sorted(matches, key=lambda match: abs(match.residual_mm))


def wound(thread: HelicalThread) -> list[tuple[str, StandardMatch]]:
    """Form ("NPT", "pipe-taper") and size of a modelled taper thread, the nearest first."""
    length = thread.z_mm[1] - thread.z_mm[0]
    if abs(abs(thread.taper) / _TAPER - 1.0) > _WOUND_SHARE:
        return []
    depth = 0.5 * (thread.major_mm - thread.minor_mm - abs(thread.taper) * length)
    found = sorted(_sizes(thread, depth), key=lambda pair: abs(pair[1].residual_mm))
    hand = "-LH" if thread.hand == "left" else ""
    return [
        (form, StandardMatch(one.standard, one.designation + hand, one.residual_mm))
        for form, one in found
    ]


def _sizes(thread: HelicalThread, depth: float) -> Iterator[tuple[str, StandardMatch]]:
    """By the diameter at the small end outside, at the mouth inside."""
    outside = thread.surface == "outer"
    for row in rows("thread_pipe_npt"):
        pitch = float(row["pitch"]) * _INCH
        if not _alike(thread, "NPT", pitch, 30.0, depth):
            continue
        pitch_d = thread.minor_mm + depth if outside else thread.major_mm - depth
        off = pitch_d - float(row["E0" if outside else "E1"]) * _INCH
        if abs(off) <= _spare(pitch):
            yield "NPT", StandardMatch("ASME B1.20.1", row["designation"], off)
    for row in rows("thread_pipe_r"):
        pitch = float(row["pitch"])
        if not _alike(thread, "pipe-taper", pitch, 27.5, depth):
            continue
        if outside:
            off = thread.minor_mm + 2.0 * depth - _r_small_mm(row)
        else:
            off = thread.major_mm - float(row["major"])
        if abs(off) <= _spare(pitch):
            name = f"{'R' if outside else 'Rc'} {row['designation']}"
            yield "pipe-taper", StandardMatch("ISO 7-1", name, off)


def _alike(thread: HelicalThread, form: str, pitch: float, flank_deg: float, depth: float) -> bool:
    least, most = _DEPTH_PITCHES[form]
    return (
        abs(thread.pitch_mm / pitch - 1.0) <= SAME_PITCH
        and thread.starts == 1
        and all(abs(flank - flank_deg) <= _FLANK_DEG for flank in thread.flank_angles_deg)
        and least <= depth / pitch <= most
    )


def _r_small_mm(row: dict[str, str]) -> float:
    """The crests' diameter at the small end of an outside thread."""
    return float(row["major"]) - _TAPER * float(row["gauge_length"])


def _spare(pitch: float) -> float:
    return _ENDS_MM + _TAPER * pitch
