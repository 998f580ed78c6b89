"""What is said of a part's own working out: remarks, and doubts about its profile."""

from __future__ import annotations

import math
from collections.abc import Sequence

from OCP.BRep import BRep_Tool
from OCP.TopoDS import TopoDS_Edge

from turnability.part.kernel_faces import KernelFace
from turnability.part.model import Departure, Profile
from turnability.part.turned_body.meridian import Meridian

OPEN_BOOKS = 1e-6
BOOKS_IN_DOUBT = 5e-3
_BRIDGED_WORTH_SAYING_MM = 1e-4
_FACES_NAMED = 8


def remarks_on(
    body: Meridian,
    faces: Sequence[KernelFace],
    profile: Profile,
    departures: Sequence[Departure],
    by: float,
) -> list[str]:
    """What was bridged or recovered, and how near the books come where they stay open.

    `by`: the solid was worked out enlarged so much.
    """
    found = []
    bridged = body.bridged_mm / by
    if bridged > _BRIDGED_WORTH_SAYING_MM:
        found.append(f"gaps of up to {bridged * 1e3:.2g} µm between faces were bridged")
    error = books_error(profile)
    if error is not None and abs(error) > OPEN_BOOKS:
        found.append(
            f"the books close to {abs(error):.1g} of the volume only; {_why(faces, profile, by)}"
        )
    elif error is None:
        unknown = [d.id for d in departures if d.volume_mm3 is None and not d.counted_elsewhere]
        found.append(
            f"the volume of {', '.join(unknown)} could not be had from its own faces; turned body "
            f"and solid differ by {_missing(profile):.1%}"
        )
    recovered = [f for f in faces if f.recovered_gap_mm is not None]
    widest = max((f.recovered_gap_mm or 0.0 for f in recovered), default=0.0) / by
    if widest > _BRIDGED_WORTH_SAYING_MM:
        found.append(
            f"{len(recovered)} free-form faces were taken as the plane, cylinder, cone, sphere or "
            f"torus that they follow within {widest * 1e3:.2g} µm"
        )
    return found


def doubts_on(
    body: Meridian,
    profile: Profile,
    edges: Sequence[tuple[TopoDS_Edge, tuple[int, ...]]],
    open_z: tuple[float, float] | None,
    by: float,
) -> list[str]:
    """Why the profile is not to be trusted; `by` as for `remarks_on`."""
    found = []
    shared = sorted({i for _, owners in edges if len(owners) > 2 for i in owners})
    if shared:
        found.append(
            f"the solid meets itself along an edge that more than two of its faces share (faces "
            f"{', '.join(map(str, shared[:_FACES_NAMED]))}): no such body can be made, and which "
            "of them belong together is left open"
        )
    if body.stands_out_mm > 0.0:
        found.append(
            f"the solid stands out of the profile by {body.stands_out_mm / by:.2g} mm: there is "
            "more of it than is drawn"
        )
    elif not body.sound:
        found.append("some of the solid's turned faces do not lie on it")
    error = books_error(profile)
    if open_z is not None:
        low, high = (z / by for z in open_z)
        found.append(
            f"from z = {low:.4g} to {high:.4g} mm the solid is not what the profile says of it"
        )
    if error is not None and abs(error) > BOOKS_IN_DOUBT:
        found.append(
            f"turned body less departures differs from the solid's own volume by {abs(error):.1%}"
        )
    return found


def books_error(profile: Profile) -> float | None:
    """Turned body less departures less solid, as a share of the solid; None where unknown."""
    if profile.departures_volume_mm3 is None or not profile.solid_volume_mm3:
        return None
    rest = profile.volume_mm3 - profile.departures_volume_mm3 - profile.solid_volume_mm3
    return rest / profile.solid_volume_mm3


def _missing(profile: Profile) -> float:
    solid = profile.solid_volume_mm3 or 0.0
    return (profile.volume_mm3 - solid) / profile.volume_mm3


def _why(faces: Sequence[KernelFace], profile: Profile, by: float) -> str:
    """What the file's own gaps come to: their width, and that over all faces of the solid.

    A face that is off by the gap everywhere is off by no more volume than gap times area.
    """
    gap = _widest_edge_gap(faces)
    worth = gap * math.fsum(face.area_mm2 for face in faces) / abs(profile.solid_volume_mm3 or 1.0)
    words = f"the file's own edges leave their faces by up to {gap / by * 1e3:.2g} µm"
    if worth < abs(books_error(profile) or 0.0):
        return f"{words}, which over all faces makes {worth:.1g} at most and does not explain it"
    return f"{words}, which over all faces may make up to {worth:.1g}"


def _widest_edge_gap(faces: Sequence[KernelFace]) -> float:
    """Greatest tolerance (mm) within which the kernel found an edge to lie on its faces."""
    return float(max(BRep_Tool.Tolerance_s(edge) for face in faces for edge in face.edges()))
