"""Undercuts of DIN 509 by their shape: type E relieves the cylinder, F the face too; H does both
with the corner of a triangular insert, without a floor.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.reliefs import Relief
from turnability.features.standards import DRAWN_MM, Row, rows

KINDS: tuple[FeatureKind, ...] = ("groove", "recess")
RAMP_DEG = 1.0
_OVER_MM = {"t1": 0.1, "f": 0.2, "t2": 0.05}
"""By how much depth and length may exceed the nominal size (DIN 509, from memory)."""
_RADIUS_SHARE = 0.1


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """The undercut's designation, such as E0.6x0.3; the residual is its depth's."""
    if one.relief is None:
        return []
    sizes: dict[str, StandardMatch] = {}
    for row, off in fitting(one.relief):
        name = f"{row['type']}{row['r']}x{row['t1']}"
        sizes.setdefault(name, StandardMatch("DIN 509", name, off))
    return list(sizes.values())


def fitting(relief: Relief) -> Iterator[tuple[Row, float]]:
    """Rows of the table that the relief agrees with, and by how much its depth is off (mm)."""
    if relief.radius_mm is None or relief.radius_mm <= 0.0:
        return
    for row in sorted(rows("undercut_din509"), key=lambda row: "2006" not in row["designation"]):
        if bool(row["t2"]) != (relief.face is not None):
            continue
        if abs(relief.ramp_deg - float(row["ramp_deg"])) > RAMP_DEG:
            continue
        if row["t2"] and abs(relief.face_deg - float(row["face_ramp_deg"])) > RAMP_DEG:
            continue
        r = float(row["r"])
        pairs = [("t1", relief.depth_mm), ("f", relief.length_mm)]
        if row["t2"]:
            pairs.append(("t2", relief.face_mm))
        if abs(relief.radius_mm - r) <= max(_RADIUS_SHARE * r, DRAWN_MM) and all(
            -DRAWN_MM <= size - float(row[key]) <= _OVER_MM[key] + DRAWN_MM for key, size in pairs
        ):
            yield row, relief.depth_mm - float(row["t1"])
