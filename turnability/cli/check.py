"""`turnability check`: its options, and what is wrong use of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from difflib import get_close_matches
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from turnability.cli.asked import Wishes
from turnability.cli.options import (
    LIMIT_S,
    ShopFile,
    TimeLimit,
    ToldIn,
    Units,
    choice_option,
    number_option,
    path_option,
)
from turnability.cli.saying import WRONG_USE, complain, path_typed, run, shown
from turnability.outputs import format_names
from turnability.whole_files import is_folder, is_no_folder

STDOUT = Path("-")


class FailOn(StrEnum):
    """From which level on findings make the exit code 1."""

    ERROR = "error"
    WARNING = "warning"
    NEVER = "never"


def check(
    parts: Annotated[
        list[Path], typer.Argument(parser=path_typed, metavar="PART.step", help="STEP files.")
    ],
    shop: ShopFile = None,
    intent: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Intent file (TOML): material, tolerances, surfaces not to grip … of this one "
            "part. Default: PART.intent.toml beside PART.step, if there is one.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        path_option(
            "DIR",
            "Write the JSON report, the page, the drawing, the annotated STEP and the summary "
            "of each part here. Without it the summary is printed and nothing is written.",
        ),
    ] = None,
    formats: Annotated[
        list[str] | None,
        typer.Option(
            "--format",
            metavar="NAME",
            help="Write this to --out as well; may be given several times: "
            f"{', '.join(format_names())}.",
        ),
    ] = None,
    json: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Write the JSON reports of all solids here, one in each line; - prints them, "
            "and nothing else.",
        ),
    ] = None,
    fail_on: Annotated[
        FailOn, choice_option(FailOn, "From which level on findings make the exit code 1.")
    ] = FailOn.ERROR,
    baseline: Annotated[
        Path | None,
        path_option(
            "OLD",
            "Compare with an earlier JSON report, or with those in a folder: findings are "
            "new, unchanged or fixed, and only new ones make the exit code 1.",
        ),
    ] = None,
    project: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Project file (TOML): what rules count as, and findings that may stay. Default: "
            "turnability.toml in the part's folder or above it, up to the repository's root.",
        ),
    ] = None,
    no_project: Annotated[bool, typer.Option("--no-project", help="Use no project file.")] = False,
    solid: Annotated[
        int | None,
        number_option(int, "N", "Only the N-th solid of each file. Default: all.", 1),
    ] = None,
    units: ToldIn = None,
    time_limit: TimeLimit = LIMIT_S,
    quiet: Annotated[
        bool, typer.Option("--quiet", help="Print nothing to stdout but what --json - asks for.")
    ] = False,
) -> None:
    """Say what a lathe, a grip and the shop's tools can and cannot do with each part.

    Exit codes: 0 nothing at or above --fail-on; 1 findings at or above it; 2 wrong use;
    3 a part, the shop, intent, project or earlier file or the output folder could not be used,
    or a rule crashed.
    """
    what = str(shop or "the starter shop")
    wishes = Wishes(
        shop=shop,
        intent=intent,
        out=out,
        formats=tuple(formats or ()),
        json=json,
        fail_on=fail_on.value,
        baseline=baseline,
        project=project,
        no_project=no_project,
        solid=solid,
        inch=None if units is None else units is Units.INCH,
        quiet=quiet,
        time_limit_s=time_limit,
    )

    def work() -> int:
        files = _inputs(parts)
        _refuse_wrong_use(wishes, files)
        _wake_the_children()
        from turnability.cli.analysed import check_all

        return check_all(files, wishes)

    run(what, work)


def _wake_the_children() -> None:
    """Let child processes load kernel and stages while this one reads the shop and the rest."""
    from turnability.errors import TurnabilityError
    from turnability.part.apart.child import shared_kernel

    with suppress(TurnabilityError):  # told when a part is read
        shared_kernel().start()
        from turnability.analysis.apart import start

        start()


def _inputs(parts: Sequence[Path]) -> list[Path]:
    """The files to analyse, those that were written here passed over and told."""
    from turnability.batch.discover import inputs_among

    files, own = inputs_among(parts)
    for file in own:
        complain(
            f"{shown(file)}: passed over, for turnability itself wrote it from another file. "
            "Name it alone to have it analysed"
        )
    return files


def _refuse_wrong_use(wishes: Wishes, files: Sequence[Path]) -> None:
    """Say what cannot be meant, and end with exit code 2, before anything is read."""
    for wrong in _wrong(wishes, len(files)):
        complain(wrong)
        raise typer.Exit(WRONG_USE)


def _wrong(wishes: Wishes, files: int) -> Iterator[str]:
    if wishes.intent is not None and files > 1:
        yield (
            f"--intent is for one part, and {files} were given. Put each part's own beside it, as "
            "PART.intent.toml"
        )
    if wishes.baseline is not None and files > 1 and not is_folder(wishes.baseline):
        yield (
            f"--baseline {shown(wishes.baseline)} is for one part, and {files} were given. Name "
            "the folder that holds the earlier reports of them all"
        )
    if wishes.out is not None and is_no_folder(wishes.out):
        yield f"{shown(wishes.out)}: this is a file. Give a folder to --out"
    if wishes.json is not None and wishes.json != STDOUT and is_folder(wishes.json):
        yield f"{shown(wishes.json)}: this is a folder. Give a file, or -, to --json"
    if wishes.project is not None and wishes.no_project:
        yield "--project and --no-project contradict each other. Keep one of the two"
    known = format_names()
    for name in wishes.formats:
        if name not in known:
            close = get_close_matches(name, known, n=1)
            meant = f"Did you mean {close[0]}?" if close else f"It may be {', '.join(known)}"
            yield f"--format {shown(name)}: there is no such format. {meant}"
    if wishes.formats and wishes.out is None:
        yield "--format says what to write, and not where. Give a folder to --out as well"
