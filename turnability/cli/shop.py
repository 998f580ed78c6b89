"""The commands `turnability shop check | new | show`: begin, check and draw shop files."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from shlex import quote
from typing import Annotated, TypeAlias

import typer

from turnability.cli.options import Command
from turnability.cli.saying import path_typed
from turnability.whole_files import is_folder, is_no_folder

Run: TypeAlias = Callable[[str, Callable[[], None]], None]
"""Called with what the work is about and the work; exits with its code."""
_FILE = typer.Argument(
    parser=path_typed, metavar="FILE", help="Shop file (TOML). Default: the starter shop."
)


def shop_commands(run: Run, say: Callable[[str], None]) -> typer.Typer:
    """The group of commands; `run` does the work of each, `say` prints what came of it."""
    app = typer.Typer(no_args_is_help=True, help="Begin, check and draw shop files.")

    @app.command("check", cls=Command)
    def check(file: Annotated[Path | None, _FILE] = None) -> None:
        """Say all faults of a shop file at once, with their lines.

        Exit codes: 0 usable; 2 wrong use; 3 not usable.
        """
        run(_named(file), lambda: say(_checked(file)))

    @app.command("new", cls=Command)
    def new(
        file: Annotated[
            Path, typer.Argument(parser=path_typed, metavar="FILE", help="Where to write it.")
        ],
        force: Annotated[
            bool, typer.Option("--force", help="Write over a file that is there already.")
        ] = False,
    ) -> None:
        """Write a shop file to make one's own: the starter shop, with comments.

        Exit codes: 0 written; 2 wrong use; 3 not written.
        """
        run(str(file), lambda: say(_begun(file, force)))

    @app.command("show", cls=Command)
    def show(
        out: Annotated[
            Path,
            typer.Option(parser=path_typed, metavar="DIR", help="Folder for the sheet (HTML)."),
        ],
        file: Annotated[Path | None, _FILE] = None,
    ) -> None:
        """Draw every tool of a shop to scale, with its limits.

        Exit codes: 0 written; 2 wrong use; 3 the shop file or the folder could not be used.
        """
        if is_no_folder(out):
            raise typer.BadParameter(f"{out} is a file. Give a folder to --out")
        run(_named(file), lambda: say(_drawn(file, out)))

    return app


def _named(file: Path | None) -> str:
    return "the starter shop" if file is None else str(file)


def _checked(file: Path | None) -> str:
    from turnability.analysis import shop_of
    from turnability.outputs.shop_sheet.words import shop_lines

    return "\n".join(shop_lines(shop_of(file), _named(file)))


def _begun(file: Path, force: bool) -> str:
    from turnability.errors import OutputUnwritable
    from turnability.shop.load import starter_shop_text
    from turnability.whole_files import refuse_missing_folder, write_whole

    if is_folder(file):
        raise OutputUnwritable(str(file), "is a folder", "Name a file in it, such as shop.toml")
    if not force and os.path.lexists(file):
        raise OutputUnwritable(
            str(file), "is there already", "Choose another name, or say --force to replace it"
        )
    refuse_missing_folder(file)
    # reports name the shop: its own from now on
    name = f"name = {json.dumps(file.stem or 'our shop', ensure_ascii=False)}"
    write_whole(file, starter_shop_text().replace('name = "starter"', name, 1))
    return f"wrote {file}\nEdit it, then look for faults: turnability shop check {quote(str(file))}"


def _drawn(file: Path | None, out: Path) -> str:
    from turnability.analysis import shop_of
    from turnability.outputs.shop_sheet import SUFFIX, write_sheet

    target = out / f"{'starter' if file is None else file.stem}{SUFFIX}"
    write_sheet(shop_of(file), target, _named(file))
    return f"wrote {target}"
