"""Laws: a profile drawn at random, swept, cut, saved by any exporter's habit, comes back."""

import numpy as np
import pytest
from drawn_truth import distance_to, drawn_curve, faces_by_edge, frame_of, points_along
from random_solids import drawing, write_step

from turnability.half_plane.curves import Arc, Line, Spline
from turnability.part.reading.read import solids_in
from turnability.part.turned import part_of

WITHIN_MM = 1e-3
KINDS = {Line: Line, Arc: Arc, Spline: Spline}


def problems_of(made, path):
    """What is wrong with the part read back, in words; empty where all is right."""
    write_step(made.solid, path, made.unit)
    (read,) = solids_in(path)
    if isinstance(read, Exception):
        return [f"not read: {read}"]
    part = part_of(read.shape, read.source, read.step_ids)
    if part.profile is None:
        return [f"no profile: {part.symmetry.reason}"]
    sign, shift = frame_of(made, part)
    drawn = [drawn_curve(edge, sign, shift) for edge in made.edges]
    segments = part.profile.segments
    wrong = list(part.doubts)
    for segment in segments:
        points = points_along(segment.curve)
        off = float(np.min([distance_to(points, curve) for curve in drawn], axis=0).max())
        if off > WITHIN_MM:
            wrong.append(f"{segment.id} {segment.curve} leaves the drawn profile by {off:.2g} mm")
    owned = faces_by_edge(read.shape, drawn, made, sign, shift)
    for curve, faces in zip(drawn, owned, strict=True):
        points = points_along(curve)
        off = float(np.min([distance_to(points, s.curve) for s in segments], axis=0).max())
        if off > WITHIN_MM:
            wrong.append(f"{type(curve).__name__} {curve.start} {curve.end} missed by {off:.2g} mm")
        if float(points[:, 1].max()) < WITHIN_MM:
            continue
        middle = np.array([curve.at(0.5)])
        nearest = min(segments, key=lambda s: float(distance_to(middle, s.curve)[0]))
        if not isinstance(nearest.curve, KINDS[type(curve)]):
            wrong.append(f"{type(curve).__name__} came back as {type(nearest.curve).__name__}")
        if not faces <= set(nearest.faces):
            wrong.append(f"{nearest.id}: faces {nearest.faces}, not {sorted(faces)}")
    profile = part.profile
    if profile.departures_volume_mm3 is None:
        wrong.append("books unknown")
    else:
        rest = profile.volume_mm3 - profile.departures_volume_mm3 - profile.solid_volume_mm3
        # chords are 0.25 µm true, which on a part of half a millimetre shows
        within = 1e-6 if made.size > 1.0 else 3e-6
        if abs(rest) > within * profile.solid_volume_mm3:
            wrong.append(f"books {rest / profile.solid_volume_mm3:.1e}")
    return wrong


@pytest.mark.parametrize("seed", range(34))
def test_what_was_drawn_comes_back(seed, tmp_path):
    made = drawing(seed)
    if made is None:
        pytest.skip("this draw came to nothing")
    assert not problems_of(made, tmp_path / "part.step"), ", ".join(made.story)
