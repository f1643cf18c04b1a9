"""A frequency response that looks measured, with a natural frequency known from elsewhere.

Source: vibration-toolbox 0.6.10 (J. C. Slater, R. Timbo; MIT licence), data/case1.mat: 1601 lines, 0.3125 Hz;
the rig is not described.  Its own documentation gives about 212.1 Hz.  Damping is not resolved by the line
spacing.  Of its case2.mat the documentation gives about 192.4 Hz.  There the file's own coherence is 0.07 to
0.5: the response is mostly noise, one or two damped modes do not explain its phase, and power alone peaks at
192.8 Hz, give or take 0.7 Hz: no more than an interval that holds is to be had.
"""

from __future__ import annotations

from importlib import metadata

import numpy as np
import pytest

from counterbounce.model.measured.decay import ring_down
from counterbounce.model.measured.mode_fit import fit_mode

LINE = 0.3125  # [Hz]


@pytest.fixture(scope="module")
def cases():
    from scipy.io import loadmat

    try:
        files = metadata.files("vibration-toolbox") or []
    except metadata.PackageNotFoundError:
        pytest.skip("the package vibration-toolbox, which brings the data, is not installed")
    return {
        file.stem: loadmat(file.locate()) for file in files if file.suffix == ".mat" and "case" in file.stem
    }


def test_natural_frequency_of_a_measured_response(cases):
    frequency = cases["case1"]["Freq_domain"].ravel().astype(float)
    power = np.abs(cases["case1"]["Hf_chan_2"].ravel()) ** 2
    near = (frequency > 200) & (frequency < 225)
    found = fit_mode(frequency[near], power[near], spread=np.full(near.sum(), LINE), slope=0.0)
    assert found.frequency == pytest.approx(212.1, abs=0.4)  # a good line; the fit interpolates between them
    assert found.peak > 10


def test_where_coherence_is_low_the_interval_is_wide_and_holds_the_frequency(cases):
    frequency = cases["case2"]["Freq_domain"].ravel().astype(float)
    coherence = cases["case2"]["Hf_coh_chan_2"].ravel()[(frequency > 191) & (frequency < 194)]
    assert coherence.max() < 0.55  # so nobody's fit could do better than its interval says
    power = np.abs(cases["case2"]["Hf_chan_2"].ravel()) ** 2
    near = (frequency > 180) & (frequency < 205)
    found = fit_mode(frequency[near], power[near], spread=np.full(near.sum(), LINE), slope=0.0)
    assert found.frequency_low < 192.4 < found.frequency_high
    assert 1.0 < found.frequency_high - found.frequency_low < 2.0  # in the first file it is 0.4


def test_its_impulse_response_rings_at_that_frequency(cases):
    """The response between 150 and 250 Hz, brought to time: what rings strongest there."""
    frequency = cases["case1"]["Freq_domain"].ravel().astype(float)
    band = np.where((frequency > 150) & (frequency < 250), np.sin(np.pi * (frequency - 150) / 100) ** 2, 0.0)
    impulse = np.fft.irfft(cases["case1"]["Hf_chan_2"].ravel() * band)
    found = ring_down(
        impulse[30:1200], 2 * frequency[-1], 150.0, 250.0, most=2
    )  # the band's own ringing is over
    assert found[0].frequency == pytest.approx(212.1, abs=0.4)
