"""Equal modal damping and the bifurcation of the modes; undamped host.

Source: S. Krenk, Frequency analysis of the tuned mass damper, J. Appl. Mech. 72 (2005); formulas from memory.
S. Krenk, J. Høgsberg, Tuned mass absorbers on damped structures (2008), abstract seen: the classic tuning
damps both modes equally.
"""

import numpy as np
import pytest

from counterbounce.sizing.closed_form import den_hartog, fixed_point_height
from counterbounce.sizing.closed_form_modes import bifurcation, equal_modes, krenk, sadek


def modes_of(bench, u, tuning, damping_ratio):
    link = (0, 1, u * tuning**2, 2 * u * tuning * damping_ratio)
    return bench.modes(*bench.chain([1.0, u], [link]))


def test_numbers_at_two_masses():
    best = krenk(0.05)
    modes = equal_modes(0.05, best.damping_ratio)
    found = (best.tuning, best.damping_ratio, modes.damping_ratio, modes.lower, modes.upper)
    # printed digits
    assert found == pytest.approx((0.952381, 0.154303, 0.078810, 0.901572, 1.056356), abs=5.1e-7)
    heavier = krenk(0.1)
    found = (heavier.damping_ratio, equal_modes(0.1, heavier.damping_ratio).damping_ratio)
    assert found == pytest.approx((0.213201, 0.111103), abs=5.1e-7)


@pytest.mark.parametrize("u", [0.01, 0.05, 0.3, 1.0])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.7071, 0.95])
def test_modes_by_an_eigenvalue_solution(bench, u, share):
    damping_ratio = share * bifurcation(u).damping_ratio
    modes = equal_modes(u, damping_ratio)
    frequencies, dampings = modes_of(bench, u, 1 / (1 + u), damping_ratio)
    assert frequencies == pytest.approx([modes.lower, modes.upper], rel=1e-9)  # exact, up to rounding
    assert dampings == pytest.approx([modes.damping_ratio] * 2, rel=1e-9)


@pytest.mark.parametrize("u", [0.05, 0.1])
def test_level_between_the_peaks(bench, u):
    """At g = 1 / sqrt(1 + u) the response is as high as the fixed points: a plateau, not a dip or a hump."""
    best = krenk(u)
    g = np.array([1 / np.sqrt(1 + u)])
    height = bench.displacement(g, bench.hung(g, u, best.tuning, best.damping_ratio))
    assert height == pytest.approx(fixed_point_height(u), rel=1e-9)  # exact, up to rounding
    classic = den_hartog(u)
    dip = bench.displacement(g, bench.hung(g, u, classic.tuning, classic.damping_ratio))
    assert dip < 0.95 * fixed_point_height(u)


def test_bifurcation(bench):
    at = bifurcation(0.05)
    modes = equal_modes(0.05, at.damping_ratio)
    found = (at.damping_ratio, modes.damping_ratio, modes.lower, modes.upper)
    # 1e-6 for the damping; a double root moves by the root of the rounding error, 1e-8
    assert found == pytest.approx((0.218218, 0.111803, 0.975900, 0.975900), abs=1e-6)
    frequencies, dampings = modes_of(bench, 0.05, at.tuning, at.damping_ratio)
    # 1e-4: the eigenvalue solver sees the double root through its own rounding
    assert frequencies == pytest.approx([0.975900] * 2, abs=1e-4)
    assert dampings == pytest.approx([np.sqrt(0.05) / 2] * 2, abs=1e-4)


@pytest.mark.parametrize("u", [0.02, 0.2])
def test_beyond_the_bifurcation_the_dampings_part(bench, u):
    at = bifurcation(u)
    _, before = modes_of(bench, u, at.tuning, 0.9 * at.damping_ratio)
    _, after = modes_of(bench, u, at.tuning, 1.1 * at.damping_ratio)
    assert before[0] == pytest.approx(before[1], rel=1e-9)
    assert abs(after[0] - after[1]) > 0.1 * after.max()


def test_bifurcation_is_sadek_without_host_damping():
    one, other = bifurcation(0.05), sadek(0.05, 0.0)
    assert (one.tuning, one.damping_ratio) == pytest.approx((other.tuning, other.damping_ratio), rel=1e-12)


@pytest.mark.parametrize("u", [0.004, 0.0055, 0.012, 0.3, 1.0])
def test_rounding_does_not_tear_the_double_root(u):
    """At 0.004, 0.0055 and 0.012 rounding puts the discriminant a hair below zero."""
    modes = equal_modes(u, bifurcation(u).damping_ratio)
    # 1e-6: a double root moves by the root of the rounding error
    assert (modes.lower, modes.upper) == pytest.approx((1 / np.sqrt(1 + u),) * 2, rel=1e-6)
    assert modes.damping_ratio == pytest.approx(np.sqrt(u) / 2, rel=1e-6)
