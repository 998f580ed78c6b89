"""Laws of beams that hold for every shape: what is held better never bends more."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.setups.bending.beam import (
    Beams,
    Bed,
    Spring,
    Support,
    _held,
    _stiffness,
    critical_speeds_rad_per_s,
    pinned,
    round_beams,
    solve,
)
from turnability.setups.bending.give import give_at

E = 210_000.0


def lowest_rad_per_s(beam: Beams, supports: list[Support]) -> float:
    return float(critical_speeds_rad_per_s(beam, supports)[0])


NODES = np.linspace(0.0, 100.0, 41)
shapes = st.tuples(
    st.lists(st.tuples(st.floats(6.0, 60.0), st.floats(0.0, 0.9)), min_size=40, max_size=40)
)
grips = st.tuples(st.floats(0.0, 20.0), st.floats(20.5, 40.0))
TIGHT = 1.0 + 1e-7


def stepped(drawn: tuple[list[tuple[float, float]]]) -> Beams:
    outer = np.array([d for d, _ in drawn[0]])
    return round_beams(
        NODES, outer, outer * np.array([share for _, share in drawn[0]]), e=E,
        density_kg_per_mm3=7.85e-6,
    )  # fmt: skip


def bent(beam: Beams, supports: list[Support], node: int) -> float:
    return float(give_at(beam, supports, [node])[0])


@given(shapes, grips, st.floats(0.0, 10.0), st.floats(0.0, 10.0), st.integers(16, 40))
def test_a_longer_grip_never_bends_more(
    drawn: tuple[list[tuple[float, float]]],
    grip: tuple[float, float],
    behind: float,
    before: float,
    node: int,
) -> None:
    beam = stepped(drawn)
    short = bent(beam, [Bed(*grip, 2e5)], node)
    longer = bent(beam, [Bed(grip[0] - behind, grip[1] + before, 2e5)], node)
    assert longer <= short * TIGHT


@given(shapes, grips, st.floats(1.0, 1e7), st.integers(16, 40), st.integers(17, 40))
def test_a_tailstock_or_a_steady_never_worsens(
    drawn: tuple[list[tuple[float, float]]],
    grip: tuple[float, float],
    stiffness: float,
    node: int,
    at: int,
) -> None:
    beam = stepped(drawn)
    free: list[Support] = [Bed(*grip, 2e5)]
    helped = [*free, Spring(float(NODES[at]), stiffness)]
    assert bent(beam, helped, node) <= bent(beam, free, node) * TIGHT
    assert lowest_rad_per_s(beam, helped) * TIGHT >= lowest_rad_per_s(beam, free)


@given(shapes, st.integers(0, 39), st.floats(1.0, 3.0), st.integers(16, 40))
def test_more_material_anywhere_never_bends_more(
    drawn: tuple[list[tuple[float, float]]], at: int, more: float, node: int
) -> None:
    thick = [list(pair) for pair in drawn[0]]
    d, share = thick[at]
    thick[at] = [more * d, share / more]  # the bore stays, the outside grows
    held: list[Support] = [Bed(0.0, 30.0, 2e5)]
    stouter = stepped(([(a, b) for a, b in thick],))
    assert bent(stouter, held, node) <= bent(stepped(drawn), held, node) * TIGHT


@given(shapes, st.integers(16, 40), st.integers(16, 40))
def test_a_load_here_moves_there_as_a_load_there_moves_here(
    drawn: tuple[list[tuple[float, float]]], here: int, there: int
) -> None:
    """Maxwell's law of reciprocal deflections."""
    beam, held = stepped(drawn), [Bed(0.0, 30.0, 2e5), Spring(100.0, 3e4)]
    loads = np.zeros((1, 41, 2))
    loads[0, here, 0] = 1.0
    one = solve(beam, held, loads)[0, there, 0]
    loads[:] = 0.0
    loads[0, there, 0] = 1.0
    other = solve(beam, held, loads)[0, here, 0]
    assert one == pytest.approx(other, rel=1e-6, abs=1e-12)


@given(st.integers(1, 150), st.floats(0.05, 0.95), st.floats(0.0, 0.9))
def test_a_finer_mesh_changes_nothing(parts: int, place: float, bore: float) -> None:
    length, at = 300.0, 300.0 * place
    even = [n for n in np.linspace(0.0, length, parts + 1) if abs(n - at) > 0.02]
    nodes = sorted({0.0, *even, at, length})  # elements of nearly no length lose their digits
    fine = round_beams(nodes, [20.0] * (len(nodes) - 1), [20.0 * bore] * (len(nodes) - 1), e=E)
    coarse = round_beams([0.0, at, length], [20.0] * 2, [20.0 * bore] * 2, e=E)
    held: list[Support] = [Spring(0.0, 1e5, 1e8), pinned(length)]
    assert bent(fine, held, nodes.index(at)) == pytest.approx(bent(coarse, held, 1), rel=1e-6)


def test_many_beams_at_once_are_each_their_own() -> None:
    outer = np.array([[20.0] * 10, [12.0] * 10, [20.0] * 5 + [10.0] * 5])
    nodes = np.linspace(0.0, 80.0, 11)
    held: list[Support] = [Bed(0.0, 16.0, 2e5)]
    together = give_at(round_beams(nodes, outer, 0.0 * outer, e=E), held, [10, 7, 9])
    for row, node, one in zip(outer, (10, 7, 9), together, strict=True):
        assert one == pytest.approx(
            bent(round_beams(nodes, row, 0.0 * row, e=E), held, node), rel=1e-12
        )


@pytest.mark.parametrize(
    ("nodes", "outer", "inner"),
    [
        ([0.0, 0.0], [10.0], [0.0]),
        ([0.0, 5.0], [10.0], [10.0]),
        ([0.0, 5.0], [10.0], [-1.0]),
        ([0.0, 5.0, 9.0], [10.0], [0.0]),
    ],
)
def test_what_is_no_beam_is_refused(
    nodes: list[float], outer: list[float], inner: list[float]
) -> None:
    with pytest.raises(ValueError, match=r"nodes run upwards|needs an outer"):
        round_beams(nodes, outer, inner, e=E)


@given(st.integers(2, 40), grips)
def test_solutions_are_those_of_the_whole_matrix(count: int, grip: tuple[float, float]) -> None:
    """Beams of any number of elements, against numpy's dense solver."""
    nodes = np.linspace(0.0, 100.0, count + 1)
    outer = np.linspace(12.0, 30.0, 2 * count).reshape(2, count)
    beams = round_beams(nodes, outer, 0.3 * outer, e=E, poisson=0.3, density_kg_per_mm3=7.85e-6)
    supports: list[Support] = [Bed(*grip, 5e4), Spring(100.0, across=math.inf)]
    loads = np.random.default_rng(count).normal(size=(2, count + 1, 2))
    diagonal, beside, fixed = _held(beams, supports, *_stiffness(beams))
    found = solve(beams, supports, loads)
    for k in range(2):
        whole = np.zeros((count + 1, 2, count + 1, 2))
        for i in range(count + 1):
            whole[i, :, i, :] = diagonal[k, i]
        for i in range(count):
            whole[i, :, i + 1, :] = beside[k, i]
            whole[i + 1, :, i, :] = beside[k, i].T
        size = 2 * (count + 1)
        right = np.where(fixed[k], 0.0, loads[k]).reshape(size)
        dense = np.linalg.solve(whole.reshape(size, size), right).reshape(count + 1, 2)
        assert np.abs(found[k] - dense).max() <= 1e-9 * np.abs(dense).max()


@given(shapes, grips, st.sampled_from([None, 60.0, 100.0]), st.integers(0, 40))
def test_what_stands_out_gives_as_the_elements_say(
    drawn: tuple[list[tuple[float, float]]],
    grip: tuple[float, float],
    carried: float | None,
    node: int,
) -> None:
    """Mohr's integrals beyond a grip, with and without a spring, against all finite elements."""
    beam, held = stepped(drawn), [Bed(*grip, 2e5)]
    supports = [*held, *([] if carried is None else [Spring(carried, 3e4)])]
    loads = np.zeros((1, 41, 2))
    loads[0, node, 0] = 1.0
    whole = solve(beam, supports, loads)[0, node, 0]
    assert bent(beam, supports, node) == pytest.approx(whole, rel=1e-7)


def test_the_work_is_what_a_pass_leaves_up_to_it_and_what_it_finds_beyond() -> None:
    outer = np.array([[20.0] * 10, [30.0] * 10])
    cut, raw = (round_beams(np.linspace(0.0, 80.0, 11), row, 0.0 * row, e=E) for row in outer)
    met = cut.of(np.array([0, 0])).met_by(raw.of(np.array([0, 0])), np.array([16.0, 80.0]))
    thin, thick = cut.bending[0, 0], raw.bending[0, 0]
    assert met.bending.tolist() == [[thin] * 2 + [thick] * 8, [thin] * 10]
