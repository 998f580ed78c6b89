"""The intent states of a surface what the solid, as it is drawn there, cannot be."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.features.standards.designations import parse
from turnability.features.standards.threads import ThreadSize, within
from turnability.intent.fits import FitClass, fit_limits
from turnability.intent.model import Intent, Named, StatedThread, Tolerance, span_words
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.units import length_text

NAME = "intent-differs-from-solid"
LEVELS = ("warning",)
WHY = "A part is made to the solid or to what is stated of it, and only one of them is meant."
LIMIT = (
    "outside threads drawn with their major diameter, inside ones with minor diameter, tap drill "
    "or major diameter; limits no farther from the drawn size than those of fits d or D are"
)
BASIS = (
    "ISO 261 and ISO 965-1, ASME B1.1, ISO 228-1 and ISO 2903 for threads; ISO 286 for what a fit "
    "lies beside its nominal size; drawing at the nominal size is common practice, no source"
)
_FORMING = 0.4
"""A tap that forms wants a hole of about the major diameter less half a pitch (common practice);
beyond less 0.4 pitches there is no thread worth the name."""
_SAME_MM = 5e-4
_CLEAR = FitClass("d", 9)


def check(view: View) -> Judgement:
    """A warning for each stated thread or size that the surface it is stated of does not have."""
    if view.intent is None:
        return ()
    threads = [one for thread in view.intent.threads for one in _thread(view, thread)]
    sizes = [one for size in view.intent.tolerances for one in _size(view, size)]
    return [*threads, *sizes]


def threads_elsewhere(view: View) -> frozenset[str]:
    """Segments of which a thread is stated that the surface, as it is drawn, cannot have."""
    threads = view.intent.threads if view.intent is not None else ()
    return frozenset(s for one in threads if any(_thread(view, one)) for s in one.place.segments)


def _thread(view: View, stated: StatedThread) -> Iterator[Finding]:
    read, across = parse(stated.designation), stated.place.on_diameter_mm
    known = segments_by_id(view.part)
    sides = {known[name].surface for name in stated.place.segments if name in known}
    if read is None or read.size is None or read.taper or across is None or len(sides) != 1:
        return
    if _is_modelled(view, stated.place):
        return
    inside, inch = sides == {"inner"}, view.shop.inch
    drawn = across[0] if inside else across[1]
    if _may_be(read.size, drawn, inside):
        return
    size = read.size
    if inside:
        wants = (
            f"is bored about {length_text(size.minor_inside_mm, inch)} before it is tapped (its "
            "minor diameter)"
        )
        want = size.minor_inside_mm
    else:
        wants = f"has a major diameter of {length_text(size.major_mm, inch)}"
        want = size.major_mm
    yield _finding(
        view,
        stated.place,
        f"The intent states a thread {stated.designation} on ⌀{length_text(drawn, inch)}, but "
        f"{stated.designation} {wants}.",
        drawn,
        want,
    )


def _may_be(size: ThreadSize, drawn: float, inside: bool) -> bool:
    if within(size, "inner" if inside else "outer", drawn) is not None:
        return True
    return inside and size.inner_mm[0] < drawn <= size.major_mm - _FORMING * size.pitch_mm


def _is_modelled(view: View, place: Named) -> bool:
    """Whether the thread itself is in the solid, whose crests and roots are several diameters."""
    wanted = set(place.segments)
    return any(
        f.kind == "thread" and f.parameters.get("evidence") in ("helix", "rings")
        for f in view.features or ()
        if wanted.intersection(f.segments)
    )


def _size(view: View, stated: Tolerance) -> Iterator[Finding]:
    limits, nominal = stated.limits_mm, stated.nominal_mm
    if limits is None or nominal is None or stated.of == "surface":
        return
    off = max(limits[0] - nominal, nominal - limits[1])
    beside = _SAME_MM
    if stated.of == "diameter":  # drawn at its nominal size, toleranced as a fit beside it
        fit = fit_limits(_CLEAR, nominal).deviations_mm
        beside += -fit[1] if fit is not None else 0.001 * nominal
    if off <= beside:
        return
    inch = view.shop.inch
    what = "diameter" if stated.of == "diameter" else "length"
    unit = "in" if inch else "mm"
    yield _finding(
        view,
        stated.place,
        f"The intent states {span_words(limits, inch)} {unit} as the limits of a {what} that the "
        f"solid draws at {length_text(nominal, inch)}, which lies outside them.",
        nominal,
        limits[0] if nominal < limits[0] else limits[1],
    )


def _finding(view: View, place: Named, message: str, measured: float, limit: float) -> Finding:
    return Finding(
        rule=NAME,
        level="warning",
        message=(
            f"{message} The intent was taken, and reach and setups are reckoned on the solid as it "
            f"is drawn. {WHY} Correct the solid or the intent."
        ),
        where=where_of(view, place.segments),
        basis=Basis(BASIS, "standard"),
        measured=measured,
        limit=limit,
        unit="mm",
    )


def _threaded(designation: str) -> View:
    place = Named(diameter_mm=(16.0, 16.0))
    return drawn_view(intent=Intent(threads=(StatedThread(place, designation),)))


def _limited(low: float, high: float) -> View:
    size = Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)), "…", limits_mm=(low, high))
    return drawn_view(intent=Intent(tolerances=(size,)))


EXAMPLES = (
    Example("a pin without an intent", drawn_view),
    Example("M16 on a cylinder of 16", lambda: _threaded("M16")),
    Example("M20 on a cylinder of 16", lambda: _threaded("M20"), ("warning",)),
    Example("16 f7 written as limits on a cylinder of 16", lambda: _limited(15.966, 15.984)),
    Example("16.2 to 16.3 on a cylinder of 16", lambda: _limited(16.2, 16.3), ("warning",)),
)
