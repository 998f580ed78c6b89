"""A tool of one's own as bare outlines, exactly as the report's contract has them."""

from __future__ import annotations

import math
from typing import Any

from turnability.half_plane.curves import Point, Ring, line_ring, ring_area
from turnability.shop.books import weight
from turnability.shop.model import Outlines, Tool
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Faults, Key, both

NAME = "outline"
KEYS = (
    Key(
        "access",
        "choice",
        'where it comes from: access = "outer", "inner" or "end"',
        required=True,
        choices=("outer", "inner", "end"),
    ),
    Key("on_axis", "flag", "true where its point moves on the axis only", default=False),
    Key(
        "hand",
        "choice",
        "which way it feeds",
        default="neutral",
        choices=("right", "left", "neutral"),
    ),
    Key(
        "cutting",
        "polygons",
        "polygons that may touch stock: cutting = [[[z, r], [z, r], [z, r]]], mm",
        required=True,
    ),
    Key("body", "polygons", "polygons that may touch nothing, mm", default=()),
)
_SQUARE = [[0.0, 0.0], [3.0, 0.0], [3.0, 6.0], [0.0, 6.0]]
_GOOD = {"name": "special-1", "kind": "outline", "access": "outer", "cutting": [_SQUARE]}
EXAMPLES = (
    Example(
        _GOOD
        | {
            "on_axis": False,
            "hand": "right",
            "body": [[[0.0, 6.0], [20.0, 6.0], [20.0, 100.0], [0.0, 100.0]]],
        }
    ),
    Example(_GOOD | {"cutting": [[[0, 0], [0, 6], [3, 6], [3, 4], [1, 4], [1, 0]], _SQUARE]}),
    Example(_GOOD | {"cutting": [[*_SQUARE, _SQUARE[0]]]}),
    Example(_GOOD | {"cutting": [_SQUARE[:2]]}, "3 different points"),
    Example(_GOOD | {"cutting": [[[0, 0], [1, 1], [2, 2]]]}, "no area"),
    Example(_GOOD | {"cutting": [[[0, 0], [2, 2], [2, 0], [0, 2]]]}, "crosses itself"),
    Example(_GOOD | {"cutting": [[[0, 0], [1, math.inf], [2, 0]]]}, "finite"),
    Example(_GOOD | {"cutting": [[[0, 0], [1e300, 0], [0, 1]]]}, "[1e+300, 0]"),
    Example(_GOOD | {"cutting": [[[0, 0], [8, 0], [0, 1e-9]]]}, "all but a line"),
    Example(_GOOD | {"cutting": []}, "no polygon"),
    Example(_GOOD | {"cutting": _SQUARE}, "list of points"),
    Example({k: v for k, v in _GOOD.items() if k != "name"}, "has no name"),
)
_FARTHEST_MM = 5000.0
"""No corner of a tool for a lathe lies farther from its point; beyond it reach is not exact."""
_THINNEST_MM = 0.002
"""A polygon narrower than this in the mean is a line: up to 1 µm a side counts as touching."""


def tool_from(table: Checked) -> Tool:
    """A tool from bare outlines; relief and clearances are not added. Raises Fault, Faults."""
    name, outlines = both(lambda: _named(table), lambda: _outlines(table))
    return Tool(
        name=name,
        kind=NAME,
        access=table["access"],
        on_axis=table["on_axis"],
        hand=table["hand"],
        outlines=outlines,
        weight=weight(NAME),
    )


def _named(table: Checked) -> str:
    name: str | None = table["name"]
    if name is None:
        raise Fault(None, "has no name", 'Add it: name = "special-1"')
    return name


def _outlines(table: Checked) -> Outlines:
    """Both outlines; what is wrong with any polygon is told at once. Raises Faults."""
    if not table["cutting"]:
        raise Fault("cutting", "holds no polygon", "Draw at least one that cuts")
    rings: dict[str, list[Ring]] = {"cutting": [], "body": []}
    faults: list[Fault] = []
    for key, found in rings.items():
        for index, polygon in enumerate(table[key]):
            try:
                found.append(_ring(key, index, polygon))
            except Fault as fault:
                faults.append(fault)
    if faults:
        raise Faults(faults)
    return Outlines(tuple(rings["cutting"]), tuple(rings["body"]))


def _ring(key: str, index: int, polygon: Any) -> Ring:
    """A polygon as an anticlockwise ring; it may be given in either sense."""
    which = f"polygon {index + 1}"
    if not isinstance(polygon, list) or not all(isinstance(p, list) for p in polygon):
        raise Fault(
            key, f"{which} is not a list of points", "Write [[[z, r], [z, r], [z, r]]], in mm"
        )
    points: list[Point] = []
    for p in polygon:
        if len(p) != 2 or not all(isinstance(x, int | float) and type(x) is not bool for x in p):
            raise Fault(key, f"{which} has a point that is not [z, r]", "Write two numbers in mm")
        if not all(math.isfinite(x) for x in p):
            raise Fault(key, f"{which} has a point that is not finite", "Write finite numbers")
        if max(map(abs, p)) > _FARTHEST_MM:
            raise Fault(
                key,
                f"{which} has the point [{p[0]:g}, {p[1]:g}]",
                ("Write mm, at most ", _FARTHEST_MM, " from the programmed point [0, 0]"),
            )
        point = (float(p[0]), float(p[1]))
        if not points or point != points[-1]:
            points.append(point)
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    if len(points) < 3:
        raise Fault(key, f"{which} has fewer than 3 different points", "Add the missing corners")
    ring = line_ring(points)
    crossing = _crossing(points)
    area = ring_area(ring)
    if crossing is None and abs(area) < _THINNEST_MM * _extent(points):
        raise Fault(
            key,
            f"{which} has no area, or is all but a line",
            "Draw corners that do not lie on one line, in mm",
        )
    if crossing is not None:
        i, j = crossing
        raise Fault(
            key,
            f"{which} crosses itself or touches itself: its edges {i + 1} and {j + 1} meet",
            "List the corners in order round it; draw separate pieces as separate polygons",
        )
    return ring if area > 0.0 else tuple(curve.reversed() for curve in ring[::-1])


def _extent(points: list[Point]) -> float:
    return max(max(p[i] for p in points) - min(p[i] for p in points) for i in (0, 1))


def _crossing(p: list[Point]) -> tuple[int, int] | None:
    """Two edges that meet elsewhere than at a common end; None where the polygon is simple."""
    n = len(p)
    for i in range(n):
        a, b = p[i], p[(i + 1) % n]
        for j in range(i + 1, n):
            c, d = p[j], p[(j + 1) % n]
            if j == i + 1 or (i == 0 and j == n - 1):  # neighbours: may only fold back
                shared, one, other = (b, a, d) if j == i + 1 else (a, b, c)
                if n == 3 or _side(shared, one, other) != 0.0:
                    continue
                if _along(shared, one, other) > 0.0:
                    return i, j
            elif _meet(a, b, c, d):
                return i, j
    return None


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    s1, s2, s3, s4 = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if s1 * s2 < 0.0 and s3 * s4 < 0.0:
        return True
    ends = ((s1, a, b, c), (s2, a, b, d), (s3, c, d, a), (s4, c, d, b))
    return any(s == 0.0 and _between(p, q, x) for s, p, q, x in ends)


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _along(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[0] - a[0]) + (b[1] - a[1]) * (c[1] - a[1])


def _between(p: Point, q: Point, x: Point) -> bool:
    return min(p[0], q[0]) <= x[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= x[1] <= max(p[1], q[1])
