"""What the setups say of bending and effort, as the report's plain values."""

from __future__ import annotations

from typing import Any

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.setups.bending_model import Bending, BendingPass, BentLand
from turnability.setups.effort.model import Effort
from turnability.setups.holding.outlines import Polygon, holding_outlines
from turnability.setups.model import Grip, Plan, SetOver, Setup
from turnability.setups.set_over.outlines import set_over_outlines
from turnability.stock.model import StockPiece

Json = dict[str, Any]


def bending_document(bending: Bending) -> Json:
    """The contract's five keys, and beside them the curve, the lands and the passes."""
    return {
        "worst_diametral_error_mm": bending.worst_diametral_error_mm,
        "at_z_mm": bending.at_z_mm,
        "force_n": bending.force_n,
        "unsupported_length_mm": bending.unsupported_length_mm,
        "length_to_diameter": bending.length_to_diameter,
        "material": bending.material,
        "critical_rpm": bending.critical_rpm,
        "critical_free_rpm": bending.critical_free_rpm,
        "curve_mm": bending.curve,
        "lands": [_land(land) for land in bending.lands],
        "roughing": bending.roughing and _pass(bending.roughing),
        "finishing": bending.finishing and _pass(bending.finishing),
        "bars": [
            {
                "tool": bar.tool,
                "overhang_mm": bar.overhang_mm,
                "diameter_mm": bar.diameter_mm,
                "gives_mm": bar.gives_mm,
            }
            for bar in bending.bars
        ],
    }


def effort_document(effort: Effort) -> Json:
    """Minutes and money, with the parts they are made of."""
    money = effort.money
    return {
        "quantity": effort.quantity,
        "lathe": effort.lathe,
        "minutes_once": effort.minutes_once,
        "minutes_each": effort.minutes_each,
        "minutes_per_piece": effort.minutes_per_piece,
        "parts": [
            {"what": p.what, "minutes": p.minutes, "per": p.per, "why": p.why} for p in effort.parts
        ],
        "money": money
        and {"currency": money.currency, "work": money.work, "material": money.material},
        "basis": effort.basis,
    }


def plan_document(plan: Plan, profile: Profile | None = None) -> Json:
    """What lies behind the setups; they themselves stand under the contract's own key."""
    return {
        "related": [
            {
                "name": one.name,
                "segments": one.segments,
                "setups": one.setups,
                "mismatch_mm": one.mismatch and one.mismatch.value,
                "mismatch_basis": one.mismatch and f"{one.mismatch.source}: {one.mismatch.place}",
                "limit_mm": one.limit_mm,
                "drilled": one.drilled,
            }
            for one in plan.rechucked
        ],
        "runner_up": plan.runner_up
        and {
            "setups": [
                {
                    "order": setup.order,
                    "toward_chuck": setup.toward_chuck,
                    "grip": grip_document(setup.grip),
                    "support": setup.support,
                }
                for setup in plan.runner_up.setups
            ],
            "why": plan.runner_up.why,
        },
        "set_over": [_set_over(one, profile) for one in plan.set_over],
        "tapers": [
            {
                "cut_in": one.cut_in,
                "segments": one.segments,
                "tools": one.tools,
                "half_angle_deg": one.half_angle_deg,
                "set_over_mm": one.set_over_mm,
                "toward_you": one.toward_you,
                "toward_chuck": one.toward_chuck,
                "straight_mm": one.straight_mm,
                "holding": one.holding,
                "dog_z_mm": one.dog_z_mm,
                "dog_diameter_mm": one.dog_diameter_mm,
            }
            for one in plan.tapers
        ],
        "lathe": plan.lathe,
        "lathes": [
            {"name": one.name, "stops": one.stops, "hinders": one.hinders} for one in plan.lathes
        ],
        "in_the_way": plan.in_the_way
        and {"segments": plan.in_the_way.segments, "change": plan.in_the_way.change},
    }


def _set_over(one: SetOver, profile: Profile | None) -> Json:
    """A chucking that turns eccentrics: what holds it how far off, what is cut how fast."""
    drawn = None if profile is None else set_over_outlines(profile, one)
    return {
        "departures": one.departures,
        "toward_chuck": one.toward_chuck,
        "grip": one.grip and grip_document(one.grip),
        "segments": one.segments,
        "offset_mm": one.offset_mm,
        "dial_mm": one.dial_mm,
        "swung_mm": one.swung_mm,
        "cuts": [
            {
                "departure": cut.departure,
                "tools": cut.tools,
                "kind": cut.kind,
                "diameter_mm": cut.diameter_mm,
                "z_mm": cut.z_mm,
                "over_mm": cut.over_mm,
                "rpm": cut.rpm,
                "limit": cut.limit,
                "needs_mm": cut.needs_mm,
                "ends_at": cut.ends_at,
            }
            for cut in one.cuts
        ],
        "outlines": drawn
        and {
            "grips": _rounded(drawn.grips),
            "centres": _rounded(drawn.centres),
            "body": _rounded(drawn.body),
        },
        "missing": one.missing,
        "packing_mm": one.packed and one.packed.thick_mm,
        "packing_on_mm": one.packed and one.packed.on_mm,
    }


def grip_document(grip: Grip) -> Json:
    """What is held."""
    return {
        "kind": grip.kind,
        "surface": grip.surface,
        "z_mm": grip.z_mm,
        "diameter_mm": grip.diameter_mm,
        "across_flats_mm": grip.across_flats_mm,
        "length_mm": grip.length_mm,
    }


def held_document(profile: Profile, setup: Setup, piece: StockPiece | None) -> Json | None:
    """What holds the work as polygons, for those who draw it; None where it is not known."""
    drawn = holding_outlines(profile, setup, piece)
    if drawn is None or setup.holding is None:
        return None
    return {
        "holding": setup.holding.name,
        "kind": setup.holding.kind,
        "jaw_standoff_mm": setup.holding.jaw_standoff_mm,
        "grips": _rounded(drawn.grips),
        "centres": _rounded(drawn.centres),
        "steady": _rounded(drawn.steady),
        "body": _rounded(drawn.body),
        "stock": _rounded(drawn.stock),
        "kept_clear": _rounded(drawn.kept_clear),
    }


def _rounded(polygons: tuple[Polygon, ...]) -> list[list[list[float]]]:
    return [[[round(z, 4), round(r, 4)] for z, r in one] for one in polygons]


def _land(land: BentLand) -> Json:
    return {
        "segments": land.segments,
        "z_mm": land.z_mm,
        "diameter_mm": land.diameter_mm,
        "error_mm": land.error_mm,
        "limit_mm": land.limit and land.limit.value,
        "limit_basis": land.limit and limit_text(land.limit, land.stated),
    }


def _pass(one: BendingPass) -> Json:
    return {
        "depth_mm": one.depth_mm,
        "feed_mm": one.feed_mm,
        "main_force_n": one.main_force_n,
        "passive_force_n": one.passive_force_n,
        "diametral_error_mm": one.worst_mm,
        "at_z_mm": one.at_z_mm,
    }


def limit_text(limit: Cited, stated: bool) -> str:
    """Where the limit of a diameter's variation is from."""
    if stated:
        return f"{limit.place} ({limit.source})"
    return f"nothing is stated; ordinary turning holds {limit.place} ({limit.source})"
