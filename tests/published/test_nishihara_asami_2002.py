"""The exact minimum of the largest response of an undamped host.

Source: O. Nishihara, T. Asami, Closed-form solutions to the exact optimizations of dynamic vibration
absorbers, J. Vib. Acoust. 124(4), 576-582 (2002); abstract seen (both optima and the least peak are
algebraic), formulas for tuning and damping from memory.
"""

import numpy as np
import pytest

from counterbounce.sizing.closed_form import den_hartog, nishihara_asami


def both_peaks(bench, u, tuning, damping_ratio):
    return bench.peaks(
        lambda g: bench.displacement(g, bench.hung(g, u, tuning, damping_ratio)), 0.2, 2.0, 20_000
    )


def test_numbers_at_one_mass():
    """As an independent numerical minimax found them."""
    best = nishihara_asami(0.05)
    found = (best.tuning, best.damping_ratio, best.peak)
    assert found == pytest.approx((0.952372, 0.133938, 6.407921), abs=5.1e-7)  # printed digits


@pytest.mark.parametrize("u", [0.001, 0.01, 0.05, 0.2, 0.5, 1.0])
def test_two_equal_peaks_of_the_stated_height(bench, u):
    best = nishihara_asami(u)
    swept = both_peaks(bench, u, best.tuning, best.damping_ratio)
    assert swept == pytest.approx([best.peak] * 2, rel=1e-9)  # exact; what is left is rounding


@pytest.mark.parametrize("u", [0.01, 0.05, 0.2, 1.0])
def test_every_step_aside_raises_the_higher_peak(bench, u):
    best = nishihara_asami(u)
    for direction in np.linspace(0, 2 * np.pi, 24, endpoint=False):
        tuning = best.tuning * (1 + 1e-3 * np.cos(direction))
        damping_ratio = best.damping_ratio * (1 + 1e-2 * np.sin(direction))
        assert max(both_peaks(bench, u, tuning, damping_ratio)) > best.peak


@pytest.mark.parametrize("u", [0.02, 0.1])
def test_a_search_that_knows_no_formula_finds_it(bench, u):
    best, classic = nishihara_asami(u), den_hartog(u)
    g = np.linspace(0.75, 1.2, 6001) + 1e-7
    found = bench.minimax(
        lambda g, f, z: bench.displacement(g, bench.hung(g, u, f, z)),
        [classic.tuning, classic.damping_ratio],
        [(0.7, 1.2), (0.01, 0.5)],
        g,
    )
    assert found[0] == pytest.approx(best.tuning, abs=1e-5)  # step of the grid
    assert found[1] == pytest.approx(best.damping_ratio, abs=1e-4)  # flat along the damping
    assert max(both_peaks(bench, u, *found)) == pytest.approx(best.peak, rel=1e-6)


@pytest.mark.parametrize("u", [0.01, 0.05, 0.2, 0.5])
def test_between_the_fixed_points_and_the_classic_damper(bench, u):
    """Any damper passes through the fixed points of its tuning; none is better than the exact one."""
    classic, exact = den_hartog(u), nishihara_asami(u)
    assert classic.peak < exact.peak < max(both_peaks(bench, u, classic.tuning, classic.damping_ratio))


def test_a_very_light_damper_keeps_its_digits():
    """8 + 9 u - 4 sqrt(4 + 3 u) tends to 6 u: z / sqrt(3 u / 8) tends to 1, no digits lost on the way."""
    assert nishihara_asami(1e-12).damping_ratio / np.sqrt(3e-12 / 8) == pytest.approx(1, rel=1e-10)
