"""Options that several commands have in common."""

from __future__ import annotations

import math
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeAlias, TypeVar

import typer
from typer.core import TyperArgument, TyperCommand

from turnability.cli.saying import path_typed


class Command(TyperCommand):
    """A command whose help names its arguments as its usage does, without their Python types."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for param in self.params:
            if isinstance(param, TyperArgument):
                vars(param)["display_type_rich"] = lambda ctx: None


class Units(StrEnum):
    """In what people read lengths."""

    MM = "mm"
    INCH = "inch"


def path_option(metavar: str, words: str) -> Any:
    """An option that takes a path."""
    return typer.Option(parser=path_typed, metavar=metavar, help=words)


def number_option(
    kind: type[int] | type[float],
    metavar: str,
    words: str,
    least: float | None = None,
    most: float | None = None,
) -> Any:
    """An option that takes a number, told in our words where it is none or out of bounds."""

    def typed(text: str) -> float:
        whole = kind is int
        try:
            value = kind(text)
        except ValueError:
            value = math.nan
        low = least is not None and value < least
        high = most is not None and value > most
        if math.isfinite(value) and not low and not high:
            return value
        what = "a whole number" if whole else "a number"
        if least is not None and most is not None:
            what += f" from {least:g} to {most:g}"
        elif least is not None:
            what += f" of at least {least:g}"
        raise typer.BadParameter(f'"{text}" cannot be used. Give {what}')

    return typer.Option(parser=typed, metavar=metavar, help=words)


_E = TypeVar("_E", bound=StrEnum)


def choice_option(choices: type[_E], words: str) -> Any:
    """An option that takes one of these words."""
    names = [str(one) for one in choices]

    def typed(text: str) -> _E:
        try:
            return choices(text)
        except ValueError:
            known = f"{', '.join(names[:-1])} or {names[-1]}"
            raise typer.BadParameter(f'"{text}" cannot be used. Give {known}') from None

    return typer.Option(parser=typed, metavar=f"[{'|'.join(names)}]", help=words)


ShopFile: TypeAlias = Annotated[
    Path | None, path_option("FILE", "Shop file (TOML). Default: the starter shop.")
]
SolidNumber: TypeAlias = Annotated[
    int | None, number_option(int, "N", "Only the N-th solid. Default: all.", 1)
]
ToldIn: TypeAlias = Annotated[
    Units | None, choice_option(Units, "In what to tell lengths. Default: the shop's unit.")
]
LIMIT_S = 120.0
TimeLimit: TypeAlias = Annotated[
    float,
    number_option(
        float, "SECONDS", "Longest time for reading a solid, and again for analysing it.", 1.0
    ),
]
