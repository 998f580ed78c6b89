"""How a part would be made, as words: stock, setups, what stays uncut."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from turnability.outputs._phrases import range_text, unit
from turnability.rules.speak import cause_text, volume_text
from turnability.setups.surfaces.swept import swept_hollows
from turnability.shop.holding import ON_FACE
from turnability.units import length_text, mass_text, number_text

if TYPE_CHECKING:
    from turnability.reach.model import Left
    from turnability.report import Report
    from turnability.rules.model import Finding
    from turnability.setups.model import HowHeld, Setup
    from turnability.shop.model import HoldingKind
    from turnability.stock.model import Stock, StockPiece

UNCUT_RULES = ("unreached-surface", "recess-behind-small-entry", "hole-between-drills")
"""Rules that say of a region why nothing cuts it."""
_SAYS_INCH = re.compile(r"\d ?(?:in\b|inch|\")|NPS")
_REGIONS_SHOWN = 4
_CORNERS_SHOWN = 6


def told_by(
    causes: Sequence[str], segments: Sequence[str], said: Iterable[tuple[str, Sequence[str], str]]
) -> str | None:
    """The finding that gives another reason for a region than reach's own causes; None: none does.

    `said`: findings as number, segments and message. A finding knows what the part is, as that a
    ring in an end asks for a blade of its own; reach knows which tool came nearest.
    """
    why = cause_text(causes)
    about = [(name, text) for name, at, text in said if set(at) & set(segments)]
    return about[0][0] if about and not any(why in text for _, text in about) else None


def uncut_regions(report: Report) -> list[Left]:
    """What no tool cuts, but for what only a chucking set over is asked for."""
    profile = report.part.profile
    if report.reach is None or profile is None:
        return []
    swept = swept_hollows(profile, report.part.departures)
    swept |= {s.id for s in profile.segments if s.surface == "axis"} if swept else frozenset()
    return [
        left for left in report.reach.left if not left.segments or not swept >= {*left.segments}
    ]


def uncut_text(left: Sequence[Left], inch: bool, findings: Sequence[Finding] = ()) -> str:
    """What no tool cuts: mere corners counted, all else by name, the largest first."""
    rules = (*UNCUT_RULES, "drill-point")
    said = [(f.id, f.where.segments, f.message) for f in findings if f.rule in rules]
    noses = [region for region in left if region.causes == ("nose-radius",)]
    others = sorted((r for r in left if r not in noses), key=lambda r: -r.volume_mm3)
    words = [
        f"{r.id} {volume_text(r.volume_mm3, inch)} "
        f"({told_by(r.own_causes, r.segments, said) or cause_text(r.own_causes)})"
        for r in others[:_REGIONS_SHOWN]
    ]
    if len(others) > _REGIONS_SHOWN:
        words.append(f"{len(others) - _REGIONS_SHOWN} more")
    if noses:
        ids = " ".join(r.id for r in noses[:_CORNERS_SHOWN])
        ids += " …" if len(noses) > _CORNERS_SHOWN else ""
        deep = length_text(max(r.deepest_mm for r in noses), inch)
        words.append(
            f"{len(noses)} by the nose radius alone, up to {deep} from the cut ({ids})"
            if len(noses) > 1
            else f"{ids} by the nose radius alone, {deep} from the cut"
        )
    return "; ".join(words)


def stock_text(piece: StockPiece, inch: bool) -> str:
    """A piece of stock as words."""
    mass = "" if piece.mass_kg is None else f", {mass_text(piece.mass_kg, inch)}"
    name = piece.name if piece.form in piece.name else f"{piece.form} {piece.name}"
    if inch and not _SAYS_INCH.search(name):
        # the shop's name for it is a number of millimetres, or none
        across = "" if piece.form == "hex" else "⌀"
        name += f" ({across}{number_text(piece.across_mm, True)} in)"
    return f"{name}, {number_text(piece.length_mm, inch, 1)} {unit(inch)} a piece{mass}"


def stub_texts(report: Report, piece: StockPiece) -> tuple[str, str]:
    """What of the stock the first chucking takes, and how much of that its jaws grip."""
    grip = report.setups[0].grip if report.setups else None
    gripped = piece.stub_mm
    if grip is not None and grip.kind == "raw bar":
        gripped = min(gripped, grip.length_mm)  # the rest is the jaws' stand-off from the cut
    return (
        f"{number_text(piece.stub_mm, report.inch)} {unit(report.inch)}",
        f"{number_text(gripped, report.inch)} {unit(report.inch)}",
    )


def no_stock_text(stock: Stock, inch: bool) -> str:
    """That no size of the list will do, and which bar is planned with instead."""
    none = "no stock of the shop's list holds the part"
    if stock.wanted_mm is None:
        return none
    bought = f"a bar of at least ⌀{length_text(stock.wanted_mm, inch)}, to be bought"
    return f"{none}: planned from {bought}"


def setup_text(setup: Setup, report: Report) -> str:
    """One setup as words: what is held and how, then the tools in order of use."""
    grip, inch = setup.grip, report.inch
    tools = ", ".join(dict.fromkeys(operation.tool for operation in setup.operations))
    support = "" if setup.support == "none" else f", {setup.support}"
    if setup.bending is not None and setup.bending.followed:
        support += " and follow rest"
    over = f" over {number_text(grip.length_mm, inch, 1)}" if grip.length_mm else ""
    return (
        f"{setup.toward_chuck} end to the chuck, {grip.kind} "
        f"{across_text(setup, report.stock, inch)}{over} {unit(inch)}{in_text(setup)}{support}: "
        f"{tools or 'finishes no surface'}{_hidden(setup, report)}"
    )


def across_text(setup: Setup | HowHeld, stock: Stock | None, inch: bool) -> str:
    """The size that is held: a diameter, of a raw hexagon what is across its flats."""
    grip = setup.grip
    piece = stock.choice if stock is not None else None
    if piece is not None and piece.form == "hex" and grip.kind in ("raw bar", "raw piece"):
        return f"hex {number_text(piece.across_mm, inch)}"
    if grip.across_flats_mm is not None:
        return f"hex {number_text(grip.across_flats_mm, inch)}"
    if setup.holding is not None and setup.holding.kind in ON_FACE:
        return f"{_by_face(setup.holding.kind)} ⌀{number_text(grip.diameter_mm, inch)}"
    side = "inside " if grip.surface == "inner" else ""
    return f"{side}⌀{number_text(grip.diameter_mm, inch)}"


def _by_face(kind: HoldingKind) -> str:
    return "screwed by its bolt circle of" if kind == "bolt-arbor" else "glued by its end face of"


def in_text(setup: Setup) -> str:
    """Which holding it is held in, where the kind of grip does not say so."""
    if setup.holding is None or setup.holding.name == setup.grip.kind:
        return ""
    return f" in {setup.holding.name}"


def _hidden(setup: Setup, report: Report) -> str:
    """Where the grip keeps tools away to the end; what no tool reaches anyway stands as uncut."""
    profile = report.part.profile
    names = {s for left in setup.left if "jaws" in left.causes for s in left.segments}
    if setup.order > 1 and report.reach is not None:
        # what no tool finishes keeps a rim from either chucking, which no grip is to blame for
        names -= {s for left in report.reach.left for s in left.segments}
    spots = [
        point[0]
        for segment in (profile.segments if profile else ())
        if segment.id in names
        for point in (segment.curve.start, segment.curve.end)
    ]
    if not spots:
        return ""
    return f"; the grip hides some of z {range_text((min(spots), max(spots)), report.inch)}"
