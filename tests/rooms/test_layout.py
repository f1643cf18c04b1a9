"""Labels keep apart and stay as near as they can."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counterbounce.app.layout import free_place, spread_out


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=20).map(sorted), st.floats(0.1, 5))
def test_spread_out_keeps_order_and_gap_and_middle(wanted, gap):
    got = spread_out(wanted, gap)
    assert np.all(np.diff(got) >= gap - 1e-6)
    assert np.mean(got) == pytest.approx(np.mean(wanted), abs=1e-6)  # nobody is pushed for nothing


@given(st.lists(st.floats(-50, 50), min_size=2, max_size=8).map(sorted), st.floats(0.1, 5))
def test_spread_out_is_the_least_squares_answer(wanted, gap):
    """A second way: of many small moves that keep the gaps, none comes nearer to what was wanted."""
    got = np.array(spread_out(wanted, gap))
    cost = ((got - wanted) ** 2).sum()
    chance = np.random.default_rng(3)
    for _ in range(50):
        tried = got + 0.01 * chance.normal(size=len(got))
        if np.all(np.diff(tried) >= gap):
            assert ((tried - wanted) ** 2).sum() >= cost - 1e-6


def test_free_place_takes_the_first_that_is_free():
    places = [((0.0, float(y)), (1.0, float(y))) for y in range(4)]
    assert free_place(places, [], 0.5) == 0
    assert free_place(places, [((0.5, 0.2), (0.5, 1.2))], 0.5) == 2
    assert free_place(places, [((0.5, 0.0), (0.5, 3.0))], 0.5) is None
    assert free_place([], [], 0.5) is None
