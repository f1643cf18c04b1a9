"""The study of rides between which nothing was changed, over fewer of them.

200 pairs of 4 passes of 60 s gave 7 alarms (3.5 %) where 5 % are stated.
"""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np


def test_few_of_a_few_pairs_are_told_to_differ():
    pairs = runpy.run_path(str(Path(__file__).parent / "unchanged.py"))["pairs"]
    found = [gain.change for gain in pairs(5, 4, 40.0)]
    assert sum(one.said != "not_shown" for one in found) <= 1  # P(2 or more of 5 at 5 %) is 2 %
    assert all(one.interval is not None for one in found)
    # the truth, no fall at all, lies inside as often; and the estimates do scatter: this is no easy test
    assert np.std([one.reduction for one in found]) > 0.05
