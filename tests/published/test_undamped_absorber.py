"""The two natural frequencies of a host with an undamped absorber.

Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.2; from memory, numbers
recomputed independently.
"""

import numpy as np
import pytest
from scipy.linalg import eigh

from counterbounce.sizing.closed_form_modes import mass_ratio_for_split, split_frequencies


@pytest.mark.parametrize(
    ("u", "lower", "upper"), [(0.05, 0.89443, 1.11803), (0.1, 0.85431, 1.17054), (0.25, 0.78078, 1.28078)]
)
def test_splitting_of_the_resonance(u, lower, upper):
    found = split_frequencies(u)
    assert found == pytest.approx((lower, upper), abs=1e-5)  # five printed digits
    assert found[0] * found[1] == pytest.approx(1, rel=1e-12)
    squares = 1 + u / 2 + np.array([-1, 1]) * np.sqrt(u + u**2 / 4)
    assert np.square(found) == pytest.approx(squares, rel=1e-12)  # the same roots, otherwise written


@pytest.mark.parametrize("u", [1e-6, 0.1, 3.0])
@pytest.mark.parametrize("tuning", [0.5, 0.9, 1.3])
def test_any_tuning_by_an_eigenvalue_solution(bench, u, tuning):
    mass, _, stiffness = bench.chain([1.0, u], [(0, 1, u * tuning**2, 0.0)])
    frequencies = np.sqrt(eigh(stiffness, mass, eigvals_only=True))
    assert split_frequencies(u, tuning) == pytest.approx(tuple(frequencies), rel=1e-9)  # rounding


@pytest.mark.parametrize("u", [0.01, 0.1, 0.7])
def test_there_and_back(u):
    for g in split_frequencies(u):
        assert mass_ratio_for_split(g) == pytest.approx(u, rel=1e-9)
