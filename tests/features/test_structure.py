"""Which feature lies in which, and what the recognisers see of one another."""

from __future__ import annotations

from collections import Counter

import pytest

from turnability.features.chain import read_chain
from turnability.features.drawing import Drawing, drawn, fillet
from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.profile import drawn_profile


def test_finishes_of_a_groove_name_it_lips_included() -> None:
    features = recognise(
        drawn(
            (
                (0, 0), (60, 0), (60, 10), (34.5, 10), (34, 9.5),
                *fillet((34, 10), (34, 7), (30, 7), 0.4),
                *fillet((34, 7), (30, 7), (30, 10), 0.4),
                (30, 9.5), (29.5, 10), (0, 10),
            )
        )
    )  # fmt: skip
    groove = one(features, "groove")
    finishes = [f for f in features if f.kind in ("chamfer", "fillet")]
    assert len(finishes) == 4
    assert {f.parent for f in finishes} == {groove.id}
    assert len(groove.segments) == 3
    assert groove.parent is None


def test_a_chamfer_at_the_end_of_a_pin_has_no_parent() -> None:
    features = recognise(drawn(((0, 0), (20, 0), (20, 4), (19, 5), (0, 5))))
    assert one(features, "chamfer").parent is None


def test_a_groove_in_a_groove_names_it() -> None:
    drawing: Drawing = (
        (0, 0), (60, 0), (60, 10), (36, 10), (36, 7), (33, 7), (33, 6), (31, 6), (31, 7), (28, 7),
        (28, 10), (0, 10),
    )  # fmt: skip
    outer, inner = (f for f in recognise(drawn(drawing)) if f.kind == "groove")
    assert inner.parent == outer.id
    assert outer.parent is None
    assert not set(inner.segments) & set(outer.segments)


def test_what_lies_in_a_bore_names_it() -> None:
    """A stepped blind bore with a recess, a broken mouth, a seat and a drill point."""
    features = recognise(
        drawn(
            (
                (0, 0), (20, 0), (22.403442, 4), (40, 4), (40, 8), (50, 8), (50, 9), (53, 9),
                (53, 8), (59.5, 8), (60, 8.5), (60, 15), (0, 15),
            )
        )
    )  # fmt: skip
    narrow, wide = (f for f in features if f.kind == "bore")
    assert one(features, "drill-point").parent == narrow.id
    assert one(features, "shoulder").parent == wide.id
    assert one(features, "recess").parent == wide.id
    assert one(features, "chamfer").parent == wide.id
    assert wide.z_mm == (40.0, 60.0)


def test_a_recess_in_a_recess_names_it() -> None:
    drawing: Drawing = (
        (0, 8), (10, 8), (10, 11), (20, 11), (20, 13), (24, 13), (24, 11), (40, 11), (40, 8),
        (50, 8), (50, 20), (0, 20),
    )  # fmt: skip
    features = recognise(drawn(drawing))
    outer, inner = (f for f in features if f.kind == "recess")
    assert (inner.parent, outer.parent) == (outer.id, one(features, "bore").id)


def test_a_chamfer_with_rounded_edges_is_measured_sharp() -> None:
    """As an exporter leaves a broken edge that was rounded again."""
    a, b, c, d = (40.0, 0.0), (40.0, 8.0), (38.0, 10.0), (0.0, 10.0)
    features = recognise(drawn(((0, 0), a, *fillet(a, b, c, 0.3), *fillet(b, c, d, 0.3), d)))
    chamfer = one(features, "chamfer")
    assert abs(float(str(chamfer.parameters["size_mm"])) - 2.0) < 1e-9
    assert len([f for f in features if f.kind == "fillet"]) == 2


def test_the_chain_is_sharp_and_keeps_the_ids() -> None:
    chain = read_chain(drawn(((0, 0), (20, 0), (20, 4), (19, 5), (0, 5))))
    assert [side.ids for side in chain.sides] == [("S1",), ("S2",), ("S4",), ("S5",)]
    assert chain.sides[1].curve.end == chain.sides[2].curve.start == (20.0, 5.0)
    assert [side.zone for side in chain.sides] == ["axis", "end", "outer", "end"]


def one(features: tuple[Feature, ...], kind: str) -> Feature:
    (feature,) = (f for f in features if f.kind == kind)
    return feature


def test_slivers_between_surfaces_are_no_features_of_their_own() -> None:
    """A file's rounding left 0.4 µm between a land and its chamfer: it goes with one of them."""
    outline = ((0, 0), (40, 0), (40, 10), (0.9996, 10), (0.9994, 9.9997), (0, 9), (0, 0))
    profile = drawn(outline[:-1])
    features = recognise(profile)
    assert [f.kind for f in features] == ["face", "chamfer", "cylinder", "face"]
    owned = Counter(name for f in features for name in f.segments)
    assert owned == Counter(s.id for s in profile.segments if s.surface != "axis")
    (chamfer,) = (f for f in features if f.kind == "chamfer")
    assert chamfer.parameters["angle_deg"] == pytest.approx(45.0, abs=0.05)


def test_a_groove_whose_walls_belong_to_others_is_still_judged_by_its_lip():
    """A narrow neck in a wider one: its floor is a groove's, both walls are another's."""
    corners = [(0, 0), (11.8044, 0), (11.8044, 3.0385), (9.7402, 3.0385), (9.7402, 1.9035)]
    corners += [(9.5759, 1.7392), (6.3121, 1.7392), (6.0657, 1.9857), (6.0657, 2.5608)]
    corners += [(3.9276, 2.5608), (3.9276, 4.1005), (2.0751, 4.1005), (2.0751, 2.6905)]
    profile = drawn_profile([*corners, (0, 3.5725)])
    features = recognise(profile)
    owned = Counter(name for feature in features for name in feature.segments)
    assert owned == Counter(s.id for s in profile.segments if s.surface != "axis")
