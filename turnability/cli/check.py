"""`turnability check`: each part analysed, told, written."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from turnability.cli.saying import (
    FINE,
    FOUND,
    UNUSABLE,
    WRONG_USE,
    NoRoom,
    complain,
    complain_of_fault,
    path_typed,
    run,
    say,
    shown,
)
from turnability.cli.terminal import print_summary, progress
from turnability.errors import TurnabilityError

if TYPE_CHECKING:
    from rich.console import Console

    from turnability.report import Report
    from turnability.shop.model import Shop


class FailOn(StrEnum):
    """From which level on findings make the exit code 1."""

    ERROR = "error"
    WARNING = "warning"
    NEVER = "never"


_COUNTED: dict[FailOn, tuple[str, ...]] = {
    FailOn.ERROR: ("error",),
    FailOn.WARNING: ("error", "warning"),
    FailOn.NEVER: (),
}


def check(
    parts: Annotated[
        list[Path], typer.Argument(parser=path_typed, metavar="PART.step", help="STEP files.")
    ],
    shop: Annotated[
        Path | None,
        typer.Option(
            parser=path_typed, metavar="FILE", help="Shop file (TOML). Default: the starter shop."
        ),
    ] = None,
    intent: Annotated[
        Path | None,
        typer.Option(
            parser=path_typed,
            metavar="FILE",
            help="Intent file (TOML): material, tolerances, surfaces not to grip … of this one "
            "part. Default: PART.intent.toml beside PART.step, if there is one.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            parser=path_typed,
            metavar="DIR",
            help="Write the JSON report, the drawing (SVG), the annotated STEP and the summary "
            "of each part here. Without it the summary is printed and nothing is written.",
        ),
    ] = None,
    fail_on: Annotated[
        FailOn, typer.Option(help="From which level on findings make the exit code 1.")
    ] = FailOn.ERROR,
    solid: Annotated[
        int | None,
        typer.Option(min=1, metavar="N", help="Only the N-th solid of each file. Default: all."),
    ] = None,
) -> None:
    """Say what a lathe, a grip and the shop's tools can and cannot do with each part.

    Exit codes: 0 nothing at or above --fail-on; 1 findings at or above it; 2 wrong use;
    3 a part, the shop or intent file or the output folder could not be used, or a rule crashed.
    """
    what = str(shop or "the starter shop")
    run(what, lambda: _check(parts, shop, intent, out, fail_on, solid))


def _check(
    files: Sequence[Path],
    shop_file: Path | None,
    intent_file: Path | None,
    out: Path | None,
    fail_on: FailOn,
    solid: int | None,
) -> int:
    from turnability.batch.discover import inputs_among

    files, own = inputs_among(files)
    for file in own:
        complain(
            f"{shown(file)}: passed over, for turnability itself wrote it from another file. "
            "Name it alone to have it analysed"
        )
    _refuse_wrong_use(out, intent_file, len(files))
    if os.environ.get("TURNABILITY_DEBUG"):
        import logging

        logging.basicConfig(level=logging.DEBUG)
    from turnability.analysis import shop_of
    from turnability.outputs._names import stems_for
    from turnability.outputs._whole import make_folder

    if out is not None:
        make_folder(out)
    shop = shop_of(shop_file)
    code = FINE
    with progress(len(files)) as (console, step):
        for file, stem in zip(files, stems_for(files), strict=True):
            step(file.name)
            code = max(
                code,
                _check_one(file, stem, _Asked(shop, intent_file, out, fail_on, solid, console)),
            )
            step(None)
    return code


@dataclass(frozen=True, slots=True)
class _Asked:
    """What holds for every file of one run."""

    shop: Shop
    intent: Path | None
    out: Path | None
    fail_on: FailOn
    solid: int | None
    console: Console | None


def _check_one(file: Path, stem: Path, asked: _Asked) -> int:
    """Analyse one file, say and write what came of it, and what lies there of old; its code."""
    made: list[Path] = []
    try:
        return _analysed(file, stem, asked, made)
    finally:
        if asked.out is not None:
            _tell_earlier(file, stem, asked.out, made)


def _tell_earlier(file: Path, stem: Path, out: Path, made: Sequence[Path]) -> None:
    from turnability.outputs._earlier import earlier_results

    old = earlier_results(out, stem, file, made)
    if old:
        are = "is" if len(old) == 1 else "are"
        names = ", ".join(shown(path.name) for path in old)
        complain(
            f"{shown(file)}: in {shown(old[0].parent)}, {names} {are} from an earlier state of "
            "this file. Nothing was deleted"
        )


def _analysed(file: Path, stem: Path, asked: _Asked, made: list[Path]) -> int:
    """Analyse one file, say and write what came of it (also into `made`); its exit code."""
    from turnability.analysis import analyze_all
    from turnability.outputs import refuse_long_names, write_all

    code = FINE
    said: dict[int, Report] = {}
    try:
        if asked.out is not None:
            refuse_long_names(asked.out, stem)
        for result in analyze_all(file, asked.shop, intent=asked.intent, solid=asked.solid):
            if isinstance(result, TurnabilityError):
                complain(str(result))
                code = UNUSABLE
                continue
            source = result.part.source
            first = said.setdefault(source.repeats or source.solid, result)
            # What repeats a solid word for word is told once; programs get each solid's data.
            again = (
                first is not result
                and first.intent == result.intent
                and first.findings == result.findings
            )
            if not again:
                print_summary(result, asked.console)
            for status in () if again else result.crashed:
                complain(
                    f"{shown(file)}: {status.rule} failed ({status.reason}). "
                    "Please report this as a fault of turnability"
                )
            if asked.out is not None:
                for written in write_all(result, asked.out, stem, data_only=again):
                    made.append(written)
                    say(f"wrote {shown(written)}")
            code = max(code, _code_of(result, asked.fail_on))
    except TurnabilityError as error:
        complain(str(error))
        return UNUSABLE
    except NoRoom:
        raise
    except Exception as fault:
        complain_of_fault(str(file), fault)
        return UNUSABLE
    return code


def _code_of(report: Report, fail_on: FailOn) -> int:
    if report.crashed:
        return UNUSABLE
    counted = _COUNTED[fail_on]
    return FOUND if any(finding.level in counted for finding in report.findings) else FINE


def _refuse_wrong_use(out: Path | None, intent: Path | None, files: int) -> None:
    if intent is not None and files > 1:
        complain(
            f"--intent is for one part, and {files} were given. Put each part's own beside it, as "
            "PART.intent.toml"
        )
        raise typer.Exit(WRONG_USE)
    if out is not None and out.exists() and not out.is_dir():
        complain(f"{out}: this is a file. Give a folder to --out")
        raise typer.Exit(WRONG_USE)
