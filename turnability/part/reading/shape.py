"""Shapes from memory as solids: of the CAD kernel, or whatever a modelling library wraps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NoReturn

from turnability.errors import PartUnreadable
from turnability.part.model import Source
from turnability.part.reading.read import ReadSolid
from turnability.part.reading.soundness import sound_solid
from turnability.part.reading.topology import faces_of, solids_of_shape

_WHAT = "this shape"
_REMEDY = "Give a solid: a kernel shape, an object that wraps one, or a sequence of them"
_DEPTH = 8


def solids_of(obj: object) -> tuple[ReadSolid, ...]:
    """All solids of an object, placed as they are in it, in mm.

    `obj`: a kernel shape (TopoDS), an object with `wrapped`, one with `vals()` or `toCompound()`
    (workplanes, assemblies), or a sequence of such. Nothing of these libraries is imported.
    Raises PartUnreadable: no solid in it, or a solid that is not sound.
    """
    label = getattr(obj, "label", None)
    product = label.strip() or None if isinstance(label, str) else None
    solids = [solid for shape in _shapes(obj, _DEPTH) for solid in solids_of_shape(shape)]
    if not solids:
        refuse_nothing(obj)
    found = []
    for place, solid in enumerate(solids, 1):
        what = _WHAT if len(solids) == 1 else f"{_WHAT}, solid {place} of {len(solids)}"
        faces = faces_of(solid)
        sound, remarks = sound_solid(solid, what, faces)
        source = Source(
            path=None,
            sha256=None,
            product=product,
            solid=place,
            solids=len(solids),
            length_unit="mm",
            step_schema=None,
            originating_system=None,
        )
        found.append(ReadSolid(sound, source, (None,) * len(faces), remarks))
    return tuple(found)


def refuse_nothing(obj: object) -> NoReturn:
    """Say that an object has no solid. Raises PartUnreadable."""
    raise PartUnreadable(_WHAT, f"there is no solid in it ({type(obj).__name__})", _REMEDY)


def _shapes(obj: Any, depth: int) -> Iterator[Any]:
    """Kernel shapes in an object, however it holds them."""
    from OCP.TopoDS import TopoDS_Shape

    if isinstance(obj, TopoDS_Shape):
        yield obj
        return
    if depth == 0 or obj is None or isinstance(obj, str | bytes | type):
        return
    inner: Iterable[Any]
    if callable(vals := getattr(obj, "vals", None)):
        inner = vals()
    elif callable(compound := getattr(obj, "toCompound", None)):
        inner = (compound(),)
    elif (wrapped := getattr(obj, "wrapped", None)) is not None:
        inner = (wrapped,)
    elif isinstance(obj, Sequence):
        inner = obj
    else:
        return
    for one in inner:
        yield from _shapes(one, depth - 1)
