"""A waveform of pulses to the times of its edges."""

import numpy as np
import pytest

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.pulses import BLOCK, edges

RATE = 20_000.0
TICK = 1 / RATE


def turns_of(t):
    """From 5 to 25 turns a second and back."""
    return 15 * t - 10 * 12 / (2 * np.pi) * np.sin(2 * np.pi * t / 12)


def square(seconds=12.0, teeth=36, missing=1, noise=0.0, low=-1.0, high=1.0, seed=0):
    """Samples, and when the teeth really came."""
    t = np.arange(round(seconds * RATE)) / RATE
    place = turns_of(t) * teeth
    wave = np.where((place % 1 < 0.5) & (place % teeth < teeth - missing), high, low)
    wave = wave + noise * np.random.default_rng(seed).standard_normal(len(t))
    real = np.arange(1, int(place[-1]) + 1)
    real = real[real % teeth < teeth - missing]
    return wave, np.interp(real, place, t)


def test_each_tooth_is_found_to_a_sample():
    wave, real = square()
    assert edges(wave, RATE).times == pytest.approx(real, abs=TICK)


@pytest.mark.parametrize("low", [-1.0, 0.0, 700.0])
def test_levels_come_from_the_signal(low):
    wave, real = square(low=low, high=low + 5.0)
    assert edges(wave, RATE).times == pytest.approx(real, abs=TICK)


def test_noise_makes_no_pulses():
    """A tenth of the swing: crossings of the middle alone would be counted many times on slow edges."""
    wave, real = square(noise=0.2)
    assert edges(wave, RATE).times == pytest.approx(real, abs=2 * TICK)
    slow = np.convolve(wave, np.ones(9) / 9, "same") + 0.1 * np.random.default_rng(3).standard_normal(
        len(wave)
    )
    assert len(edges(slow, RATE).times) == len(real)
    assert np.sum((slow[1:] >= 0) & (slow[:-1] < 0)) > len(real) + 100


def test_whole_numbers_give_what_floats_give():
    wave, _ = square(noise=0.1)
    whole = np.round(3000 * wave).astype(np.int16)
    assert edges(whole, RATE).times == pytest.approx(edges(whole.astype(float), RATE).times, abs=1e-12)


@pytest.mark.parametrize("block", [1000, 4096, BLOCK - 1, BLOCK + 7])
@pytest.mark.parametrize("levels", [None, (-0.4, 0.4)])
def test_blocks_change_nothing(block, levels):
    wave, real = square(noise=0.05)
    slow = np.convolve(wave, np.ones(6) / 6, "same")  # rises that begin in one block and end in the next
    whole = edges(slow, RATE, levels=levels).times
    parts = edges((slow[i : i + block] for i in range(0, len(slow), block)), RATE, levels=levels).times
    assert len(whole) == len(real)
    assert parts == pytest.approx(whole, abs=1e-12 if levels else 2 * TICK)


def test_slow_edges_are_placed_between_samples():
    """A sine of 50 samples a period: to a hundredth of a sample, over block borders too."""
    period = 50.3 * TICK
    wave = np.sin(2 * np.pi * (np.arange(3 * BLOCK) * TICK / period - 0.3))
    found = edges(wave, RATE).times
    real = (np.arange(len(found)) + 0.3) * period
    assert found == pytest.approx(real, abs=0.01 * TICK)


def test_a_pickup_whose_swing_grows_with_speed():
    t = np.arange(round(20 * RATE)) / RATE
    turns = 1 * t + t**2 / 2
    wave = (1 + t) * np.sin(2 * np.pi * 12 * turns)
    found = edges(wave, RATE)
    real = np.interp(np.arange(1, int(12 * turns[-1]) + 1), 12 * turns, t)
    assert found.times[-len(real) + 20 :] == pytest.approx(real[20:], abs=2 * TICK)
    assert found.swing[1] > 5 * found.swing[0]


def test_a_stop_is_quiet_and_its_noise_no_pulses():
    wave, real = square(noise=0.03)
    hum = 0.03 * np.random.default_rng(5).standard_normal(round(30 * RATE)) - 1
    found = edges(np.concatenate([hum, wave, hum]), RATE)
    assert found.times == pytest.approx([30.0, *(real + 30)], abs=2 * TICK)  # it sets out on a tooth
    assert found.quiet == pytest.approx(60, abs=2 * BLOCK * TICK)


def test_one_narrow_pulse_a_turn():
    """2 % of a turn, a turn in 7000 samples."""
    place = np.arange(1_000_000) / 7000 - 0.5
    found = edges(np.where(place % 1 < 0.02, 4.0, 0.2), RATE).times
    assert found * RATE == pytest.approx((np.arange(143) + 0.5) * 7000, abs=1)


def test_pulses_slower_than_a_block():
    place = np.arange(20 * BLOCK) / (2.7 * BLOCK)
    found = edges(np.where(place % 1 < 0.5, 1.0, 0.0), RATE).times
    assert found * RATE == pytest.approx(np.arange(1, 8) * 2.7 * BLOCK, abs=1)


def test_samples_as_a_list_and_lists_of_samples():
    wave = [0.0, 0.0, 1.0, 1.0] * 30
    for given in (wave, [wave[:50], wave[50:]]):
        found = edges(
            [np.array(p) for p in given] if given is not wave else wave, 4.0, levels=(0.2, 0.8)
        ).times
        assert found == pytest.approx(np.arange(30) + 1.5 / 4)


@pytest.mark.parametrize(
    ("wave", "words"),
    [
        (np.zeros((2, 5)), "shape (2, 5)"),
        (np.array(["a", "b"]), "wanted one row of numbers"),
        (np.full(100, np.nan), "finite"),
    ],
)
def test_what_is_no_waveform(wave, words):
    with pytest.raises(CounterbounceError) as caught:
        edges(wave, RATE)
    assert words in str(caught.value)


def test_what_cannot_be():
    with pytest.raises(ValueError, match="rate"):
        edges(np.zeros(10), 0.0)
    with pytest.raises(ValueError, match="upper level"):
        edges(np.zeros(10), 1.0, levels=(1.0, 1.0))


@pytest.mark.parametrize("wave", [np.zeros(0), np.zeros(1), np.zeros(500), np.ones(3 * BLOCK, np.int16)])
def test_nothing_moves(wave):
    assert len(edges(wave, RATE).times) == 0
