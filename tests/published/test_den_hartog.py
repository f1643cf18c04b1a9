"""The classic damper of an undamped host, force on it, displacement watched.

Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.3; J. E. Brock, J. Appl. Mech.
13, A-284 (1946).  Formulas and places from memory; numbers recomputed independently.
"""

import numpy as np
import pytest

from counterbounce.sizing.closed_form import (
    constant_tuning,
    damping_over_host,
    den_hartog,
    fixed_point_height,
    fixed_points,
)


@pytest.mark.parametrize(
    ("u", "tuning", "damping_ratio", "lower", "upper", "height"),
    [
        (0.01, 0.990099, 0.060933, 0.959303, 1.029532, 14.177447),
        (0.02, 0.980392, 0.085749, 0.939595, 1.038241, 10.049876),
        (0.05, 0.952381, 0.133631, 0.896462, 1.049342, 6.403124),
        (0.10, 0.909091, 0.184637, 0.843037, 1.052364, 4.582576),
        (0.20, 0.833333, 0.250000, 0.762938, 1.041438, 3.316625),
    ],
)
def test_table_of_the_fixed_point_design(u, tuning, damping_ratio, lower, upper, height):
    best = den_hartog(u)
    found = [best.tuning, best.damping_ratio, *fixed_points(u), best.peak]
    # half of the last printed digit; where that is less than 1e-6 of the value, 1e-6
    assert found == pytest.approx([tuning, damping_ratio, lower, upper, height], rel=1e-6, abs=5.1e-7)


@pytest.mark.parametrize("u", [0.01, 0.05, 0.2, 0.5])
@pytest.mark.parametrize("damping_ratio", [0.0, 0.05, 0.3, 2.0])
def test_no_damping_moves_the_fixed_points(bench, u, damping_ratio):
    g = np.array(fixed_points(u))
    height = bench.displacement(g, bench.hung(g, u, 1 / (1 + u), damping_ratio))
    assert height == pytest.approx([fixed_point_height(u)] * 2, rel=1e-9)  # an identity, up to rounding


@pytest.mark.parametrize(("u", "excess"), [(0.01, 1.7e-4), (0.05, 9e-4), (0.2, 3.5e-3), (0.5, 8e-3)])
def test_swept_peaks_stand_a_little_above_the_fixed_points(bench, u, excess):
    """Brock's damping is the mean of two: the higher peak is above sqrt(1 + 2/u), by what is documented."""
    best = den_hartog(u)
    both = bench.peaks(lambda g: bench.displacement(g, bench.hung(g, u, best.tuning, best.damping_ratio)))
    assert len(both) == 2
    # 0.9 to 1 of the documented excess, so that neither a higher nor a much lower peak passes
    assert 0.9 * excess < max(both) / best.peak - 1 < excess


def test_swept_peak_at_one_mass(bench):
    best = den_hartog(0.05)
    both = bench.peaks(lambda g: bench.displacement(g, bench.hung(g, 0.05, best.tuning, best.damping_ratio)))
    assert max(both) == pytest.approx(6.408443, abs=1e-6)  # printed digits


def test_damping_is_the_mean_of_the_two_that_flatten_one_fixed_point_each(bench):
    """Brock: z^2 is the mean of the squares that level the curve at the one and at the other point."""
    u = 0.05

    def slope(z, g):
        heights = [
            bench.displacement(g + step, bench.hung(g + step, u, 1 / (1 + u), z)) for step in (-1e-6, 1e-6)
        ]
        return heights[1] - heights[0]

    squares = []
    for g in fixed_points(u):
        low, high = 0.05, 0.3
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if slope(low, g) * slope(middle, g) > 0 else (low, middle)
        squares.append(low**2)
    assert squares[0] != pytest.approx(squares[1], rel=1e-2)
    # 1e-6: the slope is a difference quotient
    assert den_hartog(u).damping_ratio ** 2 == pytest.approx(np.mean(squares), rel=1e-6)


@pytest.mark.parametrize(("u", "own", "host"), [(0.05, 0.133631, 0.127267), (0.1, 0.184637, 0.167852)])
def test_two_damping_conventions_one_dashpot(u, own, host):
    """Den Hartog divides by 2 m w_host and prints sqrt(3 u / (8 (1 + u)^3)); section 3.3, from memory."""
    best = den_hartog(u)
    over_host = damping_over_host(best.damping_ratio, best.tuning)
    assert (best.damping_ratio, over_host) == pytest.approx((own, host), abs=5.1e-7)  # printed digits
    assert over_host == pytest.approx(np.sqrt(3 * u / (8 * (1 + u) ** 3)), rel=1e-12)  # the same expression
    assert over_host / best.damping_ratio == pytest.approx(1 / (1 + u), rel=1e-12)
    mass, w_host = 25.0, 44.0  # any: the dashpot in N s/m is one and the same
    assert 2 * mass * w_host * over_host == pytest.approx(
        2 * mass * (best.tuning * w_host) * best.damping_ratio, rel=1e-12
    )


@pytest.mark.parametrize(
    ("u", "damping_ratio", "peak"),
    [(0.05, 0.144879, 8.773280), (0.1, 0.207158, 7.140833), (0.2, 0.294563, 6.179950)],
)
def test_constant_tuning(bench, u, damping_ratio, peak):
    """Damper tuned to the host; section 3.3 near equation 3.33, from memory."""
    best = constant_tuning(u)
    assert (best.tuning, best.damping_ratio, best.peak) == pytest.approx((1, damping_ratio, peak), abs=5.1e-7)

    def height(z):
        return max(bench.peaks(lambda g: bench.displacement(g, bench.hung(g, u, 1.0, z))))

    assert height(best.damping_ratio) == pytest.approx(best.peak, rel=1e-8)  # exact; rounding of the sweep
    assert height(0.99 * best.damping_ratio) > best.peak < height(1.01 * best.damping_ratio)


@pytest.mark.parametrize("u", [0.001, 0.5, 1.0])
def test_constant_tuning_is_exact_to_the_ends_of_its_range(bench, u):
    best = constant_tuning(u)
    swept = bench.peaks(
        lambda g: bench.displacement(g, bench.hung(g, u, 1.0, best.damping_ratio)), count=20_000
    )
    assert max(swept) == pytest.approx(best.peak, rel=1e-7)


def test_constant_tuning_has_a_best_mass():
    """Worked out from its formula: the height is least at u = sqrt(2) - 1, where it is 3 + 2 sqrt(2)."""
    heights = [constant_tuning(np.sqrt(2) - 1 + step).peak for step in (-0.05, 0.0, 0.05)]
    assert heights[1] == pytest.approx(3 + 2 * np.sqrt(2), rel=1e-12)
    assert heights[0] > heights[1] < heights[2]


def test_the_bench_itself_agrees_with_a_matrix_solution(bench):
    """Two ways to one number: the felt stiffness against (K + i g C - g^2 M) x = F, two dampers in series."""
    outer = (0.01, 0.93, 0.2)
    inner = (0.04, 1.03, 0.05)
    links = [(0, 1, *_spring_and_dashpot(*inner)), (1, 2, *_spring_and_dashpot(*outer))]
    mass, damping, stiffness = bench.chain([1.0, inner[0], outer[0]], links)
    for g in (0.7, 0.98, 1.3):
        solved = np.linalg.solve(stiffness + 1j * g * damping - g**2 * mass, [1.0, 0.0, 0.0])
        felt = bench.hung(g, *inner, carried=bench.hung(g, *outer))
        assert bench.displacement(g, felt) == pytest.approx(abs(solved[0]), rel=1e-12)


def _spring_and_dashpot(mass, tuning, damping_ratio):
    return mass * tuning**2, 2 * mass * tuning * damping_ratio
