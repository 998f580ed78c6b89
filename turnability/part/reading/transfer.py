"""A STEP text handed to the CAD kernel: what comes of it, by the entities' numbers."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from turnability.errors import PartUnreadable
from turnability.part.reading.damage import as_damage
from turnability.part.reading.pointed_faces import Pointed
from turnability.part.reading.restated_balls import Entity
from turnability.part.reading.step_text import EXPORT_AGAIN, StepText

_OF_A_SOLID = re.compile(r"StepShape_.*(?:Brep|Shell|Face|Bound|Loop|Edge|Curve|Vertex|Point)")
_MANY = 20_000_000
"""Comparisons (faces by entities) beyond which only some faces of a solid are asked for."""


class StepIds:
    """Entity numbers of faces, asked of the reader's own record of what became what.

    The kernel doesn't keep the numbers, but keeps entities in the order of the file, and its
    Python objects stay the same as long as they are held.
    """

    def __init__(self, reader: Any, entities: Sequence[tuple[int, Any]]) -> None:
        self._reader = reader.WS().TransferReader()
        self._process = self._reader.TransientProcess()
        self._mapped = self._process.NbMapped()
        self._held = entities
        self._numbers = {id(entity): number for number, entity in entities}

    def of(self, faces: Sequence[Any]) -> tuple[int | None, ...]:
        """Entity number of each face, None where the reader doesn't know it."""
        if len(faces) * self._mapped <= _MANY:
            return tuple(map(self._ask, faces))
        return self._by_order(faces) or tuple(map(self._ask, faces))

    def _ask(self, face: Any) -> int | None:
        from OCP.TopLoc import TopLoc_Location

        entity = self._reader.EntityFromShapeResult(face, 1)
        if entity is None:
            entity = self._reader.EntityFromShapeResult(face.Located(TopLoc_Location()), 1)
        return self._numbers.get(id(entity))

    def tried(self) -> set[int]:
        """Numbers of all faces that the reader tried to convert."""
        mapped = (self._process.Mapped(i) for i in range(1, self._mapped + 1))
        return {n for entity in mapped if (n := self._numbers.get(id(entity))) is not None}

    def _by_order(self, faces: Sequence[Any]) -> tuple[int | None, ...] | None:
        """Faces stand in the order of their translation; some forty are asked to make sure."""
        order = [
            number
            for i in range(1, self._mapped + 1)
            if (number := self._numbers.get(id(self._process.Mapped(i)))) is not None
        ]
        first = self._ask(faces[0])
        begin = order.index(first) if first in order else len(order)
        taken = order[begin : begin + len(faces)]
        probes = {*range(0, len(faces), max(1, len(faces) // 40)), len(faces) - 1}
        if len(taken) < len(faces) or any(self._ask(faces[i]) != taken[i] for i in probes):
            return None
        return tuple(taken)


class Faults(NamedTuple):
    """What the kernel found faulty in a file, and what of its solids it could not convert."""

    told: tuple[str, ...]
    doubts: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Both."""
        return (*self.told, *self.doubts)


def transferred(
    text: StepText, pointed: Pointed, unit: str
) -> tuple[Any, list[tuple[int, Any]], Faults]:
    """The reader after transfer, face entities with their numbers, and what it found faulty.

    `unit`: the kernel's name of that in which it works, "MM" or "UM" (µm).
    """
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_Controller, STEPControl_Reader

    STEPControl_Controller.Init_s()
    Interface_Static.SetCVal_s("xstep.cascade.unit", unit)
    Interface_Static.SetIVal_s("read.step.tessellated", 0)  # such faces have no surface
    what = str(text.path)
    reader = STEPControl_Reader()
    # The bytes that were checked, not the file again, which may have changed.
    data = io.BytesIO(pointed.text.encode("latin-1"))
    if reader.ReadStream("part.step", data) != IFSelect_ReturnStatus.IFSelect_RetDone:
        unread = PartUnreadable(what, "the CAD kernel cannot read this STEP file", EXPORT_AGAIN)
        raise as_damage(unread, text, ())
    told = []
    checks = reader.WS().ModelCheckList(True)
    checks.Start()
    faults = 0
    while checks.More():
        faults += checks.Value().NbFails() > 0
        checks.Next()
    if faults:
        told.append(f"{_entities(faults)} of the file {'is' if faults == 1 else 'are'} faulty")
    entities = list(_face_entities(reader.StepModel(), text, pointed.added))
    reader.TransferRoots()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")  # writers go by it too
    process = reader.WS().TransferReader().TransientProcess()
    failed = [
        type(process.Mapped(i)).__name__
        for i in range(1, process.NbMapped() + 1)
        if process.MapItem(i).Check().NbFails() > 0
    ]
    lost = f"{_entities(len(failed))} of the file could not be converted"
    if any(_OF_A_SOLID.fullmatch(kind) for kind in failed):
        return reader, entities, Faults(tuple(told), (lost,))
    return reader, entities, Faults((*told, lost) if failed else tuple(told))


def _entities(count: int) -> str:
    return "1 entity" if count == 1 else f"{count} entities"


def entity_of(reader: Any, text: StepText, added: int) -> Entity:
    """The kernel's records by the numbers of the text; none where it dropped some."""
    model = reader.StepModel()
    known = len(text.instances) == text.statements.entities == model.NbEntities() - added

    def entity(number: int) -> Any:
        instance = text.instances.get(number)
        # the model is empty once its reader is gone
        whole = reader.StepModel()
        return whole.Value(instance.place + 1) if known and instance is not None else None

    return entity


def _face_entities(model: Any, text: StepText, added: int) -> Iterator[tuple[int, Any]]:
    kinds = ("StepShape_AdvancedFace", "StepShape_FaceSurface")
    places = {number: text.instances[number].place + 1 for number in text.faces}
    count = model.NbEntities()
    if len(text.instances) == text.statements.entities == count - added:
        pairs = [(number, model.Value(place)) for number, place in places.items()]
        if all(type(entity).__name__ in kinds for _, entity in pairs):
            yield from pairs
            return
    # Entities that the kernel dropped shift the places: go by the order of the faces alone.
    found = [e for i in range(1, count + 1) if type(e := model.Value(i)).__name__ in kinds]
    if len(found) == len(places):
        yield from zip(places, found, strict=True)
