"""A small share of the study of calibrations: intervals hold the truth as often as they say.

`calibration.py` prints the whole of it; its seeds are others.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chisquare

from counterbounce.model.case import load

EXAMPLES = ("technician/flatbed.toml", "engineer/box_truck.toml")
EACH = 20


@pytest.fixture(scope="module")
def found(calibration):
    cases = [load(calibration.EXAMPLES / name) for name in EXAMPLES]
    told = [calibration.trial(case, 101 + 6007 * i, bool(i % 2)) for case in cases for i in range(EACH)]
    return [one for one in told if one is not None]


def every(found, field):
    return np.concatenate([getattr(one, field) for one in found])


def test_intervals_hold_the_truth_nine_times_of_ten(calibration, found):
    assert 0.84 <= every(found, "inside").mean() <= 0.96
    inside = np.abs(every(found, "off")) <= calibration.INSIDE * calibration.NORMAL_95
    assert 0.84 <= inside.mean() <= 0.96


def test_truths_lie_evenly_among_draws(calibration, found):
    """Simulation-based calibration: S. Talts et al. (2018), arXiv 1804.06788 (from memory)."""
    counts = np.histogram(every(found, "ranks"), calibration.BINS, (0, calibration.DRAWS + 1))[0]
    assert chisquare(counts).pvalue > 1e-3


def test_true_vehicles_are_seldom_said_not_to_agree(found):
    assert np.mean([one.agrees for one in found]) >= 0.9


def test_modes_are_told_from_one_another(found):
    assert np.mean([one.meant for one in found]) >= 0.9
