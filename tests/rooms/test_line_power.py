"""What lies beside a line, taken off it."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.sizing.line_power import line_bins, near

PIECE = 720.0
BINS = np.arange(360) / PIECE
NOTHING = np.zeros(len(BINS), dtype=bool)


def test_the_doubt_is_what_chance_does_to_white_noise():
    """Against 20,000 pieces of it, under a Hann window; three standard deviations of a variance are 3 %."""
    samples = round(2 * PIECE)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(samples) / samples)
    noise = np.random.default_rng(1).standard_normal((20_000, samples)) * window
    power = np.abs(np.fft.rfft(noise))[:, : len(BINS)] ** 2
    found = line_bins(BINS, (0.2,), NOTHING)
    line, background = power @ found.power, power @ found.background
    assert line.mean() == pytest.approx(0.0, abs=3 * line.std() / np.sqrt(len(line)))
    assert found.doubt * np.mean(background**2) == pytest.approx(line.var(), rel=0.05)


@pytest.mark.parametrize("places", [(0.4,), (0.4, 0.405)])
def test_a_resonance_beneath_is_taken_off_and_the_line_is_not(places):
    """A resonance as narrow as those of frames, 2 % of critical, of power 1 at its top."""
    resonance = 1 / (1 + ((BINS - 0.401) / (0.02 * 0.401)) ** 2)
    found = line_bins(BINS, places, NOTHING)
    under = resonance[near(BINS, places, BINS[1])].sum()
    assert abs(found.power @ resonance) < 0.35 * under
    assert 0.5 * (found.power @ resonance) < found.bend @ resonance  # so that a share of it is a fair doubt
    line = np.where(near(BINS, places, BINS[1]), 1.0, 0.0)
    assert found.power @ line == pytest.approx(line.sum())


def test_other_lines_are_no_background():
    taken = near(BINS, (0.216,), BINS[1])
    found = line_bins(BINS, (0.2,), taken)
    assert not found.background[taken].any()
    assert found.power @ (1.0 - taken) == pytest.approx(0.0, abs=1e-12)


def test_where_nothing_lies_beside_a_line_nobody_can_say():
    assert line_bins(BINS, (0.2,), ~near(BINS, (0.2,), BINS[1])) is None
    assert line_bins(BINS, (0.9,), NOTHING) is None
