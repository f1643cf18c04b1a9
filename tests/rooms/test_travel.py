"""How far the vehicle has gone, and what comes under its axles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from counterbounce.model.profile import Profile
from counterbounce.model.road import Roads, inputs
from counterbounce.model.travel import road_in_time, travel, wheels_in_time
from counterbounce.model.wheels import WheelFault, turns_per_metre

VARYING = ([1.0, 4.0, 4.5, 9.0], [10.0, 25.0, 25.0, 0.0])


@pytest.fixture(name="vehicle")
def a_tandem(fleet):
    return fleet("tandem").vehicle


def test_one_speed():
    way = travel(20.0, 3.0, 100.0, run_in=1.0)
    assert (len(way.distance), way.start, way.rate) == (400, -1.0, 100.0)
    np.testing.assert_allclose(way.distance, 20.0 * (np.arange(400) / 100.0 - 1.0), atol=1e-12)
    assert set(way.speed) == {20.0}


def test_a_varying_speed_is_integrated_exactly():
    """Held before the first time and after the last; against quadrature between the corners."""
    way = travel(VARYING, 12.0, 50.0, run_in=2.0)
    time = way.start + np.arange(len(way.distance)) / way.rate
    for i in (0, 60, 100, 149, 233, 316, 412, 699):
        corners = [t for t in VARYING[0] if min(0.0, time[i]) < t < max(0.0, time[i])]
        wanted = quad(lambda t: np.interp(t, *VARYING), 0.0, time[i], points=corners or None)[0]
        assert way.distance[i] == pytest.approx(wanted, abs=1e-9)
    assert way.speed[[0, 150, -1]].tolist() == [10.0, 10.0, 0.0]


@pytest.mark.parametrize(
    ("speed", "said"),
    [
        (0.0, "above 0 m/s"),
        (-1.0, "above 0 m/s"),
        (np.nan, "finite"),
        (([0.0, 1.0], [10.0, -0.1]), "nowhere below"),
        (([0.0, 1.0], [0.0, 0.0]), "above 0 m/s"),
        (([1.0, 0.0], [1.0, 2.0]), "must rise"),
        (([1.0, 1.0], [1.0, 2.0]), "must rise"),
        (([0.0], [1.0, 2.0]), "as many"),
    ],
)
def test_speeds_that_are_none_are_refused(speed, said):
    with pytest.raises(ValueError, match=said):
        travel(speed, 1.0, 100.0)


@pytest.mark.parametrize("change", [{"seconds": 0.0}, {"rate": -1.0}, {"run_in": -1.0}, {"seconds": np.inf}])
def test_ways_that_are_none_are_refused(change):
    with pytest.raises(ValueError, match="above zero"):
        travel(10.0, **({"seconds": 1.0, "rate": 100.0} | change))


def test_each_axle_feels_the_mean_over_its_footprint_where_it_is(vehicle):
    """Against quadrature of the profile, at a varying speed."""
    profile = Profile(0.07, 0.0, np.random.default_rng(4).standard_normal(4000) * 1e-2, "invented")
    way = travel(VARYING, 8.0, 50.0)
    heights = road_in_time(vehicle, profile, way)
    for i, axle in enumerate(vehicle.axles):
        for k in (0, 41, 250, 399):
            x, half = way.distance[k] - axle.station, axle.contact_length / 2
            fine = np.linspace(x - half, x + half, 40_001)
            wanted = np.trapezoid(np.interp(fine, profile.distance, profile.heights), fine) / (2 * half)
            assert heights[i, k] == pytest.approx(wanted, abs=1e-7)


def test_a_road_that_ends_is_refused(vehicle):
    profile = Profile(1.0, 0.0, np.zeros(101), "invented")
    assert road_in_time(vehicle, profile, travel(20.0, 5.0, 100.0)).shape == (3, 500)
    with pytest.raises(ValueError, match="ends 100 m on, and the front axle goes 101"):
        road_in_time(vehicle, profile, travel(20.0, 5.1, 100.0))


# --- wheels -----------------------------------------------------------------------------------------------

UNTRUE = Roads((1,), (WheelFault("rear 1", 1, run_out=(2e-3, 2e-3)),), rolling_difference=0.02)


def rear(vehicle, roads, way, seed=1):
    only = tuple(a if a.name == "rear 1" else replace(a, circumference=None) for a in vehicle.axles)
    found = wheels_in_time(replace(vehicle, axles=only), roads, way, seed)
    assert not np.any(np.delete(found.heights, 1, axis=0))
    return found.heights[1], found.forces[1]


def test_two_wheels_beat_as_the_input_says(vehicle):
    """Two equal wheels: the sum vanishes once a beat, and between the two it is twice one."""
    way = travel(20.0, 30.0, 1000.0)
    heights, _ = rear(vehicle, UNTRUE, way)
    turn = round(1000 * vehicle.axles[1].circumference / 20.0)
    envelope = np.abs(heights[: len(heights) // turn * turn].reshape(-1, turn)).max(axis=1)
    quiet = np.flatnonzero((envelope[1:-1] < envelope[:-2]) & (envelope[1:-1] <= envelope[2:])) + 1
    (cause,) = [c for c in inputs(UNTRUE, vehicle, 20.0) if c.axle == "rear 1"]
    assert len(quiet) >= 4
    assert np.diff(quiet) * turn / 1000 * 20.0 == pytest.approx(cause.beat_length, rel=0.05)
    assert envelope.max() == pytest.approx(cause.height.worst, rel=1e-3)
    assert np.sqrt(2 * np.mean(heights[: round(1000 * cause.beat_length / 20.0)] ** 2)) == pytest.approx(
        cause.height.typical, rel=0.02
    )


def test_in_phase_they_are_at_their_worst(vehicle):
    heights, _ = rear(vehicle, replace(UNTRUE, rolling_difference=0.0), travel(20.0, 5.0, 1000.0), seed=None)
    assert (heights[0], heights.max()) == pytest.approx((1e-3, 1e-3))


def test_wheels_turn_by_distance_at_any_speed(vehicle):
    """The height over the distance does not know the speed."""
    steady, varying = travel(10.0, 8.0, 4000.0), travel(([0.0, 8.0], [5.0, 15.0]), 8.0, 4000.0)
    slow, _ = rear(vehicle, UNTRUE, steady)
    swept, _ = rear(vehicle, UNTRUE, varying)
    there = steady.distance < varying.distance[-1]
    found = np.interp(steady.distance[there], varying.distance, swept)
    np.testing.assert_allclose(found, slow[there], atol=2e-8)


def test_imbalance_goes_with_the_square_of_the_speed_of_the_moment(vehicle):
    """U omega^2, omega = 2 pi v / C; on one wheel, so that nothing beats."""
    roads = Roads((1,), (WheelFault("rear 1", 1, imbalance=(0.4, 0.0)),))
    way = travel(([0.0, 60.0], [5.0, 25.0]), 60.0, 500.0)
    heights, forces = rear(vehicle, roads, way)
    assert not np.any(heights)
    turn = 1 / turns_per_metre(vehicle, vehicle.axles[1], roads.rolling_difference)[0]
    crest = (
        np.flatnonzero((forces[1:-1] > forces[:-2]) & (forces[1:-1] >= forces[2:]) & (forces[1:-1] > 0)) + 1
    )
    wanted = 0.4 * (2 * np.pi * way.speed[crest] / turn) ** 2
    np.testing.assert_allclose(forces[crest], wanted, rtol=0.03)  # a crest falls between samples


def test_phases_are_drawn_by_the_seed(vehicle):
    way = travel(20.0, 2.0, 500.0)
    first, again, other = (rear(vehicle, UNTRUE, way, seed)[0] for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert np.abs(first - other).max() > 1e-4
