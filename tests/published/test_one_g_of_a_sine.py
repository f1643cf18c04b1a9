"""Displacement of a sine of 1 g peak: a / w^2.

Source: kinematics; 62.1013, 5.0695 and 2.0529 mm at 2, 7 and 11 Hz for 9.80665 m/s^2 are recomputed, as in
the charts of vibration handbooks.
"""

import numpy as np
import pytest

from counterbounce.model.measured.spectra import spectra
from counterbounce.model.ride import Channel, Ride


@pytest.mark.parametrize(("frequency", "millimetres"), [(2.0, 62.1013), (7.0, 5.0695), (11.0, 2.0529)])
def test_displacement_of_one_g(frequency, millimetres):
    t = np.arange(20_000) / 200
    shake = 9.80665 * np.cos(2 * np.pi * frequency * t)
    found = spectra(Ride("", 200.0, 0.0, (Channel("floor", "m/s^2"),), shake[None]), 10.0)
    peak = np.sqrt(2) * found.level(frequency - 0.5, frequency + 0.5)[0]
    assert 1e3 * peak / (2 * np.pi * frequency) ** 2 == pytest.approx(millimetres, abs=6e-5)
