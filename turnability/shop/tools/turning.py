"""Outside turning: an ISO 5608 holder with an ISO 1832 insert."""

from __future__ import annotations

from dataclasses import replace

from turnability.cited import Cited
from turnability.shop.books import cite, practice, row, weight
from turnability.shop.corner import Corner
from turnability.shop.holder_code import (
    Holder,
    approach_angle,
    check_insert,
    parse_holder,
    working_angles,
)
from turnability.shop.holder_outline import holder_body
from turnability.shop.insert_code import Insert, parse_insert
from turnability.shop.limits import doubts
from turnability.shop.model import Outlines, Relaxation, Tool
from turnability.shop.rings import mirror_z
from turnability.shop.tool_kind import Example
from turnability.toml_file.keys import Checked, Fault, Key, both
from turnability.units import MM_PER_INCH

NAME = "turning"
TRAILING_CLEARANCE = Key(
    "trailing_clearance_deg",
    "number",
    "the least free angle between the trailing edge and the work",
    least=0.0,
    most=30.0,
)
KEYS = (
    Key(
        "holder",
        "text",
        'the holder by ISO 5608, or in inch: holder = "PCLNR 2020K12", "MCLNR 16-4D"',
        required=True,
    ),
    Key("insert", "text", 'the insert by ISO 1832: insert = "CNMG 120408"', required=True),
    Key("f_mm", "length", "from the shank's back side to the nose, across the shank"),
    Key("head_length_mm", "length", "from the nose to where the straight shank begins"),
    TRAILING_CLEARANCE,
)
_GOOD = {"kind": NAME, "holder": "PCLNR 2020K12", "insert": "CNMG 120408"}
EXAMPLES = (
    Example(_GOOD),
    Example(_GOOD | {"holder": "PCLNL 2525M12"}),
    Example({"kind": NAME, "holder": "SDJCR 2020K11", "insert": "DCMT 11T304"}),
    Example({"kind": NAME, "holder": "SVVBN 2020K16", "insert": "VBMT 160404"}),
    Example({"kind": NAME, "holder": "MWLNR 2020K08", "insert": "WNMG 080408"}),
    Example({"kind": NAME, "holder": "SRDCN 2020K10", "insert": "RCMT 1003M0"}),
    Example({"kind": NAME, "holder": "PSSNR 2525M12", "insert": "SNMG 120408"}),
    Example({"kind": NAME, "holder": "PCBNR 2525M12", "insert": "CNMG 120412"}),
    Example({"kind": NAME, "holder": "SVHCR 2020K16", "insert": "VCMT 160408"}),
    Example({"kind": NAME, "holder": "CTAPR 2020K16", "insert": "TPMR 160308", "f_mm": 20.5}),
    Example({"kind": NAME, "holder": "MCLNR 16-4D", "insert": "CNMG 432"}),
    Example({"kind": NAME, "holder": "SDJCL-123B", "insert": "DCMT 32.51"}),
    Example({"kind": NAME, "holder": "CTAPR 12-3B", "insert": "TPMR 322", "f_in": 0.76}),
    Example({"kind": NAME, "holder": "CTAPR 2020K16", "insert": "TPMR 160308"}, "f is not known"),
    Example({"kind": NAME, "holder": "CTAPR 12-3B", "insert": "TPMR 322"}, "as f_in"),
    Example({"kind": NAME, "holder": "MCLNR 17-4D", "insert": "CNMG 432"}, "06, 08, 10"),
    Example({"kind": NAME, "holder": "MCLNR 16-4D", "insert": "CNMG 322"}, "holds size 12"),
    Example(_GOOD | {"insert": "CXMG 120408"}, "letter 2"),
    Example(_GOOD | {"insert": "DNMG 150608"}, "holds shape C"),
    Example(_GOOD | {"insert": "CNMG 110408"}, "holds size 12"),
    Example(_GOOD | {"holder": "PCZNR 2020K12"}, "letter 3"),
    Example(_GOOD | {"trailing_clearance_deg": 5.0}, "no free angle"),
)

_STRONG_NOSE_MM = 0.8


def tool_from(table: Checked) -> Tool:
    """The holder with its insert. f by file or preferred series. Raises Fault, Faults."""
    holder, insert = both(
        lambda: parse_holder(table["holder"]), lambda: parse_insert(table["insert"])
    )
    check_insert(holder, insert)
    corner, sources = make_corner(holder, insert, table["trailing_clearance_deg"])
    f_mm = table["f_mm"]
    if f_mm is None:
        f = _f_dimension(holder)
        f_mm, sources = f.value, sources | {"f_mm": f}
    body = holder_body(corner, f_mm, holder.shank_mm, table["head_length_mm"])
    made = Outlines((corner.ring(),), body)
    relaxed = sharp_nose(corner, made)
    shank = made.body[-1]
    needle = corner.needle(min(r for _, r in (curve.start for curve in shank)))
    if needle is not None:
        opened = Outlines((needle[0],), (needle[1], shank))
        relaxed += (
            Relaxation("trailing-edge", opened, "trailing_angle_deg", corner.trailing_deg, "deg"),
        )
    relaxed += (Relaxation("holder", Outlines(made.cutting, ())),)
    if not corner.neutral:
        relaxed += (Relaxation("hand", mirror_z(made)),)
    if holder.hand == "left":
        made = mirror_z(made)
        relaxed = tuple(
            Relaxation(r.cause, mirror_z(r.outlines), r.parameter, r.value, r.unit) for r in relaxed
        )
    return Tool(
        name=table["name"] or f"{holder.designation} with {insert.designation}",
        kind=NAME,
        access="outer",
        on_axis=False,
        hand=holder.hand,
        outlines=made,
        designation=f"{holder.designation}, {insert.designation}",
        weight=corner_weight(NAME, corner)
        + (weight("left-hand") if holder.hand == "left" else 0.0),
        relaxations=relaxed,
        limits=corner_limits(corner) | {"f_mm": f_mm, "shank_mm": holder.shank_mm},
        notes=doubts(sources),
        sources=sources,
    )


def make_corner(
    holder: Holder, insert: Insert, clearance_deg: float | None, key: str = "holder"
) -> tuple[Corner, dict[str, Cited]]:
    """The insert at the holder's approach angle, with what its limits rest on. Raises Fault."""
    angles = working_angles(holder, insert)
    corner = Corner(
        angles_deg=angles,
        ic_mm=insert.ic.value,
        nose_mm=insert.nose.value,
        kappa_deg=approach_angle(holder, angles, key),
        clearance_deg=practice("trailing_clearance").value
        if clearance_deg is None
        else clearance_deg,
        neutral=holder.hand == "neutral",
    )
    trailing = corner.trailing_deg
    if trailing is not None and trailing <= 0.0:
        raise Fault(
            key,
            f"{holder.designation} leaves the trailing edge no free angle: "
            f"180 - {corner.kappa_deg:g} - {angles[0]:g} = {corner.minor_deg:g} degrees, "
            f"less {corner.clearance_deg:g} of clearance",
            "Take another style or insert, or set a smaller trailing_clearance_deg",
        )
    return corner, {"approach_angle_deg": holder.kappa, "nose_radius_mm": insert.nose}


def sharp_nose(corner: Corner, made: Outlines) -> tuple[Relaxation, ...]:
    """The tool with its working corner left sharp, where it has a nose."""
    if not corner.angles_deg or corner.nose_mm <= 0.0:
        return ()
    sharp = Outlines((corner.ring(sharp=True),), made.body)
    return (Relaxation("nose-radius", sharp, "nose_radius_mm", corner.nose_mm, "mm"),)


def corner_limits(corner: Corner) -> dict[str, float]:
    """What people see of a cutting corner."""
    limits = {"nose_radius_mm": corner.nose_mm, "approach_angle_deg": corner.kappa_deg}
    if corner.trailing_deg is not None:
        limits["trailing_angle_deg"] = corner.trailing_deg
        limits["corner_angle_deg"] = corner.angles_deg[0]
    return limits


def corner_weight(kind: str, corner: Corner) -> float:
    """How dear this corner is to choose: blunt and strong ones are cheap."""
    small = weight("small-nose") if corner.nose_mm < _STRONG_NOSE_MM - 1e-9 else 0.0
    return weight(kind, corner.angles_deg[0] if corner.angles_deg else 90.0) + small


def _f_dimension(holder: Holder) -> Cited:
    if holder.inch:
        return _f_in_inch(holder)
    entry = row("holder_f_dimension", shank_b_mm=f"{holder.shank_mm:g}")
    column = None
    if holder.hand == "neutral":
        column = "f_neutral_mm"
    elif holder.style in "FGHJKLS":
        column = "f_offset_mm"
    elif holder.style in "BT":
        column = "f_straight_mm"
    if entry is None or column is None:
        raise _no_f(holder, "f_mm")
    return cite(entry, "holder_f_dimension", column, "mm")


def _f_in_inch(holder: Holder) -> Cited:
    code = f"{round(16.0 * holder.shank_mm / MM_PER_INCH):02d}"
    entry = row("holder_inch", shank_code=code)
    column = "f_neutral_in" if holder.hand == "neutral" else "f_offset_in"
    if entry is None or (holder.hand != "neutral" and holder.style not in "FGHJKLS"):
        raise _no_f(holder, "f_in")
    found = cite(entry, "holder_inch", column, "in")
    return replace(found, value=found.value * MM_PER_INCH, unit="mm")


def _no_f(holder: Holder, key: str) -> Fault:
    return Fault(
        "holder",
        f"f is not known for {holder.designation}",
        f"Measure from the shank's back side to the nose and add it as {key}",
    )
