"""A sine and white noise in a spectrum.

Source: F. J. Harris, On the use of windows for harmonic analysis with the discrete Fourier transform, Proc.
IEEE 66 (1978) 51-83, table 1 (from memory); the flat top of G. D'Antona, A. Ferrero, Digital Signal
Processing for Measurement Systems, 2006 (from memory).  The levels follow from Parseval's theorem.
"""

import numpy as np
import pytest

from counterbounce.model.measured.segments import noise_bandwidth, window_weights
from counterbounce.model.measured.spectra import spectra
from counterbounce.model.ride import Channel, Ride

RATE = 256.0


def heard(*rows):
    return Ride("", RATE, 0.0, tuple(Channel(f"{i}", "m/s^2") for i in range(len(rows))), np.array(rows))


def sine(frequency, amplitude, seconds=64):
    return amplitude * np.sin(2 * np.pi * frequency * np.arange(seconds * RATE) / RATE + 0.4)


@pytest.mark.parametrize(("window", "bins"), [("boxcar", 1.0), ("hann", 1.5), ("flattop", 3.770246)])
def test_noise_bandwidth(window, bins):
    assert noise_bandwidth(window_weights(window, 4096)) == pytest.approx(bins, rel=1e-6)  # printed digits


@pytest.mark.parametrize(("window", "bins"), [("boxcar", 1.0), ("hann", 1.5), ("flattop", 3.770246)])
def test_a_sine_on_a_bin(window, bins):
    """The density peaks at A^2 / 2 over the noise bandwidth, and holds A^2 / 2 in all."""
    found = spectra(heard(sine(20.0, 3.0)), 4.0, window=window)
    assert found.frequency[found.psd[0].argmax()] == 20.0
    assert found.psd[0].max() == pytest.approx(3.0**2 / 2 / (bins / 4), rel=1e-6)
    assert found.level(15, 25)[0] ** 2 == pytest.approx(3.0**2 / 2, rel=1e-9)
    assert found.resolution == pytest.approx(bins / 4, rel=1e-6)


def test_worst_scalloping_under_a_hann_window():
    """Half way between two bins an amplitude reads 8 / (3 pi) of itself, 1.42 dB low."""
    on, off = (spectra(heard(sine(f, 1.0)), 4.0).psd[0].max() for f in (20.0, 20.125))
    assert np.sqrt(off / on) == pytest.approx(8 / (3 * np.pi), rel=2e-4)  # the image at -20 Hz adds a little
    assert 8 / (3 * np.pi) == pytest.approx(0.848826, abs=5e-7)


def test_white_noise():
    """One-sided level 2 sigma^2 / rate; to three standard errors of the mean over all bins."""
    noise = 0.7 * np.random.default_rng(4).standard_normal(round(2000 * RATE))
    found = spectra(heard(noise), 1.0)
    inside = found.psd[0][5:120]
    assert inside.mean() == pytest.approx(2 * 0.7**2 / RATE, rel=3 / np.sqrt(found.averages * len(inside)))
