"""A small share of the study of calibrations: what a corrected vehicle says is as sure as it says.

`calibration.py` prints the whole of it; its seeds are others.
"""

from __future__ import annotations

import numpy as np
import pytest

EACH, DAMPERS = 5, 2
FIRST = (101, 1101)
BROKEN = {"friction": 101, "torsion": 1101, "bracket": 1102, "panel": 1103}


@pytest.fixture(scope="module")
def drawn(calibration):
    every = {
        seed: calibration.truth(name, seed)
        for name, first in zip(calibration.NAMES, FIRST, strict=True)
        for seed in range(first, first + EACH)
    }
    return {seed: one for seed, one in every.items() if one}


@pytest.fixture(scope="module")
def found(calibration, drawn):
    means = calibration.MEANS["four drives, sensors on the axles"]
    hung = [first + n for first in FIRST for n in range(DAMPERS)]
    told = [
        calibration.trial(one, means, seed, bool(seed % 2), damper=seed in hung)
        for seed, one in drawn.items()
    ]
    return [one for one in told if one]


def test_intervals_hold_the_truth_nine_times_of_ten(calibration, found):
    assert 0.84 <= calibration.every(found, "inside").mean() <= 0.96
    inside = np.abs(calibration.every(found, "off")) <= calibration.INSIDE * calibration.NORMAL_95
    assert 0.84 <= inside.mean() <= 0.96


def test_truths_lie_evenly_among_draws(calibration, found):
    """Simulation-based calibration: S. Talts et al. (2018), arXiv 1804.06788 (from memory)."""
    assert calibration.even(calibration.every(found, "ranks")) > 1e-3
    assert 0.2 < np.mean([one.whole for one in found]) / calibration.DRAWS < 0.8


def test_true_vehicles_are_seldom_said_not_to_agree(found):
    assert np.mean([one.agrees for one in found]) >= 0.9


def test_modes_are_told_from_one_another(found):
    assert np.mean([one.meant for one in found]) >= 0.9


def test_a_damper_does_on_the_truth_what_was_promised(found):
    promises = [one.promise for one in found if one.promise]
    assert len(promises) == 2 * DAMPERS
    assert sum(one.close for one in promises) >= len(promises) - 1
    assert sum(one.held for one in promises) >= len(promises) - 1


def test_a_weighing_gone_wrong_is_named_and_nothing_else_ever(calibration, drawn, found):
    assert all(calibration.named(drawn[seed], seed) for seed in FIRST)
    assert np.mean([one.named for one in found]) <= 0.1


def test_a_truth_that_breaks_the_model_is_not_missed_in_silence(calibration, drawn):
    told = [calibration.broken(drawn[seed], seed, way) for way, seed in BROKEN.items()]
    assert set(BROKEN) == set(calibration.WAYS)
    assert {one.way for one in told if one.said} >= {"torsion", "panel"}
    assert not any(one.missed[0] for one in told if one.missed)
