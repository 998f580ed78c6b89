"""A bore that is stated fine down to its floor, where a reamer's lead ends before it."""

from __future__ import annotations

from collections.abc import Iterator

from turnability.intent.agree import together
from turnability.intent.model import Intent, Named, Tolerance
from turnability.part.model import Segment
from turnability.reach.ground import ground_of
from turnability.rules.drawn import Example, drawn_shop, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import where_of
from turnability.setups.bores.deepest import reamed_to_mm
from turnability.setups.bores.reaming import least_end
from turnability.setups.model import Datum, Grip, Operation, Setup
from turnability.setups.operations.last_place import with_last_places
from turnability.shop.books import drilled_for_mm
from turnability.shop.load import tools_of
from turnability.shop.model import Tool
from turnability.shop.told_apart import diameter_of
from turnability.units import length_text, number_text, span_text

NAME = "reamed-short-of-floor"
LEVELS = ("warning",)
WHY = "A reamer cuts with its lead, and what lies beside that at a floor stays as it was drilled."
LIMIT = (
    "0.01 mm of the bore beside the lead of a reamer whose end stands on the floor, or on the cone "
    "of the drill before it"
)
BASIS = (
    "the reamer's own lead in the shop file, else 1.5 mm of 45°, common practice for machine "
    "reamers, from memory; where its end then stops, by geometry"
)
_LEAST_MM = 0.01
_RIM_MM = 0.2
"""A rim no wider than half of this is none (our choice)."""


def check(view: View) -> Judgement:
    """A warning for each bore of whose fine part a reamer's full diameter leaves some at a floor.

    None where the place that is stated ends before that.
    """
    if view.part.profile is None:
        return NotJudged("the part has no profile")
    if view.setups is None:
        return NotJudged("no plan of setups was made")
    return [
        finding
        for setup in view.setups
        for operation in setup.operations
        if operation.kind == "ream"
        for finding in _findings(view, setup, operation)
    ]


def _findings(view: View, setup: Setup, operation: Operation) -> Iterator[Finding]:
    profile, inch = view.part.profile, view.shop.inch
    reamer = next((t for t in view.shop.tools if t.name == operation.tool), None)
    if profile is None or reamer is None or "lead_mm" not in reamer.limits:
        return
    held_low = setup.toward_chuck == "low"
    lead = reamer.limits["lead_mm"]
    to = reamed_to_mm(reamer, setup.toward_chuck, ground_of(profile, setup.kept_clear))
    why = f"its lead is {length_text(lead, inch)} long"
    bound = _bound(view, setup, operation, reamer)
    if bound is not None:
        z = bound[0] + (lead if held_low else -lead)
        if (z - to if held_low else to - z) > _LEAST_MM:
            to = z
            why = (
                f"its lead is {length_text(lead, inch)} long, and must stop where it meets the "
                f"cone of {bound[1].name}, or it would have more to take than it can and break"
            )
    for segment in (s for s in profile.segments if s.id in operation.segments):
        low, high = segment.ends_z_mm
        stated = _stated_z(view, segment.id)
        low, high = (low, high) if stated is None else (max(low, stated[0]), min(high, stated[1]))
        short = to - low if held_low else high - to
        if short <= _LEAST_MM:
            continue
        d = diameter_of(reamer)
        fine = (to, high) if held_low else (low, to)
        beside = "below" if held_low else "beyond"
        rim, floors = _rim(view, segment, held_low)
        yield Finding(
            rule=NAME,
            level="warning",
            message=(
                f"The bore of ⌀{length_text(d, inch)} at z {span_text((low, high), inch)} is fine "
                f"to its floor, but {reamer.name} cuts at full diameter no nearer to that than "
                f"{length_text(round(short, 2), inch)}: {why}. What lies {beside} "
                f"z {number_text(round(to, 2), inch)} stays as it was drilled. State what is fine "
                f"of z {span_text(_rounded(fine), inch)} alone, or drill it "
                f"{length_text(round(short, 2), inch)} deeper."
                f"{rim}"
            ),
            where=where_of(view, [segment.id, *floors]),
            basis=Basis(BASIS, "geometry"),
            measured=round(short, 6),
            limit=0.0,
            unit="mm",
        )


def _bound(view: View, setup: Setup, ream: Operation, reamer: Tool) -> tuple[float, Tool] | None:
    """To where the hole drilled for it lets a reamer's end, and that drill."""
    assert view.part.profile is not None
    (made,) = with_last_places((setup,), view.part.profile, view.shop.tools)
    before = made.operations[: setup.operations.index(ream)]
    return least_end(reamer, ream, setup.toward_chuck, before, view.shop.tools)


def _rim(view: View, bore: Segment, held_low: bool) -> tuple[str, list[str]]:
    """Of a flat floor that no more than a narrower slot drill squares, that its rim stays.

    With the floor; nothing of any other.
    """
    profile, inch = view.part.profile, view.shop.inch
    end = (min if held_low else max)((bore.curve.start, bore.curve.end), key=lambda p: p[0])
    floors = {
        s.id
        for s in (() if profile is None else profile.segments)
        if s.surface == "end" and end in (s.curve.start, s.curve.end)
    }
    tools = {t.name: t for t in view.shop.tools}
    done = [o.tool for one in view.setups or () for o in one.operations if floors & {*o.segments}]
    own = [tools[name] for name in done if name in tools]
    hole = drilled_for_mm(2.0 * bore.curve.start[1])
    if not own or not all(t.on_axis for t in own):
        return "", []
    widest = max(own, key=diameter_of)
    if diameter_of(widest) >= hole - _RIM_MM:
        return "", []
    wanted = length_text(round(hole, 3), inch)
    return (
        f" {widest.name[0].upper()}{widest.name[1:]} squares its floor no wider than "
        f"⌀{length_text(diameter_of(widest), inch)}, and a wider one would spoil the bore: beside "
        f"that the floor stays as a drill's point leaves it. List a slot drill of ⌀{wanted}, or "
        "draw it with a drill's point.",
        sorted(floors),
    )


def _rounded(span: tuple[float, float]) -> tuple[float, float]:
    return (round(span[0], 2), round(span[1], 2))


def _stated_z(view: View, segment: str) -> tuple[float, float] | None:
    """Along which z its tolerance is stated, where that says so."""
    meant = together(view.intent, view.part)
    places = [t.place for t in meant.tolerances if t.of == "diameter"]
    places += [one.place for one in meant.roughness]
    spans = [p.z_mm for p in places if segment in p.segments and p.z_mm is not None]
    whole = [p for p in places if segment in p.segments and p.z_mm is None]
    if whole or not spans:
        return None
    return min(low for low, _ in spans), max(high for _, high in spans)


def _seat(floor: bool, lead_mm: float = 1.5, z: tuple[float, float] | None = None) -> View:
    """⌀10 H7 from z 14 on, blind and flat, or through."""
    (reamer,) = tools_of(
        {"kind": "reamer", "diameter_mm": 10.0, "cutting_length_mm": 60.0, "lead_mm": lead_mm}
    )
    tools: tuple[Tool, ...] = (reamer,)
    place = Named(diameter_mm=(10.0, 10.0), z_mm=z)
    intent = Intent(tolerances=(Tolerance("diameter", place, "H7", "H7", nominal_mm=10.0),))
    blind = [(0, 0), (14, 0), (14, 5), (40, 5), (40, 15), (0, 15)]
    through = [(0, 5), (40, 5), (40, 15), (0, 15)]
    bore = ("S3",) if floor else ("S1",)
    bar = Grip("raw bar", "outer", (-15.0, -5.0), 35.0, 10.0)
    made = Operation(reamer.name, bore, "ream")
    setup = Setup(1, "low", bar, Datum(None, "raw bar"), "none", (made,), ())
    return drawn_view(
        blind if floor else through, shop=drawn_shop(tools=tools), intent=intent, setups=(setup,)
    )


EXAMPLES = (
    Example("⌀10 H7 through", lambda: _seat(False)),
    Example("⌀10 H7 blind, stated from 1.5 mm over its floor on",
            lambda: _seat(True, z=(15.5, 40.0))),
    Example("⌀10 H7 blind and flat, to its floor", lambda: _seat(True), ("warning",)),
)  # fmt: skip
