"""The tables of an intent file: their keys, and what each states."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from turnability.intent.fits import fit_class
from turnability.intent.model import (
    EdgeBreak,
    End,
    Ground,
    Named,
    NoGrip,
    Of,
    Roughness,
    Span,
    StatedThread,
    Tolerance,
)
from turnability.toml_file.keys import Fault, Faults, Key
from turnability.units import mm_text

_SIZES = ("ISO 2768-f", "ISO 2768-m", "ISO 2768-c", "ISO 2768-v")
GENERAL_TOLERANCES = (*_SIZES, *(size + form for size in _SIZES for form in "HKL"))
"""ISO 2768-1 of sizes, alone or with a class of ISO 2768-2 for form and position behind it."""
_ENDS: Mapping[str, tuple[End, ...]] = {
    "none": (),
    "low": ("low",),
    "high": ("high",),
    "both": ("low", "high"),
}


def of_sizes(general: str | None) -> str | None:
    """The class that is for sizes: "ISO 2768-m" of "ISO 2768-mK"."""
    return None if general is None else general.rstrip("HKL")


_MOST_BREAK_MM = 10.0
"""No edge of a turned part is broken by more unless it is drawn (common practice, from memory)."""
BAR_OUTSIDE = "bar_outside_may_stay"
TOP_KEYS = (
    Key("material", "text", "a standard's designation, or the name that the shop uses"),
    Key("condition", "text", "the material's condition, such as T6 or quenched and tempered"),
    Key("density_kg_per_mm3", "number", "density of the material"),
    Key("quantity", "number", "how many are made in one go", least=1.0),
    Key(
        "general_tolerance",
        "choice",
        "for all sizes without a tolerance of their own",
        choices=GENERAL_TOLERANCES,
    ),
    Key("ra_um", "number", "roughness of all surfaces without one of their own", least=0.001),
    Key(
        "edges_mm",
        "span",
        "break of all outside edges without one of their own",
        least=0.0,
        most=_MOST_BREAK_MM,
    ),
    Key("centre_holes_may_stay", "choice", "at which ends", choices=tuple(_ENDS)),
    Key("parting_pip_may_stay", "choice", "at which ends", choices=tuple(_ENDS)),
    Key(BAR_OUTSIDE, "flag", "whether the largest outside may stay as the bar comes"),
)
PLACE_KEYS = (
    Key("diameter_mm", "span", "diameter of the surface, or its range", least=0.0, single=True),
    Key(
        "z_mm",
        "span",
        "z of the surface from the part's low end, or its range",
        least=0.0,
        single=True,
    ),
    Key("side", "choice", "outside or inside", choices=("outside", "inside")),
    Key("end", "choice", "the end face at the low or the high end", choices=("low", "high")),
    Key("face", "text", "the face's name in the STEP file"),
    Key("face_index", "number", "the face's place in the solid, from 1", least=1.0),
)
_NAME = Key("name", "text", "what people call it")
TOLERANCE_KEYS = (
    _NAME,
    Key("of", "choice", "what is meant", choices=("diameter", "length", "surface")),
    Key("plus_minus_mm", "length", "by how much the size may be off either way"),
    Key("limits_mm", "span", "least and greatest size"),
    Key("deviations_mm", "span", "lower and upper deviation from the nominal", least=-1000.0),
    Key("fit", "text", "a tolerance class of ISO 286, such as h6"),
    Key("zone_mm", "length", "width of the zone in which the surface lies"),
    *PLACE_KEYS,
)
_WAYS = ("plus_minus_mm", "limits_mm", "deviations_mm", "fit", "zone_mm")
ROUGHNESS_KEYS = (
    _NAME,
    Key("ra_um", "number", "the roughest it may be, Ra in micrometres", required=True, least=0.001),
    *PLACE_KEYS,
)
RELATED_KEYS = (_NAME, Key("run_out_mm", "length", "total run-out to one another"))
THREAD_KEYS = (
    _NAME,
    Key("designation", "text", "the thread as a drawing calls it, such as M20x1.5", required=True),
    *PLACE_KEYS,
)
NO_GRIP_KEYS = (_NAME, Key("why", "text", "why jaws must not touch it"), *PLACE_KEYS)
EDGE_KEYS = (
    _NAME,
    Key(
        "break_mm",
        "span",
        "least and greatest break of this edge; [0, 0] leaves it sharp",
        required=True,
        least=0.0,
    ),
    *PLACE_KEYS,
)
GROUND_KEYS = (
    _NAME,
    Key("by", "choice", "what finishes it", choices=("grinding", "honing", "lapping")),
    Key("leave_mm", "span", "what turning leaves on the diameter, of a face along it", least=0.0),
    *PLACE_KEYS,
)
_SPANS = ("diameter_mm", "diameter_in", "z_mm", "z_in")


def spread(table: Mapping[str, Any]) -> dict[str, Any]:
    """The table with single numbers of a place's ranges written as ranges of no width."""
    return {
        key: [value, value]
        if key in _SPANS and isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for key, value in table.items()
    }


def ends_of(choice: str | None) -> tuple[End, ...] | None:
    """The ends that a choice of none, low, high or both names."""
    return None if choice is None else _ENDS[choice]


def whole(table: Mapping[str, Any], key: str) -> int | None:
    """A number that counts. Raises Fault."""
    value = table[key]
    if value is None:
        return None
    if value != int(value):
        raise Fault(key, f"is {value:g}", "Write a whole number")
    return int(value)


def named_from(table: Mapping[str, Any], line: int, where: str) -> Named:
    """The place that a checked table names. Raises Fault where it names none, or two ways."""
    by_size = table["diameter_mm"] is not None or table["z_mm"] is not None
    ways = [key for key in ("end", "face", "face_index") if table[key] is not None]
    if not by_size and not ways:
        raise Fault(None, "names no place", "Add diameter_mm and z_mm, or end, face or face_index")
    if len(ways) + by_size > 1 or (ways and table["side"] is not None):
        raise Fault(
            ways[0],
            "names a place that is named otherwise too",
            "Name it by diameter_mm, z_mm and side, or by one of end, face and face_index",
        )
    side = table["side"]
    return Named(
        diameter_mm=table["diameter_mm"],
        z_mm=table["z_mm"],
        end=table["end"],
        side=None if side is None else "outer" if side == "outside" else "inner",
        face=table["face"],
        face_index=whole(table, "face_index"),
        line=line,
        where=where,
    )


def tolerance_from(table: Mapping[str, Any], place: Named) -> Tolerance:
    """A tolerance from its checked table. Raises Fault or Faults."""
    of: Of = table["of"] or _meant(table, place)
    given = [key for key in _WAYS if table[key] is not None]
    if len(given) != 1:
        cause = "says no tolerance" if not given else "says its tolerance in two ways"
        raise Fault(None if not given else given[1], cause, "Give one of " + ", ".join(_WAYS))
    faults: list[Fault] = []
    if (of == "surface") != (given[0] == "zone_mm"):
        way = "Write zone_mm" if of == "surface" else 'Add of = "surface", or give limits_mm'
        faults.append(Fault(given[0], f"does not go with a {of}", way))
    faults += _misplaced(of, place)
    if faults:
        raise Faults(faults)
    if table["fit"] is not None:
        return Tolerance(of, place, *_fit(table["fit"]))
    if table["plus_minus_mm"] is not None:
        by = table["plus_minus_mm"]
        return Tolerance(
            of, place, f"±{mm_text(by, 4)}", deviations_mm=(-by, by), width_mm=2.0 * by
        )
    if table["zone_mm"] is not None:
        zone = table["zone_mm"]
        return Tolerance(of, place, f"zone {mm_text(zone, 4)}", width_mm=zone)
    low, high = _wide(table, given[0])
    words = f"{mm_text(low, 4)} to {mm_text(high, 4)}"
    if given[0] == "limits_mm":
        return Tolerance(of, place, words, limits_mm=(low, high), width_mm=high - low)
    return Tolerance(of, place, words, deviations_mm=(low, high), width_mm=high - low)


def roughness_from(table: Mapping[str, Any], place: Named) -> Roughness:
    """A roughness from its checked table."""
    return Roughness(place, table["ra_um"])


def thread_from(table: Mapping[str, Any], place: Named) -> StatedThread:
    """A thread from its checked table."""
    return StatedThread(place, table["designation"])


def no_grip_from(table: Mapping[str, Any], place: Named) -> NoGrip:
    """A surface that is not gripped, from its checked table."""
    return NoGrip(place, table["why"])


def edge_from(table: Mapping[str, Any], place: Named) -> EdgeBreak:
    """An edge from its checked table. Raises Fault where the place is no corner's."""
    if not (_single(place.diameter_mm) and _single(place.z_mm)):
        raise Fault(None, "names no one edge", "Add one diameter_mm and one z_mm, where it lies")
    return EdgeBreak(place, table["break_mm"])


def ground_from(table: Mapping[str, Any], place: Named) -> Ground:
    """A surface that is ground after turning, from its checked table. Raises Fault."""
    leave = None if table["leave_mm"] is None else _wide(table, "leave_mm")
    return Ground(place, table["by"] or "grinding", leave)


def _meant(table: Mapping[str, Any], place: Named) -> Of:
    if table["zone_mm"] is not None:
        return "surface"
    return "length" if place.diameter_mm is None and place.z_mm is not None else "diameter"


def _misplaced(of: Of, place: Named) -> Sequence[Fault]:
    if of == "length" and (
        place.z_mm is None or _single(place.z_mm) or place.diameter_mm is not None
    ):
        return [
            Fault(None, "says no length", "Give z_mm = [from, to], the two faces it lies between")
        ]
    if of == "diameter" and place.end is not None:
        return [Fault("end", "names a face, which has no diameter", "Name a cylinder instead")]
    return ()


def _fit(text: str) -> tuple[str, str]:
    fit = fit_class(text)
    if fit is None:
        both = "/" in text
        way = (
            "Write the class of this part alone"
            if both
            else "Write a letter and a grade, such as h6 for a shaft or H7 for a hole"
        )
        raise Fault("fit", f'"{text}" is no tolerance class of ISO 286', way)
    return str(fit), str(fit)


def _wide(table: Mapping[str, Any], key: str) -> Span:
    low, high = table[key]
    if low == high:
        raise Fault(key, "leaves no tolerance", "Write two numbers that differ")
    return (low, high)


def _single(span: Span | None) -> bool:
    return span is not None and span[0] == span[1]
