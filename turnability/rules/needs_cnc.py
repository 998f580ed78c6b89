"""Only a driven lathe cuts it, though a small change would let the shop's manual one do."""

from __future__ import annotations

from dataclasses import replace

from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Line
from turnability.part.profile import make_profile
from turnability.reach.model import Reach
from turnability.rules.drawn import Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, NotJudged, View
from turnability.rules.speak import segments_by_id, where_of
from turnability.shop.material import COMMON_POLICY
from turnability.stock.choose import least_size_mm
from turnability.units import length_text

NAME = "needs-cnc"
LEVELS = ("note",)
WHY = "A manual lathe moves along one slide at a time: it cuts arcs by a form tool or by hand."
LIMIT = "every surface that only a driven lathe cuts is a rounding of 3 mm or less"
BASIS = "common practice; 3 mm is this program's own choice, no source"
SMALL_MM = 3.0


def check(view: View) -> Judgement:
    """A note where chamfers in place of small roundings would do."""
    if view.reach is None or view.part.profile is None:
        return NotJudged("reach was not judged")
    names = view.reach.cnc_only_segments
    if not names:
        return ()
    policy = view.shop.stock_policy or COMMON_POLICY
    size = least_size_mm(view.part.profile.max_diameter_mm, policy)
    manual = [
        m
        for m in view.shop.machines
        if m.control == "manual" and (m.swing_mm is None or m.swing_mm >= size)
    ]
    known = segments_by_id(view.part)
    curves = [known[s].curve for s in names if s in known]
    rounded = {s for f in view.features or () if f.kind == "fillet" for s in f.segments}
    if not manual or not set(names) <= rounded:
        return ()
    if not all(isinstance(c, Arc) and c.radius <= SMALL_MM for c in curves):
        return ()
    radii = sorted({round(c.radius, 3) for c in curves if isinstance(c, Arc)})
    inch = view.shop.inch
    sizes = ", ".join(length_text(r, inch) for r in radii)
    return (
        Finding(
            rule=NAME,
            level="note",
            message=(
                f"Only roundings ({sizes}) ask for a driven lathe. {WHY} Chamfers in their place, "
                "or in corners the nose radius of the finishing tool, would let "
                f"{manual[0].name} make it."
            ),
            where=where_of(view, names),
            basis=Basis(BASIS, "common-practice"),
            measured=max(radii),
            limit=SMALL_MM,
            unit="mm",
        ),
    )


def _rounded(radius: float) -> View:
    length, r = 30.0, 11.0
    inner = length - radius
    outline = (
        Line((0.0, 0.0), (length, 0.0)),
        Line((length, 0.0), (length, r - radius)),
        Arc((length, r - radius), (inner, r), (inner, r - radius), radius, False),
        Line((inner, r), (0.0, r)),
        Line((0.0, r), (0.0, 0.0)),
    )
    faces: tuple[tuple[int, ...], ...] = ((), (1,), (2,), (3,), (4,))
    fillet = Feature(
        "F1", "fillet", "outer", (inner, length), (2.0 * (r - radius), 2.0 * r), ("S3",), (3,)
    )
    view = drawn_view(make_profile([list(zip(outline, faces, strict=True))]), features=(fillet,))
    return replace(view, reach=Reach((), (), (), ("S3",)))


EXAMPLES = (
    Example("a pin", drawn_view),
    Example("a large rounding", lambda: _rounded(8.0)),
    Example("a small one", lambda: _rounded(2.0), ("note",)),
)
