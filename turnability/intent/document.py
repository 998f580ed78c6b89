"""The intent as plain values for the report's document."""

from __future__ import annotations

import hashlib
from typing import Any

from turnability.intent.model import Ground, Intent, Named, Tolerance

Json = dict[str, Any]


def intent_document(intent: Intent) -> Json:
    """What was stated, with the segments and faces of each place; null where nothing was."""
    density = intent.density_kg_per_mm3
    return {
        "material": intent.material,
        "condition": intent.condition,
        "density_kg_per_m3": None if density is None else density * 1e9,
        "quantity": intent.quantity,
        "general_tolerance": intent.general_tolerance,
        "ra_um": intent.ra_um,
        "edges_mm": intent.edges_mm,
        "centre_holes_may_stay": intent.centre_holes,
        "parting_pip_may_stay": intent.parting_pip,
        "bar_outside_may_stay": intent.bar_outside,
        "tolerances": [_tolerance(t) for t in intent.tolerances],
        "roughness": [{**_place(r.place), "ra_um": r.ra_um} for r in intent.roughness],
        "related": [
            {
                "name": r.name,
                "run_out_mm": r.run_out_mm,
                "surfaces": [_place(place) for place in r.places],
            }
            for r in intent.related
        ],
        "threads": [{**_place(t.place), "designation": t.designation} for t in intent.threads],
        "no_grip": [{**_place(n.place), "why": n.why} for n in intent.no_grip],
        "edges": [{**_place(e.place), "break_mm": e.break_mm} for e in intent.edges],
        "ground": [_ground(g) for g in intent.ground],
    }


def intent_sha256(intent: Intent) -> str:
    """The file's digest; of an intent that was made without one, that of what it states."""
    return intent.sha256 or hashlib.sha256(repr(intent).encode()).hexdigest()


def _place(named: Named) -> Json:
    return {
        "segments": named.segments,
        "faces": named.faces,
        "z_mm": named.on_z_mm,
        "diameter_mm": named.on_diameter_mm,
    }


def _tolerance(tolerance: Tolerance) -> Json:
    basis = tolerance.basis
    return {
        **_place(tolerance.place),
        "of": tolerance.of,
        "stated": tolerance.stated,
        "nominal_mm": tolerance.nominal_mm,
        "deviations_mm": tolerance.deviations_mm,
        "width_mm": tolerance.width_mm,
        "basis": None if basis is None else f"{basis.source}, {basis.place}",
    }


def _ground(ground: Ground) -> Json:
    basis = ground.basis
    return {
        **_place(ground.place),
        "by": ground.by,
        "leave_mm": ground.leave_mm,
        "turned_mm": ground.turned_mm,
        "basis": None if basis is None else f"{basis.source}, {basis.place}",
    }
