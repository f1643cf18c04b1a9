"""Logarithmic decrement and ratio of successive peaks.

Source: elementary; as in W. T. Thomson, Theory of Vibration with Applications, section 2.7, and D. J. Inman,
Engineering Vibration, section 1.6 (both from memory); the digits recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.measured.decay import decrement, ring_down

TABLE = [
    (0.01, 0.062835, 1.064851),
    (0.05, 0.314553, 1.369647),
    (0.1, 0.631484, 1.880399),
    (0.2, 1.282550, 3.605822),
]


@pytest.mark.parametrize(("damping", "logarithm", "ratio"), TABLE)
def test_decrement_and_ratio_of_peaks(damping, logarithm, ratio):
    assert decrement(damping) == pytest.approx(logarithm, abs=5e-7)
    assert np.exp(decrement(damping)) == pytest.approx(ratio, abs=5e-7)


@pytest.mark.parametrize(("damping", "ratio"), [(z, ratio) for z, _, ratio in TABLE])
def test_a_ring_down_with_that_ratio_of_peaks_has_that_damping(damping, ratio):
    t = np.arange(800) / 160  # one cycle in a quarter of a second, falling by the ratio in each
    (found,) = ring_down(ratio ** (-4 * t) * np.cos(2 * np.pi * 4 * t), 160.0)
    assert found.damping == pytest.approx(damping, rel=1e-5)
