"""`turnability watch`: a part analysed on each save, and a page in the browser that follows."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from turnability.cli.options import (
    LIMIT_S,
    ShopFile,
    SolidNumber,
    TimeLimit,
    number_option,
    path_option,
)
from turnability.cli.saying import complain, path_typed, run, say, shown
from turnability.cli.terminal import print_summary, progress

if TYPE_CHECKING:
    from turnability.watch.rounds import Round
    from turnability.watch.serve import Shelf


def watch(
    part: Annotated[
        Path,
        typer.Argument(
            parser=path_typed,
            metavar="PART.step|SCRIPT.py",
            help="STEP file, or a script that models the part and hands it to show_object(), or "
            "to a variable `result`, `part` or `assembly`.",
        ),
    ],
    shop: ShopFile = None,
    intent: Annotated[
        Path | None,
        path_option(
            "FILE",
            "Intent file (TOML). Default: PART.intent.toml beside the part, if there is one.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        path_option("DIR", "Write the results here after each save. Default: nowhere that lasts."),
    ] = None,
    solid: SolidNumber = None,
    port: Annotated[
        int,
        number_option(int, "N", "Port on 127.0.0.1 of the page. Default: a free one.", 0, 65535),
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
    script_limit: Annotated[
        float,
        number_option(float, "SECONDS", "Longest time that a script may take.", 0.1),
    ] = LIMIT_S,
    time_limit: TimeLimit = LIMIT_S,
) -> None:
    """Analyse a part on each save, and show it on a page that follows. Ctrl-C ends it.

    Also watched: the shop and intent files, and a script's own modules beside it. The page is
    served to this machine alone. Exit codes: 130 ended by Ctrl-C; 2 wrong use; 3 a file is not
    there, or the page or the results have no place.
    """
    limits = (script_limit, time_limit)
    run(str(part), lambda: _watch(part, shop, intent, out, solid, port, browser, limits))


def _watch(
    part: Path,
    shop: Path | None,
    intent: Path | None,
    out: Path | None,
    solid: int | None,
    port: int,
    browser: bool,
    limits: tuple[float, float],
) -> int | None:
    import tempfile

    from turnability.watch.rounds import Wish, rounds
    from turnability.watch.serve import Server, Shelf
    from turnability.whole_files import make_folder

    with ExitStack() as open_:
        if out is None:
            folder = open_.enter_context(tempfile.TemporaryDirectory(prefix="turnability-watch-"))
            out = Path(folder)
        else:
            make_folder(out)
        shelf = Shelf(part.name)
        wish = Wish(part, out, shop, intent, solid, *limits)
        following = rounds(wish, lambda: shelf.say("busy", "analysing"))
        first = next(following)  # tells of files that are not there before a page is opened
        server = Server(shelf, port)
        open_.callback(server.close)
        _tell(first, shelf)
        say(f"watching {shown(part)}; the page is {server.url} (Ctrl-C ends)")
        if browser:
            _open(server.url)
        for done in following:
            _tell(done, shelf)
    return None


def _tell(done: Round, shelf: Shelf) -> None:
    """One round on the terminal and on the page; what was shown stays where nothing new came."""
    if done.said:
        say("\n".join(shown(line) for line in done.said.splitlines()))
    with progress(1) as (console, _):
        for report in done.reports:
            print_summary(report, console)
    for error in done.errors:
        for line in str(error).splitlines() or [str(error)]:
            complain(shown(line))
    if done.pages:
        titles = [
            f"{report.name} {report.part.source.solid}" if report.part.source.solids > 1
            else report.name
            for report in done.reports
        ]  # fmt: skip
        shelf.put(list(zip(titles, done.pages, strict=True)))
    if done.errors:
        why = str(done.errors[0]).strip()
        ended = why if why.endswith((".", "?", "!")) else f"{why}."
        shelf.say("wrong", f"{ended} Waiting for the next save.")
    else:
        verdicts = dict.fromkeys(report.verdict for report in done.reports)
        shelf.say("fine", f"{shelf.name}: {', '.join(verdicts).replace('-', ' ')}")
    sys.stdout.flush()


def _open(url: str) -> None:
    import webbrowser

    if not webbrowser.open(url):
        complain(f"no browser could be opened. Open {url} yourself")
