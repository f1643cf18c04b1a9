"""A quarter of a large saloon.

Source: ride notes of an open university course (seen): M 300, m 30 kg, K_s 20, K_t 160 kN/m, C 1500 N s/m;
ride rate, 7.70 rad/s, damping ratio printed as 0.32.  The notes print "6000 rad/s" for the hop: that is its
square, (K_s + K_t) / m = 6000 1/s^2; the root is missing.  Coupled values recomputed independently.
"""

import numpy as np
import pytest

from counterbounce.model.modes import modes


@pytest.fixture
def car(textbook):
    return textbook("b7_large_saloon")


def test_ride_rate(car):
    """Spring and tyre in series: what the body feels of a slow road."""
    static = np.linalg.solve(car.matrices.K, [1.0, 0.0])[0]
    assert 1 / static == pytest.approx(17_777.78, rel=1e-6)
    ride = np.sqrt(1 / static / 300)
    assert ride == pytest.approx(7.70, rel=1e-3)  # printed digits
    assert 1500 / (2 * 300 * ride) == pytest.approx(0.325, rel=1e-3)


def test_coupled_frequencies(car):
    found = modes(car.vehicle)
    assert found.undamped == pytest.approx([7.69321, 77.50794], rel=1e-6)
    assert found.names == ("body bounce", "wheel axle hop")


def test_damped_modes(car):
    found = modes(car.vehicle)
    assert found.frequency_hz == pytest.approx([1.2463, 12.1193], rel=1e-4)
    assert found.damping_ratio == pytest.approx([0.2593, 0.3345], rel=2e-4)


def test_hop_is_the_root_of_what_the_notes_print(car):
    """77.46 rad/s, 12.33 Hz, with the body held still."""
    hop = np.sqrt(car.matrices.K[1, 1] / car.matrices.M[1, 1])
    assert hop == pytest.approx(77.46, rel=1e-4)
    assert hop / (2 * np.pi) == pytest.approx(12.33, rel=1e-3)
    assert hop**2 == pytest.approx(6000)
    assert max(modes(car.vehicle).natural) < 80  # and by no means 6000 rad/s
