"""What a round boring bar opens, exactly, from its diameter d and its f.

f is the distance from the bar's centre line to its nose. A bore that it enters is at least
f + d/2, a recess that it cuts at most f - d/2 deep, and the hole that lets it begin, when the
bore is its own work, at least max(d, 2 f + d - bore). A larger smallest bore that the shop file
states takes the place of f + d/2.
"""

from __future__ import annotations

from dataclasses import dataclass

from turnability.shop.model import Shop
from turnability.units import length_text

DIAMETER_KEY = "bar_diameter_mm"
F_KEY = "f_mm"
BORE_KEY = "min_bore_mm"
WIDTH_KEY = "width_mm"
CORNER_KEY = "corner_radius_mm"
SHORTEN = 0.1
"""A bore is to be drawn shorter by no more of itself than this for a bar's sake (our choice)."""
WIDEN_MM, WIDEN = 4.0, 0.25
"""By so much, or this share of it, a bore is drawn wider at most for a bar's sake (our choice)."""
_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Bar:
    """A round bar of the shop (mm); `edge_mm`: the width of one that grooves, with its corners."""

    name: str
    diameter_mm: float
    f_mm: float
    stated_bore_mm: float = 0.0
    edge_mm: float | None = None
    corner_mm: float = 0.0

    @property
    def least_bore_mm(self) -> float:
        """Smallest bore that the bar passes: f + d/2, or what the shop file states."""
        return max(self.f_mm + self.diameter_mm / 2.0, self.stated_bore_mm)

    @property
    def deepest_recess_mm(self) -> float:
        """Deepest recess behind a lip that the bar cuts: f - d/2."""
        return self.f_mm - self.diameter_mm / 2.0

    def least_hole_mm(self, bore_mm: float) -> float:
        """Smallest drilled hole from which the bar opens `bore_mm`: max(d, 2 f + d - bore)."""
        return max(self.diameter_mm, 2.0 * self.least_bore_mm - bore_mm)


def bars_of(shop: Shop) -> tuple[Bar, ...]:
    """The shop's bars whose diameter and f are known, smallest entry first."""
    bars = [
        Bar(
            tool.name,
            tool.limits[DIAMETER_KEY],
            tool.limits[F_KEY],
            tool.limits.get(BORE_KEY, 0.0),
            tool.limits.get(WIDTH_KEY),
            tool.limits.get(CORNER_KEY, 0.0),
        )
        for tool in shop.tools
        if tool.access == "inner" and DIAMETER_KEY in tool.limits and F_KEY in tool.limits
    ]
    return tuple(sorted(bars, key=lambda bar: (bar.least_bore_mm, bar.name)))


def bar_wanted(shop: Shop, bore_mm: float, deep_mm: float, must_be: str) -> str:
    """What the slimmest boring bar that is long enough goes into; how deep the longest goes.

    None that grooves: those bore nothing long. No bore is to be drawn wider by more than
    `WIDEN_MM` or `WIDEN`: that would be another part, and a slimmer bar is asked for. Shorter by
    no more than `SHORTEN` of it, where that lets one bore it that goes in. `must_be`: in one word,
    what of the bore asks for a bar.
    """
    bars = [
        (tool.limits[BORE_KEY], tool.limits["overhang_mm"], tool.name)
        for tool in shop.tools
        if tool.access == "inner"
        and WIDTH_KEY not in tool.limits
        and {BORE_KEY, "overhang_mm"} <= tool.limits.keys()
    ]
    able = [bar for bar in bars if bar[1] >= deep_mm]
    entering = [bar for bar in bars if bar[0] <= bore_mm]
    other = _bar_or_size(shop.inch, bars, bore_mm, deep_mm, must_be)
    if not entering or any(bar in able for bar in entering):
        return other
    _, reach, name = max(entering, key=lambda bar: bar[1])
    lacks = deep_mm - reach
    if lacks > SHORTEN * deep_mm + _SAME_MM:
        return other
    less, bores = (length_text(round(mm, 3), shop.inch) for mm in (lacks, reach))
    return (
        f"Shorten it by {less}, to the {bores} that {name} bores, or {other[0].lower()}{other[1:]}"
    )


def _bar_or_size(
    inch: bool, bars: list[tuple[float, float, str]], bore_mm: float, deep_mm: float, must_be: str
) -> str:
    able = [bar for bar in bars if bar[1] >= deep_mm]
    if able and min(able)[0] > bore_mm:
        least, _, name = min(able)
        if least > bore_mm + max(WIDEN_MM, WIDEN * bore_mm) + _SAME_MM:
            return _slimmer_text(inch, bore_mm, deep_mm)
        return f"Draw it at least ⌀{length_text(least, inch)}, which {name} bores"
    entering = [bar for bar in bars if bar[0] <= bore_mm]
    if not able and entering:
        _, deep, name = max(entering, key=lambda bar: bar[1])
        bores = f"{name} bores {length_text(deep, inch)} deep"
        return f"Relieve it but for what must be {must_be} ({bores})"
    return "Let a boring bar into it" if able else _slimmer_text(inch, bore_mm, deep_mm)


def _slimmer_text(inch: bool, bore_mm: float, deep_mm: float) -> str:
    bore, deep = length_text(bore_mm, inch), length_text(round(deep_mm, 3), inch)
    return f"List a boring bar that goes into ⌀{bore}, {deep} deep"
