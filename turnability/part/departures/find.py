"""Where the solid lacks material that its turned body has: grouped, named, measured."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Sequence

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.TopoDS import TopoDS_Edge

from turnability.half_plane.curves import Ring
from turnability.part.about import About, moved_curve
from turnability.part.departures.books import Account, close_books
from turnability.part.departures.cut import Claim, Cut, area, r_range, z_range
from turnability.part.departures.groups import make_group
from turnability.part.departures.naming import name_cuts, unnamed
from turnability.part.departures.phases import with_phases
from turnability.part.departures.walls import wall_of, walls_of
from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Departure, Parameter, Profile
from turnability.part.pockets import joined, pocket_volumes

_CLOSED = 1e-9
"""Share of the turned body by which the books may be open with pockets told by themselves."""
_LITTLE = 5e-3
"""Or share of the least pocket: the rest may be known no better, and what is no pocket would be
amiss by much of itself."""

_Edges = Sequence[tuple[TopoDS_Edge, tuple[int, ...]]]


def find_departures(found: About, profile: Profile) -> tuple[Departure, ...]:
    """All departures of a solid about its axis from its turned body, in order of z, then r.

    Turned faces that do not bound that body are departures' faces like those that do not turn.
    Where the books know the volume of several departures only together, the largest of them has it
    and the others say `volume_counted_in` which one that is.
    """
    faces, edges, z_low_mm = found.faces, found.edges, found.z_low
    bounding = {i for segment in profile.segments for i in segment.faces}
    on_body = bounding & found.body.turned_faces
    off_body = [face for face in faces if face.index not in on_body]
    if not off_body:
        return ()
    groups = joined(off_body, edges)
    accounts = _with_pockets(groups, found, profile, on_body, bounding)
    cuts = _cuts(accounts, faces, edges, on_body)
    try:
        claims = with_phases(name_cuts(cuts))
    except Exception as error:  # the kernel's own among them: a name is not worth the part
        claims = unnamed(cuts, f"{type(error).__name__}: {error}")
    sealed = _sealed(faces, edges)
    return _departures(sorted(claims, key=_place), accounts, z_low_mm, sealed)


def _with_pockets(
    groups: Sequence[Sequence[KernelFace]],
    found: About,
    profile: Profile,
    on_body: Collection[int],
    bounding: Collection[int],
) -> list[Account]:
    """What groups remove: pockets by themselves, where the books close so; all else on circles."""
    body_mm3 = profile.volume_mm3
    size_mm = body_mm3 ** (1.0 / 3.0)
    told = found.body.pockets
    held = [
        None if any(face.index in bounding for face in group) else volume
        for group, volume in zip(
            groups,
            pocket_volumes(groups, found.faces, found.edges, on_body, size_mm, told),
            strict=True,
        )
    ]
    known = [volume for volume in held if volume is not None]
    if not known or profile.solid_volume_mm3 is None:
        return _accounts(groups, found, profile)
    rest = [group for group, volume in zip(groups, held, strict=True) if volume is None]
    made = _accounts(rest, found, profile) if rest else []
    volumes = [account.volume_mm3 for account in made]
    off = body_mm3 - profile.solid_volume_mm3
    off = abs(off - math.fsum([*known, *(v for v in volumes if v is not None)]))
    if None in volumes or off > max(_CLOSED * body_mm3, _LITTLE * min(known)):
        return _accounts(groups, found, profile)
    made += [
        Account((tuple(group),), volume)
        for group, volume in zip(groups, held, strict=True)
        if volume is not None
    ]
    order = {group[0].index: k for k, group in enumerate(groups)}
    return sorted(made, key=lambda account: order[account.groups[0][0].index])


def _accounts(
    groups: Sequence[Sequence[KernelFace]], found: About, profile: Profile
) -> list[Account]:
    """The same of any groups, from the angles that are missing on circles round the axis."""
    rings: list[Ring] = [
        tuple(moved_curve(curve, found.z_low) for curve in loop.ring) for loop in profile.loops
    ]
    made = [make_group(members) for members in groups]
    body = found.body
    return close_books(found.solid, made, body.turned_curves, body.touches, rings)


def _cuts(
    accounts: Sequence[Account],
    faces: Sequence[KernelFace],
    edges: _Edges,
    on_body: Collection[int],
) -> list[Cut]:
    """One cut for each group of the accounts; an account is known by its place."""
    beside: dict[int, set[int]] = defaultdict(set)
    for _, owners in edges:
        for i in owners:
            beside[i].update(k for k in owners if k != i)
    neighbours = {i: frozenset(others) for i, others in beside.items()}
    touched = {
        k
        for account in accounts
        for group in account.groups
        for face in group
        for k in neighbours.get(face.index, ())
    }
    rims = {f.index: wall_of(f) for f in faces if f.index in touched and f.index in on_body}
    return [
        Cut(number, walls_of(group), neighbours, rims)
        for number, account in enumerate(accounts)
        for group in account.groups
    ]


def _place(claim: Claim) -> tuple[float, float, int]:
    first = min(i for wall in claim.walls for i in wall.indices)
    low, high = z_range(claim.walls)
    return (round(low, 6), round(high, 6), first)


def _departures(
    claims: Sequence[Claim],
    accounts: Sequence[Account],
    z_low_mm: float,
    sealed: Collection[int],
) -> tuple[Departure, ...]:
    """Number the claims and share the books' volumes out among them.

    `sealed`: faces of hollows without an opening.
    """
    account_of = {
        face.index: number
        for number, account in enumerate(accounts)
        for group in account.groups
        for face in group
    }
    indices = [tuple(sorted(i for w in claim.walls for i in w.indices)) for claim in claims]
    keeper: dict[int, tuple[float, int]] = {}
    for n, claim in enumerate(claims):
        for number in {account_of[i] for i in indices[n]}:
            keeper[number] = max(keeper.get(number, (0.0, n)), (area(claim.walls), n))
    made = []
    for n, claim in enumerate(claims):
        own = sorted({account_of[i] for i in indices[n]})
        kept = [accounts[number] for number in own if keeper[number][1] == n]
        low, high = z_range(claim.walls)
        parameters: dict[str, Parameter] = {**claim.parameters, "r_mm": r_range(claim.walls)}
        elsewhere = sorted({keeper[number][1] for number in own} - {n})
        if elsewhere:
            key = "volume_partly_counted_in" if kept else "volume_counted_in"
            parameters[key] = ", ".join(f"D{k + 1}" for k in elsewhere)
        if sealed and all(i in sealed for i in indices[n]):
            parameters["sealed"] = True
        made.append(
            Departure(
                f"D{n + 1}",
                claim.kind,
                indices[n],
                _volume(kept),
                (low - z_low_mm, high - z_low_mm),
                parameters,
            )
        )
    return tuple(made)


def _volume(accounts: Sequence[Account]) -> float | None:
    """Sum of the accounts' volumes; None where one is unknown, or there is none."""
    known = [account.volume_mm3 for account in accounts if account.volume_mm3 is not None]
    total = math.fsum(known)
    # less than nothing: the faces wind round the axis in a way that was not seen
    whole = bool(known) and len(known) == len(accounts)
    return total if whole and total >= 0.0 else None


def _sealed(faces: Sequence[KernelFace], edges: _Edges) -> frozenset[int]:
    """Faces that no edges join to the solid's outside: they close hollows within it."""
    shells = joined(faces, edges)
    if len(shells) == 1:
        return frozenset()
    outside = max(shells, key=_extent_mm)
    return frozenset(f.index for shell in shells if shell is not outside for f in shell)


def _extent_mm(shell: Sequence[KernelFace]) -> float:
    box = Bnd_Box()
    for face in shell:
        BRepBndLib.Add_s(face.face, box, False)
    return float(box.SquareExtent())
