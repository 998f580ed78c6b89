"""A second chucking is needed, and the part has nothing that could be held in it."""

from __future__ import annotations

import math

from turnability.features.model import Feature
from turnability.half_plane.curves import Arc
from turnability.intent.model import Intent, Named, NoGrip
from turnability.part.model import Profile
from turnability.reach.model import ENDS
from turnability.rules.corners import only_a_corner
from turnability.rules.drawn import PIN, Example, drawn_shop, drawn_view
from turnability.rules.elsewhere import milled_segments
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View, Where
from turnability.rules.other_holdings import arbor_ways, collets_take, mandrel_way
from turnability.rules.sawn_end import squared_by_hand
from turnability.rules.speak import place_text, segments_by_id, stated_segments, where_of
from turnability.rules.unreached_surface import GENERAL_MM
from turnability.rules.why_not_held import kept_from_jaws, shortfall, why_not_held
from turnability.setups.holding.grips import SHORT_GRIP, grips_for
from turnability.setups.model import SetupLeft
from turnability.setups.surfaces.edges import at_end, end_face
from turnability.shop.model import Holding
from turnability.stock.model import raw_across_mm
from turnability.units import length_text, rounded_up, span_text

NAME = "no-land-to-grip"
LEVELS = ("error", "warning")
WHY = "Jaws hold a straight, unbroken cylinder; a taper, a curve or a thread can let go at speed."
LIMIT = "a land within a holding's range that its jaws can hold, if only short (3 mm)"
BASIS = (
    "common practice: grip at least 10 mm and half the diameter, or the holding's own limits; "
    "short parts in soft jaws by at least 3 mm, standing out no more than a diameter"
)
MOST_OF_LENGTH = 0.5
"""No land longer than this share of the part is asked for (our choice)."""
SHEET_MM = 6.0
THIN_DISC = 0.1
"""No longer than the one, and than this share of its diameter, a part is cut from sheet (ours)."""
_SAME_MM = 0.01
_MOST_OF_BALL = 0.8
"""A sphere of which so much of the diameter is there has no land that jaws could hold."""
_BALL = (
    "A ball is turned on a neck that is parted last: draw a stem or a flat at one pole, or say "
    "that a flat or a pip may stay there. Where the whole sphere must be true, have it ground, or "
    "take a bought ball (rolling bearing balls are graded by ISO 3290) and drill or join that."
)
_FROM_ONE_END = "Or shape the part so that all is cut from one end and parted off."
BY_HAND_MM = 1.0
"""An edge break no larger than this is made by hand or with a countersink (common practice)."""


def check(view: View) -> Judgement:
    """An error where the plan leaves something only because nothing could be gripped."""
    if not view.shop.holdings:
        return NotJudged("the shop file names no holding")
    if view.setups is None or view.lands is None or view.part.profile is None:
        return NotJudged("no plan of setups was made")
    if not view.setups:
        return (_no_raw_grip(view),)
    said = said_otherwise(view)
    hidden = [
        left
        for left in view.setups[-1].left
        if "jaws" in left.causes and not (left.segments and said.issuperset(left.segments))
    ]
    if not hidden:
        return _parted_ball(view, view.part.profile)
    if all(_only_edges(view, left) for left in hidden):
        return (_by_hand(view, hidden),)
    if sawn := squared_by_hand(
        view, view.part.profile, {s for left in hidden for s in left.segments}, NAME
    ):
        return (sawn,)
    if all(_is_crumb(view, left) for left in hidden):
        return (_crumbs(view, hidden),)
    return (_finding(view, view.part.profile, hidden),)


def _parted_ball(view: View, profile: Profile) -> Judgement:
    """A warning where a ball is cut whole from its bar and parted off at its pole."""
    assert view.setups
    end = view.setups[-1].toward_chuck
    if not _is_ball(profile) or end_face(profile, end):
        return ()
    where = where_of(view, at_end(profile, end))
    message = (
        f"Nothing can be held of this ball, so that all of it is cut from its bar, and the {end} "
        f"pole as it is parted off: a pip stays there, and whatever the blade leaves. {_BALL}"
    )
    basis = Basis(BASIS, "common-practice")
    return (Finding(rule=NAME, level="warning", message=message, where=where, basis=basis),)


def said_otherwise(view: View) -> frozenset[str]:
    """Segments of which nothing more is to be said: milled ones; and where the part is chucked
    twice, those that no tool finishes anyway. What the chuckings leave of them is a rim there.
    """
    said = set(milled_segments(view))
    if view.setups and len(view.setups) > 1 and view.reach is not None:
        for left in view.reach.left:
            if only_a_corner(left, view) is None:
                said.update(left.segments)
    return frozenset(said)


def _only_edges(view: View, left: SetupLeft) -> bool:
    """Whether only small edge breaks are left."""
    edges = {
        s
        for f in view.features or ()
        if f.kind in ("chamfer", "fillet") and f.z_mm[1] - f.z_mm[0] <= BY_HAND_MM
        for s in f.segments
    }
    return bool(left.segments) and set(left.segments) <= edges


def _is_crumb(view: View, left: SetupLeft) -> bool:
    """Whether no more stays there than a drawing without tolerances leaves to the shop."""
    intent = view.intent
    if intent is not None and intent.ra_um is not None:
        return False
    return (
        left.thick_mm is not None
        and left.thick_mm <= GENERAL_MM
        and not stated_segments(view) & set(left.segments)
    )


def _crumbs(view: View, hidden: list[SetupLeft]) -> Finding:
    inch = view.shop.inch
    where = where_of(view, [s for left in hidden for s in left.segments])
    most = max(left.thick_mm or 0.0 for left in hidden)
    told = length_text(rounded_up(most, inch, 2), inch)
    return Finding(
        rule=NAME,
        level="warning",
        message=(
            f"Cut from one end alone, crumbs no thicker than {told} stay at "
            f"{place_text(where, inch)} between what the tools' corners reach, and nothing can be "
            "held to take them from the other end. That is within what a drawing without "
            "tolerances usually leaves to the shop (ISO 2768-1, medium): let them stay or file "
            "them off, or list a tool with that shape or a smaller corner if something runs or "
            "seats there."
        ),
        where=where,
        basis=Basis("geometry: outlines of the shop's tools, the part held at one end", "geometry"),
        measured=most,
        limit=GENERAL_MM,
        unit="mm",
    )


def _by_hand(view: View, hidden: list[SetupLeft]) -> Finding:
    inch = view.shop.inch
    names = {s for left in hidden for s in left.segments}
    where = where_of(view, names)
    inside = all(s.surface == "inner" for n, s in segments_by_id(view.part).items() if n in names)
    parted = any(o.kind == "part off" for s in view.setups or () for o in s.operations)
    return Finding(
        rule=NAME,
        level="warning",
        message=(
            f"The edge break at {place_text(where, inch)} lies on the side of the chuck, and "
            "nothing can be held to cut it in a second chucking: make it by hand"
            f"{', or with a countersink,' if inside else ''} once the part is "
            f"{'parted off' if parted else 'off its bar'}, or leave it to be deburred."
        ),
        where=where,
        basis=Basis(
            f"common practice: edges up to {length_text(BY_HAND_MM, inch)} are broken by hand",
            "common-practice",
        ),
    )


def _finding(view: View, profile: Profile, hidden: list[SetupLeft]) -> Finding:
    inch = view.shop.inch
    where = where_of(view, [s for left in hidden for s in left.segments])
    first = view.setups[0] if view.setups else None
    side = "high" if first is not None and first.toward_chuck == "low" else "low"
    grips = grips_for(view.lands or (), view.shop)
    nearest = min((g for g in grips if g.fits), key=shortfall, default=None)
    left_by = (
        "is left by the first chucking from raw bar, and nothing can be held to cut it in a "
        "second one"
        if len(view.setups or ()) < 2
        else "is left by both chuckings, and nothing better can be held in the second one"
    )
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"{_place(where, profile, side, inch)} {left_by}: "
            f"{why_not_held(view, profile, grips)}. {WHY} {_way_out(view, profile, side)}"
            f"{_longer_bar(profile, hidden, side, where, inch)}"
        ),
        where=where,
        basis=Basis(BASIS, "common-practice"),
        measured=nearest.length_mm if nearest else None,
        limit=nearest.least_mm if nearest else None,
        unit="mm",
    )


def _longer_bar(
    profile: Profile, hidden: list[SetupLeft], side: str, where: Where, inch: bool
) -> str:
    """That a longer bar would do it all from the free end, where only its length is wanting."""
    if where.z_mm is None or not all("bar-length" in left.causes for left in hidden):
        return ""
    deep = profile.length_mm - where.z_mm[0] if side == "high" else where.z_mm[1]
    return (
        f" A boring bar that stands out by {length_text(deep, inch)}, of carbide where that is "
        "over 4 of its diameters, may bore it from one end: list one, and it is judged."
    )


def _way_out(view: View, profile: Profile, side: str) -> str:
    if _is_ball(profile):
        return f"{_BALL} {_FROM_ONE_END}"
    if view.intent is not None and kept_from_jaws(view):
        known = segments_by_id(view.part)
        kept = [known[s].curve for n in view.intent.no_grip for s in n.place.segments if s in known]
        sizes = {2.0 * c.start[1] for c in kept if abs(c.start[1] - c.end[1]) <= _SAME_MM}
        collet = ", or a collet," if any(map(collets_take, sizes)) else ""
        return (
            f"Let soft jaws bored to it{collet} hold one of the surfaces that the intent "
            f"keeps from jaws, which marks it little. Or: {_need(view, profile, side)} "
            f"{mandrel_way(view, profile)}{arbor_ways(view, profile)}{_FROM_ONE_END}"
        )
    inch, length = view.shop.inch, profile.length_mm
    if length <= SHEET_MM and length <= THIN_DISC * profile.max_diameter_mm:
        return (
            f"So thin a disc is cut from sheet or plate of {length_text(length, inch)}, its faces "
            "as they come, and only its outside and bore are turned, several clamped together "
            "between discs on an arbor. Or make it thick enough to hold, or part of its neighbour. "
            f"{arbor_ways(view, profile)}"
        ).rstrip()
    ways = f"{mandrel_way(view, profile)}{arbor_ways(view, profile)}"
    return f"{_need(view, profile, side)} {ways}{_FROM_ONE_END}"


def _is_ball(profile: Profile) -> bool:
    """Whether the outside is one sphere, but for what is cut off it at an end."""
    outside = [s.curve for s in profile.outline.segments if s.surface == "outer"]
    arcs = [curve for curve in outside if isinstance(curve, Arc)]
    if not arcs or len(arcs) < len(outside):
        return False
    first = arcs[0]
    ends = [point[0] for arc in arcs for point in (arc.start, arc.end)]
    return (
        all(math.dist(arc.centre, first.centre) <= _SAME_MM for arc in arcs)
        and abs(first.centre[1]) <= _SAME_MM
        and max(ends) - min(ends) >= _MOST_OF_BALL * 2.0 * first.radius
    )


def _place(where: Where, profile: Profile, grip_side: str, inch: bool) -> str:
    """What is left; where it is no segment, the pip or cut on the side of the chuck."""
    if where.segments:
        for end in ENDS:
            if set(end_face(profile, end)).issuperset(where.segments):
                return f"The face of the {end} end ({place_text(where, inch)})"
        return f"What lies at {place_text(where, inch)}"
    return f"The {'high' if grip_side == 'low' else 'low'} end"


def _no_raw_grip(view: View) -> Finding:
    inch = view.shop.inch
    assert view.part.profile is not None
    size = raw_across_mm(view.stock, view.part.profile.max_diameter_mm)
    outside = [h.outside_mm for h in view.shop.holdings if h.outside_mm is not None]
    way = "smaller or larger"
    if outside and size > max(high for _, high in outside):
        way = "smaller"
    elif outside and size < min(low for low, _ in outside):
        way = "larger"
    ranges = "; ".join(f"{h.name} takes {_range(h, inch)}" for h in view.shop.holdings)
    return Finding(
        rule=NAME,
        level="error",
        message=(
            f"No holding of the shop takes the raw stock of ⌀{length_text(size, inch)}: {ranges}. "
            f"Make the part {way}, or have it made where a fitting chuck stands."
        ),
        where=where_of(view, ()),
        basis=Basis("the holdings in the shop file", "shop"),
        measured=size,
        unit="mm",
    )


def _range(holding: Holding, inch: bool) -> str:
    if holding.outside_mm is None:
        return "insides only"
    return f"⌀{span_text(holding.outside_mm, inch)}"


def _need(view: View, profile: Profile, side: str) -> str:
    """What to draw: a cylinder as long as the least demanding jaws ask for, if the part has room.

    A disc or a ball has none: soft jaws hold a short land, or a stub is left to hold it by.
    """
    inch = view.shop.inch
    chucks = ("three-jaw", "four-jaw", "soft-jaws")
    jaws = [h for h in view.shop.holdings if h.kind in chucks] or list(view.shop.holdings)
    least = min(jaws, key=lambda h: (h.least_grip_per_diameter, h.least_grip_mm))
    share = least.least_grip_per_diameter
    wanted = max(least.least_grip_mm, share * profile.max_diameter_mm)
    if wanted > MOST_OF_LENGTH * profile.length_mm:
        short = length_text(SHORT_GRIP.value + least.jaw_standoff_mm, inch)
        return (
            f"Draw a straight cylinder of at least {short} near the {side} end for soft jaws, of "
            "which the part stands out by no more than its diameter, or leave a stub there to hold "
            "it by, which is cut off last."
        )
    half = f" and {'half' if share == 0.5 else f'{share:g} of'} its diameter" if share else ""
    return (
        f"Draw a straight cylinder near the {side} end, at least "
        f"{length_text(least.least_grip_mm, inch)}{half} long."
    )


def _cones(thick_mm: float | None) -> View:
    left = SetupLeft(("S4",), ("jaws",), thick_mm)
    return drawn_view([(0, 0), (30, 0), (30, 4), (15, 11), (0, 4)], setup_left=(left,))


def _bush() -> View:
    chamfer = Feature(
        id="F1",
        kind="chamfer",
        surface="inner",
        z_mm=(0.0, 0.5),
        diameter_mm=(10.0, 11.0),
        segments=("S1",),
        faces=(),
        parameters={"size_mm": 0.5, "angle_deg": 45.0},
    )
    return drawn_view(
        [(0, 5.5), (0.5, 5), (8, 5), (8, 10.5), (0, 10.5)],
        features=(chamfer,),
        setup_left=(SetupLeft(("S1",), ("jaws",)),),
    )


EXAMPLES = (
    Example("a pin made from bar and parted off", drawn_view),
    Example("a double cone, of which one end stays uncut", lambda: _cones(None), ("error",)),
    Example("the same with 0.2 mm left", lambda: _cones(0.2), ("error",)),
    Example("the same with crumbs of 0.08 mm", lambda: _cones(0.08), ("warning",)),
    Example(
        "a pin whose intent keeps both its cylinders from jaws",
        lambda: drawn_view(
            PIN,
            intent=Intent(
                no_grip=(
                    NoGrip(Named(diameter_mm=(22.0, 22.0))),
                    NoGrip(Named(diameter_mm=(16.0, 16.0))),
                )
            ),
            setup_left=(SetupLeft(("S4",), ("jaws",)),),
        ),
        ("error",),
    ),
    Example("a bush of which only the chamfer in the parted end stays", _bush, ("warning",)),
    Example(
        "a pin for which only a bar of ⌀200 is kept, that no chuck takes",
        lambda: drawn_view(PIN, shop=drawn_shop(bars_mm=(200,)), setups=()),
        ("error",),
    ),
)
