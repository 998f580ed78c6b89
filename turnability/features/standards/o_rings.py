"""Glands for O-rings by their cross-section, as AS568 and ISO 3601 sizes are used.

Depths include the clearance of the joint, half of which the groove itself may lack. The width is
the table's least, up to 0.25 mm more (the inch tables' 0.010 in); the bottom radius at most the
table's. Walls lean by 5 degrees at most.
"""

from __future__ import annotations

from collections.abc import Sequence

from turnability.features.chain import Chain
from turnability.features.found import Found
from turnability.features.model import FeatureKind, StandardMatch
from turnability.features.standards import DRAWN_MM, Row, rows

KINDS: tuple[FeatureKind, ...] = ("groove", "recess", "end-groove")
_WALL_DEG = 5.0
_WIDER_MM = 0.25
_NARROWER_MM = {"static": 0.0, "dynamic": 0.127}
_BACKUPS = ("", ", 1 back-up ring", ", 2 back-up rings")


def agree(one: Found, chain: Chain, found: Sequence[Found]) -> list[StandardMatch]:
    """Cross-section and use, such as "3.53 static, radial outside"; the width's residual."""
    width, depth = one.parameters.get("width_mm"), one.parameters.get("depth_mm")
    walls, radius = one.parameters.get("wall_angles_deg"), one.parameters.get("floor_radius_mm")
    if not isinstance(width, float) or not isinstance(depth, float) or one.relief is not None:
        return []
    upright = 90.0 if one.kind == "end-groove" else 0.0
    if not isinstance(walls, tuple) or any(abs(wall - upright) > _WALL_DEG for wall in walls):
        return []
    if not isinstance(radius, float | int):
        return []
    matches = []
    for use, keys in _uses(one.kind):
        for row in rows(f"oring_{use}"):
            spare = 0.5 * float(row.get("clearance_max") or 0.0) if "axial" not in keys[0] else 0.0
            if radius > float(row["r_max"]) + DRAWN_MM:
                continue
            if not float(row[keys[0]]) - spare - 1e-3 <= depth <= float(row[keys[1]]) + 1e-3:
                continue
            for rings, least in enumerate(_widths(row, one.kind)):
                off = width - least
                if -_NARROWER_MM[use] - 1e-3 <= off <= _WIDER_MM + 1e-3:
                    where = {"groove": "radial outside", "recess": "radial inside"}
                    place = where.get(one.kind, "face")
                    name = f"{row['w']} {use}, {place}{_BACKUPS[rings]}"
                    matches.append(StandardMatch("AS568 / ISO 3601", name, off))
    return matches


def _uses(kind: FeatureKind) -> list[tuple[str, tuple[str, str]]]:
    if kind == "end-groove":
        return [("static", ("depth_axial_min", "depth_axial_max"))]
    return [
        ("static", ("depth_radial_min", "depth_radial_max")),
        ("dynamic", ("depth_min", "depth_max")),
    ]


def _widths(row: Row, kind: FeatureKind) -> list[float]:
    count = 1 if kind == "end-groove" else 3
    return [float(row[f"width_{i}"]) for i in range(count) if row[f"width_{i}"]]
