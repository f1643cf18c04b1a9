"""Load and inflation tables of light-truck tyres, as the Tire and Rim Association sets them.

Seen as tyre sellers and owners' handbooks reprint them: pounds on a tyre at a cold pressure, psi.
"""

import numpy as np
import pytest

from counterbounce.sizing.ratings import PRESSURE_EXPONENT, tyre_capacity

TABLES = {
    "LT235/85R16 E, single": (35, [1700, 1870, 2030, 2205, 2335, 2485, 2623, 2765, 2905, 3042]),
    "LT235/85R16 E, a dual pair": (35, [3090, 3400, 3690, 4015, 4250, 4520, 4765, 5030, 5290, 5556]),
    "31x10.50R15": (25, [1400, 1595, 1765, 1945, 2100, 2270]),
    "27x8.50R14": (25, [940, 1075, 1200, 1305, 1415, 1520]),
}


@pytest.mark.parametrize("tyre", TABLES)
def test_a_tyre_is_never_credited_with_more_than_its_table(tyre):
    """No more, and no more than a tenth less down to half the rated pressure or below."""
    lowest, loads = TABLES[tyre]
    pressures = lowest + 5.0 * np.arange(len(loads))
    ours = [tyre_capacity(loads[-1], p, pressures[-1]) for p in pressures]
    shares = np.array(ours) / loads
    assert shares.max() <= 1.0
    assert shares.min() > 0.9


@pytest.mark.parametrize("tyre", TABLES)
def test_the_tables_follow_an_exponent_of_seven_tenths(tyre):
    lowest, loads = TABLES[tyre]
    pressures = lowest + 5.0 * np.arange(len(loads))
    slope = np.polyfit(np.log(pressures), np.log(loads), 1)[0]
    assert slope == pytest.approx(0.70, abs=0.02)
    assert slope < PRESSURE_EXPONENT
