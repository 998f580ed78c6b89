"""In which lines of the part's STEP file its faces stand."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.errors import PartUnreadable

if TYPE_CHECKING:
    from turnability.part.model import Source

Lines = tuple[int, int]
"""First and last line, 1-based."""


def step_lines(source: Source, step_ids: Iterable[int | None]) -> dict[int, Lines]:
    """By entity number the lines of each entity; nothing where the file is no longer as it was."""
    wanted = {number for number in step_ids if number is not None}
    if source.path is None or not wanted:
        return {}
    from turnability.part.reading.step_text import read_step_text

    try:
        text = read_step_text(Path(source.path))
    except (PartUnreadable, OSError):
        return {}
    if source.sha256 is not None and text.sha256 != source.sha256:
        return {}
    lines = {}
    for number in sorted(wanted & text.instances.keys()):
        instance = text.instances[number]
        begin = text.text.rfind(f"#{number}", 0, instance.start)
        lines[number] = (text.line(max(begin, 0)), text.line(instance.end))
    return lines
