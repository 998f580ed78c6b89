"""Our tables against those of an independent package, bd_warehouse 0.4.0 (Apache 2.0).

`bd_warehouse` brings its tables as data files; it is not imported. What they disagree in stands in
the comments of our tables: DIN 471 d1 10 (tolerance) and 48 (ring), DIN 472 d1 9 and 82.
"""

from __future__ import annotations

import csv
import os
import re
from importlib.util import find_spec
from pathlib import Path

import pytest

from turnability.features.standards import rows

DISAGREE = {("471", 10.0), ("471", 48.0), ("472", 9.0), ("472", 82.0)}


def table(name: str) -> list[dict[str, str]]:
    found = find_spec("bd_warehouse")
    if found is None or found.origin is None:
        missing = "the independent package is not installed; scripts/test does it"
        if os.environ.get("CI", "").lower() in ("1", "true", "yes"):
            pytest.fail(missing)
        pytest.skip(missing)
    with (Path(found.origin).parent / "data" / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize("number", ["471", "472"])
def test_retaining_ring_grooves(number: str) -> None:
    ours = {float(row["d1"]): row for row in rows(f"retaining_ring_din{number}")}
    theirs = {float(row["d1"]): row for row in table(f"din{number}.csv")}
    assert set(ours) <= set(theirs)
    keys = {"s": "s", "d2": "d2", "m": "m", "t": "t", "n": "n", "d2_tol_plus": "d2_tol+",
            "d2_tol_minus": "d2_tol-"}  # fmt: skip
    differ = {
        (number, d1)
        for d1, row in ours.items()
        if any(float(row[a]) != float(theirs[d1][b]) for a, b in keys.items())
    }
    assert differ == {one for one in DISAGREE if one[0] == number}


def test_pipe_threads() -> None:
    ours = {row["designation"][1:].replace(" ", "-"): row for row in rows("thread_pipe_g")}
    keys = {"major": "major_diameter", "pitch_d": "pitch_diameter", "minor": "minor_diameter",
            "tol_internal_minor": "internal_minor_tolerance",
            "tol_external_major": "external_major_tolerance"}  # fmt: skip
    theirs = table("iso_228_1.csv")
    assert {row["size"].replace(" ", "-") for row in theirs} == set(ours)
    for row in theirs:
        mine = ours[row["size"].replace(" ", "-")]
        assert all(float(mine[a]) == float(row[b]) for a, b in keys.items()), row["size"]


def test_static_glands() -> None:
    keys = {"depth_radial_min": "d_r_min", "depth_radial_max": "d_r_max", "width_0": "g_w_0",
            "depth_axial_min": "d_a_min", "depth_axial_max": "d_a_max",
            "r_max": "g_r_max"}  # fmt: skip
    for mine, row in zip(
        rows("oring_static"), table("o-ring_static_gland_parameters.csv"), strict=True
    ):
        assert all(float(mine[a]) == float(row[b]) for a, b in keys.items()), mine["w"]


def test_tap_drills() -> None:
    """Drilled for soft material; M14 has 12.1 there, M22 18.5 (ours: d - P)."""
    theirs = {row["Size"]: row["Soft"] for row in table("tap_hole_sizes.csv")}
    differ = set()
    for row in rows("thread_metric"):
        size = f"M{float(row['major_d']):g}-{float(row['pitch']):g}"
        if size in theirs and abs(float(row["tap_drill"]) - float(theirs[size])) > 0.051:
            differ.add(row["designation"])
    assert differ == {"M14", "M22"}


def test_trapezoidal_diameters_and_pitches() -> None:
    """Listed in the package's program text; pitch 3 at 16, 18, 20 is no size of ISO 2904."""
    found = find_spec("bd_warehouse")
    assert table("iso_228_1.csv")  # skips where the package is not installed
    assert found is not None
    assert found.origin is not None
    text = (Path(found.origin).parent / "thread.py").read_text("utf-8")
    listed = text.split("class MetricTrapezoidalThread", 1)[1].split("standard_sizes", 1)[1]
    theirs = {
        (float(d), float(p)) for d, p in re.findall(r'"(\d+)x([\d.]+)"', listed.split("]", 1)[0])
    }
    ours = {(float(row["d"]), float(row["pitch"])) for row in rows("thread_trapezoidal")}
    assert ours - theirs == set()
    assert {pair for pair in theirs - ours if pair[0] <= 100} == {(16, 3), (18, 3), (20, 3)}
