"""Beams, rings, bars and whip against textbook cases and an independent frame package.

Sources beside each check; "beam tables" are the closed forms that every strength-of-materials
table prints.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from turnability.setups.bending.beam import (
    RIGID,
    Beams,
    Bed,
    Spring,
    Support,
    clamped,
    critical_speeds_rad_per_s,
    pinned,
    round_beams,
    shear_coefficient,
    solve,
)
from turnability.setups.bending.boring_bar import deflection_mm
from turnability.setups.bending.give import give_at
from turnability.setups.bending.ring import (
    inward,
    moment_at_load,
    outward,
    squeezed,
)
from turnability.setups.cutting.whip import critical_rpm

STEEL = 7.85e-6


def lowest_rad_per_s(beam: Beams, supports: list[Support]) -> float:
    return float(critical_speeds_rad_per_s(beam, supports)[0])


def unit_beam(nodes: list[float], stiffness: float | list[float] = 1.0) -> Beams:
    """E·I of 1 (or as given for each element), no shear."""
    n = len(nodes) - 1
    ei = np.broadcast_to(np.asarray(stiffness, dtype=float), (1, n))
    return Beams(np.array(nodes), ei, np.full((1, n), math.inf), np.ones((1, n)))


def give(beam: Beams, supports: list[Support], node: int, load: int | None = None) -> float:
    loads = np.zeros((1, len(beam.nodes), 2))
    loads[0, node if load is None else load, 0] = 1.0
    return float(solve(beam, supports, loads)[0, node, 0])


def test_cantilever() -> None:
    """Beam tables: P L³ / (3 E I); steel ⌀25 × 300, 200 N, 210 GPa: 0.4470 mm."""
    beam = round_beams([0.0, 300.0], [25.0], [0.0], e=210_000.0, with_shear=False)
    bent = 200.0 * float(give_at(beam, [clamped(0.0)], 1)[0])
    assert bent == pytest.approx(0.4470, abs=1e-4)
    exact = 200.0 * 300.0**3 / (3.0 * 210_000.0 * math.pi / 64.0 * 25.0**4)
    assert bent == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("a", [0.1, 0.25, 0.5, 2.0 - math.sqrt(2.0), 0.75, 0.9])
def test_chuck_and_centre_with_the_load_anywhere(a: float) -> None:
    """Beam tables, fixed and pinned: a³ (L - a)² (4 L - a) / (12 L³), to 1e-6."""
    bent = give(unit_beam([0.0, a, 1.0]), [clamped(0.0), pinned(1.0)], 1)
    assert bent == pytest.approx(a**3 * (1.0 - a) ** 2 * (4.0 - a) / 12.0, rel=1e-6)


def test_chuck_and_centre_printed_coefficients() -> None:
    """Beam tables: 7/768 under a middle load; 1/(48 √5) at most; 0.0098124 the worst place."""
    held: list[Support] = [clamped(0.0), pinned(1.0)]
    assert give(unit_beam([0.0, 0.5, 1.0]), held, 1) == pytest.approx(0.0091146, abs=1e-7)
    at = 1.0 - 1.0 / math.sqrt(5.0)
    most = unit_beam([0.0, 0.5, at, 1.0])
    assert give(most, held, 2, load=1) == pytest.approx(1.0 / (48.0 * math.sqrt(5.0)), rel=1e-6)
    worst = 2.0 - math.sqrt(2.0)
    assert give(unit_beam([0.0, worst, 1.0]), held, 1) == pytest.approx(0.0098124, abs=1e-7)


def test_between_centres() -> None:
    """Beam tables: 1/48 in the middle, pinned at both ends; 1/192 clamped at both."""
    beam = unit_beam([0.0, 0.5, 1.0])
    assert give(beam, [pinned(0.0), pinned(1.0)], 1) == pytest.approx(1.0 / 48.0, rel=1e-6)
    assert give(beam, [clamped(0.0), clamped(1.0)], 1) == pytest.approx(1.0 / 192.0, rel=1e-6)


FLYWHEEL = {"e": 200_000.0, "i": 0.3e6, "w": 400.0, "l": 1000.0}


def flywheel() -> Beams:
    i = np.array([1.0, 2.0, 2.0, 1.0])
    ei = FLYWHEEL["e"] * FLYWHEEL["i"] * i
    nodes = [0.0, 250.0, 500.0, 750.0, 1000.0]
    return unit_beam(nodes, list(ei))


def test_stepped_shaft() -> None:
    """Machine design textbook, example 9.6: 3 W L³ / (256 E I) = 7.8125e-5 m."""
    beam = flywheel()
    bent = FLYWHEEL["w"] * give(beam, [pinned(0.0), pinned(1000.0)], 2)
    exact = 3.0 * FLYWHEEL["w"] * FLYWHEEL["l"] ** 3 / (256.0 * FLYWHEEL["e"] * FLYWHEEL["i"])
    assert bent == pytest.approx(exact, rel=1e-6)
    assert bent == pytest.approx(7.8125e-2, rel=1e-6)
    # the same example: critical speed from that deflection, √(g/δ) / 2π, 3384 turns a minute
    assert 60.0 / math.tau * math.sqrt(9810.0 / bent) == pytest.approx(3384.0, abs=2.0)


def test_two_gears_on_a_shaft() -> None:
    """Mechanical engineering design textbook 9th ed., example 7-5 (inch units, printed 17.1, 46.1).

    Influence coefficients by the printed formula: d11 2.0608e-4, d22 3.5340e-4, d12 2.2236e-4.
    """
    beam = round_beams([0.0, 7.0, 15.5, 20.0, 31.0], [1.0] * 4, [0.0] * 4, e=30e6, with_shear=False)
    held: list[Support] = [pinned(0.0), pinned(31.0)]
    d11, d22, dcc = (give(beam, held, node) for node in (1, 3, 2))
    assert d11 == pytest.approx(2.0608e-4, abs=2e-8)
    assert d22 == pytest.approx(3.5340e-4, abs=2e-8)
    assert give(beam, held, 1, load=3) == pytest.approx(2.2236e-4, abs=2e-8)
    assert 35.0 * d11 / dcc == pytest.approx(17.1, abs=0.05)
    assert 55.0 * d22 / dcc == pytest.approx(46.1, abs=0.05)
    # the same example: 6 E I l; first critical speed by energy, by the sum of both, and bare
    assert 6.0 * float(beam.bending[0, 0]) * 31.0 == pytest.approx(0.2739e9, rel=4e-4)
    d12 = give(beam, held, 1, load=3)
    weights, sags = (35.0, 55.0), (35.0 * d11 + 55.0 * d12, 35.0 * d12 + 55.0 * d22)
    up = sum(w * y for w, y in zip(weights, sags, strict=True))
    down = sum(w * y**2 for w, y in zip(weights, sags, strict=True))
    assert math.sqrt(386.1 * up / down) == pytest.approx(124.8, abs=0.1)
    assert math.sqrt(386.1 / (35.0 * d11 + 55.0 * d22)) == pytest.approx(120.4, abs=0.1)
    bare = round_beams(
        np.linspace(0.0, 31.0, 20), [1.0] * 19, [0.0] * 19, e=30e6, with_shear=False,
        density_kg_per_mm3=0.282 / 386.1 * 1e3,
    )  # fmt: skip
    assert lowest_rad_per_s(bare, held) == pytest.approx(520.0, abs=1.0)


def test_what_the_supports_of_a_shaft_carry() -> None:
    """The same textbook, example 4-7: 600 lbf at 8 in of 20 in, 360 and 240; ⌀1.5 in, 0.2485 in⁴.

    A support that gives carries its stiffness times what it gives.
    """
    beam = round_beams([0.0, 8.0, 20.0], [1.5] * 2, [0.0] * 2, e=30e6, with_shear=False)
    assert float(beam.bending[0, 0]) / 30e6 == pytest.approx(0.2485, abs=5e-5)
    soft = 1e4
    loads = np.zeros((1, 3, 2))
    loads[0, 1, 0] = 600.0
    sunk = solve(beam, [Spring(0.0, soft), Spring(20.0, soft)], loads)[0, :, 0]
    assert soft * float(sunk[0]) == pytest.approx(360.0, rel=1e-9)
    assert soft * float(sunk[2]) == pytest.approx(240.0, rel=1e-9)


def test_shear_of_a_short_cantilever() -> None:
    """Timoshenko: P L³ / (3 E I) + P L / (κ G A), κ for a solid circle 6 (1 + ν) / (7 + 6 ν)."""
    e, nu, length, d = 210_000.0, 0.3, 30.0, 25.0
    beam = round_beams(np.linspace(0.0, length, 7), [d] * 6, [0.0] * 6, e=e, poisson=nu)
    kappa, area = 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu), math.pi / 4.0 * d**2
    exact = length**3 / (3.0 * e * math.pi / 64.0 * d**4) + length / (
        kappa * e / (2.0 * (1.0 + nu)) * area
    )
    assert float(give_at(beam, [clamped(0.0)], 6)[0]) == pytest.approx(exact, rel=1e-9)


def test_shear_coefficient_runs_from_solid_to_thin_tube() -> None:
    """Cowper's formula (from memory): 0.886 solid, 0.531 for a thin tube at ν 0.3."""
    solid, thin = shear_coefficient(np.array([0.0, 1.0]), 0.3)
    assert solid == pytest.approx(0.8864, abs=1e-4)
    assert thin == pytest.approx(2.0 * 1.3 / (4.0 + 3.0 * 0.3), abs=1e-4)


def test_a_beam_on_a_bed_is_winklers() -> None:
    """Winkler's infinite beam, strength-of-materials tables: P β / (2 k), β = ⁴√(k / (4 E I))."""
    k, ei = 50.0, 2.0e6
    beta = (k / (4.0 * ei)) ** 0.25
    nodes = list(np.linspace(-12.0 / beta, 12.0 / beta, 481))
    bent = give(unit_beam(nodes, ei), [Bed(nodes[0], nodes[-1], k)], 240)
    assert bent == pytest.approx(beta / (2.0 * k), rel=1e-3)


def test_springs_add_what_they_give() -> None:
    """Statics: a clamp on springs adds P/k and P L²/k_tilt at the tip."""
    beam = unit_beam([0.0, 2.0], 10.0)
    bent = give(beam, [Spring(0.0, 5.0, 7.0)], 1)
    assert bent == pytest.approx(8.0 / 30.0 + 1.0 / 5.0 + 4.0 / 7.0, rel=1e-9)


@pytest.mark.parametrize(
    "supports",
    [[], [pinned(0.0)], [Spring(0.0, 5.0)], [Spring(1.0, 0.0, RIGID)]],
    ids=["none", "one centre", "one spring", "no hold across"],
)
def test_what_is_not_held_is_said(supports: list[Support]) -> None:
    beam = unit_beam(list(np.linspace(0.0, 1.0, 9)))
    with pytest.raises(ValueError, match="do not hold"):
        give(beam, supports, 8)
    with pytest.raises(ValueError, match="do not hold"):
        lowest_rad_per_s(beam, supports)


SHAPES = [
    # nodes, outer and inner diameters, how it is held
    ([0, 20, 60, 130], [30, 22, 12], [0, 10, 0], "clamp"),
    ([0, 20, 60, 130], [30, 22, 12], [0, 10, 0], "clamp and centre"),
    ([0, 35, 50, 52, 90, 160, 200], [40, 25, 8, 25, 60, 33], [0, 0, 0, 12, 12, 20], "centres"),
    ([0, 35, 50, 52, 90, 160, 200], [40, 25, 8, 25, 60, 33], [0, 0, 0, 12, 12, 20], "steady"),
]


@pytest.mark.parametrize(("nodes", "outer", "inner", "held"), SHAPES)
def test_an_independent_package_agrees(
    nodes: list[float], outer: list[float], inner: list[float], held: str
) -> None:
    """The frame package anastruct (no shear): stepped hollow beams, every node loaded in turn."""
    import anastruct

    e, last = 210_000.0, len(nodes) - 1
    supports: dict[str, list[Support]] = {
        "clamp": [clamped(0.0)],
        "clamp and centre": [clamped(0.0), pinned(nodes[-1])],
        "centres": [pinned(0.0), pinned(nodes[-1])],
        "steady": [clamped(0.0), pinned(nodes[4]) if last > 4 else pinned(nodes[-1])],
    }
    beam = round_beams(nodes, outer, inner, e=e, with_shear=False)
    for loaded in range(1, last + 1):
        frame = anastruct.SystemElements()
        for i in range(last):
            inertia = math.pi / 64.0 * (outer[i] ** 4 - inner[i] ** 4)
            frame.add_element([[nodes[i], 0.0], [nodes[i + 1], 0.0]], EA=1e12, EI=e * inertia)
        if held == "centres":
            frame.add_support_hinged(1)
            frame.add_support_roll(last + 1)
        else:
            frame.add_support_fixed(1)
        if held == "clamp and centre":
            frame.add_support_roll(last + 1)
        if held == "steady":
            frame.add_support_roll(5)
        frame.point_load(loaded + 1, Fy=-1000.0)
        frame.solve()
        other = np.array([abs(frame.get_node_displacements(i + 1)["uy"]) for i in range(last + 1)])
        loads = np.zeros((1, last + 1, 2))
        loads[0, loaded, 0] = 1000.0
        own = np.abs(solve(beam, supports[held], loads)[0, :, 0])
        assert own == pytest.approx(other, rel=1e-6, abs=1e-9)


def test_ring_in_three_jaws() -> None:
    """Thin-ring theory: 0.0159386 inward, 0.0142568 outward, moment 0.188790."""
    assert inward(3) == pytest.approx(0.0159386, abs=1e-7)
    assert outward(3) == pytest.approx(0.0142568, abs=1e-7)
    assert moment_at_load(3) == pytest.approx(0.188790, abs=1e-6)


def test_a_rings_moment_between_its_jaws() -> None:
    """Thin-ring theory: 0.188790 at the load is 0.099885 midway between, by statics alone.

    There symmetry leaves only the hoop force W / (2 sin 60°), on an arm of R (1 - cos 60°).
    """
    half = math.pi / 3.0
    arm = (1.0 - math.cos(half)) / (2.0 * math.sin(half))
    assert arm - moment_at_load(3) == pytest.approx(0.099885, abs=1e-6)


def test_a_ring_squeezed_by_hand() -> None:
    """1000 N a jaw, mean R 40, wall 5, length 20, 210 GPa: 0.02332 in, 0.02086 out."""
    bent = squeezed(1000.0, 85.0, 75.0, 20.0, 210_000.0)
    assert bent.inward_mm == pytest.approx(0.02332, abs=1e-5)
    assert bent.outward_mm == pytest.approx(0.02086, abs=1e-5)
    assert bent.lobing_mm == pytest.approx(0.04418, abs=1e-5)


@pytest.mark.parametrize("jaws", [2, 3, 4, 6])
def test_a_ring_is_a_closed_frame(jaws: int) -> None:
    """Second derivation: a ring without stretch as a Fourier series in multiples of n.

    w = W R³ n / (π E I) · Σ cos(k n φ) / ((k n)² - 1)² for loads at φ = 0, 2π/n, …
    """
    terms = [1.0 / ((k * jaws) ** 2 - 1.0) ** 2 for k in range(1, 4000)]
    scale = jaws / math.pi
    assert inward(jaws) == pytest.approx(scale * math.fsum(terms), rel=1e-6)
    between = -scale * math.fsum(t * (-1.0) ** (k + 1) for k, t in enumerate(terms))
    assert outward(jaws) == pytest.approx(abs(between), rel=1e-6)


def test_boring_bars() -> None:
    """Trade article on boring-bar deflection (2019): example 1, 0.003 in; example 2, 0.0757 mm."""
    assert deflection_mm(207.84, 4.0, 1.0, 30e6) == pytest.approx(0.00301, abs=5e-5)
    assert deflection_mm(911.1, 101.6, 25.4) == pytest.approx(0.0757, abs=1e-4)


def test_whip_of_a_uniform_bar() -> None:
    """Beam vibration theory, steel ⌀25 × 1 m: 3047 pinned, 1085 overhanging, 4759 chuck, centre."""
    bar = {"e": 210_000.0, "density_kg_per_mm3": STEEL}
    assert critical_rpm(25.0, 1000.0, "pinned", **bar) == pytest.approx(3047.0, abs=2.0)
    assert critical_rpm(25.0, 1000.0, "overhanging", **bar) == pytest.approx(1085.0, abs=2.0)
    assert critical_rpm(25.0, 1000.0, "chuck and centre", **bar) == pytest.approx(4759.0, abs=2.0)


def test_shaft_of_a_course_problem() -> None:
    """Course problem: ⌀25 × 600, 207 GPa, 76 kN/m³: 885.7 rad/s, simply supported."""
    density = 76e3 / 9.81 * 1e-9
    rpm = critical_rpm(25.0, 600.0, "pinned", e=207_000.0, density_kg_per_mm3=density)
    assert rpm * math.tau / 60.0 == pytest.approx(885.7, abs=1.0)


@pytest.mark.parametrize(
    ("supports", "ends"),
    [
        ([pinned(0.0), pinned(1000.0)], "pinned"),
        ([clamped(0.0)], "overhanging"),
        ([clamped(0.0), pinned(1000.0)], "chuck and centre"),
        ([clamped(0.0), clamped(1000.0)], "both clamped"),
    ],
)
@pytest.mark.parametrize("bore", [0.0, 15.0])
def test_whip_of_a_beam_in_elements(supports: list[Support], ends: str, bore: float) -> None:
    beam = round_beams(
        np.linspace(0.0, 1000.0, 25), [25.0] * 24, [bore] * 24,
        e=210_000.0, density_kg_per_mm3=STEEL, with_shear=False,
    )  # fmt: skip
    rpm = 60.0 / math.tau * lowest_rad_per_s(beam, supports)
    exact = critical_rpm(
        25.0, 1000.0, ends, e=210_000.0, density_kg_per_mm3=STEEL, bore_mm=bore  # type: ignore[arg-type]
    )  # fmt: skip
    assert rpm == pytest.approx(exact, rel=1e-5)


def test_whip_of_a_stepped_shaft_lies_between_two_bounds() -> None:
    """Rayleigh's √(g Σ m y / Σ m y²) of the sag lies above the exact speed, and near it;
    Dunkerley's 1/√(Σ m δ), δ the sag under a force of one at the mass, lies below.
    """
    beam = round_beams(
        np.linspace(0.0, 600.0, 31), [20.0] * 10 + [35.0] * 10 + [16.0] * 10, [0.0] * 30,
        e=210_000.0, density_kg_per_mm3=STEEL, with_shear=False,
    )  # fmt: skip
    held: list[Support] = [pinned(0.0), pinned(600.0)]
    weight = np.zeros((1, 31, 2))
    masses = beam.mass[0] * beam.lengths
    weight[0, :-1, 0] += 0.5 * 9810.0 * masses
    weight[0, 1:, 0] += 0.5 * 9810.0 * masses
    sag = solve(beam, held, weight)[0, :, 0]
    lumped = weight[0, :, 0] / 9810.0
    rayleigh = math.sqrt(9810.0 * (lumped * sag).sum() / (lumped * sag**2).sum())
    exact = lowest_rad_per_s(beam, held)
    assert exact <= rayleigh * (1.0 + 2e-3)
    assert exact == pytest.approx(rayleigh, rel=0.02)
    dunkerley = 0.0
    for n in range(31):
        unit = np.zeros((1, 31, 2))
        unit[0, n, 0] = 1.0
        dunkerley += lumped[n] * solve(beam, held, unit)[0, n, 0]
    assert exact / 1.1 <= 1.0 / math.sqrt(dunkerley) <= exact * (1.0 + 2e-3)
