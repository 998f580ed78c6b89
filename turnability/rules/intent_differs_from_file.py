"""The intent and the solid's own file state one thing differently; the intent was taken."""

from __future__ import annotations

from dataclasses import replace

from turnability.intent.agree import agree
from turnability.intent.model import Intent, Named, Tolerance
from turnability.part.model import Part, Place, Stated, StatedSize
from turnability.rules.drawn import PIN, Example, drawn_part, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, View
from turnability.rules.speak import where_of

NAME = "intent-differs-from-file"
LEVELS = ("warning",)
WHY = "Two papers that differ are each made by somebody; the part is right by one of them only."
LIMIT = "the same limits of size and the same run-out within 0.0005 mm"
BASIS = "common practice, no source: what is stated twice must agree; the intent is taken"


def check(view: View) -> Judgement:
    """A warning for each thing that both state, and state differently."""
    if view.intent is None:
        return ()
    unit = "in" if view.shop.inch else "mm"
    return [
        Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The intent and the STEP file differ in {found.what} at "
                f"{found.place.text(view.shop.inch)}: {found.intent} {unit} in the intent, "
                f"{found.file} {unit} in the file. The intent was taken. Correct the one that is "
                "wrong."
            ),
            where=where_of(view, found.place.segments),
            basis=Basis(BASIS, "common-practice"),
        )
        for found in agree(view.intent, view.part, view.shop.inch)
    ]


def _toleranced(least_mm: float, largest_mm: float) -> Part:
    """The pin, whose file gives the diameter of its thin end these limits."""
    size = StatedSize(
        step_id=40,
        kind="diameter",
        what="diameter",
        unit="mm",
        nominal=16.0,
        least=least_mm,
        largest=largest_mm,
        fit=None,
        modifiers=(),
        at=Place((), ("S3",)),
    )
    return replace(drawn_part(PIN), stated=Stated(sizes=(size,)))


_H7 = Intent(
    tolerances=(Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)), "h7", fit="h7"),),
)
EXAMPLES = (
    Example("a pin without an intent", drawn_view),
    Example(
        "a pin of 16 h7 whose file has the same limits",
        lambda: drawn_view(part=_toleranced(15.982, 16.0), intent=_H7),
    ),
    Example(
        "a pin of 16 h7 whose file allows h9",
        lambda: drawn_view(part=_toleranced(15.957, 16.0), intent=_H7),
        ("warning",),
    ),
)
