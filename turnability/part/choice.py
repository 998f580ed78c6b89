"""Which of the candidate lines a part turns about: the one whose turned body it fills best.

The area that turns about a line misleads where a wide cross hole, an eccentric bore or the pins of
a flange hold more round surface than the body does. So the heaviest line is held against the few
that could do better, and only those are worked out of which `least_swept` does not say already
that they can not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from turnability.part.about import About, about
from turnability.part.axis import Line3
from turnability.part.faces_of_solid import give_cones
from turnability.part.kernel_faces import KernelFace
from turnability.part.least_swept import least_swept, swept_at_most
from turnability.part.model import Symmetry
from turnability.part.seen_mass import seen_mass
from turnability.part.symmetry import (
    FILLED_BEST,
    HEAVIEST,
    LEAST_FILL_CUT,
    Measures,
    axis_words,
    no_axis,
)

_MORE_AXES = 2
_LOOKED_AT = 12
_BALANCED = 4
"""Of how many lines the bound is asked: of those that pass nearest by the centre of mass."""
_RIVAL = 0.25
"""Least weight of a line, as a share of the heaviest, that is held against one that will do."""
_POORLY = 0.8
"""A line whose turned body the part fills less than this is held against light ones too."""
_LIGHT = 0.02
"""Least weight of those, which must pass twice as near by the centre of mass."""
_BETTER = 0.01
"""By how much a rival must fill its turned body better: less decides nothing."""
_FULL = 1.0 - _BETTER
_SURELY = 0.7
"""What is swept at the least comes out this near to the turned body, or nearer: no line is given
up for it but where it leaves so much less than the least fill."""
_HARDLY_ROUND = 0.6
"""Share of the bent surface that turns about the heaviest line, below which the line is doubted."""
_NEAR_MIDDLE = 0.05
"""Share of the edge of an equal cube by which such a line may pass by the centre of mass."""
_NEARLY = 0.3
"""By what share of that the samples of the faces may err, and the kernel be asked instead."""
_MANY_FREE = 20
"""From so many free-form faces on the kernel's quadrature is dearer than samples."""
_SEEN = 0.03
"""Greatest share of the volume by which samples may miss it."""
_LARGEST = 6
"""So many faces are asked first what they sweep."""
_VOLUME_NEAR = 1.02
"""By what the kernel's plain quadrature may fall short."""


def choose(
    shape: TopoDS_Shape, faces: Sequence[KernelFace], lines: Sequence[Line3], by: float
) -> tuple[About | None, Symmetry]:
    """The solid about its axis and nothing more, or None and why it has none.

    `lines`: the heaviest first; `by`: how many times the solid was enlarged.
    """
    hopeless = no_axis(faces, lines[0] if lines else None, by)
    if hopeless is not None:
        return None, Symmetry(0.0, (), hopeless)
    first = lines[0]
    made = _Choice(shape, faces, by, first)
    bent = math.fsum(face.area_mm2 for face in faces if face.kind != "plane")
    plain = first.weight_mm2 >= _HARDLY_ROUND * bent or made.is_balanced(first)
    if plain or made.may_do(first):
        made.work_out(first)
    if made.fill < _FULL:
        rivals = [
            line
            for line in lines[1:_LOOKED_AT]
            if made.is_rival(line, first) and no_axis(faces, line) is None
        ]
        if len(rivals) > _BALANCED:
            rivals = sorted(rivals, key=made.off_balance)[:_BALANCED]
        rivals = [line for line in rivals if made.may_beat_at_all(line)]
        for line in sorted(rivals, key=lambda line: -made.most(line))[:_MORE_AXES]:
            if made.may_beat(line):
                made.work_out(line)
    if made.found is not None:
        return made.found, Symmetry(0.0, (), None)
    return None, made.refused or made.given_up(first)


class _Choice:
    """The best line so far; `fill`: of that, or of the refused one that tells best what it is."""

    def __init__(
        self, shape: TopoDS_Shape, faces: Sequence[KernelFace], by: float, heaviest: Line3
    ) -> None:
        self.found: About | None = None
        self.refused: Symmetry | None = None
        self.fill = 0.0
        self._shape, self._faces, self._by = shape, list(faces), by
        self._props: GProp_GProps | None = None
        self._known: dict[Line3, Measures] = {}
        self._heaviest = heaviest
        self._exact_mm3: float | None = None

    def off_balance(self, line: Line3) -> float:
        """How far the line passes by the centre of mass, mm, to 1 µm."""
        middle = self._mass().CentreOfMass()
        away = np.array([middle.X(), middle.Y(), middle.Z()]) - line.point
        return round(float(np.linalg.norm(np.cross(away, line.direction))), 3)

    def is_balanced(self, line: Line3) -> bool:
        """Whether the line passes by the centre of mass as that of a turned part mostly does."""
        dear = sum(face.kind == "free" for face in self._faces) >= _MANY_FREE
        seen = self._seen_balance(line) if dear else None
        if seen is not None and abs(seen - _NEAR_MIDDLE) > _NEARLY * _NEAR_MIDDLE:
            return bool(seen <= _NEAR_MIDDLE)
        edge = abs(float(self._mass().Mass())) ** (1.0 / 3.0)
        return bool(self.off_balance(line) <= _NEAR_MIDDLE * edge)

    def _seen_balance(self, line: Line3) -> float | None:
        """How far the line passes by the centre of mass, as a share of the edge of an equal cube.

        As samples of all faces have it; None where they miss the volume that is known.
        """
        give_cones(self._faces)
        cones = [face.cone_mm3 for face in self._faces if face.cone_mm3 is not None]
        if len(cones) < len(self._faces):
            return None
        volume, centre = seen_mass(self._faces)
        known = math.fsum(cones)
        if abs(volume - known) > _SEEN * abs(known):
            return None
        away = centre - line.point
        off = float(np.linalg.norm(np.cross(away, line.direction)))
        return float(off / abs(known) ** (1.0 / 3.0))

    def is_rival(self, line: Line3, first: Line3) -> bool:
        """Whether a line is worth being held against the heaviest one."""
        if self.found is None or line.weight_mm2 >= _RIVAL * first.weight_mm2:
            return True
        if self.fill >= _POORLY or line.weight_mm2 < _LIGHT * first.weight_mm2:
            return False
        return self.off_balance(line) < 0.5 * self.off_balance(first)

    def most(self, line: Line3) -> float:
        """The share of its turned body that the solid fills at most; may be above 1."""
        return self._bound(line).fill

    def may_do(self, line: Line3) -> bool:
        """Whether the line is not out of the question by that bound.

        Nor is it, sooner said, where the solid is enough of a cylinder about all of it.
        """
        least = _SURELY * LEAST_FILL_CUT
        return self._volume() >= least * swept_at_most(self._faces, line) or (
            self.most(line) >= least
        )

    def may_beat(self, line: Line3) -> bool:
        """Whether by that bound the line could carry the solid, and better than the one taken."""
        return self.most(line) > self._least()

    def may_beat_at_all(self, line: Line3) -> bool:
        """The same, first by the largest faces alone, which is sooner said and no less true."""
        if line not in self._known and len(self._faces) > 2 * _LARGEST:
            largest = sorted(self._faces, key=lambda face: -face.area_mm2)[:_LARGEST]
            if self._volume() <= self._least() * least_swept(largest, line).volume_mm3:
                return False
        return self.may_beat(line)

    def work_out(self, line: Line3) -> None:
        """Take the line where it carries the solid, and better than the one that was taken."""
        tried = about(self._shape, self._faces, line)
        if tried.profile is not None and tried.profile.solid_volume_mm3 is not None:
            self._exact_mm3 = tried.profile.solid_volume_mm3
        measures, where = tried.measures, axis_words(line, self._by)
        if measures is None:
            why: str | None = (
                f"no closed outline could be found about the nearest axis, which runs {where}"
            )
        else:
            why = measures.reason(where, HEAVIEST if line is self._heaviest else FILLED_BEST)
        fill = measures.fill if measures else 0.0
        better = fill > self.fill + _BETTER
        if why is None and (self.found is None or better):
            self.found, self.fill = tried, fill
        elif self.found is None and (line is self._heaviest or (better and fill >= LEAST_FILL_CUT)):
            turned = measures.turned_area if measures else 0.0
            self.refused, self.fill = Symmetry(turned, (), why), fill

    def given_up(self, line: Line3) -> Symmetry:
        """Why a line is out of the question, by the bound alone."""
        bound = self._bound(line)
        return Symmetry(bound.turned_area, (), bound.reason(axis_words(line, self._by)))

    def _bound(self, line: Line3) -> Measures:
        if line not in self._known:
            volume = self._volume()
            total = math.fsum(face.area_mm2 for face in self._faces)
            least = least_swept(self._faces, line)
            self._known[line] = Measures(
                least.turned_mm2 / total,
                (total - least.turned_mm2) / max(total - least.level_mm2, 1e-300),
                volume / max(least.volume_mm3, 1e-9 * volume),
                cover=0.0,
                gross_fill=0.0,
                at_most=True,
            )
        return self._known[line]

    def _least(self) -> float:
        return LEAST_FILL_CUT if self.found is None else self.fill + _BETTER

    def _volume(self) -> float:
        if self._exact_mm3 is not None:
            return self._exact_mm3
        return _VOLUME_NEAR * abs(float(self._mass().Mass()))

    def _mass(self) -> GProp_GProps:
        if self._props is None:
            self._props = GProp_GProps()
            BRepGProp.VolumeProperties_s(self._shape, self._props)
        return self._props
