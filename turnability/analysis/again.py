"""Solids of one file that are one part, although they share nothing in it.

Assemblies are often written flat: every bolt anew, where it stands. What follows from a part's
solid alone need be worked out once; each keeps what was read of it itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from turnability.part.model import Part

_SAME = 1e-6
"""By so much lengths (mm), angles (degrees) and shares may differ: the report rounds to it."""
_SAME_SHARE = 1e-9
"""And volumes, by this share of themselves."""


def same_part(one: Part, other: Part) -> bool:
    """Whether all that was learnt from two solids is the same, but for their place in the file.

    Faces by index with role, segments, name, colour and layers; parts without a profile never are.
    """
    if one.profile is None or other.profile is None:
        return False
    return _alike(_plain(one), _plain(other))


def _plain(part: Part) -> Part:
    """A part without what it does not share with its equals."""
    sizes = tuple(replace(size, step_id=None) for size in part.stated.sizes)
    tolerances = tuple(replace(t, step_id=None) for t in part.stated.tolerances)
    datums = tuple(replace(datum, step_id=None) for datum in part.stated.datums)
    return replace(
        part,
        source=replace(part.source, product=None, solid=1, solid_name=None, instances=()),
        axis=None,
        faces=tuple(replace(face, step_id=None) for face in part.faces),
        stated=replace(part.stated, sizes=sizes, tolerances=tolerances, datums=datums),
        read_s=0.0,
        axis_s=0.0,
        profile_s=0.0,
    )


def _alike(one: Any, other: Any) -> bool:
    """Equal, numbers to within rounding, however deep they lie."""
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= max(_SAME, _SAME_SHARE * abs(one))
    if type(one) is not type(other):
        return False
    if isinstance(one, Mapping):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(_alike, one, other))
    if is_dataclass(one):
        own = (field.name for field in fields(one) if field.compare)
        return all(_alike(getattr(one, name), getattr(other, name)) for name in own)
    return bool(one == other)
