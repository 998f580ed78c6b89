"""`turnability plan`: the route sheet of each part, as text or as a page to print."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from turnability.cli.options import (
    LIMIT_S,
    ShopFile,
    SolidNumber,
    TimeLimit,
    ToldIn,
    Units,
    path_option,
)
from turnability.cli.saying import FINE, UNUSABLE, complain, path_typed, run, say, shown
from turnability.cli.terminal import screen_width
from turnability.whole_files import is_no_folder

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.shop.model import Shop


def plan(
    part: Annotated[
        Path, typer.Argument(parser=path_typed, metavar="PART.step", help="STEP file.")
    ],
    shop: ShopFile = None,
    intent: Annotated[
        Path | None,
        path_option("FILE", "Intent file (TOML). Default: PART.intent.toml beside PART.step."),
    ] = None,
    out: Annotated[
        Path | None,
        path_option("DIR", "Write the sheet as a page to print (HTML) here instead of saying it."),
    ] = None,
    solid: SolidNumber = None,
    units: ToldIn = None,
    time_limit: TimeLimit = LIMIT_S,
) -> None:
    """Print the route sheet: stock, setups, tools, values to begin with, what to measure.

    Exit codes: 0 told; 2 wrong use; 3 part, shop, intent or folder could not be used.
    """
    if out is not None and is_no_folder(out):
        raise typer.BadParameter(f"{out} is a file. Give a folder to --out")
    inch = None if units is None else units is Units.INCH
    run(str(part), lambda: _planned(part, shop, intent, out, solid, inch, time_limit))


def _planned(
    part: Path,
    shop_file: Path | None,
    intent: Path | None,
    out: Path | None,
    solid: int | None,
    inch: bool | None,
    time_limit_s: float,
) -> int:
    from turnability.analysis import analyze_all, shop_of
    from turnability.errors import TurnabilityError

    if out is not None:
        from turnability.whole_files import make_folder

        make_folder(out)
    shop = shop_of(shop_file)
    if inch is not None:
        shop = replace(shop, inch=inch)
    code = FINE
    told: dict[int, Report] = {}
    found = analyze_all(part, shop, intent=intent, solid=solid, time_limit_s=time_limit_s)
    for report in found:
        if isinstance(report, TurnabilityError):
            complain(str(report))
            code = UNUSABLE
            continue
        source = report.part.source
        first = told.setdefault(source.repeats or source.solid, report)
        # one sheet names every place of its solid; a page is written of each all the same
        if out is not None or first is report or first.intent != report.intent:
            _tell(report, shop, part, out)
    return code


def _tell(report: Report, shop: Shop, part: Path, out: Path | None) -> None:
    from turnability.outputs import target_name
    from turnability.outputs.route_sheet import SUFFIX, route_text, write_route
    from turnability.shop.material import with_material

    if report.part.profile is None:
        say(f"{shown(report.name)}: {report.verdict}; there is no part to turn, and no plan")
        return
    intent = report.intent
    worked = with_material(
        shop,
        None if intent is None else intent.material,
        None if intent is None else intent.density_kg_per_mm3,
    )
    if out is None:
        say(route_text(report, worked, screen_width()))
        return
    target = out / target_name(report, part.stem, SUFFIX)
    write_route(report, worked, target)
    say(f"wrote {shown(target)}")
