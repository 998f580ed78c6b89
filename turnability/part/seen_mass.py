"""A solid's volume and centre of mass as a few places of its faces tell: near, and soon had."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from turnability.part.kernel_faces import KernelFace
from turnability.part.surface_points import Array, cross, lengths


def seen_mass(faces: Sequence[KernelFace]) -> tuple[float, Array]:
    """Volume in mm3 and centre of mass (3,) by the divergence theorem.

    Each face's places stand for its area, which is known, in proportion to how much of its surface
    lies about them.
    """
    places, vectors = [], []
    for face in faces:
        inner, own = face.inner, face.inner_held
        held = own if own.any() else np.ones(len(own), dtype=bool)
        normal = cross(inner.along_u[held], inner.along_v[held])
        total = float(lengths(normal).sum())
        if total <= 0.0:
            continue
        places.append(inner.points[held])
        vectors.append(normal * ((-1.0 if face.reversed else 1.0) * face.area_mm2 / total))
    p, n = np.concatenate(places), np.concatenate(vectors)
    about = p.mean(axis=0)
    rel = p - about
    cones = (rel * n).sum(axis=1) / 3.0
    volume = float(cones.sum())
    # the centre of each cone between the point and a face lies at three quarters of the way
    centre: Array = about + 0.75 * (rel * cones[:, None]).sum(axis=0) / (volume or 1.0)
    return volume, centre
