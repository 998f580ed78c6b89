"""What tools remove, by the report's contract, counted on cells: a second opinion from outside.

Shares no code with the program: parts are drawn in CadQuery, written as STEP and analysed through
`turnability.analyze`; what is left is read from the JSON report. Beside it stands a count on square
cells written from the contract's words alone. All corners lie on every second grid line, so cells
and places are exact, touching included, and areas must agree to rounding.

A bar's rule about stock on the axis is left to other tests: `inner` tools are drawn only for parts
with a hole right through, and then a drill of the smallest bore frees the axis first.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from scipy import ndimage, signal

from turnability import analyze

cadquery = pytest.importorskip("cadquery")

Cells = npt.NDArray[np.bool_]
Box = tuple[int, int, int, int]  # z from, z to, r from, r to, in cells
Tool = tuple[str, list[Box], list[Box]]  # access, cutting, body

MM = 0.25  # one cell
ENDLESS = 400  # cells: beyond all parts drawn here


def _drawn_part(rng: np.random.Generator) -> Cells:
    """Steps, grooves and bores as cells in r >= 0 (z first), every edge on an even cell line."""
    columns = int(rng.integers(3, 8))
    widths = 2 * rng.integers(1, 9, columns)
    outer = 2 * rng.integers(4, 16, columns)
    bored = rng.random() < 0.5
    inner = 2 * rng.integers(1, 7, columns) if bored else np.zeros(columns, int)
    inner = np.minimum(inner, outer - 4)
    # walls of neighbours must meet over some length, else the solid falls apart
    inner = np.minimum(inner, min(outer) - 2)
    cells = np.zeros((int(widths.sum()), int(outer.max())), bool)
    z = 0
    for width, low, high in zip(widths, inner, outer, strict=True):
        cells[z : z + width, low:high] = True
        z += width
    return cells


def _outline(cells: Cells) -> list[tuple[float, float]]:
    """Corners [z, r] of a drawn part: along the outside, back along the bore."""
    top = [len(column) - int(np.argmax(column[::-1])) for column in cells]
    low = [int(np.argmax(column)) for column in cells]
    corners = []
    for levels, order in ((top, 1), (low, -1)):
        for z, level in list(enumerate(levels))[::order]:
            corners += [(z, level), (z + 1, level)][::order]
    kept: list[tuple[float, float]] = []
    for corner in corners:
        point = (corner[0] * MM, corner[1] * MM)
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and (
            kept[-2][0] == kept[-1][0] == point[0] or kept[-2][1] == kept[-1][1] == point[1]
        ):
            kept.pop()
        kept.append(point)
    return kept


def _drawn_tool(rng: np.random.Generator, axis_free: bool) -> Tool:
    """A blade, often with a hook, on a shank that may be wider, narrower or step out above."""
    access = str(rng.choice(["outer", "end", "inner"] if axis_free else ["outer", "end"]))
    width, depth = (2 * int(n) for n in rng.integers(1, 7, 2))
    cutting: list[Box] = [(0, width, 0, depth)]
    if rng.random() < 0.4:
        cutting.append((-2 * int(rng.integers(1, 4)), width, 0, 2))
    low, high = (2 * int(n) for n in rng.integers(0, 3, 2))
    step = depth + 2 * int(rng.integers(1, 12))
    body: list[Box] = [
        (0, width, depth, step),
        (-low * 2, width + high * 2, step, ENDLESS),
    ]
    if access != "outer":
        cutting = [(c, d, a, b) for a, b, c, d in cutting]
        body = [(c, d, a, b) for a, b, c, d in body]
    return access, cutting, body


def _corners(boxes: list[Box]) -> list[list[list[float]]]:
    return [
        [[a * MM, c * MM], [b * MM, c * MM], [b * MM, d * MM], [a * MM, d * MM]]
        for a, b, c, d in boxes
    ]


def _shop(tools: list[Tool]) -> str:
    return "\n".join(
        f'[[tool]]\nname = "t{n}"\nkind = "outline"\naccess = "{access}"\n'
        f"cutting = {json.dumps(_corners(cutting))}\nbody = {json.dumps(_corners(body))}\n"
        for n, (access, cutting, body) in enumerate(tools)
    )


def _mask(boxes: list[Box], mirrored: bool) -> tuple[Cells, int, int]:
    """Cells of a union of boxes, and the cell (z, r) where the mask begins."""
    turned = [(-b, -a, c, d) if mirrored else (a, b, c, d) for a, b, c, d in boxes]
    z, r = min(b[0] for b in turned), min(b[2] for b in turned)
    mask = np.zeros((max(b[1] for b in turned) - z, max(b[3] for b in turned) - r), bool)
    for a, b, c, d in turned:
        mask[a - z : b - z, c - r : d - r] = True
    return mask, z, r


def _met(mask: tuple[Cells, int, int], field: Cells, places: Box) -> Cells:
    """Places where the mask overlaps the field (z first; r = 0 is its middle line)."""
    cells, z, r = mask
    met = np.zeros((places[1] - places[0], places[3] - places[2]), bool)
    sums = signal.fftconvolve(field.astype(float), cells[::-1, ::-1].astype(float)) > 0.5
    at_z = 1 - cells.shape[0] - z - places[0]
    at_r = 1 - cells.shape[1] - r - field.shape[1] // 2 - places[2]
    return _put(sums, met, at_z, at_r)


def _put(source: Cells, onto: Cells, z: int, r: int) -> Cells:
    """`source` laid on `onto` with its first cell at (z, r), cut off at the borders."""
    z0, z1 = max(z, 0), min(z + source.shape[0], onto.shape[0])
    r0, r1 = max(r, 0), min(r + source.shape[1], onto.shape[1])
    if z0 < z1 and r0 < r1:
        onto[z0:z1, r0:r1] |= source[z0 - z : z1 - z, r0 - r : r1 - r]
    return onto


def _left_by_count(part: Cells, tools: list[Tool]) -> Cells:
    """The envelope less the part less the least fixed point of removal, in r >= 0."""
    length, radius = part.shape
    solid = np.concatenate([part[:, ::-1], part], axis=1)
    gone = np.zeros_like(part)
    reach = 60  # cells round the envelope: no finite part of a drawn tool is larger
    places = (-reach, length + reach, -radius - reach, radius + reach)
    ends = []
    for _, cutting, body in tools:
        for mirrored in (False, True):
            cut, rest = _mask(cutting, mirrored), _mask(body, mirrored)
            blocked = _met(cut, solid, places) | _met(rest, solid, places)
            everything = np.ones_like(solid)
            outside = ~(_met(cut, everything, places) | _met(rest, everything, places))
            ends.append((cut, rest, blocked, outside))
    while True:
        before = int(gone.sum())
        for cut, rest, blocked, outside in ends:
            stock = ~part & ~gone
            both = np.concatenate([stock[:, ::-1], stock], axis=1)
            free = ~(blocked | _met(rest, both, places))
            labels, _ = ndimage.label(free)
            joined = np.isin(labels, np.unique(labels[free & outside]))
            swept = signal.fftconvolve(joined.astype(float), cut[0].astype(float)) > 0.5
            cleared = np.zeros_like(solid)
            _put(swept, cleared, places[0] + cut[1], places[2] + cut[2] + radius)
            gone |= cleared[:, radius:] & ~part
        if int(gone.sum()) == before:
            return np.asarray(~part & ~gone)


def _report(part: Cells, tools: list[Tool], folder: Path) -> dict[str, Any]:
    corners = [(r, z) for z, r in _outline(part)]
    body = cadquery.Workplane("XZ").polyline(corners).close()
    step, shop = folder / "part.step", folder / "shop.toml"
    cadquery.exporters.export(body.revolve(360, (0, 0, 0), (0, 1, 0)), str(step))
    shop.write_text(_shop(tools), encoding="utf-8")
    document: dict[str, Any] = json.loads(analyze(step, shop=shop).to_json())
    return document


@pytest.mark.parametrize("seed", range(12))
def test_left_is_what_cells_count(seed: int, tmp_path: Path) -> None:
    rng = np.random.default_rng(seed)
    part = _drawn_part(rng)
    axis_free = not part[:, 0].any()
    tools = [_drawn_tool(rng, axis_free) for _ in range(int(rng.integers(1, 5)))]
    if axis_free:  # a drill first, so that no stock stands on the axis
        across = min(int(np.argmax(column)) for column in part)
        tools.insert(0, ("end", [(0, 300, -across, across)], [(300, ENDLESS, -across, across)]))
    document = _report(part, tools, tmp_path)

    left = _left_by_count(part, tools)
    count = ndimage.label(left)[1]
    radii = (np.arange(part.shape[1]) + 0.5) * MM
    regions = document["reach"]["left"]
    assert document["profile"]["length_mm"] == pytest.approx(part.shape[0] * MM, abs=1e-6)
    assert len(regions) == count
    assert sum(r["area_mm2"] for r in regions) == pytest.approx(left.sum() * MM**2, abs=1e-3)
    assert sum(r["volume_mm3"] for r in regions) == pytest.approx(
        float((left * radii).sum()) * 2 * np.pi * MM**2, rel=1e-5, abs=1e-2
    )
