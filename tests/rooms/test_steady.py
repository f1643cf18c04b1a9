"""Modes in spectra without what follows the road: each of two that stand side by side."""

from __future__ import annotations

import numpy as np
import pytest

from counterbounce.model.measured.mode_fit import fit_mode
from counterbounce.model.measured.steady import Steady, humps, risen

F = np.arange(0, 50, 0.125)


def mode(natural, damping):
    r2 = (F / natural) ** 2
    return 1 / ((1 - r2) ** 2 + 4 * damping**2 * r2)


def seen(density, averages=60, seed=1):
    """One point's spectrum, as scattered as so many averages leave it."""
    scattered = density * np.random.default_rng(seed).gamma(averages, 1 / averages, len(F))
    return Steady(
        F, scattered[None], np.full(len(F), float(averages)), np.ones((1, averages)), np.ones(averages)
    )


@pytest.mark.parametrize("weaker", [0.3, 0.6])
def test_both_of_two_modes_a_quarter_apart_are_seen(weaker):
    both = mode(8.5, 0.03) + weaker * mode(6.6, 0.03)
    found = humps(seen(np.maximum(F, 0.1) * (0.5 + 0.02 * both)), (0,))
    clear = sorted(one.fit.frequency for one in found if one.fit.peak > 2)
    assert clear == pytest.approx([6.6, 8.5], rel=0.02)


def test_one_mode_is_one():
    found = humps(seen(np.maximum(F, 0.1) * (0.5 + 0.02 * mode(8.5, 0.03))), (0,))
    assert [round(one.fit.frequency, 1) for one in found if one.fit.peak > 2] == [8.5]


def test_what_a_mode_makes_is_taken_away_whole():
    near = (F > 5) & (F < 13)
    fit = fit_mode(F[near], (1 + 0.05 * mode(8.5, 0.03))[near], slope=0.0)
    left = (1 + 0.05 * mode(8.5, 0.03))[near] / risen(F[near], fit)
    assert left == pytest.approx(np.ones(near.sum()), abs=0.05)
