"""How true is good enough, against looking for it; two tyres on a hub, against throwing dice."""

import numpy as np
import pytest

from counterbounce.sizing.true_wheels import (
    SECOND_TYRE,
    STUDS,
    clocked_pair,
    clocking_leaves,
    good_enough,
    usual_pair,
)


def test_good_enough_is_where_the_level_is_just_met():
    rng = np.random.default_rng(4)
    rest, wheels = rng.uniform(0.1, 1.0, (2, 33, 3))
    level = 1.1 * rest.max()
    share = good_enough(rest, wheels, level)
    largest = np.sqrt(rest**2 + (share * wheels) ** 2).max()
    assert largest == pytest.approx(level, rel=1e-12)


def test_a_level_of_its_own_everywhere():
    assert good_enough([0.0, 0.0], [1.0, 1.0], [0.5, 0.2]) == pytest.approx(0.2)


def test_what_other_causes_alone_exceed_no_wheel_cures():
    assert good_enough([1.0, 2.0], [1.0, 0.0], 1.5) == 0.0
    assert good_enough([1.0, 2.0], [1.0, 3.0], 1.5) == 0.0


def test_silent_wheels_may_be_as_they_like():
    assert good_enough([1.0], [0.0], 2.0) == np.inf


def test_a_pair_as_it_comes_against_random_phases():
    phases = np.random.default_rng(1).uniform(0, 2 * np.pi, 200_000)
    found = np.sqrt(np.mean(np.abs(1.0 + 0.7 * np.exp(1j * phases)) ** 2)) / 2
    assert float(usual_pair(1.0, 0.7)) == pytest.approx(found, rel=5e-3)  # of 200 000 throws


@pytest.mark.parametrize("order", [1, 2, 5])
def test_a_clocked_pair_against_random_errors_of_half_a_hole(order):
    errors = np.random.default_rng(2).uniform(-np.pi / STUDS, np.pi / STUDS, 200_000)
    found = np.sqrt(np.mean(np.abs(1.0 - 0.7 * np.exp(1j * order * errors)) ** 2)) / 2
    assert float(clocked_pair(1.0, 0.7, order)) == pytest.approx(found, rel=1e-2)


def test_clocking_lies_between_the_difference_and_the_usual_pair():
    """The plain difference of the tyres is what no clocking can beat."""
    unlike = (1 - SECOND_TYRE) / 2 / usual_pair(1.0, SECOND_TYRE)
    left = [clocking_leaves(order) for order in range(1, STUDS)]
    assert unlike < left[0] < left[1] < left[2] < 1
    assert max(left) <= 1
