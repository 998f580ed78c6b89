"""Threads of solids that an independent package made: form, hand, side, starts, sizes and length.

The solids in `wound/` (packed by xz) are those of bd_warehouse 0.4.0 on build123d 0.13.0: its
thread by the arguments named here, united with a core of its root's radius (or a ring) and a head.
Designations are the package's arguments put as the standards write them.
"""

from __future__ import annotations

import lzma
from pathlib import Path

import pytest

from turnability.features.recognise import recognise
from turnability.part.model import Part, Source
from turnability.part.reading.read import solids_in
from turnability.part.turned import part_of

FOLDER = Path(__file__).parent / "wound"
NOWHERE = Source(None, None, None, 1, 1, "mm", None, None)


def read(name: str, folder: Path) -> Part:
    file = folder / f"{name}.step"
    file.write_bytes(lzma.decompress((FOLDER / f"{name}.step.xz").read_bytes()))
    (solid,) = solids_in(file)
    return part_of(solid.shape, NOWHERE, ())


@pytest.mark.parametrize(
    ("name", "designation", "surface", "hand", "starts", "pitch", "major", "minor", "length"),
    [
        # IsoThread(20, 1.5, 14, external=False, hand="left", end_finishes=("square", "square"))
        ("m20x1p5_left_inside", "M20x1.5-LH", "inner", "left", 1, 1.5, 20.0, 18.376, 14.0),
        # IsoThread(10, 1, 14, end_finishes=("fade", "chamfer"))
        ("m10x1_right_outside", "M10x1", "outer", "right", 1, 1.0, 10.0, 8.917, 14.0),
        # TrapezoidalThread(18, 4, 30, 24, external=False, starts=2, hand="left"), ends faded
        ("tr18x8p4_left_inside", "Tr18x8P4LH", "inner", "left", 2, 4.0, 18.0, 14.0, 24.0),
        # TrapezoidalThread(20, 4, 30, 40, starts=3, hand="left"), ends faded
        ("tr20x12p4_left_outside", "Tr20x12P4LH", "outer", "left", 3, 4.0, 20.0, 16.0, 40.0),
    ],
)
def test_a_thread_of_an_independent_package(
    name: str, designation: str, surface: str, hand: str, starts: int, pitch: float, major: float,
    minor: float, length: float, tmp_path: Path,
) -> None:  # fmt: skip
    part = read(name, tmp_path)
    assert part.profile is not None, part.symmetry.reason
    features = recognise(part.profile, part.threads, (), part.departures)
    (thread,) = (f for f in features if f.kind == "thread")
    assert thread.matches[0].designation == designation
    p = thread.parameters
    assert (thread.surface, p["hand"], p["starts"]) == (surface, hand, starts)
    assert p["pitch_mm"] == pytest.approx(pitch, rel=0.005)
    assert p["major_mm"] == pytest.approx(major, abs=0.01)
    assert p["minor_mm"] == pytest.approx(minor, abs=0.01)
    # a faded end takes up to a lead of the length that was asked for
    assert length - starts * pitch <= p["length_mm"] <= length + 0.01
    assert not any(f.kind in ("taper", "contour", "recess") for f in features)
    goes_through = part.profile.through_bore_mm
    assert goes_through == (pytest.approx(minor, abs=0.01) if surface == "inner" else None)
