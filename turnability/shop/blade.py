"""Blades that plunge: the edge with its corner radii, the thinner blade, the block behind it.

Drawn like an outside tool: the programmed point is the edge's low-z, low-r corner before it is
rounded, the body lies toward +r.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from turnability.half_plane.curves import Ring
from turnability.shop.books import practice
from turnability.shop.model import Outlines, Relaxation
from turnability.shop.rings import box, rounded_ring
from turnability.toml_file.keys import Fault

_LONG_MM = 2000.0
_NARROW_MM = 0.2
"""Width of the blade that stands for one as narrow as may be."""


@dataclass(frozen=True, slots=True)
class Blade:
    """Edge width, corner radius, the depth it may sink, side clearance; mm.

    The full width reaches `head_mm` behind the edge. A `sharp` blade has its two foremost corners
    unrounded.
    """

    width_mm: float
    corner_mm: float
    depth_mm: float
    side_mm: float
    head_mm: float
    sharp: bool = False

    def cutting(self) -> Ring:
        """The edge's outline. Its rear corners are rounded too: they cut no better than it does."""
        w, h = self.width_mm, self.head_mm
        front = 0.0 if self.sharp else self.corner_mm
        rear = min(self.corner_mm, h - front)
        return rounded_ring([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)], [front, front, rear, rear])

    def blade(self, depth_mm: float) -> tuple[Ring, ...]:
        """The thinner blade from the head to `depth_mm`; none where the head fills the depth."""
        if depth_mm <= self.head_mm + 1e-9:
            return ()
        return (box(self.side_mm, self.head_mm, self.width_mm - self.side_mm, depth_mm),)

    def narrow(self) -> Blade | None:
        """A very narrow blade with the same corners; None where it would be no narrower."""
        width = max(_NARROW_MM, 2.0 * self.corner_mm)
        if width >= self.width_mm - 1e-9:
            return None
        side = min(self.side_mm, width / 4.0)
        return replace(self, width_mm=width, side_mm=side, head_mm=self.depth_mm)

    def endless(self) -> Blade:
        """A blade that sinks as deep as one likes."""
        return replace(self, depth_mm=_LONG_MM, head_mm=_LONG_MM)


def make_blade(width: float, corner: float, depth: float, side: float | None) -> Blade:
    """A blade; the side clearance is the usual one where None. Raises Fault."""
    if corner > width / 2.0:
        raise Fault(
            "corner_radius_mm",
            ("is ", corner, ": more than half the width of ", width),
            ("Write at most ", width / 2.0),
        )
    if corner > depth:
        raise Fault(
            "corner_radius_mm", ("is ", corner, ": more than the depth of ", depth), "Write less"
        )
    if side is None:
        side = min(practice("blade_side_clearance").value, width / 10.0)
    if side >= width / 2.0:
        told = ("is ", side, ": nothing is left of the blade")
        raise Fault("side_clearance_mm", told, "Write less")
    head = max(practice("blade_head_per_width").value * width, 2.0 * corner)
    return Blade(width, corner, depth, side, min(depth, head))


def relaxed_edges(blade: Blade, outlines: Callable[[Blade], Outlines]) -> tuple[Relaxation, ...]:
    """The blade with sharp corners, and as narrow as may be; `outlines` draws either."""
    found: list[Relaxation] = []
    if blade.corner_mm > 0.0:
        sharp = outlines(replace(blade, sharp=True))
        found.append(Relaxation("nose-radius", sharp, "corner_radius_mm", blade.corner_mm, "mm"))
    narrow = blade.narrow()
    if narrow is not None:
        found.append(Relaxation("blade-width", outlines(narrow), "width_mm", blade.width_mm, "mm"))
    return tuple(found)


def outside_blade(
    blade: Blade, shank_mm: float, neutral: bool
) -> tuple[Outlines, tuple[Relaxation, ...]]:
    """A right-hand outside blade and its relaxations; the holder stands flush on the chuck's side.

    A neutral holder is as wide on both sides.
    """

    def drawn(of: Blade) -> Outlines:
        depth = of.depth_mm
        z = (blade.width_mm - shank_mm) / 2.0 if neutral else of.side_mm
        block = box(z, depth, z + shank_mm, depth + 400.0)
        return Outlines((of.cutting(),), (*of.blade(depth), block))

    made = drawn(blade)
    endless = Outlines((blade.endless().cutting(),), ())
    relaxed = (
        *relaxed_edges(blade, drawn),
        Relaxation("blade-depth", endless, "depth_mm", blade.depth_mm, "mm"),
        Relaxation("holder", Outlines(made.cutting, ())),
    )
    return made, relaxed
