"""The study of simulated rides before and after, over fewer of them.

Of 200 pairs without any change, 4 passes of 60 s each, 10 are stated to be told to differ.  By wheel order 1
6 were over a smooth road, 5 over class A and 6 over class B; by all that is felt 6, 8 and, over class C, 9.
"""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pytest


@pytest.fixture(scope="module")
def pairs():
    return runpy.run_path(str(Path(__file__).parent / "unchanged.py"))["pairs"]


def test_few_of_a_few_pairs_are_told_to_differ(pairs):
    found = [gain.change for gain in pairs(5, "nothing", "all", "sweep", "smooth", 4, seconds=40.0)]
    assert sum(one.said != "not_shown" for one in found) <= 1  # P(2 or more of 5 at 5 %) is 2 %
    assert all(one.interval is not None for one in found)
    # the truth, no fall at all, lies inside as often; and the estimates do scatter: this is no easy test
    assert np.std([one.reduction for one in found]) > 0.05


def test_a_rough_road_does_not_change_what_a_damper_is_found_to_do(pairs):
    """Class A shakes the floor harder than the wheels do.  Over 100 pairs of 4 passes the fall was found as
    74.5 %, where the same wheels over a smooth road fall by 73.5 %; 94 intervals held that."""
    found = [gain.change for gain in pairs(3, "damper", "wheels", "sweep", "A", 5)]
    assert np.mean([one.reduction for one in found]) == pytest.approx(0.735, abs=0.06)
    assert sum(one.interval[0] < 0.735 < one.interval[1] for one in found) >= 2
