"""A profile: what it holds, where it goes on level, and what a footprint makes of it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from counterbounce.model.faults import CounterbounceError
from counterbounce.model.profile import Profile, detrended, long_enough, resampled, smoothed

HEIGHTS = np.array([0.0, 0.02, -0.01, 0.03, 0.03, 0.01])
ROAD = Profile(0.5, 10.0, HEIGHTS, "an invented road")


def test_between_samples_it_is_straight_and_beyond_its_ends_level():
    assert ROAD.at(10.25) == pytest.approx(0.01)
    assert ROAD.at([-5.0, 10.0, 12.5, 400.0]).tolist() == [0.0, 0.0, 0.01, 0.01]
    assert ROAD.at(np.zeros((2, 3))).shape == (2, 3)


@pytest.mark.parametrize("length", [1e-3, 0.2, 0.5, 1.7, 9.0])
@pytest.mark.parametrize("where", [8.0, 10.0, 10.4, 11.5, 12.1, 12.5, 17.0])
def test_a_footprint_takes_the_mean_over_itself(where, length):
    """Exact on straight pieces: against adaptive quadrature with its breaks named, 1e-12."""
    edges = where - length / 2, where + length / 2
    breaks = [x for x in ROAD.distance if edges[0] < x < edges[1]]
    area, _ = quad(ROAD.at, *edges, points=breaks or None, limit=200)
    assert ROAD.at(where, length) == pytest.approx(area / length, abs=1e-12)


def test_a_footprint_as_long_as_a_wave_sees_nothing_of_it():
    """Of a wave of twice its length 2 / pi is kept; straight pieces and their corners cost 1 %."""
    x = 0.01 * np.arange(2000)
    road = Profile(0.01, 0.0, 0.01 * np.sin(2 * np.pi * x / 0.2), "")
    middle = np.linspace(5.0, 15.0, 777)
    assert np.abs(road.at(middle, 0.2)).max() < 1e-12
    kept = np.abs(road.at(middle, 0.1)).max()
    assert kept == pytest.approx(0.01 * np.sinc(0.5), rel=1e-2)


def test_a_high_hill_costs_no_digits():
    """583 m up, 2 km long: the mean over 0.2 m of a straight grade is the height at its middle, to 1e-9 m."""
    road = Profile(0.25, 0.0, 583.0 + 0.02 * 0.25 * np.arange(8000), "")
    assert road.at(1234.56, 0.2) == pytest.approx(583.0 + 0.02 * 1234.56, abs=1e-9)


def test_an_axle_feels_the_mean_of_two_tracks():
    both = Profile(0.5, 10.0, np.array([HEIGHTS, 3 * HEIGHTS]), "")
    assert np.allclose(both.felt, 2 * HEIGHTS)
    assert both.at(10.75, 0.3) == pytest.approx(2 * ROAD.at(10.75, 0.3))
    assert ROAD.tracks.shape == (1, 6)
    assert smoothed(both, 0.3).heights.shape == (2, 6)
    assert np.allclose(smoothed(both, 0.3).heights[0], smoothed(ROAD, 0.3).heights)


def test_resampled_lies_on_the_same_straight_lines():
    fine = resampled(ROAD, 0.1)
    assert fine.start == 10.0
    assert np.allclose(fine.heights, ROAD.at(fine.distance))
    assert len(fine.heights) == 26
    assert np.allclose(resampled(fine, 0.5).heights, HEIGHTS)
    assert "0.1 m" in fine.done[-1]


def test_detrended_has_neither_mean_nor_grade_left():
    hill = Profile(0.5, 0.0, 100 + 0.03 * 0.5 * np.arange(6) + HEIGHTS, "")
    level = detrended(hill)
    slope, mean = np.polyfit(level.distance, level.heights, 1)
    assert (slope, mean) == (pytest.approx(0, abs=1e-12), pytest.approx(0, abs=1e-12))
    assert np.allclose(level.heights, detrended(ROAD).heights, atol=1e-12)
    assert "grade" in level.done[0]


@pytest.mark.parametrize(
    ("spacing", "start", "heights"),
    [
        (0.0, 0.0, [0, 0, 0]),
        (-1.0, 0.0, [0, 0, 0]),
        (np.nan, 0.0, [0, 0, 0]),
        (1.0, np.inf, [0, 0, 0]),
        (1.0, 0.0, [0, np.nan, 0]),
        (1.0, 0.0, [0, 0]),
        (1.0, 0.0, [[[0, 0, 0]]]),
    ],
)
def test_what_is_no_profile_is_refused(spacing, start, heights):
    with pytest.raises(ValueError, match=r"must be|finite"):
        Profile(spacing, start, np.array(heights, dtype=float), "")


@pytest.mark.parametrize("bad", [-0.1, np.nan, np.inf])
def test_a_footprint_has_a_length(bad):
    with pytest.raises(ValueError, match="contact_length"):
        ROAD.at(0.0, bad)


@pytest.mark.parametrize("bad", [0.0, -1.0, 2.0, np.nan])
def test_a_spacing_that_leaves_no_road_is_refused(bad):
    with pytest.raises(ValueError, match="spacing"):
        resampled(ROAD, bad)


def test_too_short_for_a_vehicle_says_how_long_it_must_be():
    assert long_enough(ROAD, 2.5, "the vehicle") is ROAD
    with pytest.raises(CounterbounceError, match=r"2.5 m long: 4.2 m or more, for the vehicle"):
        long_enough(ROAD, 4.2, "the vehicle")
