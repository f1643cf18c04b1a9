"""Ring-downs and operating spectra of systems that other libraries simulate and solve."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import eigvals
from scipy.signal import cont2discrete, lfilter, welch

from counterbounce.model.measured.decay import ring_down
from counterbounce.model.measured.mode_fit import fit_mode

RATE = 150.0
MASS = np.diag([900.0, 250.0, 80.0])
STIFFNESS = np.array([[1.4e5, -1.2e5, 0.0], [-1.2e5, 4.4e5, -8e4], [0.0, -8e4, 3.8e5]])
DAMPING = 4e-4 * STIFFNESS + 0.4 * MASS


def poles():
    """Natural frequencies [Hz] and damping ratios [-] by scipy.linalg, rising."""
    state = np.block(
        [[np.zeros((3, 3)), np.eye(3)], [-np.linalg.solve(MASS, STIFFNESS), -np.linalg.solve(MASS, DAMPING)]]
    )
    found = eigvals(state)
    found = found[found.imag > 0]
    found = found[np.argsort(np.abs(found))]
    return np.abs(found) / 2 / np.pi, -found.real / np.abs(found)


def test_ring_down_of_three_masses_solved_by_pyyeti():
    """pyyeti's exact exponential solver lets go of a displaced system; all three modes come back."""
    from pyyeti.ode import SolveExp2

    solver = SolveExp2(MASS, DAMPING, STIFFNESS, 1 / RATE)
    free = solver.tsolve(np.zeros((3, round(6 * RATE))), d0=np.array([0.01, -0.02, 0.02]))
    noise = 1e-3 * free.a.std() * np.random.default_rng(0).standard_normal(free.a.shape)
    found = sorted(ring_down(free.a[:, 1:] + noise[:, 1:], RATE), key=lambda one: one.frequency)
    frequency, damping = poles()
    assert [one.frequency for one in found] == pytest.approx(frequency, rel=2e-3)
    assert [one.damping for one in found] == pytest.approx(damping, rel=2e-2)


@pytest.mark.parametrize("damping", [0.02, 0.06])
def test_spectrum_of_an_oscillator_in_white_noise_by_scipy(damping):
    """scipy.signal makes the response and its Welch spectrum; the fit reads both numbers off it."""
    w = 2 * np.pi * 8.0
    system = ([w * w], [1, 2 * damping * w, w * w])
    upper, lower, _ = cont2discrete(system, 1 / RATE, method="foh")
    white = np.random.default_rng(1).standard_normal(round(600 * RATE))
    f, power = welch(lfilter(upper.ravel(), lower, white), RATE, nperseg=round(10 * RATE))
    near = (f > 5) & (f < 12)
    count = np.full(near.sum(), 110.0)  # pieces that do not overlap, and what overlapping gains
    found = fit_mode(f[near], power[near], count, spread=np.full(near.sum(), 1.5 * f[1]), slope=0.0)
    assert found.frequency == pytest.approx(8.0, rel=5e-3)
    assert found.damping == pytest.approx(damping, rel=0.1)
    assert found.damping_low < damping < found.damping_high
