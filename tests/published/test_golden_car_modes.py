"""The quarter car of the International Roughness Index.

Sources: M. W. Sayers, On the calculation of international roughness index from longitudinal road profile,
Transportation Research Record 1501 (1995); ASTM E1926; M. W. Sayers, T. D. Gillespie, W. D. O. Paterson,
World Bank Technical Paper 46 (1986), p. 36, coefficients for steps of 250 mm at 80 km/h (seen in stored
codes).
"""

import numpy as np
import pytest
from scipy.linalg import expm

from counterbounce.model.modes import modes

K1, K2, MU, C = 653.0, 63.3, 0.15, 6.0  # tyre, spring, hub, damper over the sprung mass
STEP = 0.25 / (80 / 3.6)  # s
ST = [
    [0.9966071, 1.091514e-2, -2.083274e-3, 3.190145e-4],
    [-0.5563044, 0.9438768, -0.8324718, 5.064701e-2],
    [2.153176e-2, 2.126763e-3, 0.7508714, 8.221888e-3],
    [3.335013, 0.3376467, -39.12762, 0.4347564],
]
PR = [5.476107e-3, 1.388776, 0.2275968, 35.79262]
# Running index of a triangular pulse, 2 mm high, 1 to 5 m: shape from the demonstration of the standard,
# numbers recomputed independently with exact matrices.
PULSE = {3.0: 0.518378, 5.0: 0.824137, 10.0: 0.521713, 20.0: 0.298879, 30.0: 0.206677}


@pytest.fixture
def car(textbook):
    return textbook("c1_golden_car")


@pytest.fixture
def coefficients(car):
    """(ST, PR) of one step, from the vehicle's own matrices: rise and rate of body, then of hub."""
    system = car.matrices
    below = np.linalg.solve(system.M, np.hstack([-system.K, -system.C]))
    state, push = np.zeros((4, 4)), np.zeros((4, 1))
    state[[0, 2], [1, 3]] = 1.0
    state[[1, 3]] = below[:, [0, 2, 1, 3]]
    push[[1, 3], 0] = np.linalg.solve(system.M, system.push_0[:, 0])
    transition = expm(state * STEP)
    return transition, np.linalg.solve(state, (transition - np.eye(4)) @ push)[:, 0]


def test_modes_from_the_four_constants(car):
    """Poles of the two equations of motion, written out per unit of sprung mass."""
    state = [[0, 1, 0, 0], [-K2, -C, K2, C], [0, 0, 0, 1], [K2 / MU, C / MU, -(K1 + K2) / MU, -C / MU]]
    poles = sorted((p for p in np.linalg.eigvals(state) if p.imag > 0), key=abs)
    found = modes(car.vehicle)
    assert np.allclose(found.poles[:, 0], poles, rtol=1e-9)
    assert found.natural == pytest.approx(np.abs(poles), rel=1e-9)
    assert found.damping_ratio == pytest.approx([-p.real / abs(p) for p in poles], rel=1e-9)


def test_published_transition_matrix(coefficients):
    """To 5e-7, their rounding."""
    assert np.allclose(coefficients[0], ST, rtol=5e-7)


def test_published_input_coefficients(coefficients):
    """To 2e-5: the first published one lost digits to cancellation; exact is 5.4762056e-3."""
    assert np.allclose(coefficients[1], PR, rtol=2e-5)
    assert coefficients[1][0] == pytest.approx(5.4762056e-3, rel=1e-7)


def test_a_constant_slope_reproduces_itself(coefficients):
    unit = np.array([1.0, 0.0, 1.0, 0.0])
    transition, push = coefficients
    assert np.allclose(transition @ unit + push, unit, atol=1e-12)


def test_index_of_a_triangular_pulse(coefficients):
    transition, push = coefficients
    x = 0.25 * np.arange(121)
    profile = np.interp(x, [1.0, 3.0, 5.0], [0.0, 2.0, 0.0])  # mm
    state, total, running = np.zeros(4), 0.0, {}
    for i, slope in enumerate(np.diff(profile)[1:] / 0.25, 2):
        state = transition @ state + push * slope
        total += abs(state[0] - state[2])
        running[x[i]] = total / (i - 1)
    for station, index in PULSE.items():
        assert running[station] == pytest.approx(index, rel=1e-5), station
