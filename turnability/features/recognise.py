"""From a profile to its features: every recogniser found by being there, every segment placed."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from turnability.features import recognisers
from turnability.features.chain import Chain, read_chain
from turnability.features.found import Example, Found
from turnability.features.matching import matched
from turnability.features.model import Feature, FeatureKind, ThreadStatement
from turnability.features.sides import slivers
from turnability.part.model import Departure, HelicalThread, Parameter, Profile

_MILLED = ("hole", "slot", "keyway", "pocket", "hex", "square", "other")


@dataclass(frozen=True, slots=True)
class Recogniser:
    """One file of `recognisers/`."""

    name: str
    kind: FeatureKind
    rank: int
    find: Callable[[Chain], list[Found]]
    examples: tuple[Example, ...]


@cache
def all_recognisers() -> tuple[Recogniser, ...]:
    """Every recogniser by rank. Raises AttributeError for a file that lacks a part."""
    found = []
    for module_info in pkgutil.iter_modules(recognisers.__path__):
        module = importlib.import_module(f"{recognisers.__name__}.{module_info.name}")
        found.append(
            Recogniser(module_info.name, module.KIND, module.RANK, module.find, module.EXAMPLES)
        )
    return tuple(sorted(found, key=lambda recogniser: (recogniser.rank, recogniser.name)))


def recognise(
    profile: Profile,
    threads: tuple[HelicalThread, ...] = (),
    statements: tuple[ThreadStatement, ...] = (),
    departures: tuple[Departure, ...] = (),
) -> tuple[Feature, ...]:
    """All features of a profile, numbered F1, F2... by z, then by diameter.

    Every segment but those on the axis is in the `segments` of exactly one feature. A hollow
    (groove, recess) has its walls and floor; the finishes of its corners, lips included, and the
    hollows nested in it are features of their own that name it as parent, as a bore's floor, drill
    point and recesses name the bore. `threads` are those modelled in the solid; one that is cut
    into a longer surface owns no segment and names that surface's feature as parent. `statements`
    are threads that intent or file state, `departures` tell of knurls, and of what was milled where
    nothing turned is left (`left_by`: a slot across the axis leaves a bore in every section).
    Lengths in mm, angles in degrees.
    """
    chain = read_chain(profile, threads, statements, departures)
    found: list[Found] = []
    for recogniser in all_recognisers():
        for one in recogniser.find(chain):
            owns = tuple(name for name in one.owns if name not in chain.taken)
            if not owns and one.within is None and (one.owns or not one.holds):
                continue
            threaded = chain.threaded | set(owns if one.kind == "thread" else ())
            chain = replace(chain, taken=chain.taken | set(owns), threaded=threaded)
            found.append(replace(one, owns=owns))
    return _numbered(profile, matched(chain, _with_slivers(profile, found)), departures)


def _with_slivers(profile: Profile, found: Sequence[Found]) -> list[Found]:
    """Slivers with the feature that the outline comes from, or goes on to."""
    segments = profile.outline.segments
    left_out = slivers(segments)
    owner = {name: i for i, one in enumerate(found) for name in one.owns}
    more: dict[int, tuple[str, ...]] = {}
    for k, segment in enumerate(segments):
        if segment.id not in left_out or segment.id in owner:
            continue
        ring = [*segments[k::-1], *segments[:k:-1]]
        nearest = next((owner[one.id] for one in ring if one.id in owner), None)
        if nearest is not None:
            more[nearest] = (*more.get(nearest, ()), segment.id)
    return [replace(one, owns=(*one.owns, *more.get(i, ()))) for i, one in enumerate(found)]


def _numbered(
    profile: Profile, found: Sequence[Found], departures: Sequence[Departure]
) -> tuple[Feature, ...]:
    faces = {segment.id: segment.faces for segment in profile.segments}
    milled = {face: one.kind for one in departures if one.kind in _MILLED for face in one.faces}
    order = sorted(found, key=_place)
    names = {id(one): f"F{i}" for i, one in enumerate(order, start=1)}
    features = []
    for one in order:
        parent = _parent(one, order)
        features.append(
            Feature(
                id=names[id(one)],
                kind=one.kind,
                surface=one.surface,
                z_mm=_clean(one.z_mm),
                diameter_mm=_clean(one.diameter_mm),
                segments=one.owns,
                faces=tuple(sorted({face for name in one.owns for face in faces[name]})),
                parameters={**one.parameters, **_left_by(one, faces, milled)},
                matches=one.matches,
                parent=names[id(parent)] if parent else None,
                alternative=one.alternative,
            )
        )
    return tuple(features)


def _left_by(
    one: Found, faces: Mapping[str, tuple[int, ...]], milled: Mapping[int, str]
) -> dict[str, Parameter]:
    """Of an inside feature without a turned face: what was milled or drilled there instead."""
    if one.surface != "inner" or one.kind not in ("bore", "recess", "contour", "taper"):
        return {}
    own = {face for name in one.owns for face in faces[name]}
    kinds = {milled.get(face) for face in own}
    (kind,) = kinds if len(kinds) == 1 else (None,)
    return {} if kind is None else {"left_by": kind}


def _clean(span: tuple[float, float]) -> tuple[float, float]:
    """Without the last bits that putting corners back leaves about 0."""
    low, high = (0.0 if abs(value) < 1e-9 else value for value in span)
    return (low, high)


def _place(one: Found) -> tuple[float, ...]:
    return tuple(round(value, 5) for value in (*one.z_mm, *one.diameter_mm))


def _parent(one: Found, found: Sequence[Found]) -> Found | None:
    """The smallest feature that holds all its segments; of equals the narrower one."""
    if one.within is not None:
        return next((other for other in found if one.within in other.owns), None)
    owns = set(one.owns) or one.holds
    holders = [other for other in found if other is not one and owns <= other.holds]
    return min(
        holders,
        key=lambda other: (len(other.holds) + len(other.owns), other.z_mm[1] - other.z_mm[0]),
        default=None,
    )
