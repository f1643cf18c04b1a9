"""The same spectra from scipy.signal: to rounding, for every window, length, overlap and type of samples."""

import numpy as np
import pytest
from scipy import signal

from counterbounce.model.measured.spectra import spectra
from counterbounce.model.measured.spectrogram import spectrogram
from counterbounce.model.ride import Channel, Ride

RATE = 200.0


@pytest.fixture(scope="module")
def ride():
    """Three channels that share something, with means of their own."""
    draw = np.random.default_rng(7).standard_normal((4, 30_011))
    shaped = signal.lfilter([1.0], [1.0, -1.6, 0.9], draw[3])
    rows = np.stack([draw[0] + shaped, 5 + draw[1] - 0.3 * np.roll(shaped, 4), -2 + draw[2]])
    names = "floor", "rear end", "seat"
    return Ride("", RATE, 3.0, tuple(Channel(name, "m/s^2") for name in names), rows)


@pytest.mark.parametrize("window", ["boxcar", "hann", "flattop"])
@pytest.mark.parametrize(("samples", "overlap"), [(512, 0.5), (500, 0.0), (333, 0.75), (9, 0.5)])
def test_densities_cross_densities_and_coherence(ride, window, samples, overlap):
    found = spectra(ride, samples / RATE, window=window, overlap=overlap)
    shared = samples - round(samples * (1 - overlap))
    how = {"fs": RATE, "window": window, "nperseg": samples, "noverlap": shared}
    x = ride.samples
    for i in range(3):
        frequency, density = signal.welch(x[i], **how)
        assert found.frequency == pytest.approx(frequency)
        assert found.density(i) == pytest.approx(density, rel=1e-9, abs=1e-14)
        for j in range(3):
            cross = signal.csd(x[i], x[j], **how)[1]
            assert found.cross[:, i, j] == pytest.approx(cross, rel=1e-9, abs=1e-13)
            if i < j and samples > 100:  # the mean is taken out: 0 / 0 in the bins around zero
                coherence = signal.coherence(x[i], x[j], **how)[1]
                assert found.coherence(i, j)[1:] == pytest.approx(coherence[1:], abs=1e-9)


def test_whole_numbers_and_single_precision(ride):
    rows = np.round(1000 * ride.samples).astype(np.int16)
    for samples in (rows, rows.astype(np.float32)):
        found = spectra(Ride("", RATE, 0.0, ride.channels, samples), 2.0)
        density = signal.welch(rows[0].astype(float), RATE, nperseg=400)[1]
        assert found.density(0) == pytest.approx(density, rel=1e-9)


def test_some_channels_in_another_order(ride):
    found, all_of_them = spectra(ride, 2.0, ["seat", "floor"]), spectra(ride, 2.0)
    assert found.names == ("seat", "floor")
    assert found.cross[:, 0, 1] == pytest.approx(all_of_them.cross[:, 2, 0])


def test_ratio_against_a_reference(ride):
    ratio, _ = spectra(ride, 2.0).relative("floor")
    cross = signal.csd(ride.samples[0], ride.samples[1], RATE, nperseg=400)[1]
    assert ratio[1:, 1] == pytest.approx((cross / signal.welch(ride.samples[0], RATE, nperseg=400)[1])[1:])


def test_spectrogram(ride):
    found = spectrogram(ride, 2.0)
    frequency, time, density = signal.spectrogram(
        ride.samples, RATE, window="hann", nperseg=400, noverlap=200, detrend="constant"
    )
    assert found.frequency == pytest.approx(frequency)
    assert found.time == pytest.approx(time + 3.0)
    assert found.density == pytest.approx(density.transpose(0, 2, 1), rel=1e-9, abs=1e-13)
