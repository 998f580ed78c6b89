"""Options that several commands have in common."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, TypeAlias

import typer

from turnability.cli.saying import path_typed


class Units(StrEnum):
    """In what people read lengths."""

    MM = "mm"
    INCH = "inch"


def path_option(metavar: str, words: str) -> Any:
    """An option that takes a path."""
    return typer.Option(parser=path_typed, metavar=metavar, help=words)


ShopFile: TypeAlias = Annotated[
    Path | None, path_option("FILE", "Shop file (TOML). Default: the starter shop.")
]
SolidNumber: TypeAlias = Annotated[
    int | None, typer.Option(min=1, metavar="N", help="Only the N-th solid. Default: all.")
]
ToldIn: TypeAlias = Annotated[
    Units | None, typer.Option(help="In what to tell lengths. Default: the shop's unit.")
]
LIMIT_S = 120.0
TimeLimit: TypeAlias = Annotated[
    float,
    typer.Option(
        min=1.0,
        metavar="SECONDS",
        help="Longest time for reading a solid, and again for analysing it.",
    ),
]
