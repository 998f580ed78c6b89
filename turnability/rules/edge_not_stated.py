"""Outside edges drawn sharp, with nothing that says how far they may be broken."""

from __future__ import annotations

from turnability.intent.model import EdgeBreak, Intent, Named
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.outside_edges import OutsideEdge, unbroken_edges
from turnability.units import MM_PER_INCH, length_text, mm_text, span_text

NAME = "edge-not-stated"
LEVELS = ("note",)
WHY = "A turned edge is sharp and burred until it is broken, and whoever breaks it must guess."
LIMIT = "every outside edge has a drawn chamfer or radius, or a stated break"
BASIS = "common practice, no source; ISO 13715 is how a drawing states an edge (from memory)"
USUAL_MM = (0.2, 0.5)
"""What a shop takes off unasked; common practice, no source."""
_NAMED = 3
_SMALL = 6.0
"""An edge on a diameter under so many of the larger usual break is told as one of a small part (our
choice: it would take a third of the diameter)."""


def check(view: View) -> Judgement:
    """One note for all such edges of a part."""
    if view.part.profile is None:
        return NotJudged("the part has no profile")
    edges = unbroken_edges(view)
    if not edges:
        return ()
    inch = view.shop.inch
    one = len(edges) == 1
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"{'An outside edge is' if one else f'{len(edges)} outside edges are'} drawn sharp "
                f"({_places(edges, inch)}), and no break is stated: shops take off "
                f"{_usual_text(inch)} unasked{_much(edges)}. State "
                f"{'edges_in' if inch else 'edges_mm'} in the intent file ([[edge]] for one "
                "alone), or draw the chamfers."
            ),
            # colouring all faces of a part for its edges would hide what matters
            where=Where(),
            basis=Basis(BASIS, "common-practice"),
            measured=float(len(edges)),
            limit=0.0,
            unit="edges",
        ),
    )


def _much(edges: list[OutsideEdge]) -> str:
    """Where the usual break would be a large share of the part."""
    least = 2.0 * min(edge.at[1] for edge in edges)
    return ", too much for a diameter so small" if least < _SMALL * USUAL_MM[1] else ""


def _usual_text(inch: bool) -> str:
    """What shops take off, no finer in inch than anybody means it."""
    if not inch:
        return span_text(USUAL_MM)
    low, high = (f"{mm_text(value / MM_PER_INCH, 3)}" for value in USUAL_MM)
    return f"{low} to {high} in"


def _places(edges: list[OutsideEdge], inch: bool) -> str:
    """The largest few, low z first."""
    shown = sorted(sorted(edges, key=lambda e: -e.at[1])[:_NAMED], key=lambda e: e.at)
    places = [f"z {length_text(e.at[0], inch)}, ⌀{length_text(2.0 * e.at[1], inch)}" for e in shown]
    rest = len(edges) - len(shown)
    return "; ".join(places) + (f"; {rest} more" if rest else "")


def _pin(intent: Intent | None) -> View:
    return drawn_view(PIN, intent=intent)


def _chamfered() -> View:
    return drawn_view(
        [(0, 0), (30, 0), (30, 7.5), (29.5, 8), (18.5, 8), (18, 8.5), (18, 10.5), (17.5, 11),
         (0.5, 11), (0, 10.5)]
    )  # fmt: skip


def _edge(z_mm: float, diameter_mm: float) -> EdgeBreak:
    at = Named(z_mm=(z_mm, z_mm), diameter_mm=(diameter_mm, diameter_mm))
    return EdgeBreak(at, (0.0, 0.0))


EXAMPLES = (
    Example("a pin whose edges are chamfered", _chamfered),
    Example("a pin with a break stated for all edges", lambda: _pin(Intent(edges_mm=USUAL_MM))),
    Example(
        "one with each edge stated",
        lambda: _pin(Intent(edges=(_edge(30, 16), _edge(18, 22), _edge(0, 22)))),
    ),
    Example("one of which nothing is stated", lambda: _pin(None), ("note",)),
    Example("one edge forgotten", lambda: _pin(Intent(edges=(_edge(30, 16), _edge(18, 22)))),
            ("note",)),
)  # fmt: skip
