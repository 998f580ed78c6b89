"""What the solid's own file states beside what the intent states: together, and where they differ.

Where they differ on one surface the intent holds: whoever wrote it had the file before them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from turnability.intent.fits import fit_class, fit_limits
from turnability.intent.model import Intent, Named, Of, Related, Span, Tolerance, span_words
from turnability.intent.place import extent_of
from turnability.part.model import Part, Place, StatedSize, StatedTolerance
from turnability.units import mm_text

SAME_MM = 5e-4
"""Limits that differ by no more are the same, rounded otherwise (0.001 mm, 0.00002 in)."""
_NOT_HELD = ("theoretical", "auxiliary")
"""A basic dimension and one for reference carry no tolerance (ISO 129-1)."""
_RUN_TRUE = ("circular-runout", "total-runout", "coaxiality", "concentricity")
_OFF_MM = 1.0
"""A modelled diameter is no farther from the one that is stated (common practice)."""
_TIMES = {"diameter": 1.0, "radius": 2.0, "length": 1.0, "distance": 1.0}


@dataclass(frozen=True, slots=True)
class Disagreement:
    """One thing that the intent and the file state differently; `place` is the intent's."""

    what: str
    place: Named
    intent: str
    file: str


def agree(intent: Intent, part: Part, inch: bool = False) -> tuple[Disagreement, ...]:
    """Where a settled intent and the solid's file differ on the same surfaces; empty: they agree.

    Sizes are compared by their limits, or by class where one side gives no limits; run-outs by
    their value.
    """
    found: list[Disagreement] = []
    stated = of_file(part)
    for ours in intent.tolerances:
        for theirs in stated.tolerances:
            if _same_size(ours, theirs) and not _equal(ours, theirs):
                words = (_words(ours, inch), _words(theirs, inch))
                found.append(Disagreement(f"the {ours.of}'s tolerance", ours.place, *words))
    for group in intent.related:
        for other in stated.related:
            a, b = group.run_out_mm, other.run_out_mm
            if a is None or b is None or abs(a - b) <= SAME_MM or not _same_group(group, other):
                continue
            words = (span_words((a, a), inch), span_words((b, b), inch))
            found.append(Disagreement("the run-out", group.places[0], *words))
    return tuple(found)


def together(intent: Intent | None, part: Part) -> Intent:
    """The intent, with what the file states wherever the intent states nothing of its own.

    Tolerances and related surfaces are taken over; everything else is the intent's.
    """
    ours, file = intent or Intent(), of_file(part)
    return replace(
        ours,
        tolerances=(
            *ours.tolerances,
            *(t for t in file.tolerances if not any(_same_size(o, t) for o in ours.tolerances)),
        ),
        related=(
            *ours.related,
            *(r for r in file.related if not any(_same_group(o, r) for o in ours.related)),
        ),
    )


def of_file(part: Part) -> Intent:
    """What the solid's file states of turned surfaces, as an intent.

    Sizes with a tolerance, and what runs true to what. Radii of fillets, basic and reference
    dimensions, and sizes of what is milled or drilled stay with `part.stated`.
    """
    return Intent(
        what=part.source.path or "the file",
        tolerances=tuple(
            tolerance
            for size in part.stated.sizes
            if (tolerance := _tolerance(size, part)) is not None
        ),
        related=tuple(_related(part)),
    )


def _tolerance(size: StatedSize, part: Part) -> Tolerance | None:
    times = _TIMES.get(size.kind)
    held = not any(word in size.modifiers for word in _NOT_HELD)
    if times is None or size.unit != "mm" or size.nominal is None or not held:
        return None
    faces = [size.at] if size.to is None else [size.at, size.to]
    place = _named(faces, part, _number("dimension", size.step_id))
    of: Of = "diameter" if size.kind in ("diameter", "radius") else "length"
    nominal = times * size.nominal
    across = place.on_diameter_mm
    if across is None or not all(end.segments for end in faces):
        return None
    if of == "diameter" and not across[0] - _OFF_MM <= nominal <= across[1] + _OFF_MM:
        return None  # the radius of a fillet, or of a torus
    if size.least is not None and size.largest is not None:
        low, high = times * size.least - nominal, times * size.largest - nominal
        words = f"{mm_text(times * size.least, 4)} to {mm_text(times * size.largest, 4)}"
        return Tolerance(
            of,
            place,
            words,
            deviations_mm=(round(low, 6), round(high, 6)),
            width_mm=round(high - low, 6),
            nominal_mm=nominal,
        )
    fit = fit_class(size.fit or "")
    if fit is None:
        return None
    limits = fit_limits(fit, nominal)
    width = limits.width_mm
    return Tolerance(
        of,
        place,
        str(fit),
        str(fit),
        deviations_mm=limits.deviations_mm,
        width_mm=None if width is None else width.value,
        nominal_mm=nominal,
        basis=width,
    )


def _related(part: Part) -> Iterator[Related]:
    datums = {datum.letter: datum.at for datum in part.stated.datums}
    for tolerance in part.stated.tolerances:
        letters = [letter for datum in tolerance.datums for letter in datum.letters]
        places = [datums[letter] for letter in letters if letter in datums]
        if tolerance.kind in _RUN_TRUE and places and tolerance.at.segments:
            yield _run_true(tolerance, letters, places, part)


def _run_true(
    tolerance: StatedTolerance, letters: Iterable[str], places: Iterable[Place], part: Part
) -> Related:
    where = _number(tolerance.kind, tolerance.step_id)
    return Related(
        f"{tolerance.kind} to {'-'.join(letters)}",
        tuple(_named([place], part, where) for place in (tolerance.at, *places)),
        tolerance.value_mm,
    )


def _named(places: Iterable[Place], part: Part, where: str) -> Named:
    several = list(places)
    segments = tuple(dict.fromkeys(s for place in several for s in place.segments))
    faces = tuple(sorted({face for place in several for face in place.faces}))
    z, d = extent_of(part, segments)
    return Named(where=where, segments=segments, faces=faces, on_z_mm=z, on_diameter_mm=d)


def _number(what: str, step_id: int | None) -> str:
    return what if step_id is None else f"{what} #{step_id}"


def _same_size(ours: Tolerance, theirs: Tolerance) -> bool:
    """Whether both are of the same size: a diameter of shared segments, or the same two faces."""
    if ours.of != theirs.of or not theirs.place.segments:
        return False
    mine, other = set(ours.place.segments), set(theirs.place.segments)
    return mine == other if ours.of == "length" else bool(mine & other)


def _same_group(ours: Related, theirs: Related) -> bool:
    """Whether all that theirs relates is related in ours."""
    mine = {name for place in ours.places for name in place.segments}
    return all(mine.intersection(place.segments) for place in theirs.places)


def _equal(ours: Tolerance, theirs: Tolerance) -> bool:
    a, b = _limits(ours), _limits(theirs)
    if a is not None and b is not None:
        return all(abs(x - y) <= SAME_MM for x, y in zip(a, b, strict=True))
    if ours.fit is not None and theirs.fit is not None:
        return ours.fit == theirs.fit
    width, other = ours.width_mm, theirs.width_mm
    return width is None or other is None or abs(width - other) <= SAME_MM


def _limits(tolerance: Tolerance) -> Span | None:
    nominal, deviations = tolerance.nominal_mm, tolerance.deviations_mm
    if nominal is None or deviations is None:
        return None
    return (nominal + deviations[0], nominal + deviations[1])


def _words(tolerance: Tolerance, inch: bool) -> str:
    limits = _limits(tolerance)
    if limits is None:
        return tolerance.stated
    words = span_words(limits, inch)
    return f"{tolerance.fit} ({words})" if tolerance.fit is not None else words
