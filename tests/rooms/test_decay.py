"""Ring-downs: what was put in comes out, with intervals that hold it as often as they say."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.decay import damping_of, decrement, effective_mass, ring_down

RATE = 120.0


def ringing(modes, seconds=3.0, rate=RATE, noise=0.0, seed=0):
    """Damped cosines: (frequency, damping, amplitude) each."""
    t = np.arange(round(seconds * rate)) / rate
    parts = [
        a * np.exp(-2 * np.pi * z * f * t) * np.cos(2 * np.pi * f * np.sqrt(1 - z * z) * t + 0.4)
        for f, z, a in modes
    ]
    return sum(parts) + noise * np.random.default_rng(seed).standard_normal(len(t))


def test_clean_modes_come_back_to_many_digits():
    wanted = [(1.6, 0.2, 1.0), (7.3, 0.021, 0.8), (11.0, 0.05, 0.5)]
    found = sorted(ring_down(0.2 + ringing(wanted), RATE), key=lambda one: one.frequency)
    assert [one.frequency for one in found] == pytest.approx([f for f, _, _ in wanted], rel=1e-6)
    assert [one.damping for one in found] == pytest.approx([z for _, z, _ in wanted], rel=1e-5)


def test_intervals_hold_the_truth_as_often_as_they_say():
    held = []
    for seed in range(40):
        (one,) = ring_down(ringing([(8.0, 0.03, 1.0)], noise=0.05, seed=seed), RATE)
        held.append(one.frequency_interval[0] < 8.0 < one.frequency_interval[1])
        held.append(one.damping_interval[0] < 0.03 < one.damping_interval[1])
    # 95 % of 80 is 76; fewer than 70 comes up once in a thousand times
    assert sum(held) >= 70
    # and they are no wider than they have to be: the best any unbiased reading can do is 0.2 %
    assert one.frequency_interval[1] / one.frequency_interval[0] < 1.012


def test_points_share_modes_and_tell_their_shape():
    one, other = ringing([(7.0, 0.02, 1.0)]), ringing([(7.0, 0.02, -0.5)])
    (found,) = ring_down(np.stack([one, other]), RATE)
    ratio = found.amplitude[1] / found.amplitude[0]
    assert ratio == pytest.approx(-0.5, abs=1e-6)
    assert found.share == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("rate", [60.0, 400.0, 2000.0])
def test_the_rate_does_not_matter(rate):
    (found,) = ring_down(ringing([(6.0, 0.04, 1.0)], rate=rate, noise=0.01), rate)
    assert found.frequency == pytest.approx(6.0, rel=3e-3)
    assert found.damping == pytest.approx(0.04, rel=0.05)


def test_noise_alone_rings_nowhere():
    for seed in range(5):
        assert ring_down(np.random.default_rng(seed).standard_normal(360), RATE) == ()


def test_what_is_no_ring_down_is_refused():
    with pytest.raises(CounterbounceError, match="too short"):
        ring_down(np.zeros(20), RATE)
    with pytest.raises(CounterbounceError, match="gaps"):
        ring_down(np.full(400, np.nan), RATE)


def test_peaks_and_damping_are_each_others_inverse():
    for damping in (0.005, 0.05, 0.3):
        assert damping_of(1.0, np.exp(-4 * decrement(damping)), 4) == pytest.approx(damping, rel=1e-12)
    with pytest.raises(ValueError, match="must fall"):
        damping_of(1.0, 1.2, 3)
    with pytest.raises(ValueError, match="damping must be"):
        decrement(1.0)


def test_an_added_weight_tells_the_mass_that_moves():
    stiffness, mass, added = 2.5e6, 900.0, 60.0
    without, loaded = (np.sqrt(stiffness / m) / 2 / np.pi for m in (mass, mass + added))
    assert effective_mass(without, loaded, added)[0] == pytest.approx(mass, rel=1e-9)
    best, low, high = effective_mass(without, loaded, added, error=0.02, mass_error=2.0)
    assert low < mass < high
    assert low < best < high
    assert effective_mass(8.0, 7.99, 5.0, error=0.05)[2] == np.inf
    with pytest.raises(ValueError, match="lowers a frequency"):
        effective_mass(8.0, 8.2, 50.0)
