"""The parts of one file, made in this very process; `apart.child` calls it elsewhere."""

from __future__ import annotations

import time
import traceback
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from turnability.errors import PartUnreadable
from turnability.part.model import Part
from turnability.part.reading.facts import with_facts
from turnability.part.reading.read import ReadSolid, solids_in
from turnability.units import counted


def parts_in(
    path: str, solid: int | None = None, first: int = 1
) -> Iterator[int | Part | PartUnreadable]:
    """First the number of parts to come in all, then those parts, from the `first` (1-based) on.

    With `solid` (1-based) only that one is made. Solids that repeat one shape, or have it turned
    end for end, are made once. The time of reading the file is shared evenly among its solids.
    Raises PartUnreadable when the file cannot be used or there is no such solid.
    """
    import OCP.STEPControl  # noqa: F401 (loading the kernel is no part of the time of reading)

    from turnability.part.turned_copies import as_copy, turned_copies, with_places

    began = time.perf_counter()
    solids = _remembered(path)
    read_s = (time.perf_counter() - began) / len(solids)
    if solid is not None:
        if not 1 <= solid <= len(solids):
            raise no_such_solid(path, "the file", solid, len(solids))
        solids = solids[solid - 1 : solid]
    yield len(solids)
    made: list[tuple[ReadSolid, Part | PartUnreadable]] = []
    copies: dict[int, tuple[ReadSolid, Part]] = {}
    upright: set[int] = set()
    for number, read in enumerate(solids[first - 1 :], first):
        if isinstance(read, PartUnreadable):
            yield read
            continue
        if read.source.solid in copies:
            other, first_part = copies[read.source.solid]
            yield as_copy(first_part, read, first_part.remarks[len(other.remarks) :])
            continue
        alike = (pair for pair in made if pair[0].shape.IsEqual(read.shape))
        other, twin = next(alike, (read, None))
        if isinstance(twin, Part):
            # Its own place may be told of in its own words; all else is the same.
            learnt = twin.remarks[len(other.remarks) :]
            source = replace(read.source, instances=twin.source.instances)
            yield replace(twin, source=source, remarks=(*read.remarks, *learnt))
            continue
        part = twin or _part(read, read_s)
        if isinstance(part, Part) and read.source.solid not in upright:
            later = (one for one in solids[number:] if isinstance(one, ReadSolid))
            unknown = [one for one in later if one.source.solid not in copies.keys() | upright]
            turned, moved = turned_copies(part, read, unknown)
            upright |= moved
            part = with_places(part, turned)
            copies |= {one.source.solid: (read, part) for one in turned}
        made.append((read, part))
        yield part


_last: dict[str, tuple[ReadSolid | PartUnreadable, ...]] = {}
"""The file read last, for the mesh that may be asked of it next."""


def last_solids(path: str, sha256: str | None) -> tuple[ReadSolid | PartUnreadable, ...]:
    """The solids of a file, not read again where it is the one of that hash, read last."""
    solids = _last.get(path, ())
    if any(isinstance(one, ReadSolid) and one.source.sha256 == sha256 for one in solids):
        return solids
    return _remembered(path)


def _remembered(path: str) -> tuple[ReadSolid | PartUnreadable, ...]:
    _last.clear()
    _last[path] = solids_in(Path(path))
    return _last[path]


def no_such_solid(what: str, holder: str, solid: int, solids: int) -> PartUnreadable:
    """The error for a solid that is asked for and not there; `holder` holds `solids` of them."""
    if solids == 1:
        cause = f"there is no solid {solid}; {holder} holds only one"
        return PartUnreadable(what, cause, "Ask for no solid in particular, or for solid 1")
    cause = f"there is no solid {solid}; {holder} holds {counted(solids, 'solid')}"
    return PartUnreadable(what, cause, f"Ask for one from 1 to {solids}, or for all of them")


def _part(read: ReadSolid, read_s: float) -> Part | PartUnreadable:
    from turnability.part.turned import part_of

    source = read.source
    try:
        part = part_of(read.shape, source, read.step_ids, remarks=read.remarks)
    except MemoryError:
        raise
    except PartUnreadable as error:
        return error
    except Exception as error:  # the kernel's own errors among them; other solids go on
        what = f"{source.path}, solid {source.solid} of {source.solids}"
        if "OutOfMemory" in type(error).__name__:
            raise MemoryError from error
        cause = "its axis or profile could not be found"
        if not type(error).__module__.startswith("OCP"):  # the kernel's say nothing to people
            cause += f" ({type(error).__name__}: {error})"
        unreadable = PartUnreadable(what, cause, "Export the part again, or repair the model")
        unreadable.add_note("".join(traceback.format_exception(error)))
        return unreadable
    part = replace(part, read_s=read_s, doubts=(*read.doubts, *part.doubts))
    return with_facts(part, read.facts)
