"""A hollow inside the material that no tool can enter."""

from __future__ import annotations

from turnability.half_plane.curves import line_ring
from turnability.part.model import Departure, Parameter, Segment
from turnability.part.profile import drawn_profile, make_profile
from turnability.rules.drawn import PIN, Example, drawn_part, drawn_view
from turnability.rules.elsewhere import closed_hollows
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.speak import place_text, where_of

NAME = "closed-cavity"
LEVELS = ("error", "warning")
WHY = "Material must leave the part somewhere: a hollow without an opening cannot be cut."
LIMIT = "no hollow without an opening to the outside"
BASIS = "geometry of the meridian"


def check(view: View) -> Judgement:
    """An error for each closed hollow; a warning where a hole or slot may open it."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    turned = [_finding(view, segments) for segments in closed_hollows(view)]
    seen = [finding.where for finding in turned]
    sealed = [d for d in view.part.departures if d.parameters.get("sealed")]
    return [*turned, *(_milled(d) for d in sealed if not any(_reaches(d, w) for w in seen))]


def _milled(departure: Departure) -> Finding:
    """The error for a hollow beside the axis, or not round, that has no opening."""
    low, high = departure.z_mm
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"Closed hollow {departure.id} ({departure.called}) inside the material: no tool can "
            f"enter it. {WHY} Open it to the outside, or make the part in two pieces and join them."
        ),
        where=Where(faces=departure.faces, z_mm=(low, high)),
        basis=Basis(BASIS, "geometry"),
    )


def _finding(view: View, segments: tuple[Segment, ...]) -> Finding:
    where = where_of(view, [s.id for s in segments])
    place = place_text(where, view.shop.inch)
    opened = [
        d for d in view.part.departures if _reaches(d, where) and not d.parameters.get("sealed")
    ]
    if opened:
        by = ", ".join(f"{d.id} {d.called}" for d in opened)
        message = (
            f"The hollow at {place} opens only where material is milled or drilled away ({by}): "
            "no turning tool enters it. Mill it through that opening, open it to one end, or make "
            "the part in two pieces."
        )
    else:
        message = (
            f"Closed hollow at {place}: no tool can enter it. {WHY} Open it to one end, or make "
            "the part in two pieces and join them."
        )
    return Finding(
        rule=NAME,
        level="warning" if opened else "error",
        message=message,
        where=where,
        basis=Basis(BASIS, "geometry"),
    )


def _reaches(departure: Departure, where: Where) -> bool:
    """Whether a departure meets the hollow along z, and in r as far as its own numbers say."""
    if where.z_mm is None or where.diameter_mm is None:
        return False
    if not _meet(departure.z_mm, where.z_mm):
        return False
    extent = departure.parameters.get("r_mm")
    if not isinstance(extent, tuple) or len(extent) != 2:
        return True
    low, high = where.diameter_mm
    return _meet((extent[0], extent[1]), (low / 2.0, high / 2.0))


def _meet(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return a[0] <= b[1] and b[0] <= a[1]


def _hollow(*departures: Departure) -> View:
    cavity = tuple(c.reversed() for c in line_ring([(4, 2), (9, 2), (9, 6), (4, 6)])[::-1])
    solid = line_ring(PIN)
    profile = make_profile([[(c, ()) for c in solid], [(c, ()) for c in cavity]])
    return drawn_view(part=drawn_part(profile, departures))


def _cross_hole(z_mm: tuple[float, float], r_mm: tuple[float, float]) -> Departure:
    return Departure("D1", "hole", (), None, z_mm, {"r_mm": r_mm})


def _sealed_pocket() -> View:
    sizes: dict[str, Parameter] = {"r_mm": (3.0, 7.0), "sealed": True}
    return drawn_view(
        part=drawn_part(
            make_profile([[(c, ()) for c in line_ring(PIN)]]),
            (Departure("D1", "pocket", (), None, (4.0, 8.0), sizes),),
        )
    )


EXAMPLES = (
    Example("a solid pin", drawn_view),
    Example("a pin with a ring-shaped void inside", _hollow, ("error",)),
    Example(
        "a pin with a void on its axis",
        lambda: drawn_view(
            drawn_profile([(0, 0), (5, 0), (5, 3), (9, 3), (9, 0), (20, 0), (20, 8), (0, 8)])
        ),
        ("error",),
    ),
    Example(
        "the void with a cross hole elsewhere",
        lambda: _hollow(_cross_hole((20, 24), (0, 8))),
        ("error",),
    ),
    Example(
        "the void with a cross hole into it",
        lambda: _hollow(_cross_hole((5, 8), (5, 11))),
        ("warning",),
    ),
    Example("a pin with a void beside its axis", _sealed_pocket, ("error",)),
)
