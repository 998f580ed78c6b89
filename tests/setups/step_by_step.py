"""A plan carried out step by step on pixels of the half plane, with no geometry of the program.

From a report only what people read is taken: the profile's curves, the stock, each setup's end in
the chuck, what it keeps tools clear of, its operations with the surfaces each names, and the
outlines of the shop's tools. Everything else is lattice points (z, r) in numpy and a Fourier
transform: a tool at p overlaps what holds a point o where o - p lies within its outline.

What each step takes is told narrowly, so that no step lives on what another was never asked to do.
Its tool may cut only where it touches the step's own surfaces, or has come there from straight out
and along its feed; elsewhere it passes through what is open. Roughing takes all it gets at but a
finishing cut. Everywhere its body may be in no stock that stands, jaws or finished part, and must
have come from outside. A pixel (`Bench.h`, mm) is forgiven everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from scipy import ndimage
from step_pixels import Bench, Grid, Outline, feed_of, filled, is_blade, polygon

from turnability.report import Report
from turnability.setups.model import Operation, Setup
from turnability.setups.surfaces.swept import swept_hollows
from turnability.shop.model import Shop, Tool

FINISH_MM = 0.5
"""Roughing leaves so much a side (common practice, no source)."""
NOSE_MM = 1.2
"""Nearer than this to a sharp inside corner any nose leaves something (ISO 1832: 0.2 to 1.2)."""
ROUNDS = 40
LEAST = 8
"""Of a smaller surface pixels do not tell whether stock stands at it."""
LATE = 0.15
"""A surface is got at in its turn but for this share of what can be got at of it at the end."""


def opened(stock: Grid) -> Grid:
    """Without what is thinner than three pixels."""
    return ndimage.binary_opening(stock, np.ones((3, 3)))


class Work:
    """One setup's work: what stands as its steps go on, and what they are found to do."""

    def __init__(self, bench: Bench, setup: Setup, last: bool) -> None:
        self.bench, self.setup, self.last = bench, setup, last
        self.from_high = setup.toward_chuck == "low"
        self.kept = np.zeros(bench.shape, dtype=bool)
        for ring in setup.kept_clear:
            self.kept |= filled(polygon(ring), bench.z, np.abs(bench.r))
        # what stock is there may be cut, if only by that which parts it off
        self.jaws = self.kept & ~bench.part & ~bench.stock
        self.fixed = ndimage.binary_erosion(bench.part | self.kept, border_value=1)
        self.stock = bench.stock

    def free(self, outline: Outline, solid: Grid, stock: Grid) -> Grid:
        """Places without overlap, joined to where the tool comes from."""
        bench = self.bench
        blocked = bench.overlaps(outline.both, bench.seen(solid))
        blocked |= bench.overlaps(outline.body, bench.seen(opened(stock)))
        if outline.tool.on_axis:
            return self._on_axis(blocked)
        return self._joined(outline.tool, ~blocked)

    def _on_axis(self, blocked: Grid) -> Grid:
        middle = self.bench.shape[0] // 2
        line = ~(blocked[middle] | blocked[middle - 1])
        come = line[::-1] if self.from_high else line
        come = np.logical_and.accumulate(come)
        places = np.zeros_like(blocked)
        places[middle] = places[middle - 1] = come[::-1] if self.from_high else come
        return places

    # ------------------------------------------------------------------ one step

    def own_places(self, operation: Operation, outline: Outline, solid: Grid) -> Grid:
        """Where it touches its own surfaces, or has come there straight in and along its feed."""
        bench, tool = self.bench, outline.tool
        if tool.on_axis or operation.only_roughs or not self.surfaces(operation):
            return np.ones(bench.shape, dtype=bool)
        open_ = ~bench.overlaps(outline.both, bench.seen(solid))
        clear = open_ & ~bench.overlaps(outline.both, bench.seen(bench.part))
        mine = np.zeros(bench.shape, dtype=bool)
        for s in self.surfaces(operation):
            mine |= bench.edges[s]
        if operation.kind == "part off":
            end = 0.0 if self.from_high else bench.profile.length_mm
            mine &= (np.abs(bench.z - end) < 3.0 * bench.h)[None, :]
        touching = bench.overlaps(outline.cutting, bench.seen(mine)) & open_
        touching &= self._no_deeper(operation, tool, mine)
        if tool.access == "end":
            return self._drawn(touching, open_, 1, self.from_high)
        out = tool.access == "outer"
        if not out:
            touching &= (bench.r > -bench.h)[:, None]
        places = self._drawn(touching, open_, 0, out)
        if is_blade(tool):
            return places
        if operation.kind != "face":
            # on past its own as far as nothing of the part stops it
            places |= self._drawn(touching & clear, clear, 1, True)
            places |= self._drawn(touching & clear, clear, 1, False)
        left = tool.hand == "left" and out
        return self._drawn(places, open_, 1, self.from_high != left)

    def _no_deeper(self, operation: Operation, tool: Tool, mine: Grid) -> Grid:
        """Places at which its tip is no deeper than the surfaces, though its flank touches them."""
        bench, (rows, columns) = self.bench, np.nonzero(mine)
        deep = np.ones(bench.shape, dtype=bool)
        if tool.access == "end" or not len(rows):
            return deep
        cutting = np.concatenate([polygon(ring) for ring in tool.outlines.cutting])
        if operation.kind == "face":
            tip = cutting[:, 0].min()
            if self.from_high:
                deep &= (bench.z + tip >= bench.z[columns].min() - bench.h)[None, :]
            else:
                deep &= (bench.z - tip <= bench.z[columns].max() + bench.h)[None, :]
        elif tool.access == "inner":
            most = np.abs(bench.r[rows]).max() + 2.0 * bench.h
            deep &= (bench.r + cutting[:, 1].max() <= most)[:, None]
        else:
            least = np.abs(bench.r[rows]).min() - 2.0 * bench.h
            deep &= (bench.r + cutting[:, 1].min() >= least)[:, None]
        return deep

    def _drawn(self, places: Grid, open_: Grid, axis: int, up: bool) -> Grid:
        """All that is passed on from these places straight on along an axis while it is open."""
        step = 1 if up else -1
        found = np.moveaxis(places, axis, 0)[::step].copy()
        way = np.moveaxis(open_, axis, 0)[::step]
        for k in range(1, len(found)):
            found[k] |= found[k - 1] & way[k]
        return np.moveaxis(found[::step], 0, axis)

    def surfaces(self, operation: Operation) -> tuple[str, ...]:
        if operation.kind != "part off":
            return operation.segments or operation.leaves
        end = 0.0 if self.from_high else self.bench.profile.length_mm
        found = [
            s.id
            for s in self.bench.profile.segments
            if s.surface != "axis"
            and any(abs(p[0] - end) < 1e-3 for p in (s.curve.start, s.curve.end))
        ]
        return tuple(dict.fromkeys((*operation.segments, *found)))

    def take(self, operation: Operation, stock: Grid) -> tuple[Grid, Grid]:
        """The stock as the step leaves it, and all that its tool has covered."""
        bench = self.bench
        outline = bench.outline(operation.tool, self.from_high)
        solid = self.fixed
        opens = not self.surfaces(operation)
        if (operation.only_roughs or opens) and not outline.tool.on_axis:
            left = max(1, round(FINISH_MM / bench.h))
            solid = solid | ndimage.binary_dilation(bench.part, iterations=left)
        own = self.own_places(operation, outline, solid)
        covered = np.zeros_like(stock)
        for _ in range(ROUNDS):
            places = self._places(outline, own, solid, stock)
            covered |= bench.covered(outline.cutting, places & own)
            before, stock = stock, stock & ~covered
            if (before & ~stock).sum() <= 8:
                break
        return stock, covered

    def _places(self, outline: Outline, own: Grid, solid: Grid, stock: Grid) -> Grid:
        """Where it may be: free, and away from its own surfaces only where it cuts nothing.

        On along its feed it goes into what it has just cut.
        """
        bench, tool = self.bench, outline.tool
        places = self.free(outline, solid, stock)
        if tool.on_axis:
            return places
        seen = bench.seen(stock)
        idle = ~own & bench.overlaps(outline.cutting, seen)
        if idle.any():
            places = self._joined(tool, places & ~idle)
        axis, up = feed_of(tool, self.from_high)
        way = own & ~bench.overlaps(outline.both, bench.seen(solid))
        way &= ~bench.overlaps(outline.feeding, bench.seen(opened(stock)))
        return places | self._drawn(places & own, way, axis, up)

    def _joined(self, tool: Tool, places: Grid) -> Grid:
        """Those that are joined to where it comes from."""
        pieces, _ = ndimage.label(places, np.ones((3, 3)))
        edge = pieces[-1] if tool.access == "outer" else pieces[:, -1 if self.from_high else 0]
        return np.isin(pieces, list(set(edge.tolist()) - {0}))

    # ------------------------------------------------------------------ the whole setup

    def run(self) -> Iterator[str]:
        """What is found amiss; `stock` is then what the setup leaves."""
        bench, order = self.bench, self.setup.order
        stock, done = self.stock, []
        for o in self.setup.operations:
            if o.tool not in bench.tools:
                continue
            after, covered = self.take(o, stock)
            small = min((int(bench.edges[s].sum()) for s in self.surfaces(o)), default=LEAST)
            # what a blade opens, a corner may square: pixels do not tell its finishing cut
            shared = any(set(o.segments) & set(one.segments) for one, _ in done)
            if not (stock & ~after).any() and small >= LEAST and not shared:
                yield f"setup {order}: {o.kind} {o.tool} {o.segments or o.leaves} cuts air"
            done.append((o, covered))
            if o.kind == "part off" and not self.last:
                # it is parted off longer, as its end is faced in the next setup
                after = stock
            stock = after
        self.stock = stock
        for o, covered in done:
            if o.kind == "part off" or not o.segments:
                continue
            _, at_last = self.take(o, stock)
            for s in o.segments:
                edge = bench.edges[s]
                whole = max(1, int(edge.sum()))
                got, could = int((covered & edge).sum()), int((at_last & edge).sum())
                if could - got > max(LATE * whole, 3):
                    yield (
                        f"setup {order}: {o.kind} {o.tool} gets at {got}/{whole} pixels of {s}, "
                        f"of which {could} could be got at once all is done"
                    )


def held_amiss(bench: Bench, setup: Setup, stock: Grid) -> Iterator[str]:
    """What is amiss with what holds or carries the work: it must be there, cut and unbroken.

    Raw stock needs but to be there; a steady's fingers may run on either.
    """
    whole = bench.part | stock
    grip, h = setup.grip, bench.h
    (low, high), radius = grip.z_mm, grip.diameter_mm / 2.0
    columns = (bench.z > low + h) & (bench.z < high - h)
    if grip.kind not in ("raw bar", "raw piece") and columns.any():
        inward = -2.0 * h if grip.surface == "outer" else 2.0 * h
        solid, bare = (np.abs(bench.r - radius - off).argmin() for off in (inward, -inward))
        where = f"setup {setup.order}: ⌀{2.0 * radius:g} over z {low:g} to {high:g}"
        if not whole[solid, columns].all():
            yield f"{where} is gripped, and broken or not there"
        if whole[bare, columns].any():
            yield f"{where} is gripped, and not cut yet"
    if setup.steady_z_mm is not None:
        low, high = setup.steady_z_mm
        columns = (bench.z > low + h) & (bench.z < high - h)
        outside = np.where(whole, bench.r[:, None], 0.0).max(axis=0)[columns]
        if len(outside) and np.ptp(outside) > 2.0 * h:
            yield f"setup {setup.order}: a steady runs on no cylinder at z {low:g} to {high:g}"


def carry_out(report: Report, shop: Shop, pixels: int = 100_000) -> list[str]:
    """All that is found amiss with a report's plan, step after step."""
    bench, found = Bench(report, shop, pixels), []
    stock = bench.stock
    length = bench.profile.length_mm
    for n, setup in enumerate(report.setups):
        bench.stock = stock
        last = n + 1 == len(report.setups)
        if n == 0:
            free = bench.within(-1e9, length + bench.end_mm)
            if setup.toward_chuck == "high":
                free = bench.within(-bench.end_mm, 1e9)
            bench.stock = stock = stock & free
        found += held_amiss(bench, setup, stock)
        work = Work(bench, setup, last)
        found += work.run()
        stock = work.stock
        parted = any(o.kind == "part off" for o in setup.operations)
        if n == 0:
            # what is parted or sawn off is gone, but for what is faced afterwards
            over = bench.end_mm if not last else (bench.h if parted else 0.0)
            on = (
                bench.within(-over, 1e9)
                if setup.toward_chuck == "low"
                else bench.within(-1e9, length + over)
            )
            stock = stock & on
    found += left_over(bench, stock)
    return found


def left_over(bench: Bench, stock: Grid) -> Iterator[str]:
    """Stock thicker than three pixels that nobody says stays."""
    report, h = bench.report, bench.h
    told = np.zeros(bench.shape, dtype=bool)
    for left in report.reach.left if report.reach else ():
        told |= filled(np.array(left.polygon, dtype=float), bench.z, np.abs(bench.r))
    lefts = [*(report.reach.left if report.reach else ()), *report.setups[-1].left]
    # what a nose leaves in a corner is told by its outline, and is no whole surface
    named = {s for left in lefts if set(left.causes) != {"nose-radius"} for s in left.segments}
    named |= swept_hollows(bench.profile, report.part.departures)
    told = ndimage.binary_dilation(told, np.ones((3, 3)), iterations=3)
    zz, rr = np.meshgrid(bench.z, np.abs(bench.r))
    for loop in bench.profile.loops:
        ring = loop.segments
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            (z0, r0), (z1, r1) = a.curve.direction(1.0), b.curve.direction(0.0)
            if z0 * r1 - r0 * z1 < -0.3:
                z, r = b.curve.start
                told |= np.hypot(zz - z, rr - r) < NOSE_MM + 2.0 * h
    rest = ndimage.binary_opening(stock & ~told, np.ones((4, 4)))
    rest &= (bench.r > 0.0)[:, None]
    pieces, many = ndimage.label(rest)
    for k in range(1, many + 1):
        piece = pieces == k
        near = ndimage.binary_dilation(piece, np.ones((3, 3)), iterations=4)
        beside = [s for s, edge in bench.edges.items() if (edge & near).any()]
        contact = [int((bench.edges[s] & near).sum()) for s in beside]
        if not beside or sum(
            n for s, n in zip(beside, contact, strict=True) if s in named
        ) > 0.8 * sum(contact):
            continue
        rows, columns = np.nonzero(piece)
        z, r = bench.z[columns], bench.r[rows]
        yield (
            f"left: {piece.sum() * h * h:.2f} mm2 at z {z.min():.2f} to {z.max():.2f}, "
            f"r {r.min():.2f} to {r.max():.2f} beside {', '.join(beside) or 'nothing'}"
        )


def confirmed(report: Report, shop: Shop, pixels: int = 100_000) -> list[str]:
    """What is found amiss on coarse and on fine pixels: what only the pixels make is not."""
    coarse = carry_out(report, shop, pixels)
    if not coarse:
        return []
    known = {_about(one) for one in coarse}
    return [one for one in carry_out(report, shop, 5 * pixels) if _about(one) in known]


def _about(found: str) -> str:
    """A finding without its counts."""
    if found.startswith("left"):
        return "left"
    return re.sub(r"\d+/\d+ pixels|of which \d+|z [-\d.]+ to [-\d.]+", "", found)
