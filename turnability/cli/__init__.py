"""The command line: `turnability check | plan | explain | shop | schema`.

Results go to stdout, messages to stderr. Nothing slow is imported before there is work to do.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from turnability import __version__
from turnability.cli.batch import batch
from turnability.cli.check import check
from turnability.cli.explain import explain
from turnability.cli.options import Command
from turnability.cli.plan import plan
from turnability.cli.saying import FINE, UNUSABLE, NoRoom, complain, mute_stdout, run, say
from turnability.cli.shop import shop_commands
from turnability.cli.watch import watch

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Says which round parts a shop's lathes, grips and tools can make, and what to change.",
)


def main() -> None:
    """Entry point of the console script."""
    if sys.stdout is None:  # closed by the caller: answers go nowhere, files are still written
        sys.stdout = Path(os.devnull).open("w")  # noqa: SIM115 (until the end)
    if sys.stderr is None:
        sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115 (until the end)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # ⌀ on a terminal that has no ⌀
    try:
        app()
    except BrokenPipeError:
        mute_stdout()
        sys.exit(FINE)
    except NoRoom as error:
        mute_stdout()
        complain(str(error))
        sys.exit(UNUSABLE)


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"turnability {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version."
        ),
    ] = False,
) -> None:
    pass


@app.command()
def schema() -> None:
    """Print the JSON Schema (2020-12) of the JSON report."""
    from turnability.outputs.json_document import schema_text

    say(schema_text().rstrip("\n"))


app.command(cls=Command)(check)
app.command(cls=Command)(plan)
app.command(cls=Command)(watch)
app.command(cls=Command)(batch)
app.command(cls=Command)(explain)
app.add_typer(shop_commands(run, say), name="shop")
