"""The mesh of a part's solid, made in the child process, which may die of it."""

from __future__ import annotations

from typing import cast

from turnability.errors import TurnabilityError
from turnability.part.apart.child import Kernel, shared_kernel
from turnability.part.model import Part

TIME_LIMIT_S = 30.0
"""A solid that takes longer is shown without its mesh."""
_GLB = "turnability.part.writing.mesh:glb_in"


def mesh_of(part: Part, kernel: Kernel | None = None) -> bytes | None:
    """The GLB of the file's solid that the part was made from (see `part.writing.mesh`).

    None for shapes that came from no file, for files that are no longer what they were, and where
    the kernel fails: a picture is missing then, nothing else.
    """
    source = part.source
    if source.path is None:
        return None
    try:
        items = (kernel or shared_kernel()).items(
            _GLB,
            source.path,
            source.solid,
            source.sha256,
            part.axis,
            what=source.path,
            time_limit_s=TIME_LIMIT_S,
        )
        return cast("bytes | None", next(iter(list(items)), None))
    except TurnabilityError:
        return None
