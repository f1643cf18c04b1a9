"""Frequency responses that look measured, with natural frequencies known from elsewhere.

Source: vibration-toolbox 0.6.10 (J. C. Slater, R. Timbo; MIT licence), data/case1.mat and case2.mat: 1601
lines at 0.3125 Hz; the rig is not described.  Its own documentation gives about 212.1 Hz for the first and
192.4 Hz for the second, which has another mode at 193.4 Hz: lines up to the valley between them are used.
Damping is not resolved by the line spacing.
"""

from __future__ import annotations

from importlib import metadata

import numpy as np
import pytest

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


@pytest.mark.parametrize(
    ("case", "low", "high", "natural"), [("case1", 200, 225, 212.1), ("case2", 190.4, 193.0, 192.4)]
)
def test_natural_frequency_of_a_measured_response(cases, case, low, high, natural):
    frequency = cases[case]["Freq_domain"].ravel().astype(float)
    power = np.abs(cases[case]["Hf_chan_2"].ravel()) ** 2
    near = (frequency > low) & (frequency < high)
    found = fit_mode(frequency[near], power[near], spread=np.full(near.sum(), LINE), slope=0.0)
    assert found.frequency == pytest.approx(
        natural, abs=0.4
    )  # a good line; the fit interpolates between them
    assert found.peak > 0
