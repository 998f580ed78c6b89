"""What is said of a shop and its tools, in the unit of its file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from turnability.shop.limits import LIMIT_WORDS, doubt_of, doubts
from turnability.shop.model import Holding, Machine, Shop, Tool
from turnability.units import length_text, number_text

_COMES = {
    "outer": "from outside",
    "inner": "into a bore",
    "end": "from the end",
}
_ROUND = ("min_bore_mm", "major_mm", "tap_drill_mm", "least_hole_mm")
_HANDS = {"right": "right hand", "left": "left hand", "neutral": "neutral"}


def kind_title(kind: str) -> str:
    """A kind's name as a heading."""
    return kind.replace("-", " ").capitalize()


def comes(tool: Tool) -> str:
    """Where it comes from and which way it feeds."""
    if tool.on_axis:
        return "along the axis"
    hand = "" if tool.access != "outer" else f", {_HANDS[tool.hand]}"
    return _COMES[tool.access] + hand


def limit_rows(tool: Tool, inch: bool) -> Iterator[tuple[str, str, str | None]]:
    """Each limit's words and value, and why the value is in doubt (None where it is not)."""
    limits = dict(tool.limits)
    if "corner_radius_mm" in limits:
        limits.pop("nose_radius_mm", None)  # the same thing, told once
    for name, value in limits.items():
        source = tool.sources.get(name)
        doubt = doubt_of(source) if source is not None and not source.verified else None
        yield LIMIT_WORDS.get(name, name), value_text(name, value, inch), doubt


def value_text(name: str, value: float, inch: bool) -> str:
    """A limit with its unit, which its key carries."""
    if name.endswith("_deg"):
        return f"{value:g}°"
    round_ = "diameter" in name or name.startswith("first_cut") or name in _ROUND
    mark = "⌀" if round_ else ""
    if name.endswith("_mm"):
        return mark + length_text(value, inch)
    return f"{value:g}"


def doubtful(tool: Tool, limit: str) -> bool:
    """Does this limit stem from a table that nobody has verified?"""
    source = tool.sources.get(limit)
    return source is not None and not source.verified


def remarks(tool: Tool) -> tuple[str, ...]:
    """The tool's notes beside those on doubtful limits."""
    told = set(doubts(tool.sources))
    return tuple(note for note in tool.notes if note not in told)


def holding_text(holding: Holding, inch: bool) -> str:
    """What a chuck or a collet set grips."""
    parts = []
    for side, span in (("outside", holding.outside_mm), ("inside", holding.inside_mm)):
        if span is not None:
            low, high = (number_text(value, inch) for value in span)
            parts.append(f"{side} ⌀{low} to {high} {'in' if inch else 'mm'}")
    least = f"land of at least {length_text(holding.least_grip_mm, inch)}"
    if holding.least_grip_per_diameter > 0.0:
        least += f" and {holding.least_grip_per_diameter:g} × the diameter"
    parts.append(least)
    if holding.jaw_length_mm is not None:
        parts.append(f"jaws {length_text(holding.jaw_length_mm, inch)} long")
    if holding.runout is not None:
        parts.append(f"run-out {length_text(holding.runout.value, inch)}")
    return ", ".join(parts)


def machine_text(machine: Machine, inch: bool) -> str:
    """What a lathe takes, as far as the file says."""
    lengths: Mapping[str, float | None] = {
        "swing": machine.swing_mm,
        "over cross slide": machine.swing_over_cross_slide_mm,
        "between centres": machine.between_centres_mm,
        "spindle bore": machine.spindle_bore_mm,
        "bar capacity": machine.bar_capacity_mm,
        "topslide": machine.topslide_travel_mm,
    }
    parts: list[str] = ["manual" if machine.control == "manual" else "CNC"]
    parts += [f"{what} {length_text(v, inch)}" for what, v in lengths.items() if v is not None]
    if machine.max_rpm is not None:
        parts.append(f"{machine.max_rpm:g} rpm")
    if machine.power_kw is not None:
        parts.append(f"{machine.power_kw:g} kW")
    parts += ["tailstock"] * machine.tailstock + ["steady"] * machine.steady
    parts += ["follow rest"] * machine.follow_rest
    return ", ".join(parts)


def shop_lines(shop: Shop, source: str) -> list[str]:
    """A sound shop file in a few lines: what it names, what it does not, what is in doubt."""
    tools = (*shop.tools, *shop.thread_tools)
    counts = Counter(tool.kind for tool in tools)
    kinds = ", ".join(f"{count} {kind}" for kind, count in counts.items())
    lines = [
        f'{source}: usable. Shop "{shop.name}"',
        f"  {_count(len(tools), 'tool')}: {kinds}",
    ]
    for names, what, without in (
        ([h.name for h in shop.holdings], "chucks and collets", "no grip is judged"),
        ([m.name for m in shop.machines], "lathes", "no size of machine is judged"),
        ([s.name for s in shop.stock], "stock sizes", "no stock is chosen"),
    ):
        if not names:
            lines.append(f"  no {what}: {without}, and parts are undetermined")
        elif len(names) > 4:
            lines.append(f"  {len(names)} {what}")
        else:
            lines.append(f"  {what}: {', '.join(names)}")
    doubted = sum(any(not s.verified for s in tool.sources.values()) for tool in tools)
    if doubted:
        lines.append(
            f"  {_count(doubted, 'tool')} with dimensions from memory or common practice: "
            "`turnability shop show` marks them; your own numbers override them"
        )
    return lines


def _count(number: int, what: str) -> str:
    return f"{number} {what}" + ("" if number == 1 else "s")
