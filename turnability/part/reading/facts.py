"""What a STEP file knows of a solid besides its shape, gathered and put on its `Part`.

From the file's text alone: exact entity numbers and numbers in their own units. The kernel's
document reader loses signs, magnitudes and units of tolerances in many real files.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from turnability.part.model import (
    Datum,
    Part,
    Place,
    Stated,
    StatedSize,
    StatedTolerance,
)
from turnability.part.reading.appearance import Appearance
from turnability.part.reading.aspects import Aspects
from turnability.part.reading.geometric import DatumAspect, Tolerance, datums, tolerances
from turnability.part.reading.names import name_of
from turnability.part.reading.records import Records
from turnability.part.reading.sizes import Size, Sizes
from turnability.part.reading.step_text import StepText
from turnability.part.reading.tree import Spot, Tree, solid_name

_log = logging.getLogger("turnability")

_STATED = (
    "DATUM",
    "PLUS_MINUS_TOLERANCE",
    "DIMENSIONAL_CHARACTERISTIC_REPRESENTATION",
    "TOLERANCE_ZONE",
)


@dataclass(frozen=True, slots=True)
class FaceFacts:
    """What the file gives one face; see `model.Face`."""

    name: str | None = None
    colour: str | None = None
    layers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """What the file says of one solid: faces by index, statements without segments."""

    solid_name: str | None = None
    faces: Mapping[int, FaceFacts] = field(default_factory=dict)
    stated: Stated = field(default_factory=Stated)
    spots: tuple[Spot, ...] = ()
    remarks: tuple[str, ...] = ()


class FileFacts:
    """The facts of one file, worked out when first asked for."""

    def __init__(self, text: StepText) -> None:
        self._text = text
        self._records = Records(text)
        self._tree = Tree(self._records)

    def of(self, step_ids: Sequence[int | None]) -> Facts:
        """Facts of the solid whose faces have these entity numbers, in the order of its face map.

        Never raises: what cannot be made out is left away, with a remark.
        """
        try:
            return self._of(step_ids)
        except MemoryError:
            raise
        except Exception:  # a damaged statement must not lose the solid
            _log.debug("facts of %s", self._text.path, exc_info=True)
            remark = "what the file says of names, colours and tolerances could not be made out"
            return Facts(remarks=(remark,))

    def _of(self, step_ids: Sequence[int | None]) -> Facts:
        indices = {number: i for i, number in enumerate(step_ids, 1) if number is not None}
        breps = sorted({b for n in indices for b in self._text.breps_of_face.get(n, ())})
        brep = breps[0] if breps else None
        return Facts(
            solid_name=None
            if brep is None
            else solid_name(self._records, brep, self._text.product_names),
            faces={
                i: FaceFacts(
                    name_of(self._records, n),
                    self._appearance.colour(n),
                    self._appearance.layers(n),
                )
                for n, i in indices.items()
            },
            stated=self._stated(indices, brep),
            spots=() if brep is None else self._tree.spots(brep),
            remarks=()
            if brep is None
            else tuple(
                remark
                for mirrored, scale in self._tree.distortions(brep)
                for remark in distortion_remarks(mirrored, scale)
            ),
        )

    @cached_property
    def _appearance(self) -> Appearance:
        return Appearance(self._records)

    def _stated(self, indices: Mapping[int, int], brep: int | None) -> Stated:
        if not self._says_anything:
            return Stated()
        aspects = self._aspects
        alone = len(self._text.by_keyword.get("PRODUCT", ())) < 2
        own = frozenset() if brep is None else self._tree.definitions_of(brep)

        def place(aspect: int | None) -> Place | None:
            """Where on this solid an aspect is; None if it is of another."""
            if aspect is None:
                return None
            faces = aspects.faces(aspect)
            here = tuple(sorted({indices[n] for n in faces if n in indices}))
            if here or (not faces and (alone or aspects.definition(aspect) in own)):
                return Place(here)
            return None

        sizes = []
        for size in self._sizes:
            at, to = place(size.at), place(size.to)
            if at is not None or to is not None:
                sizes.append(
                    StatedSize(
                        size.step_id,
                        size.kind,
                        size.what,
                        size.unit,
                        size.nominal,
                        size.least,
                        size.largest,
                        size.fit,
                        size.modifiers,
                        at or Place(),
                        None if size.to is None else to or Place(),
                    )
                )
        found = [
            StatedTolerance(
                t.step_id,
                t.kind,
                t.name,
                t.value_mm,
                t.per_mm,
                t.zone,
                t.modifiers,
                t.datums,
                at,
            )
            for t in self._tolerances
            if (at := place(t.at)) is not None
        ]
        named = [
            Datum(d.step_id, d.letter, at)
            for d in self._datums
            if (at := place(d.step_id)) is not None
        ]
        return Stated(tuple(sizes), tuple(found), tuple(named))

    @cached_property
    def _says_anything(self) -> bool:
        keywords = self._records.all_keywords
        return any(k in keywords for k in _STATED) or any(
            k.endswith("_TOLERANCE") for k in keywords
        )

    @cached_property
    def _aspects(self) -> Aspects:
        return Aspects(self._records, self._tree)

    @cached_property
    def _sizes(self) -> tuple[Size, ...]:
        return tuple(Sizes(self._records, self._aspects).all())

    @cached_property
    def _tolerances(self) -> tuple[Tolerance, ...]:
        return tuple(tolerances(self._records))

    @cached_property
    def _datums(self) -> tuple[DatumAspect, ...]:
        return tuple(datums(self._records))


def distortion_remarks(mirrored: bool, scale: float) -> Iterator[str]:
    """What to say of a place where a solid is not as its product draws it."""
    if scale != 1.0:
        yield (
            f"the file places this solid at {scale:g} times its size; it was analysed in the size "
            "that its own product has"
        )
    if mirrored:
        yield "the file places this solid mirrored; it was analysed as its own product draws it"


def with_facts(part: Part, facts: Facts) -> Part:
    """The part with what its file says of it, places mapped to the segments of its faces."""
    segments = {face.index: face.segments for face in part.faces}

    def mapped(place: Place) -> Place:
        names = dict.fromkeys(s for i in place.faces for s in segments.get(i, ()))
        return Place(place.faces, tuple(names))

    stated = facts.stated
    return replace(
        part,
        faces=tuple(
            replace(face, name=one.name, colour=one.colour, layers=one.layers)
            if (one := facts.faces.get(face.index))
            else face
            for face in part.faces
        ),
        stated=Stated(
            tuple(
                replace(s, at=mapped(s.at), to=None if s.to is None else mapped(s.to))
                for s in stated.sizes
            ),
            tuple(replace(t, at=mapped(t.at)) for t in stated.tolerances),
            tuple(replace(d, at=mapped(d.at)) for d in stated.datums),
        ),
    )
