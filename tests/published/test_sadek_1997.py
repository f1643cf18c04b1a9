"""Large, nearly equal damping in both modes of a damped host.

Source: F. Sadek, B. Mohraz, A. W. Taylor, R. M. Chung, A method of estimating the parameters of tuned mass
dampers for seismic applications, Earthquake Eng. Struct. Dyn. 26, 617-635 (1997); abstract seen, formulas and
the range of the tables from memory.
"""

import numpy as np
import pytest

from counterbounce.sizing.closed_form_modes import sadek


def test_numbers_at_one_mass():
    best = sadek(0.05, 0.02)
    assert (best.tuning, best.damping_ratio) == pytest.approx(
        (0.948224, 0.237266), abs=5.1e-7
    )  # printed digits


def modal_damping(bench, u, host_damping_ratio, tuning, damping_ratio):
    mass, damping, stiffness = bench.chain([1.0, u], [(0, 1, u * tuning**2, 2 * u * tuning * damping_ratio)])
    damping[0, 0] += 2 * host_damping_ratio
    return bench.modes(mass, damping, stiffness)[1]


def test_modal_damping_at_one_mass(bench):
    best = sadek(0.05, 0.02)
    found = modal_damping(bench, 0.05, 0.02, best.tuning, best.damping_ratio)
    assert sorted(found) == pytest.approx([0.12938, 0.13375], abs=5.1e-6)  # printed digits


@pytest.mark.parametrize("u", [0.005, 0.05, 0.15])
@pytest.mark.parametrize("host_damping_ratio", [0.01, 0.02, 0.05])
def test_damping_is_nearly_equal_and_large(bench, u, host_damping_ratio):
    best = sadek(u, host_damping_ratio)
    found = modal_damping(bench, u, host_damping_ratio, best.tuning, best.damping_ratio)
    # the method equalises approximately: 5 % of their mean, either way
    assert found == pytest.approx([np.mean(found)] * 2, rel=0.05)
    assert found.min() > host_damping_ratio
    # what the docstring says of its size, 2 %: terms of second order in u and b are left out
    assert np.mean(found) == pytest.approx(host_damping_ratio + np.sqrt(u) / 2, rel=0.02)
