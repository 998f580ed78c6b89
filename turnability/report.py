"""The report of one solid: all stages' results, the verdict, and the contract's document.

Keys, their order, units and frame are fixed by `report_version` 1; the JSON Schema beside the
outputs (`turnability schema` prints it) states them for other programs.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from turnability.features.model import Feature
from turnability.half_plane.curves import Arc, Point, Spline
from turnability.intent.document import intent_document, intent_sha256
from turnability.intent.model import Intent
from turnability.part.document import face_document, source_document, stated_document
from turnability.part.model import Departure, Part, Profile, Segment, Stated
from turnability.reach.model import Left, Needed, Reach
from turnability.rules.model import Assumption, Finding, Level, RuleStatus, Weight
from turnability.setups.document import (
    bending_document,
    effort_document,
    held_document,
    plan_document,
)
from turnability.setups.effort.model import Effort
from turnability.setups.model import Plan, Setup
from turnability.shop.document import tool_document
from turnability.shop.model import Tool
from turnability.standing.document import baseline_document, decided_document, finding_document
from turnability.standing.model import Baseline, Decided
from turnability.stock.document import stock_document
from turnability.stock.model import Stock
from turnability.units import counted

REPORT_VERSION = 1
STAGES = ("read", "axis", "profile", "features", "reach", "setups", "outputs")
"""Keys of `timings_s`."""

Verdict: TypeAlias = Literal[
    "turnable", "needs-changes", "not-turnable", "not-axisymmetric", "undetermined"
]
Json: TypeAlias = dict[str, Any]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")
FAIL_ON: Mapping[str, tuple[Weight, ...]] = {
    "error": ("error",),
    "warning": ("error", "warning"),
    "never": (),
}
"""By the word that people give, the findings that fail a build."""


@dataclass(frozen=True, slots=True, repr=False)
class Report:
    """Everything said about one solid. `document()` is the JSON of the report contract."""

    turnability_version: str
    part: Part
    shop_name: str
    shop_sha256: str
    options: Mapping[str, Any]
    verdict: Verdict
    features: tuple[Feature, ...]
    reach: Reach | None
    setups: tuple[Setup, ...]
    stock: Stock | None
    findings: tuple[Finding, ...]
    rules: tuple[RuleStatus, ...]
    assumptions: tuple[Assumption, ...]
    timings_s: Mapping[str, float] = field(default_factory=dict)
    inch: bool = False
    """Whether people of this shop read inches; the document stays in mm."""
    intent: Intent | None = None
    """What the design states beside the solid, its places found on the part."""
    baseline: Baseline | None = None
    """The earlier report that findings were compared with."""
    project: Decided | None = None
    """What the project file decides of this part; the verdict does not follow it."""
    effort: Effort | None = None
    """What the plan takes, as an estimate; None without a plan or a known material."""
    plan: Plan | None = None
    """What lies behind the setups: the runner-up, related surfaces, what stands in the way."""
    tools: tuple[Tool, ...] = ()
    """The shop's tools that reach was asked for, for those who draw them."""

    def __repr__(self) -> str:
        """One line: all that it holds would fill a thousand in a console."""
        levels = Counter(finding.level for finding in self.findings)
        counts = ", ".join(counted(n, level) for level in LEVELS if (n := levels[level]))
        return f"<Report {self.name!r}: {self.verdict}; {counts or 'no findings'}>"

    @property
    def name(self) -> str:
        """What people call the part: the file's name without its ending, else the product's."""
        source = self.part.source
        if source.path:
            return source.path.replace("\\", "/").rsplit("/", 1)[-1].rsplit(".", 1)[0]
        return source.product or "shape"

    @property
    def crashed(self) -> tuple[RuleStatus, ...]:
        """Rules and stages that failed by a fault of the program itself."""
        return tuple(status for status in self.rules if status.status == "crashed")

    @property
    def failing(self) -> tuple[Weight, ...]:
        """Findings of which weights fail a build, as the run was asked."""
        return FAIL_ON[self.options.get("fail_on", "error")]

    @property
    def fails(self) -> bool:
        """Whether some finding fails a build: not accepted, not known from before."""
        return any(finding.fails(self.failing) for finding in self.findings)

    def document(self) -> Json:
        """The report as plain JSON values, keys in the contract's order.

        Lengths in mm, angles in degrees, numbers rounded to 1e-6. Raises ValueError if a stage
        handed up NaN or infinity, which no reader of the report could use.
        """
        part = self.part
        # A solid that no axis carries has no place for anything else: see the contract's verdicts.
        nothing = self.verdict == "not-axisymmetric"
        document = {
            "report_version": REPORT_VERSION,
            "turnability_version": self.turnability_version,
            "source": source_document(part.source),
            "inputs": {
                "shop": {
                    "name": self.shop_name,
                    "sha256": self.shop_sha256,
                    "units": "inch" if self.inch else "mm",
                },
                "intent": self.intent and {"sha256": intent_sha256(self.intent)},
                "options": dict(self.options),
            },
            "verdict": self.verdict,
            "axis": None
            if part.axis is None
            else {"origin_mm": part.axis.origin_mm, "direction": part.axis.direction},
            "symmetry": {
                "turned_area_fraction": part.symmetry.turned_area_fraction,
                "departures": () if nothing else part.symmetry.departures,
                "largest_departure": None if nothing else part.largest_departure,
                "reason": part.symmetry.reason,
            },
            "faces": () if nothing else [face_document(face) for face in part.faces],
            "profile": None if nothing or part.profile is None else _profile(part.profile),
            "features": () if nothing else [_feature(feature) for feature in self.features],
            "departures": () if nothing else [_departure(d) for d in part.departures],
            "reach": None if nothing or self.reach is None else _reach(self.reach),
            "setups": () if nothing else self._setups(),
            "stock": None if nothing or self.stock is None else stock_document(self.stock),
            "findings": [finding_document(finding) for finding in self.findings],
            "rules": ()
            if nothing
            else [{"rule": s.rule, "status": s.status, "reason": s.reason} for s in self.rules],
            "assumptions": ()
            if nothing
            else [
                {
                    "what": a.what,
                    "assumed": a.assumed,
                    "why": a.why,
                    "how_to_state": a.how_to_state,
                }
                for a in self.assumptions
            ],
            "stated": stated_document(Stated() if nothing else part.stated),
            "intent": self.intent and intent_document(self.intent),
            "baseline": self.baseline and baseline_document(self.baseline),
            "project": self.project and decided_document(self.project),
            "effort": self.effort and effort_document(self.effort),
            "plan": None
            if nothing or self.plan is None
            else plan_document(self.plan, part.profile),
            "tools": () if nothing else [tool_document(tool) for tool in self.tools],
            "timings_s": {stage: float(self.timings_s.get(stage, 0.0)) for stage in STAGES},
        }
        plain: Json = _plain(document, "report")
        return plain

    def _setups(self) -> list[Json]:
        profile = self.part.profile
        piece = self.stock.choice if self.stock is not None else None
        return [
            {
                **_setup(setup),
                "held": None if profile is None else held_document(profile, setup, piece),
            }
            for setup in self.setups
        ]

    def to_json(self) -> str:
        """The document as text: UTF-8, two spaces a level, a last line end; same in, same out."""
        return json.dumps(self.document(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _plain(value: Any, place: str) -> Any:
    """Tuples to lists, numbers rounded to 1e-6 without a minus nought; else as they are."""
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, Mapping):
        return {str(key): _plain(item, f"{place}.{key}") for key, item in value.items()}
    if isinstance(value, Iterable):
        return [_plain(item, f"{place}[{i}]") for i, item in enumerate(value)]
    if isinstance(value, int):
        return value
    number = float(value)  # numpy's own number types come out as Python's
    if not math.isfinite(number):
        raise ValueError(f"{place} is {number}; a report holds finite numbers or null")
    return round(number, 6) + 0.0


def _profile(profile: Profile) -> Json:
    return {
        "length_mm": profile.length_mm,
        "max_diameter_mm": profile.max_diameter_mm,
        "through_bore_mm": profile.through_bore_mm,
        "volume_mm3": profile.volume_mm3,
        "solid_volume_mm3": profile.solid_volume_mm3,
        "departures_volume_mm3": profile.departures_volume_mm3,
        "loops": [
            {"role": loop.role, "segments": [_segment(s) for s in loop.segments]}
            for loop in profile.loops
        ],
    }


def _segment(segment: Segment) -> Json:
    curve = segment.curve
    made: Json = {
        "id": segment.id,
        "kind": type(curve).__name__.lower(),
        "start": curve.start,
        "end": curve.end,
        "surface": segment.surface,
        "faces": segment.faces,
    }
    if isinstance(curve, Arc):
        made["centre"] = curve.centre
        made["radius_mm"] = curve.radius
        made["clockwise"] = curve.clockwise
    elif isinstance(curve, Spline):
        made["points"] = curve.points
    return made


def _feature(feature: Feature) -> Json:
    return {
        "id": feature.id,
        "kind": feature.kind,
        "surface": feature.surface,
        "z_mm": feature.z_mm,
        "diameter_mm": feature.diameter_mm,
        "segments": feature.segments,
        "faces": feature.faces,
        "parameters": feature.parameters,
        "matches": [
            {
                "standard": match.standard,
                "designation": match.designation,
                "residual_mm": match.residual_mm,
            }
            for match in feature.matches
        ],
        "parent": feature.parent,
        "alternative": feature.alternative
        and {
            "kind": feature.alternative.kind,
            "why": feature.alternative.why,
            "confidence": feature.alternative.confidence,
        },
    }


def _departure(departure: Departure) -> Json:
    return {
        "id": departure.id,
        "kind": departure.kind,
        "faces": departure.faces,
        "volume_mm3": departure.volume_mm3,
        "parameters": departure.parameters,
        "z_mm": departure.z_mm,
    }


def _reach(reach: Reach) -> Json:
    return {
        "tools": [
            {
                "tool": tool.tool,
                "toward_chuck": tool.toward_chuck,
                "reached_segments": tool.reached_segments,
            }
            for tool in reach.tools
        ],
        "left": [_left(left) for left in reach.left],
        "chosen_tools": reach.chosen_tools,
        "cnc_only_segments": reach.cnc_only_segments,
    }


def _left(left: Left) -> Json:
    polygon: tuple[Point, ...] = left.polygon
    return {
        "id": left.id,
        "segments": left.segments,
        "area_mm2": left.area_mm2,
        "volume_mm3": left.volume_mm3,
        "polygon": polygon,
        "deepest_mm": left.deepest_mm,
        "causes": left.causes,
        "nearest_tool": left.nearest_tool,
        "nearest_causes": left.own_causes,
        "needed": left.needed and _needed(left.needed),
        "needed_together": [_needed(one) for one in left.needed_together],
        "stand": left.stand
        and {
            "tool": left.stand.tool,
            "toward_chuck": left.stand.toward_chuck,
            "at": left.stand.at,
            "hits": left.stand.hits,
        },
    }


def _needed(needed: Needed) -> Json:
    return {"parameter": needed.parameter, "value": needed.value, "unit": needed.unit}


def _setup(setup: Setup) -> Json:
    grip, bending = setup.grip, setup.bending
    return {
        "order": setup.order,
        "toward_chuck": setup.toward_chuck,
        "grip": {
            "kind": grip.kind,
            "surface": grip.surface,
            "z_mm": grip.z_mm,
            "diameter_mm": grip.diameter_mm,
            "across_flats_mm": grip.across_flats_mm,
            "length_mm": grip.length_mm,
        },
        "holding": setup.holding and setup.holding.name,
        "datum": {"segment": setup.datum.segment, "why": setup.datum.why},
        "support": setup.support,
        "steady_z_mm": setup.steady_z_mm,
        "operations": [
            {
                "tool": o.tool,
                "segments": o.segments,
                "kind": o.kind,
                "support": o.support,
                "out_mm": o.out_mm,
                "one_pass": o.one_pass,
                "ends_at": o.ends_at,
            }
            for o in setup.operations
        ],
        "left": [{"segments": left.segments, "causes": left.causes} for left in setup.left],
        "bending": bending and bending_document(bending),
    }
