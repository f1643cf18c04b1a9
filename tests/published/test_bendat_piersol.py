"""How much a spectrum and a coherence are worth.

Source: J. S. Bendat, A. G. Piersol, Random Data: Analysis and Measurement Procedures, chapters on statistical
errors (from memory); the overlap after P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70-73 (from
memory).
"""

import numpy as np
import pytest
from scipy.stats import chi2

from counterbounce.model.measured.segments import independent_averages, window_weights
from counterbounce.model.measured.spectra import spectra
from counterbounce.model.ride import Channel, Ride

RATE = 64.0


def ride(*rows):
    return Ride("", RATE, 0.0, tuple(Channel(f"{i}", "m/s^2") for i in range(len(rows))), np.array(rows))


def noise(seed, rows, pieces, seconds=1.0):
    return np.random.default_rng(seed).standard_normal((rows, round(pieces * seconds * RATE)))


def test_an_output_with_a_third_of_its_signal_as_noise_has_a_coherence_of_three_quarters():
    signal, rest = noise(1, 2, 8000)
    found = spectra(ride(signal, signal + rest / np.sqrt(3)), 1.0)
    inside = found.coherence("0", "1")[3:30]
    assert inside.mean() == pytest.approx(0.75, abs=0.002)


def test_one_piece_is_coherent_with_anything():
    found = spectra(ride(*noise(2, 2, 1)), 1.0)
    assert found.coherence(0, 1)[1:-1] == pytest.approx(np.ones(31))
    assert found.significance == 1.0


@pytest.mark.parametrize("overlap", [0.0, 0.5])
@pytest.mark.parametrize("pieces", [10, 40])
def test_independent_channels_seem_coherent_by_one_over_n(pieces, overlap):
    """Over 200 rides and 120 bins: their mean to 3 % (three standard errors, for neighbours under a window
    share), and 95 % below the significance level, to 1 %."""
    shared, significance, averages = [], [], 0.0
    for seed in range(200):
        found = spectra(ride(*noise(100 + seed, 2, pieces, 4.0)), 4.0, overlap=overlap)
        shared.append(found.coherence(0, 1)[4:124])
        significance.append(found.significance)
        averages = found.averages
    assert np.mean(shared) == pytest.approx(1 / averages, rel=0.03)
    assert np.mean(np.array(shared) < significance[0]) == pytest.approx(0.95, abs=0.01)


@pytest.mark.parametrize("overlap", [0.0, 0.5, 0.75])
def test_a_density_scatters_by_one_over_root_n(overlap):
    levels, averages = [], 0.0
    for seed in range(300):
        found = spectra(ride(*noise(500 + seed, 1, 30)), 1.0, overlap=overlap)
        levels.append(found.psd[0, 4:28])
        averages = found.averages
    assert np.std(levels) / np.mean(levels) == pytest.approx(1 / np.sqrt(averages), rel=0.04)


def test_an_interval_holds_the_truth_as_often_as_it_says():
    truth = 2 / RATE
    low, high = [], []
    for seed in range(300):
        found = spectra(ride(*noise(900 + seed, 1, 12)), 1.0)
        factors = found.interval(0.9)
        low.append((found.psd[0] * factors[0])[4:28])
        high.append((found.psd[0] * factors[1])[4:28])
    held = (np.array(low) < truth) & (truth < np.array(high))
    assert held.mean() == pytest.approx(0.90, abs=0.015)


def test_an_interval_is_that_of_chi_square():
    found = spectra(ride(*noise(3, 1, 20)), 1.0, overlap=0.0)
    low, high = found.interval()
    assert found.averages == 20
    assert low[5] == pytest.approx(40 / chi2.ppf(0.975, 40))
    assert high[5] == pytest.approx(40 / chi2.ppf(0.025, 40))
    assert high[0] == pytest.approx(20 / chi2.ppf(0.025, 20))  # a bin without an imaginary part


def test_significance_of_a_known_number_of_averages():
    found = spectra(ride(*noise(3, 2, 20)), 1.0, overlap=0.0)
    assert found.significance == pytest.approx(1 - 0.05 ** (1 / 19))


def test_hann_pieces_that_share_half_are_worth_eighteen_nineteenths():
    """Two neighbours share (1/6)^2 of their scatter: 1 / (1 + 2/36) for very many."""
    found = independent_averages(window_weights("hann", 512), 256, 100_000)
    assert found / 100_000 == pytest.approx(18 / 19, rel=1e-4)
