"""Bodies beside a part made and written by the kernel in the child process, which may die of it."""

from __future__ import annotations

from pathlib import Path
from typing import cast

from turnability.errors import KernelDied, OutputUnwritable, TurnabilityError
from turnability.part.apart.child import Kernel, Work, shared_kernel
from turnability.part.writing.marks import Bodies

TIME_LIMIT_S = 60.0
_TEXT = "turnability.part.writing.bodies:bodies_text"
_REMEDY = "Do without the bodies; the annotated STEP needs no kernel"
_WRITING = Work(
    died=KernelDied,
    doer="the CAD kernel",
    doing="making them",
    hung=_REMEDY,
    burst=_REMEDY,
    failed=_REMEDY,
)


def bodies_text_apart(
    bodies: Bodies, unit: str, schema: str, target: Path, kernel: Kernel | None = None
) -> str | None:
    """As `writing.bodies.bodies_text`. Raises OutputUnwritable, for `target`, where the child dies,
    hangs, wants too much memory or fails.
    """
    try:
        items = (kernel or shared_kernel()).items(
            _TEXT,
            bodies,
            unit,
            schema,
            what=str(target),
            time_limit_s=TIME_LIMIT_S,
            work=_WRITING,
        )
        return cast("str | None", next(iter(list(items)), None))
    except TurnabilityError as error:
        cause = f"the bodies beside the part could not be made: {error.cause}"
        raise OutputUnwritable(str(target), cause, _REMEDY) from error
