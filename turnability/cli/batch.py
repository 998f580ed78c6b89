"""`turnability batch`: all parts of a repository, and what changed since the last run."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from turnability.cli.check import FailOn
from turnability.cli.options import choice_option, number_option, path_option
from turnability.cli.saying import WRONG_USE, complain, path_typed, run, shown
from turnability.whole_files import is_no_folder

if TYPE_CHECKING:
    from turnability.batch.hands import Hands
    from turnability.batch.memory import Memory
    from turnability.batch.run import Outcome, Wish

_LIMIT_S = 120.0
_LIMIT_GB = 4.0


class Log(StrEnum):
    """How the run tells of itself."""

    TEXT = "text"
    JSON = "json"


def batch(
    folder: Annotated[
        Path, typer.Argument(parser=path_typed, metavar="FOLDER", help="Folder of STEP files.")
    ],
    out: Annotated[
        Path | None,
        path_option(
            "SITE",
            "Write a site of pages here, and remember results in it. Without it nothing is "
            "written but the memory, in the user's cache folder.",
        ),
    ] = None,
    shop: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Shop file (TOML). Default: the one that turnability.toml names, else the "
            "starter shop.",
        ),
    ] = None,
    project: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Project file (TOML). Default: turnability.toml in FOLDER or above it, up to "
            "the repository's root.",
        ),
    ] = None,
    ignore: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATTERN", help="Pass over what fits, as in old/**; may be given several times."
        ),
    ] = None,
    jobs: Annotated[
        int | None,
        number_option(
            int, "N", "Parts at a time. Default: one a core, or all that a cluster takes.", 1, 1024
        ),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Have the workers of this Dask scheduler do the work, as tcp://host:8786. Needs "
            "turnability[cluster] here and there.",
        ),
    ] = None,
    time_limit: Annotated[
        float,
        number_option(float, "SECONDS", "Longest time for one step of one solid.", 1.0),
    ] = _LIMIT_S,
    memory_limit: Annotated[
        float, number_option(float, "GB", "Most memory that one part may take.", 0.5)
    ] = _LIMIT_GB,
    fail_on: Annotated[
        FailOn, choice_option(FailOn, "From which level on findings make the exit code 1.")
    ] = FailOn.ERROR,
    name: Annotated[
        str | None, typer.Option(metavar="NAME", help="Name this run, to compare with it later.")
    ] = None,
    since: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Compare with the run of this name, or with the `last`; only findings that are "
            "new since then make the exit code 1. Default: the last, and all count.",
        ),
    ] = None,
    changed_since: Annotated[
        str | None,
        typer.Option(
            metavar="GIT_REF",
            help="Only parts that changed since this branch left GIT_REF, by their file, intent, "
            "shop or project file.",
        ),
    ] = None,
    again: Annotated[
        bool, typer.Option("--again", help="Try again what could not be used before.")
    ] = False,
    log: Annotated[
        Log, choice_option(Log, "json: one JSON object a line, for programs.")
    ] = Log.TEXT,
    quiet: Annotated[
        bool, typer.Option("--quiet", help="Print nothing to stdout but the last lines.")
    ] = False,
) -> None:
    """Analyse every part of a repository, and say what changed since the last run.

    Unchanged parts are not analysed again; a run that was ended goes on where it stopped. Exit
    codes: 0 nothing at or above --fail-on; 1 findings at or above it; 2 wrong use; 3 a part, a
    file or the output could not be used, or a rule crashed; 130 ended by Ctrl-C.
    """
    from_json = log is Log.JSON
    if out is not None and is_no_folder(out):
        complain(f"{shown(out)}: this is a file. Give a folder to --out")
        raise typer.Exit(WRONG_USE)

    def work() -> int:
        from turnability.batch.run import Wish

        wish = Wish(
            folder=folder,
            home=out if out is not None else _cache_for(folder),
            shop=shop,
            project=project,
            ignored=tuple(ignore or ()),
            jobs=jobs,
            cluster=cluster,
            time_limit_s=time_limit,
            memory_limit_bytes=int(memory_limit * (1 << 30)),
            name=name,
            since=since,
            only_new=since is not None,
            fail_on=fail_on.value,
            changed_since=changed_since,
            again=again,
            leave_out=() if out is None else (out,),
        )
        return _work(wish, out, from_json, quiet)

    run(str(folder), work)


def _work(wish: Wish, site: Path | None, as_json: bool, quiet: bool) -> int:
    from turnability.batch.run import run as run_batch
    from turnability.cli.batch_log import exit_code, telling

    with telling(as_json, quiet) as tell:

        def then(outcome: Outcome, memory: Memory, hands: Hands) -> None:
            if site is not None:
                from turnability.batch.site import write_site

                write_site(outcome, memory, hands, site, tell.crib, tell.crib_found)

        outcome = run_batch(wish, tell.step, then)
        tell.end(outcome)
    return exit_code(outcome)


def _cache_for(folder: Path) -> Path:
    """Where the memory of a folder is kept when no site is written."""
    from hashlib import sha256

    cache = os.environ.get("XDG_CACHE_HOME")
    base = Path(cache) if cache else Path.home() / ".cache"
    name = sha256(os.path.realpath(folder).encode("utf-8", "surrogateescape")).hexdigest()[:16]
    return base / "turnability" / f"batch-{name}"
