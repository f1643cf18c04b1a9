"""J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. 1988, table 2.4.1 (from memory).

How many on each side show a difference of d standard deviations, 5 % two-sided.  The table is in whole
numbers: so many are enough, and one fewer is not.
"""

import pytest

from counterbounce.sizing.reduction import power_of


@pytest.mark.parametrize(
    ("d", "power", "count"), [(0.2, 0.80, 393), (0.5, 0.80, 64), (0.8, 0.80, 26), (0.5, 0.90, 85)]
)
def test_numbers_on_each_side(d, power, count):
    # the table was computed by an approximation: its numbers are good to one
    assert power_of(d, 1.0, count + 1) >= power
    assert power_of(d, 1.0, count - 1) < power + 0.002
