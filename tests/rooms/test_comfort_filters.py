"""A history as a person feels it: blocks, bad input, and what is read off."""

import numpy as np
import pytest

from counterbounce.model.comfort import weighting_factor
from counterbounce.model.comfort_filters import (
    filter_sections,
    magnitudes,
    running_rms,
    weighted,
    weighted_blocks,
    weighted_level,
)

KINDS = ["Wk", "Wd", "Wc"]


def noise(count, seed=1):
    return np.random.default_rng(seed).standard_normal(count)


def test_blocks_of_any_length_make_the_whole():
    record = noise(4000).reshape(2, 2000)
    whole = np.hstack(list(weighted_blocks([record], 500.0, "Wk")))
    parts = [record[:, a:b] for a, b in ((0, 1), (1, 700), (700, 703), (703, 2000))]
    assert np.hstack(list(weighted_blocks(parts, 500.0, "Wk"))) == pytest.approx(whole, abs=1e-12)


def apart(kind, rate):
    """R.m.s. of (stream - whole record) over the whole record's, for one shake up to 30 Hz at any rate."""
    t = np.arange(0, 8, 1 / rate)
    f, phase = np.random.default_rng(2).uniform([0.5, 0.0], [30.0, 2 * np.pi], (40, 2)).T
    record = np.sin(2 * np.pi * f[:, None] * t + phase[:, None]).sum(axis=0)
    (streamed,) = weighted_blocks([record], rate, kind)
    exact = weighted(record, rate, kind)
    return np.sqrt(np.mean((streamed - exact) ** 2) / np.mean(exact**2))


@pytest.mark.parametrize("kind", KINDS)
def test_a_whole_record_and_its_blocks_become_one_as_the_square_of_the_step(kind):
    """Two ways: by frequency, and by recursion, whose bilinear transform is of second order."""
    slow, fast = apart(kind, 500.0), apart(kind, 1000.0)
    assert slow < 0.04
    assert np.log2(slow / fast) == pytest.approx(2.0, abs=0.15)


def test_no_weighting_changes_nothing():
    record = noise(1000)
    assert weighted(record, 100.0, "none") == pytest.approx(record, abs=1e-12)
    assert np.hstack(list(weighted_blocks([record], 400.0, "none"))) == pytest.approx(record, abs=0)


def test_an_end_does_not_reach_round_to_the_beginning():
    """A knock at the very end must not be felt at the start, as it would be by a circular transform."""
    record = np.zeros(500)
    record[-1] = 100.0
    felt = weighted(record, 100.0, "Wd")
    assert np.abs(felt[:200]).max() < 1e-2 * np.abs(felt).max()


def test_several_channels_are_weighted_as_each_alone():
    two = noise(2000).reshape(2, 1000)
    assert weighted(two, 200.0, "Wk")[1] == pytest.approx(weighted(two[1], 200.0, "Wk"), abs=1e-12)


@pytest.mark.parametrize(("kind", "slowest"), [("Wk", 332.0), ("Wd", 362.0), ("Wc", 354.0)])
def test_a_filter_too_slow_to_be_true_is_refused(kind, slowest):
    assert filter_sections(kind, slowest).shape[1] == 6
    with pytest.raises(ValueError, match=r"would be off by .* below 30 Hz: sample at 400 Hz"):
        filter_sections(kind, slowest - 2)


@pytest.mark.parametrize("rate", [10.0, 0.0, -5.0, float("nan"), float("inf")])
def test_a_rate_that_cannot_hold_thirty_hertz_is_refused(rate):
    with pytest.raises(ValueError, match=r"rate must be 60 Hz or above"):
        weighted([1.0], rate, "Wk")
    with pytest.raises(ValueError, match=r"rate must be 250 Hz or above"):
        filter_sections("Wk", rate)


def test_holes_and_nothing_are_refused():
    with pytest.raises(ValueError, match="2 samples are not finite"):
        weighted([0.0, float("nan"), float("inf")], 100.0, "Wk")
    with pytest.raises(ValueError, match="at least one sample"):
        weighted([], 100.0, "Wk")
    with pytest.raises(ValueError, match=r"1 s or longer"):
        magnitudes(np.zeros(99), 100.0)
    with pytest.raises(ValueError, match=r"one history"):
        running_rms(np.zeros((2, 500)), 100.0)


def test_a_sine_by_its_textbook_magnitudes():
    """Whole periods of A sin: r.m.s. A/sqrt 2, peak A, mean of the fourth power 3 A^4 / 8, no transient."""
    t = np.arange(0, 8, 1 / 400)
    found = magnitudes(2.0 * np.sin(2 * np.pi * 5 * t), 400.0)
    assert (found.duration, found.peak) == (8.0, pytest.approx(2.0))
    assert found.rms == pytest.approx(np.sqrt(2))
    assert found.transient == pytest.approx(np.sqrt(2))
    assert found.dose == pytest.approx((8 * 3 * 2.0**4 / 8) ** 0.25)
    assert found.beyond_rms == ()


def test_noise_has_the_dose_of_a_normal_distribution():
    """The mean fourth power of a normal variable is 3 sigma^4; some ten standard deviations are allowed."""
    found = magnitudes(noise(200_000), 1000.0)
    assert found.dose / found.rms / found.duration**0.25 == pytest.approx(3**0.25, rel=0.02)
    assert found.beyond_rms == ()


def test_one_knock_in_a_quiet_minute_is_more_than_its_rms():
    record = 0.05 * noise(12_000)
    record[6000:6020] += 5.0
    found = magnitudes(record, 200.0)
    reasons = found.beyond_rms
    assert [reason.split(" is ")[0] for reason in reasons] == [
        "its crest factor",
        "its largest running r.m.s. over its r.m.s.",
        "its dose over that of an even shake",
    ]
    assert found.crest_factor > 9
    assert f"{found.crest_factor:.1f}, above 9" in reasons[0]


def test_a_slow_swell_is_told_by_its_running_rms_alone():
    """Four seconds in twenty: a crest factor of 3.2, a running r.m.s. of 2.2 times the whole."""
    t = np.arange(0, 20, 1 / 200)
    found = magnitudes(np.sin(2 * np.pi * 6 * t) * (t >= 8) * (t < 12), 200.0)
    assert [reason.split(" is ")[0] for reason in found.beyond_rms] == [
        "its largest running r.m.s. over its r.m.s."
    ]


def test_silence_has_no_crest():
    found = magnitudes(np.zeros(200), 100.0)
    assert (found.crest_factor, found.beyond_rms) == (0.0, ())


def test_running_rms_by_hand():
    a = noise(1000)
    running = running_rms(a, 100.0)
    assert len(running) == 901
    assert running[345] == pytest.approx(np.sqrt(np.mean(a[345:445] ** 2)))


@pytest.mark.parametrize("kind", KINDS)
def test_a_spectrum_and_its_history_feel_the_same(kind):
    """Parseval: sines at the bins of a record, one level by summing in time and one by the spectrum."""
    rate, count = 256.0, 256 * 32
    f = np.fft.rfftfreq(count, 1 / rate)
    inside = (f >= 1.0) & (f <= 25.0)
    phase = np.exp(2j * np.pi * np.random.default_rng(5).random(len(f)))
    shape = np.where(inside, 1 / np.maximum(f, 1.0), 0.0)  # of the amplitudes
    felt = np.fft.irfft(shape * phase * weighting_factor(kind, f) * count / 2, count)
    level = weighted_level(f, shape**2 / 2 / (f[1] - f[0]), kind)
    assert float(level) == pytest.approx(np.sqrt(np.mean(felt**2)), rel=1e-9)
