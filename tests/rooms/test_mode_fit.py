"""A mode under a slope: found where there is one, and not where there is none."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.measured.mode_fit import fit_mode


def power(f, natural, damping, slope=4.0, part=0.02):
    r2 = (f / natural) ** 2
    return f**slope * (1 + part / ((1 - r2) ** 2 + 4 * damping**2 * r2))


def scattered(values, averages, seed):
    return values * np.random.default_rng(seed).gamma(averages, 1 / averages, len(values))


@pytest.mark.parametrize("damping", [0.015, 0.03, 0.08])
def test_a_mode_comes_back_with_intervals_that_hold_it(damping):
    f = np.linspace(5, 12, 120)
    held = []
    for seed in range(15):
        found = fit_mode(f, scattered(power(f, 8.0, damping, part=40 * damping**2), 6, seed))
        assert found.peak > 1
        assert found.frequency == pytest.approx(8.0, rel=0.5 * damping)
        held += [
            found.frequency_low < 8.0 < found.frequency_high,
            found.damping_low < damping < found.damping_high,
        ]
    assert sum(held) >= 24  # of 30; a robust fit's intervals are a little short


def test_a_slope_alone_has_no_peak():
    f = np.linspace(5, 12, 120)
    peaks = [fit_mode(f, scattered(f**4, 6, seed)).peak for seed in range(15)]
    assert sorted(peaks)[-2] < 2


def test_what_is_no_signal_is_taken_off():
    f = np.linspace(5, 12, 120)
    floor = np.full(len(f), 5e3)
    true = power(f, 8.0, 0.03)
    with_floor = fit_mode(f, true + floor, floor=floor)
    assert with_floor.damping == pytest.approx(0.03, rel=0.02)
    assert fit_mode(f, true + floor).damping != pytest.approx(0.03, rel=0.1)


def test_values_that_cover_some_frequency_are_unspread():
    f = np.linspace(5, 12, 120)
    fine = np.linspace(-0.4, 0.4, 41)
    seen = np.array([power(one + 0.5 * fine, 8.0, 0.02).mean() for one in f])
    assert fit_mode(f, seen, spread=np.full(len(f), 0.4)).damping == pytest.approx(0.02, rel=0.1)


def test_too_few_values_give_no_mode():
    assert fit_mode(np.arange(1.0, 5.0), np.ones(4)) is None
