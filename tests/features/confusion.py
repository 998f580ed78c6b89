"""What random parts of known features are taken for, as a table of truths against readings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from random_parts import RandomPart, random_part

from turnability.features.drawing import drawn
from turnability.features.recognise import all_recognisers, recognise

NOTHING = "nothing"
SIZES = "sizes off"
NEVER_WRONG = ("groove", "end-groove", "recess", "taper", "thread")


@dataclass
class Confusion:
    """Counts by (what it is, what it is taken for); `worst` names parts to look at."""

    parts: int = 0
    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    worst: list[str] = field(default_factory=list)

    def wrong(self, kinds: Iterable[str] = NEVER_WRONG) -> int:
        """How often one of these kinds was claimed where it is not, or missed, or sized wrongly."""
        named = set(kinds)
        return sum(
            count
            for (truth, reading), count in self.counts.items()
            if truth != reading and (truth in named or reading in named)
        )

    def table(self) -> str:
        """The table as text: rows what it is, columns what it is taken for."""
        kinds = sorted({recogniser.kind for recogniser in all_recognisers()})
        columns = [*kinds, SIZES, NOTHING]
        wide = max(len(kind) for kind in columns) + 1
        short = [column[:9] for column in columns]
        lines = [" " * wide + "".join(f"{name:>10}" for name in short)]
        for truth in (*kinds, NOTHING):
            cells = [self.counts[(truth, column)] for column in columns]
            lines.append(f"{truth:<{wide}}" + "".join(f"{cell or '.':>10}" for cell in cells))
        return "\n".join(lines)


def confusion(
    seeds: Iterable[int], part_of: Callable[[int], RandomPart] = random_part
) -> Confusion:
    """The table over the parts of these numbers; sizes count to 1e-6 mm."""
    table = Confusion()
    for seed in seeds:
        part = part_of(seed)
        features = recognise(drawn(part.drawing), part.threads, (), part.departures)
        told = [facts(feature) for feature in features]
        table.parts += 1
        missed = []
        for truth in part.truths:
            match = next((one for one in told if agrees(one, truth)), None)
            if match is None:
                missed.append(truth)
                continue
            told.remove(match)
            table.counts[(truth["kind"], truth["kind"])] += 1
        for truth in missed:
            near = max(told, key=lambda one: _overlap(one, truth), default=None)
            reading = NOTHING
            if near is not None and _overlap(near, truth) > 0.0:
                told.remove(near)
                reading = SIZES if near["kind"] == truth["kind"] else near["kind"]
            table.counts[(truth["kind"], reading)] += 1
            table.worst.append(f"part {seed}: {truth['kind']} at z {truth['z_mm']}: {reading}")
        for one in told:
            table.counts[(NOTHING, one["kind"])] += 1
            table.worst.append(f"part {seed}: {one['kind']} at z {one['z_mm']} that is not there")
    return table


def facts(feature: Any) -> dict[str, Any]:
    """All that is said of a feature save its names."""
    return {
        "kind": feature.kind,
        "surface": feature.surface,
        "z_mm": feature.z_mm,
        "diameter_mm": feature.diameter_mm,
        "alternative": feature.alternative.kind if feature.alternative else None,
        **feature.parameters,
    }


def agrees(feature: dict[str, Any], truth: dict[str, Any]) -> bool:
    """Every fact of the truth is what the feature says, numbers to 1e-6."""
    return all(same(feature.get(key), value) for key, value in truth.items())


def same(a: Any, b: Any) -> bool:
    """Equal, numbers and pairs of them to 1e-6."""
    if isinstance(b, str | bool) or b is None or a is None:
        return bool(a == b)
    if isinstance(b, tuple):
        return len(a) == len(b) and all(same(x, y) for x, y in zip(a, b, strict=True))
    return isinstance(a, int | float) and abs(a - b) <= 1e-6 * max(1.0, abs(b))


def _overlap(one: dict[str, Any], truth: dict[str, Any]) -> float:
    shares = []
    for key in ("z_mm", "diameter_mm"):
        (a, b), (c, d) = one[key], truth[key]
        shares.append(min(b, d) - max(a, c) + 1e-3)
    return min(shares)
