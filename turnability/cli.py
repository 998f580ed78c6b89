"""The command line: `turnability check PART.step …`, `turnability shop …`, `turnability schema`.

Results go to stdout, messages to stderr. Nothing slow is imported before there is work to do.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from turnability import __version__
from turnability.cli_shop import shop_commands
from turnability.errors import TurnabilityError, printable

if TYPE_CHECKING:
    from rich.console import Console

    from turnability.report import Report
    from turnability.shop.model import Shop

FINE, FOUND, WRONG_USE, UNUSABLE, STOPPED = 0, 1, 2, 3, 130
"""Exit codes of the report contract; 130 is the shell's own for a run stopped by Ctrl-C."""

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Says which round parts a shop's lathes, grips and tools can make, and what to change.",
)


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
        _mute_stdout()
        sys.exit(FINE)
    except _NoRoom as error:
        _mute_stdout()
        _complain(str(error))
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


def _path(text: str) -> Path:
    """A path as it was typed. Whether it can be read is the reader's to say, with exit code 3."""
    if not text:
        raise typer.BadParameter("it is empty (an unset variable?)")
    return Path(text)


@app.command()
def check(
    parts: Annotated[
        list[Path], typer.Argument(parser=_path, metavar="PART.step", help="STEP files.")
    ],
    shop: Annotated[
        Path | None,
        typer.Option(
            parser=_path, metavar="FILE", help="Shop file (TOML). Default: the starter shop."
        ),
    ] = None,
    intent: Annotated[
        Path | None,
        typer.Option(
            parser=_path,
            metavar="FILE",
            help="Intent file (TOML): material, tolerances, surfaces not to grip … of this one "
            "part. Default: PART.intent.toml beside PART.step, if there is one.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            parser=_path,
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
    _run(what, lambda: _check(parts, shop, intent, out, fail_on, solid))


@app.command()
def schema() -> None:
    """Print the JSON Schema (2020-12) of the JSON report."""
    from turnability.outputs.json_document import schema_text

    _say(schema_text().rstrip("\n"))


def _run(what: str, work: Callable[[], int | None]) -> None:
    """Do work on `what` and exit, with the code that it gives or the one for how it failed."""
    try:
        code = work() or FINE
    except (typer.Exit, _NoRoom):
        raise
    except KeyboardInterrupt:
        _complain("stopped; results already written are whole")
        code = STOPPED
    except TurnabilityError as error:
        _complain(str(error))
        code = UNUSABLE
    except Exception as fault:
        _complain_of_fault(what, fault)
        code = UNUSABLE
    raise typer.Exit(code)


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
        _complain(
            f"{_shown(file)}: passed over, for turnability itself wrote it from another file. "
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
    with _progress(len(files)) as (console, step):
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
        names = ", ".join(_shown(path.name) for path in old)
        _complain(
            f"{_shown(file)}: in {_shown(old[0].parent)}, {names} {are} from an earlier state of "
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
                _complain(str(result))
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
                _print_summary(result, asked.console)
            for status in () if again else result.crashed:
                _complain(
                    f"{_shown(file)}: {status.rule} failed ({status.reason}). "
                    "Please report this as a fault of turnability"
                )
            if asked.out is not None:
                for written in write_all(result, asked.out, stem, data_only=again):
                    made.append(written)
                    _say(f"wrote {_shown(written)}")
            code = max(code, _code_of(result, asked.fail_on))
    except TurnabilityError as error:
        _complain(str(error))
        return UNUSABLE
    except _NoRoom:
        raise
    except Exception as fault:
        _complain_of_fault(str(file), fault)
        return UNUSABLE
    return code


def _code_of(report: Report, fail_on: FailOn) -> int:
    if report.crashed:
        return UNUSABLE
    counted = _COUNTED[fail_on]
    return FOUND if any(finding.level in counted for finding in report.findings) else FINE


def _refuse_wrong_use(out: Path | None, intent: Path | None, files: int) -> None:
    if intent is not None and files > 1:
        _complain(
            f"--intent is for one part, and {files} were given. Put each part's own beside it, as "
            "PART.intent.toml"
        )
        raise typer.Exit(WRONG_USE)
    if out is not None and out.exists() and not out.is_dir():
        _complain(f"{out}: this is a file. Give a folder to --out")
        raise typer.Exit(WRONG_USE)


Step: TypeAlias = Callable[[str | None], None]
"""Called with a file's name when work on it begins, with None when it is done."""


@contextmanager
def _progress(files: int) -> Iterator[tuple[Console | None, Step]]:
    """A console where stdout is a terminal, with a bar below it where there are several files."""
    if not sys.stdout.isatty():
        yield None, lambda name: None
        return
    from rich.console import Console

    console = Console(highlight=False)
    if files < 2:
        yield console, lambda name: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, TimeElapsedColumn(), console=console, transient=True) as progress:
        task = progress.add_task("", total=files)

        def step(name: str | None) -> None:
            if name is None:
                progress.advance(task)
            else:
                progress.update(task, description=name.replace("[", r"\["))

        yield console, step


def _print_summary(report: Report, console: Console | None) -> None:
    from turnability.outputs.summary import summary_lines

    if console is None:
        _say("\n".join(str(line) for line in summary_lines(report)))
        return
    from rich.text import Text

    for line in summary_lines(report, min(console.width, 110)):
        console.print(Text.assemble(*((span.text, span.style or "") for span in line.spans)))


def _say(text: str) -> None:
    """To stdout; when its reader has gone, into nothing, so that files still get written."""
    try:
        sys.stdout.write(text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        _mute_stdout()
    except OSError as error:
        raise _NoRoom(f"standard output: {error.strerror}. Send it where there is room") from error


class _NoRoom(Exception):
    """What should be printed cannot be."""


def _mute_stdout() -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _shown(name: Path | str) -> str:
    """A name without what could break a line, move a cursor or change its colours."""
    return printable(str(name))


def _complain(message: str) -> None:
    end = "" if message.endswith((".", "!", "?")) else "."
    sys.stderr.write(f"turnability: {message}{end}\n")


def _complain_of_fault(what: str, fault: Exception) -> None:
    """A fault of the program in one line; the whole of it where TURNABILITY_DEBUG asks for it."""
    if os.environ.get("TURNABILITY_DEBUG"):
        import traceback

        traceback.print_exception(fault)
    _complain(
        f"{_shown(what)}: turnability itself failed ({type(fault).__name__}: {fault}). "
        "Please report it, with the file if you may share it"
    )


app.add_typer(shop_commands(_run, _say), name="shop")

if __name__ == "__main__":
    main()
