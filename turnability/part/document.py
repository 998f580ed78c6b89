"""What a file says of a solid as plain values for the report's document."""

from __future__ import annotations

from typing import Any, TypeAlias

from turnability.part.model import DatumReference, Face, Place, Source, Stated

Json: TypeAlias = dict[str, Any]


def source_document(source: Source) -> Json:
    """Where the solid came from; `instances` are all its places in the file."""
    return {
        "path": source.path,
        "sha256": source.sha256,
        "product": source.product,
        "solid": source.solid,
        "solids": source.solids,
        "length_unit": source.length_unit,
        "step_schema": source.step_schema,
        "originating_system": source.originating_system,
        "solid_name": source.solid_name,
        "instances": [
            {
                "solid": instance.solid,
                "path": instance.path,
                "mirrored": instance.mirrored,
                "scale": instance.scale,
                "turned_end_for_end": instance.turned,
            }
            for instance in source.instances
        ],
    }


def face_document(face: Face) -> Json:
    """One face with what it is and what the file gives it."""
    return {
        "index": face.index,
        "step_id": face.step_id,
        "role": face.role,
        "segments": face.segments,
        "name": face.name,
        "colour": face.colour,
        "layers": face.layers,
    }


def stated_document(stated: Stated) -> Json:
    """Sizes, geometric tolerances and datums that the file states, each with its faces."""
    return {
        "sizes": [
            {
                "step_id": size.step_id,
                "kind": size.kind,
                "what": size.what,
                "nominal": size.nominal,
                "least": size.least,
                "largest": size.largest,
                "unit": size.unit,
                "fit": size.fit,
                "modifiers": size.modifiers,
                **_place(size.at),
                "to": None if size.to is None else _place(size.to),
            }
            for size in stated.sizes
        ],
        "tolerances": [
            {
                "step_id": tolerance.step_id,
                "kind": tolerance.kind,
                "name": tolerance.name,
                "value_mm": tolerance.value_mm,
                "per_mm": tolerance.per_mm,
                "zone": tolerance.zone,
                "modifiers": tolerance.modifiers,
                "datums": [_datum(reference) for reference in tolerance.datums],
                **_place(tolerance.at),
            }
            for tolerance in stated.tolerances
        ],
        "datums": [
            {"step_id": datum.step_id, "letter": datum.letter, **_place(datum.at)}
            for datum in stated.datums
        ],
    }


def _datum(reference: DatumReference) -> Json:
    return {"letters": reference.letters, "modifiers": reference.modifiers}


def _place(place: Place) -> Json:
    return {"faces": place.faces, "segments": place.segments}
