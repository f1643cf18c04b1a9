"""A weighted history against python-control's time response, and its level against SciPy's Welch spectrum."""

import control
import numpy as np
import pytest
from scipy import signal

from counterbounce.model import comfort
from counterbounce.model.comfort_filters import magnitudes, weighted, weighted_blocks, weighted_level

KINDS = ["Wk", "Wd", "Wc"]
RATE = 2000.0


@pytest.fixture(scope="module")
def shake():
    """Ten seconds of shake up to 30 Hz, at rest at both ends [m/s^2]."""
    t = np.arange(0, 10, 1 / RATE)
    f, phase = np.random.default_rng(7).uniform([0.5, 0.0], [30.0, 2 * np.pi], (60, 2)).T
    return t, signal.windows.tukey(len(t), 0.3) * np.sin(2 * np.pi * f[:, None] * t + phase[:, None]).sum(0)


def theirs(kind, t, acceleration):
    system = control.TransferFunction([1.0], [1.0])
    for top, bottom, corner in comfort.sections(kind):
        top, bottom = (c / (2 * np.pi * corner) ** np.arange(len(c) - 1, -1, -1.0) for c in (top, bottom))
        system = system * control.TransferFunction(top, bottom)
    return np.asarray(control.forced_response(control.tf2ss(system, method="scipy"), t, acceleration).outputs)


@pytest.mark.parametrize("kind", KINDS)
def test_a_history_is_theirs(kind, shake):
    """Theirs takes the shake as straight between samples: (pi f / rate)^2 / 3, 8e-4 at 30 Hz, too small."""
    t, acceleration = shake
    wanted = theirs(kind, t, acceleration)
    size = np.sqrt(np.mean(wanted**2))
    (streamed,) = weighted_blocks([acceleration], RATE, kind)
    for felt, apart in ((weighted(acceleration, RATE, kind), 1e-3), (streamed, 3e-3)):
        assert np.sqrt(np.mean((felt - wanted) ** 2)) < apart * size


@pytest.mark.parametrize("kind", KINDS)
def test_the_level_of_a_long_noise_is_that_of_its_spectrum(kind):
    """Welch's average over 400 pieces: its level is within 1 % of that of the history."""
    rate = 200.0
    noise = np.random.default_rng(11).standard_normal(int(4000 * rate))
    f, density = signal.welch(noise, rate, nperseg=4000)
    felt = weighted(noise, rate, kind)
    assert magnitudes(felt, rate).rms == pytest.approx(float(weighted_level(f, density, kind)), rel=0.01)
