"""How the work comes off its bar, and what the blade or the saw leaves on its face."""

from __future__ import annotations

from typing import TYPE_CHECKING

from turnability.rules import no_land_to_grip, parting_pip
from turnability.rules.sawn_end import FILED_MM, LEFT_TO_FILE_MM
from turnability.setups.holding.jaws import RAW_BAR
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, slenderness
from turnability.setups.model import Setup
from turnability.setups.surfaces.edges import at_end
from turnability.shop.material import COMMON_POLICY
from turnability.shop.model import Shop
from turnability.units import length_text, number_text

if TYPE_CHECKING:
    from turnability.report import Report

_AXIS_MM = 1e-3
_SAME_MM = 1e-3


def taken_off(report: Report, shop: Shop, setup: Setup) -> str | None:
    """How work is cut off its bar that no blade parts off: a sawn piece has nothing behind it."""
    profile = report.part.profile
    assert profile is not None
    if any(o.kind == "part off" for o in setup.operations):
        return _parted_text(report, setup)
    if setup.grip.kind != RAW_BAR:
        return None
    z = number_text(0.0 if setup.toward_chuck == "low" else profile.length_mm, report.inch)
    leave = leave_text(report, shop, setup)
    free = slenderness(profile, setup.toward_chuck, setup.grip.z_mm)
    why = ""
    if free > CHUCK_ONLY_LIMIT.value:
        why = (
            ", with the spindle stopped and the free end held up: "
            f"{number_text(round(free, 1), False)} diameters would hang free if it were parted "
            "off, where no centre may stand"
        )
    if not leave and (told := _by_hand(report, setup)):
        left = length_text(LEFT_TO_FILE_MM, report.inch)
        return f"saw off {left} behind z {z}{why}; file or grind that face by hand ({told})"
    if not leave:
        return f"saw off at z {z}{why}; that face stays as sawn"
    return f"saw off behind z {z}, {leave}{why}"


def _by_hand(report: Report, setup: Setup) -> str | None:
    """The finding that leaves the sawn face to a file; None where none does."""
    profile = report.part.profile
    assert profile is not None
    face = set(at_end(profile, setup.toward_chuck))
    return next(
        (
            f.id
            for f in report.findings
            if f.rule == no_land_to_grip.NAME
            and f.limit == FILED_MM
            and face.intersection(f.where.segments)
        ),
        None,
    )


def _parted_text(report: Report, setup: Setup) -> str | None:
    """What becomes of the pip and the burr that the blade leaves."""
    profile, intent = report.part.profile, report.intent
    assert profile is not None
    end = setup.toward_chuck
    z = number_text(0.0 if end == "low" else profile.length_mm, report.inch)
    solid = _is_solid(report, setup)
    what = "pip and burr" if solid else "burr"
    later = _faced_later(report, setup)
    if later is not None:
        goes = "go" if solid else "goes"
        how = "facing" if later[1] == "face" else "turning"
        return f"the {what} at z {z} {goes} with the {how} in setup {later[0]}"
    told = next((f for f in report.findings if f.rule == parting_pip.NAME), None)
    if told is not None:
        return f"{told.message} ({told.id})"
    barred = intent is not None and intent.parting_pip is not None and end not in intent.parting_pip
    if barred and solid:
        return f"no pip may stay at z {z}: face it in one more chucking"
    return (
        f"the face at z {z} stays as the blade leaves it: take off its {what} by hand, the spindle "
        "at rest"
    )


def _is_solid(report: Report, setup: Setup) -> bool:
    """Whether the blade comes to the axis: nothing has opened the end that it parts off.

    What a slot or an eccentric's bore opens there is cut only after.
    """
    profile, stock = report.part.profile, report.stock
    assert profile is not None
    faces = at_end(profile, setup.toward_chuck)
    end = 0.0 if setup.toward_chuck == "low" else profile.length_mm
    own = [s for s in profile.segments if s.id in faces]
    if any(min(s.curve.start[1], s.curve.end[1]) <= _AXIS_MM for s in own):
        return True
    if stock is not None and stock.choice is not None and stock.choice.inner_diameter_mm:
        return False
    mouth = {
        s.id
        for s in profile.segments
        if s.surface == "inner"
        and any(abs(p[0] - end) <= _SAME_MM for p in (s.curve.start, s.curve.end))
    }
    cut = {s for one in report.setups[: setup.order] for o in one.operations for s in o.segments}
    through = any(
        o.kind == "drill"
        and o.ends_at is not None
        and (
            o.ends_at[0] < 0.0 if setup.toward_chuck == "low" else o.ends_at[0] > profile.length_mm
        )
        for o in setup.operations
    )
    return not through and not mouth & cut


def leave_text(report: Report, shop: Shop, setup: Setup) -> str:
    """What is left behind the part to the setup that cuts that end; nothing where none does."""
    later = _faced_later(report, setup)
    if later is None:
        return ""
    leave = (shop.stock_policy or COMMON_POLICY).end_allowance_mm
    return f"leaving {length_text(leave, report.inch)} to {later[1]} in setup {later[0]}"


def _faced_later(report: Report, setup: Setup) -> tuple[int, str] | None:
    """Which setup after this one cuts the end that its bar is cut off at, and how it does.

    A dome's pole is turned, where no plane is faced.
    """
    profile = report.part.profile
    assert profile is not None
    end = set(at_end(profile, setup.toward_chuck))
    for one in report.setups[setup.order :]:
        kinds = [o.kind for o in one.operations if end & set(o.segments) and o.kind != "part off"]
        if kinds:
            return one.order, "face" if "face" in kinds else "turn"
    return None
