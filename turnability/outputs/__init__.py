"""One output, one file, each made from the report.

A module of this folder whose name has no leading underscore is an output and holds

- `NAME`, what people call it,
- `SUFFIX`, what its file's name ends in after the part's name,
- `write(report, target)`, which writes that one file whole or raises OutputUnwritable, and says
  whether there was anything to write.

It may hold `write_shape(report, shape, target)` too, which does so for a shape that came from no
file, given the shape itself. It is found by being here. Those in the folder `formats` are written
where somebody asks for them by their module's name.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, cast

if TYPE_CHECKING:
    from turnability.report import Report


class Output(Protocol):
    """What every module of the family offers."""

    NAME: str
    SUFFIX: str

    def write(self, report: Report, target: Path) -> bool:
        """Write the report's output of this kind to `target`; False where there is none."""


def all_outputs() -> tuple[Output, ...]:
    """Every output there is, by file name."""
    names = sorted(
        info.name
        for info in pkgutil.iter_modules(__path__)
        if not info.ispkg and not info.name.startswith("_")
    )
    return tuple(cast(Output, import_module(f"{__name__}.{name}")) for name in names)


def format_names() -> tuple[str, ...]:
    """Names of the outputs that are written on request."""
    from turnability.outputs import formats

    return tuple(
        sorted(i.name for i in pkgutil.iter_modules(formats.__path__) if not i.name.startswith("_"))
    )


def formats_named(names: Iterable[str]) -> tuple[Output, ...]:
    """The outputs of these names, each once. Raises ModuleNotFoundError for others."""
    return tuple(
        cast(Output, import_module(f"{__name__}.formats.{name}")) for name in dict.fromkeys(names)
    )


def write_all(
    report: Report,
    folder: Path,
    stem: Path,
    *,
    formats: Sequence[str] = (),
    data_only: bool = False,
    shape: object = None,
) -> Iterator[Path]:
    """Write every output of one report and say where, of each as soon as it is there.

    `stem` is the part's name below `folder`, perhaps with folders of its own; where the file held
    several solids the solid's number follows it. The JSON comes last, so that its `timings_s`
    can tell what the others took and so that it never stands there without them. `formats` are
    those written on request, after the others. `data_only`: the JSON alone, for a solid whose
    other outputs would repeat another's. `shape`: what a report of a shape from memory is of.
    Raises OutputUnwritable.
    """
    from dataclasses import replace
    from time import perf_counter

    from turnability.whole_files import told

    begin = perf_counter()
    asked = formats_named(formats)
    refuse_long_names(folder, stem.with_name(target_name(report, stem.name, "")), formats)
    for output in sorted((*all_outputs(), *asked), key=_is_data):
        if data_only and not _is_data(output):
            continue
        target = folder / stem.with_name(target_name(report, stem.name, output.SUFFIX))
        spent = {**report.timings_s, "outputs": perf_counter() - begin}
        with told(target):
            written = output.write(replace(report, timings_s=spent), target)
            write_shape = getattr(output, "write_shape", None)
            if not written and shape is not None and write_shape is not None:
                written = write_shape(report, shape, target)
        if written:
            yield target


def refuse_long_names(folder: Path, stem: Path, formats: Sequence[str] = ()) -> None:
    """Raise OutputUnwritable where some result's name would be too long for the file system."""
    from turnability.whole_files import refuse_long_name

    for output in (*all_outputs(), *formats_named(formats)):
        refuse_long_name(folder / stem.with_name(stem.name + output.SUFFIX))


def _is_data(output: Output) -> bool:
    return output.SUFFIX.endswith(".json")


def target_name(report: Report, stem: str, suffix: str) -> str:
    """A file's name: part, solid's number where there are several, suffix."""
    source = report.part.source
    return f"{stem}.{source.solid}{suffix}" if source.solids > 1 else f"{stem}{suffix}"
