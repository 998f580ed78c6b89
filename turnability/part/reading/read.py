"""STEP files to solids of the CAD kernel, checked, each with where it came from.

Runs the kernel in this very process, which damaged files can kill: `part.apart.child` runs
it where that is survived.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

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
from turnability.part.reading.transfer import Faults, StepIds, entity_of, transferred

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Solid


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


def _is_troubled(read: ReadSolid, faults: Faults) -> bool:
    """Whether a face of a solid is doubted, or is none of the file's, as where one was parted."""
    return len(read.doubts) > len(faults.doubts) or None in read.step_ids


def _read(text: StepText, emptied: frozenset[int], balls: Restated) -> _Reading:
    pointed = with_arcs(text, balls)
    reader, entities, faults = transferred(text, pointed, "MM")
    shapes = [reader.Shape(i) for i in range(1, reader.NbShapes() + 1)]
    solids = [solid for shape in shapes for solid in solids_of_shape(shape)]
    finely = bool(solids) and all(is_tiny(solid) for solid in solids)
    if finely:
        reader, entities, faults = transferred(text, pointed, "UM")
        shapes = [reader.Shape(i) for i in range(1, reader.NbShapes() + 1)]
        solids = [solid for shape in shapes for solid in solids_of_shape(shape)]
    if not solids:
        raise as_damage(no_solid(text, shapes), text, faults.all)
    step_ids = StepIds(reader, entities)
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
    return _Reading(found, entity_of(reader, text, pointed.added), troubled)


def _breps(text: StepText, faces: Sequence[int | None]) -> set[int]:
    return {b for face in faces if face is not None for b in text.breps_of_face.get(face, ())}


def _lost_solids(text: StepText, step_ids: StepIds, solids: Sequence[TopoDS_Solid]) -> list[int]:
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
    faults: Faults,
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


def _unplaced(solid: TopoDS_Solid) -> TopoDS_Solid:
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    return TopoDS.Solid_s(solid.Located(TopLoc_Location()))


def _as_number(read: ReadSolid | PartUnreadable, place: int) -> ReadSolid | PartUnreadable:
    if isinstance(read, PartUnreadable) or read.source.solid == place:
        return read
    return replace(read, source=replace(read.source, solid=place))
