"""STEP files to solids of the CAD kernel, checked, each with where it came from.

Runs the kernel in this very process, which damaged files can kill: `part.apart.child` runs
it where that is survived.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from turnability.errors import PartUnreadable
from turnability.part.model import Source
from turnability.part.reading.damage import COPY_AGAIN, as_damage, broken_geometry, damage_of
from turnability.part.reading.empty_edges import remark_on_emptied, without_empty_edges
from turnability.part.reading.facts import Facts
from turnability.part.reading.fine import in_millimetres, is_tiny
from turnability.part.reading.names import clean
from turnability.part.reading.no_solid import no_solid
from turnability.part.reading.pointed_faces import Pointed, remark_on, with_arcs
from turnability.part.reading.restated_balls import (
    AS_STATED,
    Entity,
    Restated,
    balls_restated,
    remark_on_restated,
)
from turnability.part.reading.round_faces import with_sides
from turnability.part.reading.soundness import sound_solid
from turnability.part.reading.step_text import BREPS, EXPORT_AGAIN, StepText, read_step_text
from turnability.part.reading.step_units import UnknownUnit, unit_of_brep
from turnability.part.reading.tell import Untold, tell
from turnability.part.reading.topology import faces_of, solids_of_shape
from turnability.part.reading.traces import redraw_traces

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Solid

_OF_A_SOLID = re.compile(r"StepShape_.*(?:Brep|Shell|Face|Bound|Loop|Edge|Curve|Vertex|Point)")
_MANY = 20_000_000
"""Comparisons (faces by entities) beyond which only some faces of a solid are asked for."""


@dataclass(frozen=True, slots=True)
class ReadSolid:
    """One solid as read: kernel shape in mm in the product's own coordinates.

    `step_ids[i]` is the entity number of the face with index i + 1 in the solid's face map.
    `remarks` tell what was put right or may be wrong, `doubts` what of the file's solids was lost,
    `facts` what else the file says of it.
    """

    shape: TopoDS_Solid
    source: Source
    step_ids: tuple[int | None, ...]
    remarks: tuple[str, ...] = ()
    facts: Facts = field(default_factory=Facts)
    doubts: tuple[str, ...] = ()


def read_solids(path: Path) -> tuple[ReadSolid, ...]:
    """All solids of a STEP file, in the order of the file's tree, repeated ones repeatedly.

    Raises PartUnreadable for files that hold none, and for the first solid that is not sound.
    """
    solids = []
    for solid in solids_in(path):
        if isinstance(solid, PartUnreadable):
            raise solid
        solids.append(solid)
    return tuple(solids)


def solids_in(path: Path) -> tuple[ReadSolid | PartUnreadable, ...]:
    """Like `read_solids`, with the error in the place of each solid that is not sound."""
    text = read_step_text(path)
    what = str(path)
    if broken := broken_geometry(text):
        raise PartUnreadable(what, f"the file is damaged: {broken}", COPY_AGAIN)
    try:
        return _solids_of_text(text)
    except (PartUnreadable, MemoryError):
        raise
    except Exception as error:
        if "OutOfMemory" in type(error).__name__:
            raise MemoryError from error
        damage = damage_of(text)
        if not damage and type(error).__module__.startswith("OCP"):
            # The kernel's own errors name places in its source, which help nobody here.
            damage = "the CAD kernel can make nothing of what it holds"
        if not damage:  # a fault of this program
            raise
        raise PartUnreadable(what, f"the file is damaged: {damage}", COPY_AGAIN) from error


def _solids_of_text(text: StepText) -> tuple[ReadSolid | PartUnreadable, ...]:
    text, emptied = without_empty_edges(text)
    found, entity, troubled = _read(text, emptied, AS_STATED)
    if troubled:
        balls = balls_restated(text, entity, (face for face in text.faces if face in troubled))
        if balls.senses:
            again = _read(text, emptied, balls)
            if len(again.found) == len(found):
                found = [_better(*pair) for pair in zip(found, again.found, strict=True)]
            elif not again.troubled:
                found = again.found  # the kernel had made several solids of one
    return _told(text, found)


class _Reading(NamedTuple):
    """The solids as one text gives them, the kernel's entities, and faces of troubled solids."""

    found: list[ReadSolid | PartUnreadable]
    entity: Entity
    troubled: set[int]


def _better(
    first: ReadSolid | PartUnreadable, again: ReadSolid | PartUnreadable
) -> ReadSolid | PartUnreadable:
    """The reading of a solid with its spherical faces restated, where that freed it of doubt."""
    if isinstance(again, PartUnreadable):
        return first
    if isinstance(first, PartUnreadable):
        return again
    whole = None in first.step_ids and None not in again.step_ids
    freed = len(again.doubts) < len(first.doubts)
    return again if freed or (whole and len(again.doubts) == len(first.doubts)) else first


def _is_troubled(read: ReadSolid, faults: _Faults) -> bool:
    """Whether a face of a solid is doubted, or is none of the file's, as where one was parted."""
    return len(read.doubts) > len(faults.doubts) or None in read.step_ids


def _read(text: StepText, emptied: frozenset[int], balls: Restated) -> _Reading:
    pointed = with_arcs(text, balls)
    reader, entities, faults = _transferred(text, pointed, "MM")
    shapes = [reader.Shape(i) for i in range(1, reader.NbShapes() + 1)]
    solids = [solid for shape in shapes for solid in solids_of_shape(shape)]
    finely = bool(solids) and all(is_tiny(solid) for solid in solids)
    if finely:
        reader, entities, faults = _transferred(text, pointed, "UM")
        shapes = [reader.Shape(i) for i in range(1, reader.NbShapes() + 1)]
        solids = [solid for shape in shapes for solid in solids_of_shape(shape)]
    if not solids:
        raise as_damage(no_solid(text, shapes), text, faults.all)
    step_ids = _StepIds(reader, entities)
    lost = _lost_solids(text, step_ids, solids)
    total = len(solids) + len(lost)
    known: list[tuple[TopoDS_Solid, ReadSolid | PartUnreadable]] = []
    found: list[ReadSolid | PartUnreadable] = []
    troubled: set[int] = set()
    by_solid = [] if text.has_placements else [step_ids.of(faces_of(solid)) for solid in solids]
    uses = Counter(brep for ids in by_solid for brep in _breps(text, ids))
    for place, placed in enumerate(solids, 1):
        own = _unplaced(placed) if text.has_placements else placed
        twin = next((read for shape, read in known if shape.IsEqual(own)), None)
        if twin is None:
            ids = by_solid[place - 1] if by_solid else step_ids.of(faces_of(own))
            twin = _read_one(
                own, text, pointed, balls, ids, faults, finely, place=place, solids=total
            )
            breps = _breps(text, ids)
            if isinstance(twin, ReadSolid) and any(uses[brep] > 1 for brep in breps):
                made = (*twin.doubts, "the CAD kernel made several solids of this one of the file")
                twin = replace(twin, doubts=made)
            if not isinstance(twin, ReadSolid) or _is_troubled(twin, faults):
                troubled |= {f for f, of in text.breps_of_face.items() if breps & {*of}}
            elif not emptied.isdisjoint(twin.step_ids):
                more = remark_on_emptied(sum(i in emptied for i in twin.step_ids))
                twin = replace(twin, remarks=(*twin.remarks, *more))
            known.append((own, twin))
        found.append(_as_number(twin, place))
    for place, brep in enumerate(lost, len(solids) + 1):
        line = text.line(text.instances[brep].start)
        cause = f"the CAD kernel could make no solid of #{brep} (line {line})"
        error = PartUnreadable(f"{text.path}, solid {place} of {total}", cause, EXPORT_AGAIN)
        found.append(as_damage(error, text, faults.all))
    return _Reading(found, _entity_of(reader, text, pointed.added), troubled)


def _breps(text: StepText, faces: Sequence[int | None]) -> set[int]:
    return {b for face in faces if face is not None for b in text.breps_of_face.get(face, ())}


def _lost_solids(text: StepText, step_ids: _StepIds, solids: Sequence[TopoDS_Solid]) -> list[int]:
    """Solids of the text that the reader tried to make and could not."""
    listed = {n for kind in BREPS for n in text.by_keyword.get(kind, ())}
    if len(listed) <= len(solids) and not text.has_placements:
        return []
    numbers = {number for solid in solids for number in step_ids.of(faces_of(solid)[:1])}
    if None in numbers:
        return []
    made = {brep for n in numbers if n is not None for brep in text.breps_of_face.get(n, ())}
    if not (missed := listed - made):
        return []
    tried = step_ids.tried()
    reached = {brep for face in tried for brep in text.breps_of_face.get(face, ())}
    # a solid whose shell lists nothing has no face that could have been tried
    faceless = missed.difference(*text.breps_of_face.values())
    return sorted(missed & (reached | faceless))


def _told(
    text: StepText, found: Sequence[ReadSolid | PartUnreadable]
) -> tuple[ReadSolid | PartUnreadable, ...]:
    """The solids with what else the file says of them."""
    sound = [read for read in found if isinstance(read, ReadSolid)]
    told = tell(text, [Untold(id(read.shape), read.source, read.step_ids) for read in sound])
    made: list[ReadSolid | PartUnreadable] = []
    for read in found:
        if isinstance(read, ReadSolid):
            source, facts, remarks = told[read.source.solid]
            more = (*read.remarks, *remarks)
            made.append(replace(read, source=source, facts=facts, remarks=more))
        else:
            made.append(read)
    return tuple(made)


def _read_one(
    shape: TopoDS_Solid,
    text: StepText,
    pointed: Pointed,
    balls: Restated,
    ids: tuple[int | None, ...],
    faults: _Faults,
    finely: bool,
    *,
    place: int,
    solids: int,
) -> ReadSolid | PartUnreadable:
    what = str(text.path) if solids == 1 else f"{text.path}, solid {place} of {solids}"
    faces = faces_of(shape)
    breps = _breps(text, ids)
    brep = min(breps) if breps else None
    if brep is not None and len(breps) == 1:
        listed = sum(brep in text.breps_of_face[f] for f in text.faces)
        if listed > len(faces) and faults.all:
            cause = f"only {len(faces)} of the solid's {listed} faces could be read"
            return as_damage(PartUnreadable(what, cause, EXPORT_AGAIN), text, faults.all)
        if listed != len(faces):
            lost = f"the file lists {listed} faces for this solid, {len(faces)} were read"
            faults = faults._replace(told=(*faults.told, lost))
    try:
        unit = unit_of_brep(text, brep)
        if finely:
            shape = in_millimetres(shape)
            faces = faces_of(shape)
        redraw_traces(faces)
        righted, said, sides = with_sides(shape, faces, ids, text, balls.senses)
        solid, more = sound_solid(righted, what, faces_of(righted))
        restated = sum(i in balls.senses for i in ids)
        more = (
            *remark_on(sum(i in pointed.faces for i in ids)),
            *((remark_on_restated(restated),) if restated else ()),
            *said,
            *more,
        )
    except UnknownUnit as unknown:
        cause = f"the size of its length unit is unknown: {unknown}"
        return PartUnreadable(what, cause, "Export the part again in millimetres or inches")
    except PartUnreadable as error:
        return as_damage(error, text, faults.all)
    if unit is None:
        more = (*more, "the file states no length unit; millimetres were assumed")
    names = text.product_names
    product = (
        text.product_of_brep(brep) if brep is not None else (names[0] if len(names) == 1 else None)
    )
    source = Source(
        path=str(text.path),
        sha256=text.sha256,
        product=clean(product or "") or None,
        solid=place,
        solids=solids,
        length_unit=unit or "mm",
        step_schema=text.schema,
        originating_system=text.originating_system,
        unit_stated=unit is not None,
    )
    doubted = (f"{fault}; what was read may be wrong" for fault in faults.told)
    return ReadSolid(solid, source, ids, (*doubted, *more), doubts=(*faults.doubts, *sides))


class _StepIds:
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


class _Faults(NamedTuple):
    """What the kernel found faulty in a file, and what of its solids it could not convert."""

    told: tuple[str, ...]
    doubts: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        return (*self.told, *self.doubts)


def _transferred(
    text: StepText, pointed: Pointed, unit: str
) -> tuple[Any, list[tuple[int, Any]], _Faults]:
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
        return reader, entities, _Faults(tuple(told), (lost,))
    return reader, entities, _Faults((*told, lost) if failed else tuple(told))


def _entities(count: int) -> str:
    return "1 entity" if count == 1 else f"{count} entities"


def _entity_of(reader: Any, text: StepText, added: int) -> Entity:
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


def _unplaced(solid: TopoDS_Solid) -> TopoDS_Solid:
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    return TopoDS.Solid_s(solid.Located(TopLoc_Location()))


def _as_number(read: ReadSolid | PartUnreadable, place: int) -> ReadSolid | PartUnreadable:
    if isinstance(read, PartUnreadable) or read.source.solid == place:
        return read
    return replace(read, source=replace(read.source, solid=place))
