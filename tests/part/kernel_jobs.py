"""What tests have the kernel's child process do; called there by name."""

from __future__ import annotations

import os
import signal
import sys
import time
import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from turnability.part.model import Face, Part, Source, Symmetry


def killed_by_segmentation() -> None:
    os.kill(os.getpid(), signal.SIGSEGV)


def killed_outright() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def hangs() -> None:
    time.sleep(600.0)


def ends_itself() -> None:
    os._exit(7)


def wants_memory() -> int:
    return len(bytearray(64 << 30))


def raises() -> None:
    raise ZeroDivisionError("no such thing")


def killed_by_segmentation_over_bodies(*_: object) -> None:
    killed_by_segmentation()


def hangs_over_bodies(*_: object) -> None:
    hangs()


def wants_memory_over_bodies(*_: object) -> int:
    return wants_memory()


def raises_over_bodies(*_: object) -> None:
    raises()


def prints_and_answers() -> int:
    print("printed by Python")
    os.write(1, b"printed by C\n")
    os.system("echo printed by a child")
    return 42


def counts_then_dies(last: int) -> Iterator[int]:
    yield from range(last)
    os.kill(os.getpid(), signal.SIGSEGV)


def process_id() -> int:
    return os.getpid()


def sees(path: str) -> list[tuple[Source, tuple[int | None, ...], tuple[str, ...]] | str]:
    """What is read of a file, without the shapes."""
    from turnability.part.reading.read import ReadSolid, solids_in

    return [
        (s.source, s.step_ids, s.remarks) if isinstance(s, ReadSolid) else str(s)
        for s in solids_in(Path(path))
    ]


def _stand_in(deadly: str | None) -> None:
    """Put a maker of parts in place that only looks at the source, and dies on one product."""

    def part_of(
        shape: Any, source: Source, step_ids: tuple[int | None, ...], remarks: tuple[str, ...] = ()
    ) -> Part:
        if deadly is not None and source.product == deadly:
            os.kill(os.getpid(), signal.SIGSEGV)
        faces = tuple(Face(i, number, "unknown") for i, number in enumerate(step_ids, 1))
        return Part(source, None, Symmetry(0.0, (), "not looked at"), faces, None, (), remarks)

    module = types.ModuleType("turnability.part.turned")
    module.part_of = part_of  # type: ignore[attr-defined]
    sys.modules["turnability.part.turned"] = module


def parts(path: str, solid: int | None, first: int) -> Iterator[Any]:
    from turnability.part.parts import parts_in

    _stand_in(None)
    yield from parts_in(path, solid, first)


def parts_but_a_nut_kills(path: str, solid: int | None, first: int) -> Iterator[Any]:
    from turnability.part.parts import parts_in

    _stand_in("nut")
    yield from parts_in(path, solid, first)
