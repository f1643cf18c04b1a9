"""The search against brute force, on vehicles whose best damper lies where an earlier search did not look.

On 35 and 79 it is tuned to twice the mode, on 105 it has a tenth of the mass allowed, on 116 the
search ends in another valley unless the last steps are fine.
"""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

SLACK = 5e-3  # on a surface with kinks where two peaks are level


@pytest.mark.parametrize("vehicle", [35, 79, 105, 116])
def test_no_valley_of_a_fine_grid_is_deeper(vehicle):
    gap = runpy.run_path(str(Path(__file__).parent / "best_known.py"))["gap"]
    found = gap(vehicle)
    assert found.known > 0
    assert found.share <= SLACK
