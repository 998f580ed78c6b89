"""A size or a surface stated finer than turning holds, or far finer than the rest of the part."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.cited import Cited
from turnability.intent.agree import together
from turnability.intent.fits import FitClass, fit_class, fit_limits
from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Change, Finding, Judgement, Level, NotJudged, View, Where
from turnability.rules.speak import where_of
from turnability.setups.effort.rates import tolerance_minutes
from turnability.units import length_text, mm_text

NAME = "tighter-than-turning"
LEVELS = ("error", "warning", "note")
WHY = "What turning does not hold is ground or honed, on another machine and in another setup."
LIMIT = (
    "IT6 on a diameter, 0.02 mm in all on a length and Ra 0.8 µm, which careful turning holds; an "
    "error finer than IT5 and than Ra 0.1 µm, which no turning leaves, nor polishing on the lathe; "
    "a note where one size is four "
    "grades finer than every other that is stated, and no fit and nothing related asks for it"
)
BASIS = (
    "grades of ISO 286-1; that turning holds IT7, with care IT6, at its very best IT5, and Ra "
    "0.8 µm, polished Ra 0.1 µm, is what handbooks say, from memory; four grades are this "
    "program's own choice"
)
SENT = "say that it is ground, honed or lapped after turning ([[ground]] in the intent file)"
FINEST_GRADE = 6
BEST_GRADE = 5
"""Finer than this no turning holds: the lathes of the shop do not make the size as stated."""
FINEST_LENGTH = Cited(
    0.02,
    "mm",
    "common practice",
    "width of a length's tolerance that faces turned with care keep to, from memory",
    verified=False,
)
FINEST_RA_UM = 0.8
POLISHED_RA_UM = 0.1
WIDTH, RA = "tolerance_width_mm", "ra_um"
"""What changes of what is stated are called: the width of one size's tolerance, one roughness."""
FAR_GRADES = 4
_COARSEST = 14


def check(view: View) -> Judgement:
    """A warning for each size and surface finer than turning, a note for one out of line.

    An error where no turning holds it.
    """
    if view.part.profile is None:
        return NotJudged("the part has no profile")
    view = view.as_turned()
    meant = together(view.intent, view.part)
    graded = [(t, grade) for t in meant.tolerances if (grade := grade_of(t)) is not None]
    return [
        *_sizes(view, graded),
        *_lengths(view, meant),
        *_surfaces(view, meant),
        *_out_of_line(view, meant, graded),
    ]


def grade_of(tolerance: Tolerance) -> int | None:
    """The coarsest grade of ISO 286 (5 to 14) no wider than this width; 4 below IT5.

    Of a class whose width no table here holds, as over 500 mm, the grade that it names.
    """
    width, nominal = width_of(tolerance), tolerance.nominal_mm
    named = fit_class(tolerance.fit) if tolerance.fit is not None else None
    if width is None and named is not None:
        return max(BEST_GRADE - 1, named.grade)
    if width is None or nominal is None or width <= 0.0:
        return None
    best: int | None = None
    for grade in range(5, _COARSEST + 1):
        known = fit_limits(FitClass("h", grade), nominal).width_mm
        if known is None:
            return None
        if known.value <= width + 1e-9:
            best = grade
    return 4 if best is None else best


def width_of(tolerance: Tolerance) -> float | None:
    """Width of a size's tolerance in mm, however it is stated; None where none is known."""
    if tolerance.width_mm is not None:
        return tolerance.width_mm
    for pair in (tolerance.limits_mm, tolerance.deviations_mm):
        if pair is not None:
            return pair[1] - pair[0]
    return None


def _sizes(view: View, graded: list[tuple[Tolerance, int]]) -> Iterator[Finding]:
    inch = view.shop.inch
    for tolerance, grade in graded:
        width, nominal = width_of(tolerance), tolerance.nominal_mm
        if tolerance.of != "diameter" or grade >= FINEST_GRADE or nominal is None:
            continue
        if width is None:
            yield _by_grade(view, tolerance, grade)
            continue
        limit = fit_limits(FitClass("h", FINEST_GRADE), nominal).width_mm
        best = fit_limits(FitClass("h", BEST_GRADE), nominal).width_mm
        assert limit is not None
        assert best is not None
        size, wide = f"⌀{length_text(nominal, inch)}", length_text(limit.value, inch)
        head = f"{size} may vary by {length_text(width, inch)}, finer than IT"
        where = where_of(view, tolerance.place.segments)
        if grade >= BEST_GRADE:
            yield _told(
                "warning",
                f"{head}{FINEST_GRADE} ({wide}). {WHY} A careful hand on a good lathe may hold it. "
                f"Give it IT{FINEST_GRADE}, better IT7, or {SENT}.",
                where,
                (width, limit.value, "mm"),
            )
            continue
        text = f"Give {size} IT{FINEST_GRADE} ({wide}), better IT7"
        yield _told(
            "error",
            f"{head}{BEST_GRADE} ({length_text(best.value, inch)}), the best that any turning "
            f"holds: turned in this shop alone it does not come out as stated. {WHY} {text}, or "
            f"keep it and {SENT}.",
            where,
            (width, best.value, "mm"),
            Change(f"{text}.", WIDTH, width, limit.value, proven=False),
        )


def _by_grade(view: View, tolerance: Tolerance, grade: int) -> Finding:
    """Of a class whose width stands in no table here: its grade alone says enough."""
    fault = grade < BEST_GRADE
    beyond = (
        f"IT{BEST_GRADE}, the best that any turning holds: turned in this shop alone it does not "
        "come out as stated."
        if fault
        else f"IT{FINEST_GRADE}, which careful turning holds."
    )
    return Finding(
        rule=NAME,
        level="error" if fault else "warning",
        message=(
            f"⌀{length_text(tolerance.nominal_mm or 0.0, view.shop.inch)} is stated "
            f"{tolerance.fit}, finer than {beyond} {WHY} Give it IT{FINEST_GRADE}, better IT7, or "
            f"{SENT}."
        ),
        where=where_of(view, tolerance.place.segments),
        basis=Basis(BASIS, "standard"),
    )


def _told(
    level: Level,
    message: str,
    where: Where,
    numbers: tuple[float, float, str],
    change: Change | None = None,
) -> Finding:
    measured, limit, unit = numbers
    basis = Basis(BASIS, "standard" if unit == "mm" else "handbook")
    return Finding(NAME, level, message, where, basis, measured, limit, unit, change)


def _lengths(view: View, meant: Intent) -> Iterator[Finding]:
    inch = view.shop.inch
    for tolerance in meant.tolerances:
        width = width_of(tolerance)
        if tolerance.of != "length" or width is None or width >= FINEST_LENGTH.value - 1e-9:
            continue
        size = tolerance.nominal_mm
        told = "A length" if size is None else f"The length of {length_text(size, inch)}"
        least = length_text(FINEST_LENGTH.value, inch)
        grade = grade_of(tolerance)
        fault = grade is not None and grade < BEST_GRADE
        text = f"Give {told[0].lower()}{told[1:]} {least}"
        alone = (
            f"That is finer than IT{BEST_GRADE} too, the best that any turning holds: turned in "
            "this shop alone it does not come out as stated. "
            if fault
            else ""
        )
        yield Finding(
            rule=NAME,
            level="error" if fault else "warning",
            message=(
                f"{told} may vary by {length_text(width, inch)}, finer than the {least} in all "
                f"that faces turned with care keep to. {alone}{WHY} {text}, or {SENT}."
            ),
            where=where_of(view, tolerance.place.segments),
            basis=Basis(f"{FINEST_LENGTH.source}: {FINEST_LENGTH.place}", "common-practice"),
            measured=width,
            limit=FINEST_LENGTH.value,
            unit="mm",
            change=Change(f"{text}.", WIDTH, width, FINEST_LENGTH.value, False) if fault else None,
        )


def _surfaces(view: View, meant: Intent) -> Iterator[Finding]:
    fine = [(r.ra_um, r.place.segments) for r in meant.roughness]
    if meant.ra_um is not None:
        fine.append((meant.ra_um, ()))
    for ra_um, segments in fine:
        if ra_um >= FINEST_RA_UM:
            continue
        everywhere = "" if segments else " everywhere"
        head = (
            f"Ra {mm_text(ra_um)} µm is stated{everywhere}, where careful turning leaves "
            f"{FINEST_RA_UM:g}"
        )
        text = f"Ask for Ra {FINEST_RA_UM:g} µm"
        where = where_of(view, segments)
        if ra_um >= POLISHED_RA_UM:
            yield _told(
                "warning",
                f"{head}: turning alone does not make this surface. {text}, or plan for polishing "
                "it on the lathe once it is turned, where nothing hangs on its last hundredth of "
                f"roundness and size, else {SENT}.",
                where,
                (ra_um, FINEST_RA_UM, "µm"),
            )
            continue
        yield _told(
            "error",
            f"{head} and polishing on the lathe about {POLISHED_RA_UM:g}: made in this shop alone "
            f"it does not come out as stated. {WHY} {text}, or {SENT}.",
            where,
            (ra_um, POLISHED_RA_UM, "µm"),
            Change(f"{text}.", RA, ra_um, FINEST_RA_UM, proven=False),
        )


def _out_of_line(
    view: View, meant: Intent, graded: list[tuple[Tolerance, int]]
) -> Iterator[Finding]:
    """The one size that is far finer than all others, if nothing says what for."""
    if len(graded) < 2:
        return
    (finest, grade), (_, next_grade) = sorted(graded, key=lambda entry: entry[1])[:2]
    related = {s for group in meant.related for place in group.places for s in place.segments}
    if next_grade - grade < FAR_GRADES or finest.fit or related & set(finest.place.segments):
        return
    width, nominal = width_of(finest), finest.nominal_mm
    assert width is not None
    assert nominal is not None
    inch = view.shop.inch
    minutes = tolerance_minutes(width, nominal)
    costs = (
        f"It costs about {minutes:.0f} minutes on the first piece to measure and approach: widen"
        if minutes >= 1.0
        else "Widen"
    )
    sign = "⌀" if finest.of == "diameter" else ""
    yield Finding(
        rule=NAME,
        level="note",
        message=(
            f"{sign}{length_text(nominal, inch)} may vary by {length_text(width, inch)}, about "
            f"IT{grade}, where the next finest size that is stated has about IT{next_grade}, and "
            f"no fit or true running is stated that would ask for it. {costs} it if "
            "nothing needs it."
        ),
        where=where_of(view, finest.place.segments),
        basis=Basis(BASIS, "common-practice"),
        measured=width,
        limit=None,
        unit="mm",
    )


def _stated(*widths: tuple[float, float], ra_um: float | None = None, true: bool = False) -> View:
    """The pin with its two diameters within these (diameter, width)."""
    places = [Named(diameter_mm=(d, d)) for d, _ in widths]
    tolerances = tuple(
        Tolerance("diameter", place, f"0/-{w}", width_mm=w, nominal_mm=d)
        for place, (d, w) in zip(places, widths, strict=True)
    )
    rough = () if ra_um is None else (Roughness(Named(diameter_mm=(16.0, 16.0)), ra_um),)
    related = (Related("seats", tuple(places), 0.02),) if true else ()
    return drawn_view(PIN, intent=Intent(tolerances=tolerances, roughness=rough, related=related))


EXAMPLES = (
    Example("a pin of which nothing is stated", drawn_view),
    Example("⌀16 h7 and ⌀22 within 0.05, Ra 0.8", lambda: _stated((16.0, 0.018), (22.0, 0.052),
            ra_um=0.8)),
    Example("⌀16 within 0.008, IT5", lambda: _stated((16.0, 0.008)), ("warning",)),
    Example("⌀16 within 0.004", lambda: _stated((16.0, 0.004)), ("error",)),
    Example("a class finer than IT5 whose width no table here holds", lambda: drawn_view(
            PIN, intent=Intent(tolerances=(Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)),
            "h4", "h4", nominal_mm=600.0),))), ("error",)),
    Example("Ra 0.2", lambda: _stated(ra_um=0.2), ("warning",)),
    Example("Ra 0.05", lambda: _stated(ra_um=0.05), ("error",)),
    Example("⌀16 IT7 beside ⌀22 IT12", lambda: _stated((16.0, 0.018), (22.0, 0.21)), ("note",)),
    Example("⌀16 IT7 that runs true to ⌀22 IT12", lambda: _stated((16.0, 0.018), (22.0, 0.21),
            true=True)),
)  # fmt: skip
