"""What was worked out about an edge, kept for the next face that it bounds."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import TypeVar, TypeVarTuple

from OCP.TopoDS import TopoDS_Edge

T = TypeVar("T")
Asked = TypeVarTuple("Asked")

_KEPT = 4096
"""Edges kept for each question: those of one solid, but for the largest."""


class _Same:
    """An edge in its place, whichever way it runs."""

    __slots__ = ("edge",)

    def __init__(self, edge: TopoDS_Edge) -> None:
        self.edge = edge

    def __hash__(self) -> int:
        return hash(self.edge)  # of the kernel's own shape and place

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and bool(self.edge.IsSame(other.edge))


def once_per_edge(
    answer: Callable[[TopoDS_Edge, *Asked], T],
) -> Callable[[TopoDS_Edge, *Asked], T]:
    """A function of an edge that does not look at which way it runs, asked once for each edge.

    Its other arguments must be hashable.
    """

    @lru_cache(maxsize=_KEPT)
    def known(same: _Same, /, *args: *Asked) -> T:
        return answer(same.edge, *args)

    @wraps(answer)
    def asked(edge: TopoDS_Edge, /, *args: *Asked) -> T:
        return known(_Same(edge), *args)

    return asked
