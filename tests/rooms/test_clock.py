"""One clock: what resampling leaves of a sine, against SciPy's resampling; stamps that are uneven; cuts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import resample_poly

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.measured.clock import (
    Grid,
    common_rate,
    grid_between,
    nominal_rate,
    on_grid,
    rising,
    stretches,
    survey,
)
from counterbounce.model.measured.columns import Column, even_clock


def sampled(frequency, rate, seconds=40.0, start=0.0):
    time = start + np.arange(int(seconds * rate)) / rate
    return Column("a", "g", np.sin(2 * np.pi * frequency * time + 0.3), rate, start)


def brought(column, grid):
    return np.concatenate([part for _, part in on_grid(column, grid)])


@pytest.mark.parametrize(
    ("rate", "to"), [(100.0, 230.0), (400.0, 400.0), (48_000.0, 2000.0), (1000.0, 1917.4)]
)
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.8])
def test_a_sine_below_half_the_rate_stays_what_it_is(rate, to, share):
    """To 1e-4 up to 0.8 of half the lower rate, as a Kaiser window of 24 lobes and shape 8 leaves of it."""
    frequency = share * min(rate, to) / 2
    column, grid = sampled(frequency, rate, 4.0), Grid(1.00037, to, int(2 * to))
    wanted = np.sin(2 * np.pi * frequency * grid.times(slice(0, grid.count)) + 0.3)
    assert np.abs(brought(column, grid) - wanted).max() < 1e-4


@pytest.mark.parametrize("above", [1.2, 1.5, 3.0, 11.3])
def test_nothing_from_above_half_the_new_rate_comes_down(above):
    """An alias would be a sine of amplitude 1; the window holds it 80 dB down."""
    column, grid = sampled(above * 1000, 48_000.0, 3.0), Grid(1.0, 2000.0, 2000)
    assert np.abs(brought(column, grid)).max() < 1e-4


@pytest.mark.parametrize(("up", "down"), [(3, 1), (5, 2), (1, 4), (2, 5)])
def test_the_same_as_scipy_does_on_a_grid_that_both_can(up, down):
    """scipy.signal.resample_poly, on noise below 0.6 of half the lower rate: the same signal."""
    draw, rate = np.random.default_rng(3), 200.0
    spectrum = np.zeros(2001, dtype=complex)
    top = int(0.6 * min(1, up / down) * 2000)
    spectrum[1:top] = draw.normal(size=(top - 1, 2)) @ [1, 1j]
    values = np.fft.irfft(spectrum)
    values /= values.std()
    theirs = resample_poly(values, up, down, window=("kaiser", 8.0))
    ours = brought(Column("a", "g", values, rate), Grid(0.0, rate * up / down, len(theirs)))
    inside = slice(200, -200)
    assert np.abs(ours - theirs)[inside].max() < 5e-3  # their filter's own edge, at 20 lobes


def test_the_same_clock_is_taken_as_it_is():
    column = sampled(7.0, 250.0)
    assert np.array_equal(brought(column, Grid(1.2, 250.0, 1000)), column.values[300:1300])


@pytest.mark.parametrize("frequency", [1.0, 8.0, 20.0])
def test_uneven_stamps_of_a_phone(frequency):
    """100 Hz with a jitter of a quarter of a step: within 2 % up to 20 Hz, of five samples a period."""
    draw = np.random.default_rng(5)
    times = np.arange(3000) / 100 + draw.uniform(-0.0025, 0.0025, 3000)
    column = Column("a", "g", np.sin(2 * np.pi * frequency * times), None, 0.0, times)
    assert nominal_rate(column) == pytest.approx(100.0, rel=0.01)
    grid = Grid(1.0, 100.0, 2800)
    wanted = np.sin(2 * np.pi * frequency * grid.times(slice(0, 2800)))
    off = brought(column, grid) - wanted
    assert off.std() < 0.02 * wanted.std()


def test_stamps_that_do_not_rise_are_left_out():
    times = np.array([0.0, 0.01, 0.01, 0.02, 0.015, 0.03, np.nan, 0.04])
    found, late = rising(Column("a", "g", np.arange(8.0), None, 0.0, times))
    assert found.times.tolist() == [0.0, 0.01, 0.02, 0.03, 0.04]
    assert found.values.tolist() == [0.0, 1.0, 3.0, 5.0, 7.0]
    assert late == 3


@pytest.mark.parametrize(
    ("times", "rate"),
    [
        (np.arange(5000) / 300, 300.0),
        (np.round(np.arange(5000) / 300, 3), 300.0),
        (np.round(np.arange(5000) / 2000, 3), 2000.0),  # half of the stamps twice
        (1.7e9 + np.arange(5000) / 128, 128.0),
        (np.cumsum(np.r_[0, np.full(2000, 0.01), 0.03, np.full(2000, 0.01)]), None),
        (np.arange(500) / 100 + np.random.default_rng(0).uniform(0, 4e-3, 500), None),
        (np.delete(np.arange(60.0), 30), None),
        (np.array([0.0, 1.0, np.nan, 3.0]), None),
    ],
)
def test_which_stamps_are_even(times, rate):
    found = even_clock(times)
    assert (found and round(found[0], 6)) == rate


def test_gaps_missing_values_and_what_all_columns_share():
    values = np.ones(1000)
    values[100:102] = np.nan
    values[500:700] = np.nan
    values[:10] = np.nan
    seen = survey(Column("a", "g", values, 100.0, 5.0))
    assert (seen.first, seen.last, seen.bridged) == (5.1, 14.99, 1)
    assert seen.gaps == ((9.99, 12.0),)
    other = survey(Column("b", "g", np.ones(500), 50.0, 7.0))
    assert stretches([seen, other]) == [(7.0, 9.99), (12.0, 14.99)]
    assert stretches([seen, survey(Column("c", "g", np.ones(20), 10.0, 9.5))]) == []


def test_a_late_sample_is_no_gap_and_a_lost_one_is():
    jitter = np.random.default_rng(4).normal(0, 0.0006, 20_000)
    times = np.sort(np.arange(20_000) / 200 + jitter)
    column = Column("seat", "g", np.zeros(20_000), None, 0.0, times)
    assert survey(column).bridged == 0
    lost = replace(column, times=np.delete(times, 500), values=np.zeros(19_999))
    assert survey(lost).bridged == 1


def test_a_column_of_nothing():
    with pytest.raises(CounterbounceError, match="no numbers"):
        survey(Column("a", "g", np.full(100, np.nan), 100.0, file="a.csv"))


def test_missing_values_are_bridged_by_their_neighbours():
    column = sampled(5.0, 200.0)
    holed = column.values.copy()
    holed[[400, 401, 900]] = np.nan
    filled = brought(Column("a", "g", holed, 200.0), Grid(0.0, 200.0, 8000))
    assert np.abs(filled - column.values).max() < 2e-3


def test_the_common_clock():
    assert common_rate([50.0, 1000.0, 2000.0]) == 2000.0
    assert common_rate([6000.0, 100.0]) == 2000.0
    assert common_rate([44_100.0]) == pytest.approx(44_100 / 23)
    grid = grid_between(0.0305, 1.0, 100.0, sampled(1.0, 100.0))
    assert (round(grid.start, 9), grid.count, round(grid.end, 9)) == (0.04, 97, 1.0)
